//! Words that tell which quantity is meant: what a pressure counts from, a difference of
//! temperatures, torque or energy.
//!
//! Closed lists of phrases next to the figure or in its clause. Nothing here looks at other
//! figures.

use super::statements::ReadStatement;
use super::words::{
    WordPhrases, clause_after, clause_before, holds_phrase, one_of, phrase_before, word_before,
};
use crate::quantity::{Dimension, Kind, Reference};
use std::sync::LazyLock;

/// Stems of verbs and nouns that tell of a change.
#[rustfmt::skip]
const CHANGES: &[&str] = &[
    "drop", "fall", "fell", "rise", "rose", "rising", "climb", "increas", "decreas", "sink",
    "sank", "reduc", "lower", "rais", "grow", "grew", "shrink", "shrank", "chang", "goes",
    "went", "vent", "bleed", "bled", "charg", "warm", "cool", "heat", "slow", "decay",
    "recover", "jump", "swing", "drift", "turn", "ramp", "mov", "fill", "expand", "compress",
    "brought", "bring", "gain", "los", "differ", "exceed", "up", "down",
];

fn is_change(word: &str) -> bool {
    let lower = word.to_ascii_lowercase();
    CHANGES.iter().any(|stem| {
        // "up" and "los" only as whole words or their own forms.
        let form = lower.strip_prefix(stem);
        form.is_some_and(|ending| 3 < stem.len() || matches!(ending, "" | "es"))
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

/// WordPhrases directly before a difference, before its hedge words.
#[rustfmt::skip]
const DIFFERENCE_BEFORE: &[(&str, ())] = &[
    ("drop of", ()), ("rise of", ()), ("fall of", ()), ("loss of", ()), ("difference of", ()),
    ("differential of", ()), ("increase of", ()), ("decrease of", ()), ("change of", ()),
    ("swing of", ()), ("gain of", ()), ("reduction of", ()), ("difference is", ()),
    ("difference was", ()), ("drop is", ()), ("drop was", ()), ("Δp of", ()), ("Δp =", ()),
    ("ΔT of", ()), ("ΔT =", ()), ("dp =", ()), ("dp of", ()),
];

/// WordPhrases directly behind a difference.
#[rustfmt::skip]
const DIFFERENCE_BEHIND: &[(&str, ())] = &[
    ("drop", ()), ("difference", ()), ("rise", ()), ("swing", ()), ("higher", ()), ("lower", ()),
    ("more", ()), ("less", ()), ("of difference", ()), ("of pressure drop", ()),
    ("pressure drop", ()), ("pressure difference", ()), ("temperature rise", ()),
    ("temperature difference", ()), ("apart", ()), ("warmer", ()), ("colder", ()),
    ("hotter", ()), ("cooler", ()),
];

static BEFORE: LazyLock<WordPhrases<()>> = LazyLock::new(|| WordPhrases::before(DIFFERENCE_BEFORE));
static BEHIND: LazyLock<WordPhrases<()>> = LazyLock::new(|| WordPhrases::behind(DIFFERENCE_BEHIND));
static BEHIND_A_PRESSURE: LazyLock<WordPhrases<Reference>> =
    LazyLock::new(|| WordPhrases::behind(PRESSURE_BEHIND));

/// Settles reference and kind from the words around a statement.
pub(super) fn cues(text: &str, statement: &mut ReadStatement, from: usize) {
    let figure = &statement.figure;
    let temperature = figure.unit.dimension == Dimension::TEMPERATURE && figure.kind_yields;
    if figure.unit.is_pressure() && figure.reference.is_none() {
        let (reference, end) = pressure_reference(text, statement, from);
        statement.figure.reference = reference;
        statement.told = reference.is_some();
        statement.tail = statement.tail.max(end);
    } else if temperature && is_difference(text, statement) {
        statement.figure.kind = Kind::TemperatureDifference;
        statement.figure.kind_yields = false;
    } else if figure.unit.dimension == Dimension::ENERGY && figure.kind_yields {
        energy_or_torque(text, statement, from);
    }
}

fn is_difference(text: &str, statement: &ReadStatement) -> bool {
    let lead = statement.lead;
    let by = phrase_before(text, lead, "by").is_some_and(|by| {
        changes_before(text, by)
            || one_of(word_before(text, by).0, &["higher", "lower", "warmer", "colder", "differ"])
    });
    by || BEFORE.find_before(text, lead).is_some()
        || BEHIND.find_behind(text, statement.tail).is_some()
}

/// WordPhrases in the clause before a pressure.
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

/// WordPhrases directly behind a pressure that are part of its statement.
const PRESSURE_BEHIND: &[(&str, Reference)] = &[
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
    statement: &ReadStatement,
    from: usize,
) -> (Option<Reference>, usize) {
    let (lead, tail) = (statement.lead, statement.tail);
    if let Some((end, reference)) = BEHIND_A_PRESSURE.find_behind(text, tail) {
        return (Some(reference), end);
    }
    if phrase_before(text, lead, "vacuum of").is_some() {
        return (Some(Reference::Vacuum), tail);
    }
    if is_difference(text, statement) {
        return (Some(Reference::Difference), tail);
    }
    let clause = clause_before(text, from, lead, 60);
    // All the phrases hold this word.
    if !clause.contains("ressure") {
        return (None, tail);
    }
    let said = PRESSURE_CLAUSE.iter().find(|(phrase, _)| holds_phrase(clause, phrase));
    (said.map(|(_, reference)| *reference), tail)
}

#[rustfmt::skip]
const TORQUE: &[&str] = &[
    "torque", "torques", "torqued", "tighten", "tightened", "tightening", "wrench", "screw",
    "screws", "nut", "moment",
];
const ENERGY: &[&str] =
    &["energy", "energies", "kinetic", "work", "stored", "muzzle", "impact", "joules"];

fn energy_or_torque(text: &str, statement: &mut ReadStatement, from: usize) {
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
