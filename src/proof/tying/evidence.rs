//! What the words around a figure say about which entry it is, where none names it in full.
//!
//! Words of an entry's names count by how few entries share them and by how near they stand; the
//! sentence before and the heading say what a sentence is about. Verbs and adjectives of a quantity
//! stand for its noun.

use super::background::{Background, StatedFigure};
use super::weights::{ANY_WORDS, MISSING, ONLY_ONE, OTHER_CLAUSE, REACH};
use crate::folio::meaning::{content_words, plain};
use crate::folio::words::TextWord;
use crate::quantity::{Dimension, Figure, Kind, Unit};
use crate::sheet::{Entry, Ledger};
use crate::statement::{Role, Sense, comparative, may, measures};
use crate::text::Span;
use ahash::AHashMap;

/// The noun that a unit says by itself: kilograms are of a mass.
fn said_by_unit(dimension: Dimension) -> &'static [&'static str] {
    SAID_BY_UNIT.iter().find(|(known, _)| *known == dimension).map_or(&[], |(_, nouns)| nouns)
}

/// Whether a word is the noun of a quantity.
pub(super) fn names_quantity(stem: &str) -> bool {
    SAID_BY_UNIT.iter().any(|(dimension, nouns)| {
        nouns.contains(&plain(stem)) || measures(stem, *dimension) == Some(true)
    })
}

const SAID_BY_UNIT: [(Dimension, &[&str]); 10] = [
    (Dimension::PRESSURE, &["pressure"]),
    (Dimension::MASS, &["mass"]),
    (Dimension::LENGTH, &["length", "diameter"]),
    (Dimension::VOLUME, &["volume"]),
    (Dimension::TIME, &["time", "period"]),
    (Dimension::VELOCITY, &["speed"]),
    (Dimension::ENERGY, &["energy"]),
    (Dimension::FORCE, &["force"]),
    (Dimension::AREA, &["area"]),
    (Dimension::POWER, &["power"]),
];

/// Words that a dash number says by itself.
const RING_WORDS: [&str; 4] = ["o", "ring", "seal", "size"];

/// The three digits of a reading that is the size of a ring.
pub(in crate::proof) fn ring_of(entry: &Entry) -> Option<String> {
    let stated = entry.reading()?.statements.first()?;
    let text = stated.text.trim();
    let digits = text.get(text.len().checked_sub(3)?..)?;
    (!stated.members.is_empty()).then(|| digits.to_owned())
}

/// An entry and the words of its names.
#[derive(Debug)]
struct NamedEvidence {
    entry: (usize, usize),
    dimension: Dimension,
    kind: Kind,
    /// Whether it is the size of a ring, which no length states.
    is_ring: bool,
    names: Vec<Vec<String>>,
}

/// The entries that a page may mean without naming their engine.
#[derive(Debug, Default)]
pub(crate) struct Lexicon {
    named: Vec<NamedEvidence>,
    /// Units in which readings are stated.
    units: Vec<&'static Unit>,
    /// In how many entries a word stands.
    shared_by: AHashMap<String, f64>,
    /// What results are worked out from.
    worked_out_from: AHashMap<(usize, usize), Vec<(usize, usize)>>,
}

/// Where a word stands, as seen from a figure.
#[derive(Debug, Clone, Copy)]
struct WordPlace {
    /// Words between it and the figure.
    apart: f64,
    /// Share of its worth that is left.
    share: f64,
    /// Whether it stands in the figure's own sentence.
    is_here: bool,
}

impl WordPlace {
    /// Share of a word's worth for being the figure itself.
    fn near(&self) -> f64 {
        self.share * REACH / (REACH + (self.apart - REACH).max(0.0))
    }

    /// Share of a word's worth for being a part of what the figure is worked out from, which may
    /// stand anywhere in the sentence.
    fn somewhere(&self) -> f64 {
        if self.is_here { 1.0 } else { self.share }
    }
}

impl Lexicon {
    /// The words of the entries of some sheets.
    pub(crate) fn new(ledger: &Ledger, sheets: impl IntoIterator<Item = usize>) -> Lexicon {
        let mut lexicon = Lexicon::default();
        for sheet in sheets {
            for (index, entry) in ledger.sheets[sheet].entries.iter().enumerate() {
                let Some(value) = ledger.nominal(sheet, index) else { continue };
                let names: Vec<Vec<String>> =
                    entry.cues.iter().map(|cue| content_words(cue)).collect();
                let mut distinct: Vec<&String> = names.iter().flatten().collect();
                distinct.sort();
                distinct.dedup();
                if let Some(derived) = entry.derived() {
                    let parts = derived.formula.as_ref().map(|f| ledger.named_in(f, sheet));
                    lexicon.worked_out_from.insert((sheet, index), parts.unwrap_or_default());
                }
                let statements = entry.reading().map_or(&[][..], |reading| &reading.statements);
                for figure in statements.iter().flat_map(|stated| &stated.figures) {
                    if !lexicon.units.iter().any(|known| known.code == figure.unit.code) {
                        lexicon.units.push(figure.unit);
                    }
                }
                for word in distinct {
                    *lexicon.shared_by.entry(word.clone()).or_default() += 1.0;
                }
                lexicon.named.push(NamedEvidence {
                    entry: (sheet, index),
                    dimension: value.quantity.dimension,
                    kind: value.quantity.kind,
                    is_ring: ring_of(entry).is_some(),
                    names,
                });
            }
        }
        lexicon
    }

    /// Units of a dimension in which readings are stated.
    pub(in crate::proof) fn units(&self, dimension: Dimension) -> Vec<&'static Unit> {
        self.units.iter().copied().filter(|unit| unit.dimension == dimension).collect()
    }

    /// What an entry is worked out from; nothing where it is a reading.
    pub(super) fn worked_out_from(&self, entry: (usize, usize)) -> &[(usize, usize)] {
        self.worked_out_from.get(&entry).map_or(&[], Vec::as_slice)
    }

    /// Whether a word stands in a name.
    pub(super) fn knows(&self, word: &str) -> bool {
        self.shared_by.contains_key(word)
    }

    /// What a word that stands in so many entries is worth.
    fn worth(&self, word: &str) -> f64 {
        let count = self.named.len() as f64;
        self.shared_by.get(word).map_or(0.0, |shared| libm::log(1.0 + count / shared))
    }

    /// Entries that measure what the figure does.
    fn alike(&self, figure: &Figure) -> impl Iterator<Item = &NamedEvidence> {
        let (dimension, kind) = (figure.unit.dimension, figure.kind);
        let plain = dimension == Dimension::NONE;
        // Counts are held against counts, and decibels are no numbers.
        let is_number = |kind: Kind| matches!(kind, Kind::Plain | Kind::Ratio);
        self.named.iter().filter(move |named| {
            named.dimension == dimension
                && !named.is_ring
                && (!plain || named.kind == kind || is_number(named.kind) && is_number(kind))
        })
    }

    /// What the words say for each entry that measures what the figure does, best first.
    pub(super) fn weigh(&self, figure: &Figure, around: &Around<'_>) -> Vec<((usize, usize), f64)> {
        let free = said_by_unit(figure.unit.dimension);
        let only = self.alike(figure).nth(1).is_none();
        let mut found: Vec<((usize, usize), f64)> = self
            .alike(figure)
            .map(|named| {
                let best = named
                    .names
                    .iter()
                    .map(|name| self.of_name(name, free, around, WordPlace::near));
                let words = best.fold(0.0, f64::max);
                (named.entry, if only && ANY_WORDS <= words { words + ONLY_ONE } else { words })
            })
            .collect();
        found.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        found
    }

    /// What the words say for each ring, best first, and its dash number.
    pub(in crate::proof) fn weigh_rings(
        &self,
        around: &Around<'_>,
        ledger: &Ledger,
    ) -> Vec<((usize, usize), f64, String)> {
        let rings = self.named.iter().filter(|named| named.is_ring);
        let mut found: Vec<((usize, usize), f64, String)> = rings
            .filter_map(|named| {
                let (sheet, entry) = named.entry;
                let digits = ring_of(&ledger.sheets[sheet].entries[entry])?;
                let names = named.names.iter();
                let words =
                    names.map(|name| self.of_name(name, &RING_WORDS, around, WordPlace::near));
                Some((named.entry, words.fold(0.0, f64::max), digits))
            })
            .collect();
        found.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        found
    }

    /// What the words say for one entry, whatever it measures, as a part of a formula.
    pub(super) fn words_for(&self, entry: (usize, usize), around: &Around<'_>) -> f64 {
        let named = self.named.iter().find(|named| named.entry == entry);
        let names = named.into_iter().flat_map(|named| &named.names);
        names.map(|name| self.of_name(name, &[], around, WordPlace::somewhere)).fold(0.0, f64::max)
    }

    /// What the words say for one entry as the figure itself.
    pub(super) fn words_near(&self, entry: (usize, usize), around: &Around<'_>) -> f64 {
        let named = self.named.iter().find(|named| named.entry == entry);
        let names = named.into_iter().flat_map(|named| &named.names);
        names.map(|name| self.of_name(name, &[], around, WordPlace::near)).fold(0.0, f64::max)
    }

    /// Whether a word stands in a name of an entry.
    pub(super) fn names(&self, entry: (usize, usize), word: &str) -> bool {
        let named = self.named.iter().find(|named| named.entry == entry);
        named.is_some_and(|named| named.names.iter().flatten().any(|known| known == word))
    }

    /// Whether a name of one entry is a part of one of another's: "mass" of "ball mass".
    pub(super) fn is_named_within(&self, one: (usize, usize), other: (usize, usize)) -> bool {
        let names = |entry| {
            let named = self.named.iter().find(|named| named.entry == entry);
            named.map_or(&[][..], |named| named.names.as_slice())
        };
        let is_part = |part: &Vec<String>, whole: &Vec<String>| {
            !part.is_empty()
                && part.len() < whole.len()
                && part.iter().all(|word| whole.contains(word))
        };
        names(one).iter().any(|part| names(other).iter().any(|whole| is_part(part, whole)))
    }

    /// Numbers without dimension that a word of the name counts; an angle counts nothing.
    pub(super) fn counting<'a>(
        &'a self,
        noun: &'a str,
    ) -> impl Iterator<Item = (usize, usize)> + 'a {
        let counts = move |named: &&NamedEvidence| {
            named.dimension == Dimension::NONE
                && named.kind != Kind::Angle
                && named.names.iter().flatten().any(|word| word == noun)
        };
        self.named.iter().filter(counts).map(|named| named.entry)
    }

    /// All entries with a value.
    pub(super) fn entries(&self) -> impl Iterator<Item = (usize, usize)> {
        self.named.iter().map(|named| named.entry)
    }

    fn of_name(
        &self,
        name: &[String],
        free: &[&str],
        around: &Around<'_>,
        share: fn(&WordPlace) -> f64,
    ) -> f64 {
        let mut sum = 0.0;
        for word in name {
            match around.place(word) {
                Some(place) => sum += self.worth(word) * share(&place),
                None if free.contains(&word.as_str()) => {}
                None => sum -= MISSING * self.worth(word),
            }
        }
        sum
    }
}

/// Which way a word leans that says that one thing is more or less than another.
fn compares(stem: &str) -> Option<Sense> {
    if may(stem, Role::Outdoing) || stem == "above" {
        return Some(Sense::Up);
    }
    if stem == "below" {
        return Some(Sense::Down);
    }
    comparative(stem)?.senses.first().map(|(_, sense)| *sense)
}

/// Words on either side of a figure that are looked at: those beyond weigh next to nothing, and a
/// sentence may be as long as a page.
const IN_SIGHT: usize = 40;

/// The words around a figure, each where it counts most.
#[derive(Debug)]
pub(in crate::proof) struct Around<'b> {
    places: AHashMap<String, WordPlace>,
    background: &'b Background,
    /// Whether the sentence begins with a pronoun, which takes up what was said before.
    takes_up: bool,
    /// Which way the word of degree that stands nearest leans.
    leans: Option<(usize, Sense)>,
}

/// Words that take up what was said before.
const PRONOUNS: [&str; 11] =
    ["it", "they", "them", "those", "that", "thi", "this", "these", "so", "which", "here"];
/// Words at the start of a sentence among which a pronoun takes up the one before.
const OPENING: usize = 4;

impl<'b> Around<'b> {
    /// Looks around `figure` in a sentence of `text` with these words; `figures` are spans that are
    /// no words, in order.
    pub(in crate::proof) fn look(
        text: &str,
        sentence: &[TextWord],
        figure: Span,
        figures: &[Span],
        background: &'b Background,
    ) -> Around<'b> {
        let places = AHashMap::new();
        let mut around = Around { places, background, takes_up: false, leans: None };
        let middle = sentence.partition_point(|word| word.span.end <= figure.start);
        let first = middle.saturating_sub(IN_SIGHT);
        let near = sentence.get(first..(middle + IN_SIGHT).min(sentence.len())).unwrap_or_default();
        let whole = near
            .first()
            .zip(near.last())
            .map_or(figure, |(first, last)| Span::new(first.span.start, last.span.end));
        let upto = figures.partition_point(|span| span.start < whole.end);
        let near_by = figures[..upto].iter().rev().take(8 * IN_SIGHT).copied();
        let figures: Vec<Span> = near_by.filter(|span| span.overlaps(whole)).collect();
        let is_figure = |word: &TextWord| figures.iter().any(|span| span.contains(word.span));
        for word in near.iter().filter(|word| !is_figure(word)) {
            let gap = if word.span.end <= figure.start {
                Span::new(word.span.end, figure.start)
            } else {
                Span::new(figure.end, word.span.start)
            };
            if gap.end < gap.start {
                continue;
            }
            let between = || near.iter().filter(|other| gap.contains(other.span));
            let parted = text[gap.start..gap.end].contains([',', ';', ':', '(', ')', '—', '–']);
            // Numbers are counted, whether or not they are bound: binding one changes no other.
            let is_number = |word: &&TextWord| word.stem.bytes().all(|b| b.is_ascii_digit());
            let crossed = between().filter(is_number).count();
            let share = if parted { OTHER_CLAUSE } else { 1.0 };
            let share = share * 0.75f64.powi(i32::try_from(crossed.min(8)).unwrap_or(8));
            let apart = between().count() as f64;
            around.add(&word.stem, WordPlace { apart, share, is_here: true });
            let between = between().count();
            if let Some(sense) = compares(&word.stem)
                && around.leans.is_none_or(|(nearest, _)| between < nearest)
            {
                around.leans = Some((between, sense));
            }
        }
        let opening = sentence.iter().take(OPENING).filter(|word| !is_figure(word));
        let is_pronoun = |at: usize, word: &str| match at {
            0 => PRONOUNS.contains(&word),
            _ => PRONOUNS[..4].contains(&word),
        };
        around.takes_up = opening.enumerate().any(|(at, word)| is_pronoun(at, &word.stem));
        around
    }

    fn add(&mut self, stem: &str, place: WordPlace) {
        let word = plain(stem).to_owned();
        let known = self.places.entry(word).or_insert(place);
        if known.near() < place.near() {
            *known = place;
        }
    }

    /// Where a word counts most.
    fn place(&self, word: &str) -> Option<WordPlace> {
        let here = self.places.get(word).copied();
        let before = self.background.share(word, self.takes_up);
        let before = before.map(|share| WordPlace { apart: 0.0, share, is_here: false });
        match (here, before) {
            (Some(here), Some(before)) if here.near() < before.near() => Some(before),
            (here, before) => here.or(before),
        }
    }

    /// Which way the nearest word that compares leans, if there is one.
    pub(super) fn leans(&self) -> Option<Sense> {
        self.leans.map(|(_, sense)| sense)
    }

    /// Whether one of these words stands around.
    pub(super) fn holds(&self, words: &[&str]) -> bool {
        self.holds_here(words) || words.iter().any(|word| self.background.holds(word))
    }

    /// The same in the figure's own sentence.
    pub(super) fn holds_here(&self, words: &[&str]) -> bool {
        words.iter().any(|word| self.places.contains_key(*word))
    }

    /// The figures stated lately, the last first, and how many sentences ago.
    pub(super) fn stated(&self) -> impl Iterator<Item = (u32, &StatedFigure)> {
        self.background.figures()
    }
}
