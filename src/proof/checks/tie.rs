//! Figures in running text, tied to readings by the words of their sentence.

use crate::proof::figure::{JudgedFigure, Proposal, Status, support};
use crate::proof::passage::Passage;
use crate::proof::prose::{Group, PageContext, made};
use crate::proof::reference_value::judge_entry;
use crate::proof::tying::NearTo;
use crate::quantity::judge::against;
use crate::quantity::reader::{ReadOptions, read_whole};
use crate::quantity::{Figure, Judgement, Kind, Verdict};
use crate::sheet::{Entry, Ledger};
use crate::slip::Slip;
use crate::text::proper_name;

/// A figure's tie to the entry that its words name.
pub(in crate::proof) struct Tied {
    /// Sheet and entry.
    pub(in crate::proof) named: (usize, usize),
    /// The figure against the entry.
    pub(in crate::proof) judgement: Judgement,
    /// Other words of the sentence, with whose entry the figure agrees.
    pub(in crate::proof) crossed: Option<(usize, usize)>,
    /// Whether the figure of those words agrees with this entry in turn.
    pub(in crate::proof) is_swapped: bool,
}

/// Judges a figure whose words name an entry.
pub(in crate::proof) fn judge(
    passage: &Passage<'_>,
    mut group: Group,
    tied: Tied,
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> JudgedFigure {
    let named = tied.named;
    let ledger = &context.folio.ledger;
    let culprits = super::pair::culprits(&group, |figure| {
        judge_entry(passage.text, figure, ledger, named, context.conventions)
    });
    if !culprits.is_empty() {
        for (member, judgement) in culprits {
            let figure = &group.members[member];
            slips.push(disagrees(passage, figure, &Tied { judgement, ..tied }, context));
        }
        return made(group, Status::Disagrees, Some(named));
    }
    slips.append(&mut group.complaints);
    let status = match tied.judgement.verdict {
        Verdict::Agree if group.is_torn() => Status::Disagrees,
        Verdict::Agree => standing(&group, &context.folio.ledger, named),
        Verdict::Lenient => {
            slips.push(lenient(passage, &group, named, &tied.judgement, context));
            if group.is_torn() { Status::Disagrees } else { Status::Lenient }
        }
        Verdict::Disagree | Verdict::Incomparable => {
            slips.push(disagrees(passage, &group.members[0], &tied, context));
            Status::Disagrees
        }
    };
    made(group, status, Some(named))
}

/// How far a figure that agrees was checked.
pub(in crate::proof) fn standing(
    group: &Group,
    ledger: &Ledger,
    (sheet, entry): (usize, usize),
) -> Status {
    let sheet = &ledger.sheets[sheet];
    match support(sheet, &sheet.entries[entry]) {
        Status::OwnReading if 1 < group.members.len() => Status::ConversionAgrees,
        support => support,
    }
}

/// What an entry is called in messages, with its engine where that is another one.
pub(in crate::proof) fn named_entry(
    context: &PageContext<'_>,
    (sheet, entry): (usize, usize),
) -> String {
    let item: &Entry = &context.folio.ledger.sheets[sheet].entries[entry];
    let engine = context.folio.ledger.sheets[sheet].engine.as_deref();
    match engine {
        Some(engine) if context.own != Some(sheet) => {
            format!("{}'s {}", proper_name(engine), item.words())
        }
        _ => format!("the {}", item.words()),
    }
}

fn text_of<'t>(passage: &Passage<'t>, group: &Group) -> &'t str {
    &passage.text[group.members[0].span.start..group.members[0].span.end]
}

fn lenient(
    passage: &Passage<'_>,
    group: &Group,
    named: (usize, usize),
    judgement: &Judgement,
    context: &PageContext<'_>,
) -> Slip {
    let name = named_entry(context, named);
    let message = format!("{} agrees with {name} only loosely", text_of(passage, group));
    let spot = passage.spot(group.members[0].span);
    super::explained(Slip::mark("figure-lenient", spot, message), judgement)
}

fn disagrees(
    passage: &Passage<'_>,
    figure: &Figure,
    tied: &Tied,
    context: &PageContext<'_>,
) -> Slip {
    let named = tied.named;
    let judgement = &tied.judgement;
    let name = named_entry(context, named);
    let stated = &passage.text[figure.span.start..figure.span.end];
    let spot = passage.spot(figure.span);
    let ledger = &context.folio.ledger;
    let slip = if let Some(on) = corrected(passage, figure, named, context) {
        let message =
            format!("{stated} is what {name} was said to be before the correction of {on}");
        Slip::stop("corrected-figure", spot, message)
    } else if let Some(other) = tied.crossed {
        let other = named_entry(context, other);
        let message = format!("the words name {name}, but {stated} is {other}");
        let slip = Slip::stop("crossed-figures", spot, message);
        match tied.is_swapped {
            true => slip.likely("two figures in each other's place"),
            false => slip,
        }
    } else if judgement.verdict == Verdict::Incomparable {
        let message = format!("{stated} cannot be {name}");
        Slip::stop("figure-incomparable", spot, message)
    } else {
        let message = match &judgement.works_out {
            Some(value) => format!("{name} is {value}; this says {stated}"),
            None => format!("{stated} does not agree with {name}"),
        };
        Slip::stop("figure-disagrees", spot, message)
    };
    super::explained(with_declaration(slip, ledger, named), judgement)
}

/// The slip with the place where the figure that it speaks of is declared: that may be the wrong
/// one.
pub(super) fn with_declaration(slip: Slip, ledger: &Ledger, named: (usize, usize)) -> Slip {
    let declared = &ledger.sheets[named.0].entries[named.1];
    let source = &ledger.sheets[named.0].source;
    let label = crate::text::Spot::new(source, declared.name.span);
    slip.label(label, format!("{} is declared here", declared.words()))
}

/// Date of the correction that a figure has missed.
fn corrected(
    passage: &Passage<'_>,
    figure: &Figure,
    named: (usize, usize),
    context: &PageContext<'_>,
) -> Option<String> {
    let corrections = context.folio.corrections.iter().filter(|known| known.figure == named);
    for known in corrections {
        let was = read_whole(&known.was, &ReadOptions::default()).ok()?.into_iter().next()?;
        let computed = super::correction::as_computed(&was, context.conventions);
        let judgement = against(passage.text, figure, &computed, context.conventions);
        if judgement.verdict == Verdict::Agree {
            return Some(if known.on.is_empty() {
                "an earlier day".to_owned()
            } else {
                known.on.clone()
            });
        }
    }
    None
}

/// Why a figure is tied to nothing.
#[derive(Debug, Clone, Copy)]
pub(in crate::proof) enum Doubt {
    /// No words name it.
    Nameless,
    /// The words name a reading that has no unit.
    Bare((usize, usize)),
    /// It says by how much two values differ.
    Difference,
}

/// A figure that no words name. Counts of things are told apart only where a reading counts them.
pub(in crate::proof) fn untied(
    passage: &Passage<'_>,
    group: Group,
    doubt: Doubt,
    proposals: Vec<Proposal>,
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Option<JudgedFigure> {
    stating_nothing(group, proposals, slips, |group, proposals| {
        let span = group.span;
        let whole = &passage.text[span.start..span.end];
        if let Doubt::Difference = doubt {
            let message = format!("{whole} is a difference, which no reading states");
            let mut slip = Slip::mark("untied-figure", passage.spot(span), message);
            slip = proposed(slip, whole, proposals);
            if proposals.is_empty() {
                slip = slip.help(format!(
                    "say what it is the difference of: [{whole}](<by: one - other>)"
                ));
            }
            return slip.help(format!("or that it is a change: [{whole}](change:)"));
        }
        let message = format!("nothing in this sentence says which figure {whole} is");
        let mut slip = Slip::mark("untied-figure", passage.spot(span), message);
        if let Doubt::Bare(bare) = doubt {
            let named = named_entry(context, bare);
            slip =
                slip.noting(format!("{named} is declared as a bare number: has it lost its unit?"));
        }
        slip = proposed(slip, whole, proposals);
        match proposals.is_empty() {
            false => slip,
            true => slip
                .help("name the reading in this sentence, or add its words to `called:`")
                .help(not_ours(whole)),
        }
    })
}

/// A figure that is none of those that are known and no slip of one: the writer's word is all that
/// it rests on.
pub(in crate::proof) fn new(
    passage: &Passage<'_>,
    group: Group,
    is_near: bool,
    slips: &mut Vec<Slip>,
) -> Option<JudgedFigure> {
    stating_nothing(group, Vec::new(), slips, |group, _| {
        let whole = &passage.text[group.span.start..group.span.end];
        let what = match is_near {
            true => "is no figure that the words around it name",
            false => "is near nothing that is known",
        };
        let message = format!("{whole} {what}, and rests on your word");
        Slip::note("new-figure", passage.spot(group.span), message)
            .help("enter it as a reading if it is one")
            .help(not_ours(whole))
    })
}

fn not_ours(whole: &str) -> String {
    format!("or say why it is not yours to check: [{whole}](aside: \"why\")")
}

/// A figure that states no entry, with what is to be told of it. Counts are left alone, and of one
/// whose own members disagree that is told already.
fn stating_nothing(
    mut group: Group,
    proposals: Vec<Proposal>,
    slips: &mut Vec<Slip>,
    tell: impl FnOnce(&Group, &[Proposal]) -> Slip,
) -> Option<JudgedFigure> {
    slips.append(&mut group.complaints);
    if group.members[0].kind == Kind::Count {
        return None;
    }
    if group.is_torn() {
        return Some(made(group, Status::Disagrees, None));
    }
    slips.push(tell(&group, &proposals));
    Some(JudgedFigure { proposals, ..made(group, Status::Untied, None) })
}

/// Adds what may be written in a figure's place.
fn proposed(slip: Slip, whole: &str, proposals: &[Proposal]) -> Slip {
    let binding = |proposal: &Proposal| bound_to(whole, &proposal.formula);
    proposals.iter().map(binding).fold(slip, Slip::write)
}

/// A text bound to a name or a formula.
pub(in crate::proof) fn bound_to(text: &str, formula: &str) -> String {
    match formula.contains(char::is_whitespace) {
        true => format!("[{text}](<by: {formula}>)"),
        false => format!("[{text}](by:{formula})"),
    }
}

/// A figure that no name states, and that is one slip of the hand away from what the words
/// may mean: whether it stops depends on how much they say.
pub(in crate::proof) fn nearly(
    passage: &Passage<'_>,
    mut group: Group,
    near: &NearTo,
    (judgement, stops): (&Judgement, bool),
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Option<JudgedFigure> {
    slips.append(&mut group.complaints);
    if group.is_torn() {
        return Some(made(group, Status::Disagrees, None));
    }
    let stated = text_of(passage, &group);
    let (name, named) = match near {
        NearTo::Entry(named) => (named_entry(context, *named), Some(*named)),
        NearTo::Result(formula) => (format!("`{formula}`"), None),
    };
    let value = judgement.works_out.as_deref().unwrap_or("something else");
    let spot = passage.spot(group.members[0].span);
    let slip = if stops {
        let message = format!("{name} is {value}; this says {stated}");
        Slip::stop("figure-disagrees", spot, message)
    } else {
        let message = format!("did you mean {name}? it is {value}; this says {stated}");
        Slip::mark("near-miss", spot, message)
    };
    slips.push(super::explained(slip, judgement));
    let status = if stops { Status::Disagrees } else { Status::Untied };
    Some(made(group, status, named.filter(|_| stops)))
}

/// A figure whose words name one without a value.
pub(in crate::proof) fn valueless(
    passage: &Passage<'_>,
    mut group: Group,
    named: (usize, usize),
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Option<JudgedFigure> {
    slips.append(&mut group.complaints);
    if group.members[0].kind == Kind::Count {
        return None;
    }
    let value = context.folio.ledger.value(named.0, named.1, &crate::formula::Shift::nominal());
    // Why a value is missing has been told where it is declared, unless it was never measured.
    if let crate::formula::Lookup::Undecided(_) = value {
        let span = group.span;
        let whole = &passage.text[span.start..span.end];
        let name = named_entry(context, named);
        let message = format!("{name} has no value to hold {whole} against");
        let slip = Slip::mark("untied-figure", passage.spot(span), message);
        slips.push(slip.help("enter it as a reading, or say why it is not yours to check"));
    }
    Some(made(group, Status::Untied, Some(named)))
}
