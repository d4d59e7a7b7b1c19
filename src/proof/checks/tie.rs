//! Figures in running text, tied to readings by the words of their sentence.

use crate::proof::cues::Cue;
use crate::proof::figure::{JudgedFigure, Status, stands};
use crate::proof::passage::Passage;
use crate::proof::prose::{Desk, Group, made};
use crate::proof::worth::judge_entry;
use crate::quantity::judge::against;
use crate::quantity::reader::{ReadOptions, read_whole};
use crate::quantity::{Judgement, Kind, Verdict};
use crate::sheet::{Entry, Ledger};
use crate::slip::Slip;

/// A figure's tie to the entry that its words name.
pub(in crate::proof) struct Tied<'a> {
    /// The words.
    pub(in crate::proof) cue: &'a Cue,
    /// The figure against the entry.
    pub(in crate::proof) judgement: Judgement,
    /// Other words of the sentence, with whose entry the figure agrees.
    pub(in crate::proof) crossed: Option<&'a Cue>,
    /// Whether the figure of those words agrees with this entry in turn.
    pub(in crate::proof) is_swapped: bool,
}

/// Judges a figure whose words name an entry.
pub(in crate::proof) fn judge(
    passage: &Passage<'_>,
    group: Group,
    tied: Tied<'_>,
    desk: &Desk<'_>,
    slips: &mut Vec<Slip>,
) -> JudgedFigure {
    let named = (tied.cue.sheet, tied.cue.entry);
    let pair_fails = group.pair.as_ref().is_some_and(|pair| !stands(pair));
    let status = match tied.judgement.verdict {
        Verdict::Agree if pair_fails => Status::Disagrees,
        Verdict::Agree => standing(&group, &desk.folio.ledger, named),
        Verdict::Lenient => {
            slips.push(lenient(passage, &group, named, &tied.judgement, desk));
            if pair_fails { Status::Disagrees } else { Status::Lenient }
        }
        Verdict::Disagree | Verdict::Incomparable => {
            // One cause, one slip: a pair that fails by itself has been told.
            let agrees_by_half = pair_fails
                && group.members.iter().any(|figure| {
                    let ledger = &desk.folio.ledger;
                    judge_entry(passage.text, figure, ledger, named, desk.conventions)
                        .is_some_and(|judgement| stands(&judgement))
                });
            if !agrees_by_half {
                slips.push(disagrees(passage, &group, &tied, desk));
            }
            Status::Disagrees
        }
    };
    let reason = tied.judgement.reason.clone();
    made(group, status, Some(named), reason)
}

/// How far a figure that agrees was checked.
pub(in crate::proof) fn standing(
    group: &Group,
    ledger: &Ledger,
    (sheet, entry): (usize, usize),
) -> Status {
    match ledger.sheets[sheet].entries[entry].reading() {
        None => Status::Computed,
        Some(reading) if 1 < reading.statements.len() => Status::SecondStatement,
        Some(_) if 1 < group.members.len() => Status::SecondStatement,
        Some(_) => Status::OwnReading,
    }
}

/// What an entry is called in messages, with its engine where that is another one.
pub(in crate::proof) fn named_entry(desk: &Desk<'_>, (sheet, entry): (usize, usize)) -> String {
    let item: &Entry = &desk.folio.ledger.sheets[sheet].entries[entry];
    let engine = desk.folio.ledger.sheets[sheet].engine.as_deref();
    match engine {
        Some(engine) if desk.own != Some(sheet) => format!("{engine}'s {}", item.words()),
        _ => item.words(),
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
    desk: &Desk<'_>,
) -> Slip {
    let name = named_entry(desk, named);
    let message = format!("{} agrees with {name} only loosely", text_of(passage, group));
    let spot = passage.spot(group.members[0].span);
    super::explained(Slip::mark("figure-lenient", spot, message), judgement)
}

fn disagrees(passage: &Passage<'_>, group: &Group, tied: &Tied<'_>, desk: &Desk<'_>) -> Slip {
    let named = (tied.cue.sheet, tied.cue.entry);
    let judgement = &tied.judgement;
    let name = named_entry(desk, named);
    let stated = text_of(passage, group);
    let spot = passage.spot(group.members[0].span);
    let ledger = &desk.folio.ledger;
    let slip = if let Some(on) = corrected(passage, group, named, desk) {
        let message =
            format!("{stated} is what {name} was said to be before the correction of {on}");
        Slip::stop("corrected-figure", spot, message)
    } else if let Some(other) = tied.crossed {
        let other = named_entry(desk, (other.sheet, other.entry));
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
    let declared = &ledger.sheets[named.0].entries[named.1];
    let source = &ledger.sheets[named.0].source;
    let label = crate::text::Spot::new(source, declared.name.span);
    super::explained(slip.label(label, format!("{} is declared here", declared.words())), judgement)
}

/// Date of the correction that a figure has missed.
fn corrected(
    passage: &Passage<'_>,
    group: &Group,
    named: (usize, usize),
    desk: &Desk<'_>,
) -> Option<String> {
    let corrections = desk.folio.corrections.iter().filter(|known| known.figure == named);
    for known in corrections {
        let was = read_whole(&known.was, &ReadOptions::default()).ok()?.into_iter().next()?;
        let computed = super::correction::as_computed(&was, desk.conventions);
        let judgement = against(passage.text, &group.members[0], &computed, desk.conventions);
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

/// A figure that no words name. Counts of things are told apart only where a reading counts them.
pub(in crate::proof) fn untied(
    passage: &Passage<'_>,
    group: Group,
    desk: &Desk<'_>,
    slips: &mut Vec<Slip>,
) -> Option<JudgedFigure> {
    if group.members[0].kind == Kind::Count {
        return None;
    }
    if group.pair.as_ref().is_some_and(|pair| !stands(pair)) {
        return Some(made(group, Status::Disagrees, None, String::new()));
    }
    let whole = &passage.text[group.span.start..group.span.end];
    let message = format!("nothing in this sentence says which figure {whole} is");
    let mut slip = Slip::mark("untied-figure", passage.spot(group.span), message);
    let fitting = fitting(passage, &group, desk);
    for name in fitting.iter().take(3) {
        slip = slip.write(format!("[{whole}](by:{name})"));
    }
    if fitting.is_empty() {
        slip = slip
            .help("name the reading in this sentence, or add its words to `called:`")
            .help(format!("or say why it is not yours to check: [{whole}](aside: \"why\")"));
    }
    slips.push(slip);
    Some(made(group, Status::Untied, None, "tied to no reading".to_owned()))
}

/// Names of figures in scope that this one would agree with.
fn fitting(passage: &Passage<'_>, group: &Group, desk: &Desk<'_>) -> Vec<String> {
    let ledger = &desk.folio.ledger;
    let sheets = (0..ledger.sheets.len()).filter(|sheet| {
        desk.own.is_none_or(|own| own == *sheet) && ledger.sheets[*sheet].engine.is_some()
            || desk.sheet == Some(*sheet)
    });
    let mut names = Vec::new();
    for sheet in sheets {
        for (entry, item) in ledger.sheets[sheet].entries.iter().enumerate() {
            let figure = &group.members[0];
            let judgement =
                judge_entry(passage.text, figure, ledger, (sheet, entry), desk.conventions);
            if judgement.is_some_and(|judgement| judgement.verdict == Verdict::Agree) {
                names.push(match &ledger.sheets[sheet].engine {
                    Some(engine) if desk.sheet != Some(sheet) => {
                        format!("{engine}.{}", item.name.text)
                    }
                    _ => item.name.text.clone(),
                });
            }
        }
    }
    names
}
