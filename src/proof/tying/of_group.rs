//! What is said of a group of figures against an entry: that of its worst member.

use super::sentence::NamedWords;
use crate::proof::figure::worse;
use crate::proof::prose::{Group, PageContext};
use crate::proof::reference_value::{judge_entry, verdict_on};
use crate::quantity::{Dimension, Figure, Judgement, Verdict};

/// The judgement on a group against an entry: that of its worst member.
pub(super) fn judged(
    text: &str,
    group: &Group,
    named: NamedWords,
    context: &PageContext<'_>,
) -> Option<Judgement> {
    let ledger = &context.folio.ledger;
    let judgements = held(group)
        .iter()
        .map(|figure| judge_entry(text, figure, ledger, named, context.conventions));
    judgements.collect::<Option<Vec<Judgement>>>()?.into_iter().reduce(worse)
}

/// The judgement on a number that is not the entry's: a count, or one slip of the hand from it.
pub(super) fn slip_of(
    text: &str,
    group: &Group,
    named: NamedWords,
    context: &PageContext<'_>,
) -> Option<Judgement> {
    let is_count = group.members[0].unit.dimension == Dimension::NONE;
    let judgement = judged(text, group, named, context)?;
    (is_count || judgement.likely.is_some()).then_some(judgement)
}

/// The verdict on a group against the entry that a cue names: that of its worst member.
pub(super) fn group_verdict(
    group: &Group,
    entry: NamedWords,
    context: &PageContext<'_>,
) -> Option<Verdict> {
    let ledger = &context.folio.ledger;
    let verdicts =
        held(group).iter().map(|figure| verdict_on(figure, ledger, entry, context.conventions));
    verdicts.collect::<Option<Vec<Verdict>>>()?.into_iter().max()
}

/// The members of a group that are held against a reading: conversions are judged against the
/// first member, so the others count only where a conversion itself failed.
fn held(group: &Group) -> &[Figure] {
    if group.is_torn() { &group.members } else { &group.members[..1] }
}
