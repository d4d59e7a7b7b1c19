//! What a sentence adds to the relation that is asked about: the state in which it is to hold, that
//! nothing else does it, a figure. Where the question does not carry that, its answer is not the
//! sentence's.

use super::fittings::{Stand, holds};
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::cutaway::model::{Condition, Engine};
use crate::folio::routing::Routed;
use crate::quantity::reader::{ReadOptions, read};
use crate::quantity::{Dimension, Figure};
use crate::statement::StatedRelation;
use crate::text::Span;

/// In which state a sentence says that something is so.
#[derive(Clone, Copy)]
pub(super) enum ToldState {
    /// In whatever state.
    Any,
    /// In one that is known.
    At(Stand),
    /// Until something else is so.
    Until,
    /// In one that its words do not settle.
    Unread,
}

impl ToldState {
    pub(super) fn is_any(self) -> bool {
        matches!(self, ToldState::Any)
    }

    /// Whether conditions hold in it; what has none, always holds, and what is said of no state,
    /// is said of whenever they do.
    pub(super) fn meets(self, engine: &Engine, when: &[Condition]) -> Option<bool> {
        match self {
            _ if when.is_empty() => Some(true),
            ToldState::Any => Some(true),
            ToldState::At(stand) => holds(engine, when, stand),
            ToldState::Until | ToldState::Unread => None,
        }
    }
}

impl StatementNames<'_> {
    /// In which state the sentence says that something is so.
    pub(super) fn told_state(&self, routed: &Routed) -> ToldState {
        match self.beside.states.as_slice() {
            [] => ToldState::Any,
            [one] if one.is_until => ToldState::Until,
            [one] => self.stand(routed, &one.phrase).map_or(ToldState::Unread, ToldState::At),
            _ => ToldState::Unread,
        }
    }

    /// Whether the question that a relation became asks for all that the sentence says.
    pub(super) fn carries(
        &self,
        relation: &StatedRelation,
        span: Span,
        answer: &StatementAnswer,
    ) -> bool {
        if matches!(relation, StatedRelation::Asserted { .. }) {
            return true;
        }
        if self.beside.is_of_one_engine {
            return false;
        }
        // A figure of what pushes or parts is not asked about.
        let is_quantity = |figure: &Figure| figure.unit.dimension != Dimension::NONE;
        let has_figure = || {
            let figures = read(self.text, &ReadOptions::default()).figures;
            figures.iter().any(|figure| is_quantity(figure) && span.contains(figure.span))
        };
        !(is_doing(relation) && answer.standing == StatementStanding::Holds && has_figure())
    }
}

/// Whether a relation is of what parts, pushes or joins what.
fn is_doing(relation: &StatedRelation) -> bool {
    match relation {
        StatedRelation::Each { parts } => parts.iter().any(is_doing),
        StatedRelation::Pushes { .. }
        | StatedRelation::Parts { .. }
        | StatedRelation::Joins { .. }
        | StatedRelation::Trips { .. } => true,
        _ => false,
    }
}
