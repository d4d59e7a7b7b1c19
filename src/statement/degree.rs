//! Adjectives and adverbs of degree, and the quantities that they measure.

use super::lexicon::lexeme;
use crate::quantity::Dimension;
use ahash::AHashMap;
use std::sync::LazyLock;

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
    pub(crate) plain: String,
    /// "wider".
    pub(crate) more: String,
    /// "widest".
    pub(crate) most: String,
    /// Which way it leans, for each dimension that it measures; empty where no figure states it.
    pub(crate) senses: Vec<(Dimension, Sense)>,
    /// Words by which the names of figures of the right sort are told; empty where any will do.
    pub(crate) sort: &'static [&'static str],
    /// Words of figures that it does not measure.
    pub(crate) other_sorts: Vec<&'static str>,
}

impl Degree {
    /// Which way the word leans for a dimension; `None` where it does not measure it.
    pub(crate) fn sense(&self, dimension: Dimension) -> Option<Sense> {
        self.senses.iter().find(|(known, _)| *known == dimension).map(|(_, sense)| *sense)
    }

    /// Whether it measures quantities of every kind: "larger", "less".
    pub(crate) fn is_general(&self) -> bool {
        4 < self.senses.len()
    }
}

/// What a word of the table measures.
const QUANTITIES: [(&str, Dimension); 12] = [
    ("length", Dimension::LENGTH),
    ("area", Dimension::AREA),
    ("volume", Dimension::VOLUME),
    ("mass", Dimension::MASS),
    ("time", Dimension::TIME),
    ("speed", Dimension::VELOCITY),
    ("force", Dimension::FORCE),
    ("pressure", Dimension::PRESSURE),
    ("energy", Dimension::ENERGY),
    ("rate", Dimension::SPRING_RATE),
    ("number", Dimension::NONE),
    // In decibels.
    ("sound", Dimension::NONE),
];

/// Forms that no rule gives: plain, more, most.
const IRREGULAR: [[&str; 3]; 5] = [
    ["much", "more", "most"],
    ["many", "more", "most"],
    ["little", "less", "least"],
    ["far", "farther", "farthest"],
    ["far", "further", "furthest"],
];

struct Qualities {
    degrees: Vec<Degree>,
    /// The quantities that nouns and verbs speak of.
    says: AHashMap<&'static str, Vec<Dimension>>,
}

static TABLE: LazyLock<Qualities> = LazyLock::new(|| table(include_str!("qualities.txt")));

fn table(text: &'static str) -> Qualities {
    let lines = || text.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty());
    let sorts: Vec<(&str, &'static [&'static str])> = lines()
        .filter_map(|line| line.strip_prefix("sort ")?.split_once(':'))
        .map(|(name, words)| {
            let words: Vec<&'static str> = words.split_whitespace().collect();
            (name, &*words.leak())
        })
        .collect();
    let mut degrees: Vec<Degree> = Vec::new();
    for line in lines().filter(|line| line.contains('|')) {
        let columns: Vec<&str> = line.split('|').map(str::trim).collect();
        let [up, down, measured, sort] = columns.as_slice() else { continue };
        let sort_words = sorts.iter().find(|(name, _)| name == sort).map(|(_, words)| *words);
        let others = sorts.iter().filter(|(name, _)| sort_words.is_some() && name != sort);
        let other_sorts: Vec<&str> = others.flat_map(|(_, words)| words.iter().copied()).collect();
        let leaning = |sense| senses(measured, sense);
        for (words, sense) in [(up, Sense::Up), (down, Sense::Down)] {
            for plain in words.split_whitespace() {
                degrees.extend(forms(plain).into_iter().map(|[more, most]| Degree {
                    plain: plain.to_owned(),
                    more,
                    most,
                    senses: leaning(sense),
                    sort: sort_words.unwrap_or_default(),
                    other_sorts: other_sorts.clone(),
                }));
            }
        }
    }
    let quantity = |name: &str| QUANTITIES.iter().find(|(known, _)| *known == name);
    let mut says: AHashMap<&str, Vec<Dimension>> = AHashMap::new();
    for line in lines().filter_map(|line| line.strip_prefix("says ")?.split_once(':')) {
        let Some((_, dimension)) = quantity(line.0) else { continue };
        line.1.split_whitespace().for_each(|word| says.entry(word).or_default().push(*dimension));
    }
    Qualities { degrees, says }
}

fn senses(measured: &str, sense: Sense) -> Vec<(Dimension, Sense)> {
    let turned = match sense {
        Sense::Up => Sense::Down,
        Sense::Down => Sense::Up,
    };
    let one = |word: &str| {
        let (word, sense) = word.strip_prefix('-').map_or((word, sense), |word| (word, turned));
        let known = QUANTITIES.iter().filter(move |(name, _)| *name == word || word == "any");
        known.map(move |(_, dimension)| (*dimension, sense)).collect::<Vec<_>>()
    };
    measured.split_whitespace().flat_map(one).collect()
}

/// "Wider" and "widest", as English makes them of a plain word.
fn forms(plain: &str) -> Vec<[String; 2]> {
    let irregular = IRREGULAR.iter().filter(|[known, ..]| *known == plain);
    let found: Vec<[String; 2]> =
        irregular.map(|[_, more, most]| [(*more).to_owned(), (*most).to_owned()]).collect();
    if !found.is_empty() {
        return found;
    }
    let letters = plain.as_bytes();
    let is_vowel = |at: usize| {
        let letter = letters.len().checked_sub(at).map_or(b'b', |at| letters[at]);
        matches!(letter, b'a' | b'e' | b'i' | b'o' | b'u')
    };
    let last = letters.last().copied().unwrap_or_default();
    let stem = match last {
        b'e' => plain[..plain.len() - 1].to_owned(),
        b'y' if !is_vowel(2) => format!("{}i", &plain[..plain.len() - 1]),
        b'b' | b'd' | b'g' | b'm' | b'n' | b't' if is_vowel(2) && !is_vowel(3) => {
            format!("{plain}{}", char::from(last))
        }
        _ => plain.to_owned(),
    };
    vec![[format!("{stem}er"), format!("{stem}est")]]
}

/// Every form of every word of degree: 0 for plain, 1 for more, 2 for most.
pub(super) fn forms_of_degrees() -> impl Iterator<Item = (usize, &'static str, &'static Degree)> {
    TABLE.degrees.iter().flat_map(|degree| {
        let forms = [&degree.plain, &degree.more, &degree.most];
        forms.into_iter().enumerate().map(move |(form, word)| (form, word.as_str(), degree))
    })
}

/// The word of degree with this comparative.
pub(crate) fn comparative(stem: &str) -> Option<&'static Degree> {
    lexeme(stem).degrees[1]
}

/// The word of degree in its plain form.
pub(super) fn plain(stem: &str) -> Option<&'static Degree> {
    lexeme(stem).degrees[0]
}

/// Whether a word speaks of some quantity.
pub(super) fn is_quantity(stem: &str) -> bool {
    TABLE.says.contains_key(stem)
}

/// Whether a noun or a verb speaks of a quantity: "weight" and "weigh" of a mass; `None` where it
/// speaks of none.
pub(crate) fn speaks_of(stem: &str, dimension: Dimension) -> Option<bool> {
    TABLE.says.get(stem).map(|said| said.contains(&dimension))
}

/// Whether a word of quantity or degree measures a dimension: "area" and "heavy" no length, "wide"
/// one; `None` where it measures none, or any.
pub(crate) fn measures(stem: &str, dimension: Dimension) -> Option<bool> {
    if let Some(says) = speaks_of(stem, dimension) {
        return Some(says);
    }
    let degree = lexeme(stem).degrees.iter().flatten().next()?;
    (!degree.is_general() && !degree.senses.is_empty()).then(|| degree.sense(dimension).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms_are_those_of_english() {
        for (more, word) in [
            ("wider", "wide"),
            ("thinner", "thin"),
            ("bigger", "big"),
            ("heavier", "heavy"),
            ("greater", "great"),
            ("weaker", "weak"),
            ("less", "little"),
            ("more", "much"),
            ("fewer", "few"),
            ("slower", "slow"),
            ("thirstier", "thirsty"),
        ] {
            assert_eq!(comparative(more).map(|degree| degree.plain.as_str()), Some(word), "{more}");
        }
        let thinnest = lexeme("thinnest").degrees[2];
        assert_eq!(thinnest.map(|degree| degree.plain.as_str()), Some("thin"));
        let fast = plain("fast").expect("a word of the table");
        assert_eq!(fast.sense(Dimension::VELOCITY), Some(Sense::Up));
        assert_eq!(fast.sense(Dimension::TIME), Some(Sense::Down));
    }
}
