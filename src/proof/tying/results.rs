//! Short formulas of entries named nearby that a figure equals: differences, sums, ratios, shares,
//! products, simple parts. They are proposed, never taken for granted.

use super::evidence::{Around, Lexicon};
use crate::proof::figure::Proposal;
use crate::proof::prose::PageContext;
use crate::proof::reference_value::{Worth, of_formula};
use crate::quantity::exact::to_f64;
use crate::quantity::judge::{interval_of, verdict};
use crate::quantity::{Dimension, Figure, Kind, Reference, Verdict};

/// As many formulas are proposed.
const MOST: usize = 3;
/// As many entries are tried as parts of a formula: those with most words for them.
const PARTS: usize = 10;
/// Words that an entry needs to be tried.
const SOME: f64 = 0.5;
/// What a word for the operation is worth.
const SAID: f64 = 2.0;
/// By so much the best must stand before the next to be certain.
const AHEAD: f64 = 0.7;
/// Words for its parts and its operation that make a formula certain.
const CERTAIN: f64 = 3.0;

/// Words that say what is done, in the form in which words are compared.
const APART: [&str; 30] = [
    "above",
    "below",
    "more",
    "less",
    "drop",
    "fall",
    "leave",
    "left",
    "margin",
    "clearance",
    "gap",
    "difference",
    "exceed",
    "clear",
    "under",
    "hand",
    "spare",
    "residual",
    "squeezed",
    "squeez",
    "rest",
    "shorter",
    "longer",
    "larger",
    "smaller",
    "beyond",
    "short",
    "lower",
    "higher",
    "loss",
];
const TOGETHER: [&str; 8] = ["together", "plus", "add", "sum", "total", "all", "both", "loaded"];
const TIMES: [&str; 12] = [
    "time", "twice", "ratio", "factor", "fold", "share", "cent", "percent", "third", "part",
    "quarter", "half",
];
const PARTS_OF: [&str; 8] =
    ["half", "third", "quarter", "side", "radius", "each", "twice", "double"];
const EACH: [&str; 8] = ["per", "each", "every", "minute", "second", "shot", "stroke", "rate"];

/// An entry as part of a formula.
#[derive(Debug, Clone)]
struct ResultPart {
    name: String,
    words: f64,
    si: f64,
    dimension: Dimension,
    kind: Kind,
    reference: Option<Reference>,
}

/// A formula that may be meant.
#[derive(Debug)]
struct Guess {
    formula: String,
    si: f64,
    score: f64,
}

/// The formulas that a figure equals, best first.
pub(super) fn proposals(
    figure: &Figure,
    around: &Around,
    lexicon: &Lexicon,
    context: &PageContext<'_>,
) -> Vec<Proposal> {
    let parts = parts(around, lexicon, context);
    let mut guesses = Vec::new();
    for (at, one) in parts.iter().enumerate() {
        alone(figure, one, around, &mut guesses);
        for other in &parts[at + 1..] {
            pair(figure, one, other, around, &mut guesses);
            pair(figure, other, one, around, &mut guesses);
        }
    }
    let (low, high) = interval_of(figure);
    let (low, high) = (to_f64(&low), to_f64(&high));
    let slack = 1e-9 * high.abs().max(low.abs());
    guesses.retain(|guess| low - slack <= guess.si && guess.si <= high + slack);
    guesses.sort_by(|a, b| b.score.total_cmp(&a.score).then_with(|| a.formula.cmp(&b.formula)));
    guesses.dedup_by(|a, b| a.formula == b.formula);
    let mut held: Vec<(f64, String)> = Vec::new();
    for guess in guesses {
        if held.len() < MOST && agrees(figure, &guess.formula, context) {
            held.push((guess.score, guess.formula));
        }
    }
    let first = held.first().map_or(0.0, |(score, _)| *score);
    let second = held.get(1).map_or(f64::NEG_INFINITY, |(score, _)| *score);
    let is_clear = CERTAIN <= first && AHEAD <= first - second;
    let proposals = held.into_iter().enumerate();
    proposals
        .map(|(at, (_, formula))| Proposal { formula, is_certain: at == 0 && is_clear })
        .collect()
}

fn parts(around: &Around, lexicon: &Lexicon, context: &PageContext<'_>) -> Vec<ResultPart> {
    let ledger = &context.folio.ledger;
    let mut parts: Vec<ResultPart> = lexicon
        .entries()
        .filter_map(|(sheet, entry)| {
            let words = lexicon.words_for((sheet, entry), around);
            let quantity = ledger.nominal(sheet, entry).filter(|_| SOME <= words)?.quantity;
            Some(ResultPart {
                name: super::name_in_formulas(context, (sheet, entry)),
                words,
                si: quantity.si.to_f64(),
                dimension: quantity.dimension,
                kind: quantity.kind,
                reference: quantity.reference,
            })
        })
        .collect();
    parts.sort_by(|a, b| b.words.total_cmp(&a.words).then_with(|| a.name.cmp(&b.name)));
    parts.truncate(PARTS);
    parts
}

/// What can be made of one entry.
fn alone(figure: &Figure, one: &ResultPart, around: &Around, guesses: &mut Vec<Guess>) {
    let said = |words: &[&str]| if around.holds(words) { SAID } else { 0.0 };
    let mut add = |formula: String, si: f64, said: f64| {
        guesses.push(Guess { formula, si, score: one.words.min(2.0) + said - 1.0 });
    };
    let (dimension, name) = (figure.unit.dimension, &one.name);
    if dimension == one.dimension && dimension != Dimension::NONE {
        if one.reference == Some(Reference::Gauge) && figure.reference == Some(Reference::Absolute)
        {
            // Worked out by the formula itself, which knows the ambient pressure.
            let (low, high) = interval_of(figure);
            add(format!("absolute({name})"), to_f64(&(low + high)) / 2.0, SAID);
        }
        for (text, factor) in [("/ 2", 0.5), ("/ 3", 1.0 / 3.0), ("/ 4", 0.25), ("* 2", 2.0)] {
            add(format!("{name} {text}"), one.si * factor, said(&PARTS_OF) - 0.5);
        }
    }
    if dimension == one.dimension.power(2) && dimension == Dimension::AREA {
        let area = std::f64::consts::FRAC_PI_4 * one.si * one.si;
        add(format!("circle_area({name})"), area, said(&["area"]));
    }
    if dimension == one.dimension.power(-1) && dimension != Dimension::NONE {
        add(format!("1 / {name}"), 1.0 / one.si, said(&EACH));
    }
}

/// What can be made of two.
fn pair(
    figure: &Figure,
    one: &ResultPart,
    other: &ResultPart,
    around: &Around,
    guesses: &mut Vec<Guess>,
) {
    let said = |words: &[&str]| if around.holds(words) { SAID } else { 0.0 };
    let words = one.words.min(2.5) + other.words.min(2.5) - 1.0;
    let mut add = |formula: String, si: f64, said: f64| {
        guesses.push(Guess { formula, si, score: words + said });
    };
    let (a, b, dimension) = (&one.name, &other.name, figure.unit.dimension);
    let is_alike = one.dimension == other.dimension;
    if is_alike && dimension == one.dimension && dimension != Dimension::NONE {
        add(format!("{a} - {b}"), one.si - other.si, said(&APART));
        if a < b {
            add(format!("{a} + {b}"), one.si + other.si, said(&TOGETHER));
        }
    }
    if is_alike
        && dimension == Dimension::NONE
        && figure.kind != Kind::Count
        && one.kind == other.kind
    {
        let share = figure.unit.code == "%";
        add(format!("{a} / {b}"), one.si / other.si, said(&TIMES) + if share { 0.5 } else { 0.0 });
        if share {
            add(format!("{a} / {b} - 1"), one.si / other.si - 1.0, said(&APART));
            add(format!("1 - {a} / {b}"), 1.0 - one.si / other.si, said(&APART));
        }
    }
    if one.dimension == Dimension::NONE && other.dimension == Dimension::NONE {
        return;
    }
    if !is_alike && dimension == one.dimension.over(other.dimension) {
        add(format!("{a} / {b}"), one.si / other.si, said(&EACH));
    }
    if a < b && dimension == one.dimension.times(other.dimension) {
        add(format!("{a} * {b}"), one.si * other.si, said(&EACH));
    }
}

/// Whether the figure agrees with the formula as a binding would be judged.
fn agrees(figure: &Figure, formula: &str, context: &PageContext<'_>) -> bool {
    let Ok(parsed) = crate::formula::parse(formula) else { return false };
    let sheet = context.sheet.unwrap_or(usize::MAX);
    let worth = of_formula(&parsed, &context.folio.ledger, sheet, context.conventions);
    let Ok(Worth::Value(computed)) = worth else { return false };
    verdict(figure, &computed, context.conventions) == Verdict::Agree
}
