//! One shot of an engine: poses, pressures, seals and facts, from the cutaway and the event logic.

use super::Edition;
use super::routing::{circuit_address, cutaway_address};
use super::told::order_notes;
use crate::cutaway::events::{condition_words, event_words, spoken_fact};
use crate::cutaway::model::{ChamberId, Element, Engine, Event, Seal};
use crate::drawing::{Circuit, Drawing, DrawingView, even, sections, series};
use crate::folio::routing::{Routed, trouble};
use crate::logic::{Ending, Exploration, Level, State, Step, Telling, telling};
use crate::page::yaml::Text;
use crate::proof::PageProof;
use crate::proof::checks::sequence::verdict;
use crate::quantity::Verdict;
use crate::site::shared::Link;
use crate::text::capitalised;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// The routing of an engine and what happens in one shot.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ShotView {
    /// The circuit at rest, finished SVG.
    pub(crate) circuit: String,
    /// The picture of the first moment once more, for the summary; it refers to that of `poses`.
    pub(crate) summary: String,
    /// The picture of the first moment as small as a stamp, a file of its own.
    #[serde(skip)]
    pub(crate) stamp: String,
    /// Units of the pictures for a millimetre; none where they are not to scale.
    pub(crate) scale: Option<f64>,
    /// What happens, in order; the first is the state at rest.
    pub(crate) poses: Vec<Pose>,
    /// How it ends, as a sentence.
    pub(crate) ending: String,
    pub(crate) ends_at_rest: bool,
    /// Whether it is decided to its end.
    pub(crate) decided: bool,
    /// What the telling takes for granted, as sentences.
    pub(crate) granted: Vec<String>,
    /// Orders that the writer states, with how each is known in brackets.
    pub(crate) stated: Vec<String>,
    /// Whether it was looked at which events may come in another order.
    pub(crate) order_known: bool,
    /// What happens in some orders of events only, as sentences.
    pub(crate) in_some: Vec<String>,
    /// How it may end where the order of events is not certain, as sentences.
    pub(crate) otherwise: Vec<String>,
    /// The chambers whose pressures are told, in words.
    pub(crate) chambers: Vec<String>,
    /// Seals and what they keep apart.
    pub(crate) seals: Vec<SealRow>,
    pub(crate) facts: Vec<FactRow>,
    /// The cutaway and pictures as files.
    pub(crate) downloads: Vec<Link>,
}

/// One moment of a shot.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Pose {
    /// Number, from 0 for the state at rest.
    pub(crate) number: usize,
    pub(crate) anchor: String,
    /// What has just happened, in words.
    pub(crate) events: Vec<String>,
    /// Why, as sentences; none for the state at rest.
    pub(crate) why: Vec<String>,
    /// With what it comes in either order, and what that hangs on, as a sentence; may be empty.
    pub(crate) order: String,
    /// Whether it is one of several that may come in another order.
    pub(crate) open: bool,
    /// The pressure in each chamber, as a word, and whether it has just changed.
    pub(crate) levels: Vec<LevelCell>,
    /// Whether any of them has changed; at rest all are told.
    pub(crate) is_told: bool,
    /// The picture of this moment, finished SVG.
    pub(crate) picture: String,
}

/// The pressure of a chamber in words.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct LevelCell {
    /// full, drawn on, spent, empty.
    pub(crate) word: String,
    /// Whether it has just changed.
    pub(crate) changed: bool,
}

/// One event of the writer's sequence.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct SequenceRow {
    /// The moment of the told shot in which it comes; none where that has it not.
    pub(crate) number: Option<usize>,
    /// Its anchor; empty where there is none.
    pub(crate) anchor: String,
    pub(crate) say: String,
    /// What the model calls it; empty where nothing was to be checked.
    pub(crate) event: String,
    /// How it was judged; empty where there is no cutaway.
    pub(crate) verdict: &'static str,
    /// What was found, as a short phrase; may be empty.
    pub(crate) found: String,
    /// Whether it holds its place only as long as a dwell outlasts what moves freely.
    pub(crate) rests_on_dwell: bool,
}

/// One seal.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct SealRow {
    pub(crate) name: String,
    /// The part that carries it, in words.
    pub(crate) on: String,
    /// What it keeps apart: "the store from the transfer tube".
    pub(crate) keeps_apart: String,
    /// Ring size; may be empty.
    pub(crate) size: String,
    /// When it seals; empty where always.
    #[serde(rename = "while")]
    pub(crate) when: String,
    /// Where the air goes when it leaks, as a sentence.
    pub(crate) leak: String,
}

/// One ordinal fact.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct FactRow {
    /// The fact in words.
    pub(crate) fact: String,
    /// How it is known.
    pub(crate) known: String,
}

/// The writer's sequence with what the proof found.
pub(super) fn sequence(
    texts: &[Text],
    proof: &PageProof,
    routed: Option<&Routed>,
) -> Vec<SequenceRow> {
    let mut told =
        routed.and_then(|routed| routed.shot.as_ref()).map(|shot| Numbers::of(&shot.found));
    let rows = texts.iter().enumerate().map(|(at, text)| {
        let mut row = SequenceRow { say: text.text.clone(), ..SequenceRow::default() };
        let Some(finding) = proof.sequence.get(at) else { return row };
        if let (Some(event), Some(routed)) = (finding.event, routed) {
            row.event = event_words(&routed.engine, event);
            row.number = told.as_mut().and_then(|told| told.next(event));
            row.anchor = row.number.map(pose_anchor).unwrap_or_default();
        }
        row.verdict = finding
            .standing
            .as_ref()
            .map_or("", |standing| verdict(standing).map_or("open", Verdict::word));
        row.found.clone_from(&finding.reason);
        row.rests_on_dwell = finding.rests_on_dwell;
        row
    });
    rows.collect()
}

/// The moments of the told run at which each event comes, first to last.
struct Numbers(BTreeMap<Event, VecDeque<usize>>);

impl Numbers {
    fn of(found: &Exploration) -> Numbers {
        let mut numbers = Numbers(BTreeMap::new());
        for (at, step) in found.line.iter().enumerate() {
            for event in &found.steps[*step].events {
                numbers.0.entry(*event).or_default().push_back(at + 1);
            }
        }
        numbers
    }

    /// The next moment at which an event comes.
    fn next(&mut self, event: Event) -> Option<usize> {
        self.0.get_mut(&event)?.pop_front()
    }
}

/// One shot; `None` where the cutaway has faults of its own.
pub(super) fn shot(edition: &Edition, name: &str) -> Option<ShotView> {
    let routed = edition.folio.routing.of(name)?;
    let engine = &routed.engine;
    let found = &routed.shot.as_ref()?.found;
    let circuit = edition.circuit(name)?;
    let telling = telling(engine, found);
    let drawings = drawings(edition, (name, engine, circuit), &found.line_states());
    let mut pictures = series(&drawings, &format!("_{name}"));
    let summary = pictures.pop().unwrap_or_default();
    let first = drawings.first();
    let shown: Vec<ChamberId> =
        engine.chambers.ids().skip(1).filter(|at| engine.chambers[*at].is_finite()).collect();
    Some(ShotView {
        circuit: circuit.drawing(engine, &DrawingView::default()).svg(&format!("_{name}-circuit")),
        summary,
        stamp: first.map(|it| it.svg_stamp(&format!("{name}-stamp"))).unwrap_or_default(),
        scale: first.and_then(|drawing| drawing.scale).map(|scale| scale / 1000.0),
        poses: poses((engine, found), &telling, &shown, pictures),
        ending: ending_words(engine, found),
        ends_at_rest: found.ending() == Some(&Ending::AtRest),
        decided: !matches!(found.ending(), None | Some(Ending::Undecided(_))),
        granted: found.assumptions.clone(),
        stated: telling.stated.iter().map(|(order, how)| format!("{order} ({how})")).collect(),
        order_known: telling.order.is_some(),
        in_some: telling.in_some.iter().map(|text| capitalised(text)).collect(),
        otherwise: otherwise(engine, found),
        chambers: shown.iter().map(|at| engine.chambers[*at].name.spoken()).collect(),
        seals: engine.seals.iter().map(|seal| seal_row(engine, found, seal)).collect(),
        facts: facts(engine),
        downloads: vec![
            Link::new("Cutaway", cutaway_address(name)),
            Link::new("Circuit (SVG)", circuit_address(name)),
        ],
    })
}

/// How the told run ends, as a sentence without full stop.
pub(super) fn ending_words(engine: &Engine, found: &Exploration) -> String {
    match found.ending().map(|ending| trouble(engine, found, ending)) {
        None => "The shot was not followed to its end".to_owned(),
        Some(None) => "After one shot everything is at rest again".to_owned(),
        Some(Some((_, what))) => capitalised(&what),
    }
}

/// How it may end where the order of events is not certain.
pub(crate) fn otherwise(engine: &Engine, found: &Exploration) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    let own = found.ending().and_then(|ending| trouble(engine, found, ending));
    for (_, ending) in &found.endings {
        let Some(trouble) = trouble(engine, found, ending) else { continue };
        let text = format!("In another order of events {}", trouble.1);
        if Some(&trouble) != own.as_ref() && !told.contains(&text) {
            told.push(text);
        }
    }
    told
}

fn poses(
    (engine, found): (&Engine, &Exploration),
    telling: &Telling,
    shown: &[ChamberId],
    pictures: Vec<String>,
) -> Vec<Pose> {
    let states = found.line_states();
    let words = pose_words(engine, found);
    let notes = order_notes(telling);
    let mut poses = Vec::with_capacity(states.len());
    for (number, ((state, events), picture)) in states.iter().zip(words).zip(pictures).enumerate() {
        let before = number.checked_sub(1);
        let note = before.and_then(|at| notes.get(at)).cloned().unwrap_or_default();
        let why = before.and_then(|at| telling.reasons.get(at)).into_iter().flatten();
        let levels: Vec<LevelCell> =
            shown.iter().map(|at| level_cell(before.map(|at| states[at]), state, *at)).collect();
        poses.push(Pose {
            number,
            events,
            is_told: before.is_none() || levels.iter().any(|level| level.changed),
            levels,
            why: why.map(|text| capitalised(text)).collect(),
            order: note.words,
            open: note.is_open,
            picture,
            anchor: pose_anchor(number),
        });
    }
    poses
}

/// The pictures of all moments, on one frame, and that of the first once more: sections where the
/// order of things is known.
fn drawings(
    edition: &Edition,
    (name, engine, circuit): (&str, &Engine, &Circuit),
    states: &[&State],
) -> Vec<Drawing> {
    let views: Vec<DrawingView> = states.iter().map(|state| DrawingView::of(state)).collect();
    let sized = edition.folio.sized(name);
    let mut drawings = sections(engine, sized.as_deref(), &views).unwrap_or_else(|| {
        let mut drawings: Vec<_> = views.iter().map(|view| circuit.drawing(engine, view)).collect();
        even(&mut drawings);
        drawings
    });
    drawings.extend(drawings.first().cloned());
    drawings
}

/// What has happened before each state of the told run, in words; the first is the state at rest.
pub(crate) fn pose_words(engine: &Engine, found: &Exploration) -> Vec<Vec<String>> {
    let mut happened = BTreeSet::new();
    let steps = found.line.iter().map(|step| &found.steps[*step]);
    let told = steps.map(|step| told(engine, step, &mut happened));
    std::iter::once(vec!["at rest".to_owned()]).chain(told).collect()
}

/// Anchor of a moment of the shot.
pub(super) fn pose_anchor(number: usize) -> String {
    format!("_pose-{number}")
}

/// The events of a step as readers are told them: in the writer's words where there are some and it
/// is the first time, and without what only repeats the first.
fn told(engine: &Engine, step: &Step, happened: &mut BTreeSet<Event>) -> Vec<String> {
    let mut saying = |event: Event| {
        let is_first = happened.insert(event);
        engine.sayings.iter().find(|saying| is_first && saying.event == event)
    };
    let mut words: Vec<String> = Vec::new();
    for event in &step.events {
        match saying(*event) {
            Some(saying) => words.push(saying.words.id.clone()),
            // A part that leaves one position reaches the next: one of the two is enough.
            None if matches!(event, Event::Leaves(..)) => {}
            None => words.push(event_words(engine, *event)),
        }
    }
    if words.is_empty() {
        words.extend(step.events.first().map(|event| event_words(engine, *event)));
    }
    words
}

fn level_cell(before: Option<&State>, state: &State, chamber: ChamberId) -> LevelCell {
    let level = state.levels[chamber];
    LevelCell {
        word: level.word().to_owned(),
        changed: before.is_some_and(|before| before.levels[chamber] != level),
    }
}

pub(super) fn seal_row(engine: &Engine, found: &Exploration, seal: &Seal) -> SealRow {
    let (a, b) = seal.between;
    let chamber = |at: ChamberId| Element::Chamber(at).the(engine);
    let conditions: Vec<String> =
        seal.when.iter().map(|condition| condition_words(engine, *condition)).collect();
    SealRow {
        name: seal.name.spoken(),
        on: seal.on.map_or_else(|| "body".to_owned(), |part| engine.parts[part].name.spoken()),
        keeps_apart: format!("{} from {}", chamber(a), chamber(b)),
        size: seal.size.as_ref().map(|size| size.id.clone()).unwrap_or_default(),
        when: conditions.join(" and "),
        leak: leak(engine, found, seal, &chamber),
    }
}

/// Where the air goes when a seal leaks: at rest if there is a difference then, or at the first
/// moment of the shot at which there is one.
fn leak(
    engine: &Engine,
    found: &Exploration,
    seal: &Seal,
    chamber: &dyn Fn(ChamberId) -> String,
) -> String {
    let (a, b) = seal.between;
    let sealing =
        found.line_states().into_iter().enumerate().filter(|(_, s)| s.holds(engine, &seal.when));
    let differing = sealing
        .map(|(at, state)| (at, state.levels[a], state.levels[b]))
        .find(|(_, a, b): &(usize, Level, Level)| a.rank() != b.rank());
    let Some((at, high, low)) = differing else {
        return "Not told by the pressures of this shot".to_owned();
    };
    let (from, to) = if low.rank() < high.rank() { (a, b) } else { (b, a) };
    let when = if at == 0 { "at rest" } else { "during the shot" };
    format!("Air goes from {} to {} {when}", chamber(from), chamber(to))
}

pub(super) fn facts(engine: &Engine) -> Vec<FactRow> {
    let ordinal = engine
        .facts
        .iter()
        .map(|fact| FactRow { fact: spoken_fact(engine, fact), known: fact.known.how.clone() });
    let orders = engine.orders.iter().map(|order| FactRow {
        fact: format!(
            "{} before {}",
            event_words(engine, order.first),
            event_words(engine, order.then)
        ),
        known: order.known.how.clone(),
    });
    ordinal.chain(orders).collect()
}
