//! Sizes from tables: sealing rings by dash number, drills by name.

use super::{CallArguments, Function, FunctionBody, Parameter, Sort, needs};
use crate::formula::tree::NodeKind;
use crate::formula::{FaultKind, FormulaFault, InputId, RingSize, Value};
use crate::quantity::exact::to_f64;
use crate::quantity::{Dimension, Kind, Quantity, Rational, Real};
use crate::tables::{self, Ring, TableFault, inches_to_metres};
use num_bigint::BigInt;

const RINGS: &str = "AS568 sizes, cross-checked from four independent copies; the standard \
                     was not read";

const DASH: &[Parameter] = &[needs("dash", Sort::Word)];

const fn ring_size(
    name: &'static str,
    doc: &'static str,
    body: fn(&CallArguments<'_>) -> Result<Value, FormulaFault>,
) -> Function {
    Function {
        name,
        parameters: DASH,
        takes_more: false,
        result: Sort::Length,
        unit: "mm",
        doc,
        range: "the 369 sizes of AS568, free, not stretched; with its tolerance",
        source: RINGS,
        body: FunctionBody::Whole(body),
    }
}

/// The functions of this group.
pub(super) const FUNCTIONS: &[Function] = &[
    ring_size("ring_inside", "Inside diameter of a ring by its dash number.", |arguments| {
        Ok(size(ring(arguments)?, arguments, (1.0, 0.0)))
    }),
    ring_size("ring_section", "Thickness of a ring by its dash number.", |arguments| {
        Ok(size(ring(arguments)?, arguments, (0.0, 1.0)))
    }),
    ring_size("ring_outside", "Outside diameter of a ring by its dash number.", |arguments| {
        Ok(size(ring(arguments)?, arguments, (1.0, 2.0)))
    }),
    Function {
        name: "ring_squeeze",
        parameters: &[
            needs("dash", Sort::Word),
            needs("groove_floor", Sort::Length),
            needs("bore", Sort::Length),
        ],
        takes_more: false,
        result: Sort::Number,
        unit: "%",
        doc: "Share of a ring's section that is pressed together between the floor of a groove and \
              the bore around it.",
        range: "radial seal on one centre, bore above the groove floor; thinning by stretch is not counted; negative where the \
                ring does not touch",
        source: RINGS,
        body: FunctionBody::Whole(squeeze),
    },
    Function {
        name: "drill",
        parameters: &[needs("name", Sort::Word)],
        takes_more: false,
        result: Sort::Length,
        unit: "mm",
        doc: "Nominal diameter of a drill: \"#60\", \"letter F\", \"1/16 in\", \"1.5 mm\".",
        range: "the drill, not the hole it leaves",
        source: "ANSI/ASME B94.11M sizes, from memory, compared with public tables",
        body: FunctionBody::Whole(|arguments| {
            let text = word(arguments)?;
            let drill = tables::drill(text).map_err(|fault| refused(fault, arguments))?;
            Ok(Value::certain(length(Real::Exact(inches_to_metres(&drill.diameter)))))
        }),
    },
];

fn word<'a>(arguments: &'a CallArguments<'_>) -> Result<&'a str, FormulaFault> {
    match &arguments.nodes[0].kind {
        NodeKind::Text(text) => Ok(text),
        _ => Err(FormulaFault::new(
            FaultKind::Text,
            arguments.nodes[0].span,
            "the name stands without quotation marks",
        )
        .helping("write it in quotation marks, as in \"-012\"")),
    }
}

fn refused(fault: TableFault, arguments: &CallArguments<'_>) -> FormulaFault {
    FormulaFault {
        kind: FaultKind::Name,
        span: arguments.nodes[0].span,
        message: fault.message,
        help: fault.help,
    }
}

fn ring(arguments: &CallArguments<'_>) -> Result<&'static Ring, FormulaFault> {
    tables::ring(word(arguments)?).map_err(|fault| refused(fault, arguments))
}

fn length(si: Real) -> Quantity {
    Quantity { si, dimension: Dimension::LENGTH, kind: Kind::Plain, reference: None }
}

/// `a · inside + b · section`, each at the place that the shift asks for.
fn size(ring: &Ring, arguments: &CallArguments<'_>, (a, b): (f64, f64)) -> Value {
    let mut total = Real::zero();
    let mut sensitivities = Vec::new();
    for (factor, size, nominal, tolerance) in [
        (a, RingSize::Inside, &ring.inside, &ring.inside_tolerance),
        (b, RingSize::Section, &ring.section, &ring.section_tolerance),
    ] {
        if factor == 0.0 {
            continue;
        }
        let id = InputId::Ring(ring.number, size);
        let tolerance =
            tolerance.as_ref().map_or_else(|| Rational::from(BigInt::from(0)), Clone::clone);
        let moved = match arguments.context.shift.side(id) {
            None => nominal.clone(),
            Some(crate::formula::ShiftSide::Low) => nominal - &tolerance,
            Some(crate::formula::ShiftSide::High) => nominal + &tolerance,
        };
        let times = if factor == 2.0 { 2 } else { 1 };
        let metres = inches_to_metres(&moved) * Rational::from(BigInt::from(times));
        total = total.add(&Real::Exact(metres));
        if to_f64(&tolerance) != 0.0 {
            sensitivities.push((id, factor));
        }
    }
    sensitivities.sort_by_key(|(id, _)| *id);
    Value { sensitivities, ..Value::certain(length(total)) }
}

/// 1 − (bore − floor) / (2 · section)
fn squeeze(arguments: &CallArguments<'_>) -> Result<Value, FormulaFault> {
    use crate::formula::arithmetic::{Operand, apply, combine};
    use crate::formula::tree::Operator;
    let section = size(ring(arguments)?, arguments, (0.0, 1.0));
    let node = |at: usize| &arguments.nodes[at];
    let operand = |value, at| Operand { value, node: node(at) };
    let (floor, bore) = (&arguments.values[1], &arguments.values[2]);
    let span = arguments.span;
    let gap = apply(Operator::Subtract, operand(bore, 2), operand(floor, 1), span)?;
    if gap.quantity.si.to_f64() <= 0.0 {
        let message =
            "`ring_squeeze`: the bore is not above the groove floor, so no ring fits between";
        return Err(FormulaFault::new(FaultKind::Range, span, message)
            .helping("give the floor of the groove first, then the bore around it"));
    }
    let share = apply(Operator::Divide, operand(&gap, 2), operand(&section, 0), span)?;
    let half = Real::Exact(Rational::new(1.into(), 2.into()));
    let one = Real::Exact(Rational::from(BigInt::from(1)));
    let si = one.sub(&share.quantity.si.mul(&half));
    let sensitivities = combine(&[(-0.5, &share.sensitivities)]);
    let quantity = Quantity { si, ..share.quantity };
    Ok(Value { sensitivities, ..Value::certain(quantity) })
}
