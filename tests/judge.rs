//! The judge against published rules and values.

#[path = "judge/helper.rs"]
mod helper;
#[path = "judge/mutants.rs"]
mod mutants;

use gaugebook::quantity::exact::{parse_decimal, to_f64};
use gaugebook::quantity::judge::{self, convert, in_style_of, interval_of, quantity_of};
use gaugebook::quantity::units::{parse_unit, table};
use gaugebook::quantity::{
    Amount, Conventions, Figure, GasState, Judgement, Number, Rational, Reference, Verdict,
};
use helper::{computed, dual, figure, pair};
use proptest::prelude::*;

fn conventions(name: &str) -> Conventions {
    let bare_pressure = Reference::from_word(name);
    let standard_air = (name == "anr").then_some(GasState::Anr);
    assert!(name == "-" || bare_pressure.is_some() || standard_air.is_some(), "{name}");
    Conventions { bare_pressure, standard_air, ..Conventions::default() }
}

fn gauge() -> Conventions {
    conventions("gauge")
}

fn cases(text: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    let lines = text.lines().filter(|line| !line.trim().is_empty() && !line.starts_with('#'));
    lines.map(|line| line.split('|').map(str::trim).collect())
}

/// The complaint about a case, if the judgement is not what it says.
fn complaint(case: &[&str], judged: &Judgement) -> Option<String> {
    let (expected, last) = (case[case.len() - 2], case[case.len() - 1]);
    let (piece, proposal) = match last.split_once('>') {
        Some((piece, proposal)) => (piece.trim(), Some(proposal.trim())),
        None => (last, None),
    };
    let plain = |text: &str| text.replace('\u{a0}', " ");
    let told = [Some(&judged.reason), judged.works_out.as_ref(), judged.likely.as_ref()];
    let told = plain(&told.into_iter().flatten().cloned().collect::<Vec<_>>().join(" / "));
    let right_piece = match piece {
        "-" => judged.likely.is_none() && judged.proposal.is_none(),
        piece => told.contains(piece),
    };
    let right_proposal =
        proposal.is_none() || judged.proposal.as_deref().map(plain).as_deref() == proposal;
    let right = judged.verdict.word() == expected && right_piece && right_proposal;
    (!right)
        .then(|| format!("{case:?}: {} / {told} / {:?}", judged.verdict.word(), judged.proposal))
}

fn all_right(complaints: Vec<String>) {
    assert!(complaints.is_empty(), "\n{}", complaints.join("\n"));
}

#[test]
fn dual_statements_by_the_rules() {
    let judged = cases(include_str!("judge/duals.txt"))
        .filter_map(|case| complaint(&case, &dual(case[1], &conventions(case[0]))));
    all_right(judged.collect());
}

#[test]
fn figures_beside_computed_values_by_the_rules() {
    let judged = cases(include_str!("judge/computed.txt")).filter_map(|case| {
        let conv = conventions(case[0]);
        let result = computed(case[2], &conv);
        complaint(&case, &judge::against(case[1], &stated(case[1]), &result, &conv))
    });
    all_right(judged.collect());
}

fn stated(text: &str) -> Figure {
    figure(text)
}
