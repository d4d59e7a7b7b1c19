//! The search index that readers' browsers load: one script that assigns to one global.
//!
//! Pages are added one by one and their postings kept as they will be printed, so a large site
//! needs no more memory than its index. Taking a page apart ([`SearchIndex::take`]) is most of the
//! work and can be done on any thread; adding it ([`SearchIndex::add`]) is quick. In the index
//! words are sorted and front-coded, the pages of each word differences, figures numbers by
//! dimension.
//! The same input gives the same bytes. It must not know pages, quantities or themes: it is given
//! plain words, and numbers in coherent SI units.
//!
//! # Form of the script
//! `window.gaugebookIndex={…}` with
//! - `pages`: `[title, address, kind, engine]` each; the last is empty where it is of none;
//! - `heads`: per page a flat list `anchor, text, anchor, text, …`;
//! - `words`: front-coded: a capital letter says how many characters are shared with the word
//!   before (`A` none, `Z` twenty-five), the rest follows;
//! - `posts`: one group per word, apart by spaces. Each entry is a number in base 32, lowest digit
//!   first, digits of `DIGITS`, those from the second half of it when more follow. The number is
//!   four times the gap to the page before, less one, plus the `Field`;
//! - `stop`: words left out; `synonyms`: groups of phrases that mean the same;
//! - `units`: `[spelling, dimension, factor, offset]` each; value in SI = number × factor + offset;
//! - `figures`: per dimension a flat list `value, page, place, …`; `places`: `[anchor, label]`.

mod tokens;
mod vocabulary;

use serde::ser::{Serialize, SerializeSeq, Serializer};
use std::collections::hash_map::Entry;
use std::collections::{BTreeMap, HashMap};
use vocabulary::SearchVocabulary;

/// Digits of a posting: the first half ends a number, the second half says that more follow.
const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

/// English words too common to find anything by. In other languages they cost little.
const STOP: &str = "a an and are as at be been but by can do does for from had has have how if in \
    into is it its no not of on or so than that the their then there these they this to was were \
    what when where which who will with would you your";

/// Where a word stands; of several, the best counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[repr(u8)]
enum Field {
    Body = 0,
    OftenInBody = 1,
    Heading = 2,
    Title = 3,
}

/// A figure to find by number and unit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SearchFigure {
    /// Dimension, as named by the units given to [`SearchIndex::finish`] ("length").
    pub dimension: String,
    /// Value in the dimension's SI unit. Values that are not finite are left out.
    pub value: f64,
    /// Where on the page, without `#`; empty for the page as a whole.
    pub anchor: String,
    /// What it is ("metering bore").
    pub label: String,
}

/// A unit that readers may type in a search.
#[derive(Debug, Clone, PartialEq)]
pub struct SearchUnit {
    /// One spelling; several spellings are several units here.
    pub spelling: String,
    /// Dimension it measures.
    pub dimension: String,
    /// Size in the dimension's SI unit.
    pub factor: f64,
    /// Added after multiplying (degrees Celsius: 273.15).
    pub offset: f64,
}

/// What is to be found of one page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SearchDocument {
    /// Title.
    pub title: String,
    /// Address relative to the site's root.
    pub address: String,
    /// Kind in words.
    pub kind: String,
    /// The engine whose page it is, as the bench's address has it; may be empty.
    pub engine: String,
    /// Anchor (without `#`) and text of each heading.
    pub headings: Vec<(String, String)>,
    /// All other words, as plain text.
    pub text: String,
    /// FigureList.
    pub figures: Vec<SearchFigure>,
}

/// A page taken apart for the index.
#[derive(Debug, Clone)]
pub struct TakenPage {
    /// Title, address, kind, engine.
    page: [String; 4],
    /// Anchor and text of each heading, in one list.
    heads: Vec<String>,
    /// Number of each of its words in the vocabulary, with the best place it stands in.
    words: Vec<(u32, Field)>,
    figures: Vec<SearchFigure>,
}

/// Pages of one word, printed as far as they are known.
#[derive(Debug, Clone, Default)]
struct Postings {
    last: Option<u32>,
    printed: String,
}

/// Value, page and place of the figures of one dimension; printed as one flat list.
#[derive(Debug, Clone, Default)]
struct FigureList(Vec<(f64, u32, u32)>);

impl FigureList {
    /// Sorts them and leaves out what stands twice.
    fn settle(&mut self) {
        self.0.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
        self.0.dedup();
    }
}

impl Serialize for FigureList {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut list = serializer.serialize_seq(Some(self.0.len() * 3))?;
        for (value, page, place) in &self.0 {
            list.serialize_element(&six_digits(*value))?;
            list.serialize_element(page)?;
            list.serialize_element(place)?;
        }
        list.end()
    }
}

/// What the script holds, in the order in which it is printed.
#[derive(serde::Serialize)]
struct Script<'a> {
    pages: &'a [[String; 4]],
    heads: &'a [Vec<String>],
    words: String,
    posts: String,
    stop: &'a str,
    synonyms: &'a [Vec<String>],
    units: Vec<(&'a str, &'a str, f64, f64)>,
    figures: &'a BTreeMap<String, FigureList>,
    places: &'a [(String, String)],
}

/// The index while it grows.
#[derive(Debug, Default)]
pub struct SearchIndex {
    vocabulary: SearchVocabulary,
    pages: Vec<[String; 4]>,
    heads: Vec<Vec<String>>,
    /// Postings by number of the word.
    words: Vec<Postings>,
    figures: BTreeMap<String, FigureList>,
    places: Vec<(String, String)>,
    place_numbers: HashMap<(String, String), u32>,
}

impl SearchIndex {
    /// An index of nothing.
    #[must_use]
    pub fn new() -> SearchIndex {
        SearchIndex::default()
    }

    /// Takes a page apart; several threads may at a time.
    #[must_use]
    pub fn take(&self, document: SearchDocument) -> TakenPage {
        let words = self.vocabulary.words_of(&document);
        let heads = document.headings.into_iter().flat_map(|(anchor, text)| [anchor, text]);
        TakenPage {
            page: [document.title, document.address, document.kind, document.engine],
            heads: heads.collect(),
            words,
            figures: document.figures,
        }
    }

    /// Adds a page that this index took apart. The order of adding is the order of equally good
    /// results.
    pub fn add(&mut self, added: TakenPage) {
        let page = u32::try_from(self.pages.len()).unwrap_or(u32::MAX);
        self.pages.push(added.page);
        self.heads.push(added.heads);
        for (word, field) in added.words {
            let word = word as usize;
            if self.words.len() <= word {
                self.words.resize_with(word + 1, Postings::default);
            }
            let postings = &mut self.words[word];
            let gap = postings.last.map_or(page, |last| page - last - 1);
            push_number(&mut postings.printed, u64::from(gap) * 4 + field as u64);
            postings.last = Some(page);
        }
        for figure in added.figures {
            if figure.value.is_finite() {
                let place = self.place(figure.anchor, figure.label);
                let row = (figure.value, page, place);
                self.figures.entry(figure.dimension).or_default().0.push(row);
            }
        }
    }

    /// The script, for `search-index.js` in the site's root. `synonyms` are groups of words or
    /// short phrases that mean the same.
    #[must_use]
    pub fn finish(mut self, units: &[SearchUnit], synonyms: &[Vec<String>]) -> String {
        self.figures.values_mut().for_each(FigureList::settle);
        let (words, posts) = packed(self.vocabulary, self.words);
        let script = Script {
            pages: &self.pages,
            heads: &self.heads,
            words,
            posts,
            stop: STOP,
            synonyms,
            units: units
                .iter()
                .map(|unit| (&*unit.spelling, &*unit.dimension, unit.factor, unit.offset))
                .collect(),
            figures: &self.figures,
            places: &self.places,
        };
        let mut index = serde_json::to_string(&script).unwrap_or_default();
        // JSON may hold two line separators that older scripts may not.
        for (separator, escape) in [("\u{2028}", "\\u2028"), ("\u{2029}", "\\u2029")] {
            if index.contains(separator) {
                index = index.replace(separator, escape);
            }
        }
        index.insert_str(0, "window.gaugebookIndex=");
        index.push_str(";\n");
        index
    }

    fn place(&mut self, anchor: String, label: String) -> u32 {
        let next = u32::try_from(self.places.len()).unwrap_or(u32::MAX);
        match self.place_numbers.entry((anchor, label)) {
            Entry::Occupied(known) => *known.get(),
            Entry::Vacant(free) => {
                self.places.push(free.key().clone());
                *free.insert(next)
            }
        }
    }
}

/// Six significant digits are more than anybody searches by, and keep the index small.
fn six_digits(value: f64) -> f64 {
    format!("{value:.5e}").parse().unwrap_or(value)
}

fn packed(vocabulary: SearchVocabulary, mut postings: Vec<Postings>) -> (String, String) {
    // A word whose page was not added has no postings.
    let texts = vocabulary.into_words().filter_map(|(word, number)| {
        let printed = std::mem::take(&mut postings.get_mut(number as usize)?.printed);
        (!printed.is_empty()).then_some((word, printed))
    });
    let mut words: Vec<(String, String)> = texts.collect();
    words.sort_unstable();
    let (mut coded, mut posts) = (String::new(), String::new());
    let mut before = "";
    for (word, printed) in &words {
        let shared = shared_characters(before, word).min(25);
        coded.push(char::from(DIGITS[shared]));
        coded.extend(word.chars().skip(shared));
        if !posts.is_empty() {
            posts.push(' ');
        }
        posts.push_str(printed);
        before = word;
    }
    (coded, posts)
}

fn shared_characters(a: &str, b: &str) -> usize {
    a.chars().zip(b.chars()).take_while(|(a, b)| a == b).count()
}

fn push_number(out: &mut String, mut number: u64) {
    while number >= 32 {
        out.push(char::from(DIGITS[32 + (number % 32) as usize]));
        number /= 32;
    }
    out.push(char::from(DIGITS[number as usize]));
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    fn document(title: &str, text: &str) -> SearchDocument {
        SearchDocument {
            title: title.into(),
            address: format!("{title}.html"),
            text: text.into(),
            ..SearchDocument::default()
        }
    }

    fn add(index: &mut SearchIndex, document: SearchDocument) {
        let taken = index.take(document);
        index.add(taken);
    }

    #[test]
    fn words_are_front_coded_and_pages_are_gaps() {
        let mut index = SearchIndex::new();
        add(&mut index, document("Rowan", "bolt bolts"));
        add(&mut index, document("Hazel", "bolt"));
        let script = index.finish(&[], &[]);
        assert!(script.contains("\"words\":\"AboltEsAhazelArowan\""), "{script}");
        // bolt: page 0 and the next one, both body; hazel: gap 1, title (1 × 4 + 3 = 7 = H).
        assert!(script.contains("\"posts\":\"AA A H D\""), "{script}");
    }

    #[test]
    fn the_script_assigns_to_one_global() {
        let script = SearchIndex::new().finish(&[], &[]);
        let json = script.strip_prefix("window.gaugebookIndex=").unwrap();
        let value: Value = serde_json::from_str(json.trim_end().trim_end_matches(';')).unwrap();
        assert_eq!(value["pages"], json!([]));
    }

    #[test]
    fn numbers_past_one_digit_go_on() {
        let mut out = String::new();
        push_number(&mut out, 31);
        push_number(&mut out, 32);
        push_number(&mut out, 32 * 32 + 31);
        // 31 is the last ending digit; 32 = 0 + 1 × 32; 1055 = 31 + 0 × 32 + 1 × 1024.
        assert_eq!(out, "f gB _gB".replace(' ', ""));
    }

    #[test]
    fn a_word_in_the_title_counts_as_such_wherever_else_it_stands() {
        let mut index = SearchIndex::new();
        add(&mut index, document("bolt", "bolt bolt bolt bolt spring spring spring spring"));
        let script = index.finish(&[], &[]);
        // Page 0 as title (3 = D) and as often in the body (1 = B).
        assert!(script.contains("\"words\":\"AboltAspring\",\"posts\":\"D B\""), "{script}");
    }

    #[test]
    fn a_hundred_long_pages_stay_within_300_kilobytes() {
        // 1,200 words a page drawn from 8,000 with frequencies about as in running text
        // (Zipf: the n-th word stands 1/n as often; memory), and 30 figures.
        let mut state = 1_u64;
        let mut draw = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (state >> 11) as f64 / (1_u64 << 53) as f64
        };
        let mut index = SearchIndex::new();
        for page in 0..100 {
            let mut text = String::new();
            for _ in 0..1200 {
                let rank = libm::pow(8000.0, draw()) as u32;
                text.push_str(&format!(
                    "{}q{} ",
                    ["ba", "ke", "to", "mi"][rank as usize % 4],
                    rank
                ));
            }
            let figure = |n: u32| SearchFigure {
                dimension: "length".into(),
                value: 0.001 + f64::from(n * 7919 % 1000) / 3e4 + f64::from(page) * 1e-6,
                anchor: format!("reading-{n}"),
                label: format!("reading {n}"),
            };
            let figures = (0..30).map(figure).collect();
            let title = format!("Page {page}");
            add(&mut index, SearchDocument { figures, ..document(&title, &text) });
        }
        let size = index.finish(&[], &[]).len();
        assert!(size < 300 * 1024, "{size}");
    }

    #[test]
    fn line_separators_do_not_break_the_script() {
        let mut index = SearchIndex::new();
        add(&mut index, document("a\u{2028}b", ""));
        assert!(index.finish(&[], &[]).contains("a\\u2028b"));
    }

    #[test]
    fn figures_keep_six_digits_and_share_places() {
        let figure = |value| SearchFigure {
            dimension: "length".into(),
            value,
            anchor: "reading-bore".into(),
            label: "bore".into(),
        };
        let mut index = SearchIndex::new();
        let rows = vec![figure(0.015), figure(0.012_345_678), figure(f64::NAN)];
        add(&mut index, SearchDocument { figures: rows, ..document("a", "") });
        let script = index.finish(&[], &[]);
        assert!(script.contains("\"figures\":{\"length\":[0.0123457,0,0,0.015,0,0]}"), "{script}");
        assert!(script.contains("\"places\":[[\"reading-bore\",\"bore\"]]"), "{script}");
    }
}
