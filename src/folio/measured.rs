//! What a cutaway and the page of its engine say of the same thing: the readings at which things
//! are drawn, held against the page.

use super::routing::{Routed, Routing};
use super::{facts, times};
use crate::cutaway::model::{Element, Name, PushKind, Returns, Term};
use crate::cutaway::{Engine, term_path};
use crate::formula::Value;
use crate::quantity::Dimension;
use crate::sheet::Ledger;
use crate::sheet::ledger::EntryId;
use crate::slip::Slip;
use crate::text::{Spot, nearest};

/// What of a thing a reading states.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Quality {
    /// Of a supply.
    Pressure,
    /// Of a chamber.
    Volume,
    /// Of a way, the barrel or a face.
    Diameter,
    /// Of a way or a face.
    Area,
    /// Of a spring.
    Rate,
    /// Of a spring.
    Force,
    /// Of a spring where it is longest.
    Preload,
}

impl Quality {
    /// Its name in formulas (`cut.line.pressure`).
    pub(crate) fn word(self) -> &'static str {
        match self {
            Quality::Pressure => "pressure",
            Quality::Volume => "volume",
            Quality::Diameter => "diameter",
            Quality::Area => "area",
            Quality::Rate => "rate",
            Quality::Force => "force",
            Quality::Preload => "preload",
        }
    }

    pub(super) fn dimension(self) -> Dimension {
        match self {
            Quality::Pressure => Dimension::PRESSURE,
            Quality::Volume => Dimension::VOLUME,
            Quality::Diameter => Dimension::LENGTH,
            Quality::Area => Dimension::AREA,
            Quality::Rate => Dimension::SPRING_RATE,
            Quality::Force | Quality::Preload => Dimension::FORCE,
        }
    }

    /// What may be stated of something.
    pub(super) fn of(engine: &Engine, thing: Element) -> &'static [Quality] {
        match thing {
            Element::Chamber(at) if engine.chambers[at].is_supply() => &[Quality::Pressure],
            Element::Chamber(_) => &[Quality::Volume],
            Element::Way(_) => &[Quality::Diameter, Quality::Area],
            Element::Push(part, at) => match engine.parts[part].pushes[at].kind {
                PushKind::Face(_) => &[Quality::Diameter, Quality::Area],
                PushKind::Spring => &[Quality::Rate, Quality::Force],
                PushKind::Contact(_) | PushKind::Hand => &[Quality::Force],
            },
            _ => &[],
        }
    }
}

/// A thing drawn `at READING`.
pub(crate) struct DrawnAt<'a> {
    /// `switch.rear`, as facts write it.
    pub(crate) thing: String,
    /// What the reading may state of it.
    pub(crate) qualities: &'static [Quality],
    pub(crate) reading: &'a Name,
}

/// Everything that a cutaway draws at a reading.
pub(crate) fn drawn_at(engine: &Engine) -> Vec<DrawnAt<'_>> {
    let drawn = engine.readings.iter().map(|(thing, reading)| DrawnAt {
        thing: term_path(engine, &Term::Own(*thing)),
        qualities: Quality::of(engine, *thing),
        reading,
    });
    let preloads = engine.preloads.iter().map(|(thing, reading)| DrawnAt {
        thing: term_path(engine, &Term::Own(*thing)),
        qualities: &[Quality::Preload],
        reading,
    });
    drawn.chain(preloads).collect()
}

/// The figures that a cutaway names: sizes of things, times of events, and clocks where the page
/// has a figure of that name.
pub(super) fn names(engine: &Engine) -> impl Iterator<Item = &Name> {
    let sizes = engine.readings.values().chain(engine.preloads.values());
    sizes.chain(engine.sayings.iter().filter_map(|saying| saying.after.as_ref()))
}

/// The figures of the page that describes an engine, as its cutaway names them.
#[derive(Clone, Copy)]
pub(crate) struct Readings<'a> {
    pub(crate) ledger: &'a Ledger,
    /// Sheet of the engine's page.
    pub(crate) sheet: usize,
}

impl<'a> Readings<'a> {
    /// Those of an engine; `None` where no page describes it.
    pub(crate) fn of(ledger: &'a Ledger, engine: &str) -> Option<Readings<'a>> {
        Some(Readings { ledger, sheet: ledger.engine(engine)? })
    }

    /// The entry of this name.
    pub(crate) fn entry(self, name: &str) -> Option<EntryId> {
        self.ledger.resolve(self.sheet, &[name]).map(|(sheet, entry, _)| (sheet, entry))
    }

    /// Its value, with what it rests on; `None` where it has none, which is told or told for.
    pub(crate) fn value(self, name: &str) -> Option<Value> {
        let (sheet, entry) = self.entry(name)?;
        self.ledger.nominal(sheet, entry)
    }
}

/// The entries that cutaways name.
pub(crate) fn named_by_cutaways(routing: &Routing, ledger: &Ledger) -> Vec<EntryId> {
    let engines = routing.engines.iter();
    let named = engines.filter_map(|(engine, routed)| {
        let readings = Readings::of(ledger, engine)?;
        let clocks = routed.engine.valves.iter().filter_map(|valve| match &valve.returns {
            Returns::After(clock) => Some(clock),
            Returns::Spring | Returns::While(_) => None,
        });
        let names = names(&routed.engine).chain(clocks);
        let drawn = routed.engine.drawn.body.as_ref();
        let pressure = drawn.and_then(|_| readings.entry(super::solids::REGULATED));
        Some(names.filter_map(move |name| readings.entry(&name.id)).chain(pressure))
    });
    named.flatten().collect()
}

/// Holds every cutaway against the page of its engine.
pub(super) fn judge(routing: &Routing, ledger: &Ledger) -> Vec<Slip> {
    let mut slips = Vec::new();
    for (engine, routed) in &routing.engines {
        let Some(readings) = Readings::of(ledger, engine) else { continue };
        let names = names(&routed.engine);
        slips.extend(names.filter_map(|name| unknown(name, routed, readings)));
        let drawn = drawn_at(&routed.engine);
        slips.extend(drawn.iter().filter_map(|drawn| other_kind(drawn, routed, readings)));
        slips.extend(facts::judge(routing, routed, readings));
        slips.extend(times::judge(routed, readings));
    }
    slips
}

/// Where a name of a figure stands. What another cutaway brings stands in another file.
pub(super) fn spot(name: &Name, routed: &Routed) -> Spot {
    let is_own = routed.source.slice(name.span) == name.id;
    Spot::new(&routed.source, if is_own { name.span } else { routed.engine.name.span })
}

/// A figure that the page has not. What is taken over from another cutaway names the figures of
/// that one's page, which this page may lack.
fn unknown(name: &Name, routed: &Routed, readings: Readings<'_>) -> Option<Slip> {
    let is_own = routed.source.slice(name.span) == name.id;
    if !is_own || readings.entry(&name.id).is_some() {
        return None;
    }
    let sheet = &readings.ledger.sheets[readings.sheet];
    let message = format!("{} has no figure `{}`", sheet.source.name, name.id);
    let slip = Slip::stop("unknown-name", spot(name, routed), message);
    let known = sheet.entries.iter().map(|entry| entry.name.text.as_str());
    Some(match nearest(&name.id, known) {
        Some(near) => slip.help(format!("did you mean `{near}`?")),
        None => slip.help(format!("add the reading `{}` there, or drop it here", name.id)),
    })
}

/// A reading that states something else.
fn other_kind(drawn: &DrawnAt<'_>, routed: &Routed, readings: Readings<'_>) -> Option<Slip> {
    let value = readings.value(&drawn.reading.id)?;
    let is_stated = |quality: &Quality| value.quantity.dimension == quality.dimension();
    if drawn.qualities.iter().any(is_stated) {
        return None;
    }
    let words: Vec<&str> = drawn.qualities.iter().map(|quality| quality.word()).collect();
    let message = format!(
        "`{}` is a {}, and no {} of `{}`",
        drawn.reading.id,
        value.quantity.dimension,
        words.join(" or "),
        drawn.thing
    );
    let slip = Slip::stop("other-kind-wanted", spot(drawn.reading, routed), message);
    Some(slip.help(format!("name the reading of its {}", words.join(" or of its "))))
}
