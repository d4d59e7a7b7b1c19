//! Words around a figure: bounds, hedges, what a pressure counts from, which kind is meant.
//!
//! Closed lists of phrases next to the figure or in its clause. Nothing here looks at other
//! figures; what the members of a dual statement lend each other is settled in `pairs.rs`.

use super::statements::Statement;
use super::words::{
    clause_after, clause_before, holds_phrase, one_of, phrase_after, phrase_before,
    skip_blanks_back, word_before,
};
use crate::quantity::{Bound, Dimension, Hedge, Kind, Reference};

/// What a phrase beside a figure means.
#[derive(Clone, Copy)]
enum Mark {
    Bound(Bound),
    Hedge(Hedge),
}

const fn bound(bound: Bound) -> Mark {
    Mark::Bound(bound)
}

const ABOUT: Mark = Mark::Hedge(Hedge::About);
const NEARLY: Mark = Mark::Hedge(Hedge::Nearly);
const JUST_OVER: Mark = Mark::Hedge(Hedge::JustOver);
const OVER: Mark = bound(Bound::Over);
const UNDER: Mark = bound(Bound::Under);
const AT_LEAST: Mark = bound(Bound::AtLeast);
const AT_MOST: Mark = bound(Bound::AtMost);

/// Phrases before a figure; a longer one stands before its own ending.
const BEFORE: &[(&str, Mark)] = &[
    ("not much more than", JUST_OVER),
    ("a little more than", JUST_OVER),
    ("a bit more than", JUST_OVER),
    ("slightly more than", JUST_OVER),
    ("only just over", JUST_OVER),
    ("just more than", JUST_OVER),
    ("a little over", JUST_OVER),
    ("a little above", JUST_OVER),
    ("slightly over", JUST_OVER),
    ("slightly above", JUST_OVER),
    ("a bit over", JUST_OVER),
    ("a shade over", JUST_OVER),
    ("just over", JUST_OVER),
    ("just above", JUST_OVER),
    ("a little less than", NEARLY),
    ("slightly less than", NEARLY),
    ("just less than", NEARLY),
    ("a little under", NEARLY),
    ("a little below", NEARLY),
    ("slightly under", NEARLY),
    ("slightly below", NEARLY),
    ("a shade under", NEARLY),
    ("a bit under", NEARLY),
    ("just under", NEARLY),
    ("just below", NEARLY),
    ("just short of", NEARLY),
    ("not quite", NEARLY),
    ("nearly", NEARLY),
    ("almost", NEARLY),
    ("no more than", AT_MOST),
    ("not more than", AT_MOST),
    ("never more than", AT_MOST),
    ("no greater than", AT_MOST),
    ("not over", AT_MOST),
    ("never over", AT_MOST),
    ("never above", AT_MOST),
    ("not above", AT_MOST),
    ("not exceed", AT_MOST),
    ("not exceeding", AT_MOST),
    ("never exceeds", AT_MOST),
    ("no less than", AT_LEAST),
    ("not less than", AT_LEAST),
    ("never less than", AT_LEAST),
    ("no fewer than", AT_LEAST),
    ("not below", AT_LEAST),
    ("never below", AT_LEAST),
    ("not under", AT_LEAST),
    ("well over", OVER),
    ("well above", OVER),
    ("more than", OVER),
    ("greater than", OVER),
    ("larger than", OVER),
    ("longer than", OVER),
    ("higher than", OVER),
    ("in excess of", OVER),
    ("upwards of", OVER),
    ("exceeds", OVER),
    ("exceeding", OVER),
    ("exceed", OVER),
    ("beyond", OVER),
    ("above", OVER),
    ("over", OVER),
    ("well under", UNDER),
    ("well below", UNDER),
    ("less than", UNDER),
    ("fewer than", UNDER),
    ("smaller than", UNDER),
    ("shorter than", UNDER),
    ("lower than", UNDER),
    ("below", UNDER),
    ("under", UNDER),
    ("at least", AT_LEAST),
    ("a minimum of", AT_LEAST),
    ("minimum of", AT_LEAST),
    ("as little as", AT_LEAST),
    ("at most", AT_MOST),
    ("at the most", AT_MOST),
    ("a maximum of", AT_MOST),
    ("maximum of", AT_MOST),
    ("as much as", AT_MOST),
    ("as many as", AT_MOST),
    ("up to", AT_MOST),
    ("in the region of", ABOUT),
    ("in the order of", ABOUT),
    ("of the order of", ABOUT),
    ("on the order of", ABOUT),
    ("somewhere around", ABOUT),
    ("something like", ABOUT),
    ("or so", ABOUT),
    ("about", ABOUT),
    ("roughly", ABOUT),
    ("around", ABOUT),
    ("approximately", ABOUT),
    ("approx.", ABOUT),
    ("approx", ABOUT),
    ("circa", ABOUT),
    ("ca.", ABOUT),
    ("c.", ABOUT),
    ("close to", ABOUT),
    ("nominally", ABOUT),
    ("some", ABOUT),
    (">=", AT_LEAST),
    ("<=", AT_MOST),
    ("≥", AT_LEAST),
    ("≤", AT_MOST),
    ("⩾", AT_LEAST),
    ("⩽", AT_MOST),
    (">", OVER),
    ("<", UNDER),
    ("~", ABOUT),
    ("≈", ABOUT),
    ("∼", ABOUT),
    ("≃", ABOUT),
];

/// Phrases after a figure.
const AFTER: &[(&str, Mark)] = &[
    ("or more", AT_LEAST),
    ("or above", AT_LEAST),
    ("or higher", AT_LEAST),
    ("or over", AT_LEAST),
    ("and above", AT_LEAST),
    ("and over", AT_LEAST),
    ("and up", AT_LEAST),
    ("at least", AT_LEAST),
    ("minimum", AT_LEAST),
    ("min.", AT_LEAST),
    ("or less", AT_MOST),
    ("or below", AT_MOST),
    ("or lower", AT_MOST),
    ("or under", AT_MOST),
    ("at most", AT_MOST),
    ("maximum", AT_MOST),
    ("max.", AT_MOST),
    ("max", AT_MOST),
    ("or so", ABOUT),
    ("or thereabouts", ABOUT),
    ("give or take", ABOUT),
];

/// Reads the marks before and after a statement into its figure. `from` is the end of the figure
/// before it.
pub(super) fn marks(text: &str, statement: &mut Statement, from: usize) {
    for _ in 0..3 {
        let lead = statement.lead;
        let last = text[..lead].trim_end_matches([' ', '\n', '\u{a0}']).chars().next_back();
        let found = BEFORE.iter().find_map(|(phrase, mark)| {
            let ends_alike = last.is_some_and(|last| phrase.ends_with(last.to_ascii_lowercase()));
            let start = if ends_alike { phrase_before(text, lead, phrase)? } else { return None };
            (from <= start).then_some((start, *mark))
        });
        let Some((start, mark)) = found else { break };
        if is_per(text, start) {
            break;
        }
        statement.lead = start;
        apply(statement, mark);
    }
    trailing(text, statement, statement.tail);
}

/// Reads a mark that stands at `at`, behind the statement or the bracket it is in.
pub(super) fn trailing(text: &str, statement: &mut Statement, at: usize) {
    let found = AFTER
        .iter()
        .find_map(|(phrase, mark)| phrase_after(text, at, phrase).map(|end| (end, *mark)));
    if let Some((end, mark)) = found {
        statement.tail = statement.tail.max(end);
        apply(statement, mark);
    }
}

/// "120 over 80", "0.02 mm over 100 mm": a number directly before "over" makes it "per".
fn is_per(text: &str, start: usize) -> bool {
    if !super::words::word_at(text, start).eq_ignore_ascii_case("over") {
        return false;
    }
    let (word, word_start) = word_before(text, start);
    let number_end =
        if word.is_empty() { word_start } else { skip_blanks_back(text.as_bytes(), word_start) };
    text[..number_end].ends_with(|c: char| c.is_ascii_digit())
}

fn apply(statement: &mut Statement, mark: Mark) {
    let figure = &mut statement.figure;
    match mark {
        Mark::Bound(bound) => figure.bound = figure.bound.or(Some(bound)),
        Mark::Hedge(hedge) => figure.hedge = figure.hedge.or(Some(hedge)),
    }
}

/// Stems of verbs and nouns that tell of a change.
const CHANGES: &[&str] = &[
    "drop", "fall", "fell", "rise", "rose", "rising", "climb", "increas", "decreas", "sink",
    "sank", "reduc", "lower", "rais", "grow", "grew", "shrink", "shrank", "chang", "goes", "went",
    "vent", "bleed", "bled", "charg", "warm", "cool", "heat", "slow", "decay", "recover", "jump",
    "swing", "drift", "turn", "ramp", "mov", "fill", "expand", "compress", "brought", "bring",
    "gain", "los", "differ", "exceed", "up", "down",
];

fn is_change(word: &str) -> bool {
    let lower = word.to_ascii_lowercase();
    CHANGES.iter().any(|stem| {
        // "up" and "los" only as whole words or their own forms.
        if stem.len() <= 3 {
            lower == *stem || lower == format!("{stem}es")
        } else {
            lower.starts_with(stem)
        }
    })
}

/// Whether one of the two words before `at` tells of a change.
pub(super) fn changes_before(text: &str, at: usize) -> bool {
    let (last, last_start) = word_before(text, at);
    if last.is_empty() {
        return false;
    }
    is_change(last) || is_change(word_before(text, last_start).0)
}

/// Phrases directly before a difference, before its hedge words.
const DIFFERENCE_BEFORE: &[&str] = &[
    "drop of",
    "rise of",
    "fall of",
    "loss of",
    "difference of",
    "differential of",
    "increase of",
    "decrease of",
    "change of",
    "swing of",
    "gain of",
    "reduction of",
    "difference is",
    "difference was",
    "drop is",
    "drop was",
    "Δp of",
    "Δp =",
    "ΔT of",
    "ΔT =",
    "dp =",
    "dp of",
];

/// Phrases directly after a difference.
const DIFFERENCE_AFTER: &[&str] = &[
    "drop",
    "difference",
    "rise",
    "swing",
    "higher",
    "lower",
    "more",
    "less",
    "of difference",
    "of pressure drop",
    "pressure drop",
    "pressure difference",
    "temperature rise",
    "temperature difference",
    "apart",
];

const TEMPERATURE_AFTER: &[&str] =
    &["warmer", "colder", "hotter", "cooler", "increase", "increment"];

/// Settles reference and kind from the words around a statement.
pub(super) fn cues(text: &str, statement: &mut Statement, from: usize) {
    let figure = &statement.figure;
    let temperature = figure.unit.dimension == Dimension::TEMPERATURE && figure.kind_yields;
    if figure.unit.is_pressure() && figure.reference.is_none() {
        let (reference, end) = pressure_reference(text, statement, from);
        statement.figure.reference = reference;
        statement.told = reference.is_some();
        statement.tail = statement.tail.max(end);
    } else if temperature && is_difference(text, statement)
        || temperature && after_any(text, statement.tail, TEMPERATURE_AFTER)
    {
        statement.figure.kind = Kind::TemperatureDifference;
        statement.figure.kind_yields = false;
    } else if figure.unit.dimension == Dimension::ENERGY && figure.kind_yields {
        energy_or_torque(text, statement, from);
    }
}

fn is_difference(text: &str, statement: &Statement) -> bool {
    let lead = statement.lead;
    let by = phrase_before(text, lead, "by").is_some_and(|by| {
        changes_before(text, by)
            || one_of(word_before(text, by).0, &["higher", "lower", "warmer", "colder", "differ"])
    });
    by || DIFFERENCE_BEFORE.iter().any(|phrase| phrase_before(text, lead, phrase).is_some())
        || after_any(text, statement.tail, DIFFERENCE_AFTER)
}

fn after_any(text: &str, at: usize, phrases: &[&str]) -> bool {
    phrases.iter().any(|phrase| phrase_after(text, at, phrase).is_some())
}

/// Phrases in the clause before a pressure.
const PRESSURE_CLAUSE: &[(&str, Reference)] = &[
    ("gauge pressure", Reference::Gauge),
    ("gage pressure", Reference::Gauge),
    ("absolute pressure", Reference::Absolute),
    ("pressure difference", Reference::Difference),
    ("difference in pressure", Reference::Difference),
    ("difference of pressure", Reference::Difference),
    ("pressure differential", Reference::Difference),
    ("differential pressure", Reference::Difference),
    ("pressure drop", Reference::Difference),
    ("pressure loss", Reference::Difference),
    ("drop in pressure", Reference::Difference),
    ("rise in pressure", Reference::Difference),
];

/// Phrases directly after a pressure that are part of its statement.
const PRESSURE_AFTER: &[(&str, Reference)] = &[
    ("above ambient", Reference::Gauge),
    ("above atmospheric", Reference::Gauge),
    ("above atmosphere", Reference::Gauge),
    ("over ambient", Reference::Gauge),
    ("below ambient", Reference::Vacuum),
    ("below atmospheric", Reference::Vacuum),
    ("below atmosphere", Reference::Vacuum),
    ("of vacuum", Reference::Vacuum),
    ("of absolute pressure", Reference::Absolute),
    ("of gauge pressure", Reference::Gauge),
    ("in absolute terms", Reference::Absolute),
];

fn pressure_reference(
    text: &str,
    statement: &Statement,
    from: usize,
) -> (Option<Reference>, usize) {
    let (lead, tail) = (statement.lead, statement.tail);
    let after = PRESSURE_AFTER.iter().find_map(|(phrase, reference)| {
        phrase_after(text, tail, phrase).map(|end| (Some(*reference), end))
    });
    if let Some(found) = after {
        return found;
    }
    if phrase_before(text, lead, "vacuum of").is_some() {
        return (Some(Reference::Vacuum), tail);
    }
    if is_difference(text, statement) {
        return (Some(Reference::Difference), tail);
    }
    let clause = clause_before(text, from, lead, 60);
    let said = PRESSURE_CLAUSE.iter().find(|(phrase, _)| holds_phrase(clause, phrase));
    (said.map(|(_, reference)| *reference), tail)
}

const TORQUE: &[&str] = &[
    "torque",
    "torques",
    "torqued",
    "tighten",
    "tightened",
    "tightening",
    "wrench",
    "screw",
    "screws",
    "nut",
    "moment",
];
const ENERGY: &[&str] =
    &["energy", "energies", "kinetic", "work", "stored", "muzzle", "impact", "joules"];

fn energy_or_torque(text: &str, statement: &mut Statement, from: usize) {
    let before = clause_before(text, from, statement.lead, 80);
    let after = clause_after(text, statement.tail, 40);
    let holds = |words: &[&str]| {
        words.iter().any(|word| holds_phrase(before, word) || holds_phrase(after, word))
    };
    let kind = match (holds(TORQUE), holds(ENERGY)) {
        (true, false) => Kind::Torque,
        (false, true) => Kind::Energy,
        _ => return,
    };
    statement.figure.kind = kind;
    statement.figure.kind_yields = false;
}
