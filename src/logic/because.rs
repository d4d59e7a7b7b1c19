//! Why ways open and close: the condition that came true or ceased to.

use super::state::State;
use crate::cutaway::condition_words;
use crate::cutaway::model::{Condition, Element, Engine, Event, Way, WayId};
use crate::text::listed;

/// Why the ways among these events open and close, as sentences: "the mouth closes because the
/// bolt reached caught". The barrel goes with the ball, and needs none.
pub(super) fn ways_because(
    engine: &Engine,
    (before, after): (&State, &State),
    events: &[Event],
) -> Vec<String> {
    let mut told: Vec<(String, [Vec<String>; 2])> = Vec::new();
    for event in events {
        let (way, opens) = match *event {
            Event::Opens(way) => (way, true),
            Event::Closes(way) => (way, false),
            _ => continue,
        };
        if engine.ways[way].barrel {
            continue;
        }
        let because = because(engine, if opens { (before, after) } else { (after, before) }, way);
        let words: Vec<String> = because.iter().map(|cause| cause.words(engine, opens)).collect();
        if words.is_empty() {
            continue;
        }
        let (words, name) = (listed(&words, "and"), Element::Way(way).the(engine));
        let place = told.iter().position(|(because, _)| *because == words);
        let place = place.unwrap_or_else(|| {
            told.push((words, Default::default()));
            told.len() - 1
        });
        told[place].1[usize::from(!opens)].push(name);
    }
    let sentences = told.into_iter().map(|(because, ways)| {
        let verbs = [["opens", "open"], ["closes", "close"]];
        let each = ways.iter().zip(verbs).filter(|(names, _)| !names.is_empty());
        let each = each.map(|(names, [one, several])| {
            let verb = if names.len() == 1 { one } else { several };
            format!("{} {verb}", listed(names, "and"))
        });
        format!("{} because {because}", listed(&each.collect::<Vec<_>>(), "and"))
    });
    sentences.collect()
}

/// What lets air through a way.
enum Cause {
    Condition(Condition),
    /// The pressure at which it lifts.
    Relief(WayId),
}

/// What holds in the state in which a way is open and not in the one in which it is shut.
fn because(engine: &Engine, (shut, open): (&State, &State), way: WayId) -> Vec<Cause> {
    let item: &Way = &engine.ways[way];
    let holds = |state: &State, it: Condition| state.holds(engine, &[it]);
    // Of what is joined by `or`, that which holds while it is open.
    let chosen = |it: Condition| match it {
        Condition::Either(at) => {
            let mut choices = engine.choices[at].iter();
            choices.find(|choice| open.holds(engine, choice)).cloned().unwrap_or_default()
        }
        it => vec![it],
    };
    let conditions = item.when.iter().copied().flat_map(chosen);
    let mut causes: Vec<Cause> = conditions
        .filter(|it| holds(open, *it) && !holds(shut, *it))
        .map(Cause::Condition)
        .collect();
    if let Some(mark) = item.relieves_at {
        let reached = Condition::Reached(item.from, mark);
        if holds(open, reached) && !holds(shut, reached) {
            causes.push(Cause::Relief(way));
        }
    }
    causes
}

impl Cause {
    /// What has happened that opens a way, or shuts it.
    fn words(&self, engine: &Engine, opens: bool) -> String {
        let condition = match *self {
            Cause::Condition(condition) => condition,
            Cause::Relief(way) => {
                let item = &engine.ways[way];
                let Some(mark) = item.relieves_at else { return String::new() };
                Condition::Reached(item.from, mark)
            }
        };
        let the = |thing: Element| thing.the(engine);
        // Half of the conditions are the other half denied.
        let (condition, holds) = match condition {
            Condition::At(part, at) => (Condition::From(part, at), opens),
            Condition::Before(part, at) => (Condition::From(part, at), !opens),
            Condition::Resting(valve) => (Condition::Shifted(valve), !opens),
            Condition::Released(trigger) => (Condition::Pulled(trigger), !opens),
            Condition::NoPressure(room) => (Condition::Pressure(room), !opens),
            Condition::Below(room, mark) => (Condition::Reached(room, mark), !opens),
            as_it_is => (as_it_is, opens),
        };
        let verb = |yes: &'static str, no: &'static str| if holds { yes } else { no };
        match condition {
            Condition::From(part, at) | Condition::At(part, at) | Condition::Before(part, at) => {
                let place = engine.parts[part].positions[at].spoken();
                format!("{} {} {place}", the(Element::Part(part)), verb("reached", "left"))
            }
            Condition::Shifted(valve) | Condition::Resting(valve) => {
                format!("{} {}", the(Element::Valve(valve)), verb("shifted", "returned"))
            }
            Condition::Pulled(trigger) | Condition::Released(trigger) => {
                format!("{} was {}", the(Element::Trigger(trigger)), verb("pulled", "released"))
            }
            Condition::Pressure(room) | Condition::NoPressure(room) => {
                let verb = verb("came under pressure", "emptied");
                format!("{} {verb}", the(Element::Chamber(room)))
            }
            Condition::Above(high, low) => {
                let (high, low) = (the(Element::Chamber(high)), the(Element::Chamber(low)));
                format!("{high} {} more than {low}", verb("now holds", "no longer holds"))
            }
            Condition::Reached(room, mark) | Condition::Below(room, mark) => {
                let mark = engine.landmarks[mark].name.spoken();
                format!("{} {} {mark}", the(Element::Chamber(room)), verb("reached", "fell below"))
            }
            Condition::Either(_) => condition_words(engine, condition),
        }
    }
}
