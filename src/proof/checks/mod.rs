//! One file a check: what it finds, and the slips that say so.

pub mod bound;
pub mod claim;
pub mod correction;
pub mod drawn;
pub mod heading;
pub mod link;
pub mod misspelt;
pub mod pair;
pub mod questions;
pub mod ring;
pub mod sequence;
pub mod source;
pub mod statement;
pub mod stock;
pub mod tie;
pub mod unread;
pub mod unused;
pub mod waiver;

use crate::quantity::Judgement;
use crate::slip::Slip;

/// Adds a judgement's findings to a slip.
#[must_use]
pub fn explained(mut slip: Slip, judgement: &Judgement) -> Slip {
    slip = slip.noting(judgement.reason.clone());
    if let Some(text) = &judgement.works_out {
        slip = slip.works_out(text.clone());
    }
    if let (None, Some(text)) = (&slip.likely, &judgement.likely) {
        slip = slip.likely(text.clone());
    }
    match &judgement.proposal {
        Some(text) => slip.write(text.clone()),
        None => slip,
    }
}
