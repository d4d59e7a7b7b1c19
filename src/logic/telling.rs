//! One shot as readers are told it: a partial order of steps, why each comes, and what other runs
//! have otherwise. Everything that shows a shot shows this.

use super::because::ways_because;
use super::partial_order::{OrderPiece, order_pieces};
use super::runs::{AllRuns, Happening, happenings};
use super::state::Exploration;
use crate::cutaway::event_words;
use crate::cutaway::model::{Element, Engine, Event};

/// Things that happen in some runs only of which it is told what decides.
const MOST_IN_SOME: usize = 12;

/// One shot as it is told.
#[derive(Debug, Clone)]
pub(crate) struct Telling {
    /// Why each step of the told run comes: sentences without full stop, at least one.
    pub(crate) reasons: Vec<Vec<String>>,
    /// What is certain in the order of its steps and what open; `None` where there are too many
    /// runs to look at.
    pub(crate) order: Option<Vec<OrderPiece>>,
    /// What happens in some runs only, and what decides, as sentences without full stop.
    pub(crate) in_some: Vec<String>,
    /// Orders that the writer states, in words, with how each is known.
    pub(crate) stated: Vec<(String, String)>,
}

/// Sets out one shot.
pub(crate) fn telling(engine: &Engine, found: &Exploration) -> Telling {
    let runs = AllRuns::of(found);
    let stated = engine.orders.iter().filter(|order| !found.void_orders.contains(order));
    let stated = stated.map(|order| {
        let words = |event: Event| event_words(engine, event);
        (format!("{} before {}", words(order.first), words(order.then)), order.how())
    });
    Telling {
        reasons: reasons(engine, found),
        order: runs.as_ref().map(|runs| order_pieces(engine, found, runs)),
        in_some: runs.map(|runs| in_some(engine, found, &runs)).unwrap_or_default(),
        stated: stated.collect(),
    }
}

/// Why each step comes. A part that is pushed on by what pushed it before moves on.
fn reasons(engine: &Engine, found: &Exploration) -> Vec<Vec<String>> {
    let mut before: Option<&str> = None;
    let told = found.line.iter().map(|step| {
        let step = &found.steps[*step];
        let moved = step.events.iter().find(|event| matches!(event, Event::Leaves(..)));
        let again = moved.filter(|_| before == Some(step.why.as_str()));
        before = Some(&step.why);
        let mut told = vec![match again {
            Some(event) => format!("{} moves on", subject(*event).the(engine)),
            None => step.why.clone(),
        }];
        let states = (&found.states[step.from], &found.states[step.to]);
        told.extend(ways_because(engine, states, &step.events));
        told
    });
    told.collect()
}

/// The part that an event is about.
fn subject(event: Event) -> Element {
    let subject = event.subject();
    subject.owner().unwrap_or(subject)
}

/// What happens in some runs only. Steps that decide it are named by their numbers.
fn in_some(engine: &Engine, found: &Exploration, runs: &AllRuns) -> Vec<String> {
    let steps = happenings(found, &found.line);
    let told: Vec<Happening> = steps.iter().flatten().copied().collect();
    let words = |it: &Happening| format!("\u{201c}{}\u{201d}", event_words(engine, it.event));
    let numbered = |it: &Happening| {
        let step = steps.iter().position(|step| step.contains(it)).unwrap_or_default();
        format!("{} {}", step + 1, words(it))
    };
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    let all = runs.in_some_only();
    for it in all.iter().copied().take(MOST_IN_SOME) {
        let when = match runs.decided_by(it, &told) {
            Some((first, then)) => {
                format!("where {} comes before {}", numbered(&first), numbered(&then))
            }
            None => "in some orders of these events".to_owned(),
        };
        let again = if it.nth == 1 { "" } else { " once more" };
        let what = format!("{}{again}", words(&it));
        match groups.iter_mut().find(|(known, _)| *known == when) {
            Some((_, all)) => all.push(what),
            None => groups.push((when, vec![what])),
        }
    }
    let sentences =
        groups.into_iter().map(|(when, what)| format!("only {when}: {}", what.join(", ")));
    let mut sentences: Vec<String> = sentences.collect();
    if MOST_IN_SOME < all.len() {
        let more = all.len() - MOST_IN_SOME;
        sentences.push(format!("{more} more events happen in some orders only"));
    }
    if runs.some_stop {
        sentences.push(
            "some runs stop where nothing decides: order is told as far as they go".to_owned(),
        );
    }
    sentences
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logic::{Ending, explore};
    use crate::text::Source;
    use std::collections::{BTreeMap, BTreeSet};
    use std::path::Path;

    /// Runs that are looked at one by one for an engine.
    const MOST_RUNS: usize = 20_000;

    type StepPairs = BTreeSet<(usize, usize)>;

    /// The engines of the demo and of the logic's tests.
    fn engines() -> Vec<Engine> {
        let mut engines = Vec::new();
        for folder in ["diagrams", "tests/logic", "tests/faults"] {
            let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
            let others = |name: &str| {
                let text = std::fs::read_to_string(folder.join(format!("{name}.cut"))).ok()?;
                Some(Source::new(format!("{name}.cut"), text))
            };
            let mut files: Vec<_> = std::fs::read_dir(&folder).unwrap().flatten().collect();
            files.sort_by_key(std::fs::DirEntry::path);
            for file in files.iter().map(std::fs::DirEntry::path) {
                if file.extension().is_some_and(|end| end == "cut") {
                    let text = std::fs::read_to_string(&file).unwrap();
                    let source = Source::new(file.display().to_string(), text);
                    engines.push(crate::cutaway::read(&source, &others).0);
                    engines.extend(crate::cutaway::revisions(&source, &others));
                }
            }
        }
        engines
    }

    /// What was seen on another engine is told as that.
    #[test]
    fn an_order_that_was_taken_over_says_from_where() {
        let ash = engines().into_iter().find(|it| it.name.id == "ash").unwrap();
        let stated = telling(&ash, &explore(&ash)).stated;
        assert!(stated.iter().any(|(_, how)| how == "timed, taken over from rowan"), "{stated:?}");
        assert!(stated.iter().any(|(_, how)| how == "measured"), "{stated:?}");
    }

    /// Every run to its end or once round, as places of its happenings; none where there are more
    /// than are looked at. Walked step by step, with nothing shared between runs.
    fn all_runs(found: &Exploration) -> Option<Vec<BTreeMap<Happening, usize>>> {
        let mut runs = Vec::new();
        let mut open: Vec<Vec<usize>> = vec![Vec::new()];
        while let Some(line) = open.pop() {
            let met = |state: usize| {
                let before = line.iter().filter(|step| found.steps[**step].from == state);
                before.count()
            };
            let at = line.last().map_or(0, |step| found.steps[*step].to);
            let out = found.steps.iter().enumerate().filter(|(_, step)| step.from == at);
            let out: Vec<usize> = out.map(|(step, _)| step).collect();
            if out.is_empty() || 0 < met(at) {
                let steps = happenings(found, &line);
                let places = steps.iter().enumerate();
                let places = places.flat_map(|(at, step)| step.iter().map(move |it| (*it, at)));
                runs.push(places.collect());
            } else {
                open.extend(out.into_iter().map(|step| [line.clone(), vec![step]].concat()));
            }
            if MOST_RUNS < runs.len() + open.len() {
                return None;
            }
        }
        Some(runs)
    }

    /// Pairs of steps of which the first comes for certain before the second, and those that are
    /// told to be open.
    fn pairs(order: &[OrderPiece]) -> (StepPairs, StepPairs) {
        let (mut sure, mut open) = (BTreeSet::new(), BTreeSet::new());
        let across = |one: &[usize], other: &[usize]| -> Vec<(usize, usize)> {
            one.iter().flat_map(|a| other.iter().map(|b| (*a, *b))).collect()
        };
        for (at, piece) in order.iter().enumerate() {
            for later in &order[at + 1..] {
                sure.extend(across(&piece.steps(), &later.steps()));
            }
            match piece {
                OrderPiece::Step(_) => {}
                OrderPiece::Either { strands, .. } => {
                    for (at, strand) in strands.iter().enumerate() {
                        let (within, open_within) = pairs(strand);
                        sure.extend(within);
                        open.extend(open_within);
                        let steps = |strand: &[OrderPiece]| -> Vec<usize> {
                            strand.iter().flat_map(OrderPiece::steps).collect()
                        };
                        for other in &strands[at + 1..] {
                            open.extend(across(&steps(strand), &steps(other)));
                        }
                    }
                }
                OrderPiece::Tangle { steps, .. } => {
                    for (at, (step, later)) in steps.iter().enumerate() {
                        open.extend(later.iter().map(|later| (*step, *later)));
                        let sure_ones =
                            steps[at + 1..].iter().filter(|(it, _)| !later.contains(it));
                        sure.extend(sure_ones.map(|(it, _)| (*step, *it)));
                    }
                }
            }
        }
        (sure, open)
    }

    /// The order that is told against every run, walked one by one.
    #[test]
    fn an_order_is_told_where_every_run_has_it_and_nowhere_else() {
        let (mut looked_at, mut groups) = (0, 0);
        for engine in engines() {
            let found = explore(&engine);
            let (Some(order), Some(runs)) = (telling(&engine, &found).order, all_runs(&found))
            else {
                continue;
            };
            let name = &engine.name.id;
            let told = happenings(&found, &found.line);
            let mut steps: Vec<usize> = order.iter().flat_map(OrderPiece::steps).collect();
            steps.sort_unstable();
            assert!(steps.iter().copied().eq(0..told.len()), "{name}: each step once");
            let (sure, open) = pairs(&order);
            let pairs = told.len() * told.len().saturating_sub(1) / 2;
            assert_eq!(sure.len() + open.len(), pairs, "{name}: each pair once");
            let orders = |(first, then): &(usize, usize)| {
                let mut seen = BTreeSet::new();
                for run in &runs {
                    for one in &told[*first] {
                        let places = told[*then].iter().map(|other| (run.get(one), run.get(other)));
                        let both = places.filter_map(|(a, b)| Some(a?.cmp(b?)));
                        seen.extend(both);
                    }
                }
                seen
            };
            for pair in &sure {
                let seen = orders(pair);
                assert!(seen.iter().all(|it| it.is_lt()), "{name}: {pair:?} is told as certain");
            }
            // What goes round more than once is not walked here.
            let goes_round = |(_, ending): &(usize, Ending)| matches!(ending, Ending::Repeats(_));
            let open = open.iter().filter(|_| !found.endings.iter().any(goes_round));
            for pair in open {
                let seen = orders(pair);
                assert!(seen.iter().any(|it| it.is_ge()), "{name}: {pair:?} is told as open");
            }
            looked_at += 1;
            groups += order.iter().filter(|it| !matches!(it, OrderPiece::Step(_))).count();
        }
        assert!(20 < looked_at && 10 < groups, "{looked_at} engines, {groups} groups");
    }

    /// What happens in some runs only is told with the order that decides it: a store that feeds
    /// a tube past a slide which a clock shuts, while the ball lets the air out.
    #[test]
    fn what_happens_in_some_runs_only_is_told_with_what_decides() {
        let text = "cutaway lime\nsupply line\nchamber store  role store\nchamber tube\n\
             valve pilot  2/2  solenoid\n  rest     joins nothing\n  shifted  joins store to tube\n  \
             shifts   on trigger\n  returns  after dwell\n\
             way feed  from line to store  narrow\nbarrel  from tube\n\
             ball seed  in tube  fed while pilot at rest\n";
        let (engine, _) = crate::cutaway::read(&Source::new("lime.cut", text), &|_| None);
        let found = explore(&engine);
        let told = telling(&engine, &found).in_some;
        assert!(
            told.iter().any(|text| text.contains("store empties") && text.contains("comes before")),
            "{told:?}"
        );
    }

    /// Of runs that were not all looked at no order is told, and where one stops it is said.
    #[test]
    fn what_was_not_followed_is_not_told_as_order() {
        let text = "cutaway elder\nsupply line\nchamber cap\nchamber rod\n\
             way in_cap from line to cap while trigger\nway in_rod from line to rod while trigger\n\
             way out_cap from cap to open_air while trigger released\n\
             way out_rod from rod to open_air while trigger released\n\
             moving slide\n  positions back, front\n  rests back\n  \
             face cap in cap pushes forward\n  face rod in rod pushes back\n\
             way tap from line to cap narrow while slide at front\n";
        let (engine, _) = crate::cutaway::read(&Source::new("elder.cut", text), &|_| None);
        let found = explore(&engine);
        let stops = |(_, ending): &(usize, Ending)| matches!(ending, Ending::Undecided(_));
        assert!(found.endings.iter().any(stops), "{:?}", found.endings);
        assert!(telling(&engine, &found).in_some.iter().any(|text| text.contains("stop")));
        let cut = crate::logic::explore_within(&engine, crate::logic::Clocks::Wait, 2);
        assert!(cut.is_cut_short && telling(&engine, &cut).order.is_none());
    }

    /// The reason of an opening or closing is its own condition.
    #[test]
    fn a_way_has_its_own_reason() {
        let engines = engines();
        let rowan = engines.iter().find(|engine| engine.name.id == "rowan").unwrap();
        let found = explore(rowan);
        let reasons = telling(rowan, &found).reasons.concat();
        for reason in [
            "the mouth opens because the switch reached back",
            "the bleed hole opens and the stage closes because the bolt reached caught",
            "the outlet opens because the bolt reached ported",
            "the outlet closes because the bolt left ported",
            "the feed neck opens because the bolt left sealed",
            "the bolt moves on",
        ] {
            assert!(reasons.iter().any(|told| told == reason), "{reason}: {reasons:#?}");
        }
    }
}
