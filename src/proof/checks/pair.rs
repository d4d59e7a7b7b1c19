//! Conversions: `128 psi (8.83 bar)` states one value twice.

use crate::proof::figure::{stands, worse};
use crate::proof::passage::Passage;
use crate::proof::prose::{Group, PageContext};
use crate::quantity::judge::dual;
use crate::quantity::{Figure, Judgement, Verdict};
use crate::slip::Slip;
use crate::text::{Span, Spot};

/// Judges the conversions of a group. Complaints stay with the group until it is known whether a
/// reading tells which member is the wrong one.
pub(in crate::proof) fn judge(
    passage: &Passage<'_>,
    mut group: Group,
    context: &PageContext<'_>,
) -> Group {
    let mut worst: Option<Judgement> = None;
    let (first, rest) = (&group.members[0], &group.members[1..]);
    for later in rest {
        let judgement = dual(passage.text, first, later, context.conventions);
        group.complaints.extend(slip(passage, first.span, later.span, &judgement));
        worst = Some(match worst {
            Some(before) => worse(before, judgement),
            None => judgement,
        });
    }
    group.pair = worst;
    group
}

fn slip(passage: &Passage<'_>, first: Span, later: Span, judgement: &Judgement) -> Option<Slip> {
    let slip = loose_or_wrong(passage.text, first, later, passage.spot(later), judgement)?;
    let stated = format!("stated here as {}", &passage.text[first.start..first.end]);
    Some(slip.label(passage.spot(first), stated))
}

/// The slip of a conversion that does not hold, at `spot`.
pub(super) fn loose_or_wrong(
    text: &str,
    first: Span,
    later: Span,
    spot: Spot,
    judgement: &Judgement,
) -> Option<Slip> {
    let (first, later) = (&text[first.start..first.end], &text[later.start..later.end]);
    let slip = match judgement.verdict {
        Verdict::Agree => return None,
        Verdict::Lenient => {
            let message = format!("{later} is a loose conversion of {first}");
            Slip::mark("pair-lenient", spot, message)
        }
        Verdict::Disagree => {
            let message = format!("{first} is not {later}");
            Slip::stop("pair-disagrees", spot, message)
        }
        Verdict::Incomparable => {
            let message = format!("{first} and {later} cannot be the same quantity");
            Slip::stop("pair-incomparable", spot, message)
        }
    };
    Some(super::explained(slip, judgement))
}

/// Which members a reading or formula puts in the wrong, when the conversions of a group fail:
/// those that disagree with it while another member agrees. Empty when it cannot tell.
pub(in crate::proof) fn culprits(
    group: &Group,
    judge: impl Fn(&Figure) -> Option<Judgement>,
) -> Vec<(usize, Judgement)> {
    if group.pair.as_ref().is_none_or(stands) {
        return Vec::new();
    }
    let judged: Vec<Option<Judgement>> = group.members.iter().map(judge).collect();
    if !judged.iter().flatten().any(stands) {
        return Vec::new();
    }
    let failing = judged.into_iter().enumerate().filter_map(|(index, judgement)| {
        judgement.filter(|judgement| !stands(judgement)).map(|judgement| (index, judgement))
    });
    failing.collect()
}
