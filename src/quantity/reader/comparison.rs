//! What a figure compares, by the words beside it: "4 m/s faster", "exceeds it by 71 N", "a third
//! of the stroke", "smaller by a factor of 29".
//!
//! Closed lists of words next to the figure. Which two things are compared is not looked at.

use super::statements::ReadStatement;
use super::words::{next_word, one_of, phrase_after, phrase_before, word_before};
use crate::quantity::{Dimension, FigureComparison, Kind};

/// Words behind or before a difference that say which way it goes.
#[rustfmt::skip]
const MORE: &[&str] = &[
    "above", "bigger", "deeper", "exceed", "exceeds", "farther", "further", "gained", "gains",
    "greater", "grew", "grows", "heavier", "higher", "hotter", "increased", "increases", "larger",
    "later", "longer", "louder", "more", "outweighs", "over", "past", "raised", "raises", "rises",
    "rose", "stiffer", "stronger", "taller", "thicker", "up", "warmer", "wider",
];
#[rustfmt::skip]
const LESS: &[&str] = &[
    "below", "closer", "colder", "cooler", "down", "drops", "dropped", "earlier", "falls", "fell",
    "fewer", "less", "lighter", "lost", "lower", "lowered", "narrower", "nearer", "quieter",
    "reduced", "reduces", "shallower", "shorter", "shrinks", "smaller", "softer", "sooner", "thinner",
    "under", "weaker",
];
/// Words of speed: of a time they mean the opposite.
const QUICK: &[&str] = &["faster", "quicker"];
const SLOW: &[&str] = &["slower"];
const APART: &[&str] = &["apart", "better", "worse", "different", "difference", "off"];

fn direction(word: &str, time: bool) -> Option<FigureComparison> {
    match () {
        () if one_of(word, MORE) => Some(FigureComparison::More),
        () if one_of(word, LESS) => Some(FigureComparison::Less),
        () if one_of(word, QUICK) => {
            Some(if time { FigureComparison::Less } else { FigureComparison::More })
        }
        () if one_of(word, SLOW) => {
            Some(if time { FigureComparison::More } else { FigureComparison::Less })
        }
        () if one_of(word, APART) => Some(FigureComparison::Apart),
        () => None,
    }
}

/// Settles what a figure compares.
pub(super) fn comparison(text: &str, statement: &mut ReadStatement) {
    let figure = &statement.figure;
    let time = figure.unit.dimension == Dimension::TIME;
    let beside = before(text, statement.lead, time).or_else(|| behind(text, statement, time));
    let part = figure.kind == Kind::Ratio
        && ["of the", "of its", "of that", "of what", "of this", "of their"]
            .iter()
            .any(|of| phrase_after(text, statement.tail, of).is_some());
    statement.figure.comparison = match figure.kind {
        Kind::Ratio if figure.unit.code == "1" => match beside {
            // "A third lighter" takes a third off, and "three times lighter" is a third of it.
            _ if figure.amount_is_below_one() && outdoing(text, statement.tail).is_some() => {
                outdoing(text, statement.tail)
            }
            _ if part && figure.noun.is_none() && figure.amount_is_below_one() => {
                Some(FigureComparison::Part)
            }
            Some(FigureComparison::Less) => Some(FigureComparison::TimesLess),
            _ => Some(FigureComparison::Times),
        },
        Kind::Count => None,
        _ => beside.or(part.then_some(FigureComparison::Part)),
    };
}

/// Which way the word right behind a share leans that says by how much one thing outdoes another:
/// "a third **heavier**", "two thirds **more** air".
fn outdoing(text: &str, end: usize) -> Option<FigureComparison> {
    let (word, _) = next_word(text, end);
    // "A quarter over the bore" and "half an inch further" say where something is.
    let is_degree = word.ends_with("er") && !one_of(word, &["over", "under", "further"]);
    let outdoes = is_degree || one_of(word, &["more", "less"]);
    direction(word, false).filter(|_| outdoes)
}

/// Whether the word behind a share says by how much one thing outdoes another.
pub(super) fn outdoes(text: &str, end: usize) -> bool {
    outdoing(text, end).is_some()
}

/// "exceeds it **by** 71 N", "smaller by a factor of 29".
fn before(text: &str, lead: usize, time: bool) -> Option<FigureComparison> {
    let factor = phrase_before(text, lead, "a factor of").unwrap_or(lead);
    let by = phrase_before(text, factor, "by")?;
    let (word, at) = word_before(text, by);
    direction(word, time).or_else(|| direction(word_before(text, at).0, time))
}

/// "4 m/s **slower**", "17 % **more** than".
fn behind(text: &str, statement: &ReadStatement, time: bool) -> Option<FigureComparison> {
    let (word, at) = next_word(text, statement.tail);
    if one_of(word, &["over", "under", "up", "down", "past", "later", "earlier", "off"]) {
        return None;
    }
    // "a 4 mm lower ring" and "8 bar above ambient" compare nothing.
    let (next, _) = next_word(text, at + word.len());
    let compares = one_of(next, &["than", "the", "that", "its", "in", "and", "or", "at", "on"])
        || next.is_empty();
    direction(word, time).filter(|_| compares)
}
