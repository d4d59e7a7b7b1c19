//! Calling a function: its arguments are checked, pressures turned absolute, derivatives taken.

use super::gas::{self, Surroundings};
use super::{CallArguments, ClosedForm, Function, FunctionBody, Parameter, Sort, all, find, usage};
use crate::formula::arithmetic::{combine, settled, upright};
use crate::formula::datum;
use crate::formula::evaluate::{Context, complete, value};
use crate::formula::parse::parse;
use crate::formula::show::describe;
use crate::formula::tree::{Formula, Node, NodeKind};
use crate::formula::{
    FaultKind, FormulaFault, Input, InputId, Lookup, Scope, Shift, ShiftSide, Value,
};
use crate::quantity::exact::to_f64;
use crate::quantity::{Dimension, Kind, Quantity, Real, Reference};
use crate::text::{Span, nearest};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// Relative accuracy of the functions themselves.
const ACCURACY: f64 = 1e-12;

/// Works out `name(arguments)`.
pub(in crate::formula) fn call(
    name: &str,
    at: Span,
    nodes: &[Node],
    span: Span,
    context: Context<'_>,
) -> Result<Value, FormulaFault> {
    let function = find(name).ok_or_else(|| unknown(name, at, context.scope))?;
    let parameters = matched(function, nodes, at)?;
    let mut values = Vec::with_capacity(parameters.len());
    for (parameter, node) in parameters.iter().zip(nodes) {
        values.push(argument(function, parameter, node, context)?);
    }
    for parameter in parameters.iter().skip(nodes.len()) {
        let default = Real::Exact(exact_default(parameter.default.unwrap_or(0.0)));
        values.push(Value::certain(parameter.sort.quantity(default)));
    }
    let worked_out = match function.body {
        FunctionBody::Whole(body) => body(&CallArguments { nodes, values, span, context })?,
        FunctionBody::Formula(text) => closed_form(function, text, &values, span, context)?,
        FunctionBody::Within(check, text) => {
            let x: Vec<f64> = values.iter().map(|value| value.quantity.si.to_f64()).collect();
            check(&x).map_err(|why| outside(function, why, span))?;
            closed_form(function, text, &values, span, context)?
        }
        FunctionBody::Smooth(body) => smooth(function, body, &values, span, context)?,
        FunctionBody::TwoEnded(ends) => two_ended(function, ends, &values, span, context)?,
        FunctionBody::OfOne(body) => {
            smooth(function, |x: &[f64], _: &Surroundings| body(x[0]), &values, span, context)?
        }
    };
    settled(worked_out, span)
}

fn unknown(name: &str, at: Span, scope: &dyn Scope) -> FormulaFault {
    let fault = FormulaFault::new(FaultKind::Name, at, format!("there is no function `{name}`"));
    if let Some(close) = nearest(name, all().map(|function| function.name)) {
        return fault.helping(format!("did you mean {}?", usage(close)));
    }
    let is_figure = scope.names().iter().any(|known| known == name);
    if is_figure {
        return fault.helping(format!("`{name}` is a figure; write * for a product"));
    }
    fault
}

/// The parameters for so many arguments.
fn matched(
    function: &'static Function,
    nodes: &[Node],
    at: Span,
) -> Result<Vec<Parameter>, FormulaFault> {
    let mut parameters = function.parameters.to_vec();
    if function.takes_more
        && let Some(last) = parameters.last().copied()
    {
        while parameters.len() < nodes.len() {
            parameters.push(last);
        }
    }
    let needed = parameters.iter().filter(|parameter| parameter.default.is_none()).count();
    if (needed..=parameters.len()).contains(&nodes.len()) {
        return Ok(parameters);
    }
    let wanted = if needed == parameters.len() {
        format!("{needed}")
    } else {
        format!("{needed} to {}", parameters.len())
    };
    let s = if wanted == "1" { "" } else { "s" };
    let message = format!("`{}` takes {wanted} argument{s} and got {}", function.name, nodes.len());
    Err(FormulaFault::new(FaultKind::Text, at, message)
        .helping(format!("write {}", function.usage())))
}

/// Defaults are short decimals: their shortest spelling is what was meant.
fn exact_default(value: f64) -> crate::quantity::Rational {
    crate::quantity::exact::parse_decimal(&value.to_string()).unwrap_or_default()
}

/// An argument of the right sort: pressures absolute, everything else as it is.
fn argument(
    function: &Function,
    parameter: &Parameter,
    node: &Node,
    context: Context<'_>,
) -> Result<Value, FormulaFault> {
    if parameter.sort == Sort::Word {
        let is_text = matches!(node.kind, NodeKind::Text(_));
        let none = Value::certain(Sort::Number.quantity(Real::zero()));
        return if is_text { Ok(none) } else { Err(unquoted(function, node)) };
    }
    let mut value = complete(node, context)?;
    datum::name(&mut value);
    if parameter.sort == Sort::Any {
        return Ok(value);
    }
    let quantity = &value.quantity;
    let fits = parameter.sort.dimension() == Some(quantity.dimension)
        && parameter.sort.accepts_kind(quantity.kind);
    if !fits {
        let message = format!(
            "`{}` of `{}` must be {}, not {}",
            parameter.name,
            function.name,
            parameter.sort.words(),
            describe(&value, node)
        );
        return Err(FormulaFault::new(FaultKind::Unlike, node.span, message)
            .helping(format!("write {}", function.usage())));
    }
    match parameter.sort {
        Sort::Pressure => value = absolute(&value, node, context)?,
        Sort::Modulus => value = value.counting_from(None),
        Sort::Temperature if matches!(function.body, FunctionBody::Whole(_)) => {}
        Sort::Temperature => value.quantity.kind = Kind::Plain,
        _ => {}
    }
    let least = parameter.sort.least();
    let size = value.quantity.si.to_f64();
    if least.is_some_and(|(least, included)| size < least || (!included && size == least))
        || parameter.sort.most().is_some_and(|most| most < size)
    {
        let bound = if parameter.sort == Sort::Length { " not below nought" } else { "" };
        let message = format!(
            "`{}` of `{}` is {}, outside what it can be",
            parameter.name,
            function.name,
            describe(&value, node)
        );
        return Err(FormulaFault::new(FaultKind::Range, node.span, message)
            .helping(format!("it must be {}{bound}", parameter.sort.words())));
    }
    Ok(value)
}

fn unquoted(function: &Function, node: &Node) -> FormulaFault {
    let message = format!("`{}` takes a name in quotation marks", function.name);
    let example = if function.name == "drill" { "drill(\"#60\")" } else { "ring_inside(\"-012\")" };
    FormulaFault::new(FaultKind::Text, node.span, message).helping(format!("as in {example}"))
}

/// A pressure counted from nought.
pub(super) fn absolute(
    value: &Value,
    node: &Node,
    context: Context<'_>,
) -> Result<Value, FormulaFault> {
    let quantity = &value.quantity;
    let said = || describe(value, node);
    let fault = |message: String| FormulaFault::new(FaultKind::Unlike, node.span, message);
    if quantity.dimension != Dimension::PRESSURE {
        return Err(fault(format!("{} is no pressure", said())));
    }
    let reference = quantity.reference.or(context.conventions.bare_pressure);
    match reference {
        Some(Reference::Absolute) => Ok(value.clone().counting_from(reference)),
        Some(Reference::Gauge | Reference::Vacuum) => {
            let mut absolute = upright(&value.clone().counting_from(reference));
            let ambient = Real::Exact(context.conventions.ambient.clone());
            absolute.quantity.si = absolute.quantity.si.add(&ambient);
            Ok(absolute.counting_from(Some(Reference::Absolute)))
        }
        Some(Reference::Difference) => {
            Err(fault(format!("{} is a difference and counts from nowhere", said()))
                .helping("say from where: `0 bar gauge + …` for so much above the ambient"))
        }
        None => Err(fault(format!("pressure reference not declared: {}", said()))
            .helping("write gauge or absolute behind it, or declare what a bare pressure means")),
    }
}

static CLOSED_FORMS: LazyLock<BTreeMap<&'static str, Formula>> = LazyLock::new(|| {
    all()
        .filter_map(|function| Some((function.name, parse(function.closed_form()?).ok()?)))
        .collect()
});

/// The names that a closed form may use.
struct Parameters<'a> {
    names: &'a [Parameter],
    values: &'a [Value],
    ambient: Real,
}

impl Scope for Parameters<'_> {
    fn lookup(&self, path: &[&str], _: &Shift) -> Lookup {
        let [name] = path else { return Lookup::Unknown };
        if let Some(at) = self.names.iter().position(|parameter| parameter.name == *name) {
            return Lookup::Value(self.values[at].clone());
        }
        let constant = match *name {
            "ambient" => Sort::Pressure.quantity(self.ambient.clone()),
            "standard_pressure" => {
                Sort::Pressure.quantity(Real::Exact(exact_default(gas::STANDARD_PRESSURE)))
            }
            _ => return Lookup::Unknown,
        };
        Lookup::Value(Value::certain(constant))
    }
    fn input(&self, _: InputId) -> Input {
        Input::limits(0.0)
    }
    fn correlation(&self, _: InputId, _: InputId) -> f64 {
        0.0
    }
    fn names(&self) -> Vec<String> {
        Vec::new()
    }
}

fn closed_form(
    function: &Function,
    text: &str,
    values: &[Value],
    span: Span,
    context: Context<'_>,
) -> Result<Value, FormulaFault> {
    let fault = |message: String| FormulaFault::new(FaultKind::Range, span, message);
    let form = CLOSED_FORMS
        .get(function.name)
        .ok_or_else(|| fault(format!("`{}` is at fault in this program: {text}", function.name)))?;
    let scope = Parameters {
        names: function.parameters,
        values,
        ambient: Real::Exact(context.conventions.ambient.clone()),
    };
    let inner = Context { scope: &scope, ..context };
    let worked_out = value(&form.root, inner).map_err(|inner| FormulaFault {
        span,
        message: format!("in `{}`: {}", function.name, inner.message),
        ..inner
    })?;
    let quantity = function.result.quantity(worked_out.quantity.si);
    Ok(Value { sensitivities: worked_out.sensitivities, ..Value::certain(quantity) })
}

fn smooth(
    function: &Function,
    body: impl Fn(&[f64], &Surroundings) -> Result<f64, String>,
    values: &[Value],
    span: Span,
    context: Context<'_>,
) -> Result<Value, FormulaFault> {
    let surroundings = Surroundings { ambient: to_f64(&context.conventions.ambient) };
    let x: Vec<f64> = values.iter().map(|value| value.quantity.si.to_f64()).collect();
    let worked_out = |x: &[f64]| body(x, &surroundings);
    let y = worked_out(&x).map_err(|why| outside(function, &why, span))?;
    let mut error = y.abs() * ACCURACY;
    let mut parts: Vec<(f64, &[(InputId, f64)])> = Vec::new();
    for (at, value) in values.iter().enumerate() {
        let own_error = match &value.quantity.si {
            Real::Near { error, .. } => *error,
            Real::Exact(_) => 0.0,
        };
        if value.sensitivities.is_empty() && own_error == 0.0 {
            continue;
        }
        let slope = slope(&worked_out, &x, at, y);
        error += 2.0 * slope.abs() * own_error;
        parts.push((slope, &value.sensitivities));
    }
    let quantity: Quantity = function.result.quantity(Real::Near { value: y, error });
    Ok(Value { sensitivities: combine(&parts), ..Value::certain(quantity) })
}

/// That arguments leave the range in which a function holds.
pub(super) fn outside(function: &Function, why: &str, span: Span) -> FormulaFault {
    FormulaFault::new(FaultKind::Range, span, format!("`{}`: {why}", function.name))
        .helping(format!("it holds for: {}", function.range))
}

/// The middle of two closed forms, with [`InputId::WallHeat`] for the way from one to the other.
fn two_ended(
    function: &Function,
    ends: [ClosedForm; 2],
    values: &[Value],
    span: Span,
    context: Context<'_>,
) -> Result<Value, FormulaFault> {
    let share = match context.shift.side(InputId::WallHeat) {
        None => 0.5,
        Some(ShiftSide::Low) => 0.0,
        Some(ShiftSide::High) => 1.0,
    };
    let between = |x: &[f64], around: &Surroundings| {
        let [without, with] = [ends[0](x, around)?, ends[1](x, around)?];
        Ok(without + share * (with - without))
    };
    let mut found = smooth(function, between, values, span, context)?;
    let surroundings = Surroundings { ambient: to_f64(&context.conventions.ambient) };
    let x: Vec<f64> = values.iter().map(|value| value.quantity.si.to_f64()).collect();
    if let (Ok(without), Ok(with)) = (ends[0](&x, &surroundings), ends[1](&x, &surroundings)) {
        let half = [(InputId::WallHeat, 0.5 * (with - without))];
        found.sensitivities = combine(&[(1.0, &found.sensitivities), (1.0, &half)]);
    }
    Ok(found)
}

/// A slope over ever smaller steps, until two agree: a function may swing often within a step that
/// is small beside its argument. Where none agree, the pair that differs least has it.
fn settled_slope(over: impl Fn(f64) -> Option<f64>, widest: f64) -> Option<f64> {
    const AGREED: f64 = 1e-7;
    let mut last = over(widest)?;
    let mut best = (f64::INFINITY, last);
    for shrunk in [16.0, 256.0, 4096.0] {
        let next = over(widest / shrunk)?;
        let apart = (next - last).abs();
        if apart <= AGREED * last.abs() {
            return Some(last);
        }
        if apart < best.0 {
            best = (apart, next);
        }
        last = next;
    }
    Some(best.1)
}

/// ∂y/∂x by differences of fourth order; one-sided at the edge of a function's range.
fn slope(body: &impl Fn(&[f64]) -> Result<f64, String>, x: &[f64], at: usize, y: f64) -> f64 {
    let moved = |by: f64| {
        let mut moved = x.to_vec();
        moved[at] += by;
        body(&moved).ok().filter(|y| y.is_finite())
    };
    let scale = if x[at] == 0.0 { 1e-3 } else { x[at].abs() };
    let near = |h: f64| Some(moved(h)? - moved(-h)?);
    let over = |h: f64| Some((8.0 * near(h)? - near(2.0 * h)?) / (12.0 * h));
    if let Some(slope) = settled_slope(over, 1e-4 * scale) {
        return slope;
    }
    let h = 1e-7 * scale;
    match (moved(h), moved(-h)) {
        (Some(above), Some(below)) => (above - below) / (2.0 * h),
        (Some(above), None) => (above - y) / h,
        (None, Some(below)) => (y - below) / h,
        (None, None) => 0.0,
    }
}
