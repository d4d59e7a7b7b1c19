//! The order of a shot in words, moment by moment: what is not certain is said where it stands.

use crate::logic::{OrderPiece, Telling};
use crate::text::{capitalised, listed};

/// How the place of one moment in the told run is known.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct OrderNote {
    /// "In either order with 17: that hangs on …", without full stop; empty where it is certain.
    pub(super) words: String,
    /// Whether it is one of several moments of which some may come in another order.
    pub(super) is_open: bool,
}

/// A note for each step of the told run.
pub(super) fn order_notes(telling: &Telling) -> Vec<OrderNote> {
    let mut notes = vec![OrderNote::default(); telling.reasons.len()];
    for piece in telling.order.iter().flatten() {
        note(piece, &mut notes);
    }
    for note in &mut notes {
        note.words = capitalised(&note.words);
    }
    notes
}

fn note(piece: &OrderPiece, notes: &mut [OrderNote]) {
    match piece {
        OrderPiece::Step(_) => {}
        OrderPiece::Either { strands, hangs_on } => {
            let steps: Vec<Vec<usize>> = strands.iter().map(|strand| steps(strand)).collect();
            for (at, strand) in steps.iter().enumerate() {
                let others = steps.iter().enumerate().filter(|(other, _)| *other != at);
                let mut others: Vec<usize> =
                    others.flat_map(|(_, steps)| steps.iter().copied()).collect();
                others.sort_unstable();
                let words = format!("in either order with {}", step_numbers(&others));
                add(notes, strand, &words, hangs_on);
            }
            strands.iter().flatten().for_each(|piece| note(piece, notes));
        }
        OrderPiece::Tangle { steps, hangs_on } => {
            for (step, later) in steps {
                notes[*step].is_open = true;
                if !later.is_empty() {
                    let words = format!("it may also come after {}", step_numbers(later));
                    add(notes, &[*step], &words, hangs_on);
                }
            }
        }
    }
}

fn add(notes: &mut [OrderNote], steps: &[usize], words: &str, hangs_on: &str) {
    for step in steps {
        let note = &mut notes[*step];
        let and = if note.words.is_empty() { "" } else { "; " };
        note.words = format!("{}{and}{words}: that hangs on {hangs_on}", note.words);
        note.is_open = true;
    }
}

fn steps(strand: &[OrderPiece]) -> Vec<usize> {
    strand.iter().flat_map(OrderPiece::steps).collect()
}

/// "17", "17 and 19", "8 to 12": steps by the numbers that readers see.
pub(crate) fn step_numbers(steps: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for step in steps {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *step => *last = *step,
            _ => runs.push((*step, *step)),
        }
    }
    let words = runs.into_iter().flat_map(|(first, last)| match last - first {
        0 => vec![(first + 1).to_string()],
        1 => vec![(first + 1).to_string(), (last + 1).to_string()],
        _ => vec![format!("{} to {}", first + 1, last + 1)],
    });
    listed(&words.collect::<Vec<_>>(), "and")
}
