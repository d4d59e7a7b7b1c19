//! Spoken numbers whose unit goes without saying: "a stroke of thirty point two", "leaves it at
//! two point five".
//!
//! The unit is that of an entry which the words name and the number equals; else that of the name
//! right beside the number, or of the figure spoken last.

use super::TiedLine;
use super::assign::{MOST, distance};
use super::background::Background;
use super::evidence::Around;
use super::weights::SOME_WORDS;
use crate::folio::cues::Cue;
use crate::proof::prose::{Group, PageContext};
use crate::proof::reference_value::verdict_on;
use crate::quantity::{Amount, Dimension, Figure, Kind, Unit, Verdict};
use crate::text::Span;

/// Figures on either side of a number that are looked at.
const NEAR: usize = 8;
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
        if is_bare(text, &group.members[0]) {
            let around = Around::look(line.text, &line.words, spans[row], &spans, background);
            let place = SpokenPlace { line, spans: &spans, row, cues, context };
            let Some(figure) = place.unit(&group.members[0], &around, carried.as_ref()) else {
                continue;
            };
            understood.push(group.span);
            group.members[0] = figure;
        } else if group.members[0].unit.dimension != Dimension::NONE {
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
        let agrees = |figure: &Figure, entry: (usize, usize)| {
            verdict_on(figure, ledger, entry, context.conventions) == Some(Verdict::Agree)
        };
        let equal = named.iter().find_map(|(_, entry)| {
            let figure = in_unit(number, self.like(*entry, carried)?);
            agrees(&figure, *entry).then_some(figure)
        });
        if equal.is_some() {
            return equal;
        }
        let mut best: Option<(f64, Figure)> = None;
        for entry in context.lexicon().entries() {
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
        beside.or_else(|| carried.cloned()).map(|like| in_unit(number, &like))
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
