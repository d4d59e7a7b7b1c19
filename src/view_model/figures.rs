//! Judged figures as they stand in the published text.

use super::Edition;
use super::figure_html::{FigureView, figure_html, statement_mark};
use super::frame::root_of;
use super::marks::words;
use super::standing::statement_anchor;
use crate::body::blocks::{BlockKind, Document, Replacement};
use crate::folio::PageEntry;
use crate::proof::{JudgedFigure, PageProof, Status};
use crate::quantity::judge::quantity_of;
use crate::quantity::print::figure_in;
use crate::quantity::usual::{System, system_of, unit_in};
use crate::quantity::{Amount, Figure, Hedge, Kind, Quantity, machine};
use crate::sheet::statement::print_spaces;
use crate::text::{Span, escape_into};

/// Replacements for every judged figure of a page's body. Asides are numbered for their anchors.
pub(super) fn replacements(
    edition: &Edition,
    page: &PageEntry,
    document: &Document<'_>,
    proof: &PageProof,
) -> Vec<Replacement> {
    let mut found: Vec<Replacement> = Vec::with_capacity(proof.figures.len());
    let mut asides = 0;
    for (block, figure) in &proof.figures {
        let Some(text) = document.blocks.get(*block) else { continue };
        if figure.status == Status::Aside {
            asides += 1;
        }
        if text.kind == BlockKind::PictureText {
            continue;
        }
        let stated = with_closing_bracket(&text.text, figure.span);
        let span = document.replaceable(*block, stated);
        let shown = &text.text[span.start..span.end];
        let whole = span == stated;
        let mut view =
            view(edition, page, figure, shown, whole.then_some(text.text.as_str()), asides);
        view.inside_link = inside_link(document, *block, span);
        found.push(Replacement { block: *block, span, html: figure_html(&view) });
    }
    mark_statements(document, proof, &mut found);
    found
}

/// The mark of what a computation checked behind each statement that holds, as behind a figure; it
/// leads to its reason.
fn mark_statements(document: &Document<'_>, proof: &PageProof, found: &mut Vec<Replacement>) {
    let known = proof.statements.iter().filter(|(_, judged)| judged.is_known());
    for (index, (block, judged)) in known.enumerate() {
        let Some(text) = document.blocks.get(*block) else { continue };
        let said = text.text.get(judged.place.start..judged.place.end).unwrap_or_default();
        let Some(last) = said.chars().next_back().filter(|_| judged.standing.holds()) else {
            continue;
        };
        let span = Span::new(judged.place.end - last.len_utf8(), judged.place.end);
        if inside_link(document, *block, span) {
            continue;
        }
        let mark = statement_mark(&statement_anchor(index), &judged.reason);
        let figure = found.iter_mut().find(|r| r.block == *block && r.span.overlaps(span));
        match figure {
            Some(figure) => figure.html.push_str(&mark),
            None => {
                let mut html = String::new();
                escape_into(&mut html, last.encode_utf8(&mut [0; 4]));
                html.push_str(&mark);
                found.push(Replacement { block: *block, span, html });
            }
        }
    }
}

/// The statement with the bracket that closes its conversion: "128 psi (8.83 bar" and ")".
fn with_closing_bracket(text: &str, span: Span) -> Span {
    let (stated, after) = (&text[span.start..span.end], &text[span.end..]);
    let closes = [('(', ')'), ('[', ']')].iter().any(|(open, close)| {
        stated.matches(*close).count() < stated.matches(*open).count() && after.starts_with(*close)
    });
    if closes { Span::new(span.start, span.end + 1) } else { span }
}

fn inside_link(document: &Document<'_>, block: usize, span: Span) -> bool {
    let Some(text) = document.blocks.get(block) else { return false };
    let rendered = text.rendered(span);
    let mut links = document.references.iter().filter(|reference| !reference.is_picture);
    links.any(|link| link.span.contains(rendered))
}

fn view(
    edition: &Edition,
    page: &PageEntry,
    judged: &JudgedFigure,
    shown: &str,
    block: Option<&str>,
    aside: usize,
) -> FigureView {
    let written = print_spaces(shown);
    let quantity = quantity_of(&judged.figure, &page.conventions);
    let (si, us) = block.map_or((None, None), |text| systems(judged, &quantity, text));
    let has_value =
        matches!(judged.figure.amount, Amount::Point(_)) && judged.figure.bound.is_none();
    let (href, title) = origin(edition, page, judged, aside);
    FigureView {
        written,
        si,
        us,
        value: has_value.then(|| machine::rounded(&quantity.si)).flatten(),
        href,
        mark: judged.status,
        title,
        first: edition.site.units,
        inside_link: false,
    }
}

/// The statement in each system: a member of the pair where there is one, a conversion otherwise.
/// `None` where there is nothing to switch, or where words around the number ("nearly") would be
/// lost.
fn systems(
    judged: &JudgedFigure,
    quantity: &Quantity,
    text: &str,
) -> (Option<String>, Option<String>) {
    let own = system_of(judged.figure.unit);
    let shared = matches!(judged.figure.kind, Kind::Ratio | Kind::Count | Kind::Angle);
    if own.is_none() || shared || judged.figure.unit.kind == Kind::EnergyPerArea {
        return (None, None);
    }
    let lead =
        if judged.span.start < judged.figure.span.start { hedge_words(&judged.figure) } else { "" };
    let in_system = |system: System| -> String {
        let target = system_of(&unit_in(system, quantity, Some(judged.figure.unit)));
        // Where a system has no unit of its own for this, the writer's stands.
        let wanted = if target == Some(system) { target } else { own };
        let stated = judged.members.iter().find(|member| system_of(member.unit) == wanted);
        match stated {
            Some(member) => {
                let inside = text.get(member.span.start..member.span.end).unwrap_or("");
                format!("{lead}{}", print_spaces(inside))
            }
            None => format!("{lead}{}", figure_in(system, &judged.figure, quantity)),
        }
    };
    (Some(in_system(System::Metric)), Some(in_system(System::Us)))
}

/// Hedges stand before the number; inside a bound text they must not be lost.
fn hedge_words(figure: &Figure) -> &'static str {
    match figure.hedge {
        Some(Hedge::About) => "about ",
        Some(Hedge::Nearly) => "nearly ",
        Some(Hedge::JustOver) => "just over ",
        None => "",
    }
}

/// Where a figure's origin is told, and what its title says.
fn origin(
    edition: &Edition,
    page: &PageEntry,
    judged: &JudgedFigure,
    aside: usize,
) -> (Option<String>, String) {
    let ledger = &edition.folio.ledger;
    let words = words(judged.status).words;
    if let Some(waiver) = judged.waiver {
        return (Some(format!("#_waiver-{}", waiver + 1)), words.to_owned());
    }
    if let Some((sheet, entry)) = judged.tied {
        let item = &ledger.sheets[sheet].entries[entry];
        let address = &ledger.sheets[sheet].address;
        let on_sheet = has_data_sheet(edition, sheet);
        let href = on_sheet.then(|| {
            if *address == page.address {
                format!("#{}", item.anchor())
            } else {
                format!("{}{address}#{}", root_of(&page.address), item.anchor())
            }
        });
        let engine = ledger.sheets[sheet].engine.as_deref().filter(|_| page.sheet != Some(sheet));
        let name = match engine {
            Some(engine) => format!("{engine}: {}", item.words()),
            None => item.words(),
        };
        return (href, format!("{name}; {words}"));
    }
    match judged.status {
        Status::Aside => (Some(format!("#_aside-{aside}")), format!("{words}: {}", judged.reason)),
        Status::Supposition | Status::Change if !judged.reason.is_empty() => {
            (None, format!("{words}: {}", judged.reason))
        }
        _ => match &judged.formula {
            Some(formula) => (None, format!("{words}: {formula}")),
            None => (None, words.to_owned()),
        },
    }
}

/// Whether the page of a sheet shows a data sheet to link to.
fn has_data_sheet(edition: &Edition, sheet: usize) -> bool {
    edition.folio.ledger.sheets[sheet].engine.is_some()
}
