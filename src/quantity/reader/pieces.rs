//! The scan: numbers in a text, each with what follows it.
//!
//! One pass over the bytes. Words are stepped over whole, so that a number inside a word (`M3`,
//! `CO2`, `AS568-012`, `v2.4`, a web address) never begins. What two pieces mean together is left
//! to `statements.rs`.

use super::after::{self, After, Seen, UnitDoubt, UnitPlace};
use super::faults;
use super::limits::{self, Limits};
use super::words::{
    is_word_byte, next_word, phrase_after, phrase_before, skip_blanks, skip_blanks_back, work,
};
use super::{ReadFault, ReadOptions, never, ratio, spelled};
use crate::quantity::number::{NumberFault, scan};
use crate::quantity::{Number, units};
use crate::text::runs;

/// A number and what follows it.
#[derive(Debug, Clone)]
pub(super) struct NumberPiece {
    /// First byte, sign included.
    pub(super) start: usize,
    /// One past the number.
    pub(super) number_end: usize,
    /// One past the unit or sign; the end of the number if there is none.
    pub(super) end: usize,
    /// The number.
    pub(super) number: Number,
    /// What follows.
    pub(super) after: After,
    /// Digits in parentheses behind the last digit: `8.0(2)`.
    pub(super) concise: Option<Number>,
    /// What deviations behind it make of it: `8.0 +0.1/−0.05`.
    pub(super) limits: Option<Limits>,
    /// A label, year or the like: takes no unit from its neighbours.
    pub(super) never: bool,
    /// "in" behind it that may be the unit.
    pub(super) doubt: Option<UnitDoubt>,
}

/// All pieces of a text in order, and the faults met.
#[derive(Debug, Default)]
pub(super) struct Pieces {
    /// In order, not overlapping.
    pub(super) all: Vec<NumberPiece>,
    /// Numbers that cannot be read though a unit follows.
    pub(super) faults: Vec<ReadFault>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum CharClass {
    Plain,
    Digit,
    Letter,
    Point,
    Quote,
    Beyond,
}

const CLASSES: [CharClass; 256] = {
    let mut classes = [CharClass::Plain; 256];
    let mut byte = 0;
    while byte < 256 {
        classes[byte] = match byte as u8 {
            b'0'..=b'9' => CharClass::Digit,
            b'a'..=b'z' | b'A'..=b'Z' | b'_' => CharClass::Letter,
            b'.' | b',' => CharClass::Point,
            b'"' => CharClass::Quote,
            0xC2..=0xF4 => CharClass::Beyond,
            _ => CharClass::Plain,
        };
        byte += 1;
    }
    classes
};

struct Scan<'a> {
    text: &'a str,
    bytes: &'a [u8],
    options: &'a ReadOptions,
    at: usize,
    /// End of the last word or masked number: what is joined to it is no figure either.
    tainted: usize,
    quoted: bool,
    curly: bool,
    found: Pieces,
}

/// Scans a text.
pub(super) fn pieces(text: &str, options: &ReadOptions) -> Pieces {
    let mut scan = Scan {
        text,
        bytes: text.as_bytes(),
        options,
        at: 0,
        tainted: usize::MAX,
        quoted: false,
        curly: false,
        found: Pieces::default(),
    };
    scan.run();
    scan.found
}

impl Scan<'_> {
    fn run(&mut self) {
        while let Some(byte) = self.bytes.get(self.at) {
            work::step();
            match CLASSES[usize::from(*byte)] {
                CharClass::Plain => self.at += 1,
                CharClass::Letter => self.word(),
                CharClass::Digit => self.number(),
                CharClass::Point => {
                    let point = if self.options.decimal_comma { b',' } else { b'.' };
                    let begins =
                        *byte == point && self.next_is_digit(1) && !self.joined_before(self.at);
                    if begins { self.number() } else { self.at += 1 }
                }
                CharClass::Quote => {
                    self.quoted = !self.quoted;
                    self.at += 1;
                }
                CharClass::Beyond => self.beyond(),
            }
        }
    }

    fn next_is_digit(&self, ahead: usize) -> bool {
        self.bytes.get(self.at + ahead).is_some_and(u8::is_ascii_digit)
    }

    fn joined_before(&self, at: usize) -> bool {
        0 < at && self.bytes[at - 1].is_ascii_alphanumeric()
    }

    /// A character beyond ASCII: a fraction, a curly quote, a letter, or nothing of ours.
    fn beyond(&mut self) {
        let Some(c) = self.text[self.at..].chars().next() else { return };
        match c {
            '½' | '⅓' | '⅔' | '¼' | '¾' | '⅕' | '⅖' | '⅗' | '⅘' | '⅙' | '⅚' | '⅛' | '⅜' | '⅝'
            | '⅞' | '⅒' => return self.number(),
            '\u{201c}' => self.curly = true,
            '\u{201d}' => self.curly = false,
            'ø' | 'Ø' | 'Φ' | 'φ' | 'µ' | 'Δ' => {}
            letter if letter.is_alphabetic() => {
                self.at += letter.len_utf8();
                return self.word();
            }
            _ => {}
        }
        self.at += c.len_utf8();
    }

    /// Steps over a word with the digits in it; an address goes as a whole.
    fn word(&mut self) {
        let start = self.at;
        let mut end = start + runs::letters(&self.bytes[start..]);
        let next = self.bytes.get(end).copied().unwrap_or(b' ');
        if next.is_ascii_digit() {
            end = self.digits_of_word(end);
        } else if matches!(next, b':' | b'@' | b'.') && self.is_address(start, end) {
            let stops = |b: &&u8| !b.is_ascii_whitespace() && **b != b')';
            end += self.bytes[end..].iter().take_while(stops).count();
        } else if self.number_in_words(start, end) {
            return;
        }
        self.at = self.ceil_boundary(end);
        self.tainted = self.at;
    }

    /// Where a word with digits ends: `v2.4`, `G1/8`, `AS568A`. A point or slash between digits
    /// stays in the word.
    fn digits_of_word(&self, from: usize) -> usize {
        let mut end = from;
        while let Some(byte) = self.bytes.get(end) {
            let joins = matches!(byte, b'.' | b'/')
                && self.bytes[end - 1].is_ascii_digit()
                && self.bytes.get(end + 1).is_some_and(u8::is_ascii_digit);
            if !joins && !byte.is_ascii_alphanumeric() && *byte != b'_' {
                break;
            }
            end += 1;
        }
        end
    }

    fn ceil_boundary(&self, mut at: usize) -> usize {
        while !self.text.is_char_boundary(at) {
            at += 1;
        }
        at
    }

    fn is_address(&self, start: usize, end: usize) -> bool {
        match self.bytes.get(end) {
            Some(b':') => self.bytes.get(end + 1..end + 3) == Some(b"//"),
            Some(b'@') => self.bytes.get(end + 1).is_some_and(u8::is_ascii_alphanumeric),
            Some(b'.') => self.bytes[start..end].eq_ignore_ascii_case(b"www"),
            _ => false,
        }
    }

    /// Reads a number that the word `start..end` begins, where one may stand.
    fn number_in_words(&mut self, start: usize, end: usize) -> bool {
        let word = &self.bytes[start..end];
        let begins = if self.options.spoken {
            word.len() <= 9 && word.first().is_some_and(|first| spelled::may_begin_spoken(*first))
        } else {
            word.len() <= 9
                && (spelled::may_begin(word) || spelled::may_begin_behind(word, &self.bytes[end..]))
        };
        if !begins
            || (0 < start && (is_word_byte(self.bytes[start - 1]) || self.after_hyphen(start)))
        {
            return false;
        }
        self.one_word(start, end) || self.unit_and_a_part(start, end) || self.spelled(start)
    }

    /// "twice the area".
    fn one_word(&mut self, start: usize, end: usize) -> bool {
        let word = &self.text[start..end];
        let Some(value) = ratio::of_one_word(self.text, word, end) else { return false };
        let number = Number { spelled: true, ..Number::integer(value) };
        self.push(start, end, number, After::Ratio, end);
        true
    }

    /// "an inch and a half", "an hour and a quarter".
    fn unit_and_a_part(&mut self, start: usize, end: usize) -> bool {
        if !matches!(&self.text[start..end], "a" | "an" | "A" | "An") {
            return false;
        }
        let (word, at) = next_word(self.text, end);
        let unit_end = at + word.len();
        if self.bytes.get(unit_end..unit_end + 4) != Some(b" and") || word.len() < 3 {
            return false;
        }
        let Some((unit, length)) = units::table().longest_spelling(word) else { return false };
        let Some((part, part_end)) = spelled::and_part_behind(self.text, unit_end) else {
            return false;
        };
        if length != word.len() {
            return false;
        }
        self.push(start, part_end, spelled::mixed(1, part), After::Unit(unit, None), part_end);
        true
    }

    fn after_hyphen(&self, start: usize) -> bool {
        self.bytes[start - 1] == b'-' && 1 < start && self.bytes[start - 2].is_ascii_alphabetic()
    }

    /// A number in words with what follows it.
    fn spelled(&mut self, start: usize) -> bool {
        let spoken = self.options.spoken;
        let Some(mut found) = spelled::spoken(self.text, start, spoken) else { return false };
        if let Some((number, end)) = ratio::of_two(self.text, start, found.end, &found.number) {
            self.push(start, end, number, After::Ratio, end);
            return true;
        }
        if found.fraction
            && let Some(end) = ratio::again(self.text, found.end)
        {
            found.number.mantissa += 1;
            self.push(start, end, found.number, After::Ratio, end);
            return true;
        }
        let seen = after::look(self.place(start, found.end), &found.number);
        let is_one = found.number.mantissa == 1 && found.number.fraction.is_none();
        // "one spring" is an article more often than a count, and "half a seal" is none.
        let alone = matches!(seen.after, After::Count(_)) && is_one && !found.fraction;
        let (after, end) = if alone { (After::Nothing, found.end) } else { (seen.after, seen.end) };
        if matches!(after, After::Nothing) && !spoken {
            return self.thousandths(start, &found) || self.lends(start, found);
        }
        // "two inches and a half".
        if let After::Unit(..) = after
            && found.number.exponent == 0
            && !found.fraction
            && let Some((part, part_end)) = spelled::and_part_behind(self.text, end)
            && let Ok(whole) = i64::try_from(found.number.mantissa)
        {
            self.push(start, part_end, spelled::mixed(whole, part), after, part_end);
            return true;
        }
        self.push(start, found.end, found.number, after, end);
        true
    }

    /// "twelve thousandths", with the inch left out.
    fn thousandths(&mut self, start: usize, found: &spelled::Spelled) -> bool {
        let Some((count, 1000)) = found.number.fraction else { return false };
        let written = self.text[start..found.end].ends_with('s');
        let Some(thou) = units::table().by_code("[mil_i]").filter(|_| written) else {
            return false;
        };
        if phrase_after(self.text, found.end, "of").is_some() {
            return false;
        }
        let number = Number { spelled: true, ..Number::integer(i64::from(count)) };
        self.push(start, found.end, number, After::Unit(thou, None), found.end);
        true
    }

    /// A number in words that may take the unit of the next: "two to three metres".
    fn lends(&mut self, start: usize, found: spelled::Spelled) -> bool {
        let (next, _) = next_word(self.text, found.end);
        let is_one = found.number.mantissa == 1 && !found.fraction;
        if is_one || !matches!(next, "to" | "or" | "and") {
            return false;
        }
        self.push(start, found.end, found.number, After::Nothing, found.end);
        true
    }

    fn place(&self, start: usize, end: usize) -> UnitPlace<'_> {
        let quoted = match self.bytes.get(end) {
            Some(b'"') => self.quoted,
            _ => self.curly,
        };
        UnitPlace { text: self.text, start, end, quoted, options: self.options }
    }

    fn push(&mut self, start: usize, number_end: usize, number: Number, after: After, end: usize) {
        self.found.all.push(NumberPiece {
            start,
            number_end,
            end,
            number,
            after,
            concise: None,
            limits: None,
            never: false,
            doubt: None,
        });
        self.at = end.max(number_end);
    }

    /// Where a sign before `at` starts, or `at`; `None` if what stands before makes it no number.
    fn begin(&self, at: usize) -> Option<usize> {
        let before = self.text[..at].chars().next_back();
        let joined_to_taint = |sign_start: usize| self.tainted == sign_start && sign_start < at;
        let Some(c) = before else { return Some(at) };
        let c_start = at - c.len_utf8();
        let piece_end = self.found.all.last().map_or(usize::MAX, |piece| piece.end);
        match c {
            '#' | '$' | '€' | '£' | '§' | '№' | '_' | '\\' | '@' | '^' => None,
            '-' | '\u{2212}' | '+' | '\u{2010}' | '\u{2011}' => {
                if piece_end == c_start {
                    return Some(at);
                }
                if joined_to_taint(c_start) || self.joined_before(c_start) {
                    return None;
                }
                if c == '-' && self.is_dash_number(at) {
                    return None;
                }
                let opens = self.opens_sign(c_start);
                let behind_number = self.found.all.last().is_some_and(|piece| {
                    matches!(piece.after, After::Nothing)
                        && skip_blanks_back(self.bytes, c_start) == piece.end
                });
                let sign = matches!(c, '-' | '\u{2212}' | '+') && opens && !behind_number;
                Some(if sign { c_start } else { at })
            }
            '.' | '/' | '×' | '–' | '~' | '&' | ':' | '*' if joined_to_taint(c_start) => None,
            '.' if 1 < at && self.bytes[at - 2].is_ascii_digit() && piece_end != c_start => None,
            // A point of the other notation: `,5` or `.5` is not five.
            '.' | ',' if self.opens_sign(c_start) => None,
            'ø' | 'Ø' | 'Φ' | 'φ' => Some(at),
            letter if letter.is_alphanumeric() && piece_end != at => None,
            _ => Some(at),
        }
    }

    fn opens_sign(&self, sign: usize) -> bool {
        sign == 0
            || matches!(
                self.bytes[sign - 1],
                b' ' | b'\t'
                    | b'\n'
                    | b'('
                    | b'['
                    | b'='
                    | b'/'
                    | b'|'
                    | b'~'
                    | b'.'
                    | 0xA0
                    | 0xA6
                    | 0xAF
            )
    }

    /// `-012`: the dash number of a ring.
    fn is_dash_number(&self, at: usize) -> bool {
        let digits = self.bytes[at..].iter().take(4).take_while(|b| b.is_ascii_digit()).count();
        let closed = self.bytes.get(at + digits).is_none_or(|b| !matches!(b, b'.' | b','))
            || !self.bytes.get(at + digits + 1).is_some_and(u8::is_ascii_digit);
        digits == 3 && closed && self.bytes[at] == b'0'
    }

    fn number(&mut self) {
        let at = self.at;
        let Some((outcome, length)) = scan(&self.text[at..], self.options.decimal_comma) else {
            self.at = self.ceil_boundary(at + 1);
            return;
        };
        let end = at + length;
        let Some(start) = self.begin(at) else {
            self.taint(end);
            return;
        };
        let number = match outcome {
            Ok(number) => number,
            Err(fault) => {
                self.faulty(start, end, fault);
                return;
            }
        };
        let number = if start < at { signed(number, self.bytes[start]) } else { number };
        self.piece(start, end, number);
    }

    /// Steps over a masked number and what is glued to it.
    fn taint(&mut self, end: usize) {
        let glued =
            self.bytes[end..].iter().take(64).take_while(|b| b.is_ascii_alphanumeric()).count();
        self.at = end + glued;
        self.tainted = self.at;
    }

    fn piece(&mut self, start: usize, end: usize, number: Number) {
        if self.is_date(start, end) || self.is_clock(start, end) {
            let tail = self.bytes[end..]
                .iter()
                .take(24)
                .take_while(|b| b.is_ascii_digit() || matches!(b, b'-' | b':' | b'T'))
                .count();
            self.taint(end + tail);
            return;
        }
        if let Some((quotient, end)) = ratio::of_two(self.text, start, end, &number) {
            self.push(start, end, quotient, After::Ratio, end);
            return;
        }
        let (concise, number_end) = self.concise(&number, end);
        let (limits, number_end, seen) = self.behind(start, number_end, &number);
        let nothing = matches!(seen.after, After::Nothing);
        let named = nothing
            && (never::labelled(self.text, start)
                || never::named_after(self.text, number_end)
                || never::calendar_after(self.text, number_end));
        let glued = nothing && self.bytes.get(number_end).is_some_and(|b| is_word_byte(*b));
        if glued && seen.doubt.is_none() && !self.dash_follows(number_end) {
            self.taint(number_end);
            return;
        }
        self.push(start, number_end, number, seen.after, seen.end);
        if let Some(piece) = self.found.all.last_mut() {
            piece.concise = concise;
            piece.limits = limits;
            piece.never = named;
            piece.doubt = seen.doubt;
        }
    }

    /// What follows a number, past deviations of a size, which may stand before or behind its unit.
    fn behind(&self, start: usize, end: usize, number: &Number) -> (Option<Limits>, usize, Seen) {
        let comma = self.options.decimal_comma;
        if let Some(limits) = limits::behind(self.text, end, number, comma) {
            let end = limits.end;
            return (Some(limits), end, after::look(self.place(start, end), number));
        }
        let seen = after::look(self.place(start, end), number);
        let After::Unit(unit, _) = seen.after else { return (None, end, seen) };
        let Some(limits) = limits::behind(self.text, seen.end, number, comma) else {
            return (None, end, seen);
        };
        let again = after::look(self.place(start, limits.end), number);
        let end_of_all = match again.after {
            After::Nothing => limits.end,
            After::Unit(same, _) if std::ptr::eq(same, unit) => again.end,
            _ => return (None, end, seen),
        };
        (Some(limits), end, Seen { end: end_of_all, ..seen })
    }

    /// Whether a character beyond ASCII that is no letter follows, such as a dash or a sign.
    fn dash_follows(&self, at: usize) -> bool {
        self.text[at..].chars().next().is_some_and(|c| !c.is_alphanumeric() && c != '_')
    }

    /// `2026-03-02`, or the numbers of a longer chain of hyphens.
    fn is_date(&self, start: usize, end: usize) -> bool {
        let digits = |from: usize| {
            self.bytes[from..].iter().take(5).take_while(|b| b.is_ascii_digit()).count()
        };
        if self.bytes.get(end) != Some(&b'-') || end - start > 4 {
            return false;
        }
        let second = digits(end + 1);
        (1..=4).contains(&second)
            && self.bytes.get(end + 1 + second) == Some(&b'-')
            && (1..=4).contains(&digits(end + 2 + second))
    }

    /// `12:30`, `9:05`; not `2.4:1`.
    fn is_clock(&self, start: usize, end: usize) -> bool {
        let minutes = self
            .bytes
            .get(end + 1..end + 3)
            .is_some_and(|pair| pair.iter().all(u8::is_ascii_digit) && pair[0] < b'6');
        self.bytes.get(end) == Some(&b':') && end - start <= 2 && minutes
    }

    /// `8.0(2)`: the uncertainty of the last digits.
    fn concise(&self, number: &Number, end: usize) -> (Option<Number>, usize) {
        let digits = self.bytes[end..].iter().skip(1).take(3).take_while(|b| b.is_ascii_digit());
        let count = digits.count();
        let close = end + 1 + count;
        let shaped = self.bytes.get(end) == Some(&b'(')
            && (1..=2).contains(&count)
            && self.bytes.get(close) == Some(&b')')
            && number.exponent < 0;
        if !shaped {
            return (None, end);
        }
        let value: i64 = self.text[end + 1..close].parse().unwrap_or(0);
        let width = Number { exponent: number.exponent, ..Number::integer(value) };
        (Some(Number { integer_zeros: 0, ..width }), close + 1)
    }

    /// A number that cannot be read is told only where a unit shows that it was meant as a figure.
    fn faulty(&mut self, start: usize, end: usize, fault: NumberFault) {
        let version = fault == NumberFault::BadGrouping && !self.text[start..end].contains(',');
        let unit_end = self.unit_behind(start, end);
        let second = self.second_behind(unit_end.unwrap_or(end));
        let meant = unit_end.is_some() || second.is_some() || self.options.column_unit.is_some();
        if version || !meant {
            self.taint(end);
            return;
        }
        self.found.faults.push(faults::number(self.text, start..end, fault));
        self.at = second.or(unit_end).unwrap_or(end);
    }

    /// Where the unit behind the unreadable number `start..end` ends.
    fn unit_behind(&self, start: usize, end: usize) -> Option<usize> {
        // Only the shape of the number matters for what follows it.
        let stand_in = Number { exponent: -1, ..Number::integer(11) };
        let seen = after::look(self.place(start, end), &stand_in);
        matches!(seen.after, After::Unit(..)).then_some(seen.end)
    }

    /// Where the other end of a range, or the ±, behind an unreadable number ends: one slip is
    /// told once.
    fn second_behind(&self, end: usize) -> Option<usize> {
        let sign = skip_blanks(self.bytes, end);
        let signs = ["-", "–", "±", "+/-", "\u{2212}", "to ", "and ", "or "];
        let known = signs.iter().find(|sign_text| self.text[sign..].starts_with(**sign_text))?;
        let start = skip_blanks(self.bytes, sign + known.len());
        let (_, length) = scan(self.text.get(start..)?, self.options.decimal_comma)?;
        self.unit_behind(start, start + length)
    }
}

fn signed(number: Number, sign: u8) -> Number {
    if sign == b'+' {
        return number;
    }
    Number { mantissa: -number.mantissa, negative: true, ..number }
}

/// Whether the text before `at` says "plus or minus" in some form, and where that starts.
pub(super) fn plus_minus_before(text: &str, at: usize) -> Option<usize> {
    let end = skip_blanks_back(text.as_bytes(), at);
    ["±", "+/-", "+/\u{2212}", "+-"]
        .iter()
        .find_map(|sign| text[..end].ends_with(sign).then(|| end - sign.len()))
        .or_else(|| phrase_before(text, at, "plus or minus"))
        .or_else(|| phrase_before(text, at, "give or take"))
}
