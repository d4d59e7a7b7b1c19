//! What evidence is worth, in natural logarithms of odds. All of it stands here.
//!
//! A figure is a message through a channel that makes typing errors (Kernighan, Church and Gale
//! 1990; Mays, Damerau and Mercer 1991, both as known second-hand): words say what may have been
//! meant, the digits how likely the channel made of it what is written. The numbers are rounded
//! guesses that were tried on prose; none is finer than a half.

/// A name of the figure in full, right beside it.
pub(super) const NAMED: f64 = 6.0;
/// What a word between the two takes from that.
pub(super) const PER_WORD: f64 = 0.5;
/// Words within which a part of a name counts in full; beyond, it fades.
pub(super) const REACH: f64 = 4.0;
/// Share of a word's worth that is left behind a comma, bracket or the like.
pub(super) const OTHER_CLAUSE: f64 = 0.6;
/// Share of a word's worth where it stands in the sentence before.
pub(super) const SENTENCE_BEFORE: f64 = 0.35;
/// The same where the sentence begins with a pronoun, which then takes up that one.
pub(super) const TAKEN_UP: f64 = 0.7;
/// What each further sentence between leaves of that.
pub(super) const FADES: f64 = 0.6;
/// Share of a word's worth where it stands in the heading.
pub(super) const HEADING: f64 = 0.25;
/// What a word of a name that is missing takes away, as a share of its worth.
pub(super) const MISSING: f64 = 0.25;
/// Nothing else in scope has the dimension, where words say anything at all.
pub(super) const ONLY_ONE: f64 = 1.5;

/// A figure that was stated in this sentence or the one before, as part of a formula.
pub(super) const STATED: f64 = 2.0;

/// What each further sentence leaves of that.
pub(super) const LINGERS: f64 = 0.8;

/// Everything that a result is worked out from was stated in this sentence or the one before:
/// "the bore is 22.4 mm and the plug 21.9, which leaves 0.5 mm".
pub(super) const FOLLOWS: f64 = 2.0;

/// What it takes from an entry's words that another engine was named last.
pub(super) const OTHER_ENGINE: f64 = 1.0;

/// Words needed before a long figure that is one slip away from another is asked about, or a short
/// one that equals it is proposed for certain.
pub(super) const ANY_WORDS: f64 = 0.5;
/// Words needed before a value that fits is taken for the figure's.
pub(in crate::proof) const SOME_WORDS: f64 = 1.0;
/// Words and value together that tie.
pub(super) const TIES: f64 = 5.0;
/// By so much the best candidate must stand before the next.
pub(in crate::proof) const AHEAD: f64 = 0.7;
/// By so much less than a name in full other words weigh nothing beside it.
pub(super) const FAR_BEHIND: f64 = 2.0;
/// Words that make a figure one slip away from another a slip of that.
pub(in crate::proof) const SLIP: f64 = 3.5;
/// Words that say as much as a name in full: then a slip stops.
pub(super) const FULLY: f64 = 5.0;
/// Words for a figure, named in full, that fits neither it nor any slip of it.
pub(super) const OUTRIGHT: f64 = 3.0;

/// Worth of having another's digits in another order, or with the point elsewhere: few numbers do.
pub(super) const SAME_DIGITS: f64 = 2.0;
/// Words for a figure that stands right beside its name, at most a verb between, so that nothing
/// else can be meant.
pub(super) const BESIDE: f64 = 5.5;

/// Worth of a value that fits, by its significant digits: so many others could have stood there.
pub(super) fn fits(digits: u32) -> f64 {
    if digits == 0 {
        return 0.0;
    }
    let others = 9.0 * 10f64.powi(i32::try_from(digits.clamp(1, 4)).unwrap_or(4) - 1);
    libm::log(others)
}
