//! The writer's sequence against the event logic.

use crate::cutaway::events::{event_words, parse_event};
use crate::cutaway::model::{Engine, Event};
use crate::folio::{Folio, PageEntry};
use crate::logic::{self, EventStanding, Exploration, follow, left_out, precedence};
use crate::page::yaml::Text;
use crate::quantity::Verdict;
use crate::slip::Slip;
use crate::text::{Source, Spot};
use std::sync::Arc;

/// How one event of a written sequence came out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct SequenceFinding {
    /// The event, if the words name one.
    pub(crate) event: Option<Event>,
    /// How it stands; `None` where nothing could be checked.
    pub(crate) standing: Option<EventStanding>,
    /// What was found, in words; empty where there is nothing to say.
    pub(crate) reason: String,
    /// Whether it holds its place only as long as a dwell outlasts what moves freely.
    pub(crate) rests_on_dwell: bool,
}

/// How an event stands, as a verdict; none where that is open.
pub(crate) fn verdict(standing: &EventStanding) -> Option<Verdict> {
    match standing {
        EventStanding::Follows => Some(Verdict::Agree),
        EventStanding::Possible => Some(Verdict::Lenient),
        EventStanding::Early(_)
        | EventStanding::Late(_)
        | EventStanding::Elsewhere
        | EventStanding::Never => Some(Verdict::Disagree),
        EventStanding::Open => None,
    }
}

/// Judges the sequence of an engine page; one finding an event, none where there is no cutaway.
#[must_use]
pub(crate) fn judge(
    folio: &Folio,
    page: &PageEntry,
    source: &Arc<Source>,
    slips: &mut Vec<Slip>,
) -> Vec<SequenceFinding> {
    let Some(routed) = page.front.engine.as_ref().and_then(|name| folio.routing.of(&name.text))
    else {
        return Vec::new();
    };
    let engine = &routed.engine;
    let sequence = &page.front.sequence;
    let mut known: Vec<(usize, Event)> = Vec::new();
    let mut findings = Vec::new();
    for (at, text) in sequence.iter().enumerate() {
        let event = match parse_event(engine, &text.text) {
            Ok(event) => {
                known.push((at, event));
                Some(event)
            }
            Err(fault) => {
                slips.push(unknown(source, engine, text, &fault));
                None
            }
        };
        findings.push(SequenceFinding {
            event,
            standing: None,
            reason: String::new(),
            rests_on_dwell: false,
        });
    }
    let events: Vec<Event> = known.iter().map(|(_, event)| *event).collect();
    let routed = routed.telling(&events);
    let (engine, Some(shot)) = (&routed.engine, &routed.shot) else { return findings };
    let followed = follow(&shot.found, &events);
    let racing = shot.racing.as_ref().map(|racing| follow(racing, &events));
    for (place, (at, _)) in known.iter().enumerate() {
        let standing = &followed.events[place];
        let judged = JudgedEvent {
            engine,
            found: &shot.found,
            source,
            sequence,
            known: &known,
            standings: &followed.events,
        };
        let reason = judged.reason(place, standing);
        slips.extend(judged.slip(place, standing, &reason));
        let finding = &mut findings[*at];
        finding.standing = Some(standing.clone());
        finding.reason = reason;
        let is_certain = racing.as_ref().is_none_or(|racing| {
            matches!(racing.events[place], EventStanding::Follows | EventStanding::Open)
        });
        finding.rests_on_dwell = *standing == EventStanding::Follows && !is_certain;
    }
    if !sequence.is_empty() {
        slips.extend(incomplete(source, engine, &shot.found, &followed.line, &events, sequence));
    }
    findings
}

struct JudgedEvent<'a> {
    engine: &'a Engine,
    found: &'a Exploration,
    source: &'a Arc<Source>,
    sequence: &'a [Text],
    known: &'a [(usize, Event)],
    standings: &'a [EventStanding],
}

impl JudgedEvent<'_> {
    fn reason(&self, place: usize, standing: &EventStanding) -> String {
        let event = self.known[place].1;
        match standing {
            EventStanding::Follows => String::new(),
            EventStanding::Possible => {
                "it may also come elsewhere: the order is not decided here".to_owned()
            }
            EventStanding::Early(earlier) => {
                let other = &self.sequence[self.known[*earlier].0].text;
                format!("it comes before \u{201c}{other}\u{201d}, not after")
            }
            EventStanding::Late(later) => {
                let other = &self.sequence[self.known[*later].0].text;
                format!("it comes after \u{201c}{other}\u{201d}, not before")
            }
            EventStanding::Elsewhere => {
                let is_again = self.known[..place].iter().any(|(_, other)| *other == event);
                match is_again {
                    true => "it does not happen again at this place".to_owned(),
                    false => "it happens, but in no run at this place".to_owned(),
                }
            }
            EventStanding::Never => {
                format!("it never happens: {}", logic::why_never(self.engine, self.found, event))
            }
            EventStanding::Open => "not reached: what happens before it is not decided".to_owned(),
        }
    }

    fn slip(&self, place: usize, standing: &EventStanding, reason: &str) -> Option<Slip> {
        let (at, event) = self.known[place];
        let text = &self.sequence[at];
        let spot = Spot::new(self.source, text.inside());
        let words = event_words(self.engine, event);
        let named = if words == text.text {
            format!("\u{201c}{words}\u{201d}")
        } else {
            format!("\u{201c}{}\u{201d} ({words})", text.text)
        };
        let slip = match standing {
            EventStanding::Follows | EventStanding::Open => return None,
            EventStanding::Possible => self.uncertain(place, spot, &named)?,
            EventStanding::Early(_) | EventStanding::Late(_) | EventStanding::Elsewhere => {
                let message = format!("{named} is out of order: {reason}");
                let slip = Slip::stop("sequence-out-of-order", spot, message);
                self.with_cause(slip, event).help(self.way_out(standing))
            }
            EventStanding::Never => {
                Slip::stop("sequence-impossible", spot, format!("{named}: {reason}"))
            }
        };
        Some(slip)
    }

    /// What puts a step right that is out of place.
    fn way_out(&self, standing: &EventStanding) -> String {
        let step = |place: &usize| &self.sequence[self.known[*place].0].text;
        match standing {
            EventStanding::Early(earlier) => {
                format!("move it before \u{201c}{}\u{201d}", step(earlier))
            }
            EventStanding::Late(later) => format!("move it behind \u{201c}{}\u{201d}", step(later)),
            _ => "leave it out here, or say with `order … before …` in the cutaway where it comes"
                .to_owned(),
        }
    }

    /// An event whose place is not certain, told for all that follow it.
    fn uncertain(&self, place: usize, spot: Spot, named: &str) -> Option<Slip> {
        let is_uncertain = |at: &usize| self.standings.get(*at) == Some(&EventStanding::Possible);
        if place.checked_sub(1).as_ref().is_some_and(is_uncertain) {
            return None;
        }
        let more = (place + 1..self.known.len()).take_while(is_uncertain).count();
        let message = match more {
            0 => format!("the order of {named} is not certain"),
            1 => format!("the order of {named}, and of the step after it, is not certain"),
            more => {
                format!("the order of {named}, and of the {more} steps after it, is not certain")
            }
        };
        let slip = Slip::mark("sequence-uncertain", spot, message);
        let pairs =
            (place..=place + more).flat_map(|then| (0..then).map(move |first| (first, then)));
        let open =
            pairs.map(|(first, then)| (self.known[first].1, self.known[then].1)).find(|pair| {
                let order = precedence(self.found, pair.0, pair.1);
                pair.0 != pair.1 && order.first_before && order.then_before
            });
        let event = self.known[place].1;
        let open = open.or_else(|| Some((event, logic::instead_of(self.found, event)?)));
        Some(match open {
            Some((first, then)) => {
                let words = |event: Event| event_words(self.engine, event);
                let (first, then) = (words(first), words(then));
                slip.help(format!(
                    "if it is so, write `order {first} before {then} (…)` in the cutaway, with how \
                     it is known"
                ))
            }
            None => slip.help("add `order … before …` to the cutaway, with how it is known"),
        })
    }

    /// Adds what makes the event happen where it does.
    fn with_cause(&self, slip: Slip, event: Event) -> Slip {
        let step = self.found.line.iter().map(|step| &self.found.steps[*step]);
        match step.into_iter().find(|step| step.events.contains(&event)) {
            Some(step) => slip.noting(step.why.clone()),
            None => slip,
        }
    }
}

fn unknown(
    source: &Arc<Source>,
    engine: &Engine,
    text: &Text,
    fault: &crate::cutaway::events::EventFault,
) -> Slip {
    let message = format!("the sequence names no event of `{}`: {}", engine.name.id, fault.message);
    let slip = Slip::stop("event-unknown", Spot::new(source, text.inside()), message);
    let slip = match &fault.proposal {
        Some(proposal) => slip.write(proposal.clone()),
        None => slip,
    };
    slip.help(format!("or say in the cutaway what it is: `event \"{}\" is …`", text.text))
}

/// Events that the writer has words for in the cutaway, and that the sequence leaves out.
fn incomplete(
    source: &Arc<Source>,
    engine: &Engine,
    found: &Exploration,
    line: &[usize],
    events: &[Event],
    sequence: &[Text],
) -> Option<Slip> {
    let has_words = |event: Event| engine.sayings.iter().any(|saying| saying.event == event);
    let left = left_out(found, line, events, has_words);
    let first = left.first()?;
    let words = |event: &Event| {
        let saying = engine.sayings.iter().find(|saying| saying.event == *event);
        saying.map(|saying| format!("\u{201c}{}\u{201d}", saying.words.id))
    };
    let all: Vec<String> = left.iter().filter_map(words).collect();
    let last = sequence.last()?;
    let message = format!("the sequence leaves out {}", all.join(", "));
    let slip = Slip::mark("sequence-incomplete", Spot::new(source, last.inside()), message);
    let why = found.line.iter().map(|step| &found.steps[*step]);
    let step = why.into_iter().find(|step| step.events.contains(first));
    Some(match step {
        Some(step) => slip.noting(step.why.clone()),
        None => slip,
    })
}
