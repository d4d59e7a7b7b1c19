//! Words and signs of a formula.

use super::tree::{Comparison, Literal, Operator};
use super::{FaultKind, FormulaFault, Syntax, literal};
use crate::text::Span;

/// One word or sign.
#[derive(Debug, Clone)]
pub(super) enum Token {
    Literal(Box<Literal>),
    Text(String),
    Name(Vec<String>),
    Operator(Operator),
    /// A power written as raised digits.
    Raised(i32),
    Comparison(Comparison),
    Not,
    And,
    Or,
    Open,
    Close,
    /// Between arguments.
    Comma,
}

/// All tokens with their places; lexical faults are collected, and reading goes on behind them.
pub(super) fn tokens(text: &str, syntax: Syntax) -> (Vec<(Token, Span)>, Vec<FormulaFault>) {
    let mut scanner = Scanner { text, at: 0, syntax, calls: Vec::new(), found: Vec::new() };
    let mut faults = Vec::new();
    while let Some(c) = text[scanner.at..].chars().next() {
        if c.is_whitespace() {
            scanner.at += c.len_utf8();
            continue;
        }
        if let Err(fault) = scanner.token(c) {
            faults.push(fault);
        }
    }
    (scanner.found, faults)
}

struct Scanner<'a> {
    text: &'a str,
    at: usize,
    syntax: Syntax,
    /// For every open parenthesis whether it opens arguments.
    calls: Vec<bool>,
    found: Vec<(Token, Span)>,
}

impl Scanner<'_> {
    fn push(&mut self, token: Token, length: usize) {
        self.found.push((token, Span::new(self.at, self.at + length)));
        self.at += length;
    }

    fn token(&mut self, c: char) -> Result<(), FormulaFault> {
        let rest = &self.text[self.at..];
        let is_number = c.is_ascii_digit()
            || "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞⅒".contains(c)
            || (c == '.' && rest[1..].starts_with(|c: char| c.is_ascii_digit()));
        if is_number {
            return self.number();
        }
        if c.is_alphabetic() || c == '_' {
            self.word();
            return Ok(());
        }
        if c == '"' || c == '\'' || c == '“' {
            return self.quoted(c);
        }
        if "⁰¹²³⁴⁵⁶⁷⁸⁹⁻".contains(c) {
            return self.raised();
        }
        self.sign(c)
    }

    fn number(&mut self) -> Result<(), FormulaFault> {
        let in_call = self.calls.contains(&true);
        match literal::read(self.text, self.at, in_call, self.syntax) {
            Ok((literal, length)) => {
                self.push(Token::Literal(Box::new(literal)), length);
                Ok(())
            }
            Err((fault, length)) => {
                self.at += length;
                while !self.text.is_char_boundary(self.at) {
                    self.at += 1;
                }
                Err(fault)
            }
        }
    }

    fn word(&mut self) {
        let rest = &self.text[self.at..];
        let is_part = |c: char| c.is_alphanumeric() && !"²³¹".contains(c) || c == '_';
        let mut end = rest.find(|c| !is_part(c)).unwrap_or(rest.len());
        let mut path = vec![rest[..end].to_owned()];
        while let Some(more) = rest[end..].strip_prefix('.') {
            let length = more.find(|c| !is_part(c)).unwrap_or(more.len());
            if length == 0 {
                break;
            }
            path.push(more[..length].to_owned());
            end += 1 + length;
        }
        let token = match path.as_slice() {
            [word] if word == "and" => Token::And,
            [word] if word == "or" => Token::Or,
            [word] if word == "not" => Token::Not,
            _ => Token::Name(path),
        };
        self.push(token, end);
    }

    fn quoted(&mut self, open: char) -> Result<(), FormulaFault> {
        let close = if open == '“' { '”' } else { open };
        let inner = &self.text[self.at + open.len_utf8()..];
        let Some(end) = inner.find(close) else {
            let span = Span::new(self.at, self.text.len());
            self.at = self.text.len();
            return Err(FormulaFault::new(FaultKind::Text, span, "the quotation is not closed")
                .helping(format!("add {close} behind the word")));
        };
        let length = open.len_utf8() + end + close.len_utf8();
        self.push(Token::Text(inner[..end].to_owned()), length);
        Ok(())
    }

    fn raised(&mut self) -> Result<(), FormulaFault> {
        let rest = &self.text[self.at..];
        let end = rest.find(|c| !"⁰¹²³⁴⁵⁶⁷⁸⁹⁻".contains(c)).unwrap_or(rest.len());
        let digits: String = rest[..end]
            .chars()
            .map(|c| match "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().position(|digit| digit == c) {
                Some(digit) => char::from(b'0' + u8::try_from(digit).unwrap_or(0)),
                None => '-',
            })
            .collect();
        let span = Span::new(self.at, self.at + end);
        match digits.parse() {
            Ok(power) => {
                self.push(Token::Raised(power), end);
                Ok(())
            }
            Err(_) => {
                self.at += end;
                Err(FormulaFault::new(FaultKind::Text, span, "the raised digits are no power")
                    .helping("write a power such as ^2"))
            }
        }
    }

    fn sign(&mut self, c: char) -> Result<(), FormulaFault> {
        let rest = &self.text[self.at..];
        if let Some((token, length)) = sign_token(rest) {
            match token {
                Token::Open => {
                    let is_call = matches!(self.found.last(), Some((Token::Name(_), _)));
                    self.calls.push(is_call);
                }
                Token::Close => {
                    self.calls.pop();
                }
                _ => {}
            }
            self.push(token, length);
            return Ok(());
        }
        let (length, message, help) = refused(rest, c);
        let span = Span::new(self.at, self.at + length);
        self.at += length;
        let fault = FormulaFault::new(FaultKind::Text, span, message);
        Err(if help.is_empty() { fault } else { fault.helping(help) })
    }
}

fn sign_token(rest: &str) -> Option<(Token, usize)> {
    if ["==", "**", "!=", "=>", "=<", "<>", "//"].iter().any(|wrong| rest.starts_with(wrong)) {
        return None;
    }
    let signs: [(&str, Token); 22] = [
        ("<=", Token::Comparison(Comparison::AtMost)),
        (">=", Token::Comparison(Comparison::AtLeast)),
        ("≤", Token::Comparison(Comparison::AtMost)),
        ("≥", Token::Comparison(Comparison::AtLeast)),
        ("<", Token::Comparison(Comparison::Less)),
        (">", Token::Comparison(Comparison::Greater)),
        ("=", Token::Comparison(Comparison::Equal)),
        ("+", Token::Operator(Operator::Add)),
        ("-", Token::Operator(Operator::Subtract)),
        ("\u{2212}", Token::Operator(Operator::Subtract)),
        ("–", Token::Operator(Operator::Subtract)),
        ("*", Token::Operator(Operator::Multiply)),
        ("×", Token::Operator(Operator::Multiply)),
        ("·", Token::Operator(Operator::Multiply)),
        ("⋅", Token::Operator(Operator::Multiply)),
        ("/", Token::Operator(Operator::Divide)),
        ("÷", Token::Operator(Operator::Divide)),
        ("^", Token::Operator(Operator::Power)),
        ("(", Token::Open),
        (")", Token::Close),
        (",", Token::Comma),
        (";", Token::Comma),
    ];
    signs
        .into_iter()
        .find_map(|(sign, token)| rest.starts_with(sign).then_some((token, sign.len())))
}

/// Length, message and help for a sign that has no meaning here.
fn refused(rest: &str, c: char) -> (usize, String, &'static str) {
    for (wrong, help) in [
        ("==", "write = for a comparison"),
        ("!=", "write not (a = b)"),
        ("<>", "write not (a = b)"),
        ("=>", "write >="),
        ("=<", "write <="),
        ("**", "write ^ for a power"),
        ("//", "write / for a division"),
    ] {
        if rest.starts_with(wrong) {
            return (wrong.len(), format!("`{wrong}` has no meaning in a formula"), help);
        }
    }
    let help = match c {
        '|' => "formulas have no filters; the unit of a printed figure is asked for with as(…)",
        '±' => "a ± stands right behind a number with its unit",
        '[' | ']' | '{' | '}' => "use round parentheses",
        '≠' => "write not (a = b)",
        '&' => "write and",
        '!' => "write not",
        '?' | ':' | '$' | '@' | '#' | '\\' | '`' => "leave it out",
        _ => "",
    };
    (c.len_utf8(), format!("`{}` has no meaning in a formula", c.escape_debug()), help)
}
