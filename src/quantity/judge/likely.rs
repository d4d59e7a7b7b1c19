//! The likely slip behind a disagreement (R9).

use crate::quantity::{Computed, Conventions, Figure, Judgement};

/// What probably went wrong.
#[derive(Debug, Default)]
pub(super) struct Likely {
    words: Option<String>,
    proposal: Option<String>,
}

impl Likely {
    pub(super) fn put_into(self, judged: Judgement) -> Judgement {
        Judgement { likely: self.words, proposal: self.proposal, ..judged }
    }
}

/// The single edit of either member that makes a dual statement agree.
pub(super) fn in_pair(
    _text: &str,
    _first: &Figure,
    _later: &Figure,
    _conv: &Conventions,
) -> Likely {
    Likely::default()
}

/// The single edit that makes a figure agree with a computed value.
pub(super) fn alone(
    _text: &str,
    _stated: &Figure,
    _computed: &Computed,
    _conv: &Conventions,
) -> Likely {
    Likely::default()
}
