//! The closed table of units and their spellings.
//!
//! Nothing that is not listed parses: no prefixes are put before units, no spelling is guessed.
//! Products, quotients and powers of listed units are read where a formula or an option asks for a
//! unit ([`parse_unit`]); in prose only behind a listed unit, which is never cut short.

use super::Quantity;
use super::dimension::Dimension;
use super::exact::{Rational, Real, parse_decimal};
use super::kind::{AgreedScale, GasState, Kind, Reference};
use super::usual::UsualIn;
use num_traits::{One, Zero};
use std::borrow::Cow;
use std::collections::{BTreeMap, HashMap};
use std::sync::{LazyLock, Mutex};

/// A unit of measure: `SI value = factor × number + offset`.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    /// UCUM code, the spelling used in data.
    pub code: Cow<'static, str>,
    /// Symbol as the site prints it.
    pub(crate) symbol: Cow<'static, str>,
    /// Factor to the SI unit of its dimension.
    pub factor: Real,
    /// Value of its zero in SI: 273.15 for °C; zero for all but temperature scales.
    pub offset: Rational,
    /// Dimension.
    pub dimension: Dimension,
    /// Kind of quantity it states.
    pub kind: Kind,
    /// Whether `kind` is only the usual one and gives way to words or a partner (ft·lbf).
    pub kind_yields: bool,
}

impl Unit {
    /// Whether it is a pressure unit, which may carry gauge, absolute, difference or vacuum.
    #[must_use]
    pub fn is_pressure(&self) -> bool {
        self.dimension == Dimension::PRESSURE
    }

    /// SI value of a number of this unit. For temperature scales the point, not the difference.
    #[must_use]
    pub fn to_si(&self, number: &Real) -> Real {
        let scaled = number.mul(&self.factor);
        if self.offset.is_zero() { scaled } else { scaled.add(&self.offset.clone().into()) }
    }

    /// SI size of a difference of this unit: the offset plays no part.
    pub(crate) fn span_to_si(&self, number: &Real) -> Real {
        number.mul(&self.factor)
    }

    /// Number of this unit that an SI value is.
    #[must_use]
    pub fn from_si(&self, si: &Real) -> Real {
        let shifted =
            if self.offset.is_zero() { si.clone() } else { si.sub(&self.offset.clone().into()) };
        self.span_from_si(&shifted)
    }

    /// Number of this unit that a quantity is: the point of a scale for a temperature point, the
    /// span for everything else.
    pub(crate) fn number_of(&self, quantity: &Quantity) -> Real {
        match quantity.kind {
            Kind::TemperaturePoint => self.from_si(&quantity.si),
            _ => self.span_from_si(&quantity.si),
        }
    }

    /// Number of this unit that an SI difference is.
    pub(crate) fn span_from_si(&self, si: &Real) -> Real {
        // Factors in the table are never zero.
        si.div(&self.factor).unwrap_or_else(Real::zero)
    }
}

/// One way of writing a unit.
#[derive(Debug)]
struct Spelling {
    /// As written, in small letters if `any_case`.
    text: &'static str,
    /// Whether case is ignored.
    any_case: bool,
    /// Whether there is a blank in it.
    blank: bool,
    /// The unit.
    unit: &'static Unit,
}

/// All units with their indexes.
#[derive(Debug)]
pub struct UnitTable {
    units: &'static [Unit],
    by_code: HashMap<&'static str, &'static Unit>,
    /// Spellings by the letters they begin with (see [`key`]), longest first.
    by_first_letters: HashMap<String, Vec<Spelling>>,
    /// Every spelling with its unit, by first byte and then longest first.
    spellings: Vec<(&'static str, &'static Unit)>,
    /// The units in which results are told, in table order.
    usual: Vec<UsualIn>,
}

static TABLE: LazyLock<UnitTable> = LazyLock::new(|| UnitTable::load(include_str!("units.txt")));

/// The table.
#[must_use]
pub fn table() -> &'static UnitTable {
    &TABLE
}

impl UnitTable {
    #[allow(clippy::expect_used)] // the table is part of the program; a test reads every line
    fn load(text: &'static str) -> UnitTable {
        let lines =
            || text.lines().filter(|line| !line.trim().is_empty() && !line.starts_with('#'));
        let units: Vec<Unit> = lines().map(|line| read_unit(line).expect(line)).collect();
        let units: &'static [Unit] = Box::leak(units.into_boxed_slice());
        let mut by_first_letters: HashMap<String, Vec<Spelling>> = HashMap::new();
        let mut spellings: Vec<(&'static str, &'static Unit)> = Vec::new();
        let mut usual = Vec::new();
        for (unit, line) in units.iter().zip(lines()) {
            let mut last = line.splitn(7, ';').skip(5);
            let (column, listed) = (last.next().expect(line), last.next().unwrap_or(""));
            usual.extend(UsualIn::read(column, unit).expect(line));
            for text in listed.split(", ").map(str::trim).filter(|text| !text.is_empty()) {
                let any_case = text.len() >= 4
                    && text.bytes().all(|b| b.is_ascii_lowercase() || b == b' ' || b == b'-');
                let mut buffer = [0; LONGEST_KEY];
                let key = key(text, &mut buffer).unwrap_or_default();
                let blank = text.contains(' ');
                by_first_letters.entry(key.to_owned()).or_default().push(Spelling {
                    text,
                    any_case,
                    blank,
                    unit,
                });
                spellings.push((text, unit));
            }
        }
        #[allow(clippy::iter_over_hash_type)] // each list is sorted by itself
        for alike in by_first_letters.values_mut() {
            alike.sort_by_key(|spelling| std::cmp::Reverse(spelling.text.len()));
        }
        spellings.sort_by_key(|(text, _)| {
            (text.as_bytes()[0].to_ascii_lowercase(), std::cmp::Reverse(text.len()))
        });
        let by_code = units.iter().map(|unit| (unit.code.as_ref(), unit)).collect();
        UnitTable { units, by_code, by_first_letters, spellings, usual }
    }

    /// Every unit, in table order.
    #[must_use]
    pub fn units(&self) -> &'static [Unit] {
        self.units
    }

    /// The unit with this exact UCUM code.
    #[must_use]
    pub fn by_code(&self, code: &str) -> Option<&'static Unit> {
        self.by_code.get(code).copied()
    }

    /// The units in which results are told, in table order.
    pub(super) fn usual(&self) -> &[UsualIn] {
        &self.usual
    }

    /// The longest spelling that `text` starts with and that ends at a word's end, with its length
    /// in bytes. Runs of blanks in the text (also no-break and thin ones) match one blank.
    #[must_use]
    pub fn longest_spelling(&self, text: &str) -> Option<(&'static Unit, usize)> {
        let mut buffer = [0; LONGEST_KEY];
        self.by_first_letters.get(key(text, &mut buffer)?)?.iter().find_map(|spelling| {
            let length = matched_length(spelling, text)?;
            ends_word(&text[..length], &text[length..]).then_some((spelling.unit, length))
        })
    }

    /// How a unit may be written, longest first within a first letter.
    pub(crate) fn spellings_of<'u>(
        &'u self,
        unit: &'u Unit,
    ) -> impl Iterator<Item = &'static str> + 'u {
        let spellings = self.spellings.iter();
        spellings.filter(|(_, known)| std::ptr::eq(*known, unit)).map(|(text, _)| *text)
    }

    /// All spellings, for "did you mean".
    pub fn spellings(&self) -> impl Iterator<Item = &'static str> {
        self.spellings.iter().map(|(text, _)| *text)
    }
}

/// Longest run of letters that a spelling begins with.
const LONGEST_KEY: usize = 16;

/// What a spelling and a text must have in common to match: the ASCII letters they begin with, in
/// small letters, or the first character if it is no such letter. A word that is no unit is
/// turned away by one look-up.
fn key<'a>(text: &str, buffer: &'a mut [u8; LONGEST_KEY]) -> Option<&'a str> {
    let letters = text.bytes().take(LONGEST_KEY + 1).take_while(u8::is_ascii_alphabetic).count();
    let length = if letters == 0 { text.chars().next()?.len_utf8() } else { letters };
    let kept = buffer.get_mut(..length)?;
    kept.copy_from_slice(&text.as_bytes()[..length]);
    kept.make_ascii_lowercase();
    std::str::from_utf8(kept).ok()
}

fn matched_length(spelling: &Spelling, text: &str) -> Option<usize> {
    let wanted = spelling.text.as_bytes();
    let bytes = text.as_bytes();
    // The common case: no blank inside.
    let head = bytes.get(..wanted.len());
    let same = head.is_some_and(|head| {
        if spelling.any_case { head.eq_ignore_ascii_case(wanted) } else { head == wanted }
    });
    if same {
        return Some(wanted.len());
    }
    if !spelling.blank {
        return None;
    }
    let mut rest = text;
    for (index, word) in spelling.text.split(' ').enumerate() {
        if 0 < index {
            let trimmed = rest.trim_start_matches([' ', '\u{a0}', '\u{202f}', '\u{2009}', '\n']);
            if trimmed.len() == rest.len() {
                return None;
            }
            rest = trimmed;
        }
        let head = rest.get(..word.len())?;
        let same = if spelling.any_case { head.eq_ignore_ascii_case(word) } else { head == word };
        if !same {
            return None;
        }
        rest = &rest[word.len()..];
    }
    Some(text.len() - rest.len())
}

/// Whether a unit's spelling ends where a word ends.
fn ends_word(spelling: &str, rest: &str) -> bool {
    let Some(next) = rest.chars().next() else { return true };
    let last_is_word = spelling.chars().next_back().is_some_and(char::is_alphanumeric);
    if !last_is_word {
        // After a sign such as % or ″ only a letter or digit would make another word.
        return !(next.is_alphanumeric() && spelling.ends_with(['.', '/']));
    }
    let continues = next.is_alphanumeric() || matches!(next, '_' | '²' | '³' | '⁻' | '^');
    !continues
}

fn read_unit(line: &'static str) -> Option<Unit> {
    let mut fields = line.splitn(7, ';').map(str::trim);
    let code = fields.next()?;
    let symbol = fields.next()?;
    let factor = read_factor(fields.next()?)?;
    let dimension = read_dimension(fields.next()?)?;
    let word = fields.next()?;
    let (kind, kind_yields) = read_kind(word)?;
    let offset = match word {
        "celsius" => parse_decimal("273.15")?,
        // 0 °F = 459.67 °R and 1 °R = 5/9 K.
        "fahrenheit" => parse_decimal("459.67")? * Rational::new(5.into(), 9.into()),
        _ => Rational::zero(),
    };
    Some(Unit {
        code: Cow::Borrowed(code),
        symbol: Cow::Borrowed(symbol),
        factor,
        offset,
        dimension,
        kind,
        kind_yields,
    })
}

/// The kind that a word of the table names, and whether it gives way to the words beside a figure.
fn read_kind(word: &str) -> Option<(Kind, bool)> {
    let kind = match word {
        "" => Kind::Plain,
        "ratio" => Kind::Ratio,
        "angle" => Kind::Angle,
        "torque" | "torque or energy" => Kind::Torque,
        "energy" | "energy or torque" => Kind::Energy,
        "pressure volume" => Kind::PressureVolume,
        "spring rate" => Kind::SpringRate,
        "energy per area" => Kind::EnergyPerArea,
        "cycle rate" => Kind::CycleRate,
        "angular rate" => Kind::AngularRate,
        "air anr" => Kind::StandardAir(GasState::Anr),
        "air normal" => Kind::StandardAir(GasState::Normal),
        "air undeclared" => Kind::StandardAir(GasState::Undeclared),
        "decibel" => Kind::Mark(AgreedScale::Decibel),
        "sound a" => Kind::Mark(AgreedScale::SoundA),
        "shore a" => Kind::Mark(AgreedScale::ShoreA),
        "shore d" => Kind::Mark(AgreedScale::ShoreD),
        "flow coefficient" => Kind::FlowCoefficient,
        "celsius" | "fahrenheit" => Kind::TemperaturePoint,
        _ => return None,
    };
    let yields = matches!(word, "torque or energy" | "energy or torque" | "celsius" | "fahrenheit");
    Some((kind, yields))
}

fn read_factor(text: &str) -> Option<Real> {
    let mut product = Real::Exact(Rational::one());
    let mut divide = false;
    let mut rest = text;
    loop {
        let end = rest.find(['*', '/']).unwrap_or(rest.len());
        let term = match rest[..end].trim() {
            "pi" => Real::pi(),
            number => parse_decimal(number)?.into(),
        };
        product = if divide { product.div(&term)? } else { product.mul(&term) };
        let Some(operator) = rest[end..].chars().next() else { return Some(product) };
        divide = operator == '/';
        rest = &rest[end + 1..];
    }
}

fn read_dimension(name: &str) -> Option<Dimension> {
    if let Some((_, dimension)) = Dimension::NAMED.iter().find(|(known, _)| *known == name) {
        return Some(*dimension);
    }
    // A few units have a dimension without a name in the trade; these are all of them.
    let per_kelvin = Dimension::TEMPERATURE.power(-1);
    Some(match name {
        "m²·s⁻²·K⁻¹" => Dimension::VELOCITY.power(2).times(per_kelvin),
        "kg·m⁻¹·s⁻¹" => Dimension::PRESSURE.times(Dimension::TIME),
        "K⁻¹" => per_kelvin,
        _ => return None,
    })
}

/// The ways to write a unit whose usual spelling has two meanings, which the table does not list:
/// feet or frames per second.
pub(crate) fn two_meanings(spelling: &str) -> Option<[&'static str; 2]> {
    spelling.eq_ignore_ascii_case("fps").then_some(["ft/s", "frames/s"])
}

/// A unit with the reference that was written after it ("bar absolute", "psig").
#[derive(Debug, Clone)]
pub struct ReferencedUnit {
    /// The unit.
    pub unit: Unit,
    /// What a pressure counts from, where it was written.
    pub reference: Option<Reference>,
}

/// Reference marks glued to or following a pressure unit, longest first.
const REFERENCE_MARKS: &[(&str, Reference)] = &[
    (" gauge pressure", Reference::Gauge),
    (" absolute pressure", Reference::Absolute),
    (" differential", Reference::Difference),
    (" difference", Reference::Difference),
    (" absolute", Reference::Absolute),
    (" vacuum", Reference::Vacuum),
    (" gauge", Reference::Gauge),
    (" gage", Reference::Gauge),
    (" (gauge)", Reference::Gauge),
    (" (absolute)", Reference::Absolute),
    (" (abs)", Reference::Absolute),
    ("(abs)", Reference::Absolute),
    (" abs.", Reference::Absolute),
    (" abs", Reference::Absolute),
    (" (g)", Reference::Gauge),
    (" (a)", Reference::Absolute),
    ("(g)", Reference::Gauge),
    ("(a)", Reference::Absolute),
    ("(G)", Reference::Gauge),
    ("(A)", Reference::Absolute),
    (" vac", Reference::Vacuum),
    ("g", Reference::Gauge),
    ("a", Reference::Absolute),
    ("G", Reference::Gauge),
    ("A", Reference::Absolute),
    ("d", Reference::Difference),
];

/// The longest unit, with its reference mark, that `text` starts with; and its length in bytes.
#[must_use]
pub fn match_unit(text: &str) -> Option<(&'static Unit, Option<Reference>, usize)> {
    let table = table();
    if let Some((unit, length)) = table.longest_spelling(text) {
        let marked = unit.is_pressure().then(|| match_reference(&text[length..])).flatten();
        let (reference, extra) = marked.map_or((None, 0), |(mark, extra)| (Some(mark), extra));
        return Some((unit, reference, length + extra));
    }
    // `psig`, `bara`, `kPaA`: the mark is glued on, so that the unit alone is no whole word.
    let letters = text.bytes().take(LONGEST_KEY + 1).take_while(u8::is_ascii_alphabetic).count();
    let unmarked = text.get(..letters.checked_sub(1)?)?;
    let mut buffer = [0; LONGEST_KEY];
    table.by_first_letters.get(key(unmarked, &mut buffer)?)?.iter().find_map(|spelling| {
        let length =
            spelling.unit.is_pressure().then(|| matched_length(spelling, text)).flatten()?;
        let (reference, extra) = match_reference(&text[length..])?;
        let letters = spelling.text.bytes().all(|b| b.is_ascii_alphabetic());
        letters.then_some((spelling.unit, Some(reference), length + extra))
    })
}

fn match_reference(rest: &str) -> Option<(Reference, usize)> {
    REFERENCE_MARKS.iter().find_map(|(mark, reference)| {
        let length = match mark.strip_prefix(' ') {
            Some(word) => {
                let trimmed = rest.trim_start_matches([' ', '\u{a0}', '\u{202f}']);
                let blanks = rest.len() - trimmed.len();
                let head = trimmed.get(..word.len())?;
                (0 < blanks && head.eq_ignore_ascii_case(word)).then_some(blanks + word.len())?
            }
            None => rest.starts_with(mark).then_some(mark.len())?,
        };
        ends_word(mark, &rest[length..]).then_some((*reference, length))
    })
}

/// Reads a unit as an option or formula gives it: any written form of the table, a UCUM code, or a
/// product, quotient or power of these (`kg.m-3`, `J/(kg·K)`), with an optional reference word.
/// `None` when any part is not in the table.
#[must_use]
pub fn parse_unit(text: &str) -> Option<ReferencedUnit> {
    let text = text.trim();
    if let Some((unit, reference, length)) = match_unit(text)
        && length == text.len()
    {
        return Some(ReferencedUnit { unit: unit.clone(), reference });
    }
    if let Some(unit) = table().by_code(text) {
        return Some(ReferencedUnit { unit: unit.clone(), reference: None });
    }
    if let Some((head, word)) = text.rsplit_once(' ')
        && let Some(reference) = Reference::from_word(word)
    {
        let inner = parse_unit(head)?;
        let plain = inner.unit.is_pressure() && inner.reference.is_none();
        return plain.then_some(ReferencedUnit { reference: Some(reference), ..inner });
    }
    let mut composer = Composer { rest: text, depth: 0 };
    let unit = composer.product()?;
    composer.rest.is_empty().then_some(ReferencedUnit { unit, reference: None })
}

/// Products and quotients that were met in texts, by code. They are few: an open number of them
/// is held back.
static MET: LazyLock<Mutex<BTreeMap<String, &'static Unit>>> = LazyLock::new(Mutex::default);

/// Most products and quotients of which one run takes note.
const MOST_MET: usize = 4096;

/// The listed unit that `first · second^exponent` spells out, or else the product itself. `None`
/// where it has no value (temperature scales).
pub(crate) fn joined(first: &Unit, second: &Unit, exponent: i32) -> Option<&'static Unit> {
    if !first.offset.is_zero() || !second.offset.is_zero() {
        return None;
    }
    let product = combine(first, second, exponent)?;
    let listed = table().by_code(&product.code).or_else(|| {
        let (unit, length) = table().longest_spelling(&product.symbol)?;
        (length == product.symbol.len()).then_some(unit)
    });
    listed.or_else(|| met(product))
}

/// The unit of things counted, of which a quotient is made: `ml/shot`.
pub(crate) fn counted(noun: &str) -> Option<&'static Unit> {
    let noun = noun.to_ascii_lowercase();
    let noun = noun.strip_suffix('s').unwrap_or(&noun);
    let code = format!("{{{noun}}}");
    met(Unit { code: Cow::Owned(code), symbol: Cow::Owned(noun.to_owned()), ..one() })
}

/// The rate of things counted in a time: the listed one, or else one of its own.
pub(crate) fn rate(noun: &str, time: &Unit) -> Option<&'static Unit> {
    let noun = noun.to_ascii_lowercase();
    let symbol = format!("{noun}/{}", time.symbol);
    if let Some((unit, length)) = table().longest_spelling(&symbol)
        && length == symbol.len()
    {
        return Some(unit);
    }
    let quotient = combine(&one(), time, -1)?;
    let code = format!("{{{}}}/{}", noun.strip_suffix('s').unwrap_or(&noun), time.code);
    met(Unit {
        code: Cow::Owned(code),
        symbol: Cow::Owned(symbol),
        kind: Kind::CycleRate,
        kind_yields: false,
        ..quotient
    })
}

/// The one copy of a unit that stands outside the table.
fn met(unit: Unit) -> Option<&'static Unit> {
    let mut met = MET.lock().ok()?;
    if let Some(known) = met.get(unit.code.as_ref()) {
        return Some(known);
    }
    if MOST_MET <= met.len() {
        return None;
    }
    let kept: &'static Unit = Box::leak(Box::new(unit));
    met.insert(kept.code.as_ref().to_owned(), kept);
    Some(kept)
}

/// Reads products, quotients and powers of listed units.
struct Composer<'a> {
    rest: &'a str,
    depth: u8,
}

impl Composer<'_> {
    fn product(&mut self) -> Option<Unit> {
        let mut product = if self.rest.starts_with('/') { one() } else { self.power()? };
        loop {
            if self.eat(&["·", ".", "*"]) {
                product = combine(&product, &self.power()?, 1)?;
            } else if self.eat(&["/"]) {
                product = combine(&product, &self.power()?, -1)?;
            } else {
                return Some(product);
            }
        }
    }

    fn power(&mut self) -> Option<Unit> {
        let base = if self.eat(&["("]) {
            self.depth += 1;
            let inner = if self.depth < 8 { self.product()? } else { return None };
            self.depth -= 1;
            self.eat(&[")"]).then_some(inner)?
        } else {
            self.atom()?
        };
        let exponent = self.exponent()?;
        if exponent == 1 { Some(base) } else { combine(&one(), &base, exponent) }
    }

    fn atom(&mut self) -> Option<Unit> {
        let end = self.rest.find(|c: char| !(c.is_alphabetic() || "[]_'%°″\"{}".contains(c)));
        let atom = &self.rest[..end.unwrap_or(self.rest.len())];
        let known = table().by_code(atom).or_else(|| {
            let (unit, length) = table().longest_spelling(atom)?;
            (length == atom.len()).then_some(unit)
        });
        let unit = known.or_else(|| (self.rest == "1").then(|| table().by_code("1")).flatten())?;
        self.rest = &self.rest[atom.len()..];
        unit.offset.is_zero().then(|| unit.clone())
    }

    fn exponent(&mut self) -> Option<i32> {
        self.eat(&["^"]);
        let superscripts = "⁰¹²³⁴⁵⁶⁷⁸⁹⁻";
        let end = self
            .rest
            .find(|c: char| !(c.is_ascii_digit() || c == '-' || superscripts.contains(c)))
            .unwrap_or(self.rest.len());
        let written: String = self.rest[..end]
            .chars()
            .map(|c| match superscripts.chars().position(|s| s == c) {
                Some(10) => '-',
                Some(digit) => char::from(b'0' + u8::try_from(digit).unwrap_or(0)),
                None => c,
            })
            .collect();
        self.rest = &self.rest[end..];
        if written.is_empty() {
            Some(1)
        } else {
            written.parse().ok().filter(|e| (-6..=6).contains(e))
        }
    }

    fn eat(&mut self, any: &[&str]) -> bool {
        for token in any {
            if let Some(rest) = self.rest.strip_prefix(token) {
                self.rest = rest;
                return true;
            }
        }
        false
    }
}

fn one() -> Unit {
    Unit {
        code: Cow::Borrowed(""),
        symbol: Cow::Borrowed(""),
        factor: Real::Exact(Rational::one()),
        offset: Rational::zero(),
        dimension: Dimension::NONE,
        kind: Kind::Plain,
        kind_yields: true,
    }
}

/// `a · b^exponent`, spelled as UCUM and as print.
fn combine(a: &Unit, b: &Unit, exponent: i32) -> Option<Unit> {
    let factor = a.factor.mul(&b.factor.powi(exponent)?);
    let power = if exponent.abs() == 1 { String::new() } else { exponent.abs().to_string() };
    let wrap = |text: &str| {
        if text.contains(['.', '/', '·']) { format!("({text})") } else { text.to_owned() }
    };
    let join = |a: &str, b: &str, dot: &str| match (a.is_empty(), exponent < 0) {
        (true, false) => format!("{}{power}", wrap(b)),
        (true, true) => format!("1/{}{power}", wrap(b)),
        (false, false) => format!("{a}{dot}{}{power}", wrap(b)),
        (false, true) => format!("{a}/{}{power}", wrap(b)),
    };
    Some(Unit {
        code: Cow::Owned(join(&a.code, &b.code, ".")),
        symbol: Cow::Owned(join(&a.symbol, &b.symbol, "·")),
        factor,
        offset: Rational::zero(),
        dimension: a.dimension.times(b.dimension.power(exponent)),
        kind: Kind::Plain,
        kind_yields: true,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn factor_of(text: &str) -> f64 {
        parse_unit(text).map_or(f64::NAN, |found| found.unit.factor.to_f64())
    }

    #[test]
    fn every_line_reads_and_no_code_or_spelling_stands_twice() {
        let table = table();
        assert_eq!(table.by_code.len(), table.units.len());
        let mut seen = std::collections::BTreeSet::new();
        for spelling in table.spellings() {
            assert!(seen.insert(spelling), "{spelling} is written twice");
            assert!(table.longest_spelling(spelling).is_some(), "{spelling} is not found");
        }
    }

    #[test]
    fn reference_marks_are_not_part_of_the_unit() {
        for (text, reference) in [
            ("psig", Reference::Gauge),
            ("psia", Reference::Absolute),
            ("bar(g)", Reference::Gauge),
            ("bar absolute", Reference::Absolute),
            ("kPaA", Reference::Absolute),
            ("[psi] gauge", Reference::Gauge),
            ("inHg vacuum", Reference::Vacuum),
        ] {
            assert_eq!(parse_unit(text).and_then(|u| u.reference), Some(reference), "{text}");
        }
        assert!(parse_unit("psig").is_some_and(|u| u.unit.code == "[psi]"));
    }

    #[test]
    fn products_of_listed_units_read_in_print_and_in_ucum() {
        assert_eq!(factor_of("kg.m-3"), 1.0);
        assert_eq!(factor_of("N·m"), 1.0);
        assert_eq!(factor_of("mm^2"), 1e-6);
        // NIST SP 811 appendix B.8: pound per cubic inch, 2.767 990 E+04 kg/m3.
        assert!((factor_of("[lb_av]/[in_i]3") / 27_679.90 - 1.0).abs() < 2e-7);
        assert!(parse_unit("furlong").is_none());
        assert!(parse_unit("psi·").is_none());
    }

    #[test]
    fn nonsense_with_prefixes_does_not_parse() {
        // Each of these parses silently in a general library.
        for text in ["cu", "uin", "ibar", "attometre", "fozz"] {
            assert!(parse_unit(text).is_none(), "{text}");
        }
    }
}
