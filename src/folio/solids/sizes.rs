//! What the sizes of a cutaway are worth, with their derivatives by everything uncertain in them.

use super::super::measured::Readings;
use super::super::routing::Routing;
use crate::cutaway::Engine;
use crate::cutaway::solids::{DrawnSize, SizeKind};
use crate::formula::{
    self, FaultKind, Formula, FormulaFault, Input, InputId, NoNames, Outcome, Value, parse,
};
use crate::geometry::{Dual, Scalar};
use crate::quantity::{Conventions, Dimension};
use std::collections::BTreeMap;

/// By how much an estimate may be off where it does not say, as a share of it: common practice,
/// no source.
const ESTIMATE: f64 = 0.1;

/// The place among a size's literals that stands for the estimate as a whole.
const WHOLE: u32 = 63;

/// The number of no size: its places stand for where flat faces seal, from -1 at the bore to 1 at
/// the edge.
const FACES: usize = 0x3ff;

/// Every literal of the sizes of all cutaways, as inputs of calculations.
#[derive(Debug, Default)]
pub(crate) struct SizeInputs {
    inputs: BTreeMap<u32, Input>,
}

impl SizeInputs {
    /// Those of all cutaways; an engine goes by its number among them.
    pub(crate) fn of(routing: &Routing) -> SizeInputs {
        let mut inputs = SizeInputs::default();
        for (number, routed) in routing.engines.values().enumerate() {
            inputs.enter(number, &routed.engine);
        }
        inputs
    }

    fn enter(&mut self, number: usize, engine: &Engine) {
        for face in 0..WHOLE as usize {
            self.inputs.insert(key(number, FACES, face), Input::limits(1.0));
        }
        for (at, (_, size)) in sizes(engine).into_iter().enumerate() {
            let (SizeKind::Stated(formula) | SizeKind::Estimated(formula)) = &size.kind else {
                continue;
            };
            for (place, (_, input)) in formula.literal_inputs().into_iter().enumerate() {
                self.inputs.insert(key(number, at, place), input);
            }
            if matches!(size.kind, SizeKind::Estimated(_)) {
                let value = formula::evaluate(formula, &NoNames, &Conventions::default());
                if let Ok(Outcome::Value(value)) = value {
                    let half_width = ESTIMATE * value.quantity.si.to_f64();
                    let whole = key(number, at, WHOLE as usize);
                    self.inputs.insert(whole, Input::limits(half_width));
                }
            }
        }
    }

    /// How uncertain one of them is.
    pub(crate) fn input(&self, key: u32) -> Input {
        self.inputs.get(&key).copied().unwrap_or_else(|| Input::limits(0.0))
    }

    /// The number of the size, among those of an engine, in which an input stands.
    pub(super) fn size_of(key: u32, engine: usize) -> Option<usize> {
        let of_engine = usize::try_from(key >> 16).is_ok_and(|number| number == engine);
        usize::try_from((key >> 6) & 0x3ff).ok().filter(|_| of_engine)
    }

    fn has(&self, key: u32) -> bool {
        self.inputs.contains_key(&key)
    }
}

fn key(engine: usize, size: usize, place: usize) -> u32 {
    let bits = |value: usize, most: u32| u32::try_from(value).unwrap_or(most).min(most);
    (bits(engine, 0xffff) << 16) | (bits(size, 0x3ff) << 6) | bits(place, WHOLE)
}

/// All sizes of an engine, those of the body first, each with what it is the size of.
pub(crate) fn sizes(engine: &Engine) -> Vec<(String, &DrawnSize)> {
    let body = engine.drawn.body.iter().flat_map(|solid| {
        let sizes = solid.sizes().into_iter();
        sizes.map(|(what, size)| (format!("the {what} of the body"), size))
    });
    let parts = engine.drawn.parts.iter().flat_map(|(part, solid)| {
        let own = &engine.parts[*part];
        let sizes = solid.sizes().into_iter();
        sizes.map(move |(what, size)| {
            let positions = own.positions.iter().enumerate().rev();
            let what = positions.fold(what, |what, (at, position)| {
                what.replace(&format!("position {}", at + 1), &format!("`{}`", position.id))
            });
            (format!("the {what} of `{}`", own.name.id), size)
        })
    });
    body.chain(parts).collect()
}

/// Why a size has no value.
#[derive(Debug)]
pub(super) enum SizeFault {
    /// Told elsewhere.
    Poisoned,
    /// To be told at it, with what to do.
    Told(String, Option<String>),
}

/// An input of the geometry.
#[derive(Debug, Clone)]
pub(super) enum SolidInput {
    /// An input of the folio.
    Known(InputId),
    /// A size that is not known: what it is the size of, or what it waits for.
    Unknown(String),
}

/// Works sizes out, and keeps what they rest on.
pub(super) struct SizeReader<'a> {
    pub(super) readings: Readings<'a>,
    pub(super) engine_number: usize,
    pub(super) known: &'a SizeInputs,
    pub(super) inputs: Vec<SolidInput>,
}

impl SizeReader<'_> {
    /// A size, in m; one that is not known stands for `instead`.
    pub(super) fn size(
        &mut self,
        (at, what): (usize, &str),
        size: &DrawnSize,
        instead: f64,
    ) -> Result<Dual, SizeFault> {
        let formula = match &size.kind {
            SizeKind::Unknown => return Ok(self.unknown(what.to_owned(), instead)),
            SizeKind::Stated(formula) | SizeKind::Estimated(formula) => formula,
        };
        let value = match self.value(formula, size.borrowed_from.as_deref()) {
            Ok(value) => value,
            Err(fault) => match fault.kind {
                FaultKind::Poisoned => return Err(SizeFault::Poisoned),
                FaultKind::Undecided => return Ok(self.unknown(fault.message, instead)),
                _ => return Err(SizeFault::Told(fault.message, fault.help)),
            },
        };
        if value.quantity.dimension != Dimension::LENGTH {
            let message = format!("{what} is a length; `{}` is none", size.text);
            let help = "write it with a unit, as `4.0 mm`";
            return Err(SizeFault::Told(message, Some(help.to_owned())));
        }
        let metres = value.quantity.si.to_f64();
        if metres < 0.0 {
            let message = format!("{what} is below nought");
            return Err(SizeFault::Told(message, None));
        }
        let literals = formula.literal_inputs();
        let mut parts: Vec<(InputId, f64)> = value
            .sensitivities
            .iter()
            .map(|(id, slope)| {
                let place = literals.iter().position(|(known, _)| known == id);
                let own = |place| InputId::Drawn(key(self.engine_number, at, place));
                (place.map_or(*id, own), *slope)
            })
            .collect();
        let whole = key(self.engine_number, at, WHOLE as usize);
        if self.known.has(whole) {
            parts.push((InputId::Drawn(whole), 1.0));
        }
        Ok(self.with_parts(metres, parts))
    }

    /// What a formula comes to by the figures of the own page, or by those of another engine's
    /// where the own one has none of a name.
    fn value(&self, formula: &Formula, other: Option<&str>) -> Result<Value, FormulaFault> {
        let ledger = self.readings.ledger;
        let on = |sheet: usize| -> Result<Value, FormulaFault> {
            let conventions = &ledger.sheets[sheet].conventions;
            match formula::evaluate(formula, &ledger.scope(sheet), conventions)? {
                Outcome::Value(value) => Ok(value),
                Outcome::Truth(_) => Ok(Value::certain(crate::sheet::ledger::counted(0))),
            }
        };
        let own = on(self.readings.sheet);
        match (own, other.and_then(|engine| ledger.engine(engine))) {
            (Err(fault), Some(sheet)) if fault.kind == FaultKind::Name => on(sheet),
            (own, _) => own,
        }
    }

    /// The section of a ring by its dash number, or by the reading that states it.
    pub(super) fn section(&mut self, size: &str) -> Option<(Dual, Dual)> {
        let mut of = |member: &str, function: &str| {
            let texts = [format!("{function}(\"{size}\")"), format!("{size}.{member}")];
            let value = texts.iter().find_map(|text| self.value(&parse(text).ok()?, None).ok())?;
            let metres = value.quantity.si.to_f64();
            Some(self.with_parts(metres, value.sensitivities))
        };
        Some((of("section", "ring_section")?, of("inside", "ring_inside")?))
    }

    /// A radius between two others of which no more is known, of the flat face of this number.
    pub(super) fn between(&mut self, face: usize, (low, high): (Dual, Dual)) -> Dual {
        let id = InputId::Drawn(key(self.engine_number, FACES, face.min(WHOLE as usize - 1)));
        let share = self.with_parts(0.0, vec![(id, 0.5)]);
        half(low.clone() + high.clone()) + share * (high - low)
    }

    /// A value of the folio, with everything that it rests on.
    pub(super) fn dual(&mut self, value: Value) -> Dual {
        self.with_parts(value.quantity.si.to_f64(), value.sensitivities)
    }

    fn with_parts(&mut self, value: f64, parts: Vec<(InputId, f64)>) -> Dual {
        let mut slopes: Vec<(u32, f64)> =
            parts.into_iter().map(|(id, slope)| (self.number(id), slope)).collect();
        slopes.sort_by_key(|(number, _)| *number);
        Dual::with_slopes(value, slopes)
    }

    fn number(&mut self, id: InputId) -> u32 {
        let is_it = |it: &SolidInput| matches!(it, SolidInput::Known(known) if *known == id);
        let at = self.inputs.iter().position(is_it).unwrap_or_else(|| {
            self.inputs.push(SolidInput::Known(id));
            self.inputs.len() - 1
        });
        u32::try_from(at).unwrap_or(u32::MAX)
    }

    /// Something that is not known.
    pub(super) fn unknown(&mut self, what: String, instead: f64) -> Dual {
        self.inputs.push(SolidInput::Unknown(what));
        Dual::input(instead, u32::try_from(self.inputs.len() - 1).unwrap_or(u32::MAX))
    }
}

/// Half of a diameter.
pub(super) fn half(diameter: Dual) -> Dual {
    diameter / Dual::constant(2.0)
}
