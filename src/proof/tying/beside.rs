//! Figures of one engine beside the same of another: "340 ml in the Yew, 210 in the Spruce", "61 cm
//! against 48", "The Larch runs at 6.4 bar. The Alder is content with 4.8 bar".

use super::background::StatedFigure;
use super::bare::{Bare, NumberFit, Numeral, in_unit_of};
use super::mentions::Owner;
use super::namesake;
use super::near_result::NearTo;
use super::of_group::{group_verdict, judged, slip_of};
use super::sentence::{Meant, NamedWords, Weighing};
use crate::folio::words::TextWord;
use crate::proof::checks::tie::{Doubt, Tied};
use crate::proof::figure::Proposal;
use crate::proof::prose::PageContext;
use crate::proof::reference_value::verdict_on;
use crate::quantity::{Figure, Judgement, Verdict};
use crate::text::Span;

/// A figure beside which a number may stand for the same of another engine.
#[derive(Debug)]
pub(super) struct NamedFigureBeside<'m> {
    pub(super) span: Span,
    pub(super) named: (usize, usize),
    pub(super) figure: &'m Figure,
}

/// "340 ml in the Yew, 210 in the Spruce", "61 cm against 48": the figure of another engine beside
/// which the number stands, with its unit.
pub(super) fn beside(
    numeral: &Numeral,
    owner: Owner,
    models: &[NamedFigureBeside<'_>],
    context: &PageContext<'_>,
) -> Option<Bare> {
    if numeral.noun.is_some() || context.compared().len() < 2 {
        return None;
    }
    let before = models.iter().rev().find(|model| model.span.end <= numeral.span.start);
    let model =
        before.or_else(|| models.iter().find(|model| numeral.span.end <= model.span.start))?;
    let figure = in_unit_of(numeral, model.figure)?;
    let ledger = &context.folio.ledger;
    let others = namesakes_of(model.named, owner, context);
    let agrees = |entry: &&(usize, usize)| {
        verdict_on(&figure, ledger, **entry, context.conventions) == Some(Verdict::Agree)
    };
    let entry = match (others.iter().find(agrees), others.as_slice()) {
        (Some(entry), _) => return Some(Bare { entry: *entry, figure, fits: NumberFit::Words }),
        (None, [entry]) if owner != Owner::Untold => *entry,
        _ => return None,
    };
    Some(Bare { entry, figure, fits: NumberFit::Not })
}

/// What a figure may state of another engine beside one that states `model`.
fn namesakes_of(
    model: (usize, usize),
    owner: Owner,
    context: &PageContext<'_>,
) -> Vec<(usize, usize)> {
    let others = context.compared().iter().copied().filter(|sheet| match owner {
        Owner::Engine(engine) => *sheet == engine && engine != model.0,
        Owner::Unsaid | Owner::Untold => *sheet != model.0,
    });
    others.filter_map(|sheet| namesake(&context.folio.ledger, model, sheet)).collect()
}

/// Words between two figures of one quantity: "of room air and the Larch".
const BETWEEN: usize = 5;

impl Weighing<'_> {
    /// The figures of the sentence that state an entry, bound or not, in order.
    pub(super) fn models(&self, meant: &[Meant]) -> Vec<NamedFigureBeside<'_>> {
        let rows = meant.iter().enumerate();
        let models = rows.filter_map(|(row, meant)| {
            let (named, figure) = (self.states_in_the_end(meant)?, &self.groups[row].members[0]);
            Some(NamedFigureBeside { span: self.spans[row], named, figure })
        });
        let by_hand = self.bound.iter().map(|(figure, named)| NamedFigureBeside {
            span: figure.span,
            named: *named,
            figure,
        });
        let mut models: Vec<NamedFigureBeside<'_>> = models.chain(by_hand).collect();
        models.sort_by_key(|model| model.span);
        models
    }

    /// "The Larch runs at 6.4 bar. The Alder is content with 4.8 bar": figures of one engine that
    /// no words name, beside the same of another.
    pub(super) fn beside_namesakes(&self, meant: &mut [Meant]) {
        let context = self.context;
        if !self.is_own || context.compared().is_empty() {
            return;
        }
        let before = self.background.figures().take_while(|(ago, _)| *ago < 2);
        let before: Vec<NamedWords> = before
            .filter_map(|(_, figure)| match figure {
                StatedFigure::Entry(named) => Some(*named),
                StatedFigure::Formula(_) => None,
            })
            .collect();
        for row in 0..meant.len() {
            let is_open = match &meant[row] {
                Meant::Open(doubt) | Meant::Nothing(doubt, _) => {
                    !matches!(doubt, Doubt::Difference)
                }
                _ => false,
            };
            if !is_open {
                continue;
            }
            let models = self.models(meant);
            let near = models.iter().rev().filter(|model| model.span.end <= self.spans[row].start);
            let paired = near
                .clone()
                .next()
                .or(models.iter().find(|model| self.spans[row].end <= model.span.start));
            let is_open = matches!(&meant[row], Meant::Open(_));
            let paired = paired.filter(|model| is_open && self.is_paired(row, model.span));
            let paired = paired.map(|model| model.named);
            let behind = models.iter().filter(|model| self.spans[row].end <= model.span.start);
            let models: Vec<NamedWords> = near
                .map(|model| model.named)
                .chain(before.iter().copied())
                .chain(behind.map(|model| model.named))
                .collect();
            if let Some(found) = self.beside_namesake(row, &models, paired) {
                meant[row] = found;
            }
        }
    }

    /// "47 cm³ of air and the Larch 66 cm³": whether two figures stand so that both are of one
    /// quantity.
    fn is_paired(&self, row: usize, model: Span) -> bool {
        let (first, last) = match model.start < self.spans[row].start {
            true => (model, self.spans[row]),
            false => (self.spans[row], model),
        };
        let gap = Span::new(first.end, last.start);
        let between = self.line.words.iter().filter(|word| gap.contains(word.span));
        let joins = |word: &TextWord| matches!(word.stem.as_str(), "and" | "against" | "but");
        let is_whole = !self.figures.iter().any(|figure| gap.contains(*figure));
        is_whole && between.clone().count() <= BETWEEN && between.clone().any(joins)
    }

    /// A figure beside figures that state `models`, the nearest first.
    /// `paired` is one from which hardly more than an engine's name parts it.
    fn beside_namesake(
        &self,
        row: usize,
        models: &[NamedWords],
        paired: Option<NamedWords>,
    ) -> Option<Meant> {
        let (group, context) = (&self.groups[row], self.context);
        let owner = self.line.owner_of(self.spans[row], context);
        let measures = |named: &&NamedWords| {
            let value = context.folio.ledger.nominal(named.0, named.1);
            value.is_some_and(|value| value.quantity.dimension == group.members[0].unit.dimension)
        };
        let model = models.iter().find(measures)?;
        let others = namesakes_of(*model, owner, context);
        let agrees =
            |named: &&NamedWords| group_verdict(group, **named, context) == Some(Verdict::Agree);
        if let Some(named) = others.iter().find(agrees) {
            let judgement = Judgement::agreed();
            let tied = Tied { named: *named, judgement, crossed: None, is_swapped: false };
            return Some(Meant::Entry(tied, None, vec![self.proposal(*named, true)]));
        }
        let ([named], Owner::Engine(_)) = (others.as_slice(), owner) else { return None };
        let judgement = slip_of(self.passage.text, group, *named, context).or_else(|| {
            let is_paired = paired == Some(*model);
            is_paired.then(|| judged(self.passage.text, group, *named, context)).flatten()
        })?;
        Some(Meant::Nearly(NearTo::Entry(*named), judgement, false))
    }

    /// The entry that a figure states, or will once its proposal is accepted.
    pub(super) fn states_in_the_end(&self, meant: &Meant) -> Option<NamedWords> {
        let proposed = |proposals: &[Proposal]| {
            let first = proposals.first().filter(|first| first.is_certain)?;
            let path: Vec<&str> = first.formula.split('.').collect();
            let sheet = self.context.sheet.unwrap_or(usize::MAX);
            let (sheet, entry, _) = self.context.folio.ledger.resolve(sheet, &path)?;
            Some((sheet, entry))
        };
        match meant {
            Meant::Entry(tied, ..) => Some(tied.named),
            Meant::Nothing(_, proposals) => proposed(proposals),
            _ => None,
        }
    }
}
