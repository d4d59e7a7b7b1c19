//! Spoken numbers whose unit goes without saying: "a stroke of thirty point two", "leaves it at
//! two point five".
//!
//! The unit is that of an entry which the words name and the number equals; else that of the name
//! right beside the number, or of the figure spoken last.

use super::TiedLine;
use super::assign::{MOST, distance};
use super::background::Background;
use super::digits::digits;
use super::evidence::Around;
use super::weights::{SOME_WORDS, fits};
use crate::folio::cues::Cue;
use crate::folio::words::TextWord;
use crate::proof::prose::{Group, PageContext};
use crate::proof::reference_value::verdict_on;
use crate::quantity::{Amount, Dimension, Figure, Kind, Unit, Verdict, units};
use crate::statement::{Role, may};
use crate::text::Span;

/// Figures on either side of a number that are looked at.
const NEAR: usize = 8;
/// Words for what goes on for a while.
const LASTING: [&str; 11] =
    ["hold", "held", "keep", "kept", "last", "lasted", "on", "run", "rest", "open", "lit"];
/// Words between a name and a number that take the number for that name's, whatever it is.
const BESIDE: f64 = 5.0;

/// Whether a figure of a text is a spoken number that waits for its unit: no share ("four fifths")
/// and no multiple ("three times").
fn is_bare(text: &str, figure: &Figure) -> bool {
    let said = text[figure.span.start..figure.span.end].to_lowercase();
    let is_multiple = ["times", "time", "fold"].iter().any(|word| said.ends_with(word));
    let is_share = match &figure.amount {
        Amount::Point(number) => number.fraction.is_some() && number.mantissa == 0,
        Amount::Range(..) => false,
    };
    let is_number = figure.unit.code == "1" && matches!(figure.kind, Kind::Plain | Kind::Ratio);
    is_number && figure.noun.is_none() && !is_multiple && !is_share
}

/// Gives the numbers of a sentence their units; those for which there is none are no figures.
/// `carried` is the figure spoken last, and holds the one spoken last in the end.
pub(super) fn with_units(
    text: &str,
    line: &TiedLine<'_>,
    groups: Vec<Group>,
    cues: &[Cue],
    background: &Background,
    context: &PageContext<'_>,
    carried: &mut Option<Figure>,
) -> (Vec<Group>, Vec<Span>) {
    let spans: Vec<Span> = groups.iter().map(|group| group.span.shifted(line.shift)).collect();
    let mut understood = Vec::new();
    let mut kept = Vec::new();
    for (row, mut group) in groups.into_iter().enumerate() {
        let around = || Around::look(line.text, &line.words, spans[row], &spans, background);
        if is_mil(text, &group.members[0]) && context.conventions.mil.is_none() {
            let figure = which_mil(&group.members[0], &around(), context);
            group.members[0] = figure;
        }
        if is_bare(text, &group.members[0]) {
            let around = around();
            let place = SpokenPlace { line, spans: &spans, row, cues, context };
            let Some(figure) = place.unit(&group.members[0], &around, carried.as_ref()) else {
                continue;
            };
            understood.push(group.span);
            group.members[0] = figure;
        } else if group.members[0].unit.dimension != Dimension::NONE
            || group.members[0].unit.code == "%"
        {
            *carried = group.members.last().cloned();
        }
        kept.push(group);
    }
    (kept, understood)
}

/// A number of a sentence, and what may lend it a unit.
struct SpokenPlace<'a> {
    line: &'a TiedLine<'a>,
    spans: &'a [Span],
    row: usize,
    cues: &'a [Cue],
    context: &'a PageContext<'a>,
}

impl SpokenPlace<'_> {
    fn unit(
        &self,
        number: &Figure,
        around: &Around<'_>,
        carried: Option<&Figure>,
    ) -> Option<Figure> {
        let context = self.context;
        let ledger = &context.folio.ledger;
        let mut named: Vec<(f64, (usize, usize))> = Vec::new();
        // What is farther away lends nothing.
        let near = self.row.saturating_sub(NEAR)..(self.row + NEAR).min(self.spans.len());
        for cue in self.cues.iter().take(MOST) {
            let near = self.spans[near.clone()].iter().copied();
            let others: Vec<Span> = near.filter(|span| *span != self.spans[self.row]).collect();
            let own = self.spans[self.row];
            let apart = distance(self.line.text, &self.line.words, own, &others, cue);
            named.extend(apart.map(|apart| (apart, (cue.sheet, cue.entry))));
        }
        named.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let lasts = self.lasts();
        let measures = |entry: &(usize, usize)| {
            let value = ledger.nominal(entry.0, entry.1);
            !lasts || value.is_some_and(|value| value.quantity.dimension == Dimension::TIME)
        };
        named.retain(|(_, entry)| measures(entry));
        let agrees = |figure: &Figure, entry: (usize, usize)| {
            verdict_on(figure, ledger, entry, context.conventions) == Some(Verdict::Agree)
        };
        // "Half a per cent of its speed, but only two of its energy."
        let of = |end| self.line.text.get(end..).is_some_and(|rest| rest.starts_with(" of "));
        let shift = self.line.shift;
        let share = carried.filter(|last| last.unit.code == "%" && of(last.span.end + shift));
        if let Some(share) = share.filter(|_| of(self.spans[self.row].end)) {
            return Some(in_unit(number, share));
        }
        let carried = carried.filter(|last| last.unit.dimension != Dimension::NONE);
        let equal = named.iter().find_map(|(_, entry)| {
            let figure = in_unit(number, self.like(*entry, carried)?);
            agrees(&figure, *entry).then_some(figure)
        });
        if equal.is_some() {
            return equal;
        }
        let mut best: Option<(f64, Figure)> = None;
        for entry in context.lexicon().entries().filter(measures) {
            let words = context.lexicon().words_near(entry, around);
            if words < SOME_WORDS || best.as_ref().is_some_and(|(most, _)| words <= *most) {
                continue;
            }
            if let Some(like) = self.like(entry, carried) {
                let figure = in_unit(number, like);
                if agrees(&figure, entry) {
                    best = Some((words, figure));
                }
            }
        }
        if let Some((_, figure)) = best {
            return Some(figure);
        }
        let beside = named.first().filter(|(apart, _)| *apart <= BESIDE);
        let beside = beside.and_then(|(_, entry)| self.like(*entry, carried).cloned());
        let carried = carried.filter(|f| !lasts || f.unit.dimension == Dimension::TIME);
        beside
            .or_else(|| carried.cloned())
            .or_else(|| self.only_time().filter(|_| lasts))
            .map(|like| in_unit(number, &like))
    }

    /// A figure of time, where all times of the page are stated in one unit.
    fn only_time(&self) -> Option<Figure> {
        let lexicon = self.context.lexicon();
        let ([_], ledger) = (lexicon.units(Dimension::TIME).as_slice(), &self.context.folio.ledger)
        else {
            return None;
        };
        let is_time = |entry: &(usize, usize)| {
            ledger
                .nominal(entry.0, entry.1)
                .is_some_and(|value| value.quantity.dimension == Dimension::TIME)
        };
        lexicon.entries().filter(is_time).find_map(|entry| self.like(entry, None).cloned())
    }

    /// "I keep it lit for thirty": how long something lasts.
    fn lasts(&self) -> bool {
        let (words, own) = (&self.line.words, self.spans[self.row]);
        let first = words.partition_point(|word| word.span.end <= own.start);
        let stem = |at: Option<usize>| at.and_then(|at| words.get(at)).map(|w| w.stem.as_str());
        let lasts =
            |word: &TextWord| may(&word.stem, Role::Stays) || LASTING.contains(&word.stem.as_str());
        let holds = words[..first].iter().any(lasts);
        let ends = self.line.text[own.end..].starts_with([',', '.', ';', '?', '!']);
        stem(first.checked_sub(1)) == Some("for") && holds && ends
    }

    /// A figure in whose unit an entry is spoken: that of its reading, or one that measures the
    /// same.
    fn like<'f>(
        &'f self,
        (sheet, entry): (usize, usize),
        carried: Option<&'f Figure>,
    ) -> Option<&'f Figure> {
        let ledger = &self.context.folio.ledger;
        let measures = |figure: &&Figure| figure.unit.dimension != Dimension::NONE;
        let first = |at: usize| {
            let reading = ledger.sheets[sheet].entries[at].reading()?;
            reading.statements.first()?.figures.first().filter(measures)
        };
        if ledger.sheets[sheet].entries[entry].reading().is_some() {
            return first(entry);
        }
        let dimension = ledger.nominal(sheet, entry)?.quantity.dimension;
        let same =
            |figure: &&Figure| figure.unit.dimension == dimension && dimension != Dimension::NONE;
        let all = (0..ledger.sheets[sheet].entries.len()).filter_map(first);
        carried.filter(same).or_else(|| all.into_iter().find(|figure| same(figure)))
    }
}

/// Whether a figure is said in mils, which may be three things.
fn is_mil(text: &str, figure: &Figure) -> bool {
    let said = text[figure.span.start..figure.span.end].to_ascii_lowercase();
    figure.unit.code == "[mil_i]" && (said.ends_with("mil") || said.ends_with("mils"))
}

/// What "mil" is short for, where the imprint does not say: millimetres, millilitres, or
/// thousandths of an inch, whichever the words around and the number speak for. Where nothing
/// does, it is what the page measures in.
fn which_mil(said: &Figure, around: &Around<'_>, context: &PageContext<'_>) -> Figure {
    let (ledger, lexicon) = (&context.folio.ledger, context.lexicon());
    let units = ["mm", "mL", "[mil_i]"].into_iter().filter_map(|code| units::table().by_code(code));
    let mut best: Option<(f64, Figure)> = None;
    for unit in units {
        let figure = Figure { unit, ..said.clone() };
        let fit = |entry| match verdict_on(&figure, ledger, entry, context.conventions) {
            Some(Verdict::Agree) => fits(digits(&figure)),
            _ => 0.0,
        };
        let own = lexicon.units(unit.dimension).iter().any(|known| known.code == unit.code);
        let own = if own { 1.0 } else { 0.0 };
        let weighed = lexicon.weigh(&figure, around).into_iter();
        let odds = weighed.map(|(entry, words)| words + fit(entry)).fold(0.0, f64::max) + own;
        if best.as_ref().is_none_or(|(most, _)| *most < odds) {
            best = Some((odds, figure));
        }
    }
    best.map_or_else(|| said.clone(), |(_, figure)| figure)
}

fn in_unit(number: &Figure, like: &Figure) -> Figure {
    let unit: &'static Unit = like.unit;
    Figure {
        unit,
        comparison: None,
        kind: like.kind,
        kind_yields: like.kind_yields,
        reference: like.reference,
        ..number.clone()
    }
}
