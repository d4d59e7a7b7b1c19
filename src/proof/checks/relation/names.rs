//! What words name: engines, and the figures of a sheet.

use super::StatementNames;
use super::amounts::may_sum;
use crate::folio::routing::Routed;
use crate::folio::things::Mention;
use crate::folio::words::{TextWord, read_words, stem};
use crate::quantity::{Dimension, Kind};
use crate::statement::{
    Degree, Phrase, Role, chooses, describes, is_degree, is_light, joins_clause, may, names_kin,
    speaks_of,
};
use crate::text::Span;

/// A named figure: sheet and entry.
pub(super) type NamedFigure = (usize, usize);

/// Words of a phrase beside those that name an engine.
#[derive(Debug, Default)]
pub(super) struct SaidWords<'p> {
    /// Words that say what is meant: each must belong to a figure's name.
    pub(super) content: Vec<&'p str>,
    /// Words that may belong to a name, and say nothing where they do not.
    pub(super) light: Vec<&'p str>,
}

/// What is meant by "to open", where a figure is asked for.
const OPENING: &str = "opening";

impl SaidWords<'_> {
    pub(super) fn is_empty(&self) -> bool {
        self.content.is_empty()
    }

    fn all(&self) -> Vec<&str> {
        self.content.iter().chain(&self.light).copied().collect()
    }
}

impl StatementNames<'_> {
    /// Whether anything in the text may be a statement about what is known: always on a page about
    /// engines; elsewhere only where a word names one, a figure or a dated event, or means engines
    /// together.
    pub(super) fn may_speak(&self) -> bool {
        if self.own.is_some() || !self.compared.is_empty() {
            return true;
        }
        let cues = &self.folio.cues;
        let names = |stem: &str| match stem {
            "engine" | "three" => true,
            "open" | "close" | "shut" => cues.knows(stem) || cues.knows(OPENING),
            _ => cues.knows(stem) || may_sum(stem) || may(stem, Role::Pair) && self.two().is_some(),
        };
        let mut words = read_words(self.text, Span::new(0, self.text.len()));
        words.any(|word| names(&word.stem)) || self.folio.timeline.speaks_of(self.text)
    }

    /// Sheets of the engines that a phrase names; "the older one" is seen from `base`.
    pub(super) fn engines(&self, phrase: &Phrase, base: Option<usize>) -> Vec<usize> {
        let named = self.folio.cues.engines_in(&phrase.words);
        let mut sheets: Vec<usize> = named.into_iter().map(|(_, _, sheet)| sheet).collect();
        let ledger = &self.folio.ledger;
        sheets.extend(phrase.words.iter().filter_map(|word| self.last_name(word)));
        sheets.extend(self.group(phrase, &sheets));
        if let Some(base) = base.or_else(|| self.seen_from()) {
            let sheet = &ledger.sheets[base];
            let revision = |word: &TextWord| {
                word.stem == "revision" && !self.text[word.span.start..].starts_with("revisions")
            };
            let is_heir = phrase.is(Role::Heir)
                || phrase
                    .words
                    .iter()
                    .any(|word| word.span.start < self.text.len() && revision(word));
            if phrase.is(Role::Elder) {
                sheets.extend(sheet.descends_from.as_ref().and_then(|name| ledger.engine(name)));
            }
            if is_heir {
                let heirs = ledger.sheets.iter().enumerate().filter(|(_, heir)| {
                    heir.descends_from.is_some() && heir.descends_from == sheet.engine
                });
                let before = sheets.len();
                sheets.extend(heirs.map(|(at, _)| at));
                // Seen from the newer of two, "the newer one" is itself.
                let is_itself = before == 0 && sheets.is_empty() && self.own.is_none();
                sheets.extend((is_itself && sheet.descends_from.is_some()).then_some(base));
            }
        }
        sheets.sort_unstable();
        sheets.dedup();
        if phrase.is(Role::Heir) && !phrase.is(Role::Elder) && 1 < sheets.len() {
            // "The new Rowan": not the one whose name it has.
            let elders: Vec<usize> = sheets.iter().filter_map(|at| self.elder(*at)).collect();
            sheets.retain(|sheet| !elders.contains(sheet));
        }
        sheets
    }

    /// The engine from which "the older one" is seen: the page's own, or where two are set side by
    /// side, the one that was made from the other.
    pub(super) fn seen_from(&self) -> Option<usize> {
        let is_heir = |sheet: &usize| {
            let elder = self.elder(*sheet);
            elder.is_some_and(|elder| self.compared.contains(&elder))
        };
        let mut heirs = self.compared.iter().copied().filter(is_heir);
        self.own.or_else(|| heirs.next().filter(|_| heirs.next().is_none()))
    }

    /// The engines that a page may mean by "all": those that it sets side by side, else those of
    /// the folio.
    pub(super) fn all_engines(&self) -> Vec<usize> {
        if self.own.is_none() && 1 < self.compared.len() {
            return self.compared.to_vec();
        }
        let sheets = self.folio.ledger.sheets.iter().enumerate();
        sheets.filter(|(_, one)| one.engine.is_some()).map(|(at, _)| at).collect()
    }

    fn elder(&self, sheet: usize) -> Option<usize> {
        let ledger = &self.folio.ledger;
        ledger.engine(ledger.sheets.get(sheet)?.descends_from.as_ref()?)
    }

    /// "Both Gorses", "neither version", "all four engines": the engines that are meant together.
    fn group(&self, phrase: &Phrase, named: &[usize]) -> Vec<usize> {
        if phrase.is(Role::All) {
            let counts = phrase.has("three");
            if !named.is_empty() || !counts && !phrase.has("engine") {
                return Vec::new();
            }
            let all = self.all_engines();
            return if !counts || all.len() == 3 { all } else { Vec::new() };
        }
        if !is_pair(phrase) || !named.is_empty() {
            return Vec::new();
        }
        let cues = &self.folio.cues;
        let mut family: Vec<usize> =
            phrase.words.iter().flat_map(|word| cues.family(&word.stem)).copied().collect();
        family.sort_unstable();
        family.dedup();
        match family.as_slice() {
            [_, _] => family,
            [] => self.two().map_or(Vec::new(), |two| two.to_vec()),
            _ => Vec::new(),
        }
    }

    /// An engine and the one that it descends from, seen from either, where there are just two.
    pub(super) fn lineage(&self, from: Option<usize>) -> Option<(usize, usize)> {
        let ledger = &self.folio.ledger;
        let sheet = ledger.sheets.get(from?)?;
        let elder = sheet.descends_from.as_ref().and_then(|name| ledger.engine(name));
        let name = sheet.engine.as_ref()?;
        let mut heirs =
            ledger.sheets.iter().enumerate().filter(|(_, heir)| {
                heir.engine.is_some() && heir.descends_from.as_ref() == Some(name)
            });
        match (elder, heirs.next(), heirs.next()) {
            (Some(elder), None, _) => Some((from?, elder)),
            (None, Some((heir, _)), None) => Some((heir, from?)),
            _ => None,
        }
    }

    /// The two engines that "both" means: an engine and the one that it descends from, else the
    /// only two of the folio.
    pub(super) fn two(&self) -> Option<[usize; 2]> {
        if let Some((heir, elder)) = self.lineage(self.own) {
            return Some([elder, heir]);
        }
        <[usize; 2]>::try_from(self.all_engines()).ok()
    }

    /// The engines that a phrase names, or the page's own; several only where they are meant
    /// together.
    pub(super) fn homes(&self, phrase: &Phrase) -> Vec<usize> {
        let engines = self.engines(phrase, None);
        let is_several = |word: &TextWord| {
            word.stem == "engine" && self.text[word.span.start..].starts_with("engines")
        };
        match engines.as_slice() {
            // "Not one of the engines" is more than this one.
            [] if phrase.words.iter().any(is_several) => Vec::new(),
            [] => self.own.into_iter().collect(),
            [_] => engines,
            _ if is_together(phrase) => engines,
            _ => Vec::new(),
        }
    }

    /// "The B", "the Two": the engine whose name of several words ends in this one.
    pub(super) fn last_name(&self, word: &TextWord) -> Option<usize> {
        let typed = self.text.get(word.span.start..)?;
        if !typed.starts_with(|c: char| c.is_uppercase()) {
            return None;
        }
        let ahead = self.text.get(..word.span.start)?.trim_end();
        // "A pod" at the start of a sentence has an article.
        let opens = ahead.is_empty() || ahead.ends_with(['.', '!', '?', ':']);
        let is_name = !opens || word.stem.len() == 1 && word.stem != "a";
        if is_name { self.folio.cues.of_last_name(&word.stem) } else { None }
    }

    /// The things of a cutaway that words name; those of an engine's name are none: "the hammer
    /// engine".
    pub(super) fn things_in(&self, routed: &Routed, words: &[TextWord]) -> Vec<Mention> {
        let mut mentions = routed.things.named_in(words);
        let mut engines = self.folio.cues.engines_in(words);
        engines.retain(|(first, last, _)| first + 1 < *last);
        mentions.retain(|it| {
            let cuts = |(first, last): (usize, usize)| {
                let is_within = it.first <= first && last <= it.last;
                it.first < last && first < it.last && !is_within
            };
            !engines.iter().any(|(first, last, _)| cuts((*first, *last)))
        });
        mentions
    }

    /// The words of a phrase without those that name an engine.
    pub(super) fn said_words<'p>(&self, phrase: &'p Phrase) -> SaidWords<'p> {
        let named = self.folio.cues.engines_in(&phrase.words);
        let is_engine =
            |at: usize| named.iter().any(|(first, last, _)| (*first..*last).contains(&at));
        let mut said = SaidWords::default();
        for (at, word) in phrase.words.iter().enumerate() {
            let stem = word.stem.as_str();
            let stands_in = self.last_name(word).is_some()
                || names_kin(stem)
                || 1 < self.folio.cues.family(stem).len()
                || stem.starts_with(|c: char| c.is_ascii_digit());
            if is_engine(at) || stands_in {
                continue;
            }
            if phrase.verb == Some(word.span) {
                said.light.push(stem);
                continue;
            }
            if matches!(stem, "open" | "close" | "shut") && self.text_before(word).ends_with(" to ")
            {
                // "Take as long to open": no figure is of what stands open.
                said.content.push(OPENING);
                continue;
            }
            if chooses(stem) && self.folio.cues.sheets_knowing(stem).is_empty() {
                said.content.push(stem);
            } else if is_degree(stem) {
                said.light.push(stem);
            } else if !is_light(stem) && !self.only_describes(stem) && !self.is_measure(word) {
                said.content.push(stem);
            } else if self.is_noun(word) {
                said.light.push(stem);
            }
        }
        // "The hold at rest": words that are mostly verbs, and the whole of a name.
        if said.content.is_empty() && self.is_name(phrase, &said.light) {
            said.content.clone_from(&said.light);
        }
        said
    }

    /// Whether a word only describes, and is of no figure's name.
    pub(super) fn only_describes(&self, stem: &str) -> bool {
        let is_empty = describes(stem) || joins_clause(stem);
        is_empty && self.folio.cues.sheets_knowing(stem).is_empty()
    }

    fn text_before(&self, word: &TextWord) -> &str {
        self.text.get(..word.span.start).unwrap_or_default()
    }

    /// "By area", "in length": in what things are compared.
    fn is_measure(&self, word: &TextWord) -> bool {
        let ahead = self.text_before(word);
        let stands = [" by ", "By ", " in "].iter().any(|opener| ahead.ends_with(opener));
        stands && matches!(word.stem.as_str(), "area" | "volume" | "weight" | "mass" | "section")
    }

    /// The noun at the head of a phrase, where no preposition opens it: what it is about.
    pub(super) fn head<'p>(&self, phrase: &'p Phrase) -> Option<&'p str> {
        let first = phrase.words.first()?;
        let ahead = self.text.get(self.sentence.start..first.span.start).unwrap_or_default();
        let mut ahead = ahead.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty());
        let before = ahead.next_back().unwrap_or_default().to_lowercase();
        let opener = match before.as_str() {
            "the" | "a" | "an" | "its" | "their" => ahead.next_back().unwrap_or_default(),
            word => word,
        };
        if matches!(opener.to_lowercase().as_str(), "on" | "in" | "at" | "for" | "with" | "under") {
            return None;
        }
        // Up to the first word that is no neighbour of the one before it.
        let joins = |pair: &[TextWord]| {
            let gap = self.text.get(pair[0].span.end..pair[1].span.start);
            gap.is_some_and(|gap| !gap.contains(char::is_alphabetic) && !gap.contains(','))
        };
        let length = phrase.words.windows(2).take_while(|pair| joins(pair)).count() + 1;
        let noun = phrase.words.iter().take(length).rev();
        let mut noun = noun.filter(|word| !is_light(&word.stem) && !word.possessive);
        Some(noun.next()?.stem.as_str())
    }

    /// Whether words hold the whole name of a figure of the engines that a phrase speaks of.
    fn is_name(&self, phrase: &Phrase, words: &[&str]) -> bool {
        let cues = &self.folio.cues;
        let said = |name: &Vec<String>| {
            name.iter().all(|stem| is_small(stem) || words.contains(&stem.as_str()))
        };
        self.engines(phrase, None).into_iter().chain(self.own).any(|sheet| {
            let entries = cues.sharing(sheet, words).into_iter();
            entries.flat_map(|at| cues.names(sheet, at)).any(said)
        })
    }

    /// The words of the sentence before that are of some figure's name.
    pub(super) fn known_words<'p>(&self, phrase: &'p Phrase) -> SaidWords<'p> {
        let mut said = self.said_words(phrase);
        said.content.retain(|word| !self.folio.cues.sheets_knowing(word).is_empty());
        said.light.clear();
        said
    }

    /// Whether a word that is mostly a verb stands where a noun stands: "the hold", "its travel".
    fn is_noun(&self, word: &TextWord) -> bool {
        const BEFORE_NOUNS: [&str; 16] = [
            "the", "a", "an", "its", "their", "this", "that", "each", "full", "net", "of", "at",
            "in", "same", "both", "on",
        ];
        let typed = self.text.get(word.span.start..word.span.end).unwrap_or_default();
        if stem(typed) != word.stem {
            // It stands in for a pronoun.
            return true;
        }
        let ahead = self.text.get(..word.span.start).unwrap_or_default().trim_end();
        let before = ahead.rsplit(char::is_whitespace).next().unwrap_or_default().to_lowercase();
        let owns = before.ends_with("'s") || before.ends_with("\u{2019}s");
        owns || BEFORE_NOUNS.contains(&before.as_str()) || !is_light(&stem(&before))
    }

    /// The figure of the same name on another sheet.
    pub(super) fn twin(&self, (sheet, entry): NamedFigure, other: usize) -> Option<NamedFigure> {
        let name = &self.folio.ledger.sheets[sheet].entries[entry].name.text;
        let entries = &self.folio.ledger.sheets[other].entries;
        let at = entries.iter().position(|entry| entry.name.text == *name)?;
        (sheet != other).then_some((other, at))
    }

    pub(super) fn measure(&self, (sheet, entry): NamedFigure) -> Option<(Dimension, Kind)> {
        let value = self.folio.ledger.nominal(sheet, entry)?;
        Some((value.quantity.dimension, value.quantity.kind))
    }

    /// The figures of a sheet that words name best, as many as fit equally well.
    pub(super) fn candidates(
        &self,
        words: &SaidWords<'_>,
        sheet: usize,
        degree: Option<&Degree>,
    ) -> Vec<NamedFigure> {
        // "The largest ring" says nothing of how many there are.
        const OF_SIZE: [&str; 8] =
            ["large", "big", "great", "high", "sizeable", "small", "low", "tiny"];
        let is_of_size = degree.is_some_and(|degree| OF_SIZE.contains(&degree.plain.as_str()));
        let is_number = words.all().iter().any(|w| speaks_of(w, Dimension::NONE) == Some(true));
        let fits = |dimension| {
            let is_meant = dimension != Dimension::NONE || !is_of_size || is_number;
            is_meant && degree.is_none_or(|degree| degree.sense(dimension).is_some())
        };
        self.best(words, sheet, degree, fits)
    }

    /// The figures of one dimension that words name best.
    pub(super) fn of_dimension(
        &self,
        words: &SaidWords<'_>,
        sheet: usize,
        wanted: Dimension,
    ) -> Vec<NamedFigure> {
        if !words.is_empty() {
            return self.best(words, sheet, None, |dimension| dimension == wanted);
        }
        // "60 m/s is what it delivers": the one figure of its sort needs no name.
        let count = self.folio.ledger.sheets.get(sheet).map_or(0, |known| known.entries.len());
        let is_wanted = |at: &usize| {
            self.measure((sheet, *at)).is_some_and(|(dimension, _)| dimension == wanted)
        };
        (0..count).filter(is_wanted).map(|at| (sheet, at)).collect()
    }

    fn best(
        &self,
        words: &SaidWords<'_>,
        sheet: usize,
        degree: Option<&Degree>,
        fits: impl Fn(Dimension) -> bool,
    ) -> Vec<NamedFigure> {
        let cues = &self.folio.cues;
        let shared = cues.sharing(sheet, &words.all()).into_iter();
        let scored: Vec<(usize, usize)> = shared
            .filter_map(|at| {
                let (dimension, _) = self.measure((sheet, at))?;
                let is_fit = fits(dimension);
                let score =
                    if is_fit { score(words, cues.names(sheet, at), degree, dimension) } else { 0 };
                (0 < score).then_some((score, at))
            })
            .collect();
        let best = scored.iter().map(|(score, _)| *score).max();
        let named = scored.iter().filter(|(score, _)| Some(*score) == best);
        named.map(|(_, at)| (sheet, *at)).collect()
    }

    /// Whether no figure of the folio is named for what a phrase is about.
    pub(super) fn knows_nothing_of(&self, phrase: &Phrase, words: &SaidWords<'_>) -> bool {
        let speaks = |word: &str| {
            let is_known = !self.folio.cues.sheets_knowing(word).is_empty();
            is_known || speaks_of(word, Dimension::MASS).is_some()
        };
        let head = self.head(phrase).filter(|head| words.content.contains(head));
        head.is_some_and(|head| !speaks(head))
    }
}

/// "Both", "neither", "either": two engines are meant together.
pub(super) fn is_pair(phrase: &Phrase) -> bool {
    // "Two thirds" are no pair.
    let is_part = |at: usize| phrase.words.get(at + 1).is_some_and(|next| chooses(&next.stem));
    let counts = |at: usize| phrase.words[at].stem == "two" && is_part(at);
    phrase.is(Role::Pair) && !(0..phrase.words.len()).any(counts)
}

/// Whether a phrase means several engines together.
pub(super) fn is_together(phrase: &Phrase) -> bool {
    is_pair(phrase) || phrase.is(Role::All) || phrase.has("each")
}

/// Words of a name that need not be said.
fn is_small(stem: &str) -> bool {
    matches!(stem, "of" | "the" | "in" | "at" | "a" | "on" | "is")
}

/// How well words name a figure with these names; 0 where they do not.
fn score(
    words: &SaidWords<'_>,
    names: &[Vec<String>],
    degree: Option<&Degree>,
    dimension: Dimension,
) -> usize {
    let has = |stem: &str| words.content.contains(&stem) || words.light.contains(&stem);
    // "Is wider": the width goes without saying.
    let is_meant = |stem: &str| degree.is_some() && speaks_of(stem, dimension) == Some(true);
    let whole = |name: &Vec<String>| {
        let own = || name.iter().filter(|stem| !is_small(stem));
        let said = own().filter(|stem| has(stem)).count();
        (0 < said && own().all(|stem| has(stem) || is_meant(stem))).then_some(said)
    };
    let whole = names.iter().filter_map(whole).max().unwrap_or(0);
    let stands = |word: &str| names.iter().any(|name| name.iter().any(|stem| stem == word));
    // A share is one of the air in the store, whether its name says so or not.
    let is_share = stands("share");
    let known = |word: &str| stands(word) || is_share && matches!(word, "air" | "store");
    // A word that no name of the figure has says that something else is meant.
    let fits = |word: &&str| known(word) || speaks_of(word, dimension) == Some(true);
    if !words.content.iter().all(fits) {
        return 0;
    }
    let shared = words.content.iter().filter(|word| known(word)).count();
    if shared == 0 && whole == 0 {
        return 0;
    }
    let is_sort = |sort: &[&str]| names.iter().flatten().any(|stem| sort.contains(&stem.as_str()));
    let sort = degree.map_or(&[] as &[&str], |degree| degree.sort);
    let is_of_sort = !sort.is_empty() && is_sort(sort);
    let is_other = degree.is_some_and(|degree| !is_of_sort && is_sort(&degree.other_sorts));
    if dimension == Dimension::LENGTH && is_other {
        return 0;
    }
    20 * whole + 2 * shared + usize::from(is_of_sort)
}
