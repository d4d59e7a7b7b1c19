//! `gaugebook reckon`: a formula worked out, and a figure judged against it.
//!
//! The JSON members are a promise to other tools. Numbers are written by hand because JSON numbers
//! here may have more digits than a binary number holds.

use super::CommandOutcome as Ended;
use crate::formula::convert::{Converted, Target, convert};
use crate::formula::{
    Formula, FormulaFault, NoNames, Outcome, Syntax, Truth, Value, WithLiterals, evaluate,
    functions, parse_with, standard_uncertainty, worst_case,
};
use crate::page::conventions;
use crate::quantity::judge;
use crate::quantity::machine::digits;
use crate::quantity::print;
use crate::quantity::reader::{ReadOptions, read_whole};
use crate::quantity::units::{ReferencedUnit, two_meanings};
use crate::quantity::usual::{System, unit_in};
use crate::quantity::{
    Computed, Conventions, Dimension, Judgement, Kind, Real, Reference, Verdict,
};
use crate::text::Span;
use clap::{Args, ValueEnum};
use serde_json::json;
use std::io::{BufRead, Write};

/// Works out a formula and, on request, judges a stated figure against it.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  gaugebook reckon '128 psi' --as bar
  gaugebook reckon 'circle_area(0.90 mm ± 0.02 mm)'
  gaugebook reckon '128 psi' --states '8.83 bar'")]
pub(crate) struct Reckon {
    /// The formula: numbers with units, + - * / ^, functions, or a comparison
    #[arg(required_unless_present = "lines", allow_hyphen_values = true)]
    formula: Option<String>,
    /// Unit of the result: written or UCUM, with gauge, absolute, difference or vacuum
    #[arg(long = "as", value_name = "UNIT")]
    unit: Option<String>,
    /// A figure to judge against the result: '8.83 bar'
    #[arg(long, value_name = "TEXT", allow_hyphen_values = true)]
    states: Option<String>,
    #[command(flatten)]
    conventions: ConventionArguments,
    /// How to print the result
    #[arg(long, value_enum, default_value_t = ReckonFormat::Text)]
    format: ReckonFormat,
    /// Read one formula a line from standard input, unit and statement after tabs; print one JSON
    /// object a line
    #[arg(long)]
    lines: bool,
}

/// What a bare pressure means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum BareConvention {
    /// Above ambient
    Gauge,
    /// Above vacuum
    Absolute,
}

impl From<BareConvention> for Reference {
    fn from(bare: BareConvention) -> Reference {
        match bare {
            BareConvention::Gauge => Reference::Gauge,
            BareConvention::Absolute => Reference::Absolute,
        }
    }
}

/// How figures are to be read where a command's text leaves it open.
#[derive(Debug, Args)]
pub(super) struct ConventionArguments {
    /// What a pressure without a word counts from
    #[arg(long, value_enum)]
    pressure: Option<BareConvention>,
    /// Ambient pressure, absolute
    #[arg(long, value_name = "PRESSURE", default_value = "101.325 kPa")]
    ambient: String,
    /// Read 2,5 as two and a half
    #[arg(long)]
    decimal_comma: bool,
}

impl ConventionArguments {
    /// The conventions; `None` where `--ambient` cannot be taken, which is then told.
    pub(super) fn declared(&self, errors: &mut dyn Write) -> Option<Conventions> {
        let &ConventionArguments { pressure, ref ambient, decimal_comma } = self;
        let bare_pressure = pressure.map(Reference::from);
        match conventions::ambient(ambient, decimal_comma) {
            Ok(ambient) => Some(Conventions {
                bare_pressure,
                ambient,
                decimal_comma,
                ..Conventions::default()
            }),
            Err(why) => {
                let _ = writeln!(
                    errors,
                    "--ambient '{ambient}' is no ambient pressure: {why}; write it with its unit, as \
                     in '101.325 kPa'"
                );
                None
            }
        }
    }
}

/// How results are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ReckonFormat {
    /// For people
    Text,
    /// For other tools
    Json,
}

/// What is asked about one formula.
struct Request<'a> {
    formula: &'a str,
    unit: Option<&'a str>,
    states: Option<&'a str>,
}

/// A result ready to be told.
struct ReckonAnswer {
    told: ReckonTold,
    plus_minus: Option<Spread>,
    judgement: Option<Judgement>,
}

/// A ± in the unit of the result, and the decimal places that it leaves the value.
struct Spread {
    width: Real,
    places: i32,
}

enum ReckonTold {
    Number(Box<(Converted, Target)>),
    Truth(Truth),
}

/// Why there is no answer.
enum Refusal {
    /// The formula is at fault.
    Formula(FormulaFault),
    /// The statement cannot be read.
    Statement(String, Option<String>),
    /// The unit is none.
    Request(String, Option<String>),
}

/// Runs the command.
pub(crate) fn run(
    arguments: &Reckon,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
    errors: &mut dyn Write,
) -> Ended {
    let Some(conventions) = arguments.conventions.declared(errors) else {
        return Ended::CouldNotRun;
    };
    let ended = if arguments.lines {
        lines(arguments, &conventions, input, out)
    } else {
        single(arguments, &conventions, out, errors)
    };
    super::streamed(ended, errors)
}

fn single(
    arguments: &Reckon,
    conventions: &Conventions,
    out: &mut dyn Write,
    errors: &mut dyn Write,
) -> std::io::Result<Ended> {
    let formula = arguments.formula.as_deref().unwrap_or("");
    let request =
        Request { formula, unit: arguments.unit.as_deref(), states: arguments.states.as_deref() };
    let answer = answer(&request, conventions);
    let ended = match &answer {
        Ok(answer) => ended(answer),
        Err(Refusal::Formula(_) | Refusal::Statement(..)) => Ended::Slips,
        Err(Refusal::Request(..)) => Ended::CouldNotRun,
    };
    if arguments.format == ReckonFormat::Json {
        writeln!(out, "{}", to_json(&request, &answer))?;
    } else {
        match &answer {
            Ok(answer) => write!(out, "{}", to_text(answer))?,
            Err(refusal) => write!(errors, "{}", refusal_text(formula, refusal))?,
        }
    }
    out.flush()?;
    Ok(ended)
}

fn lines(
    arguments: &Reckon,
    conventions: &Conventions,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> std::io::Result<Ended> {
    let mut worst = Ended::Clean;
    let mut bytes = Vec::new();
    loop {
        bytes.clear();
        if input.read_until(b'\n', &mut bytes)? == 0 {
            return Ok(worst);
        }
        let text = String::from_utf8_lossy(&bytes);
        let line = text.trim_end_matches(['\n', '\r']);
        let mut request = split(line);
        request.unit = request.unit.or(arguments.unit.as_deref());
        request.states = request.states.or(arguments.states.as_deref());
        let answer = answer(&request, conventions);
        let clean = answer.as_ref().is_ok_and(|answer| ended(answer) == Ended::Clean);
        if !clean {
            worst = Ended::Slips;
        }
        writeln!(out, "{}", to_json(&request, &answer))?;
        // A program at the other end of the pipe may wait for this line before it asks the next.
        out.flush()?;
    }
}

/// `formula<TAB>unit<TAB>statement`; the parts may also say what they are: `--as bar`.
fn split(line: &str) -> Request<'_> {
    let mut parts = line.split('\t');
    let mut request = Request { formula: parts.next().unwrap_or(""), unit: None, states: None };
    for (at, part) in parts.enumerate() {
        let part = part.trim();
        let named = |name: &str| {
            let rest = part.strip_prefix(name)?;
            rest.strip_prefix(['=', ' ']).map(|rest| rest.trim().trim_matches('\''))
        };
        if let Some(unit) = named("--as") {
            request.unit = Some(unit);
        } else if let Some(states) = named("--states") {
            request.states = Some(states);
        } else if !part.is_empty() {
            match at {
                0 => request.unit = Some(part),
                _ => request.states = Some(part),
            }
        }
    }
    request
}

fn ended(answer: &ReckonAnswer) -> Ended {
    let stops =
        answer.judgement.as_ref().is_some_and(|judgement| judgement.verdict >= Verdict::Disagree);
    if stops { Ended::Slips } else { Ended::Clean }
}

fn answer(request: &Request<'_>, conventions: &Conventions) -> Result<ReckonAnswer, Refusal> {
    let syntax = Syntax { decimal_comma: conventions.decimal_comma, uncertain_literals: true };
    let formula = parse_with(request.formula, syntax)
        .map_err(|mut faults| Refusal::Formula(faults.swap_remove(0)))?;
    let asked = request.unit.map(target).transpose()?;
    let worked_out = evaluate(&formula, &NoNames, conventions).map_err(Refusal::Formula)?;
    let value = match worked_out {
        Outcome::Value(value) => value,
        Outcome::Truth(truth) => {
            let judgement = request.states.map(|_| no_value_to_judge());
            return Ok(ReckonAnswer {
                told: ReckonTold::Truth(truth),
                plus_minus: None,
                judgement,
            });
        }
    };
    let computed = worst_case(&formula, &NoNames, conventions).map_err(Refusal::Formula)?;
    let (judgement, stated_unit) = match request.states {
        Some(text) => {
            let (judgement, unit) = judged(text, &computed, conventions)?;
            (Some(judgement), unit)
        }
        None => (None, None),
    };
    // A statement that does not fit has its verdict; it must not hide the result.
    let stated_unit =
        stated_unit.filter(|unit| convert(&value.quantity, unit, conventions).is_ok());
    let target = asked.or(stated_unit).unwrap_or_else(|| own_unit(&formula, &value));
    let converted = convert(&value.quantity, &target, conventions)
        .map_err(|message| Refusal::Formula(whole_fault(request.formula, message)))?;
    let unit = &target.unit.unit;
    let plus_minus = plus_minus(&formula, &value, &computed).map(|si| {
        let style = print::Style::computed(&value.quantity, Some(unit.clone()), si, true);
        let places = print::places(style.resolution, unit);
        Spread { width: unit.span_from_si(&Real::near(si)), places }
    });
    Ok(ReckonAnswer {
        told: ReckonTold::Number(Box::new((converted, target))),
        plus_minus,
        judgement,
    })
}

fn no_value_to_judge() -> Judgement {
    Judgement {
        verdict: Verdict::Incomparable,
        reason: "a comparison is true or false and has no value to set a figure against".to_owned(),
        works_out: None,
        likely: None,
        proposal: None,
    }
}

fn whole_fault(formula: &str, message: String) -> FormulaFault {
    let span = Span::new(0, formula.len());
    FormulaFault::new(crate::formula::FaultKind::Unlike, span, message)
}

fn target(text: &str) -> Result<Target, Refusal> {
    Target::parse(text).ok_or_else(|| {
        let help = match two_meanings(text) {
            Some([one, other]) => format!("write `{one}` or `{other}`"),
            None => "write a unit as in print or its UCUM code, as in bar, [psi], N/mm".to_owned(),
        };
        Refusal::Request(format!("`{text}` is no unit of the table"), Some(help))
    })
}

/// The unit of the numbers in the formula where they have one and it fits; else that of the
/// function; else the usual one.
fn own_unit(formula: &Formula, value: &Value) -> Target {
    let units = formula.literal_units();
    let fitting = |unit: &&ReferencedUnit| {
        unit.unit.dimension == value.quantity.dimension
            && convert(&value.quantity, &Target::from((*unit).clone()), &Conventions::default())
                .is_ok()
    };
    if let Some(first) = units.first().filter(fitting)
        && units.iter().all(|unit| unit.unit.code == first.unit.code)
        && value.quantity.dimension != Dimension::NONE
    {
        let mut unit = first.clone();
        unit.reference = None;
        return Target::from(unit);
    }
    if let Some(function) = formula.function().and_then(functions::find)
        && let Some(target) = Target::parse(function.unit)
        && function.unit != "%"
    {
        return target;
    }
    let unit = unit_in(System::Metric, &value.quantity, None).into_owned();
    Target::from(ReferencedUnit { unit, reference: None })
}

/// The lesser of the expanded uncertainty (k = 2) and the worst case: a single input comes back
/// with the ± it was stated with.
fn plus_minus(formula: &Formula, value: &Value, computed: &Computed) -> Option<f64> {
    let scope = WithLiterals { formula, scope: &NoNames };
    let expanded = 2.0 * standard_uncertainty(value, &scope);
    let nominal = computed.nominal.si.to_f64();
    let reach = (computed.high.to_f64() - nominal).max(nominal - computed.low.to_f64());
    (0.0 < reach).then(|| if 0.0 < expanded { expanded.min(reach) } else { reach })
}

/// Judges a statement; also the unit it is told in. Of several members the worst verdict wins.
fn judged(
    text: &str,
    computed: &Computed,
    conventions: &Conventions,
) -> Result<(Judgement, Option<Target>), Refusal> {
    let options =
        ReadOptions { decimal_comma: conventions.decimal_comma, ..ReadOptions::default() };
    let figures = read_whole(text, &options)
        .map_err(|fault| Refusal::Statement(fault.message, fault.help))?;
    let unit = figures.first().map(|first| {
        Target::from(ReferencedUnit { unit: first.unit.clone(), reference: first.reference })
    });
    let alone = figures.iter().map(|figure| judge::against(text, figure, computed, conventions));
    let pairs =
        figures.iter().skip(1).map(|later| judge::dual(text, &figures[0], later, conventions));
    let mut judgements: Vec<Judgement> = alone.chain(pairs).collect();
    // The first of the worst: later members only repeat it.
    let worst = judgements.iter().map(|judgement| judgement.verdict).max();
    let at = judgements.iter().position(|judgement| Some(judgement.verdict) == worst);
    match at {
        Some(at) => Ok((judgements.swap_remove(at), unit)),
        None => Err(Refusal::Statement(format!("`{text}` states no figure"), None)),
    }
}

fn to_json(request: &Request<'_>, answer: &Result<ReckonAnswer, Refusal>) -> String {
    let answer = match answer {
        Ok(answer) => answer,
        Err(refusal) => return refusal_json(request.formula, refusal).to_string(),
    };
    let mut members: Vec<(&str, String)> = vec![("formula", json!(request.formula).to_string())];
    let null = || "null".to_owned();
    match &answer.told {
        ReckonTold::Number(told) => {
            let (converted, target) = told.as_ref();
            members.push(("value", digits(&converted.number)));
            members.push(("exact", json!(converted.number.exact().is_some()).to_string()));
            members.push(("unit", json!(target.unit.unit.code).to_string()));
            members.push(("kind", json!(converted.kind.word()).to_string()));
            members
                .push(("reference", json!(converted.reference.map(Reference::word)).to_string()));
            members.push(("plus_minus", {
                let width = answer.plus_minus.as_ref().map(|spread| &spread.width);
                width.map_or_else(null, digits)
            }));
        }
        ReckonTold::Truth(truth) => {
            let (value, margin, reason) = truth_parts(truth);
            members.push(("value", json!(value).to_string()));
            members.push(("exact", json!(margin == Some("certain")).to_string()));
            for absent in ["unit", "kind", "reference", "plus_minus"] {
                members.push((absent, null()));
            }
            members.push(("margin", json!(margin).to_string()));
            if answer.judgement.is_none() {
                members.push(("reason", json!(reason).to_string()));
            }
        }
    }
    if let Some(judgement) = &answer.judgement {
        members.push(("verdict", json!(judgement.verdict.word()).to_string()));
        members.push(("reason", json!(judgement.reason).to_string()));
        members.push(("works_out", json!(judgement.works_out).to_string()));
        members.push(("likely", json!(judgement.likely).to_string()));
        members.push(("proposal", json!(judgement.proposal).to_string()));
    }
    let written: Vec<String> =
        members.iter().map(|(name, value)| format!("\"{name}\":{value}")).collect();
    format!("{{{}}}", written.join(","))
}

fn truth_parts(truth: &Truth) -> (Option<bool>, Option<&'static str>, Option<&str>) {
    use crate::formula::Margin::{Certain, WithinUncertainty};
    let word = |margin: &_| match margin {
        Certain => "certain",
        WithinUncertainty => "within uncertainty",
    };
    match truth {
        Truth::True(margin) => (Some(true), Some(word(margin)), None),
        Truth::False(margin) => (Some(false), Some(word(margin)), None),
        Truth::Undecided(reason) => (None, None, Some(reason)),
    }
}

fn refusal_json(formula: &str, refusal: &Refusal) -> serde_json::Value {
    let (message, span, help) = match refusal {
        Refusal::Formula(fault) => (&fault.message, fault.span, &fault.help),
        Refusal::Statement(message, help) | Refusal::Request(message, help) => {
            (message, Span::new(0, 0), help)
        }
    };
    json!({
        "formula": formula,
        "error": { "message": message, "start": span.start, "end": span.end, "help": help },
    })
}

fn to_text(answer: &ReckonAnswer) -> String {
    let mut text = match &answer.told {
        ReckonTold::Truth(truth) => match truth_parts(truth) {
            (Some(value), Some("certain"), _) => format!("{value}\n"),
            (Some(value), ..) => format!("{value}, within the uncertainty of the inputs\n"),
            (None, _, reason) => format!("undecided: {}\n", reason.unwrap_or("")),
        },
        ReckonTold::Number(told) => {
            let (converted, target) = told.as_ref();
            let number = match &answer.plus_minus {
                Some(Spread { width, places }) => format!(
                    "{} ± {}",
                    print::digits(&converted.number, *places),
                    print::half_width_to(width, *places)
                ),
                None => print::significant(converted.number.to_f64(), 12),
            };
            let is_step = converted.kind == Kind::TemperatureDifference;
            let reference = converted.reference.or(is_step.then_some(Reference::Difference));
            let line = print::with_unit(&number, &target.unit.unit, reference);
            // A terminal breaks no lines, and what is copied from one goes into the next command.
            format!("{}\n", line.replace(print::NBSP, " "))
        }
    };
    if let Some(judgement) = &answer.judgement {
        let row = |name: &str, value: &str| format!("  {name:<13} {value}\n");
        text.push_str(&row(judgement.verdict.word(), &judgement.reason));
        for (name, value) in [
            ("works out as", &judgement.works_out),
            ("likely slip", &judgement.likely),
            ("write", &judgement.proposal),
        ] {
            if let Some(value) = value {
                text.push_str(&row(name, value));
            }
        }
    }
    text
}

fn refusal_text(formula: &str, refusal: &Refusal) -> String {
    let row = |help: &Option<String>| {
        help.as_ref().map_or(String::new(), |help| format!("  {:<13} {help}\n", "to do"))
    };
    match refusal {
        Refusal::Statement(message, help) | Refusal::Request(message, help) => {
            format!("{message}\n{}", row(help))
        }
        Refusal::Formula(fault) => {
            let width = |span: &str| span.chars().count();
            let before = width(formula.get(..fault.span.start).unwrap_or(""));
            let under = width(formula.get(fault.span.start..fault.span.end).unwrap_or("")).max(1);
            format!(
                "{}\n    {formula}\n    {}{}\n{}",
                fault.message,
                " ".repeat(before),
                "‾".repeat(under),
                row(&fault.help)
            )
        }
    }
}
