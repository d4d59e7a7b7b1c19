//! Conversions: `128 psi (8.83 bar)` states one value twice.

use crate::proof::figure::{stands, worse};
use crate::proof::passage::Passage;
use crate::proof::prose::{Desk, Group, conversions};
use crate::quantity::{Figure, Judgement, Verdict};
use crate::slip::Slip;
use crate::text::Span;

/// Judges the conversions of a group. Complaints stay with the group until it is known whether a
/// reading tells which member is the wrong one.
pub(in crate::proof) fn judge(passage: &Passage<'_>, mut group: Group, desk: &Desk<'_>) -> Group {
    let mut worst: Option<Judgement> = None;
    for (index, judgement) in conversions(passage.text, &group.members, desk.conventions) {
        let span = group.members[index].span;
        group.complaints.extend(slip(passage, group.members[0].span, span, &judgement));
        worst = Some(match worst {
            Some(before) => worse(before, judgement),
            None => judgement,
        });
    }
    group.pair = worst;
    group
}

fn slip(passage: &Passage<'_>, first: Span, later: Span, judgement: &Judgement) -> Option<Slip> {
    let (first_text, later_text) =
        (&passage.text[first.start..first.end], &passage.text[later.start..later.end]);
    let spot = passage.spot(later);
    let slip = match judgement.verdict {
        Verdict::Agree => return None,
        Verdict::Lenient => {
            let message = format!("{later_text} is a loose conversion of {first_text}");
            Slip::mark("pair-lenient", spot, message)
        }
        Verdict::Disagree => {
            let message = format!("{first_text} is not {later_text}");
            Slip::stop("pair-disagrees", spot, message)
        }
        Verdict::Incomparable => {
            let message = format!("{first_text} and {later_text} cannot be the same quantity");
            Slip::stop("pair-incomparable", spot, message)
        }
    };
    let slip = slip.label(passage.spot(first), format!("stated here as {first_text}"));
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
