//! What a sentence adds to the relation that is asked about: the state in which it is to hold, that
//! nothing else does it, a figure. Where the question does not carry that, its answer is not the
//! sentence's.

use super::fittings::{Stand, holds};
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::cutaway::model::{Condition, Engine};
use crate::folio::routing::Routed;
use crate::folio::words::{TextWord, words};
use crate::quantity::reader::{ReadOptions, read};
use crate::quantity::{Dimension, Figure};
use crate::statement::{Role, StatedRelation, Statement, describes, is_light, may};
use crate::text::{Span, SpanSet};

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

    /// The answer to a statement, open where its sentence says more of known things than what was
    /// read of it.
    pub(super) fn settled_by(
        &self,
        statement: &Statement,
        answer: StatementAnswer,
        read: &SpanSet,
    ) -> StatementAnswer {
        let is_answered = match answer.standing {
            StatementStanding::Holds => !self.leaves_unread(statement, read),
            StatementStanding::Fails => self.is_read_whole(statement, read),
            _ => true,
        };
        if is_answered {
            return answer;
        }
        let reason = format!("{}; what else the sentence says is not read", answer.reason);
        StatementAnswer { standing: StatementStanding::Open, reason, ..answer }
    }

    /// Whether all that a sentence says was read, so that it may be refuted: most of what is
    /// written is true, and what seems false may well say something else.
    fn is_read_whole(&self, statement: &Statement, read: &SpanSet) -> bool {
        const TURNS: [&str; 15] = [
            "because", "so", "but", "while", "whereas", "wherea", "although", "though", "since",
            "yet", "which", "when", "where", "if", "unless",
        ];
        let relation = &statement.relation;
        let carries_state = carries_state(relation);
        let said = words(self.text, statement.sentence);
        let engines = self.folio.cues.engines_in(&said);
        let is_left = |(at, word): (usize, &TextWord)| {
            let is_read = read.overlaps(word.span)
                || carries_state && statement.beside.tells_state(word.span)
                || engines.iter().any(|(first, last, _)| (*first..*last).contains(&at));
            !is_read && !is_light(&word.stem) && !describes(&word.stem)
        };
        let is_count = matches!(relation, StatedRelation::Count { .. });
        let is_timed = is_timed(relation) || is_doing(relation) || is_count;
        let turns = || said.iter().any(|word| TURNS.contains(&word.stem.as_str()));
        let compares = |word: &&TextWord| {
            may(&word.stem, Role::Comparative) || may(&word.stem, Role::Superlative)
        };
        let is_one = is_timed || said.iter().filter(compares).count() <= 1 && !turns();
        is_one && !said.iter().enumerate().any(is_left)
    }

    /// Whether a sentence says more of known things than what was read of it.
    fn leaves_unread(&self, statement: &Statement, read: &SpanSet) -> bool {
        let carries_state = carries_state(&statement.relation);
        let is_read =
            |it: Span| read.overlaps(it) || carries_state && statement.beside.tells_state(it);
        let mut rest = words(self.text, statement.sentence);
        rest.retain(|word| !is_read(word.span));
        let is_size = |word: &TextWord| may(&word.stem, Role::Digit);
        let is_known = |word: &TextWord| {
            let stem = word.stem.as_str();
            let is_cue = !self.folio.cues.sheets_knowing(stem).is_empty();
            let is_thing =
                || self.folio.routing.engines.values().any(|it| it.things.speak_of(stem));
            let is_place = matches!(stem, "behind" | "front" | "space");
            !is_light(stem) && !is_place && (is_cue || is_thing())
        };
        rest.iter().any(|word| is_size(word) || is_known(word))
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
        let holds = answer.standing == StatementStanding::Holds;
        let asks_only = matches!(
            relation,
            StatedRelation::Pushes { .. }
                | StatedRelation::Parts { .. }
                | StatedRelation::Joins { .. }
                | StatedRelation::Before { .. }
                | StatedRelation::Sequence { .. }
        );
        // "Only the stem seal is a -012": of the others nothing is asked.
        if self.beside.is_of_one_engine || self.beside.is_only && holds && !asks_only {
            return false;
        }
        // A figure of what pushes or parts is not asked about.
        let is_quantity = |figure: &Figure| figure.unit.dimension != Dimension::NONE;
        let has_figure = || {
            let figures = read(self.text, &ReadOptions::default()).figures;
            figures.iter().any(|figure| is_quantity(figure) && span.contains(figure.span))
        };
        let is_bare = is_doing(relation) || is_timed(relation);
        !(is_bare && holds && has_figure())
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

/// Whether a relation is of what comes before what, or is so while.
fn is_timed(relation: &StatedRelation) -> bool {
    matches!(
        relation,
        StatedRelation::Before { .. }
            | StatedRelation::Sequence { .. }
            | StatedRelation::Amid { .. }
            | StatedRelation::During { .. }
            | StatedRelation::SetsOff { .. }
    )
}

/// Whether the state that a sentence tells belongs to the question that a relation becomes.
fn carries_state(relation: &StatedRelation) -> bool {
    match relation {
        StatedRelation::Each { parts } => parts.iter().all(carries_state),
        StatedRelation::Sequence { .. } | StatedRelation::During { .. } => true,
        relation => is_doing(relation),
    }
}
