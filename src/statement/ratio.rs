//! "twice as long as", "a third of the area of", "half as large again as".

use super::clause::{ClauseSentence, Phrase};
use super::degree::{Degree, Sense, plain};
use super::lexicon::{Role, Roles};
use super::likeness::by_verb;
use super::{StatedRelation, Statement};
use crate::folio::words::TextWord;
use crate::text::Span;

/// A factor in words, with how much room its words leave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Factor {
    /// Its words.
    pub(crate) span: Span,
    /// Least value that the words allow.
    pub(crate) low: f64,
    /// Greatest.
    pub(crate) high: f64,
}

impl Factor {
    /// "A third longer" is one and a third times as long, "a third shorter" two thirds: then the
    /// other one is one and a half times this one.
    fn added(self, degree: &Degree) -> Option<Factor> {
        let (_, first) = degree.senses.first()?;
        let is_one_way = degree.senses.iter().all(|(_, sense)| sense == first);
        let (low, high) = match first {
            Sense::Up => (1.0 + self.low, 1.0 + self.high),
            Sense::Down => (1.0 / (1.0 - self.low), 1.0 / (1.0 - self.high)),
        };
        is_one_way.then_some(Factor { low, high, ..self })
    }
}

/// Share by which a plain word ("twice", "a third") may miss: nobody means 2.000.
const PLAIN: f64 = 0.05;
/// Share by which a hedged one ("about twice") may.
const HEDGED: f64 = 0.12;
/// Share that one told from below ("nearly half", "getting on for a third") may lack.
const LACKING: f64 = 0.15;

/// Words for parts.
const PARTS: [(&str, f64); 10] = [
    ("half", 2.0),
    ("halve", 2.0),
    ("third", 3.0),
    ("quarter", 4.0),
    ("fifth", 5.0),
    ("sixth", 6.0),
    ("seventh", 7.0),
    ("eighth", 8.0),
    ("ninth", 9.0),
    ("tenth", 10.0),
];

fn part(stem: &str) -> Option<f64> {
    PARTS.iter().find(|(word, _)| *word == stem).map(|(_, value)| *value)
}

/// How a hedge before a factor moves its limits.
#[derive(Clone, Copy)]
enum FactorHedge {
    Plain,
    About,
    Nearly,
    Over,
    MoreThan,
    LessThan,
}

/// A factor that ends right before a word, with the place of its first word: "about three times"
/// before "as", "half" before "as", "two thirds of" before "the".
pub(super) fn factor_before(sentence: &ClauseSentence<'_>, end: usize) -> Option<(usize, Factor)> {
    // "Double-marks".
    if !sentence.is_before(end, 1, Role::Factor) || sentence.gap(end) == "-" {
        return None;
    }
    // "A tenth of a millimetre thicker": a length, whatever of it is left out.
    let told = sentence.words.get(end - 1)?.span().end;
    let mut behind = sentence.text.get(told..)?.split_whitespace();
    let is_of = behind.next() == Some("of") && matches!(behind.next(), Some("a" | "an"));
    if is_of && behind.next().is_some_and(names_unit) {
        return None;
    }
    let stem = |back: usize| sentence.before(end, back);
    let number = |back: usize| sentence.cardinal(end.checked_sub(back)?);
    let (value, length) = match stem(1) {
        "twice" | "double" => (2.0, 1),
        "thrice" | "triple" => (3.0, 1),
        "half" if matches!(stem(3), "and") => return None,
        "half" => (0.5, 1),
        "time" => times(sentence, end)?,
        word => {
            let parts = part(word)?;
            match number(2) {
                Some(count) => (count / parts, 2),
                None if matches!(stem(2), "a" | "one") => (1.0 / parts, 2),
                None if SHADES.contains(&stem(2)) && stem(3) == "a" => (1.0 / parts, 1),
                None => return None,
            }
        }
    };
    Some(hedged(sentence, end, length, value))
}

/// Whether a word is a unit, written out.
fn names_unit(stem: &str) -> bool {
    const UNITS: [&str; 9] =
        ["metre", "gram", "second", "inch", "micron", "litre", "newton", "joule", "bar"];
    UNITS.iter().any(|unit| stem.ends_with(unit))
}

/// "three times", "two and a half times", "1.5 times", "several times" (which is none).
fn times(sentence: &ClauseSentence<'_>, end: usize) -> Option<(f64, usize)> {
    let stem = |back: usize| sentence.before(end, back);
    let number = |back: usize| sentence.cardinal(end.checked_sub(back)?);
    if stem(2) == "half" && stem(3) == "a" && stem(4) == "and" {
        return Some((number(5)? + 0.5, 5));
    }
    if let Some(parts) = part(stem(2)) {
        // "One and two thirds times".
        let (count, back) = match (number(3), stem(3)) {
            (Some(count), _) => (count, 4),
            (None, "a") => (1.0, 4),
            _ => return None,
        };
        let whole = number(back + 1).filter(|_| stem(back) == "and")?;
        return Some((whole + count / parts, back + 1));
    }
    let last = number(2)?;
    // Words part at a decimal point: "1.5 times" is read where its figure is.
    let before = end.checked_sub(2).and_then(|at| sentence.words.get(at))?;
    let joins = sentence.text[..before.span().start].ends_with(['.', ',', '/']);
    (!joins).then_some((last, 2))
}

/// Words between "a" and a part that say that it is somewhat more or less: "a good third".
const SHADES: [&str; 3] = ["good", "bare", "scant"];

/// "Half the weight, near enough", "a third or thereabouts".
fn is_hedged_later(sentence: &ClauseSentence<'_>, end: usize) -> bool {
    (end..sentence.words.len()).any(|at| {
        matches!(
            (sentence.stem(at), sentence.stem(at + 1)),
            ("thereabout" | "thereabouts", _)
                | ("near", "enough")
                | ("or", "so")
                | ("give" | "more", "or")
        )
    })
}

fn hedged(sentence: &ClauseSentence<'_>, end: usize, length: usize, value: f64) -> (usize, Factor) {
    let mut first = end - length.min(end);
    let stem = |back: usize| sentence.before(first, back).to_owned();
    let (hedge, words) = match (stem(3).as_str(), stem(2).as_str(), stem(1).as_str()) {
        ("getting", "on", "for") => (FactorHedge::Nearly, 3),
        (_, "something", "like") | ("in", "the", "region") => (FactorHedge::About, 2),
        ("not", "quite", _) | ("a", "little", "under") | ("a", "bit", "under") => {
            (FactorHedge::Nearly, if stem(1) == "under" { 3 } else { 2 })
        }
        ("a", "little", "over") | ("a", "bit", "over") => (FactorHedge::Over, 3),
        (_, "not", "quite") => (FactorHedge::Nearly, 2),
        (_, "just", "under" | "short") | (_, "little", "under") => (FactorHedge::Nearly, 2),
        (_, "just", "over") | (_, "little", "over") => (FactorHedge::Over, 2),
        (_, "a", "good") => (FactorHedge::Over, 2),
        (_, "a", "bare" | "scant") => (FactorHedge::Nearly, 2),
        ("no", "more" | "better", "than") => (FactorHedge::LessThan, 3),
        ("no", "less", "than") => (FactorHedge::MoreThan, 3),
        (_, "at", "most") => (FactorHedge::LessThan, 2),
        (_, "close", "to" | "on") => (FactorHedge::About, 2),
        (_, "more" | "better", "than") => (FactorHedge::MoreThan, 2),
        (_, "less", "than") => (FactorHedge::LessThan, 2),
        (_, "well", "over") => (FactorHedge::MoreThan, 2),
        (_, "well", "under") => (FactorHedge::LessThan, 2),
        (_, "at", "least") => (FactorHedge::MoreThan, 2),
        (_, _, "about" | "roughly" | "around" | "approximately" | "some" | "like") => {
            (FactorHedge::About, 1)
        }
        (_, _, "nearly" | "almost" | "barely" | "scarcely") => (FactorHedge::Nearly, 1),
        (_, _, "over") => (FactorHedge::MoreThan, 1),
        (_, _, "under") => (FactorHedge::LessThan, 1),
        (_, _, "exactly" | "just" | "precisely" | "fully" | "only") => (FactorHedge::Plain, 1),
        _ if is_hedged_later(sentence, end) => (FactorHedge::About, 0),
        _ => (FactorHedge::Plain, 0),
    };
    first -= words.min(first);
    let (low, high) = match hedge {
        FactorHedge::Plain => (value * (1.0 - PLAIN), value * (1.0 + PLAIN)),
        FactorHedge::About => (value * (1.0 - HEDGED), value * (1.0 + HEDGED)),
        FactorHedge::Nearly => (value * (1.0 - LACKING), value),
        FactorHedge::Over => (value, value * (1.0 + HEDGED)),
        FactorHedge::MoreThan => (value, f64::INFINITY),
        FactorHedge::LessThan => (0.0, value),
    };
    (first, Factor { span: sentence.stretch(first, end), low, high })
}

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    says.meets(Roles::of(&[Role::Factor, Role::Cardinal]))
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    for at in 0..sentence.words.len() {
        match sentence.stem(at) {
            "as" => found.extend(as_many(sentence, at)),
            "the" | "of" | "that" => {
                found.extend(of_the(sentence, at).or_else(|| of_any(sentence, at)));
            }
            "to" => found.extend(one_to_another(sentence, at)),
            "halved" | "doubled" | "tripled" | "trebled" => {
                found.extend(times_before(sentence, at));
            }
            "double" | "doubles" | "halve" | "halves" | "triple" | "treble" => {
                found.extend(doubles(sentence, at));
            }
            _ if sentence.comparative(at).is_some() => {
                let degree = sentence.comparative(at);
                found.extend(degree.and_then(|degree| times_more(sentence, at, degree)));
            }
            "by" | "in" => found.extend(cut_by(sentence, at)),
            "off" => found.extend(taken_off(sentence, at)),
            _ => found.extend(of_any(sentence, at)),
        }
    }
}

/// What stands for the same thing as it was before.
fn before_it(span: Span) -> Phrase {
    stand_in(span, "before")
}

/// What stands for the other one of a pair.
pub(super) fn other_one(span: Span) -> Phrase {
    stand_in(span, "other")
}

fn stand_in(span: Span, word: &str) -> Phrase {
    Phrase::new(span, vec![TextWord { span, stem: word.to_owned(), possessive: false }])
}

/// "A third has come off the bore": of what it was before.
fn taken_off(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let end = (1..at).find(|end| factor_before(sentence, *end).is_some())?;
    let (first, factor) = factor_before(sentence, end)?;
    let close = sentence.phrase_end(at + 1);
    let left = sentence.phrase(at + 1, close)?;
    let is_verb = |at: usize| sentence.is(at, Role::Light) || sentence.is_participle(at);
    let is_plain = (end..at).all(is_verb) && first == 0 && factor.high < 1.0;
    let (low, high) = (1.0 - factor.high, 1.0 - factor.low);
    let right = before_it(factor.span);
    let factor = Factor { low, high, ..factor };
    let relation = StatedRelation::Ratio { left, right, degree: None, factor };
    (is_plain && !sentence.has(Role::Denial) && !sentence.has(Role::When))
        .then(|| Statement::new(sentence.stretch(first, close), relation))
}

/// "The lead was halved", "they doubled the stroke".
fn times_before(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let value = match sentence.stem(at) {
        "halved" => 0.5,
        "doubled" => 2.0,
        _ => 3.0,
    };
    let last = sentence.words.len();
    let (first, factor) = hedged(sentence, at + 1, 1, value);
    let (start, left, end) = if matches!(sentence.stem(0), "they" | "we") {
        let ends =
            |at: &usize| sentence.is_parted(*at) || matches!(sentence.stem(*at), "for" | "in");
        let end = (at + 2..last).find(ends).unwrap_or(last);
        (0, sentence.phrase(at + 1, end)?, end)
    } else {
        let verb = first.checked_sub(1).filter(|at| sentence.is(*at, Role::Be))?;
        let (start, left) = sentence.subject(verb)?;
        (start, left, at + 1)
    };
    let right = before_it(factor.span);
    let is_plain =
        !left.is(Role::Denial) && !sentence.has(Role::Denial) && !sentence.has(Role::When);
    let relation = StatedRelation::Ratio { left, right, degree: None, factor };
    is_plain.then(|| Statement::new(sentence.stretch(start, end), relation))
}

/// "Was cut by a third", "was cut in half", "was raised by a quarter": of what it was before.
fn cut_by(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let verb = at.checked_sub(1)?;
    let is_more = sentence.is(verb, Role::Grows) && sentence.stem(verb) != "out";
    let last = sentence.words.len();
    let end = (at + 2..last.min(at + 7) + 1).find(|end| factor_before(sentence, *end).is_some());
    let is_halved = sentence.stem(at) == "in" && sentence.stem(at + 1) == "half";
    let end = if is_halved { at + 2 } else { end.filter(|_| sentence.stem(at) == "by")? };
    let (first, factor) = factor_before(sentence, end)?;
    let article = usize::from(matches!(sentence.stem(at + 1), "a" | "an"));
    if first != at + 1 && first != at + 1 + article
        || !is_more && !sentence.is(verb, Role::Shrinks)
        || factor.high.is_infinite()
    {
        return None;
    }
    let ends = end == last || sentence.is_parted(end) || matches!(sentence.stem(end), "for" | "on");
    let (low, high) = match is_more {
        true => (1.0 + factor.low, 1.0 + factor.high),
        false => (1.0 - factor.high, 1.0 - factor.low),
    };
    let (start, left) = sentence.subject(verb)?;
    let right = before_it(factor.span);
    let factor = Factor { low, high, ..factor };
    let is_plain = ends && !left.is(Role::Denial) && 0.0 < low;
    let relation = StatedRelation::Ratio { left, right, degree: None, factor };
    is_plain.then(|| Statement::new(sentence.stretch(start, end), relation))
}

/// Place of the verb right before a factor.
fn verb(sentence: &ClauseSentence<'_>, first: usize) -> Option<usize> {
    let at = first.checked_sub(1)?;
    let particle = usize::from(matches!(sentence.stem(at), "up" | "to" | "at" | "out"));
    let at = at.checked_sub(particle)?;
    let is_verb = [Role::Be, Role::Have, Role::Amounts].iter().any(|role| sentence.is(at, *role));
    is_verb.then_some(at)
}

/// "twice as long as NP", "half as large again as NP".
fn as_many(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let (first, mut factor) = factor_before(sentence, at)?;
    let degree = by_verb(sentence, first, true).or_else(|| sentence.plain(at + 1))?;
    let second = (at + 2..at + 7).find(|at| sentence.stem(*at) == "as")?;
    if (at + 1..=second).any(|at| sentence.is_parted(at)) {
        return None;
    }
    let is_again = (at + 2..second).any(|at| sentence.stem(at) == "again");
    if is_again && factor.high.is_infinite() {
        factor.low += 1.0;
    } else if is_again {
        // "Half as large again" is one and a half times, with the room of the whole.
        let middle = f64::midpoint(factor.low, factor.high);
        let share = (factor.high - middle) / middle;
        factor.low = (1.0 + middle) * (1.0 - share);
        factor.high = (1.0 + middle) * (1.0 + share);
    }
    // Whatever the verb is: where it names nothing, it says no more than "is".
    let verb = verb(sentence, first).unwrap_or(first);
    let (start, mut left) = sentence.subject(verb)?;
    let end = sentence.relative_end(second + 1);
    let mut right = sentence.phrase(second + 1, end)?;
    let noun = if is_again { None } else { sentence.phrase(at + 2, second) };
    if let Some(noun) = noun {
        right = if right.words.len() < 2 { right.joined(&noun) } else { right };
        left = left.joined(&noun);
    }
    factor.span = sentence.stretch(first, at);
    let span = sentence.stretch(start, end);
    (!sentence.is_conditional(end)).then(|| {
        Statement::new(span, StatedRelation::Ratio { left, right, degree: Some(degree), factor })
    })
}

/// "three times larger than NP": three times as large, as the trade says it.
fn times_more(
    sentence: &ClauseSentence<'_>,
    at: usize,
    degree: &'static Degree,
) -> Option<Statement> {
    let Some((first, factor)) = factor_before(sentence, at) else {
        return more_by_part(sentence, at, degree);
    };
    let than = (at + 1..at + 4).find(|at| sentence.stem(*at) == "than")?;
    let factor = if factor.high < 1.0 { factor.added(degree)? } else { factor };
    let verb = verb(sentence, first).unwrap_or(first);
    let (start, left) = sentence.subject(verb)?;
    let end = sentence.phrase_end(than + 1);
    let right = sentence.phrase(than + 1, end)?;
    let span = sentence.stretch(start, end);
    (!sentence.is_conditional(end)).then(|| {
        Statement::new(span, StatedRelation::Ratio { left, right, degree: Some(degree), factor })
    })
}

/// "Wider by a fifth than NP", "wider than NP by a fifth"; of what, if it is not said, is the other
/// one of a pair.
fn more_by_part(
    sentence: &ClauseSentence<'_>,
    at: usize,
    degree: &'static Degree,
) -> Option<Statement> {
    let last = sentence.words.len();
    let by = (at + 1..last.min(at + 10)).find(|at| sentence.stem(*at) == "by")?;
    let ends =
        (by + 2..last.min(by + 7) + 1).find_map(|end| Some((end, factor_before(sentence, end)?)));
    let (close, (first, factor)) = ends?;
    let than = (at + 1..last).find(|at| sentence.stem(*at) == "than");
    let (right, end) = match than {
        Some(than) if than < by => (sentence.phrase(than + 1, by)?, close),
        Some(than) if than == close => {
            let end = sentence.phrase_end(than + 1);
            (sentence.phrase(than + 1, end)?, end)
        }
        None if close == last || sentence.is_parted(close) => (other_one(factor.span), close),
        _ => return None,
    };
    let verb = verb(sentence, at).unwrap_or(at);
    let (start, left) = sentence.subject(verb)?;
    let is_plain = first <= by + 2 && factor.high < 1.0 && !left.is(Role::Denial);
    let factor = factor.added(degree).filter(|_| is_plain)?;
    let relation = StatedRelation::Ratio { left, right, degree: Some(degree), factor };
    Some(Statement::new(sentence.stretch(start, end), relation))
}

/// A factor with what it is taken of behind it, and what it is said of before it or, where it opens
/// the clause, behind: "holds twice what the old one does", "a third of the stroke is lift".
fn of_any(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let (first, factor) = factor_before(sentence, at)?;
    if sentence.is_parted(at) || matches!(sentence.stem(at), "as" | "again" | "over" | "before") {
        return None;
    }
    let from = at + usize::from(matches!(sentence.stem(at), "of" | "what" | "that"));
    let start = (1..=first).rev().find(|at| sentence.is_parted(*at)).unwrap_or(0);
    let verb_within = |from: usize| {
        let last = sentence.words.len();
        let is_verb = |at: usize| sentence.is(at, Role::Be) || sentence.is(at, Role::Have);
        (from + 1..last).find(|at| is_verb(*at) || sentence.is_parted(*at)).unwrap_or(last)
    };
    let end = match start < first {
        true => sentence.relative_end(from),
        false => verb_within(from),
    };
    let right = sentence.phrase(from, end)?;
    let last = sentence.words.len();
    let close = (end + 1..last).find(|at| sentence.is_parted(*at)).unwrap_or(last);
    let left = match start < first {
        true => sentence.phrase(start, first)?,
        false => sentence.phrase(end, close)?,
    };
    // "Half the store is smaller than" says something else.
    let is_denied = left.is(Role::Denial) || right.is(Role::Denial) || left.is(Role::Comparative);
    // "Keeps half of its air" is a share.
    let goes = sentence.has(Role::Kept) || sentence.has(Role::Spent);
    if goes && right.words.first().is_some_and(|word| word.stem == "air") {
        return None;
    }
    let span = sentence.stretch(start, if start < first { end } else { close });
    let relation = StatedRelation::Ratio { left, right, degree: None, factor };
    (!is_denied && !sentence.is_conditional(end)).then(|| Statement::new(span, relation))
}

/// "A doubles B", "A is double B".
fn doubles(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let value = match sentence.stem(at) {
        "halve" | "halves" => 0.5,
        "triple" | "treble" => 3.0,
        _ => 2.0,
    };
    if sentence.gap(at + 1) == "-" {
        // "Double-marks".
        return None;
    }
    let verb = at - usize::from(sentence.is_before(at, 1, Role::Be)).min(at);
    let (start, left) = sentence.subject(verb)?;
    let end = sentence.phrase_end(at + 1);
    let right = sentence.phrase(at + 1, end)?;
    let (_, factor) = hedged(sentence, at + 1, 1, value);
    let is_denied = left.is(Role::Denial) || right.is(Role::Denial);
    let relation = StatedRelation::Ratio { left, right, degree: None, factor };
    (!is_denied).then(|| Statement::new(sentence.stretch(start, end), relation))
}

/// "A and B stand at one to four", "A is to B as five to four".
fn one_to_another(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let (one, other) = (sentence.cardinal(at.checked_sub(1)?)?, sentence.cardinal(at + 1)?);
    let is_size = |at: usize| {
        sentence.figure_at(at).is_some_and(|figure| {
            sentence.text[figure.start..figure.end].contains(char::is_alphabetic)
                && !sentence.text[figure.start..figure.end]
                    .chars()
                    .all(|c| c.is_alphabetic() || c == ' ')
        })
    };
    let first = at.checked_sub(1)?;
    let joint = (1..first).find(|at| {
        let is_to = sentence.stem(*at) == "to" && sentence.is_before(*at, 1, Role::Be);
        sentence.stem(*at) == "and" || is_to
    })?;
    let start = (1..joint).rev().find(|at| sentence.is_parted(*at)).unwrap_or(0);
    let names = sentence.phrase(joint + 1, first)?;
    let left = sentence.phrase(start, joint)?;
    let (low, high) = (one / other * (1.0 - PLAIN), one / other * (1.0 + PLAIN));
    let factor = Factor { span: sentence.stretch(first, at + 2), low, high };
    let last = sentence.words.len();
    let right = match sentence.phrase(at + 2, last) {
        Some(measure) if !sentence.is_parted(at + 2) => names.joined(&measure),
        _ => names,
    };
    let is_denied = left.is(Role::Denial) || right.is(Role::Denial);
    let relation = StatedRelation::Ratio { left, right, degree: None, factor };
    (!is_denied && !is_size(at + 1))
        .then(|| Statement::new(sentence.stretch(start, last), relation))
}

/// Whether a noun tells in what things are compared: "half the rod in diameter".
fn measures(noun: &str) -> bool {
    matches!(noun, "diameter" | "width" | "length" | "area" | "weight" | "volume" | "size" | "bore")
}

/// The word of degree for what a noun measures: "the strength of the ram".
fn measured(property: &Phrase) -> Option<&'static Degree> {
    let [word] = property.words.as_slice() else { return None };
    let known = match word.stem.as_str() {
        "strength" | "force" => "strong",
        "weight" | "mass" => "heavy",
        "width" => "wide",
        "length" => "long",
        "volume" | "capacity" => "roomy",
        "size" => "large",
        _ => return None,
    };
    plain(known)
}

/// "NP has twice the area of NP", "NP is a third of NP", "NP is three times that of NP".
fn of_the(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let (first, factor) = factor_before(sentence, at)?;
    let verb = verb(sentence, first)?;
    let (start, mut left) = sentence.subject(verb)?;
    // "Half the time that the other takes".
    let (that, end) = (sentence.phrase_end(at + 1), sentence.relative_end(at + 1));
    let (right_from, property) = match (sentence.stem(at), sentence.stem(at + 1)) {
        ("that", "of") => (at + 2, None),
        ("of", "that") => (at + 3, None),
        ("of", "the") if sentence.stem(at + 3) == "of" => (at + 4, sentence.phrase(at + 2, at + 3)),
        ("of", "the") if that < end => (that + 1, sentence.phrase(at + 2, that)),
        ("the", _) if that < end => (that + 1, sentence.phrase(at + 1, that)),
        ("the", _) => {
            // "the area of the shoulder": what is measured, then whose it is.
            let of = |at: &usize| {
                let is_measure = measures(sentence.stem(at + 1)) && at + 2 == end;
                matches!(sentence.stem(*at), "of" | "in" | "on") && !is_measure
            };
            match (at + 1..end).find(of) {
                Some(of) => (of + 1, sentence.phrase(at + 1, of)),
                None => (at + 1, None),
            }
        }
        _ => (at + 1, None),
    };
    let mut right = sentence.phrase(right_from, end)?;
    let degree = property.as_ref().and_then(measured);
    if let Some(property) = property.filter(|_| degree.is_none()) {
        left = left.joined(&property);
        right = right.joined(&property);
    }
    let span = sentence.stretch(start, end);
    (!sentence.is_conditional(end))
        .then(|| Statement::new(span, StatedRelation::Ratio { left, right, degree, factor }))
}
