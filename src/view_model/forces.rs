//! What pushes each part of an engine, moment by moment, as readers see it.

use super::shot::{pose_anchor, pose_words};
use crate::cutaway::model::{Direction, Element, Engine, PartId};
use crate::folio::Folio;
use crate::folio::solids::{LettingGo, PartMoment, PushRow, Pushing, SolidResult, forces};
use crate::formula::Value;
use crate::logic::{Exploration, Level};
use crate::quantity::{Dimension, Kind, Quantity, Real};
use crate::sheet::ledger::EntryId;
use crate::sheet::print::{ShownWidth, shown_alone, worked_out};
use serde::Serialize;

/// A figure of the geometry, or what it waits for.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct SizedFigure {
    pub(crate) value: Option<ShownWidth>,
    /// What it waits for, in words; empty where there is a value.
    pub(crate) needs: String,
}

/// What pushes one part through the shot.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ForcedPart {
    pub(crate) anchor: String,
    /// Its name in formulas.
    pub(crate) id: String,
    pub(crate) name: String,
    pub(crate) moments: Vec<ForcedMoment>,
}

/// What pushes it as long as nothing about it changes.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ForcedMoment {
    /// Number of the first moment of the shot, from 0 for the state at rest, and of the last.
    pub(crate) from: usize,
    pub(crate) to: usize,
    /// Anchor of the first on the engine's page, without `#`.
    pub(crate) anchor: String,
    /// What has just happened.
    pub(crate) after: String,
    /// Where the part stands.
    pub(crate) position: String,
    pub(crate) rows: Vec<ForcedRow>,
    pub(crate) net: NetForce,
    pub(crate) lets_go: Vec<LetsGo>,
}

/// One push.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ForcedRow {
    /// What pushes: "the rear room", "the return spring".
    pub(crate) by: String,
    /// Of a room: "full", "spent".
    pub(crate) level: &'static str,
    /// Of a room: the figure of the page that states its pressure; may be empty.
    pub(crate) reading: String,
    /// Anchor of that figure on the engine's page; empty where there is none.
    pub(crate) reading_anchor: String,
    pub(crate) pressure: SizedFigure,
    pub(crate) area: SizedFigure,
    pub(crate) force: SizedFigure,
    /// "to the front", "to the rear"; empty where nothing is known to push.
    pub(crate) direction: &'static str,
}

/// What is left over.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct NetForce {
    pub(crate) force: SizedFigure,
    pub(crate) direction: &'static str,
    /// Where it is only known between two values: both, with their directions.
    pub(crate) between: Vec<(ShownWidth, &'static str)>,
    /// What the part does: "the spool moves back", without full stop.
    pub(crate) so: String,
    /// Whether that is otherwise than the force has it.
    pub(crate) disagrees: bool,
}

/// The pressure of a room at which a part begins to move.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct LetsGo {
    /// "when the rear room has risen to", or the like.
    pub(crate) when: String,
    pub(crate) pressure: SizedFigure,
    /// Its name in formulas.
    pub(crate) name: String,
}

/// The forces of an engine that has sizes; nothing of others.
pub(crate) fn forced_parts(folio: &Folio, engine: &str) -> Vec<ForcedPart> {
    let routed = folio.routing.of(engine).filter(|routed| routed.shot.is_some());
    let (Some(routed), Some(sheet)) = (routed, folio.ledger.engine(engine)) else {
        return Vec::new();
    };
    let Some(shot) = &routed.shot else { return Vec::new() };
    let teller = ForceTeller { folio, sheet, engine: &routed.engine, found: &shot.found };
    let events = pose_words(teller.engine, teller.found);
    let parts = forces(folio, engine).iter().map(|forces| {
        let name = &teller.engine.parts[forces.part].name;
        let moments = forces.moments.iter();
        ForcedPart {
            anchor: format!("_forces-{}", name.id.replace('_', "-")),
            id: name.id.clone(),
            name: name.spoken(),
            moments: moments.map(|moment| teller.moment(forces.part, moment, &events)).collect(),
        }
    });
    parts.collect()
}

struct ForceTeller<'a> {
    folio: &'a Folio,
    sheet: usize,
    engine: &'a Engine,
    found: &'a Exploration,
}

impl ForceTeller<'_> {
    fn moment(&self, part: PartId, moment: &PartMoment, events: &[Vec<String>]) -> ForcedMoment {
        let own = &self.engine.parts[part];
        let (from, to) = moment.moments;
        let position = &own.positions[moment.position].id;
        let named = |lets_go: &LettingGo| {
            let room = &self.engine.chambers[lets_go.room].name.id;
            format!("cut.{}.lets_go.{position}.{room}", own.name.id)
        };
        ForcedMoment {
            from,
            to,
            anchor: pose_anchor(from),
            after: events.get(from).map(|events| events.join("; ")).unwrap_or_default(),
            position: own.positions[moment.position].spoken(),
            rows: moment.rows.iter().map(|row| self.row(part, row)).collect(),
            net: self.net(part, moment),
            lets_go: moment
                .lets_go
                .iter()
                .filter(|lets_go| lets_go.pressure.is_ok())
                .map(|lets_go| LetsGo {
                    when: self.when(lets_go),
                    pressure: self.figure(&lets_go.pressure),
                    name: named(lets_go),
                })
                .collect(),
        }
    }

    fn row(&self, part: PartId, row: &PushRow) -> ForcedRow {
        let by = match row.by {
            Pushing::Room(room) => Element::Chamber(room).the(self.engine),
            Pushing::Spring(at) => format!("the {}", self.engine.parts[part].pushes[at].spring()),
            Pushing::Contact(at) => Element::Push(part, at).the(self.engine),
        };
        let (level, reading) = match &row.level {
            Some((level, reading)) => (level.word(), reading.clone().unwrap_or_default()),
            None => ("", String::new()),
        };
        let ledger = &self.folio.ledger;
        let path = [reading.as_str()];
        let found = ledger.resolve(self.sheet, &path).map(|(sheet, entry, _)| (sheet, entry));
        let entry = found.filter(|(sheet, _)| *sheet == self.sheet);
        let entry = entry.map(|(sheet, entry)| &ledger.sheets[sheet].entries[entry]);
        ForcedRow {
            by,
            level,
            reading_anchor: entry.map(|entry| entry.anchor()).unwrap_or_default(),
            pressure: self.pressure(row, found),
            reading: entry.map_or(reading, |entry| entry.words()),
            area: row.area.as_ref().map(|area| self.size(area)).unwrap_or_default(),
            force: match &row.force {
                Ok(force) if force.quantity.si.to_f64() == 0.0 => {
                    let is_empty = matches!(row.level, Some((Level::Empty, _)));
                    let needs = if is_empty { "no pressure" } else { "none" };
                    SizedFigure { value: None, needs: needs.to_owned() }
                }
                force => self.size(force),
            },
            direction: direction(&row.force),
        }
    }

    fn pressure(&self, row: &PushRow, stated: Option<EntryId>) -> SizedFigure {
        let needs = |needs: &str| SizedFigure { needs: needs.to_owned(), ..SizedFigure::default() };
        match &row.level {
            None => SizedFigure::default(),
            Some((Level::Empty, _)) => needs("that of the open air"),
            Some(_) => {
                let shown = |(sheet, entry)| shown_alone(&self.folio.ledger, sheet, entry);
                match stated.and_then(shown) {
                    Some(value) => SizedFigure { value: Some(value), needs: String::new() },
                    None => needs("not known"),
                }
            }
        }
    }

    fn net(&self, part: PartId, moment: &PartMoment) -> NetForce {
        let own = &self.engine.parts[part];
        let name = own.name.spoken();
        let position = own.positions[moment.position].spoken();
        let held = match &own.latch {
            Some(latch) if moment.is_latched => format!(", held by the {}", latch.name.spoken()),
            _ => String::new(),
        };
        let disagrees = match (moment.moves, moment.pushes) {
            (Some(moves), Some(pushed)) => moves != pushed,
            _ => false,
        };
        let has_room = |pushed: &Direction| match pushed {
            Direction::Forward => moment.position.place() + 1 < own.positions.len(),
            Direction::Back => 0 < moment.position.place(),
        };
        let driven = moment.pushes.filter(|pushed| !moment.is_latched && has_room(pushed));
        let so = match (moment.moves, driven) {
            (Some(moves), _) => format!("the {name} moves {}", moves.word()),
            // Other events come first in the told run, but nothing keeps it.
            (None, Some(driven)) => format!("the {name} is driven {}", driven.word()),
            (None, None) => format!("the {name} stays at \u{201c}{position}\u{201d}{held}"),
        };
        let ends = moment.between.map(|(low, high)| [low, high].map(|end| self.newtons(end)));
        NetForce {
            force: self.size(&moment.net),
            direction: direction(&moment.net),
            between: ends.into_iter().flatten().collect(),
            so: if disagrees { format!("and yet, in the shot, {so}") } else { so },
            disagrees,
        }
    }

    fn newtons(&self, force: f64) -> (ShownWidth, &'static str) {
        let si = Real::near(force.abs());
        let dimension = Dimension::FORCE;
        let quantity = Quantity { si, dimension, kind: Kind::Plain, reference: None };
        let value = Value::certain(quantity);
        (worked_out(&self.folio.ledger, self.sheet, &value), toward(force))
    }

    fn when(&self, lets_go: &LettingGo) -> String {
        let room = Element::Chamber(lets_go.room).the(self.engine);
        let how = if lets_go.rises { "risen" } else { "fallen" };
        format!("when {room} has {how} to")
    }

    fn figure(&self, found: &SolidResult) -> SizedFigure {
        match found {
            Ok(value) => SizedFigure {
                value: Some(worked_out(&self.folio.ledger, self.sheet, value)),
                needs: String::new(),
            },
            Err(needs) => {
                SizedFigure { value: None, needs: format!("not known: {}", plain(needs)) }
            }
        }
    }

    /// The same without its sign, which the direction tells.
    fn size(&self, found: &SolidResult) -> SizedFigure {
        self.figure(&found.clone().map(|mut value| {
            if value.quantity.si.to_f64() < 0.0 {
                value.quantity.si = Real::near(-value.quantity.si.to_f64());
                value.sensitivities.iter_mut().for_each(|(_, slope)| *slope = -*slope);
            }
            value
        }))
    }
}

/// Words for readers: names without their quotes.
pub(super) fn plain(words: &str) -> String {
    words.replace('`', "").replace('_', " ")
}

fn direction(force: &SolidResult) -> &'static str {
    force.as_ref().map_or("", |force| toward(force.quantity.si.to_f64()))
}

fn toward(force: f64) -> &'static str {
    if force == 0.0 {
        ""
    } else if force < 0.0 {
        "to the rear"
    } else {
        "to the front"
    }
}
