//! One file a check: what it finds, and the slips that say so.

pub(crate) mod bound;
pub(crate) mod choked;
pub(crate) mod claim;
pub(crate) mod contradicted;
pub(crate) mod correction;
pub(crate) mod dated;
pub(crate) mod declared;
pub(crate) mod drawn;
pub(crate) mod fault_questions;
pub(crate) mod heading;
pub(crate) mod link;
pub(crate) mod misspelt;
pub(crate) mod pair;
pub(crate) mod questions;
pub(crate) mod relation;
pub(crate) mod revised;
pub(crate) mod ring;
pub(crate) mod sequence;
pub(crate) mod source;
pub(crate) mod statement;
pub(crate) mod stock;
pub(crate) mod tie;
pub(crate) mod unread;
pub(crate) mod unused;
pub(crate) mod waiver;

use crate::quantity::Judgement;
use crate::slip::Slip;

/// Adds a judgement's findings to a slip.
pub(crate) fn explained(mut slip: Slip, judgement: &Judgement) -> Slip {
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
