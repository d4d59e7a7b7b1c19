//! Ring sizes in prose: dash numbers exist, and comparisons of two rings are right.

use crate::folio::words::sentences;
use crate::proof::passage::Passage;
use crate::proof::prose::PageContext;
use crate::quantity::judge::against;
use crate::quantity::reader::{ReadOptions, read};
use crate::quantity::{Computed, Dimension, Figure, Kind, Quantity, Real, Verdict};
use crate::sheet::declare::ring_unknown;
use crate::slip::Slip;
use crate::tables::{self, Ring};
use crate::text::Span;

/// Judges the dash numbers of a passage; gives the spans of figures that a comparison of two rings
/// accounts for.
pub(in crate::proof) fn judge(
    passage: &Passage<'_>,
    dashes: &[(Span, String)],
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Vec<Span> {
    let mut settled = Vec::new();
    if dashes.is_empty() {
        return settled;
    }
    let mut rings: Vec<(Span, &Ring)> = Vec::new();
    for (span, dash) in dashes {
        match tables::ring(dash) {
            Ok(ring) => rings.push((*span, ring)),
            Err(fault) => slips.push(ring_unknown(passage.spot(*span), &fault)),
        }
    }
    for sentence in sentences(passage.text) {
        let here: Vec<&Ring> = rings
            .iter()
            .filter(|(span, _)| sentence.contains(*span))
            .map(|(_, ring)| *ring)
            .collect();
        if let [first, second] = here.as_slice() {
            settled.extend(compare(passage, sentence, first, second, context, slips));
        }
    }
    settled
}

/// "…, same section, 4.75 mm larger inside": the difference of the two.
fn compare(
    passage: &Passage<'_>,
    sentence: Span,
    first: &Ring,
    second: &Ring,
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Vec<Span> {
    let options =
        ReadOptions { decimal_comma: context.conventions.decimal_comma, ..ReadOptions::default() };
    let text = &passage.text[sentence.start..sentence.end];
    let mut settled = Vec::new();
    for mut figure in read(text, &options).figures {
        figure.span = figure.span.shifted(sentence.start);
        let behind = passage.text[figure.span.end..sentence.end].trim_start();
        let Some((comparative, rest)) = behind.split_once(|c: char| !c.is_alphabetic()) else {
            continue;
        };
        let compares =
            matches!(comparative, "larger" | "bigger" | "wider" | "smaller" | "narrower");
        if !compares || figure.unit.dimension != Dimension::LENGTH {
            continue;
        }
        let (what, difference) = difference(rest, first, second);
        settled.push(figure.span);
        slips.extend(judge_difference(passage, &figure, what, difference, context));
    }
    settled
}

fn difference(rest: &str, first: &Ring, second: &Ring) -> (&'static str, Real) {
    let word =
        rest.split(|c: char| !c.is_alphabetic()).find(|w| !matches!(*w, "" | "on" | "the" | "in"));
    let inch = Real::Exact(crate::quantity::exact::decimal(254, -4));
    let two = crate::quantity::Rational::from_integer(2.into());
    let (what, difference) = match word {
        Some("outside") => {
            let outside = |ring: &Ring| &ring.inside + &ring.section * &two;
            ("outside", outside(first) - outside(second))
        }
        Some("section" | "thick") => ("section", &first.section - &second.section),
        _ => ("inside", &first.inside - &second.inside),
    };
    (what, Real::Exact(num_traits::Signed::abs(&difference)).mul(&inch))
}

fn judge_difference(
    passage: &Passage<'_>,
    figure: &Figure,
    what: &str,
    difference: Real,
    context: &PageContext<'_>,
) -> Option<Slip> {
    let nominal = Quantity {
        si: difference.clone(),
        dimension: Dimension::LENGTH,
        kind: Kind::Plain,
        reference: None,
    };
    let computed = Computed { nominal, low: difference.clone(), high: difference };
    let judgement = against(passage.text, figure, &computed, context.conventions);
    if matches!(judgement.verdict, Verdict::Agree | Verdict::Lenient) {
        return None;
    }
    let stated = &passage.text[figure.span.start..figure.span.end];
    let message = format!("the two rings do not differ by {stated} {what}");
    let slip = Slip::stop("ring-comparison-disagrees", passage.spot(figure.span), message);
    Some(super::explained(slip, &judgement))
}
