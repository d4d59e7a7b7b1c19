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
/// Share of a word's worth where it stands in the heading.
pub(super) const HEADING: f64 = 0.25;
/// What a word of a name that is missing takes away, as a share of its worth.
pub(super) const MISSING: f64 = 0.25;
/// Nothing else in scope has the dimension.
pub(super) const ONLY_ONE: f64 = 1.5;

/// Words needed before a value that fits is taken for the figure's.
pub(super) const SOME_WORDS: f64 = 1.0;
/// Words and value together that tie.
pub(super) const TIES: f64 = 5.0;
/// By so much the best candidate must stand before the next.
pub(super) const AHEAD: f64 = 0.7;
/// Words that make a figure one slip away from another a slip of that.
pub(super) const SLIP: f64 = 3.5;
/// Words for a figure, named in full, that fits neither it nor any slip of it.
pub(super) const OUTRIGHT: f64 = 3.0;

/// Worth of having another's digits in another order, or with the point elsewhere: few numbers do.
pub(super) const SAME_DIGITS: f64 = 2.0;
/// Words for a figure that stands right beside its name, so that nothing else can be meant.
pub(super) const BESIDE: f64 = 5.0;

/// Worth of a value that fits, by its significant digits: so many others could have stood there.
pub(super) fn fits(digits: u32) -> f64 {
    if digits == 0 {
        return 0.0;
    }
    let others = 9.0 * 10f64.powi(i32::try_from(digits.clamp(1, 4)).unwrap_or(4) - 1);
    libm::log(others)
}
