//! The figures of one sentence: the assignment of names, and what the odds make of each figure.

use super::assign::{MOST, assign, distance, parallel};
use super::bare::{self, Bare};
use super::evidence::{Around, Before};
use super::supposed::{Supposed, supposed};
use super::weights::{
    AHEAD, BESIDE, NAMED, OUTRIGHT, PER_WORD, SAME_DIGITS, SLIP, SOME_WORDS, TIES, fits,
};
use super::{TiedLine, name_in_formulas, results};
use crate::folio::cues::Cue;
use crate::folio::words::{TextWord, is_difference};
use crate::proof::checks::tie::{self, Doubt, Tied};
use crate::proof::figure::{JudgedFigure, PassageProof, Proposal, Status, worse};
use crate::proof::passage::Passage;
use crate::proof::prose::{Group, PageContext, by_itself};
use crate::proof::reference_value::{judge_entry, verdict_on};
use crate::quantity::{Amount, Figure, Judgement, Kind, Verdict};
use crate::slip::Slip;
use crate::text::Span;
use std::cell::OnceCell;

/// What it costs to take a figure for one that has no value, in words of distance: any other that
/// fits is the likelier.
const VALUELESS: f64 = 6.0;
/// Words between a name and its figure beyond which accepting binds the figure.
const LOOSELY_NAMED: f64 = 4.0;
/// As many entries are shown of those that words around may mean.
const SHOWN: usize = 5;
/// As many entries are proposed for a figure that equals them.
const PROPOSED: usize = 3;

type NamedWords = (usize, usize);

/// What a figure of a sentence is found to be.
enum Meant {
    /// An entry, and the figure that stands in its place while it stands in that one's.
    Entry(Tied, Option<usize>, Vec<Proposal>),
    /// Almost an entry: whether it stops, and how it was judged.
    Nearly(NamedWords, Judgement, bool),
    /// An entry that has no value.
    Valueless(NamedWords),
    /// A supposition.
    Supposed,
    /// Nothing for certain, why, and what it may be.
    Nothing(Doubt, Vec<Proposal>),
}

/// A sentence and everything that is weighed in it.
struct Weighing<'a> {
    passage: &'a Passage<'a>,
    line: &'a TiedLine<'a>,
    groups: &'a [Group],
    spans: Vec<Span>,
    /// What is accounted for in the line, bound or not, in order: figures and bindings.
    figures: Vec<Span>,
    cues: &'a [Cue],
    before: Before<'a>,
    context: &'a PageContext<'a>,
    /// Whether words alone may mean the page's own figures.
    is_own: bool,
}

/// What stands around the figures of a sentence.
pub(super) struct Neighbours<'a> {
    /// Names of figures.
    pub(super) cues: &'a [Cue],
    pub(super) before: Before<'a>,
    /// What is accounted for, bound or not.
    pub(super) taken: &'a [Span],
}

/// Ties the figures of a sentence.
pub(super) fn tie(
    passage: &Passage<'_>,
    line: &TiedLine<'_>,
    groups: Vec<Group>,
    around: Neighbours<'_>,
    context: &PageContext<'_>,
    proof: &mut PassageProof,
) {
    let Neighbours { cues, before, taken } = around;
    let spans: Vec<Span> = groups.iter().map(|group| group.span.shifted(line.shift)).collect();
    let is_own = context.own.is_some() && !line.names_another(context);
    let mut figures: Vec<Span> = taken.iter().map(|span| span.shifted(line.shift)).collect();
    figures.extend(&spans);
    figures.sort_unstable();
    let weighing =
        Weighing { passage, line, groups: &groups, spans, figures, cues, before, context, is_own };
    let meant = weighing.weigh();
    let why: Vec<Vec<String>> = match context.explains {
        true => (0..weighing.groups.len()).map(|row| weighing.why(row)).collect(),
        false => vec![Vec::new(); weighing.groups.len()],
    };
    let told = meant.into_iter().zip(why).collect();
    let numbers = weighing.bare(taken);
    tell(passage, groups, told, context, proof);
    for bare in numbers {
        let mut slips: Vec<Slip> = Vec::new();
        let group = Group::new(bare.figure.span, vec![bare.figure]);
        let found = match bare.fits {
            true => {
                let judgement = Judgement::agreed();
                let tied = Tied { named: bare.entry, judgement, crossed: None, is_swapped: false };
                let proposals = vec![Proposal {
                    formula: name_in_formulas(context, bare.entry),
                    is_certain: true,
                }];
                let found = tie::judge(passage, group, tied, context, &mut slips);
                Some(JudgedFigure { proposals, ..found })
            }
            false => judged(passage.text, &group, bare.entry, context).and_then(|judgement| {
                tie::nearly(passage, group, bare.entry, &judgement, false, context, &mut slips)
            }),
        };
        proof.take(found, slips);
    }
}

impl Weighing<'_> {
    /// What each figure is found to be.
    fn weigh(&self) -> Vec<Meant> {
        let (groups, cues, context) = (self.groups, self.cues, self.context);
        // Judging is exact and dear; most sentences hold one figure and one name.
        let width = cues.len().min(MOST);
        let memory: Vec<OnceCell<Option<Verdict>>> =
            (0..groups.len().min(MOST) * width).map(|_| OnceCell::new()).collect();
        let verdict = |row: usize, column: usize| {
            // Several cues may name one entry; it is judged once.
            let cue = cues[..width].get(column)?;
            let named = (cue.sheet, cue.entry);
            let first = cues.iter().position(|other| (other.sheet, other.entry) == named)?;
            let cell = memory.get(row * width + first)?;
            *cell.get_or_init(|| group_verdict(&groups[row], named, context))
        };
        let agree = |row: usize, column: usize| {
            same_dimension(&groups[row], &cues[column], context)
                && verdict(row, column) == Some(Verdict::Agree)
        };
        let fixed =
            parallel(self.line, &self.line.engines(context), &self.spans, cues, |row, column| {
                self.cost(row, column).is_some()
            });
        let cost = |row: usize, column: usize| match fixed.get(row).copied().flatten() {
            Some(meant) => (meant == column).then_some(0.0),
            None => self.cost(row, column).filter(|_| !fixed.contains(&Some(column))),
        };
        let is_puzzle = 1 < groups.len() || 1 < cues.len();
        let chosen =
            assign(groups.len(), cues.len(), cost, |row, column| is_puzzle && agree(row, column));
        let meant = (0..groups.len()).map(|row| {
            let Some(column) = chosen[row] else { return self.by_words(row, None) };
            let named = (cues[column].sheet, cues[column].entry);
            let judged = verdict(row, column).and_then(|verdict| {
                in_words(verdict, self.passage.text, &groups[row], named, context)
            });
            let Some(judgement) = judged else { return Meant::Valueless(named) };
            let apart = cost(row, column).unwrap_or(0.0);
            if judgement.verdict <= Verdict::Lenient {
                let tied = Tied { named, judgement, crossed: None, is_swapped: false };
                let proposals = match LOOSELY_NAMED < apart {
                    true => vec![self.proposal(named, true)],
                    false => Vec::new(),
                };
                return Meant::Entry(tied, None, proposals);
            }
            let crossed = (0..cues.len()).find(|other| *other != column && agree(row, *other));
            let crossed = crossed.map(|other| (cues[other].sheet, cues[other].entry));
            let swapped = swapped_with(row, &chosen, &agree);
            let tied = Tied { named, judgement, crossed, is_swapped: swapped.is_some() };
            // "A bore of 2 mm" may be another one than the bore.
            let article = cues[column].first.checked_sub(1).map(|at| &self.line.words[at].stem);
            let is_new = article.is_some_and(|word| matches!(word.as_str(), "a" | "an"));
            self.misfit(row, tied, swapped, (apart, is_new))
        });
        meant.collect()
    }

    /// What it costs to take a figure for what a cue names.
    fn cost(&self, row: usize, column: usize) -> Option<f64> {
        // Another quantity of the same words is never meant.
        let cue = &self.cues[column];
        let has_value = self.context.folio.ledger.nominal(cue.sheet, cue.entry).is_some();
        let fits = !has_value || same_dimension(&self.groups[row], cue, self.context);
        let (text, spans) = (self.line.text, &self.spans);
        if MOST <= row || MOST <= column || !fits || is_difference(text, spans[row]) {
            return None;
        }
        let apart = distance(text, &self.line.words, spans[row], spans, cue)?;
        Some(if has_value { apart } else { apart + VALUELESS })
    }

    /// A figure that is not what the words near it name: a slip of that, or another one.
    fn misfit(
        &self,
        row: usize,
        tied: Tied,
        swapped: Option<usize>,
        (apart, is_new): (f64, bool),
    ) -> Meant {
        let is_crossed = tied.crossed.is_some();
        let is_near = tied.judgement.likely.is_some();
        match supposed(self.passage.text, self.groups[row].span) {
            Some(Supposed::Condition) if !is_crossed => return Meant::Supposed,
            Some(Supposed::Consequence) if !is_crossed && !is_near => return Meant::Supposed,
            _ => {}
        }
        let words = NAMED - PER_WORD * apart;
        if !is_crossed && !is_near && (is_new || words < BESIDE) {
            // No slip of a hand explains it: then it is something else, unless it stands where only
            // that name can be meant.
            let other = self.by_words(row, Some((tied.named, words)));
            let is_other = match &other {
                Meant::Entry(..) => true,
                Meant::Nothing(_, proposals) => {
                    words < OUTRIGHT || proposals.first().is_some_and(|first| first.is_certain)
                }
                _ => words < OUTRIGHT,
            };
            if is_other {
                return other;
            }
        }
        Meant::Entry(tied, swapped, Vec::new())
    }

    /// A figure that no name near it explains. `instead_of` is what the words name that it does not
    /// fit, and their weight.
    fn by_words(&self, row: usize, instead_of: Option<(NamedWords, f64)>) -> Meant {
        let (group, context) = (&self.groups[row], self.context);
        let figure = &group.members[0];
        let is_supposed = supposed(self.passage.text, group.span).is_some();
        let doubt = self.doubt(row);
        if !self.is_own {
            let doubted = || Meant::Nothing(doubt, Vec::new());
            return if is_supposed { Meant::Supposed } else { doubted() };
        }
        let around = self.around(row);
        let mut weighed = context.lexicon().weigh(figure, &around);
        weighed.retain(|(entry, words)| {
            instead_of.is_none_or(|(named, weight)| *entry != named && weight <= *words + 2.0)
        });
        let verdict = |named: NamedWords| group_verdict(group, named, context);
        let fitting: Vec<(NamedWords, f64)> = weighed
            .iter()
            .copied()
            .filter(|(named, _)| verdict(*named).is_some_and(|v| v <= Verdict::Lenient))
            .collect();
        if let Some((named, words)) = fitting.first().copied() {
            let next = fitting.get(1).map_or(f64::NEG_INFINITY, |(_, words)| *words);
            let odds = words + fits(digits(figure));
            if SOME_WORDS <= words && TIES <= odds && AHEAD <= words - next {
                let judgement = in_words(
                    verdict(named).unwrap_or(Verdict::Agree),
                    self.passage.text,
                    group,
                    named,
                    context,
                );
                if let Some(judgement) = judgement {
                    let tied = Tied { named, judgement, crossed: None, is_swapped: false };
                    return Meant::Entry(tied, None, vec![self.proposal(named, true)]);
                }
            }
        }
        if is_supposed {
            return Meant::Supposed;
        }
        let is_plain = figure.kind == Kind::Count;
        let equal =
            fitting.iter().copied().filter(|(named, _)| verdict(*named) == Some(Verdict::Agree));
        let mut proposals = self.equal(&equal.collect::<Vec<_>>(), digits(figure));
        if proposals.is_empty() && !is_plain {
            proposals = results::proposals(figure, &around, context.lexicon(), context);
        }
        if !proposals.is_empty() {
            return Meant::Nothing(doubt, proposals);
        }
        let is_long = 2 <= digits(figure);
        if is_long && !matches!(doubt, Doubt::Difference) && instead_of.is_none() {
            // One slip turns a short number into any other; few numbers have another's digits.
            let least = SOME_WORDS.max(TIES - fits(digits(figure)));
            for (named, words) in weighed {
                let digits = if same_digits(figure, named, context) { SAME_DIGITS } else { 0.0 };
                if words + digits < least {
                    continue;
                }
                let judged = judged(self.passage.text, group, named, context);
                if let Some(judgement) = judged.filter(|judgement| judgement.likely.is_some()) {
                    return Meant::Nearly(named, judgement, SLIP <= words);
                }
            }
        }
        Meant::Nothing(doubt, Vec::new())
    }

    /// Numbers without a unit that are figures of the page, in places of the passage.
    fn bare(&self, taken: &[Span]) -> Vec<Bare> {
        if !self.is_own {
            return Vec::new();
        }
        let shift = self.line.shift;
        let taken: Vec<Span> = taken.iter().map(|span| span.shifted(shift)).collect();
        let sentence: Vec<TextWord> =
            self.line.words.iter().filter(|word| shift <= word.span.start).cloned().collect();
        let around = |span: Span| {
            Around::look(self.line.text, &self.line.words, span, &self.figures, self.before)
        };
        let mut found = bare::find(self.line.text, &sentence, &taken, around, self.context);
        for bare in &mut found {
            let span = bare.figure.span;
            bare.figure.span = Span::new(span.start - shift, span.end - shift);
        }
        // What the page prints states nothing.
        found.retain(|bare| self.passage.printed_by(bare.figure.span).is_none());
        found
    }

    fn around(&self, row: usize) -> Around {
        let line = self.line;
        Around::look(line.text, &line.words, self.spans[row], &self.figures, self.before)
    }

    /// What was weighed for a figure, a line each.
    fn why(&self, row: usize) -> Vec<String> {
        let (group, context, text) = (&self.groups[row], self.context, self.passage.text);
        let value = |named: NamedWords| match judged(text, group, named, context) {
            Some(judgement) if judgement.verdict <= Verdict::Lenient => "the value fits".to_owned(),
            Some(Judgement { likely: Some(slip), .. }) => format!("one slip away: {slip}"),
            Some(_) => "the value does not fit".to_owned(),
            None => "it has no value".to_owned(),
        };
        let mut lines = Vec::new();
        for (column, cue) in self.cues.iter().enumerate().take(MOST) {
            let Some(apart) = self.cost(row, column) else { continue };
            let named = (cue.sheet, cue.entry);
            let name = name_in_formulas(context, named);
            let written = &self.line.text[cue.span.start..cue.span.end];
            let words = NAMED - PER_WORD * apart;
            lines.push(format!("{name}: named by “{written}”, {words:.1}; {}", value(named)));
        }
        if self.is_own {
            let weighed = context.lexicon().weigh(&group.members[0], &self.around(row));
            for (named, words) in weighed.into_iter().filter(|(_, words)| 0.0 < *words).take(SHOWN)
            {
                let name = name_in_formulas(context, named);
                lines.push(format!("{name}: words around say {words:.1}; {}", value(named)));
            }
        }
        if let Some(how) = supposed(text, group.span) {
            let how = match how {
                Supposed::Condition => "it is what is supposed",
                Supposed::Consequence => "it is what would follow",
            };
            lines.push(how.to_owned());
        }
        lines
    }

    /// The entries that a figure equals, as proposals.
    fn equal(&self, fitting: &[(NamedWords, f64)], digits: u32) -> Vec<Proposal> {
        let is_certain = fitting.len() == 1 && 2 <= digits;
        let first = fitting.iter().take(PROPOSED);
        first.map(|(named, _)| self.proposal(*named, is_certain)).collect()
    }

    fn proposal(&self, named: NamedWords, is_certain: bool) -> Proposal {
        Proposal { formula: name_in_formulas(self.context, named), is_certain }
    }

    /// Why a figure is tied to none of the names of its sentence.
    fn doubt(&self, row: usize) -> Doubt {
        if is_difference(self.line.text, self.spans[row]) {
            return Doubt::Difference;
        }
        let bare = self.cues.iter().find(|cue| is_bare(cue, self.context));
        bare.map_or(Doubt::Nameless, |cue| Doubt::Bare((cue.sheet, cue.entry)))
    }
}

/// Significant digits of a figure; a bound fits half of everything, whatever its digits.
fn digits(figure: &Figure) -> u32 {
    let (Amount::Point(number) | Amount::Range(number, _)) = &figure.amount;
    if figure.bound.is_some() { 0 } else { number.significant }
}

/// Whether a figure has the digits of an entry, in another order or with the point elsewhere.
fn same_digits(figure: &Figure, (sheet, entry): NamedWords, context: &PageContext<'_>) -> bool {
    let Some(value) = context.folio.ledger.nominal(sheet, entry) else { return false };
    let (Amount::Point(number) | Amount::Range(number, _)) = &figure.amount;
    let places = usize::try_from(number.significant.clamp(1, 9)).unwrap_or(9) - 1;
    let digits = |value: f64| -> Vec<u8> {
        let written = format!("{:.places$e}", value.abs());
        let mantissa = written.split('e').next().unwrap_or_default();
        let mut digits: Vec<u8> = mantissa.bytes().filter(u8::is_ascii_digit).collect();
        digits.sort_unstable();
        digits.retain(|digit| *digit != b'0');
        digits
    };
    let own = digits(crate::quantity::exact::to_f64(&number.value()));
    let theirs = figure.unit.from_si(&value.quantity.si).to_f64();
    1 < own.len() && own == digits(theirs)
}

/// Tells of every figure of a sentence, in order.
fn tell(
    passage: &Passage<'_>,
    groups: Vec<Group>,
    meant: Vec<(Meant, Vec<String>)>,
    context: &PageContext<'_>,
    proof: &mut PassageProof,
) {
    for ((row, group), (meant, why)) in groups.into_iter().enumerate().zip(meant) {
        let mut slips: Vec<Slip> = Vec::new();
        let found = match meant {
            Meant::Entry(tied, swapped, proposals) => {
                let found = tie::judge(passage, group, tied, context, &mut slips);
                // Two figures in each other's place are one slip, told at the first.
                if swapped.is_some_and(|other| other < row) {
                    slips.clear();
                }
                Some(JudgedFigure { proposals, ..found })
            }
            Meant::Nearly(named, judgement, stops) => {
                tie::nearly(passage, group, named, &judgement, stops, context, &mut slips)
            }
            Meant::Valueless(named) => tie::valueless(passage, group, named, context, &mut slips),
            Meant::Supposed if group.members[0].kind == Kind::Count => None,
            Meant::Supposed => {
                let figure = by_itself(group, Status::Supposition);
                slips.extend(figure.slips.iter().cloned());
                Some(figure)
            }
            Meant::Nothing(doubt, proposals) => {
                tie::untied(passage, group, doubt, proposals, context, &mut slips)
            }
        };
        proof.take(found.map(|found| JudgedFigure { why, ..found }), slips);
    }
}

/// Whether the words name a reading of a bare number, which may have lost its unit.
fn is_bare(cue: &Cue, context: &PageContext<'_>) -> bool {
    let entry = &context.folio.ledger.sheets[cue.sheet].entries[cue.entry];
    let stated = entry.reading().and_then(|reading| reading.statements.first());
    let figure = stated.and_then(|stated| stated.figures.first());
    figure.is_some_and(|figure| figure.unit.code == "1" && figure.noun.is_none())
}

/// The figure that stands in the place of this one, while this one stands in its place.
fn swapped_with(
    row: usize,
    chosen: &[Option<usize>],
    agree: &impl Fn(usize, usize) -> bool,
) -> Option<usize> {
    let own = chosen[row]?;
    (0..chosen.len()).find(|other| {
        let crossed = |theirs: usize| agree(row, theirs) && agree(*other, own);
        let wrong = |theirs: usize| !agree(row, own) && !agree(*other, theirs);
        *other != row && chosen[*other].is_some_and(|theirs| crossed(theirs) && wrong(theirs))
    })
}

fn same_dimension(group: &Group, cue: &Cue, context: &PageContext<'_>) -> bool {
    let value = context.folio.ledger.nominal(cue.sheet, cue.entry);
    let figure = &group.members[0];
    value.is_some_and(|value| {
        let plain = value.quantity.dimension == crate::quantity::Dimension::NONE;
        value.quantity.dimension == figure.unit.dimension
            && (!plain || (figure.kind == Kind::Count) == (value.quantity.kind == Kind::Count))
    })
}

/// The judgement behind a verdict on a group. Nobody asks why a figure agrees, and most do.
fn in_words(
    verdict: Verdict,
    text: &str,
    group: &Group,
    named: NamedWords,
    context: &PageContext<'_>,
) -> Option<Judgement> {
    match verdict {
        Verdict::Agree => Some(Judgement::agreed()),
        _ => judged(text, group, named, context),
    }
}

/// The judgement on a group against an entry: that of its worst member.
fn judged(
    text: &str,
    group: &Group,
    named: NamedWords,
    context: &PageContext<'_>,
) -> Option<Judgement> {
    let ledger = &context.folio.ledger;
    let judgements = held(group)
        .iter()
        .map(|figure| judge_entry(text, figure, ledger, named, context.conventions));
    judgements.collect::<Option<Vec<Judgement>>>()?.into_iter().reduce(worse)
}

/// The verdict on a group against the entry that a cue names: that of its worst member.
fn group_verdict(group: &Group, entry: NamedWords, context: &PageContext<'_>) -> Option<Verdict> {
    let ledger = &context.folio.ledger;
    let verdicts =
        held(group).iter().map(|figure| verdict_on(figure, ledger, entry, context.conventions));
    verdicts.collect::<Option<Vec<Verdict>>>()?.into_iter().max()
}

/// The members of a group that are held against a reading: conversions are judged against the
/// first member, so the others count only where a conversion itself failed.
fn held(group: &Group) -> &[Figure] {
    if group.is_torn() { &group.members } else { &group.members[..1] }
}
