//! What a statement of a reading is worth: its value, its ±, and the rounding of its digits.

use crate::formula::Input;
use crate::page::front::{Form, StatementDecl};
use crate::page::yaml::Text;
use crate::quantity::exact::{from_f64, to_f64};
use crate::quantity::judge::quantity_of;
use crate::quantity::reader::{ReadOptions, WholeFault, read_whole};
use crate::quantity::{
    Amount, Conventions, Dimension, Figure, Kind, Quantity, Rational, Real, Tolerance, Unit,
};
use crate::slip::Slip;
use crate::tables;
use crate::text::{Source, Span, Spot};
use num_traits::Zero;
use std::sync::Arc;

/// The ± that an instrument gives where the writer states none.
#[derive(Debug, Clone)]
pub(crate) struct InstrumentLimit {
    /// Half-width in SI.
    pub(crate) half_width: f64,
    /// Dimension it is stated in.
    pub(crate) dimension: Dimension,
    /// Name shown to readers.
    pub(crate) name: String,
}

/// A part of a reading with a value of its own (the inside diameter of a ring).
#[derive(Debug, Clone)]
pub(crate) struct Member {
    /// Name behind the dot.
    pub(crate) name: &'static str,
    pub(crate) quantity: Quantity,
    pub(crate) input: Input,
}

/// A statement, read.
#[derive(Debug, Clone)]
pub struct Stated {
    /// The text the figures were read from; spans of `figures` point into it.
    pub text: String,
    /// As readers see it, with no-break spaces.
    pub(crate) written: String,
    /// The figure and, after it, its conversions; empty for rings, drills and the like.
    pub figures: Vec<Figure>,
    /// Value.
    pub quantity: Quantity,
    /// ± for propagation.
    pub input: Input,
    /// Half-width of the rounding interval of the written digits, SI.
    pub rounding: Rational,
    /// Unit it was stated in.
    pub(crate) unit: &'static Unit,
    /// How it was taken where that is more than one number; may be empty.
    pub(crate) form: String,
    /// Where the ± comes from ("stated", "caliper", "rounding"), for readers.
    pub(crate) plus_minus_from: PlusMinusFrom,
    /// Parts with values of their own.
    pub(crate) members: Vec<Member>,
    /// Repeated readings in SI, for correlations; empty otherwise.
    pub(crate) repeats: Vec<f64>,
    /// Source id, if stated.
    pub(crate) from: Option<Text>,
    /// Place of the statement: its text without quotes where it is one, or the whole entry.
    pub(crate) span: Span,
    /// Whether `text` stands letter by letter at the start of `span`.
    pub(crate) is_placed: bool,
}

/// Where a ± comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum PlusMinusFrom {
    /// The writer states it.
    Stated,
    /// From nothing but the rounding of the digits: it counts, and is not printed.
    Rounding,
    /// From a table, an instrument or a way of measuring, in words.
    Other(String),
}

impl PlusMinusFrom {
    /// In words, for readers.
    pub(crate) fn words(&self) -> String {
        match self {
            PlusMinusFrom::Stated => "± stated".to_owned(),
            PlusMinusFrom::Rounding => "no ± beyond the rounding of its digits".to_owned(),
            PlusMinusFrom::Other(from) => format!("± from {from}"),
        }
    }
}

/// How a size between two gauges is told to have been taken.
const GAUGED: &str = "go and no-go";

impl Stated {
    /// Half-width of the ± that is told, SI: the writer's or the instrument's, never the digits'.
    pub(crate) fn told_half_width(&self) -> f64 {
        if self.plus_minus_from == PlusMinusFrom::Rounding { 0.0 } else { self.input.limit }
    }

    /// A value alone, without digits to round.
    fn of(quantity: Quantity, input: Input, unit: &'static Unit) -> Stated {
        Stated {
            text: String::new(),
            written: String::new(),
            figures: Vec::new(),
            quantity,
            input,
            rounding: Rational::zero(),
            unit,
            form: String::new(),
            plus_minus_from: PlusMinusFrom::Rounding,
            members: Vec::new(),
            repeats: Vec::new(),
            from: None,
            span: Span::default(),
            is_placed: false,
        }
    }

    /// The ends between which the value lies, where it was stated by both, in SI; a pressure counts
    /// from what the value does.
    pub(crate) fn ends(&self) -> Option<[Rational; 2]> {
        let half = match self.figures.first().map(|figure| (&figure.amount, figure.unit)) {
            Some((Amount::Range(low, high), unit)) => {
                let two = Rational::from_integer(2.into());
                exact(&unit.span_to_si(&((high.value() - low.value()) / two).into()))
            }
            None if self.form == GAUGED => self.rounding.clone(),
            _ => return None,
        };
        let middle = self.quantity.si.exact()?;
        Some([middle - &half, middle + &half])
    }

    /// Whether its text gives the value by way of something else: a ring, a drill, a list.
    pub(crate) fn is_indirect(&self) -> bool {
        self.figures.is_empty()
    }

    /// Place of a part of `text`.
    #[must_use]
    pub fn part(&self, part: Span) -> Span {
        if self.is_placed { part.shifted(self.span.start) } else { self.span }
    }
}

/// What reading a statement needs to know.
pub(crate) struct StatementContext<'a> {
    pub(crate) source: &'a Arc<Source>,
    pub(crate) conventions: &'a Conventions,
    /// Limit of the instrument, if one is declared.
    pub(crate) instrument: Option<InstrumentLimit>,
}

impl StatementContext<'_> {
    fn options(&self) -> ReadOptions {
        ReadOptions { decimal_comma: self.conventions.decimal_comma, ..ReadOptions::default() }
    }

    fn unreadable(&self, text: &Text, fault: &WholeFault) -> Slip {
        let spot = Spot::new(self.source, text.part(fault.span));
        let slip = Slip::stop("value-unreadable", spot, fault.message.clone());
        match &fault.help {
            Some(help) => slip.help(help.clone()),
            None => slip.help("write a number with its unit, such as `0.90 mm ± 0.02 mm`"),
        }
    }
}

/// What cannot be below nought when it is measured, whatever else has its dimension.
const EXTENTS: [&str; 12] = [
    "diameter",
    "bore",
    "radius",
    "length",
    "width",
    "height",
    "depth",
    "thickness",
    "mass",
    "volume",
    "area",
    "weight",
];

/// Refuses what cannot be of a thing of that name.
///
/// # Errors
/// The slip.
pub(crate) fn possible(
    stated: &Stated,
    name: &str,
    context: &StatementContext<'_>,
) -> Result<(), Box<Slip>> {
    let quantity = &stated.quantity;
    let below = quantity.lies_below(to_f64(&context.conventions.ambient));
    let is_extent = || {
        let sizes = [Dimension::LENGTH, Dimension::AREA, Dimension::VOLUME, Dimension::MASS];
        sizes.contains(&quantity.dimension) && name.split('_').any(|word| EXTENTS.contains(&word))
    };
    let below = below.or_else(|| (quantity.si.to_f64() < 0.0 && is_extent()).then_some("nought"));
    let Some(nought) = below else { return Ok(()) };
    let message = format!("{} lies below {nought}", context.source.slice(stated.span));
    let slip = Slip::stop("value-unreadable", Spot::new(context.source, stated.span), message);
    Err(Box::new(slip.help("look at its sign and at what it counts from")))
}

/// Reads a statement.
///
/// # Errors
/// One slip: the value cannot be read, or names a ring or drill that does not exist.
pub(crate) fn read(
    decl: &StatementDecl,
    context: &StatementContext<'_>,
) -> Result<Stated, Box<Slip>> {
    let mut stated = match &decl.form {
        Form::Written(text) => written(text, context)?,
        Form::Repeats { values, unit } => repeats(values, unit, decl.span, context)?,
        Form::Pairs(pairs) => spring_pairs(pairs, context)?,
    };
    stated.from.clone_from(&decl.from);
    if !matches!(decl.form, Form::Written(_)) {
        stated.span = decl.span;
    }
    Ok(stated)
}

fn written(text: &Text, context: &StatementContext<'_>) -> Result<Stated, Box<Slip>> {
    let trimmed = text.text.trim();
    if let Some(dash) = ring_dash(trimmed) {
        return ring(text, dash, context);
    }
    if trimmed.to_lowercase().starts_with("drill ") {
        return drill(text, trimmed["drill ".len()..].trim(), context);
    }
    if let Some((goes, stops)) = go_no_go(trimmed) {
        return gauged(text, goes, stops, context);
    }
    if let Some((list, unit)) = bracketed(trimmed) {
        let values: Vec<Text> = list.split(',').map(|v| part_of(text, v.trim())).collect();
        return repeats(&values, &part_of(text, unit), text.span, context);
    }
    let (value, how) = match trimmed.split_once(" by ") {
        Some((value, how)) => (value.trim(), format!("by {how}")),
        None => (trimmed, String::new()),
    };
    let value = part_of(text, value);
    let mut figures = read_whole(&value.text, &context.options())
        .map_err(|fault| Box::new(context.unreadable(&value, &fault)))?;
    // They stay in memory for the whole run.
    figures.shrink_to_fit();
    let Some(first) = figures.first() else {
        let fault = WholeFault { span: Span::new(0, value.text.len()), ..no_figure() };
        return Err(Box::new(context.unreadable(&value, &fault)));
    };
    let mut stated = from_figure(first, context);
    stated.text.clone_from(&value.text);
    stated.written = print_spaces(&value.text);
    stated.figures = figures;
    stated.form = how;
    stated.span = value.inside();
    stated.is_placed = stated.span.end - stated.span.start == value.text.len();
    Ok(stated)
}

fn no_figure() -> WholeFault {
    WholeFault { span: Span::default(), message: "this is not a figure".to_owned(), help: None }
}

/// A piece of a text, with its place.
fn part_of(whole: &Text, piece: &str) -> Text {
    let mut text = Text::detached(piece);
    let at = whole.text.find(piece).unwrap_or(0);
    text.span = whole.part(Span::new(at, at + piece.len()));
    if whole.part(Span::new(at, at + piece.len())).end - text.span.start == piece.len() {
        text = text.placed();
    }
    text
}

/// Value, ± and rounding of one figure.
fn from_figure(figure: &Figure, context: &StatementContext<'_>) -> Stated {
    let quantity = quantity_of(figure, context.conventions);
    let to_si = |number: &Rational| figure.unit.span_to_si(&number.clone().into());
    let half = |rational: Rational| rational / Rational::from_integer(2.into());
    let (rounding, range_half) = match &figure.amount {
        Amount::Point(number) => (half(number.resolution()), None),
        Amount::Range(low, high) => {
            let finest = low.resolution().min(high.resolution());
            (half(finest), Some(half(high.value() - low.value())))
        }
    };
    let rounding_si = to_si(&rounding);
    let (input, plus_minus_from) = match (&figure.tolerance, range_half) {
        (Some(tolerance), _) => {
            let from = match tolerance.below {
                None => PlusMinusFrom::Stated,
                Some(_) => other("the wider of the two deviations"),
            };
            (tolerance_input(tolerance, figure), from)
        }
        (None, Some(half_width)) => {
            (Input::limits(to_si(&half_width).to_f64()), other("the ends of its range"))
        }
        (None, None) => match &context.instrument {
            Some(limit) if limit.dimension == figure.unit.dimension => {
                let widest = limit.half_width.max(rounding_si.to_f64());
                (Input::limits(widest), PlusMinusFrom::Other(limit.name.clone()))
            }
            _ if figure.kind == Kind::Count => (Input::limits(0.0), PlusMinusFrom::Rounding),
            _ => (Input::limits(rounding_si.to_f64()), PlusMinusFrom::Rounding),
        },
    };
    Stated {
        rounding: exact(&rounding_si),
        plus_minus_from,
        ..Stated::of(quantity, input, figure.unit)
    }
}

fn other(from: &str) -> PlusMinusFrom {
    PlusMinusFrom::Other(from.to_owned())
}

fn tolerance_input(tolerance: &Tolerance, figure: &Figure) -> Input {
    let sides = figure.sides().unwrap_or_else(|| [Real::zero(), Real::zero()]);
    let [upper, below] = sides.map(|side| figure.unit.span_to_si(&side).to_f64());
    match tolerance.coverage.as_ref().map(|k| to_f64(&k.value())) {
        _ if tolerance.below.is_some() => Input::deviations(upper, below),
        Some(k) if 0.0 < k => Input::expanded(upper, k),
        _ => Input::limits(upper),
    }
}

fn exact(value: &Real) -> Rational {
    match value.exact() {
        Some(exact) => exact.clone(),
        None => from_f64(value.to_f64()).unwrap_or_else(Rational::zero),
    }
}

/// `-012`, `AS568 -012`, `AS568-012`, `ring -012`: the dash number.
fn ring_dash(text: &str) -> Option<&str> {
    let lower = text.to_lowercase();
    let rest = ["as568", "o-ring", "ring"]
        .iter()
        .find(|word| lower.starts_with(**word))
        .map_or(text, |word| text[word.len()..].trim_start());
    let digits = rest.strip_prefix('-')?;
    let is_dash = digits.len() == 3 && digits.bytes().all(|b| b.is_ascii_digit());
    is_dash.then_some(rest)
}

fn ring(text: &Text, dash: &str, context: &StatementContext<'_>) -> Result<Stated, Box<Slip>> {
    let found = tables::ring(dash).map_err(|fault| {
        let at = text.text.find(dash).unwrap_or(0);
        let span = text.part(Span::new(at, at + dash.len()));
        Box::new(crate::sheet::declare::ring_unknown(Spot::new(context.source, span), &fault))
    })?;
    let inch = inch();
    let metres = |inches: &Rational| inch.to_si(&inches.clone().into());
    let limit = |tolerance: &Option<Rational>| {
        Input::limits(tolerance.as_ref().map_or(0.0, |t| metres(t).to_f64()))
    };
    let two = Rational::from_integer(2.into());
    let outside = &found.inside + &found.section * &two;
    let outside_tolerance = match (&found.inside_tolerance, &found.section_tolerance) {
        (Some(inside), Some(section)) => Some(inside + section * &two),
        _ => None,
    };
    let member = |name, inches: &Rational, tolerance: &Option<Rational>| Member {
        name,
        quantity: length(metres(inches)),
        input: limit(tolerance),
    };
    let members = vec![
        member("inside", &found.inside, &found.inside_tolerance),
        member("section", &found.section, &found.section_tolerance),
        member("outside", &outside, &outside_tolerance),
    ];
    Ok(Stated {
        text: text.text.clone(),
        written: format!("AS568 {dash}"),
        form: "ring size, AS568".to_owned(),
        plus_minus_from: other("AS568"),
        members,
        span: text.inside(),
        ..Stated::of(length(metres(&found.inside)), limit(&found.inside_tolerance), inch)
    })
}

fn drill(text: &Text, name: &str, context: &StatementContext<'_>) -> Result<Stated, Box<Slip>> {
    let size = tables::drill(name).map_err(|fault| {
        let at = text.text.find(name).unwrap_or(0);
        let spot = Spot::new(context.source, text.part(Span::new(at, at + name.len())));
        Box::new(super::declare::table_slip("drill-unknown", spot, &fault))
    })?;
    let inch = inch();
    Ok(Stated {
        text: text.text.clone(),
        written: print_spaces(&text.text),
        form: "drill size".to_owned(),
        plus_minus_from: other("drill table"),
        span: text.inside(),
        ..Stated::of(length(inch.to_si(&size.diameter.into())), Input::limits(0.0), inch)
    })
}

#[allow(clippy::expect_used)] // `[in_i]` is a line of our own table
fn inch() -> &'static Unit {
    crate::quantity::units::table().by_code("[in_i]").expect("the table holds the inch")
}

fn length(si: Real) -> Quantity {
    Quantity { si, dimension: Dimension::LENGTH, kind: Kind::Plain, reference: None }
}

/// `goes 1.0 mm, stops 1.1 mm`: the two figures as text.
fn go_no_go(text: &str) -> Option<(&str, &str)> {
    let rest = text.strip_prefix("goes ")?;
    let (goes, stops) = rest.split_once("stops ")?;
    Some((goes.trim().trim_end_matches([',', ';']).trim(), stops.trim()))
}

fn gauged(
    text: &Text,
    goes: &str,
    stops: &str,
    context: &StatementContext<'_>,
) -> Result<Stated, Box<Slip>> {
    let read = |piece: &str| -> Result<(Figure, Rational), Box<Slip>> {
        let piece = part_of(text, piece);
        let figures = read_whole(&piece.text, &context.options())
            .map_err(|fault| Box::new(context.unreadable(&piece, &fault)))?;
        let point = figures.into_iter().next().and_then(|figure| {
            let si = exact(&quantity_of(&figure, context.conventions).si);
            (figure.unit.dimension == Dimension::LENGTH).then_some((figure, si))
        });
        point.ok_or_else(|| {
            let fault = WholeFault {
                span: Span::new(0, piece.text.len()),
                message: "go and no-go sizes are lengths".to_owned(),
                help: Some("write `goes 1.0 mm, stops 1.1 mm`".to_owned()),
            };
            Box::new(context.unreadable(&piece, &fault))
        })
    };
    let (figure, low) = read(goes)?;
    let (_, high) = read(stops)?;
    if high <= low {
        let spot = Spot::new(context.source, text.span);
        let message = "the size that stops is not larger than the size that goes";
        return Err(Box::new(Slip::stop("value-unreadable", spot, message)));
    }
    let two = Rational::from_integer(2.into());
    let half_width = (&high - &low) / &two;
    Ok(Stated {
        text: text.text.clone(),
        written: print_spaces(&text.text),
        rounding: half_width.clone(),
        form: GAUGED.to_owned(),
        plus_minus_from: other("the two gauges"),
        span: text.inside(),
        ..Stated::of(
            length(((low + high) / two).into()),
            Input::limits(to_f64(&half_width)),
            figure.unit,
        )
    })
}

/// `[0.90, 0.92, 0.88] mm`: the list and the unit.
fn bracketed(text: &str) -> Option<(&str, &str)> {
    let (list, unit) = text.strip_prefix('[')?.split_once(']')?;
    Some((list, unit.trim()))
}

/// Mean of repeated readings; u combines their scatter (GUM 4.2.3) with the instrument.
fn repeats(
    values: &[Text],
    unit: &Text,
    span: Span,
    context: &StatementContext<'_>,
) -> Result<Stated, Box<Slip>> {
    let mut figures = Vec::new();
    for value in values {
        let whole = format!("{} {}", value.text, unit.text);
        let read = read_whole(whole.trim(), &context.options())
            .map_err(|fault| Box::new(context.unreadable(value, &fault)))?;
        figures.extend(read.into_iter().next());
    }
    let (Some(first), Some(last)) = (figures.first(), figures.last()) else {
        let spot = Spot::new(context.source, span);
        return Err(Box::new(Slip::stop("value-unreadable", spot, "no repeated reading is given")));
    };
    let count = Rational::from_integer(figures.len().into());
    let exacts: Vec<Rational> =
        figures.iter().map(|figure| exact(&quantity_of(figure, context.conventions).si)).collect();
    let mean = exacts.iter().fold(Rational::zero(), |sum, value| sum + value) / &count;
    let single = from_figure(last, context);
    let n = to_f64(&count);
    let squares: f64 = exacts.iter().map(|value| to_f64(&(value - &mean))).map(|d| d * d).sum();
    let scatter = if figures.len() < 2 { 0.0 } else { libm::sqrt(squares / (n * (n - 1.0))) };
    let instrument = single.input;
    let half_range = exacts.iter().map(|value| to_f64(&(value - &mean)).abs()).fold(0.0, f64::max);
    let input = Input {
        standard_uncertainty: libm::hypot(scatter, instrument.standard_uncertainty),
        limit: half_range + instrument.limit,
    };
    let list: Vec<&str> = values.iter().map(|value| value.text.trim()).collect();
    let written = format!("{} {}", list.join(", "), unit.text);
    Ok(Stated {
        text: written.clone(),
        written: print_spaces(&written),
        rounding: single.rounding / &count,
        form: format!("{} readings", figures.len()),
        plus_minus_from: other("scatter and instrument"),
        repeats: exacts.iter().map(to_f64).collect(),
        span,
        ..Stated::of(Quantity { si: mean.into(), ..single.quantity }, input, first.unit)
    })
}

/// A spring by two or more pairs `4.0 N at 32 mm`: least squares of force over length.
fn spring_pairs(pairs: &[Text], context: &StatementContext<'_>) -> Result<Stated, Box<Slip>> {
    let mut points: Vec<(Stated, Stated)> = Vec::new();
    for pair in pairs {
        let halves =
            pair.text.split_once(" at ").map(|(force, length)| (force.trim(), length.trim()));
        let read = |piece: &str, dimension: Dimension| {
            let piece = part_of(pair, piece);
            let figures = read_whole(&piece.text, &context.options()).ok()?;
            let figure = figures.into_iter().next()?;
            (figure.unit.dimension == dimension).then(|| from_figure(&figure, context))
        };
        let point = halves.and_then(|(force, length)| {
            Some((read(force, Dimension::FORCE)?, read(length, Dimension::LENGTH)?))
        });
        let Some(point) = point else {
            let spot = Spot::new(context.source, pair.span);
            let message = format!("`{}` is not a force at a length", pair.text);
            return Err(Box::new(
                Slip::stop("value-unreadable", spot, message).help("write `4.0 N at 32 mm`"),
            ));
        };
        points.push(point);
    }
    let span = pairs.first().map_or(Span::default(), |pair| pair.span);
    let fit = (2 <= points.len()).then(|| fit(&points)).flatten();
    let Some((rate, limit)) = fit else {
        let spot = Spot::new(context.source, span);
        let message = "a spring rate needs two pairs at different lengths";
        return Err(Box::new(Slip::stop("value-unreadable", spot, message)));
    };
    let written: Vec<&str> = pairs.iter().map(|pair| pair.text.as_str()).collect();
    let unit = crate::quantity::units::table().by_code("N/mm").unwrap_or(points[0].0.unit);
    Ok(Stated {
        text: written.join("; "),
        written: print_spaces(&written.join("; ")),
        rounding: from_f64(limit).unwrap_or_else(Rational::zero),
        form: format!("{} pairs of force and length", points.len()),
        plus_minus_from: other("the pairs"),
        span,
        ..Stated::of(
            Quantity {
                si: rate,
                dimension: Dimension::SPRING_RATE,
                kind: Kind::SpringRate,
                reference: None,
            },
            Input::limits(limit),
            unit,
        )
    })
}

/// Rate (positive) and the half-width that the ± of the pairs allow.
fn fit(points: &[(Stated, Stated)]) -> Option<(Real, f64)> {
    let n = Rational::from_integer(points.len().into());
    let forces: Vec<Rational> = points.iter().map(|(f, _)| exact(&f.quantity.si)).collect();
    let lengths: Vec<Rational> = points.iter().map(|(_, l)| exact(&l.quantity.si)).collect();
    let mean = |values: &[Rational]| values.iter().fold(Rational::zero(), |s, v| s + v) / &n;
    let (mean_force, mean_length) = (mean(&forces), mean(&lengths));
    let mut cross = Rational::zero();
    let mut square = Rational::zero();
    for (force, length) in forces.iter().zip(&lengths) {
        let across = length - &mean_length;
        cross += &across * (force - &mean_force);
        square += &across * &across;
    }
    if square.is_zero() {
        return None;
    }
    // A compression spring pushes harder the shorter it is; the rate is told without its sign.
    let slope = num_traits::Signed::abs(&(cross / square));
    let rate = to_f64(&slope);
    let shortest = lengths.iter().min()?;
    let longest = lengths.iter().max()?;
    let stroke = to_f64(&(longest - shortest));
    let force_limit = points.iter().map(|(f, _)| f.input.limit).fold(0.0, f64::max);
    let length_limit = points.iter().map(|(_, l)| l.input.limit).fold(0.0, f64::max);
    let limit = (2.0 * force_limit + rate * 2.0 * length_limit) / stroke;
    Some((slope.into(), limit))
}

/// Puts a no-break space between numbers and what follows them.
pub(crate) fn print_spaces(text: &str) -> String {
    let mut printed = String::with_capacity(text.len() + 8);
    let mut before = ' ';
    let mut rest = text.trim().chars().peekable();
    while let Some(c) = rest.next() {
        let joins = c == ' '
            && (before.is_ascii_digit() || before == '±' || "½¼¾⅛⅜⅝⅞".contains(before))
            && rest.peek().is_some_and(|next| !next.is_ascii_punctuation() || *next == '%')
            || c == ' ' && (before == '±' || rest.peek() == Some(&'±'));
        printed.push(if joins { '\u{a0}' } else { c });
        before = c;
    }
    printed
}
