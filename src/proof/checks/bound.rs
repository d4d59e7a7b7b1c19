//! BoundText text: `[8.8 bar](by:operating_pressure)`, asides, suppositions, changes, denials.

use crate::body::blocks::{Binding, BoundText};
use crate::formula;
use crate::proof::figure::{JudgedFigure, Status};
use crate::proof::passage::Passage;
use crate::proof::prose::{Group, PageContext, made};
use crate::proof::reference_value::{Worth, judge_entry, of_formula, verdict_on};
use crate::proof::tying::counted_from;
use crate::quantity::judge::against;
use crate::quantity::reader::{ReadOptions, read_whole};
use crate::quantity::{Computed, Conventions, Dimension, Figure, Judgement, Kind, Verdict, units};
use crate::sheet::declare::formula_slip;
use crate::sheet::{Entry, Ledger};
use crate::slip::Slip;
use crate::text::{Span, Spot};

/// What a bound text is held against.
enum Against {
    Entry(usize, usize),
    Value(Box<Computed>),
}

impl Against {
    /// Sheet and entry, where it is a named figure.
    fn named(&self) -> Option<(usize, usize)> {
        match self {
            Against::Entry(sheet, entry) => Some((*sheet, *entry)),
            Against::Value(_) => None,
        }
    }
}

/// Judges one bound piece.
pub(in crate::proof) fn judge(
    passage: &Passage<'_>,
    bound: &BoundText,
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Option<JudgedFigure> {
    let figures = read_bound(passage, bound, context);
    let group = |figures: Vec<Figure>| Group::new(bound.text, figures);
    match &bound.binding {
        Binding::By(text) => by(passage, bound, text, figures, context, slips),
        Binding::Not(text) => denied(passage, bound, text, figures, context, slips),
        Binding::Aside(reason) => {
            if reason.is_empty() {
                slips.push(without_reason(passage, bound));
            }
            noted(figures.unwrap_or_default(), group, Status::Aside, reason)
        }
        Binding::Suppose(reason) => {
            noted(figures.unwrap_or_default(), group, Status::Supposition, reason)
        }
        Binding::Change(reason) => {
            noted(figures.unwrap_or_default(), group, Status::Change, reason)
        }
        // Its figures are judged as in prose; the sentence in `claim.rs`.
        Binding::Claim(_) => None,
    }
}

fn noted(
    figures: Vec<Figure>,
    group: impl Fn(Vec<Figure>) -> Group,
    status: Status,
    reason: &str,
) -> Option<JudgedFigure> {
    // An aside may bind words without a figure; there is nothing to count then.
    (!figures.is_empty()).then(|| {
        let figure = made(group(figures), status, None);
        JudgedFigure { reason: reason.to_owned(), ..figure }
    })
}

fn read_bound(
    passage: &Passage<'_>,
    bound: &BoundText,
    context: &PageContext<'_>,
) -> Result<Vec<Figure>, crate::quantity::reader::WholeFault> {
    let options = ReadOptions {
        decimal_comma: context.conventions.decimal_comma,
        spoken: context.spoken,
        mil: context.conventions.mil,
        ..ReadOptions::default()
    };
    let text = &passage.text[bound.text.start..bound.text.end];
    let mut figures =
        read_whole(text, &options).or_else(|fault| apart(text, &options).ok_or(fault))?;
    for figure in &mut figures {
        figure.span = figure.span.shifted(bound.text.start);
        figure.noun = figure.noun.map(|noun| noun.shifted(bound.text.start));
    }
    Ok(figures)
}

/// `128 bar (8.83 bar)`: two figures that are no pair, since one has the wrong unit. Each is then
/// judged by itself, so that the wrong one is told.
fn apart(text: &str, options: &ReadOptions) -> Option<Vec<Figure>> {
    let (one, other) = text.strip_suffix(')')?.rsplit_once(" (")?;
    let read = |part: &str| <[Figure; 1]>::try_from(read_whole(part, options).ok()?).ok();
    let ([first], [second]) = (read(one)?, read(other)?);
    let ahead = one.len() + " (".len();
    Some(vec![first, Figure { span: second.span.shifted(ahead), ..second }])
}

fn without_reason(passage: &Passage<'_>, bound: &BoundText) -> Slip {
    let spot = passage.link_spot(bound);
    Slip::stop("binding-unreadable", spot, "this aside does not say why")
        .help("write the reason in quotes: [300 bar](aside: \"bottle rating\")")
}

/// Place of a formula inside its link; the whole link where Markdown changed its letters.
pub(super) fn formula_spot(
    passage: &Passage<'_>,
    bound: &BoundText,
    formula: &str,
    span: Span,
) -> Spot {
    let link = passage.link_spot(bound);
    match link.text().rfind(formula) {
        Some(at) if !formula.is_empty() => {
            Spot::new(&link.source, span.shifted(link.span.start + at))
        }
        _ => link,
    }
}

/// Works out what a binding names, and complains where it cannot.
fn worth(
    passage: &Passage<'_>,
    bound: &BoundText,
    text: &str,
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Option<Against> {
    let place = |span: Span| formula_spot(passage, bound, text, span);
    let formula = match formula::parse(text) {
        Ok(formula) => formula,
        Err(faults) => {
            slips.extend(faults.iter().map(|fault| formula_slip(place(fault.span), fault)));
            return None;
        }
    };
    let sheet = context.sheet.unwrap_or(usize::MAX);
    match of_formula(&formula, &context.folio.ledger, sheet, context.conventions) {
        Ok(Worth::Entry(sheet, entry)) => Some(Against::Entry(sheet, entry)),
        Ok(Worth::Value(computed)) => Some(Against::Value(computed)),
        Ok(Worth::Silent) => None,
        Ok(Worth::Undecided(needs)) => {
            let spot = place(Span::new(0, text.len()));
            let message = format!("this cannot be worked out yet: {needs}");
            slips.push(Slip::mark("claim-undecided", spot, message));
            None
        }
        Err(fault) => {
            slips.push(formula_slip(place(fault.span), &fault));
            None
        }
    }
}

fn judge_against(
    passage: &Passage<'_>,
    figure: &Figure,
    what: &Against,
    context: &PageContext<'_>,
) -> Option<Judgement> {
    match what {
        Against::Entry(sheet, entry) => {
            let ledger = &context.folio.ledger;
            judge_entry(passage.text, figure, ledger, (*sheet, *entry), context.conventions)
        }
        Against::Value(computed) => {
            Some(against(passage.text, figure, computed, context.conventions))
        }
    }
}

fn by(
    passage: &Passage<'_>,
    bound: &BoundText,
    text: &str,
    figures: Result<Vec<Figure>, crate::quantity::reader::WholeFault>,
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Option<JudgedFigure> {
    let figures = match figures {
        Ok(figures) => figures,
        Err(fault) => {
            let spot = passage.spot(fault.span.shifted(bound.text.start));
            let message = format!("the bound text is no figure: {}", fault.message);
            let slip = Slip::stop("binding-unreadable", spot, message);
            slips.push(match fault.help {
                Some(help) => slip.help(help),
                None => slip.help("bind the figure alone: [8.8 bar](by:operating_pressure)"),
            });
            return None;
        }
    };
    let what = worth(passage, bound, text, context, slips);
    let group = counted_from(passage.text, Group::new(bound.text, figures));
    let mut group = super::pair::judge(passage, group, context);
    if let Some(Against::Entry(sheet, entry)) = what {
        for member in &mut group.members {
            in_unit_of(member, &context.folio.ledger, (sheet, entry), context.conventions);
        }
    }
    let Some(what) = what else {
        slips.append(&mut group.complaints);
        return Some(made(group, Status::Untied, None));
    };
    let culprits =
        super::pair::culprits(&group, |figure| judge_against(passage, figure, &what, context));
    let wrong = culprits.into_iter().next();
    if wrong.is_none() {
        slips.append(&mut group.complaints);
    }
    let (member, judgement) = match wrong {
        Some(wrong) => wrong,
        None => (0, judge_against(passage, &group.members[0], &what, context)?),
    };
    let stated = if 1 < group.members.len() { group.members[member].span } else { bound.text };
    let tied = what.named();
    let status = match judgement.verdict {
        Verdict::Agree if group.is_torn() => Status::Disagrees,
        Verdict::Agree => match tied {
            Some(named) => super::tie::standing(&group, &context.folio.ledger, named),
            None => Status::Computed,
        },
        Verdict::Lenient => Status::Lenient,
        _ => Status::Disagrees,
    };
    slips.extend(slip(passage, stated, text, &judgement).map(|slip| match tied {
        Some(named) if status == Status::Disagrees => {
            super::tie::with_declaration(slip, &context.folio.ledger, named)
        }
        _ => slip,
    }));
    let mut figure = made(group, status, tied);
    figure.formula = Some(text.to_owned());
    Some(figure)
}

/// A number alone that is bound to a reading is in the reading's unit: `[2.6](by:relief)`; one that
/// is bound to a result is in a unit of the page's readings that measure the same.
pub(in crate::proof) fn in_unit_of(
    figure: &mut Figure,
    ledger: &Ledger,
    named: (usize, usize),
    conventions: &Conventions,
) {
    let measures = ledger.nominal(named.0, named.1).map(|value| value.quantity.dimension);
    if measures == Some(Dimension::FORCE)
        && let Some(force) = as_force(figure)
    {
        *figure = force;
    }
    if figure.unit.code != "1" || figure.noun.is_some() {
        return;
    }
    let sheet = &ledger.sheets[named.0];
    let first = |entry: &Entry| -> Option<Figure> {
        entry.reading()?.statements.first()?.figures.first().cloned()
    };
    let entry = &sheet.entries[named.1];
    let like: Vec<Figure> = match (entry.reading(), measures) {
        (Some(_), _) => first(entry).into_iter().collect(),
        (None, Some(dimension)) => {
            let all = sheet.entries.iter().filter_map(first);
            all.filter(|own| own.unit.dimension == dimension).collect()
        }
        (None, None) => Vec::new(),
    };
    let mut like: Vec<Figure> = like
        .into_iter()
        .filter(|own| own.unit.dimension != Dimension::NONE)
        .map(|own| Figure {
            unit: own.unit,
            kind: own.kind,
            kind_yields: own.kind_yields,
            reference: own.reference,
            ..figure.clone()
        })
        .collect();
    let agrees =
        |figure: &Figure| verdict_on(figure, ledger, named, conventions) == Some(Verdict::Agree);
    let best = like.iter().position(agrees).unwrap_or(0);
    if best < like.len() {
        *figure = like.swap_remove(best);
    }
}

/// A mass as the force that it weighs with: people pull with four pounds.
pub(in crate::proof) fn as_force(figure: &Figure) -> Option<Figure> {
    let code = match figure.unit.code.as_ref() {
        "[lb_av]" => "[lbf_av]",
        "[oz_av]" => "[ozf_av]",
        "kg" => "kgf",
        "g" => "gf",
        _ => return None,
    };
    let unit = units::table().by_code(code)?;
    Some(Figure { unit, kind: Kind::Plain, kind_yields: false, ..figure.clone() })
}

fn slip(passage: &Passage<'_>, span: Span, formula: &str, judgement: &Judgement) -> Option<Slip> {
    let stated = &passage.text[span.start..span.end];
    let spot = passage.spot(span);
    let value = judgement.works_out.as_deref().unwrap_or("something else");
    let slip = match judgement.verdict {
        Verdict::Agree => return None,
        Verdict::Lenient => {
            let message = format!("{stated} agrees with `{formula}` only loosely");
            Slip::mark("figure-lenient", spot, message)
        }
        Verdict::Disagree => {
            let message = format!("`{formula}` works out as {value}; this says {stated}");
            Slip::stop("binding-disagrees", spot, message)
        }
        Verdict::Incomparable => {
            let message = format!("{stated} cannot be `{formula}`");
            Slip::stop("binding-disagrees", spot, message)
        }
    };
    Some(super::explained(slip, judgement))
}

fn denied(
    passage: &Passage<'_>,
    bound: &BoundText,
    text: &str,
    figures: Result<Vec<Figure>, crate::quantity::reader::WholeFault>,
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Option<JudgedFigure> {
    let figures = figures.ok()?;
    let what = worth(passage, bound, text, context, slips)?;
    let group = Group::new(bound.text, figures);
    let judgement = judge_against(passage, group.members.first()?, &what, context)?;
    let tied = what.named();
    if judgement.verdict == Verdict::Disagree {
        return Some(made(group, Status::Denied, tied));
    }
    let stated = &passage.text[bound.text.start..bound.text.end];
    let slip = if judgement.verdict == Verdict::Incomparable {
        let message = format!("{stated} could never be `{text}`, so denying it says nothing");
        Slip::stop("figure-incomparable", passage.spot(bound.text), message)
    } else {
        let message = format!("this denies {stated}, but `{text}` is just that");
        Slip::stop("denied-but-true", passage.spot(bound.text), message)
    };
    slips.push(slip.noting(judgement.reason));
    Some(made(group, Status::Disagrees, tied))
}
