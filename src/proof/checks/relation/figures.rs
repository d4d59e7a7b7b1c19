//! Statements about figures: more, less, as much, so many times as much, the most.

use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::formula::{self, Margin, Outcome, Truth, worst_case};
use crate::quantity::{Dimension, Kind};
use crate::statement::{Degree, Factor, Phrase, Sense, Than};

/// A named figure: sheet and entry.
type NamedFigure = (usize, usize);

/// Words that name the engine that another one was developed from.
const ELDERS: [&str; 8] =
    ["older", "elder", "predecessor", "replaced", "forerunner", "parent", "original", "earlier"];
/// Words that name the one developed from it.
const HEIRS: [&str; 6] = ["newer", "younger", "successor", "heir", "offspring", "later"];
/// Verbs that a quantity's name lacks.
const VERBS: [&str; 64] = [
    "weigh", "weighs", "run", "work", "throw", "give", "deliver", "need", "use", "spend", "cost",
    "come", "measure", "turn", "show", "make", "reache", "stand", "put", "raised", "lowered",
    "widened", "took", "leave", "do", "stay", "travel", "go", "goe", "last", "exceed", "reach",
    "grew", "changed", "fly", "flie", "move", "keep", "kept", "remain", "fall", "drop", "climb",
    "rise", "rose", "climbed", "went", "cut", "fell", "can", "will", "brought", "get", "share",
    "rest", "start", "end", "fire", "left", "see", "turned", "lie", "let", "out",
];
/// Words that stand in place of a name, or count, or only place a thing in time.
const STAND_INS: [&str; 53] = [
    "one",
    "that",
    "those",
    "other",
    "same",
    "counterpart",
    "older",
    "newer",
    "engine",
    "drawing",
    "version",
    "revision",
    "both",
    "neither",
    "either",
    "all",
    "each",
    "every",
    "two",
    "three",
    "between",
    "what",
    "whole",
    "own",
    "now",
    "not",
    "no",
    "never",
    "nothing",
    "finally",
    "already",
    "always",
    "today",
    "actually",
    "indeed",
    "simply",
    "however",
    "already",
    "about",
    "roughly",
    "more",
    "less",
    "rest",
    "new",
    "old",
    "first",
    "second",
    "within",
    "under",
    "over",
    "going",
    "any",
    "before",
];

impl StatementNames<'_> {
    /// Sheets of the engines that a phrase names; "the older one" is seen from `base`.
    pub(super) fn engines(&self, phrase: &Phrase, base: Option<usize>) -> Vec<usize> {
        let named = self.folio.cues.engines_in(&phrase.words);
        let mut sheets: Vec<usize> = named.into_iter().map(|(_, _, sheet)| sheet).collect();
        let ledger = &self.folio.ledger;
        let letters = phrase.words.iter().filter_map(|word| self.folio.cues.of_letter(&word.stem));
        sheets.extend(letters);
        sheets.extend(self.group(phrase, &sheets));
        if let Some(base) = base.or(self.own) {
            let sheet = &ledger.sheets[base];
            if ELDERS.iter().any(|word| phrase.has(word)) {
                sheets.extend(sheet.descends_from.as_ref().and_then(|name| ledger.engine(name)));
            }
            if HEIRS.iter().any(|word| phrase.has(word)) {
                let heirs = ledger.sheets.iter().enumerate().filter(|(_, heir)| {
                    heir.descends_from.is_some() && heir.descends_from == sheet.engine
                });
                sheets.extend(heirs.map(|(at, _)| at));
            }
        }
        sheets.sort_unstable();
        sheets.dedup();
        sheets
    }

    /// "Both Skeps", "neither revision", "all three engines": the engines that are meant together.
    fn group(&self, phrase: &Phrase, named: &[usize]) -> Vec<usize> {
        let ledger = &self.folio.ledger;
        let engines = || ledger.sheets.iter().enumerate().filter(|(_, one)| one.engine.is_some());
        if phrase.has("all") || phrase.has("three") || phrase.has("every") {
            let all: Vec<usize> = engines().map(|(at, _)| at).collect();
            let is_all = !phrase.has("three") || all.len() == 3;
            let says = phrase.has("engine") || phrase.has("three");
            return if is_all && says && named.is_empty() { all } else { Vec::new() };
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
            [] => self.lineage(self.own).map_or(Vec::new(), |(heir, elder)| vec![elder, heir]),
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

    /// The engines that a phrase names, or the page's own; several only where they are meant
    /// together.
    pub(super) fn homes(&self, phrase: &Phrase) -> Vec<usize> {
        let engines = self.engines(phrase, None);
        match engines.as_slice() {
            [] => self.own.into_iter().collect(),
            [_] => engines,
            _ if is_together(phrase) => engines,
            _ => Vec::new(),
        }
    }

    /// The words of a phrase without those that name an engine.
    pub(super) fn plain_words<'p>(&self, phrase: &'p Phrase) -> Vec<&'p str> {
        let named = self.folio.cues.engines_in(&phrase.words);
        let is_engine =
            |at: usize| named.iter().any(|(first, last, _)| (*first..*last).contains(&at));
        let words = phrase.words.iter().enumerate().filter(|(at, _)| !is_engine(*at));
        let stands_in = |stem: &str| {
            STAND_INS.contains(&stem)
                || self.folio.cues.of_letter(stem).is_some()
                || ELDERS.contains(&stem)
                || HEIRS.contains(&stem)
                || 1 < self.folio.cues.family(stem).len()
        };
        let kept = words.map(|(_, word)| word.stem.as_str());
        kept.filter(|stem| !stands_in(stem) && !VERBS.contains(stem)).collect()
    }

    /// Asks of the two figures that two phrases name; of several engines that are meant together,
    /// of each. Where a phrase may mean several figures, all of them must give the same answer.
    pub(super) fn asked_of(
        &self,
        (left, right): (&Phrase, &Phrase),
        degree: Option<&Degree>,
        ask: impl Fn(NamedFigure, NamedFigure) -> Option<StatementAnswer>,
    ) -> Option<StatementAnswer> {
        let lefts = self.homes(left);
        let mut rights = self.engines(right, self.engines(left, None).first().copied());
        if right.words.len() == 1 && right.has("before") {
            // "Weaker than before".
            let (heir, elder) = self.lineage(lefts.first().copied())?;
            rights = vec![elder];
            (lefts == [heir]).then_some(())?;
        }
        if lefts.is_empty() || 1 < rights.len() && !is_together(right) {
            return None;
        }
        let words = (self.plain_words(left), self.plain_words(right));
        if let (true, true, Some(degree)) = (words.0.is_empty(), words.1.is_empty(), degree) {
            return self.of_the_whole(&lefts, &rights, degree);
        }
        let mut answers = Vec::new();
        for home in lefts {
            let others: Vec<Option<usize>> = match rights.as_slice() {
                [] => vec![None],
                _ => rights.iter().copied().map(Some).collect(),
            };
            for other in others {
                let pairs = self.pairs(&words, (home, other), degree);
                answers.push(agreed(pairs.into_iter().filter_map(|(one, two)| ask(one, two)))?);
            }
        }
        StatementAnswer::all(answers)
    }

    /// "The Trug is heavier than the A": of the engine as a whole, which no reading states.
    fn of_the_whole(
        &self,
        lefts: &[usize],
        rights: &[usize],
        degree: &Degree,
    ) -> Option<StatementAnswer> {
        let ([left], [right]) = (lefts, rights) else { return None };
        let is_mass = degree.senses.iter().all(|(dimension, _)| *dimension == Dimension::MASS);
        let name = |at: usize| self.folio.ledger.sheets.get(at)?.engine.clone();
        let question = format!("{} {} than {}", name(*left)?, degree.more, name(*right)?);
        let reason = "no reading states it of the whole engine".to_owned();
        let is_open = is_mass && left != right;
        is_open.then_some(StatementAnswer { standing: StatementStanding::Open, reason, question })
    }

    /// The figures that two phrases may mean.
    fn pairs(
        &self,
        (left, right): &(Vec<&str>, Vec<&str>),
        (home, other): (usize, Option<usize>),
        degree: Option<&Degree>,
    ) -> Vec<(NamedFigure, NamedFigure)> {
        let ones = self.candidates(left, home, degree);
        let beside = |one: NamedFigure| match (right.is_empty(), other) {
            // "than Rowan's", "than the older one": the same figure of another engine.
            (true, Some(sheet)) => self.twin(one, sheet).into_iter().collect(),
            (true, None) => Vec::new(),
            (false, sheet) => {
                let found = self.candidates(right, sheet.unwrap_or(home), degree);
                // "than it is in Rowan": words that only repeat the subject.
                let repeats = right.iter().all(|word| left.contains(word));
                match sheet.filter(|_| repeats).and_then(|sheet| self.twin(one, sheet)) {
                    Some(twin) if found.len() != 1 => vec![twin],
                    _ => found,
                }
            }
        };
        let pairs = ones.iter().flat_map(|one| beside(*one).into_iter().map(|two| (*one, two)));
        pairs.filter(|(one, two)| one != two && self.is_comparable(*one, *two)).collect()
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

    fn is_comparable(&self, one: NamedFigure, other: NamedFigure) -> bool {
        matches!((self.measure(one), self.measure(other)), (Some(a), Some(b)) if a.0 == b.0)
    }

    /// The figure of a sheet that words name best: an alias whole, or the head noun with most of
    /// the rest; `None` where two fit as well.
    pub(super) fn figure(
        &self,
        words: &[&str],
        sheet: usize,
        degree: Option<&Degree>,
    ) -> Option<NamedFigure> {
        match self.candidates(words, sheet, degree).as_slice() {
            [one] => Some(*one),
            _ => None,
        }
    }

    /// The figures of a sheet that words name best, as many as fit equally well.
    fn candidates(
        &self,
        words: &[&str],
        sheet: usize,
        degree: Option<&Degree>,
    ) -> Vec<NamedFigure> {
        let fits = |dimension| degree.is_none_or(|degree| degree.sense(dimension).is_some());
        self.best(sheet, fits, |entry, dimension| score(words, entry, degree, dimension))
    }

    /// The figures of one dimension that words name best.
    pub(super) fn of_dimension(
        &self,
        words: &[&str],
        sheet: usize,
        wanted: Dimension,
    ) -> Vec<NamedFigure> {
        self.best(
            sheet,
            |dimension| dimension == wanted,
            |entry, dimension| {
                // "60 m/s is what it delivers": the one figure of its sort needs no name.
                if words.is_empty() { 1 } else { score(words, entry, None, dimension) }
            },
        )
    }

    fn best(
        &self,
        sheet: usize,
        fits: impl Fn(Dimension) -> bool,
        score: impl Fn(&[String], Dimension) -> usize,
    ) -> Vec<NamedFigure> {
        let Some(known) = self.folio.ledger.sheets.get(sheet) else { return Vec::new() };
        let scored: Vec<(usize, usize)> = known
            .entries
            .iter()
            .enumerate()
            .filter_map(|(at, entry)| {
                let (dimension, _) = self.measure((sheet, at))?;
                let score = if fits(dimension) { score(&entry.cues, dimension) } else { 0 };
                (0 < score).then_some((score, at))
            })
            .collect();
        let best = scored.iter().map(|(score, _)| *score).max();
        let named = scored.iter().filter(|(score, _)| Some(*score) == best);
        named.map(|(_, at)| (sheet, *at)).collect()
    }

    /// How a formula names a figure.
    pub(super) fn path(&self, (sheet, entry): NamedFigure) -> Option<String> {
        let sheet = &self.folio.ledger.sheets[sheet];
        Some(format!("{}.{}", sheet.engine.as_ref()?, sheet.entries[entry].name.text))
    }

    pub(super) fn evaluate(&self, text: &str, sheet: usize) -> Option<(Outcome, String)> {
        let formula = formula::parse(text).ok()?;
        let scope = self.folio.ledger.scope(sheet);
        let conventions = &self.folio.ledger.sheets[sheet].conventions;
        let outcome = formula::evaluate(&formula, &scope, conventions).ok()?;
        Some((outcome, formula::account(&formula, &scope, conventions)))
    }

    pub(super) fn asked(&self, question: String, sheet: usize) -> Option<StatementAnswer> {
        let (outcome, reason) = self.evaluate(&question, sheet)?;
        let standing = match outcome {
            Outcome::Truth(Truth::True(Margin::Certain)) => StatementStanding::Holds,
            Outcome::Truth(Truth::False(Margin::Certain)) => StatementStanding::Fails,
            Outcome::Truth(_) => StatementStanding::Open,
            Outcome::Value(_) => return None,
        };
        Some(StatementAnswer { standing, reason, question })
    }

    pub(super) fn compared(
        &self,
        one: NamedFigure,
        other: NamedFigure,
        degree: &Degree,
        than: Than,
    ) -> Option<StatementAnswer> {
        let sense = degree.sense(self.measure(one)?.0)?;
        let sign = match (than, sense) {
            (Than::More, Sense::Up) | (Than::Less, Sense::Down) => ">",
            (Than::Less, Sense::Up) | (Than::More, Sense::Down) => "<",
            (Than::NotLess, Sense::Up) | (Than::NotMore, Sense::Down) => ">=",
            (Than::NotMore, Sense::Up) | (Than::NotLess, Sense::Down) => "<=",
        };
        let question = format!("{} {sign} {}", self.path(one)?, self.path(other)?);
        self.asked(question, one.0)
    }

    /// "As long as": equal as recorded holds, apart beyond the ± fails.
    pub(super) fn same(
        &self,
        one: NamedFigure,
        other: NamedFigure,
        is_denied: bool,
    ) -> Option<StatementAnswer> {
        let (a, b) = (self.path(one)?, self.path(other)?);
        let (difference, _) = self.evaluate(&format!("{a} - {b}"), one.0)?;
        let Outcome::Value(value) = difference else { return None };
        let is_equal = value.quantity.si.to_f64() == 0.0;
        let mut answer = self.asked(format!("{a} > {b}"), one.0)?;
        answer.standing = match (is_equal, answer.standing) {
            (true, _) => StatementStanding::Holds,
            (false, StatementStanding::Open) => StatementStanding::Open,
            (false, _) => StatementStanding::Fails,
        };
        if is_denied {
            answer.standing = answer.standing.denied();
        }
        answer.question = format!("{a} = {b}");
        Some(answer)
    }

    pub(super) fn ratio(
        &self,
        one: NamedFigure,
        other: NamedFigure,
        degree: Option<&Degree>,
        factor: &Factor,
    ) -> Option<StatementAnswer> {
        let (dimension, _) = self.measure(one)?;
        if dimension == Dimension::PRESSURE || dimension == Dimension::TEMPERATURE {
            return None;
        }
        let leans_down = degree.is_some_and(|degree| degree.sense(dimension) == Some(Sense::Down));
        let (upper, lower) = if leans_down { (other, one) } else { (one, other) };
        let question = format!("{} / {}", self.path(upper)?, self.path(lower)?);
        let formula = formula::parse(&question).ok()?;
        let scope = self.folio.ledger.scope(one.0);
        let conventions = &self.folio.ledger.sheets[one.0].conventions;
        let Ok(Outcome::Value(value)) = formula::evaluate(&formula, &scope, conventions) else {
            return None;
        };
        let range = worst_case(&formula, &scope, conventions).ok()?;
        let nominal = value.quantity.si.to_f64();
        let (low, high) = (range.low.to_f64(), range.high.to_f64());
        // "Twice as large" of a hole may mean its width or its area.
        let is_size = degree.is_none_or(|degree| degree.senses.len() > 4);
        let powers: &[i32] = if is_size && dimension == Dimension::LENGTH { &[1, 2] } else { &[1] };
        let fits = |value: f64| {
            powers.iter().any(|power| (factor.low..=factor.high).contains(&value.powi(*power)))
        };
        let meets = powers
            .iter()
            .any(|power| low.powi(*power) <= factor.high && factor.low <= high.powi(*power));
        let standing = match (fits(nominal), meets) {
            (true, _) => StatementStanding::Holds,
            (false, true) => StatementStanding::Open,
            (false, false) => StatementStanding::Fails,
        };
        let reason = format!("{question} is {}", three_digits(nominal));
        Some(StatementAnswer { standing, reason, question })
    }

    /// "Have the same bore": the figure of that name of every engine named.
    pub(super) fn alike(&self, who: &Phrase, noun: &Phrase) -> Option<StatementAnswer> {
        let mut engines = self.engines(who, None);
        if let (1, Some(own)) = (engines.len(), self.own) {
            engines.extend((!engines.contains(&own)).then_some(own));
        }
        let (first, others) = engines.split_first()?;
        let mut words = self.plain_words(noun);
        words.extend(self.plain_words(who));
        let one = self.figure(&words, *first, None)?;
        let mut answers = Vec::new();
        for other in others {
            let twin = self.twin(one, *other)?;
            answers.push(self.same(one, twin, false)?);
        }
        StatementAnswer::all(answers)
    }

    /// "The heaviest of all": against the figure of the same name of every other engine.
    pub(super) fn extreme(
        &self,
        what: &Phrase,
        degree: &Degree,
        is_of_pair: bool,
    ) -> Option<StatementAnswer> {
        let engines = self.engines(what, None);
        let home = match engines.as_slice() {
            [] => self.own?,
            [sheet] => *sheet,
            _ => return None,
        };
        let one = self.figure(&self.plain_words(what), home, Some(degree))?;
        let partner =
            self.lineage(Some(home)).map(|(heir, elder)| if heir == home { elder } else { heir });
        if is_of_pair && partner.is_none() {
            return None;
        }
        let mut standing = StatementStanding::Holds;
        let mut reasons = Vec::new();
        let mut questions = Vec::new();
        for (sheet, other) in self.folio.ledger.sheets.iter().enumerate() {
            let is_beside = if is_of_pair { partner == Some(sheet) } else { sheet != home };
            if !is_beside || other.engine.is_none() {
                continue;
            }
            let beside = self.twin(one, sheet).filter(|twin| self.is_comparable(one, *twin));
            let found = beside.and_then(|twin| self.compared(one, twin, degree, Than::More));
            standing = match (&found, standing) {
                (_, StatementStanding::Fails) => StatementStanding::Fails,
                (Some(answer), _) if answer.standing == StatementStanding::Fails => {
                    StatementStanding::Fails
                }
                (Some(answer), StatementStanding::Holds) => answer.standing,
                _ => StatementStanding::Open,
            };
            if let Some(answer) = found {
                reasons.push(answer.reason);
                questions.push(answer.question);
            }
        }
        (!questions.is_empty()).then(|| StatementAnswer {
            standing,
            reason: reasons.join("; "),
            question: questions.join(" and "),
        })
    }
}

/// "Both", "neither", "either": two engines are meant together.
fn is_pair(phrase: &Phrase) -> bool {
    ["both", "neither", "either", "two"].iter().any(|word| phrase.has(word))
}

/// Whether a phrase means several engines together.
fn is_together(phrase: &Phrase) -> bool {
    is_pair(phrase) || ["all", "three", "every", "each"].iter().any(|word| phrase.has(word))
}

/// The answer that all give; `None` where they differ or there is none.
fn agreed(mut answers: impl Iterator<Item = StatementAnswer>) -> Option<StatementAnswer> {
    let first = answers.next()?;
    answers.all(|answer| answer.standing == first.standing).then_some(first)
}

/// How well words name a figure with these names; 0 where they do not.
fn score(words: &[&str], names: &[String], degree: Option<&Degree>, dimension: Dimension) -> usize {
    let stems = |name: &String| -> Vec<String> {
        name.split_whitespace().map(crate::folio::words::stem).collect()
    };
    let names: Vec<Vec<String>> = names.iter().map(stems).collect();
    let whole = names
        .iter()
        .filter(|name| name.iter().all(|stem| words.contains(&stem.as_str())))
        .map(Vec::len)
        .max()
        .unwrap_or(0);
    let known = |word: &&str| names.iter().any(|name| name.iter().any(|stem| stem == *word));
    let shared = words.iter().copied().filter(|word| known(word)).count();
    // A word that no name of the figure has says that something else is meant.
    if shared < words.len() || shared == 0 {
        return 0;
    }
    let sorts = degree.map_or(&[] as &[&str], |degree| degree.sorts);
    let is_of_sort = dimension != Dimension::LENGTH
        || sorts.is_empty()
        || names.iter().flatten().any(|stem| sorts.contains(&stem.as_str()));
    if !is_of_sort {
        return 0;
    }
    10 * whole + shared
}

pub(super) fn three_digits(value: f64) -> String {
    let digits = if value.abs() < 10.0 { 2 } else { 0 };
    format!("{value:.digits$}")
}
