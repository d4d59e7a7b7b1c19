//! Adjectives and adverbs of degree, and the quantities that they measure.

use crate::quantity::Dimension;

/// Which way a word leans on its scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sense {
    /// "wide": more of the quantity.
    Up,
    /// "narrow": less of it.
    Down,
}

/// A word of degree.
#[derive(Debug, PartialEq)]
pub(crate) struct Degree {
    /// "wide".
    pub(crate) plain: &'static str,
    /// "wider".
    pub(crate) more: &'static str,
    /// "widest".
    pub(crate) most: &'static str,
    /// Which way it leans, for each dimension that it measures.
    pub(crate) senses: &'static [(Dimension, Sense)],
    /// Words by which the names of figures of the right sort are told; empty where any will do.
    pub(crate) sorts: &'static [&'static str],
}

impl Degree {
    /// Which way the word leans for a dimension; `None` where it does not measure it.
    pub(crate) fn sense(&self, dimension: Dimension) -> Option<Sense> {
        self.senses.iter().find(|(known, _)| *known == dimension).map(|(_, sense)| *sense)
    }
}

use Sense::{Down, Up};

const L: Dimension = Dimension::LENGTH;
const A: Dimension = Dimension::AREA;
const V: Dimension = Dimension::VOLUME;
const M: Dimension = Dimension::MASS;
const T: Dimension = Dimension::TIME;
const S: Dimension = Dimension::VELOCITY;
const F: Dimension = Dimension::FORCE;
const P: Dimension = Dimension::PRESSURE;
const E: Dimension = Dimension::ENERGY;
const K: Dimension = Dimension::SPRING_RATE;
const N: Dimension = Dimension::NONE;

/// Names of widths.
const ACROSS: &[&str] = &[
    "diameter", "dia", "bore", "width", "hole", "across", "drill", "jet", "orifice", "land",
    "stem", "rod", "shaft", "nose", "piston", "seat", "neck", "collar", "port",
];
/// Names of lengths and ways.
const ALONG: &[&str] = &[
    "length", "long", "travel", "stroke", "barrel", "reach", "overlap", "way", "dwell", "time",
    "delay",
];
const SIZE: &[(Dimension, Sense)] =
    &[(V, Up), (A, Up), (L, Up), (M, Up), (P, Up), (F, Up), (E, Up), (S, Up), (T, Up), (N, Up)];
const LACK: &[(Dimension, Sense)] = &[
    (V, Down),
    (A, Down),
    (L, Down),
    (M, Down),
    (P, Down),
    (F, Down),
    (E, Down),
    (S, Down),
    (T, Down),
    (N, Down),
];

const fn degree(
    [plain, more, most]: [&'static str; 3],
    senses: &'static [(Dimension, Sense)],
    sorts: &'static [&'static str],
) -> Degree {
    Degree { plain, more, most, senses, sorts }
}

/// The words of degree that the trade uses of quantities.
static DEGREES: [Degree; 34] = [
    degree(["wide", "wider", "widest"], &[(L, Up), (A, Up)], ACROSS),
    degree(["broad", "broader", "broadest"], &[(L, Up), (A, Up)], ACROSS),
    degree(["narrow", "narrower", "narrowest"], &[(L, Down), (A, Down)], ACROSS),
    degree(["long", "longer", "longest"], &[(L, Up), (T, Up)], ALONG),
    degree(["short", "shorter", "shortest"], &[(L, Down), (T, Down)], ALONG),
    degree(["far", "farther", "farthest"], &[(L, Up)], ALONG),
    degree(["deep", "deeper", "deepest"], &[(L, Up)], &["depth", "deep", "groove"]),
    degree(
        ["thick", "thicker", "thickest"],
        &[(L, Up)],
        &["thickness", "section", "wall", "wire", "cord", "diameter"],
    ),
    degree(
        ["thin", "thinner", "thinnest"],
        &[(L, Down)],
        &["thickness", "section", "wall", "wire", "cord", "diameter"],
    ),
    degree(["large", "larger", "largest"], SIZE, &[]),
    degree(["big", "bigger", "biggest"], SIZE, &[]),
    degree(["great", "greater", "greatest"], SIZE, &[]),
    degree(["high", "higher", "highest"], SIZE, &[]),
    degree(["small", "smaller", "smallest"], LACK, &[]),
    degree(["little", "lesser", "least"], LACK, &[]),
    degree(["low", "lower", "lowest"], LACK, &[]),
    degree(["heavy", "heavier", "heaviest"], &[(M, Up)], &[]),
    degree(["light", "lighter", "lightest"], &[(M, Down)], &[]),
    degree(["fast", "faster", "fastest"], &[(S, Up), (T, Down)], &[]),
    degree(["quick", "quicker", "quickest"], &[(S, Up), (T, Down)], &[]),
    degree(["slow", "slower", "slowest"], &[(S, Down), (T, Up)], &[]),
    degree(["soon", "sooner", "soonest"], &[(T, Down)], &[]),
    degree(["strong", "stronger", "strongest"], &[(F, Up)], &[]),
    degree(["hard", "harder", "hardest"], &[(F, Up)], &[]),
    degree(["weak", "weaker", "weakest"], &[(F, Down)], &[]),
    degree(["stiff", "stiffer", "stiffest"], &[(K, Up)], &[]),
    degree(["soft", "softer", "softest"], &[(K, Down)], &[]),
    degree(["much", "more", "most"], SIZE, &[]),
    degree(["little", "less", "least"], LACK, &[]),
    degree(["few", "fewer", "fewest"], &[(N, Down)], &[]),
    degree(["roomy", "roomier", "roomiest"], &[(V, Up)], &[]),
    degree(["energetic", "livelier", "liveliest"], &[(E, Up)], &[]),
    degree(["tight", "tighter", "tightest"], &[(L, Down)], &["bore", "gap", "clearance"]),
    degree(["loose", "looser", "loosest"], &[(L, Up)], &["bore", "gap", "clearance"]),
];

/// The word of degree with this comparative.
pub(super) fn comparative(stem: &str) -> Option<&'static Degree> {
    DEGREES.iter().find(|degree| degree.more == stem)
}

/// The word of degree with this superlative.
pub(super) fn superlative(stem: &str) -> Option<&'static Degree> {
    DEGREES.iter().find(|degree| degree.most == stem)
}

/// The word of degree in its plain form.
pub(super) fn plain(stem: &str) -> Option<&'static Degree> {
    DEGREES.iter().find(|degree| degree.plain == stem)
}
