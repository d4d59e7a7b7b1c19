//! Readings that every statement of their page goes against: one slip, at the reading.

use super::correction::as_computed;
use crate::folio::{Folio, PageEntry};
use crate::proof::figure::{JudgedFigure, Status};
use crate::proof::page::PageProof;
use crate::quantity::judge::verdict;
use crate::quantity::{Conventions, Verdict};
use crate::sheet::Stated;
use crate::slip::Slip;
use crate::text::{Source, Spot};
use std::collections::BTreeMap;
use std::sync::Arc;

/// As many statements of a page outweigh a reading.
const OUTWEIGH: usize = 2;
/// As many of them are shown.
const SHOWN: usize = 3;

/// Tells of a reading in the place of all statements that go against it and agree with each other.
pub(crate) fn judge(
    folio: &Folio,
    page: &PageEntry,
    source: &Arc<Source>,
    proof: &mut PageProof,
    slips: &mut Vec<Slip>,
) {
    let Some(sheet) = page.sheet else { return };
    let mut stated: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (at, (_, figure)) in proof.figures.iter().enumerate() {
        if let (Some((its, entry)), true) = (figure.tied, figure.status != Status::Printed)
            && its == sheet
        {
            stated.entry(entry).or_default().push(at);
        }
    }
    for (entry, figures) in stated {
        let item = &folio.ledger.sheets[sheet].entries[entry];
        let Some([reading]) = item.reading().map(|reading| reading.statements.as_slice()) else {
            continue;
        };
        let told: Vec<&JudgedFigure> = figures.iter().map(|at| &proof.figures[*at].1).collect();
        if told.len() < OUTWEIGH || !agree_against(&told, &page.conventions) {
            continue;
        }
        slips.push(slip(&item.words(), reading, source, &told));
        for at in figures {
            proof.figures[at].1.slips.clear();
        }
    }
}

/// Whether all of them fail by one slip, and say the same.
fn agree_against(figures: &[&JudgedFigure], conventions: &Conventions) -> bool {
    let fails =
        |figure: &&JudgedFigure| figure.status == Status::Disagrees && figure.slips.len() == 1;
    let says = |one: &JudgedFigure, other: &JudgedFigure| {
        verdict(&one.figure, &as_computed(&other.figure, conventions), conventions)
    };
    let same = |pair: &[&JudgedFigure]| match pair {
        [one, other] => says(one, other).min(says(other, one)) == Verdict::Agree,
        _ => true,
    };
    figures.iter().all(fails) && figures.windows(2).all(same)
}

fn slip(name: &str, reading: &Stated, source: &Arc<Source>, figures: &[&JudgedFigure]) -> Slip {
    let spots = figures.iter().filter_map(|figure| figure.slips.first()).map(|slip| &slip.spot);
    let said = spots.clone().next().map_or("", Spot::text);
    let message = format!(
        "the {name} is {} here, and all {} statements of the page say {said}",
        reading.written,
        figures.len()
    );
    let whole = reading.figures.first().map(|figure| reading.part(figure.span));
    let spot = Spot::new(source, whole.unwrap_or(reading.span));
    let slip = Slip::stop("reading-contradicted", spot, message);
    let labelled =
        spots.take(SHOWN).fold(slip, |slip, spot| slip.label(spot.clone(), "stated here"));
    labelled.help(format!("write {said} if the text is right; else mend the text"))
}
