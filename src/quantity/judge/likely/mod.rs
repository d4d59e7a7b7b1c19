//! The likely slip behind a disagreement (R9).
//!
//! Tries single edits of the figure, in the order of [`CLASSES`], and stops at the first class in
//! which one fits. Exactly one fit is proposed; a few are named; many say nothing. In a dual
//! statement the fault may lie in either member. The page is never changed.

mod digits;
mod meaning;
mod sieve;
mod spelling;
mod swaps;

pub(crate) use meaning::TAKEN_OFF;

use super::scale::Bridge;
use super::{computed, pair};
use crate::quantity::{Computed, Conventions, Figure, Judgement, Quantity, Real};
use spelling::SpelledNumber;

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

/// A figure after one edit.
#[derive(Debug)]
pub(super) struct LikelyEdit {
    /// The figure as it would be judged.
    pub(crate) figure: Figure,
    /// The figure as it should be written.
    pub(crate) text: String,
    /// The slip in words.
    pub(crate) words: &'static str,
}

/// Edits of one kind; all of them are tried before the next kind.
type Class = fn(&SpelledNumber) -> Vec<LikelyEdit>;

/// Digit and unit edits, the likelier first.
const CLASSES: [Class; 10] = [
    // Only of numbers in words.
    digits::teens_and_tens,
    digits::point_moved,
    digits::neighbours_swapped,
    // A digit typed twice is the more particular slip, so it goes before any digit wrong.
    digits::one_doubled,
    digits::one_wrong,
    digits::one_missing,
    digits::one_added,
    digits::fraction_misread,
    digits::ends_swapped_around,
    digits::sign_lost,
];

/// More fits than this explain nothing.
const MOST_NAMED: usize = 3;

/// Numbers with more digits than this are not edited: no writer types them by hand.
const MOST_DIGITS: usize = 14;

/// One fit: the edited text, its slip, and whether it is in the first member of a pair.
struct Fit {
    text: String,
    words: &'static str,
    in_first: bool,
}

/// The single edit of either member that makes a dual statement agree.
pub(super) fn in_pair(text: &str, first: &Figure, later: &Figure, conv: &Conventions) -> Likely {
    let (a, b) = (SpelledNumber::new(text, first), SpelledNumber::new(text, later));
    let Ok(bridge) = pair::between(first, later, conv) else { return Likely::default() };
    let over = |first: &Figure, later: &Figure| agrees_over(&bridge, first, later);
    let both = |class: Class, agree: &dyn Fn(&Figure, &Figure) -> bool| {
        let in_later = class(&b).into_iter().filter(|edit| agree(first, &edit.figure));
        let in_first = class(&a).into_iter().filter(|edit| agree(&edit.figure, later));
        let later = in_later.map(|edit| fit(edit, false));
        later.chain(in_first.map(|edit| fit(edit, true))).collect::<Vec<Fit>>()
    };
    let fits = |class: Class| both(class, &over);
    let unit = both(swaps::units, &|first, later| agrees(first, later, conv));
    if !unit.is_empty() {
        return named(with_tens(unit, &fits));
    }
    if let Some(found) = meaning::in_pair((&a, &b), first, later, conv) {
        return found;
    }
    CLASSES.iter().map(|class| fits(*class)).find(|f| !f.is_empty()).map(named).unwrap_or_default()
}

/// The single edit that makes a figure agree with a computed value.
pub(super) fn alone(
    text: &str,
    stated: &Figure,
    computed: &Computed,
    conv: &Conventions,
) -> Likely {
    let spelled = SpelledNumber::new(text, stated);
    let Ok(bridge) = computed::between(stated, &computed.nominal, conv) else {
        return Likely::default();
    };
    let nominal = bridge.across(&computed.nominal.si);
    // Any value inside a hedge or a ± would be allowed, and any ± that is wide enough: only the
    // value that is right is proposed.
    let is_meant =
        |edited: &Figure| edited.amount != stated.amount && is_written_for(edited, &nominal);
    let filtered = |class: Class, agree: &dyn Fn(&Figure) -> bool| {
        let fitting = class(&spelled).into_iter().filter(|edit| agree(&edit.figure));
        fitting.map(|edit| fit(edit, false)).collect::<Vec<Fit>>()
    };
    let fits = |class: Class| filtered(class, &is_meant);
    let unit = filtered(swaps::units, &|stated| matches(stated, &computed.nominal, conv));
    if !unit.is_empty() {
        return named(with_tens(unit, &fits));
    }
    if let Some(found) = meaning::alone(&spelled, stated, computed, conv) {
        return found;
    }
    CLASSES.iter().map(|class| fits(*class)).find(|f| !f.is_empty()).map(named).unwrap_or_default()
}

/// Bar for MPa is a factor of ten, and so is a decimal point: neither is the likelier.
fn with_tens(mut unit: Vec<Fit>, fits: &dyn Fn(Class) -> Vec<Fit>) -> Vec<Fit> {
    if unit.iter().all(|fit| fit.words == swaps::TENFOLD) {
        unit.extend(fits(digits::point_moved));
    }
    unit
}

fn agrees(first: &Figure, later: &Figure, conv: &Conventions) -> bool {
    pair::between(first, later, conv).is_ok_and(|bridge| agrees_over(&bridge, first, later))
}

fn agrees_over(bridge: &Bridge, first: &Figure, later: &Figure) -> bool {
    sieve::may_pair(bridge.line(), first, later) && pair::agrees_over(bridge, first, later)
}

fn matches(stated: &Figure, nominal: &Quantity, conv: &Conventions) -> bool {
    computed::between(stated, nominal, conv).is_ok_and(|bridge| {
        let nominal = bridge.across(&nominal.si);
        // A bound holds for whatever lies far enough on its side.
        match stated.bound {
            Some(_) => is_written_for(stated, &nominal),
            None => allows(stated, &nominal),
        }
    })
}

fn allows(stated: &Figure, nominal: &Real) -> bool {
    sieve::may_be(stated, nominal.to_f64()) && computed::allows(stated, nominal)
}

fn is_written_for(stated: &Figure, nominal: &Real) -> bool {
    sieve::is_near_any(stated, nominal.to_f64()) && computed::is_written_for(stated, nominal)
}

fn fit(edit: LikelyEdit, in_first: bool) -> Fit {
    Fit { text: edit.text, words: edit.words, in_first }
}

fn named(mut fits: Vec<Fit>) -> Likely {
    fits.dedup_by(|a, b| a.text == b.text && a.in_first == b.in_first);
    match fits.as_slice() {
        [only] if only.in_first => Likely {
            words: Some(format!("first figure: {}, {}", only.words, only.text)),
            proposal: None,
        },
        [only] => Likely { words: Some(only.words.to_owned()), proposal: Some(only.text.clone()) },
        [best, ..] if fits.len() <= MOST_NAMED => {
            let each: Vec<String> = fits
                .iter()
                .map(|fit| match fit.in_first {
                    true => format!("{} for the first figure", fit.text),
                    false => fit.text.clone(),
                })
                .collect();
            Likely {
                words: Some(format!("{}: {}", best.words, each.join(", or "))),
                proposal: None,
            }
        }
        _ => Likely::default(),
    }
}
