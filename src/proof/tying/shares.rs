//! Ratios and shares of two figures that a figure may be: "twice as wide", "a third heavier",
//! "30 % less", "four times the area" of a hole whose width is known.

use super::namesake;
use super::near_result::NearTo;
use super::results::{
    ENOUGH, Guess, NAMESAKES, ResultPart, SAID, SOME, Sought, TIMES, WorkedOut, worth,
};
use super::weights::ONLY_ONE;
use crate::quantity::judge::against;
use crate::quantity::{Dimension, FigureComparison, Judgement, Kind, Quantity, Verdict};
use crate::statement::{Sense, measures};

/// What it is worth that an entry is named right behind the words of a ratio.
const STANDARD: f64 = 1.5;

/// What the words behind a ratio say that it is a ratio of: "four times the **area**", "half as
/// **heavy**".
#[derive(Debug, Clone, Default)]
pub(super) struct RatioOf<'s>(pub(super) Vec<&'s str>);

impl RatioOf<'_> {
    /// Whether it may be one of two of a dimension.
    pub(super) fn may_be(&self, dimension: Dimension) -> bool {
        let mut said = self.0.iter().filter_map(|word| measures(word, dimension)).peekable();
        said.peek().is_none() || said.any(|measures| measures)
    }

    /// Whether words say that it is one of two of a dimension.
    fn speaks_of(&self, dimension: Dimension) -> bool {
        self.0.iter().any(|word| measures(word, dimension) == Some(true))
    }

    /// Whether it is one of areas, as two widths have them too.
    fn is_of_areas(&self) -> bool {
        let says_area = |word: &&str| {
            measures(word, Dimension::AREA) == Some(true)
                && measures(word, Dimension::LENGTH) == Some(false)
        };
        self.0.iter().any(says_area)
    }
}

/// The ratios of two that measure the same.
pub(super) fn of_two(sought: &Sought<'_>, one: &ResultPart, other: &ResultPart) -> Vec<WorkedOut> {
    let figure = sought.figure;
    let is_ratio = figure.unit.dimension == Dimension::NONE
        && figure.kind != Kind::Count
        && one.kind == other.kind
        && one.reference == other.reference;
    let is_squared = one.dimension == Dimension::LENGTH && sought.ratio_of.is_of_areas();
    if !is_ratio || !is_squared && !sought.ratio_of.may_be(one.dimension) {
        return Vec::new();
    }
    let share = figure.unit.code == "%";
    let said = match sought.standard {
        Some(standard) if other.entry == Some(standard) => SAID + STANDARD,
        Some(_) => return Vec::new(),
        None if figure.kind == Kind::Ratio && !share => SAID,
        // "60 per cent more" is no 160 per cent.
        None if share && sought.is_more_or_less() => 0.0,
        None => sought.said(&TIMES) + if share { 0.5 } else { 0.0 },
    };
    let (mut ratio, mut si) =
        (format!("{} / {}", one.multiple(), other.multiple()), one.si / other.si);
    if is_squared {
        (ratio, si) = (format!("({ratio})^2"), si * si);
    }
    let mut made = Vec::new();
    if share || sought.is_more_or_less() {
        let (more, less) = more_or_less(sought, one.dimension);
        let told = if share { 0.0 } else { said - SAID };
        match si {
            ..1.0 => made.push((format!("1 - {ratio}"), 1.0 - si, less + told)),
            _ => made.push((format!("{ratio} - 1"), si - 1.0, more + told)),
        }
    }
    if share || !sought.is_more_or_less() {
        made.push((ratio, si, said));
    }
    made
}

/// The ratios of what two engines that are set side by side both have: of the one that is spoken of
/// to the other, where the text says which that is.
pub(super) fn of_namesakes(sought: &Sought<'_>, engines: [usize; 2]) -> Vec<Guess> {
    let Sought { figure, around, context, .. } = sought;
    let (ledger, lexicon) = (&context.folio.ledger, context.lexicon());
    if !(figure.kind == Kind::Ratio || figure.unit.code == "%") {
        return Vec::new();
    }
    let numbered =
        |named: (usize, usize)| Some((named, ledger.nominal(named.0, named.1)?.quantity));
    let pairs = (0..ledger.sheets[engines[0]].entries.len()).filter_map(|entry| {
        let mine = numbered((engines[0], entry))?;
        let theirs = numbered(namesake(ledger, (engines[0], entry), engines[1])?)?;
        let words = [mine.0, theirs.0].map(|named| lexicon.words_for(named, around));
        let words = words[0].max(words[1]).min(ENOUGH);
        let is_said = sought.ratio_of.speaks_of(mine.1.dimension);
        (SOME <= words || is_said).then_some((words.max(0.0), mine, theirs))
    });
    let pairs: Vec<_> = pairs.collect();
    let only = if pairs.len() == 1 { ONLY_ONE } else { 0.0 };
    let mut guesses = Vec::new();
    for (words, mine, theirs) in pairs {
        let part =
            |(named, quantity): &(_, Quantity)| ResultPart::of(*named, words, quantity, context);
        let both = [(&mine, &theirs), (&theirs, &mine)];
        let told = both.into_iter().filter(|(own, _)| sought.engine.is_none_or(|it| it == own.0.0));
        for (own, other) in told {
            let made = of_two(sought, &part(own), &part(other)).into_iter();
            guesses.extend(made.map(|(formula, si, said)| Guess {
                formula,
                parts: Some([own.0, other.0]),
                si,
                score: words + only + NAMESAKES + said,
                is_told: SAID <= said,
                is_of_known: true,
                is_of_stated: false,
                is_said: SAID <= said,
            }));
        }
    }
    guesses
}

/// The two figures that a ratio is plainly said of, where it is not theirs: `left` is named before
/// it and what it is compared with right behind.
pub(super) fn unlike(
    text: &str,
    sought: &Sought<'_>,
    left: (usize, usize),
) -> Option<(NearTo, Judgement)> {
    let Sought { figure, context, .. } = sought;
    let standard = sought.standard?;
    let part = |named: (usize, usize)| {
        let value = context.folio.ledger.nominal(named.0, named.1)?;
        Some(ResultPart::of(named, ENOUGH, &value.quantity, context))
    };
    let (one, other) = (part(left)?, part(standard)?);
    let mut forms: Vec<String> =
        of_two(sought, &one, &other).into_iter().map(|(formula, ..)| formula).collect();
    if one.dimension == Dimension::LENGTH && !sought.is_more_or_less() {
        // "Twice the seat" may be said of the holes.
        forms.push(format!("({} / {})^2", one.name, other.name));
    }
    let judged = forms.into_iter().filter_map(|formula| {
        let computed = worth(&formula, context)?;
        Some((formula, against(text, figure, &computed, context.conventions)))
    });
    let judged: Vec<(String, Judgement)> = judged.collect();
    let fits = |(_, judgement): &(String, Judgement)| judgement.verdict <= Verdict::Lenient;
    if judged.iter().any(fits) {
        return None;
    }
    let (formula, judgement) = judged.into_iter().next()?;
    Some((NearTo::Result(formula), judgement))
}

/// What words say for a share that is more, and for one that is less: "8 % more", "a fifth lower".
/// Of a time "a third quicker" may be either.
fn more_or_less(sought: &Sought<'_>, dimension: Dimension) -> (f64, f64) {
    let is_quick = dimension == Dimension::TIME
        && sought.ratio_of.0.iter().any(|word| measures(word, Dimension::VELOCITY) == Some(true));
    match (sought.figure.comparison, sought.around.leans()) {
        (Some(FigureComparison::More | FigureComparison::Less), _) if is_quick => (SAID, SAID),
        (Some(FigureComparison::More), _) => (SAID, 0.0),
        (Some(FigureComparison::Less), _) => (0.0, SAID),
        (_, Some(Sense::Up)) => (SAID, 0.0),
        (_, Some(Sense::Down)) => (0.0, SAID),
        _ => (sought.said_apart(), sought.said_apart()),
    }
}
