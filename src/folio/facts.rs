//! Ordinal facts of a cutaway held against the figures of the page: where both sides are drawn at
//! readings, the readings say which is larger; where faces stand against springs, the drawing does.

use super::measured::{Quality, Readings};
use super::routing::{Routed, Routing};
use super::solids;
use crate::cutaway::model::{
    Element, Fact, OPEN_AIR, PartId, PositionId, PushId, PushKind, Relation, Term,
};
use crate::cutaway::{Engine, side_words, spoken_fact, term_path};
use crate::formula::{self, Lookup, Margin, Outcome, Scope, Shift, Truth};
use crate::slip::Slip;
use crate::text::Spot;

/// Judges the facts of a cutaway by the figures.
pub(super) fn judge(routing: &Routing, routed: &Routed, readings: Readings<'_>) -> Vec<Slip> {
    let facts = routed.engine.facts.iter();
    facts.filter_map(|fact| one(routing, routed, readings, fact)).collect()
}

fn one(routing: &Routing, routed: &Routed, readings: Readings<'_>, fact: &Fact) -> Option<Slip> {
    let Some((left, right)) = sides(routing, &routed.engine, readings, fact) else {
        return by_forces(routed, readings, fact);
    };
    let sign = match fact.relation {
        Relation::Larger | Relation::MuchLarger => '>',
        Relation::Equal => '=',
        // Of what holds only at some pressures no reading tells.
        Relation::LargerOnceSpent | Relation::LargerBelow(_) | Relation::LargerFrom(_) => {
            return None;
        }
    };
    let text = format!("{left} {sign} {right}");
    let holds = held(&text, readings)?;
    // What another cutaway brings is told there, where its own page has the figures.
    let spot = Spot::new(&routed.source, fact.span);
    let said = spoken_fact(&routed.engine, fact);
    match holds.truth {
        Truth::True(Margin::Certain) | Truth::Undecided(_) => None,
        Truth::True(Margin::WithinUncertainty) if fact.relation == Relation::Equal => None,
        Truth::True(Margin::WithinUncertainty) => {
            let message = format!(
                "\u{201c}{said}\u{201d} holds, but within the \u{b1} of its figures it could fail"
            );
            Some(Slip::mark("fact-uncertain", spot, message).noting(holds.account))
        }
        // Not told apart from equal within the ±.
        Truth::False(Margin::WithinUncertainty) if fact.relation == Relation::Equal => None,
        Truth::False(_) => {
            let message = format!("\u{201c}{said}\u{201d} is not so by the figures of the page");
            let slip = Slip::stop("fact-refuted", spot, message).works_out(holds.account);
            let turned = side_words(&routed.engine, &fact.right);
            Some(match fact.relation {
                Relation::Equal => slip.help("put the fact or the figure right"),
                _ => slip.help(format!(
                    "by them {turned} is not the smaller; put the fact or the figure right"
                )),
            })
        }
    }
}

/// A fact of faces against springs that the drawing refutes: wherever the part stands, and at the
/// pressure of whatever supply. One that is so in some place may be meant of that place.
fn by_forces(routed: &Routed, readings: Readings<'_>, fact: &Fact) -> Option<Slip> {
    let engine = &routed.engine;
    engine.drawn.body.as_ref()?;
    if !matches!(fact.relation, Relation::Larger | Relation::MuchLarger) {
        return None;
    }
    let push = |term: &Term| match term {
        Term::Own(Element::Push(part, at)) => Some((*part, *at)),
        _ => None,
    };
    let side = |terms: &[Term]| terms.iter().map(push).collect::<Option<Vec<_>>>();
    let (left, right) = (side(&fact.left)?, side(&fact.right)?);
    let (part, _) = *left.first()?;
    if left.iter().chain(&right).any(|(other, _)| *other != part) {
        return None;
    }
    let pressures = solids::supply_pressures(engine, readings)?;
    let own = &engine.parts[part];
    // At rest first: of that place the account tells.
    let places = std::iter::once(own.rest).chain(own.positions.ids());
    let mut told = None;
    for place in places {
        for pressure in &pressures {
            let sum = |side: &[(PartId, PushId)]| {
                let terms = side.iter().map(|it| force(engine, *it, (place, pressure)));
                Some(terms.collect::<Option<Vec<_>>>()?.join(" + "))
            };
            let holds = held(&format!("{} > {}", sum(&left)?, sum(&right)?), readings)?;
            if !matches!(holds.truth, Truth::False(Margin::Certain)) {
                return None;
            }
            told.get_or_insert(holds.account);
        }
    }
    let spot = Spot::new(&routed.source, fact.span);
    let said = spoken_fact(engine, fact);
    let message = format!("\u{201c}{said}\u{201d} is not so by the sizes and the pressure");
    let slip = Slip::stop("fact-refuted", spot, message).works_out(told?);
    let turned = side_words(engine, &fact.right);
    Some(slip.help(format!("by them {turned} is not the smaller; put the fact or the size right")))
}

/// The force of a push in a place, as a formula; `None` where neither sizes nor a spring tell it.
fn force(
    engine: &Engine,
    (part, at): (PartId, PushId),
    (place, pressure): (PositionId, &str),
) -> Option<String> {
    let thing = term_path(engine, &Term::Own(Element::Push(part, at)));
    let own = &engine.parts[part];
    let behind = format!("{}.{}", own.name.id, own.positions[place].id);
    match own.pushes[at].kind {
        PushKind::Face(room) if room != OPEN_AIR => {
            Some(format!("cut.{thing}.area.{behind} * {pressure}"))
        }
        PushKind::Spring => Some(format!("cut.{thing}.force.{behind}")),
        PushKind::Face(_) | PushKind::Contact(_) | PushKind::Hand => None,
    }
}

/// How a comparison came out.
pub(super) struct HeldFact {
    pub(super) truth: Truth,
    /// "left side is …, right side is …".
    pub(super) account: String,
}

/// Works out a comparison in the scope of a page; `None` where a figure has a fault of its own.
pub(super) fn held(text: &str, readings: Readings<'_>) -> Option<HeldFact> {
    let conventions = &readings.ledger.sheets[readings.sheet].conventions;
    let formula = formula::parse(text).ok()?;
    let scope = readings.ledger.scope(readings.sheet);
    match formula::evaluate(&formula, &scope, conventions) {
        Ok(Outcome::Truth(truth)) => {
            Some(HeldFact { truth, account: formula::account(&formula, &scope, conventions) })
        }
        Ok(Outcome::Value(_)) | Err(_) => None,
    }
}

/// Both sides as formulas; `None` where a thing has no figure, or figures of several kinds.
fn sides(
    routing: &Routing,
    engine: &Engine,
    readings: Readings<'_>,
    fact: &Fact,
) -> Option<(String, String)> {
    let mut measures = Vec::new();
    for term in fact.left.iter().chain(&fact.right) {
        measures.push(measure(routing, engine, readings, term)?);
    }
    let dimension = |wanted: Quality| measures.iter().all(|(quality, _)| *quality == wanted);
    let is_round =
        |(quality, _): &(Quality, String)| matches!(quality, Quality::Diameter | Quality::Area);
    let first = measures.first()?.0;
    // Diameters of several things are never added up: their areas are.
    let formula = |(quality, path): &(Quality, String)| match quality {
        Quality::Diameter if 2 < measures.len() || !dimension(Quality::Diameter) => {
            format!("circle_area({path})")
        }
        _ => path.clone(),
    };
    if !dimension(first) && !measures.iter().all(is_round) {
        return None;
    }
    let formulas: Vec<String> = measures.iter().map(formula).collect();
    let (left, right) = formulas.split_at_checked(fact.left.len())?;
    Some((left.join(" + "), right.join(" + ")))
}

/// What the page states of a term, and the path of the figure in formulas.
fn measure(
    routing: &Routing,
    engine: &Engine,
    readings: Readings<'_>,
    term: &Term,
) -> Option<(Quality, String)> {
    let (name, of, element) = match term {
        Term::Own(element) => (None, engine, *element),
        Term::Foreign(other, path) => {
            let of = &routing.of(other)?.engine;
            (Some(other), of, element_at(of, path)?)
        }
    };
    let Some(reading) = of.readings.get(&element).map(|reading| &reading.id) else {
        return by_sizes(of, element, name.map(String::as_str), readings);
    };
    let path = name.map_or_else(|| reading.clone(), |name| format!("{name}.{reading}"));
    let readings = match name {
        None => readings,
        Some(name) => Readings::of(readings.ledger, name)?,
    };
    let states = readings.value(reading)?.quantity.dimension;
    let quality = Quality::of(of, element).iter().find(|it| it.dimension() == states)?;
    Some((*quality, path))
}

/// What the sizes of a cutaway say of a chamber's volume or of a face's area.
fn by_sizes(
    engine: &Engine,
    element: Element,
    foreign: Option<&str>,
    readings: Readings<'_>,
) -> Option<(Quality, String)> {
    engine.drawn.body.as_ref()?;
    let qualities = Quality::of(engine, element).iter();
    let quality = qualities.copied().find(|it| matches!(it, Quality::Volume | Quality::Area))?;
    let thing = term_path(engine, &Term::Own(element));
    let engine = foreign.map_or_else(String::new, |name| format!("{name}."));
    let path = format!("{engine}cut.{thing}.{}", quality.word());
    let words: Vec<&str> = path.split('.').collect();
    let scope = readings.ledger.scope(readings.sheet);
    let found = scope.lookup(&words, &Shift::nominal());
    matches!(found, Lookup::Value(_) | Lookup::Linear(_)).then_some((quality, path))
}

/// What a path of another engine names, of what can be drawn at a reading.
fn element_at(engine: &Engine, path: &str) -> Option<Element> {
    if let Some((part, push)) = path.split_once('.') {
        let part = engine.part(part)?;
        let mut pushes = engine.parts[part].pushes.entries();
        return pushes.find_map(|(at, it)| (it.name.id == push).then_some(Element::Push(part, at)));
    }
    let chamber = engine.chamber(path).map(Element::Chamber);
    let way = engine.way(path).map(Element::Way);
    [chamber, way].into_iter().flatten().find(|element| engine.readings.contains_key(element))
}
