//! Figures for tests from short texts: one number form, one unit, the words of hedge and bound in
//! front. Not the reader of the program: it knows no prose.

use gaugebook::quantity::judge;
use gaugebook::quantity::number::scan;
use gaugebook::quantity::units::{match_unit, table};
use gaugebook::quantity::{
    Amount, Bound, Computed, Conventions, Figure, Hedge, Judgement, Kind, Number, Reference,
    Tolerance, Unit,
};
use gaugebook::text::Span;

const WORDS: &[(&str, Option<Hedge>, Option<Bound>)] = &[
    ("about ", Some(Hedge::About), None),
    ("nearly ", Some(Hedge::Nearly), None),
    ("just over ", Some(Hedge::JustOver), None),
    ("up to ", None, Some(Bound::AtMost)),
    ("at most ", None, Some(Bound::AtMost)),
    ("at least ", None, Some(Bound::AtLeast)),
    ("over ", None, Some(Bound::Over)),
    ("under ", None, Some(Bound::Under)),
];

fn number(text: &str, at: &mut usize) -> Number {
    let (read, length) = scan(&text[*at..], false).unwrap_or_else(|| panic!("no number: {text}"));
    *at += length;
    read.unwrap_or_else(|fault| panic!("{fault:?}: {text}"))
}

fn unit(text: &str, at: &mut usize) -> Option<(&'static Unit, Option<Reference>)> {
    let rest = text[*at..].trim_start_matches([' ', '\u{a0}', '-']);
    let gap = text.len() - *at - rest.len();
    let (unit, reference, length) = match_unit(rest)?;
    *at += gap + length;
    Some((unit, reference))
}

/// Reads the figure that starts at `at` and moves `at` behind it.
pub(crate) fn figure_at(text: &str, at: &mut usize) -> Figure {
    let word = WORDS.iter().find(|(word, ..)| text[*at..].starts_with(word));
    *at += word.map_or(0, |(word, ..)| word.len());
    let start = *at;
    let first = number(text, at);
    let amount = match ["–", " to "].iter().find(|dash| text[*at..].starts_with(**dash)) {
        Some(dash) => {
            *at += dash.len();
            Amount::Range(first, number(text, at))
        }
        None => Amount::Point(first),
    };
    let plain = || table().by_code("1").expect("the unit 1");
    let (found, reference) = unit(text, at).unwrap_or_else(|| (plain(), None));
    let mut tolerance = None;
    if text[*at..].starts_with(" ± ") {
        *at += " ± ".len();
        let half_width = number(text, at);
        let own = unit(text, at).map(|(unit, _)| unit);
        tolerance = Some(Tolerance { half_width, below: None, unit: own, coverage: None });
    } else if text[*at..].starts_with(" +") {
        *at += " +".len();
        let half_width = number(text, at);
        assert!(text[*at..].starts_with("/−"), "{text}");
        *at += "/−".len();
        let below = Some(number(text, at));
        tolerance = Some(Tolerance { half_width, below, unit: None, coverage: None });
    }
    let end = *at;
    let difference = text[*at..].starts_with(" difference") && !found.is_pressure();
    *at += if difference { " difference".len() } else { 0 };
    Figure {
        span: Span::new(start, end),
        amount,
        tolerance,
        bound: word.and_then(|(_, _, bound)| *bound),
        hedge: word.and_then(|(_, hedge, _)| *hedge),
        unit: found,
        kind: if difference { Kind::TemperatureDifference } else { found.kind },
        kind_yields: found.kind_yields && !difference,
        reference,
        pair: None,
        comparison: None,
        noun: None,
    }
}

/// The one figure that a text consists of.
pub(crate) fn figure(text: &str) -> Figure {
    let mut at = 0;
    let figure = figure_at(text, &mut at);
    assert_eq!(at, text.len(), "not read to the end: {text}");
    figure
}

/// Both members of `A (B)`.
pub(crate) fn pair(text: &str) -> (Figure, Figure) {
    let mut at = 0;
    let first = figure_at(text, &mut at);
    assert!(text[at..].starts_with(" ("), "no second figure: {text}");
    at += " (".len();
    let later = figure_at(text, &mut at);
    assert_eq!(&text[at..], ")", "{text}");
    (first, later)
}

/// Judges `A (B)`.
pub(crate) fn dual(text: &str, conv: &Conventions) -> Judgement {
    let (first, later) = pair(text);
    judge::dual(text, &first, &later, conv)
}

/// A computed value without uncertainty, from a text such as `8.8253 bar gauge`.
pub(crate) fn computed(text: &str, conv: &Conventions) -> Computed {
    let figure = figure(text);
    let nominal = judge::quantity_of(&figure, conv);
    let (low, high) = judge::interval_of(&figure);
    match figure.tolerance {
        Some(_) => Computed { nominal, low: low.into(), high: high.into() },
        None => Computed { low: nominal.si.clone(), high: nominal.si.clone(), nominal },
    }
}
