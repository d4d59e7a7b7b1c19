//! Statements with an amount: bounds, differences, changes, shares and counts.

use super::figures::three_digits;
use super::names::{NamedFigure, SaidWords};
use super::{StatementAnswer, StatementNames, StatementStanding, is_none};
use crate::folio::words::TextWord;
use crate::formula::{self, worst_case};
use crate::quantity::exact::to_f64;
use crate::quantity::judge::against;
use crate::quantity::reader::{ReadOptions, read};
use crate::quantity::{Amount, Dimension, Verdict};
use crate::statement::{Degree, Factor, Phrase, Role, Sense, Than, cardinal};
use crate::text::Span;

impl StatementNames<'_> {
    /// How a figure, as written, stands to a formula.
    pub(super) fn held(
        &self,
        text: &str,
        question: String,
        sheet: usize,
    ) -> Option<StatementAnswer> {
        let found = read(text, &ReadOptions::default());
        let [figure] = found.figures.as_slice() else { return None };
        let formula = formula::parse(&question).ok()?;
        let scope = self.folio.ledger.scope(sheet);
        let conventions = &self.folio.ledger.sheets[sheet].conventions;
        let range = worst_case(&formula, &scope, conventions).ok()?;
        let judged = against(text, figure, &range, conventions);
        let standing = match judged.verdict {
            Verdict::Agree => StatementStanding::Holds,
            Verdict::Lenient => StatementStanding::Open,
            Verdict::Disagree => StatementStanding::Fails,
            Verdict::Incomparable => return None,
        };
        let reason = formula::account(&formula, &scope, conventions);
        Some(StatementAnswer { standing, reason: format!("{}; {reason}", judged.reason), question })
    }

    fn written(&self, stretch: Span) -> Option<&str> {
        self.text.get(stretch.start..stretch.end)
    }

    /// "5 mm longer than".
    pub(super) fn apart(
        &self,
        one: NamedFigure,
        other: NamedFigure,
        degree: &Degree,
        by: Span,
    ) -> Option<StatementAnswer> {
        let sense = degree.sense(self.measure(one)?.0)?;
        let (more, less) = match sense {
            Sense::Up => (one, other),
            Sense::Down => (other, one),
        };
        let (more, less) = (self.path(more)?, self.path(less)?);
        let stated = self.written(by)?;
        if stated.contains('%') || stated.contains("per cent") {
            // "20 % longer", "20 % shorter": of what it is set beside.
            let question = match sense {
                Sense::Up => format!("{more} / {less} - 1"),
                Sense::Down => format!("1 - {less} / {more}"),
            };
            return self.held(stated, question, one.0);
        }
        self.held(stated, format!("{more} - {less}"), one.0)
    }

    /// "It holds 20 cm³ more than the old one": by the only figure of the kind that an engine has.
    pub(super) fn apart_of_whole(
        &self,
        (left, right): (&Phrase, &Phrase),
        degree: &Degree,
        by: Span,
    ) -> Option<StatementAnswer> {
        let found = read(self.written(by)?, &ReadOptions::default());
        let [stated] = found.figures.as_slice() else { return None };
        let (ours, theirs) = (self.said_words(left), self.said_words(right));
        let (homes, others) = (self.homes(left), self.engines(right, None));
        let ([home], [other]) = (homes.as_slice(), others.as_slice()) else { return None };
        let named = self.of_dimension(&ours, *home, stated.unit.dimension);
        let [one] = named.as_slice() else { return None };
        let is_whole = ours.is_empty() && theirs.is_empty();
        is_whole.then(|| self.apart(*one, self.twin(*one, *other)?, degree, by)).flatten()
    }

    /// "There are 8 mm between A and B".
    pub(super) fn between(
        &self,
        left: &Phrase,
        right: &Phrase,
        by: Span,
    ) -> Option<StatementAnswer> {
        self.asked_of((left, right), None, |one, other| self.set_apart(one, other, by))
    }

    fn set_apart(&self, one: NamedFigure, other: NamedFigure, by: Span) -> Option<StatementAnswer> {
        let (a, b) = (self.path(one)?, self.path(other)?);
        let stated = self.written(by)?;
        let either = [format!("{a} - {b}"), format!("{b} - {a}")];
        let answers = either.into_iter().filter_map(|asked| self.held(stated, asked, one.0));
        answers.min_by_key(|answer| match answer.standing {
            StatementStanding::Holds => 0,
            StatementStanding::Fails => 2,
            _ => 1,
        })
    }

    /// The figure that a phrase names, of an engine and of the one that it descends from.
    fn before_and_after(&self, what: &Phrase, figure: &str) -> Option<(NamedFigure, NamedFigure)> {
        let found = read(figure, &ReadOptions::default());
        let [stated] = found.figures.as_slice() else { return None };
        let named = self.engines(what, None);
        let base = match named.as_slice() {
            [] => self.seen_from(),
            [one] => Some(*one),
            // "Between the two revisions".
            [_, _] => self.seen_from().filter(|base| named.contains(base)),
            _ => None,
        };
        let (heir, elder) = self.lineage(base)?;
        let named = self.of_dimension(&self.said_words(what), heir, stated.unit.dimension);
        let [now] = named.as_slice() else { return None };
        Some((self.twin(*now, elder)?, *now))
    }

    /// "Grew by 2 mm".
    pub(super) fn grew(&self, what: &Phrase, by: Span, is_more: bool) -> Option<StatementAnswer> {
        let by_text = self.written(by)?;
        if let Some(revised) = self.revised_by(what, by_text, is_more) {
            return Some(revised);
        }
        if let (false, Some(spent)) = (is_more, self.spent_by(what, by_text)) {
            return Some(spent);
        }
        let (before, now) = self.before_and_after(what, by_text)?;
        let (more, less) = if is_more { (now, before) } else { (before, now) };
        let question = format!("{} - {}", self.path(more)?, self.path(less)?);
        self.held(self.written(by)?, question, now.0)
    }

    /// "Went from 21 g to 18 g": what the engine before it has, then its own.
    pub(super) fn changed(&self, what: &Phrase, from: Span, to: Span) -> Option<StatementAnswer> {
        let start = self.written(from)?;
        if let (Some(was), Some(is)) = (number(start), number(self.written(to)?)) {
            return self.recounted(what, was, is);
        }
        let into = &*with_unit_from(self.written(to)?, start);
        // What its own timeline tells comes before what stands between two engines.
        if let Some(revised) = self.revised(what, start, into) {
            return Some(revised);
        }
        let sentence = self.written(self.sentence).unwrap_or_default().to_lowercase();
        let falls = [" falls ", " drops ", " sinks ", " goes ", " runs ", " takes "];
        // "Falls from 8 bar to 3": in a shot, and not from one engine to the next.
        let is_in_shot = falls.iter().any(|verb| sentence.contains(verb));
        let beside = || self.before_and_after(what, into).filter(|_| !is_in_shot);
        let Some((before, now)) = beside() else {
            return self.spent_in_shot(what, &with_unit_of(start, into), into);
        };
        let first = self.held(&with_unit_of(start, into), self.path(before)?, before.0)?;
        let second = self.held(into, self.path(now)?, now.0)?;
        let question = format!("{}, then {}", first.question, second.question);
        let mut answer = StatementAnswer::all(vec![first, second])?;
        answer.question = question;
        Some(answer)
    }

    /// "A shot takes the store from 8 bar down to 3": the supply, and what is left of it.
    fn spent_in_shot(&self, what: &Phrase, from: &str, to: &str) -> Option<StatementAnswer> {
        let (home, full, left) = self.full_and_left(what)?;
        let first = self.held(from, full, home)?;
        let second = self.held(to, left, home)?;
        // What it starts from need not be the supply.
        let is_from_there = first.standing.holds();
        let question = format!("{}, then {}", first.question, second.question);
        let mut answer = StatementAnswer::all(vec![first, second])?;
        if !is_from_there {
            answer.standing = StatementStanding::Open;
        }
        Some(StatementAnswer { question, ..answer })
    }

    /// "The store loses six bar in a shot".
    fn spent_by(&self, what: &Phrase, by: &str) -> Option<StatementAnswer> {
        let sentence = self.written(self.sentence)?.to_lowercase();
        let is_of_shot = sentence.split(|c: char| !c.is_alphabetic()).any(|word| word == "shot");
        let (home, full, left) = self.full_and_left(what).filter(|_| is_of_shot)?;
        self.held(by, format!("{full} - {left}"), home)
    }

    /// The engine of a phrase that speaks of nothing but its store in a shot, with the pressure
    /// that it starts from and the one that is left.
    fn full_and_left(&self, what: &Phrase) -> Option<(usize, String, String)> {
        let homes = self.homes(what);
        let [home] = homes.as_slice() else { return None };
        let entries = self.folio.ledger.sheets.get(*home)?.entries.len();
        let named = |words: &[&str]| {
            let is_named = |at: &usize| {
                let mut names = self.folio.cues.names(*home, *at).iter().flatten();
                let is_pressure = self.measure((*home, *at))?.0 == Dimension::PRESSURE;
                (is_pressure && names.any(|stem| words.contains(&stem.as_str()))).then_some(())
            };
            let mut found = (0..entries).filter(|at| is_named(at).is_some());
            let (first, None) = (found.next()?, found.next()) else { return None };
            Some((*home, first))
        };
        let (full, left) = (named(&["supply"])?, named(&["left", "after", "remaining"])?);
        let names = || self.folio.cues.names(left.0, left.1).iter().flatten();
        let is_of = |word: &&str| {
            matches!(*word, "shot" | "store" | "pressure" | "gauge" | "air")
                || names().any(|stem| stem == word)
        };
        let is_of_store = self.said_words(what).content.iter().all(is_of);
        is_of_store.then_some((*home, self.path(full)?, self.path(left)?))
    }

    /// "Six ports became eight".
    fn recounted(&self, what: &Phrase, was: f64, is: f64) -> Option<StatementAnswer> {
        let base = self.engines(what, None).first().copied().or_else(|| self.seen_from());
        let (heir, elder) = self.lineage(base)?;
        let named = self.of_dimension(&self.said_words(what), heir, Dimension::NONE);
        let [now] = named.as_slice() else { return None };
        let before = self.twin(*now, elder)?;
        let first = self.asked(format!("{} = {was}", self.path(before)?), elder)?;
        let then = self.asked(format!("{} = {is}", self.path(*now)?), heir)?;
        StatementAnswer::all(vec![first, then])
    }

    /// "Weighs less than 25 g".
    pub(super) fn bound(&self, what: &Phrase, than: Than, figure: Span) -> Option<StatementAnswer> {
        let text = self.written(figure)?;
        let found = read(text, &ReadOptions::default());
        let [stated] = found.figures.as_slice() else { return None };
        let Amount::Point(number) = &stated.amount else { return None };
        let unit = if stated.unit.code == "1" { "" } else { &*stated.unit.symbol };
        let literal = format!("{} {unit}", to_f64(&number.value()));
        let sign = sign(than);
        let mut words = self.said_words(what);
        let mut homes = self.homes(what);
        let is_of_none = is_none(what) || what.has("not") && what.has("one");
        if homes.is_empty() && what.has("engine") && (is_of_none || what.is(Role::All)) {
            // "Not one of the engines refills in less than".
            words.content.retain(|word| *word != "engine");
            homes = self.all_engines();
        }
        let mut answers = Vec::new();
        for home in homes {
            let named = self.of_dimension(&words, home, stated.unit.dimension);
            let [one] = named.as_slice() else { return None };
            let path = self.path(*one)?;
            let asked = match self.share_figure(home) {
                // "Gives up more than half" is asked of what is gone.
                Some((share, names_kept)) if share == *one => {
                    let is_kept = what.is(Role::Kept);
                    if is_kept == what.is(Role::Spent) {
                        return None;
                    }
                    if is_kept == names_kept { path } else { format!("1 - {path}") }
                }
                _ => path,
            };
            answers.push(self.asked(format!("{asked} {sign} {literal}"), home)?);
        }
        StatementAnswer::all(answers)
    }

    /// "Keeps two thirds of its air": against the share that a figure is named for.
    pub(super) fn share(
        &self,
        who: &Phrase,
        factor: &Factor,
        is_kept: bool,
    ) -> Option<StatementAnswer> {
        let mut answers = Vec::new();
        // "Three fifths" are no three engines.
        let who = who.clone().without(|word| factor.span.contains(word.span));
        for home in self.homes(&who) {
            let (named, names_kept) = self.share_figure(home)?;
            let path = self.path(named)?;
            let question = if names_kept == is_kept { path } else { format!("1 - {path}") };
            answers.push(self.within(question, home, factor)?);
        }
        StatementAnswer::all(answers)
    }

    /// The figure for the share of the air that is left, or that is spent, and which.
    fn share_figure(&self, sheet: usize) -> Option<(NamedFigure, bool)> {
        let entries = self.folio.ledger.sheets.get(sheet)?.entries.iter().enumerate();
        let mut found = entries.filter_map(|(at, entry)| {
            let (dimension, _) = self.measure((sheet, at))?;
            let says = |words: &[&str]| {
                entry.cues.iter().any(|cue| {
                    let is_share = cue.contains("share") || cue.contains("fraction");
                    is_share && cue.split_whitespace().any(|word| words.contains(&word))
                })
            };
            let kept = says(&["left", "kept", "remaining"]);
            let spent = says(&["spent", "used", "lost", "gone"]);
            (dimension == Dimension::NONE && kept != spent).then_some(((sheet, at), kept))
        });
        let first = found.next()?;
        found.next().is_none().then_some(first)
    }

    /// Whether a number lies within the limits of a factor in words.
    fn within(&self, question: String, sheet: usize, factor: &Factor) -> Option<StatementAnswer> {
        let formula = formula::parse(&question).ok()?;
        let scope = self.folio.ledger.scope(sheet);
        let conventions = &self.folio.ledger.sheets[sheet].conventions;
        let range = worst_case(&formula, &scope, conventions).ok()?;
        let (low, high) = (range.low.to_f64(), range.high.to_f64());
        let middle = f64::midpoint(low, high);
        let is_one_sided = factor.high.is_infinite() || factor.low == 0.0;
        let fits = |value: f64| (factor.low..=factor.high).contains(&value);
        let holds = if is_one_sided { fits(low) && fits(high) } else { fits(middle) };
        let standing = if holds {
            StatementStanding::Holds
        } else if low <= factor.high && factor.low <= high {
            StatementStanding::Open
        } else {
            StatementStanding::Fails
        };
        let reason = format!("{question} is {}", three_digits(middle));
        Some(StatementAnswer { standing, reason, question })
    }

    /// "Has two pilot valves": against a reading that counts them, else against the cutaway, where
    /// another number is open: a drawing need not show every ring.
    fn count(
        &self,
        said: &Phrase,
        noun: &Phrase,
        than: Option<Than>,
        count: f64,
    ) -> Option<StatementAnswer> {
        // "Three polished slots" are some of them.
        let joins = |pair: &&[TextWord]| {
            let gap = self.text.get(pair[0].span.end..pair[1].span.start);
            gap.is_some_and(|gap| !gap.contains(char::is_alphabetic))
        };
        let length = noun.words.windows(2).take_while(joins).count() + 1;
        if noun.words.iter().take(length).any(|word| self.only_describes(&word.stem)) {
            return None;
        }
        let words = self.said_words(said);
        let sign = than.map_or("=", sign);
        let mut answers = Vec::new();
        let sentence = self.written(self.sentence).unwrap_or_default().to_lowercase();
        let is_sum = sentence.contains("between them")
            || sentence.split(|c: char| !c.is_alphabetic()).any(|word| SUMS.contains(&word));
        let homes = if is_sum { self.summed(said) } else { self.homes(said) };
        if 1 < homes.len() && is_sum {
            let one =
                |home: &usize| match self.of_dimension(&words, *home, Dimension::NONE).as_slice() {
                    [one] if self.is_count(*one) => self.path(*one),
                    _ => None,
                };
            let all: Vec<String> = homes.iter().map(one).collect::<Option<_>>()?;
            return self.asked(format!("{} {sign} {count}", all.join(" + ")), homes[0]);
        }
        for home in homes {
            let named = self.of_dimension(&words, home, Dimension::NONE);
            let answer = match named.as_slice() {
                [one] if self.is_count(*one) && self.is_counted_by(*one, noun) => {
                    self.asked(format!("{} {sign} {count}", self.path(*one)?), home)?
                }
                [] if than.is_none_or(|than| than == Than::NotLess) => {
                    let drawn = than.is_none().then(|| self.drawn_count(home, noun, &words, count));
                    let head = &noun.words[..length.min(noun.words.len())];
                    drawn.flatten().or_else(|| self.counted_in_part(home, head, count))?
                }
                _ => return None,
            };
            answers.push(answer);
        }
        StatementAnswer::all(answers)
    }

    /// "Not a Two without a spring" counts no springs: whether the noun is of a figure's name.
    fn is_counted_by(&self, (sheet, entry): NamedFigure, noun: &Phrase) -> bool {
        let said = self.said_words(noun);
        let names = self.folio.cues.names(sheet, entry);
        let is_of_name = |word: &&str| names.iter().flatten().any(|known| known == *word);
        let head = noun.words.first().map_or("", |word| word.stem.as_str());
        let is_engine = noun.words.first().is_some_and(|it| self.last_name(it).is_some());
        !is_engine && (is_of_name(&head) || said.content.first().is_none_or(is_of_name))
    }

    /// The engines whose things are counted together: those that are named, or "the three".
    fn summed(&self, said: &Phrase) -> Vec<usize> {
        let named = self.engines(said, None);
        let all = if named.is_empty() { self.all_engines() } else { return named };
        let is_all = all.len() == 3 && said.has("three") || 1 < all.len() && said.is(Role::All);
        if is_all { all } else { Vec::new() }
    }

    /// "Seven screws hold the cover" of an engine that has five; no less can be told of a part.
    fn counted_in_part(
        &self,
        home: usize,
        noun: &[TextWord],
        count: f64,
    ) -> Option<StatementAnswer> {
        let noun: Vec<&str> = noun.iter().map(|word| word.stem.as_str()).collect();
        let begins = |name: &[String]| {
            !name.is_empty()
                && name.len() <= noun.len()
                && name.iter().zip(&noun).all(|(a, b)| a == b)
        };
        let entries = 0..self.folio.ledger.sheets.get(home)?.entries.len();
        let is_named = |at: &usize| {
            let names = self.folio.cues.names(home, *at);
            names.iter().any(|name| begins(name)) && self.is_count((home, *at))
        };
        let named: Vec<usize> = entries.filter(is_named).collect();
        let [at] = named.as_slice() else { return None };
        let has = self.folio.ledger.nominal(home, *at)?.quantity.si.to_f64();
        let path = self.path((home, *at))?;
        let question = if count < has { return None } else { format!("{path} >= {count}") };
        self.asked(question, home)
    }

    /// "Two rings are soft": that there are as many says nothing of what is said of some of them.
    pub(super) fn counted_of(
        &self,
        said: &Phrase,
        noun: &Phrase,
        (than, count): (Option<Than>, f64),
        is_some: bool,
    ) -> Option<StatementAnswer> {
        let answer = self.count(said, noun, than, count)?;
        if !is_some || !answer.standing.holds() {
            return Some(answer);
        }
        self.count(said, noun, None, count).filter(|all| all.standing.holds())
    }

    /// Whether a figure is a whole number.
    fn is_count(&self, named: NamedFigure) -> bool {
        self.counted(named).is_some()
    }

    /// The whole number that a figure is.
    pub(super) fn counted(&self, (sheet, entry): NamedFigure) -> Option<f64> {
        let value = self.folio.ledger.nominal(sheet, entry)?;
        let (si, dimension) = (value.quantity.si.to_f64(), value.quantity.dimension);
        (si.fract() == 0.0 && dimension == Dimension::NONE).then_some(si)
    }

    /// Whether the cutaway of another engine shows things of a name.
    fn is_drawn_elsewhere(&self, home: usize, noun: &str) -> bool {
        let others = (0..self.folio.ledger.sheets.len()).filter(|sheet| *sheet != home);
        let mut counts = others.filter_map(|sheet| self.drawn(sheet, noun));
        counts.any(|(count, _)| 0.0 < count)
    }

    fn drawn_count(
        &self,
        home: usize,
        noun: &Phrase,
        words: &SaidWords<'_>,
        count: f64,
    ) -> Option<StatementAnswer> {
        let noun = self.said_words(noun);
        let last = noun.content.last()?;
        // Nothing else may be spoken of.
        if !words.content.iter().all(|word| noun.content.contains(word)) {
            return None;
        }
        let (counted, name) = self.drawn(home, last)?;
        if counted == 0.0 && (0.0 < count || !self.is_drawn_elsewhere(home, last)) {
            // What the cutaway has no word for it cannot count.
            return None;
        }
        let is_it = (counted - count).abs() < 0.5;
        let standing = match is_it {
            true => StatementStanding::Holds,
            false if count == 0.0 => StatementStanding::Fails,
            false => StatementStanding::Open,
        };
        let reason = format!("the cutaway of {name} shows {counted}");
        let question = format!("{last} of {name} = {count}");
        Some(StatementAnswer { standing, reason, question })
    }
}

/// Words by which several are counted as one.
const SUMS: [&str; 4] = ["together", "altogether", "total", "among"];

/// Whether a word may be of those by which several are counted as one: "between them" too.
pub(super) fn may_sum(stem: &str) -> bool {
    SUMS.contains(&stem) || stem == "between"
}

/// "From 6.2 to 6.9 bar": one unit for both.
pub(super) fn with_unit_of(start: &str, into: &str) -> String {
    let start = start.trim();
    let unit = into.find(|c: char| c.is_alphabetic() || c == '°').map(|at| into[at..].trim_end());
    match unit.filter(|_| start.ends_with(|c: char| c.is_ascii_digit())) {
        Some(unit) => format!("{start} {unit}"),
        None => start.to_owned(),
    }
}

/// "From eight bar down to three".
fn with_unit_from(into: &str, start: &str) -> String {
    let into = into.trim();
    let is_bare = number(into).is_some() || into.parse::<f64>().is_ok();
    let found = read(start, &ReadOptions::default());
    match found.figures.as_slice() {
        [figure] if is_bare => format!("{into} {}", figure.unit.symbol),
        _ => into.to_owned(),
    }
}

fn number(text: &str) -> Option<f64> {
    cardinal(&text.trim().to_lowercase())
}

fn sign(than: Than) -> &'static str {
    match than {
        Than::More => ">",
        Than::Less => "<",
        Than::NotLess => ">=",
        Than::NotMore => "<=",
    }
}
