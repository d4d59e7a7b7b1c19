//! `gaugebook spot`: the figures of a text on standard input.
//!
//! The JSON members are a promise to other tools. Numbers are written by hand because JSON numbers
//! here may have more digits than a binary number holds.

use super::CommandOutcome as Ended;
use super::reckon::{ConventionArguments, ReckonFormat};
use crate::quantity::exact::to_f64;
use crate::quantity::machine::digits;
use crate::quantity::print;
use crate::quantity::reader::{ReadFault, ReadOptions, read};
use crate::quantity::{
    Amount, Bound, Conventions, Figure, Judgement, Kind, Rational, Real, Reference, Verdict, judge,
};
use crate::text::Source;
use clap::Args;
use num_traits::Zero;
use serde_json::json;
use std::io::{BufRead, Write};

/// Finds the figures of a text and judges its dual statements.
#[derive(Debug, Args)]
#[command(after_help = "Reads the text from standard input. Examples:
  echo 'It opens at 128 psi (8.83 bar).' | gaugebook spot
  gaugebook spot --format json --pressure gauge < page.txt

JSON: an array in reading order of {text, start, end, value, lo, hi, unit, reference, kind, hedge,
pair}; start and end are byte offsets; the later member of a pair also has {verdict, reason,
proposal}. Ends with 1 when a pair disagrees or cannot be compared.")]
pub(crate) struct SpotArguments {
    /// How to print the figures
    #[arg(long, value_enum, default_value_t = ReckonFormat::Text)]
    format: ReckonFormat,
    /// Take each line of the input as a text of its own; print one JSON array a line
    #[arg(long)]
    lines: bool,
    #[command(flatten)]
    conventions: ConventionArguments,
    /// Read numbers in words too, as in a spoken script
    #[arg(long)]
    spoken: bool,
}

/// A figure with what was judged of it.
struct Spotted {
    figure: Figure,
    judgement: Option<Judgement>,
}

/// Runs the command.
pub(crate) fn run(
    arguments: &SpotArguments,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
    errors: &mut dyn Write,
) -> Ended {
    let Some(conventions) = arguments.conventions.declared(errors) else {
        return Ended::CouldNotRun;
    };
    let options = ReadOptions {
        decimal_comma: conventions.decimal_comma,
        spoken: arguments.spoken,
        ..ReadOptions::default()
    };
    let ended = if arguments.lines {
        lines(&options, &conventions, input, out, errors)
    } else {
        whole(arguments.format, &options, &conventions, input, out, errors)
    };
    super::streamed(ended, errors)
}

fn whole(
    format: ReckonFormat,
    options: &ReadOptions,
    conventions: &Conventions,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
    errors: &mut dyn Write,
) -> std::io::Result<Ended> {
    let mut bytes = Vec::new();
    input.read_to_end(&mut bytes)?;
    let text = match String::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let at = error.utf8_error().valid_up_to();
            writeln!(errors, "standard input is no UTF-8 text: see byte {at}")?;
            return Ok(Ended::CouldNotRun);
        }
    };
    let (spotted, faults) = spot(&text, options, conventions);
    let source = Source::new("standard input", text);
    match format {
        ReckonFormat::Json => {
            let all: Vec<String> = spotted.iter().map(|s| object(&source.text, s)).collect();
            let (open, join, close) =
                if all.is_empty() { ("", "", "") } else { ("\n  ", ",\n  ", "\n") };
            writeln!(out, "[{open}{}{close}]", all.join(join))?;
            tell_faults(&source, &faults, errors)?;
        }
        ReckonFormat::Text => {
            for spotted in &spotted {
                tell_figure(&source, spotted, out)?;
            }
            tell_faults(&source, &faults, out)?;
        }
    }
    out.flush()?;
    Ok(ended(&spotted))
}

fn lines(
    options: &ReadOptions,
    conventions: &Conventions,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
    errors: &mut dyn Write,
) -> std::io::Result<Ended> {
    let (mut worst, mut count) = (Ended::Clean, 0_u64);
    let mut bytes = Vec::new();
    loop {
        bytes.clear();
        if input.read_until(b'\n', &mut bytes)? == 0 {
            return Ok(worst);
        }
        count += 1;
        let Ok(line) = std::str::from_utf8(&bytes) else {
            writeln!(errors, "line {count} of standard input is no UTF-8 text")?;
            return Ok(Ended::CouldNotRun);
        };
        let line = line.strip_suffix('\n').unwrap_or(line);
        let line = line.strip_suffix('\r').unwrap_or(line);
        let (spotted, faults) = spot(line, options, conventions);
        let all: Vec<String> = spotted.iter().map(|spotted| object(line, spotted)).collect();
        writeln!(out, "[{}]", all.join(","))?;
        // A program at the other end of the pipe may wait for this line before it asks the next.
        out.flush()?;
        if !faults.is_empty() {
            tell_faults(&Source::new(format!("line {count}"), line), &faults, errors)?;
        }
        if ended(&spotted) == Ended::Slips {
            worst = Ended::Slips;
        }
    }
}

/// Reads a text and judges the later members of its dual statements.
fn spot(
    text: &str,
    options: &ReadOptions,
    conventions: &Conventions,
) -> (Vec<Spotted>, Vec<ReadFault>) {
    let found = read(text, options);
    let mut firsts: Vec<(u32, usize)> = Vec::new();
    let judgements: Vec<Option<Judgement>> = found
        .figures
        .iter()
        .enumerate()
        .map(|(at, figure)| {
            let pair = figure.pair?;
            // Pairs are numbered in order, so that the first member is found from the end.
            match firsts.iter().rev().take(64).find(|(number, _)| *number == pair) {
                Some((_, first)) => {
                    Some(judge::dual(text, &found.figures[*first], figure, conventions))
                }
                None => {
                    firsts.push((pair, at));
                    None
                }
            }
        })
        .collect();
    let figures = found.figures.into_iter().map(|mut figure| {
        if figure.unit.is_pressure() {
            figure.reference = figure.reference.or(conventions.bare_pressure);
        }
        figure
    });
    let spotted =
        figures.zip(judgements).map(|(figure, judgement)| Spotted { figure, judgement }).collect();
    (spotted, found.faults)
}

fn ended(spotted: &[Spotted]) -> Ended {
    let stops = |spotted: &Spotted| {
        spotted.judgement.as_ref().is_some_and(|judgement| Verdict::Disagree <= judgement.verdict)
    };
    if spotted.iter().any(stops) { Ended::Slips } else { Ended::Clean }
}

/// Value and ends of a figure, in its own unit.
fn limits(figure: &Figure) -> (Option<Rational>, Option<Rational>, Option<Rational>) {
    let value = match &figure.amount {
        Amount::Range(low, high) => return (None, Some(low.value()), Some(high.value())),
        Amount::Point(number) => number.value(),
    };
    if let Some(sides) = figure.sides() {
        let [above, below] = sides.map(|side| {
            let bound = || side.bounds().map(|(low, _)| low);
            side.exact().cloned().or_else(bound).unwrap_or_else(Rational::zero)
        });
        return (Some(value.clone()), Some(&value - below), Some(value + above));
    }
    match figure.bound {
        None => (Some(value), None, None),
        Some(Bound::AtLeast | Bound::Over) => (Some(value.clone()), Some(value), None),
        Some(Bound::AtMost | Bound::Under) => (Some(value.clone()), None, Some(value)),
    }
}

/// One figure as a JSON object.
fn object(text: &str, spotted: &Spotted) -> String {
    let figure = &spotted.figure;
    let (value, lo, hi) = limits(figure);
    let number = |value: Option<Rational>| {
        value.map_or_else(|| "null".to_owned(), |value| digits(&Real::Exact(value)))
    };
    let mut members = format!(
        "{{\"text\":{},\"start\":{},\"end\":{},\"value\":{},\"lo\":{},\"hi\":{},\"unit\":{},\
         \"reference\":{},\"kind\":{},\"hedge\":{},\"pair\":{}",
        json!(&text[figure.span.start..figure.span.end]),
        figure.span.start,
        figure.span.end,
        number(value),
        number(lo),
        number(hi),
        json!(figure.unit.code),
        json!(figure.reference.map(Reference::word)),
        json!(figure.kind.word()),
        figure.hedge.is_some(),
        json!(figure.pair.map(letters)),
    );
    if let Some(judgement) = &spotted.judgement {
        members.push_str(&format!(
            ",\"verdict\":{},\"reason\":{},\"proposal\":{}",
            json!(judgement.verdict.word()),
            json!(judgement.reason),
            json!(judgement.proposal),
        ));
    }
    members.push('}');
    members
}

/// 0 is `a`, 25 `z`, 26 `aa`.
fn letters(number: u32) -> String {
    let mut rest = number;
    let mut letters = Vec::new();
    loop {
        let letter = u8::try_from(rest % 26).unwrap_or(0);
        letters.push(char::from(b'a' + letter));
        if rest < 26 {
            return letters.into_iter().rev().collect();
        }
        rest = rest / 26 - 1;
    }
}

/// One figure for people: place, text, what it was read as, and the verdict.
fn tell_figure(source: &Source, spotted: &Spotted, out: &mut dyn Write) -> std::io::Result<()> {
    let figure = &spotted.figure;
    let place = source.place(figure.span.start);
    let (value, lo, hi) = limits(figure);
    let shown = |value: &Rational| print::significant(to_f64(value), 12);
    let number = match (&value, &lo, &hi) {
        (None, Some(lo), Some(hi)) => format!("{} to {}", shown(lo), shown(hi)),
        (Some(value), Some(lo), Some(hi)) => {
            format!("{} ({} to {})", shown(value), shown(lo), shown(hi))
        }
        (Some(value), Some(_), None) => format!("at least {}", shown(value)),
        (Some(value), None, Some(_)) => format!("at most {}", shown(value)),
        (Some(value), ..) => shown(value),
        (None, ..) => String::new(),
    };
    let mut words: Vec<&str> = Vec::new();
    words.extend(figure.hedge.map(|_| "hedged"));
    words.extend(figure.reference.map(Reference::word));
    words.extend(figure.kind.word().filter(|_| figure.kind != Kind::Plain));
    let words = if words.is_empty() { String::new() } else { format!(", {}", words.join(", ")) };
    let pair = figure.pair.map(|pair| format!(", pair {}", letters(pair))).unwrap_or_default();
    let written = source.slice(figure.span).replace(['\n', '\r'], " ");
    writeln!(
        out,
        "{}:{}  {written}  = {}{words}{pair}",
        place.line,
        place.column,
        print::with_unit(&number, figure.unit, None)
    )?;
    if let Some(judgement) = &spotted.judgement {
        writeln!(out, "    {}: {}", judgement.verdict.word(), judgement.reason)?;
        if let Some(proposal) = &judgement.proposal {
            writeln!(out, "    write {proposal}")?;
        }
    }
    Ok(())
}

fn tell_faults(source: &Source, faults: &[ReadFault], out: &mut dyn Write) -> std::io::Result<()> {
    for fault in faults {
        let place = source.place(fault.span.start);
        writeln!(out, "{}:{}  {}: {}", place.line, place.column, fault.code, fault.message)?;
        if let Some(help) = &fault.help {
            writeln!(out, "    {help}")?;
        }
    }
    Ok(())
}
