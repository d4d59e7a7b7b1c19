//! The page of one engine: data sheet, derived figures, claims, caution.

use super::Edition;
use super::figures::view_shown;
use super::frame::written;
use super::standing::{kind_words, plain};
use super::values::{entry_mark, plus_minus, stated_shown, value_style};
use crate::folio::PageEntry;
use crate::formula;
use crate::proof::checks::statement::compare;
use crate::proof::checks::tie::engine_title;
use crate::proof::{PageProof, Status};
use crate::quantity::{Dimension, Kind, Verdict as Judged};
use crate::sheet::print::{derived_style, largest_share, shown, style_of, valued};
use crate::sheet::{DerivedEntry, Entry, Origin, ReadingEntry, Sheet, Stated};
use crate::site::view::{
    Caution, ClaimRow, DerivedRow, EnginePage, Heading, KeyFigure, Link, QuestionRow, ReadingGroup,
    ReadingRow, RevisionRow, Shown, Standing, Statement, Verdict,
};

/// Groups of the data sheet, in order.
const GROUPS: [(&str, &[Dimension]); 8] = [
    ("Pressures", &[Dimension::PRESSURE]),
    ("Bores, diameters and lengths", &[Dimension::LENGTH]),
    ("Areas and volumes", &[Dimension::AREA, Dimension::VOLUME]),
    ("Masses", &[Dimension::MASS, Dimension::DENSITY]),
    ("Springs and forces", &[Dimension::SPRING_RATE, Dimension::FORCE]),
    ("Times and speeds", &[Dimension::TIME, Dimension::VELOCITY, Dimension::RATE]),
    (
        "Air and energy",
        &[
            Dimension::MASS_FLOW,
            Dimension::VOLUME_FLOW,
            Dimension::CONDUCTANCE,
            Dimension::ENERGY,
            Dimension::POWER,
        ],
    ),
    ("Ratios and counts", &[Dimension::NONE]),
];

/// The group that an entry belongs to.
#[must_use]
pub(super) fn group_of(edition: &Edition, sheet: usize, entry: usize) -> &'static str {
    let ledger = &edition.folio.ledger;
    let item = &ledger.sheets[sheet].entries[entry];
    let is_ring = item
        .reading()
        .and_then(|reading| reading.statements.first())
        .is_some_and(|stated| !stated.members.is_empty());
    if is_ring {
        return "Rings";
    }
    let Some(value) = ledger.nominal(sheet, entry) else { return "Not measured" };
    if matches!(value.quantity.kind, Kind::StandardAir(_)) {
        return "Air and energy";
    }
    let dimension = value.quantity.dimension;
    let group = GROUPS.iter().find(|(_, dimensions)| dimensions.contains(&dimension));
    group.map_or("Other figures", |(label, _)| label)
}

/// Order of the groups.
#[must_use]
pub(super) fn group_rank(label: &str) -> usize {
    match label {
        "Rings" => GROUPS.len(),
        "Other figures" => GROUPS.len() + 1,
        "Not measured" => GROUPS.len() + 2,
        _ => GROUPS.iter().position(|(known, _)| *known == label).unwrap_or(GROUPS.len() + 1),
    }
}

/// Sets an engine's page.
pub(super) fn engine_page(
    edition: &Edition,
    page: &PageEntry,
    proof: &PageProof,
    body_html: String,
    contents: Vec<Heading>,
    standing: Standing,
) -> EnginePage {
    let folio = &edition.folio;
    let front = &page.front;
    let caution = page.sheet.map(|sheet| caution(edition, sheet));
    let routed = front.engine.as_ref().and_then(|engine| folio.routing.of(&engine.text));
    let mut view = EnginePage {
        frame: written(edition, page, contents, caution),
        engine: plain(&front.engine),
        family: engine_title(&plain(&front.family)),
        body_html,
        sequence: super::shot::sequence(&front.sequence, proof, routed),
        shot: super::shot::shot(edition, &plain(&front.engine)),
        questions: front
            .questions
            .iter()
            .map(|question| QuestionRow {
                ask: question.ask.text.clone(),
                settles: plain(&question.settles),
            })
            .collect(),
        revisions: front
            .revisions
            .iter()
            .map(|revision| RevisionRow {
                name: revision.name.text.clone(),
                on: plain(&revision.on),
                changed: plain(&revision.changed),
            })
            .collect(),
        standing,
        ..EnginePage::default()
    };
    view.claims = claims(page, proof);
    relations(edition, page, &mut view);
    let Some(sheet) = page.sheet else { return view };
    let item = &folio.ledger.sheets[sheet];
    view.specimens = item.specimens;
    view.key_figures = key_figures(edition, sheet, 6);
    view.readings = readings(edition, sheet, proof);
    view.derived = derived(edition, sheet);
    if let Some(engine) = &item.engine {
        view.downloads = vec![
            Link::new("CSV", format!("data/{engine}.csv")),
            Link::new("JSON", format!("data/{engine}.json")),
        ];
    }
    view
}

fn relations(edition: &Edition, page: &PageEntry, view: &mut EnginePage) {
    let folio = &edition.folio;
    let Some(own) = page.front.engine.as_ref().map(|engine| engine.text.as_str()) else { return };
    let link = |page: &PageEntry| Link::new(page.title(), page.address.clone());
    let ancestor = page.front.descends_from.as_ref();
    view.descends_from = ancestor.and_then(|from| folio.ledger.engine(&from.text)).map(|sheet| {
        let sheet = &folio.ledger.sheets[sheet];
        Link::new(&sheet.title, sheet.address.clone())
    });
    let links = |pages: Option<&Vec<usize>>| -> Vec<Link> {
        pages.into_iter().flatten().map(|page| link(&folio.pages[*page])).collect()
    };
    view.descendants = links(edition.descendants.get(own));
    view.compared_on = links(edition.comparisons.get(own));
}

/// The claims of a page with their verdicts.
pub(super) fn claims(page: &PageEntry, proof: &PageProof) -> Vec<ClaimRow> {
    let claims = page.front.claims.iter().zip(&proof.claims).enumerate();
    claims
        .map(|(index, (claim, finding))| ClaimRow {
            anchor: format!("_claim-{}", index + 1),
            say: claim.say.text.clone(),
            holds: claim.holds.text.clone(),
            verdict: match (finding.holds, finding.is_certain) {
                (Some(true), true) => Verdict::Agree,
                (Some(true), false) => Verdict::Lenient,
                (Some(false), _) => Verdict::Disagree,
                (None, _) => Verdict::Open,
            },
            reason: in_words(&finding.reason),
        })
        .collect()
}

/// What was worked out, for readers: names as words, kinds left out.
fn in_words(reason: &str) -> String {
    let mut out = String::with_capacity(reason.len());
    for (index, part) in reason.split('`').enumerate() {
        if index % 2 == 1 {
            out.push_str(&part.replace('_', " "));
        } else {
            out.push_str(&without_kinds(part));
        }
    }
    out
}

/// "198.6 mm² (area)" without the word in parentheses.
fn without_kinds(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(open) = rest.find(" (") {
        let inside = &rest[open + 2..];
        let close = inside.find(')').unwrap_or(inside.len());
        let is_kind = inside[..close].chars().all(|c| c.is_ascii_lowercase() || c == ' ');
        out.push_str(&rest[..open]);
        if !is_kind {
            out.push_str(&rest[open..(open + 3 + close).min(rest.len())]);
        }
        rest = inside.get(close + 1..).unwrap_or("");
    }
    out.push_str(rest);
    out
}

/// The figures worth seeing first: one of each kind that readers look for.
#[must_use]
pub(super) fn key_figures(edition: &Edition, sheet: usize, most: usize) -> Vec<KeyFigure> {
    const WANTED: [Dimension; 7] = [
        Dimension::PRESSURE,
        Dimension::VOLUME,
        Dimension::LENGTH,
        Dimension::VELOCITY,
        Dimension::ENERGY,
        Dimension::TIME,
        Dimension::SPRING_RATE,
    ];
    let ledger = &edition.folio.ledger;
    let mut firsts: [Option<KeyFigure>; WANTED.len()] = Default::default();
    for (index, entry) in ledger.sheets[sheet].entries.iter().enumerate() {
        let Some((value, half_width, style)) = valued(ledger, sheet, index) else { continue };
        let quantity = &value.quantity;
        let Some(at) = WANTED.iter().position(|wanted| *wanted == quantity.dimension) else {
            continue;
        };
        firsts[at].get_or_insert_with(|| KeyFigure {
            label: entry.words(),
            shown: view_shown(shown(quantity, &style, None)),
            plus_minus: plus_minus(quantity, &style, half_width),
            anchor: entry.anchor(),
            mark: entry_mark(&ledger.sheets[sheet], entry),
        });
    }
    firsts.into_iter().flatten().take(most).collect()
}

fn readings(edition: &Edition, sheet: usize, proof: &PageProof) -> Vec<ReadingGroup> {
    let item = &edition.folio.ledger.sheets[sheet];
    let mut groups: Vec<ReadingGroup> = Vec::new();
    for (index, entry) in item.entries.iter().enumerate() {
        let Origin::Reading(reading) = &entry.origin else { continue };
        let label = group_of(edition, sheet, index);
        let row = reading_row(edition, sheet, index, reading, proof);
        match groups.iter_mut().find(|group| group.label == label) {
            Some(group) => group.rows.push(row),
            None => groups.push(ReadingGroup { label: label.to_owned(), rows: vec![row] }),
        }
    }
    groups.sort_by_key(|group| group_rank(&group.label));
    groups
}

fn reading_row(
    edition: &Edition,
    sheet: usize,
    index: usize,
    reading: &ReadingEntry,
    proof: &PageProof,
) -> ReadingRow {
    let ledger = &edition.folio.ledger;
    let item = &ledger.sheets[sheet];
    let entry = &item.entries[index];
    let decl = &reading.decl;
    let words = entry.words();
    let first = reading.statements.first();
    let (source, source_anchor, source_kind) = source_of(item, first, decl.like.is_some());
    let mut row = ReadingRow {
        anchor: entry.anchor(),
        id: entry.name.text.clone(),
        cues: other_words(entry),
        label: words,
        not_measured: plain(&decl.not_measured),
        borrowed_from: plain(&decl.like),
        source,
        source_anchor,
        source_kind,
        mark: entry_mark(item, entry),
        setting: decl.setting,
        revision: plain(&decl.revision),
        note: plain(&decl.note),
        how_checked: how_checked(sheet, index, proof),
        ..ReadingRow::default()
    };
    if let Some((value, half_width, style)) = valued(ledger, sheet, index) {
        let style = value_style(&value.quantity, &style, half_width, first);
        row.shown = Some(stated_shown(&value.quantity, &style, first));
        row.plus_minus = plus_minus(&value.quantity, &style, half_width);
    }
    if let Some(stated) = first {
        row.form.clone_from(&stated.form);
        row.how_sure = match stated.plus_minus_from.as_str() {
            "stated" => "± stated".to_owned(),
            from => format!("± from {from}"),
        };
    }
    let verdicts = compare(reading, &item.conventions);
    for (stated, judgement) in reading.statements.iter().skip(1).zip(verdicts) {
        let (source, source_anchor, _) = source_of(item, Some(stated), false);
        let style = style_of(stated);
        let style = value_style(&stated.quantity, &style, stated.input.limit, Some(stated));
        row.also.push(Statement {
            shown: stated_shown(&stated.quantity, &style, Some(stated)),
            plus_minus: plus_minus(&stated.quantity, &style, stated.input.limit),
            source,
            source_anchor,
            verdict: match judgement.verdict {
                Judged::Agree | Judged::Lenient => Verdict::Agree,
                Judged::Disagree => Verdict::Disagree,
                Judged::Incomparable => Verdict::Incomparable,
            },
            reason: judgement.reason,
        });
    }
    row
}

fn source_of(sheet: &Sheet, stated: Option<&Stated>, borrowed: bool) -> (String, String, String) {
    let from = stated.and_then(|stated| stated.from.as_ref()).map(|from| from.text.as_str());
    let id = match from.or(sheet.readings_from.as_deref()) {
        Some(id) if stated.is_some() => id,
        _ if borrowed => return Default::default(),
        _ if stated.is_none() => return ("none".to_owned(), String::new(), String::new()),
        _ => return ("not yet stated".to_owned(), String::new(), String::new()),
    };
    match sheet.source(id) {
        Some(source) => {
            let kind = kind_words(source.kind).to_owned();
            (id.to_owned(), format!("_source-{id}"), kind)
        }
        None => (id.to_owned(), String::new(), String::new()),
    }
}

/// Where else the page states an entry.
fn how_checked(sheet: usize, entry: usize, proof: &PageProof) -> String {
    let places = proof
        .figures
        .iter()
        .map(|(_, figure)| figure)
        .chain(&proof.stated_in_front)
        .filter(|figure| figure.tied == Some((sheet, entry)) && figure.status != Status::Printed)
        .count();
    match places {
        0 => String::new(),
        1 => "stated once in the text".to_owned(),
        places => format!("stated {places} times in the text"),
    }
}

fn derived(edition: &Edition, sheet: usize) -> Vec<DerivedRow> {
    let entries = edition.folio.ledger.sheets[sheet].entries.iter().enumerate();
    entries
        .filter_map(|(index, entry)| {
            let Origin::Derived(derived) = &entry.origin else { return None };
            derived_row(edition, sheet, index, entry, derived)
        })
        .collect()
}

fn derived_row(
    edition: &Edition,
    sheet: usize,
    index: usize,
    entry: &Entry,
    derived: &DerivedEntry,
) -> Option<DerivedRow> {
    let ledger = &edition.folio.ledger;
    let (value, half_width, style) = valued(ledger, sheet, index)?;
    let words = entry.words();
    let how_sure = match largest_share(ledger, sheet, &value) {
        Some((name, share)) if share < 0.995 => {
            format!("{name} gives {:.0} % of the ± (k = 2)", share * 100.0)
        }
        Some((name, _)) => format!("± (k = 2) from {name}"),
        None => String::new(),
    };
    Some(DerivedRow {
        anchor: entry.anchor(),
        id: entry.name.text.clone(),
        cues: other_words(entry),
        label: words,
        shown: view_shown(shown(&value.quantity, &style, None)),
        plus_minus: plus_minus(&value.quantity, &style, half_width),
        formula: derived.decl.formula.text.clone(),
        inputs: inputs(edition, sheet, derived),
        how_sure,
        note: plain(&derived.decl.note),
    })
}

/// Other words that mean an entry; spellings with a hyphen are not other words.
fn other_words(entry: &Entry) -> Vec<String> {
    let words = entry.words();
    let cues = entry.cues.iter().filter(|cue| cue.replace('-', " ") != words.replace('-', " "));
    cues.cloned().collect()
}

fn inputs(edition: &Edition, sheet: usize, derived: &DerivedEntry) -> Vec<Link> {
    let ledger = &edition.folio.ledger;
    let names = derived.formula.as_ref().map(formula::Formula::names).unwrap_or_default();
    let mut links: Vec<Link> = Vec::new();
    for (path, _) in names {
        let path: Vec<&str> = path.iter().map(String::as_str).collect();
        let Some((owner, entry, _)) = ledger.resolve(sheet, &path) else { continue };
        let Some((value, _, style)) = valued(ledger, owner, entry) else { continue };
        let item = &ledger.sheets[owner].entries[entry];
        let printed = shown(&value.quantity, &style, None).written;
        let title = format!("{} {printed}", path.join(" ").replace('_', " "));
        let address = format!("{}#{}", ledger.sheets[owner].address, item.anchor());
        if !links.iter().any(|link| link.address == address) {
            links.push(Link::new(title, address));
        }
    }
    links
}

/// The caution with the energy of the air in the engine.
fn caution(edition: &Edition, sheet: usize) -> Caution {
    let ledger = &edition.folio.ledger;
    let item = &ledger.sheets[sheet];
    let mut caution =
        Caution { more: edition.site.navigation.safety.clone(), ..Caution::default() };
    let declared = item.entries.iter().position(|entry| {
        entry.derived().is_some_and(|derived| {
            derived.decl.formula.text.trim_start().starts_with("stored_energy(")
        })
    });
    if let Some(entry) = declared
        && let Some((value, _, style)) = valued(ledger, sheet, entry)
    {
        caution.stored_energy = Some(view_shown(shown(&value.quantity, &style, None)));
        caution.stored_energy_anchor = item.entries[entry].anchor();
        if let Some(derived) = item.entries[entry].derived() {
            let links = inputs(edition, sheet, derived);
            let titles: Vec<&str> = links.iter().map(|link| link.title.as_str()).collect();
            caution.stored_energy_inputs = titles.join(", ");
        }
        return caution;
    }
    match usual_energy(edition, sheet) {
        Ok(shown) => {
            caution.stored_energy = Some(shown);
            caution.stored_energy_inputs =
                "from store volume and operating pressure, as the most that its expansion to ambient can give".to_owned();
        }
        Err(why) => caution.not_known = why,
    }
    caution
}

/// Stored energy from the readings that usually give it.
fn usual_energy(edition: &Edition, sheet: usize) -> Result<Shown, String> {
    let ledger = &edition.folio.ledger;
    let item = &ledger.sheets[sheet];
    for name in ["store_volume", "operating_pressure"] {
        if item.entry(name).is_none() {
            return Err(format!("no {} is stated", name.replace('_', " ")));
        }
    }
    let unknown = || "its figures cannot be worked out yet".to_owned();
    let parsed = formula::parse("stored_energy(store_volume, operating_pressure)");
    let parsed = parsed.map_err(|_| unknown())?;
    let scope = ledger.scope(sheet);
    match formula::evaluate(&parsed, &scope, &item.conventions) {
        Ok(formula::Outcome::Value(value)) => {
            let expanded = 2.0 * formula::standard_uncertainty(&value, &scope);
            let style = derived_style(&value.quantity, None, expanded);
            Ok(view_shown(shown(&value.quantity, &style, None)))
        }
        _ => Err(unknown()),
    }
}
