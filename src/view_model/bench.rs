//! The bench: any few engines beside each other, as the reader chooses them. What is comparable,
//! and what lies between two engines, is settled here; the page only shows it.

use super::comparison::{ComparisonCell, cell};
use super::data_sheet::{group_of, group_rank};
use super::engines::{Paged, paged, side};
use super::frame::{Frame, made};
use super::marks::words;
use super::routing::circuit_address;
use super::shot::{Pose, ShotView};
use super::standing::plain;
use super::{Edition, View};
use crate::comparison::{ReachedMilestone, compare};
use crate::folio::routing::Routed;
use crate::sheet::side_by_side::{self, Beside};
use crate::site::shared::Link;
use crate::text::proper_name;
use rayon::prelude::*;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Address of the bench.
pub(super) const ADDRESS: &str = "bench.html";

const SUMMARY: &str = "Any two to four engines beside each other: their figures, what lies \
                       between them, and where each comes from.";

/// Engines that one can be set against: with all of them, or with those of its family and those
/// that a page compares with it, so that a site grows with its engines and not with their pairs.
const MOST_PARTNERS: usize = 24;

/// The page on which readers choose.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct BenchPage {
    pub(crate) frame: Frame,
    pub(crate) engines: Vec<Pick>,
    /// Comparisons that writers have made, for readers without scripts.
    pub(crate) comparisons: Vec<Link>,
}

/// An engine to choose.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Pick {
    /// Name in formulas.
    pub(crate) engine: String,
    pub(crate) name: String,
    pub(crate) family: String,
}

/// The bench.
pub(crate) fn bench_page(edition: &Edition) -> View {
    let pages = &edition.folio.pages;
    let pick = |engine: &Paged| {
        let front = &pages[engine.page].front;
        let name = plain(&front.engine);
        Pick { name: proper_name(&name), family: proper_name(&plain(&front.family)), engine: name }
    };
    let comparisons = pages.iter().filter(|page| !page.front.compare.is_empty());
    let mut engines: Vec<Pick> = paged(edition).iter().map(pick).collect();
    engines.sort_by(|one, other| one.name.cmp(&other.name));
    View::Bench(Box::new(BenchPage {
        frame: made(edition, ADDRESS, "Side by side", "Bench", SUMMARY),
        engines,
        comparisons: comparisons
            .map(|page| Link::new(page.title(), page.address.clone()))
            .collect(),
    }))
}

/// Address of what the bench loads of an engine.
pub(super) fn data_address(engine: &str) -> String {
    format!("data/bench/{engine}.js")
}

/// An engine as the bench loads it.
#[derive(Serialize)]
struct BenchEngine<'a> {
    /// Name in formulas.
    engine: &'a str,
    name: String,
    title: &'a str,
    address: &'a str,
    family: String,
    specimens: usize,
    /// Address of its circuit; empty where it has no cutaway.
    circuit: String,
    /// How it reaches each milestone of a shot, in the order of the run that its page tells.
    milestones: Vec<BenchMilestone>,
    rows: Vec<BenchRow>,
    /// By engine that it is set against, and by row: its value in that engine's units, and what
    /// lies between the two.
    beside: BTreeMap<&'a str, BTreeMap<&'a str, Beside>>,
    /// By engine that it is set against: whether both fire in the same order.
    order: BTreeMap<&'a str, String>,
}

/// A milestone of a shot.
#[derive(Serialize)]
struct BenchMilestone {
    milestone: &'static str,
    /// Number of the pose that shows it, as on the engine's page.
    pose: usize,
    words: String,
}

/// One of its figures.
#[derive(Serialize)]
struct BenchRow {
    name: String,
    label: String,
    group: &'static str,
    rank: usize,
    setting: bool,
    /// How far it was checked: sign and words.
    sign: &'static str,
    checked: &'static str,
    #[serde(flatten)]
    cell: ComparisonCell,
}

/// What the bench loads, engine by engine: a script, since pages from disk can load nothing else.
pub(crate) fn bench_files(edition: &Edition) -> Vec<(String, Vec<u8>)> {
    let engines = paged(edition);
    let ledger = &edition.folio.ledger;
    let mates = mates(edition);
    let all_fit = engines.len() <= MOST_PARTNERS;
    let file = |own: &Paged| {
        let sheet = &ledger.sheets[own.sheet];
        let name = sheet.engine.as_deref().unwrap_or("");
        let is_partner = |other: &&Paged| {
            let partner = &ledger.sheets[other.sheet];
            let is_mate =
                |engine: &str| mates.get(name).is_some_and(|known| known.contains(engine));
            other.sheet != own.sheet
                && (all_fit
                    || !sheet.family.is_empty() && partner.family == sheet.family
                    || partner.engine.as_deref().is_some_and(is_mate))
        };
        let partners: Vec<&Paged> = engines.iter().filter(is_partner).take(MOST_PARTNERS).collect();
        let references =
            partners.iter().filter_map(|other| ledger.sheets[other.sheet].engine.as_deref());
        let routed = edition.folio.routing.of(name).filter(|routed| routed.shot.is_some());
        let told = BenchEngine {
            engine: name,
            name: proper_name(name),
            title: edition.folio.pages[own.page].title(),
            address: &sheet.address,
            family: proper_name(&sheet.family),
            specimens: sheet.specimens,
            circuit: routed.map(|_| circuit_address(name)).unwrap_or_default(),
            milestones: routed.map(bench_milestones).unwrap_or_default(),
            rows: rows(edition, own),
            order: references
                .filter_map(|reference| Some((reference, order(edition, reference, name)?)))
                .collect(),
            beside: partners
                .iter()
                .filter_map(|other| {
                    let reference = ledger.sheets[other.sheet].engine.as_deref()?;
                    Some((reference, beside(edition, own, other)))
                })
                .collect(),
        };
        (data_address(name), script("gaugebookBench", name, &told))
    };
    engines.par_iter().map(file).collect()
}

/// Whether an engine fires in the same order as another; nothing where a shot is not known.
fn order(edition: &Edition, reference: &str, own: &str) -> Option<String> {
    Some(compare(side(edition, reference)?, side(edition, own)?).order_answer())
}

fn bench_milestones(routed: &Routed) -> Vec<BenchMilestone> {
    let told = |reached: &ReachedMilestone| BenchMilestone {
        milestone: reached.milestone.words(),
        pose: reached.moment,
        words: reached.words.clone(),
    };
    routed.milestones().iter().map(told).collect()
}

/// Address of the poses of an engine's shot, which the bench loads when the engine is chosen.
pub(super) fn poses_address(engine: &str) -> String {
    format!("data/bench/{engine}-shot.js")
}

/// The poses of a shot as the bench loads them.
pub(super) fn poses_script(engine: &str, shot: &ShotView) -> Vec<u8> {
    let poses = shot.poses.iter().map(BenchPose::of).collect();
    script("gaugebookPoses", engine, &BenchShot { scale: shot.scale, poses })
}

/// A shot as the bench loads it.
#[derive(Serialize)]
struct BenchShot<'a> {
    /// Units of its pictures for a millimetre; none where they are not to scale.
    scale: Option<f64>,
    poses: Vec<BenchPose<'a>>,
}

/// One moment of a shot.
#[derive(Serialize)]
struct BenchPose<'a> {
    words: String,
    picture: &'a str,
}

impl<'a> BenchPose<'a> {
    fn of(pose: &'a Pose) -> BenchPose<'a> {
        BenchPose { words: pose.events.join("; "), picture: &pose.picture }
    }
}

/// A script that leaves something of an engine where the bench looks for it.
fn script(store: &str, engine: &str, left: &impl Serialize) -> Vec<u8> {
    let name = serde_json::to_string(engine).unwrap_or_default();
    let data = serde_json::to_string(left).unwrap_or_default();
    format!("(window.{store} = window.{store} || {{}})[{name}] = {data};\n").into_bytes()
}

/// Engines that a page compares with each other.
fn mates(edition: &Edition) -> BTreeMap<&str, BTreeSet<&str>> {
    let mut mates: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for page in &edition.folio.pages {
        for one in &page.front.compare {
            let others = page.front.compare.iter().map(|other| other.text.as_str());
            mates.entry(&one.text).or_default().extend(others);
        }
    }
    mates
}

fn rows(edition: &Edition, own: &Paged) -> Vec<BenchRow> {
    let ledger = &edition.folio.ledger;
    let conventions = &edition.folio.conventions;
    let entries = ledger.sheets[own.sheet].entries.iter().enumerate();
    entries
        .map(|(at, entry)| {
            let value = side_by_side::row(ledger, &[Some((own.sheet, at))], conventions).pop();
            let group = group_of(edition, own.sheet, at);
            let cell = cell(edition, own.sheet, at, value.flatten());
            let mark = cell.mark.map(words);
            BenchRow {
                name: entry.name.text.clone(),
                label: entry.name.text.replace('_', " "),
                group,
                rank: group_rank(group),
                setting: entry.reading().is_some_and(|reading| reading.decl.setting),
                sign: mark.map_or("", |mark| mark.sign),
                checked: mark.map_or("", |mark| mark.words),
                cell,
            }
        })
        .collect()
}

/// An engine's figures set against those of another.
fn beside<'a>(edition: &'a Edition, own: &Paged, reference: &Paged) -> BTreeMap<&'a str, Beside> {
    let ledger = &edition.folio.ledger;
    let conventions = &edition.folio.conventions;
    let other = &ledger.sheets[reference.sheet];
    let entries = ledger.sheets[own.sheet].entries.iter().enumerate();
    entries
        .filter_map(|(at, entry)| {
            let name = entry.name.text.as_str();
            let base = other.entries.iter().position(|entry| entry.name.text == name)?;
            let columns = [Some((reference.sheet, base)), Some((own.sheet, at))];
            let value = side_by_side::row(ledger, &columns, conventions).pop()??;
            Some((name, cell(edition, own.sheet, at, Some(value)).value?))
        })
        .collect()
}
