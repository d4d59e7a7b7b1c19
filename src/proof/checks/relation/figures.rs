//! Statements about figures: more, less, as much, so many times as much, the most.

use super::{Answer, Names, Standing};
use crate::formula::{self, Margin, Outcome, Truth, worst_case};
use crate::quantity::judge::against;
use crate::quantity::reader::{ReadOptions, read};
use crate::quantity::{Dimension, Kind, Verdict};
use crate::statement::{Degree, Factor, Phrase, Sense, Than};
use crate::text::Span;

/// A named figure: sheet and entry.
type Named = (usize, usize);

/// Words that name the engine that another one was developed from.
const ELDERS: [&str; 6] = ["older", "elder", "predecessor", "replaced", "forerunner", "parent"];
/// Words that name the one developed from it.
const HEIRS: [&str; 5] = ["newer", "younger", "successor", "heir", "offspring"];
/// Verbs that a quantity's name lacks.
const VERBS: [&str; 18] = [
    "weigh", "weighs", "run", "work", "throw", "give", "deliver", "need", "use", "spend", "cost",
    "come", "measure", "turn", "show", "make", "reache", "stand",
];
/// Words that stand in place of a name.
const STAND_INS: [&str; 8] =
    ["one", "that", "those", "other", "same", "counterpart", "older", "newer"];

impl Names<'_> {
    /// Sheets of the engines that a phrase names; "the older one" is seen from `base`.
    pub(super) fn engines(&self, phrase: &Phrase, base: Option<usize>) -> Vec<usize> {
        let named = self.folio.cues.engines_in(&phrase.words);
        let mut sheets: Vec<usize> = named.into_iter().map(|(_, _, sheet)| sheet).collect();
        let ledger = &self.folio.ledger;
        sheets.extend(phrase.words.iter().filter_map(|word| self.letter(&word.stem)));
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

    /// "The B": the engine whose name of several words ends in this letter, if it is one.
    fn letter(&self, stem: &str) -> Option<usize> {
        if stem.len() != 1 {
            return None;
        }
        let engines = self.folio.ledger.engines();
        let mut fitting = engines.filter(|name| {
            name.rsplit_once('_').is_some_and(|(_, last)| last.eq_ignore_ascii_case(stem))
        });
        let name = fitting.next()?;
        if fitting.next().is_some() { None } else { self.folio.ledger.engine(name) }
    }

    /// The words of a phrase without those that name an engine.
    pub(super) fn plain_words<'p>(&self, phrase: &'p Phrase) -> Vec<&'p str> {
        let named = self.folio.cues.engines_in(&phrase.words);
        let is_engine =
            |at: usize| named.iter().any(|(first, last, _)| (*first..*last).contains(&at));
        let words = phrase.words.iter().enumerate().filter(|(at, _)| !is_engine(*at));
        let stands_in = |stem: &str| {
            STAND_INS.contains(&stem)
                || self.letter(stem).is_some()
                || ELDERS.contains(&stem)
                || HEIRS.contains(&stem)
        };
        let kept = words.map(|(_, word)| word.stem.as_str());
        kept.filter(|stem| !stands_in(stem) && !VERBS.contains(stem)).collect()
    }

    /// The two figures that two phrases name.
    pub(super) fn pair(
        &self,
        left: &Phrase,
        right: &Phrase,
        degree: Option<&Degree>,
    ) -> Option<(Named, Named)> {
        let first = self.engines(left, None);
        let second = self.engines(right, first.first().copied());
        let one_of = |sheets: &[usize]| match sheets {
            [] => Some(None),
            [sheet] => Some(Some(*sheet)),
            _ => None,
        };
        let (first, second) = (one_of(&first)?, one_of(&second)?);
        let (left_words, right_words) = (self.plain_words(left), self.plain_words(right));
        let home = first.or(self.own)?;
        let one = self.figure(&left_words, home, degree);
        let other = |one: Named| match (right_words.is_empty(), second) {
            // "than Rowan's", "than the older one": the same figure of another engine.
            (true, Some(sheet)) => self.twin(one, sheet),
            (true, None) => None,
            (false, sheet) => {
                self.figure(&right_words, sheet.unwrap_or(home), degree).or_else(|| {
                    // "than it is in Rowan": words that only repeat the subject.
                    sheet
                        .filter(|_| right_words.iter().all(|word| left_words.contains(word)))
                        .and_then(|sheet| self.twin(one, sheet))
                })
            }
        };
        let one = one?;
        let other = other(one)?;
        (one != other && self.is_comparable(one, other)).then_some((one, other))
    }

    /// The figure of the same name on another sheet.
    fn twin(&self, (sheet, entry): Named, other: usize) -> Option<Named> {
        let name = &self.folio.ledger.sheets[sheet].entries[entry].name.text;
        let entries = &self.folio.ledger.sheets[other].entries;
        let at = entries.iter().position(|entry| entry.name.text == *name)?;
        (sheet != other).then_some((other, at))
    }

    fn measure(&self, (sheet, entry): Named) -> Option<(Dimension, Kind)> {
        let value = self.folio.ledger.nominal(sheet, entry)?;
        Some((value.quantity.dimension, value.quantity.kind))
    }

    fn is_comparable(&self, one: Named, other: Named) -> bool {
        matches!((self.measure(one), self.measure(other)), (Some(a), Some(b)) if a.0 == b.0)
    }

    /// The figure of a sheet that words name best: an alias whole, or the head noun with most of
    /// the rest; `None` where two fit as well.
    fn figure(&self, words: &[&str], sheet: usize, degree: Option<&Degree>) -> Option<Named> {
        let entries = self.folio.ledger.sheets.get(sheet)?.entries.iter().enumerate();
        let mut best: Option<(usize, usize)> = None;
        let mut is_tied = false;
        for (at, entry) in entries {
            let Some((dimension, _)) = self.measure((sheet, at)) else { continue };
            if degree.is_some_and(|degree| degree.sense(dimension).is_none()) {
                continue;
            }
            let score = score(words, &entry.cues, degree, dimension);
            match best {
                _ if score == 0 => {}
                Some((known, _)) if score < known => {}
                Some((known, _)) if score == known => is_tied = true,
                _ => {
                    best = Some((score, at));
                    is_tied = false;
                }
            }
        }
        let (_, at) = best.filter(|_| !is_tied)?;
        Some((sheet, at))
    }

    /// How a formula names a figure.
    fn path(&self, (sheet, entry): Named) -> Option<String> {
        let sheet = &self.folio.ledger.sheets[sheet];
        Some(format!("{}.{}", sheet.engine.as_ref()?, sheet.entries[entry].name.text))
    }

    fn evaluate(&self, text: &str, sheet: usize) -> Option<(Outcome, String)> {
        let formula = formula::parse(text).ok()?;
        let scope = self.folio.ledger.scope(sheet);
        let conventions = &self.folio.ledger.sheets[sheet].conventions;
        let outcome = formula::evaluate(&formula, &scope, conventions).ok()?;
        Some((outcome, formula::account(&formula, &scope, conventions)))
    }

    fn asked(&self, question: String, sheet: usize) -> Option<Answer> {
        let (outcome, reason) = self.evaluate(&question, sheet)?;
        let standing = match outcome {
            Outcome::Truth(Truth::True(Margin::Certain)) => Standing::Holds,
            Outcome::Truth(Truth::False(Margin::Certain)) => Standing::Fails,
            Outcome::Truth(_) => Standing::Open,
            Outcome::Value(_) => return None,
        };
        Some(Answer { standing, reason, question })
    }

    pub(super) fn compared(
        &self,
        one: Named,
        other: Named,
        degree: &Degree,
        than: Than,
    ) -> Option<Answer> {
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
    pub(super) fn same(&self, one: Named, other: Named, is_denied: bool) -> Option<Answer> {
        let (a, b) = (self.path(one)?, self.path(other)?);
        let (difference, _) = self.evaluate(&format!("{a} - {b}"), one.0)?;
        let Outcome::Value(value) = difference else { return None };
        let is_equal = value.quantity.si.to_f64() == 0.0;
        let mut answer = self.asked(format!("{a} > {b}"), one.0)?;
        answer.standing = match (is_equal, answer.standing) {
            (true, _) => Standing::Holds,
            (false, Standing::Open) => Standing::Open,
            (false, _) => Standing::Fails,
        };
        if is_denied {
            answer.standing = answer.standing.denied();
        }
        answer.question = format!("{a} = {b}");
        Some(answer)
    }

    pub(super) fn ratio(
        &self,
        one: Named,
        other: Named,
        degree: Option<&Degree>,
        factor: &Factor,
    ) -> Option<Answer> {
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
            (true, _) => Standing::Holds,
            (false, true) => Standing::Open,
            (false, false) => Standing::Fails,
        };
        let reason = format!("{question} is {}", three_digits(nominal));
        Some(Answer { standing, reason, question })
    }

    /// The figure that stands in a stretch of the text, and how it stands to a formula.
    fn held(&self, stretch: Span, question: String, sheet: usize) -> Option<Answer> {
        let text = self.text.get(stretch.start..stretch.end)?;
        let found = read(text, &ReadOptions::default());
        let [figure] = found.figures.as_slice() else { return None };
        let formula = formula::parse(&question).ok()?;
        let scope = self.folio.ledger.scope(sheet);
        let conventions = &self.folio.ledger.sheets[sheet].conventions;
        let range = worst_case(&formula, &scope, conventions).ok()?;
        let judged = against(text, figure, &range, conventions);
        let standing = match judged.verdict {
            Verdict::Agree => Standing::Holds,
            Verdict::Lenient => Standing::Open,
            Verdict::Disagree => Standing::Fails,
            Verdict::Incomparable => return None,
        };
        let reason = formula::account(&formula, &scope, conventions);
        Some(Answer { standing, reason: format!("{}; {reason}", judged.reason), question })
    }

    /// "5 mm longer than".
    pub(super) fn apart(
        &self,
        one: Named,
        other: Named,
        degree: &Degree,
        by: Span,
    ) -> Option<Answer> {
        let sense = degree.sense(self.measure(one)?.0)?;
        let (more, less) = match sense {
            Sense::Up => (one, other),
            Sense::Down => (other, one),
        };
        self.held(by, format!("{} - {}", self.path(more)?, self.path(less)?), one.0)
    }

    /// "Went from 21 g to 18 g": what the engine before it has, then its own.
    pub(super) fn changed(&self, what: &Phrase, from: Span, to: Span) -> Option<Answer> {
        let own = self.engines(what, None).first().copied().or(self.own)?;
        let elder = self.folio.ledger.sheets[own].descends_from.as_ref()?;
        let elder = self.folio.ledger.engine(elder)?;
        let now = self.figure(&self.plain_words(what), own, None)?;
        let before = self.twin(now, elder)?;
        let first = self.held(from, self.path(before)?, elder)?;
        let second = self.held(to, self.path(now)?, own)?;
        let standing = match (first.standing, second.standing) {
            (Standing::Fails, _) | (_, Standing::Fails) => Standing::Fails,
            (Standing::Holds, Standing::Holds) => Standing::Holds,
            _ => Standing::Open,
        };
        let reason = format!("{}; {}", first.reason, second.reason);
        let question = format!("{}, then {}", first.question, second.question);
        Some(Answer { standing, reason, question })
    }

    /// "Have the same bore": the figure of that name of every engine named.
    pub(super) fn alike(&self, who: &Phrase, noun: &Phrase) -> Option<Answer> {
        let mut engines = self.engines(who, None);
        if let (1, Some(own)) = (engines.len(), self.own) {
            engines.extend((!engines.contains(&own)).then_some(own));
        }
        let (first, others) = engines.split_first()?;
        let one = self.figure(&self.plain_words(noun), *first, None)?;
        let mut answers = Vec::new();
        for other in others {
            let twin = self.twin(one, *other)?;
            answers.push(self.same(one, twin, false)?);
        }
        let standings = || answers.iter().map(|answer| answer.standing);
        let standing = if standings().any(|standing| standing == Standing::Fails) {
            Standing::Fails
        } else if standings().all(|standing| standing == Standing::Holds) {
            Standing::Holds
        } else {
            Standing::Open
        };
        let told = |part: fn(&Answer) -> &str| answers.iter().map(part).collect::<Vec<_>>();
        let reason = told(|answer| &answer.reason).join("; ");
        let question = told(|answer| &answer.question).join(" and ");
        (!answers.is_empty()).then_some(Answer { standing, reason, question })
    }

    /// "The heaviest of all": against the figure of the same name of every other engine.
    pub(super) fn extreme(&self, what: &Phrase, degree: &Degree, is_most: bool) -> Option<Answer> {
        let engines = self.engines(what, None);
        let home = match engines.as_slice() {
            [] => self.own?,
            [sheet] => *sheet,
            _ => return None,
        };
        let one = self.figure(&self.plain_words(what), home, Some(degree))?;
        let than = if is_most { Than::More } else { Than::Less };
        let mut standing = Standing::Holds;
        let mut reasons = Vec::new();
        let mut questions = Vec::new();
        for (sheet, other) in self.folio.ledger.sheets.iter().enumerate() {
            if sheet == home || other.engine.is_none() {
                continue;
            }
            let beside = self.twin(one, sheet).filter(|twin| self.is_comparable(one, *twin));
            let found = beside.and_then(|twin| self.compared(one, twin, degree, than));
            standing = match (&found, standing) {
                (_, Standing::Fails) => Standing::Fails,
                (Some(answer), _) if answer.standing == Standing::Fails => Standing::Fails,
                (Some(answer), Standing::Holds) => answer.standing,
                _ => Standing::Open,
            };
            if let Some(answer) = found {
                reasons.push(answer.reason);
                questions.push(answer.question);
            }
        }
        (!questions.is_empty()).then(|| Answer {
            standing,
            reason: reasons.join("; "),
            question: questions.join(" and "),
        })
    }
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

fn three_digits(value: f64) -> String {
    let digits = if value.abs() < 10.0 { 2 } else { 0 };
    format!("{value:.digits$}")
}
