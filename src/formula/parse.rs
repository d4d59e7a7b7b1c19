//! From words and signs to the shape of a formula: operator precedence, depth limits, faults with
//! their places. Never panics, whatever the text.

use super::scan::{Token, tokens};
use super::tree::{Comparison, Formula, Literal, Node, NodeKind, Operator};
use super::{FaultKind, FormulaFault, Syntax, literal};
use crate::quantity::units::two_meanings;
use crate::quantity::{Kind, Rational};
use crate::text::Span;
use num_bigint::BigInt;

/// Longest text, in bytes.
const LONGEST: usize = 4_000;
/// Deepest nesting of parentheses and signs.
const DEEPEST: usize = 64;
/// Most operators; they bound the depth of the tree together with the nesting.
const MOST_OPERATORS: usize = 300;

/// Reads a formula.
///
/// # Errors
/// All lexical faults; where there are none, the first fault of grammar.
pub fn parse(text: &str) -> Result<Formula, Vec<FormulaFault>> {
    parse_with(text, Syntax::default())
}

/// Reads a formula as the conventions of a page or command line say.
///
/// # Errors
/// As [`parse`].
pub fn parse_with(text: &str, syntax: Syntax) -> Result<Formula, Vec<FormulaFault>> {
    let whole = Span::new(0, text.len());
    if LONGEST < text.len() {
        return Err(vec![
            FormulaFault::new(FaultKind::Text, whole, "the formula is too long to follow")
                .helping("split it into named derived figures"),
        ]);
    }
    let (tokens, faults) = tokens(text, syntax);
    if !faults.is_empty() {
        return Err(faults);
    }
    if tokens.is_empty() {
        return Err(vec![FormulaFault::new(FaultKind::Text, whole, "the formula is empty")]);
    }
    let mut parser = Parser { text, tokens, next: 0, depth: 0, operators: 0 };
    let root = parser.expression(OperatorLevel::Or).map_err(|fault| vec![fault])?;
    if let Some((token, span)) = parser.tokens.get(parser.next) {
        return Err(vec![parser.leftover(token, *span)]);
    }
    Ok(Formula { root })
}

/// How tightly an operator binds; later ones bind tighter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum OperatorLevel {
    Or,
    And,
    Not,
    Compare,
    Sum,
    Product,
    Sign,
    Power,
}

struct Parser<'a> {
    text: &'a str,
    tokens: Vec<(Token, Span)>,
    next: usize,
    depth: usize,
    operators: usize,
}

impl Parser<'_> {
    fn peek(&self) -> Option<&(Token, Span)> {
        self.tokens.get(self.next)
    }

    fn end(&self) -> Span {
        Span::new(self.text.len(), self.text.len())
    }

    fn expression(&mut self, lowest: OperatorLevel) -> Result<Node, FormulaFault> {
        self.depth += 1;
        if DEEPEST < self.depth {
            let span = self.peek().map_or(self.end(), |(_, span)| *span);
            return Err(too_deep(span));
        }
        let mut left = self.operand()?;
        while let Some((level, right_level)) = self.peek().and_then(|(token, _)| binds(token)) {
            if level < lowest {
                break;
            }
            self.operators += 1;
            let (token, at) = self.tokens[self.next].clone();
            if MOST_OPERATORS < self.operators {
                return Err(too_deep(at));
            }
            self.next += 1;
            left = self.link(left, token, at, right_level)?;
        }
        self.depth -= 1;
        Ok(left)
    }

    /// `left` joined with what follows the operator that was just read.
    fn link(
        &mut self,
        left: Node,
        token: Token,
        at: Span,
        right_level: OperatorLevel,
    ) -> Result<Node, FormulaFault> {
        if let Token::Raised(power) = token {
            let exponent = plain_number(power, at);
            let span = Span::new(left.span.start, at.end);
            let kind =
                NodeKind::Binary(Operator::Power, Box::new(number(left)?), Box::new(exponent));
            return Ok(Node { span, kind });
        }
        let right = self.expression(right_level)?;
        let span = Span::new(left.span.start, right.span.end);
        let kind = match token {
            Token::Operator(operator) => {
                NodeKind::Binary(operator, Box::new(number(left)?), Box::new(number(right)?))
            }
            Token::Comparison(comparison) => self.comparison(comparison, left, right)?,
            Token::And => NodeKind::And(Box::new(truth(left)?), Box::new(truth(right)?)),
            _ => NodeKind::Or(Box::new(truth(left)?), Box::new(truth(right)?)),
        };
        Ok(Node { span, kind })
    }

    fn comparison(
        &self,
        comparison: Comparison,
        left: Node,
        right: Node,
    ) -> Result<NodeKind, FormulaFault> {
        if let Some((Token::Comparison(_), span)) = self.peek() {
            return Err(FormulaFault::new(
                FaultKind::Text,
                *span,
                "comparisons cannot follow each other",
            )
            .helping("write a < b and b < c"));
        }
        Ok(NodeKind::Compare(comparison, Box::new(number(left)?), Box::new(number(right)?)))
    }

    fn operand(&mut self) -> Result<Node, FormulaFault> {
        let Some((token, span)) = self.peek().cloned() else {
            return Err(FormulaFault::new(
                FaultKind::Text,
                self.end(),
                "the formula breaks off here",
            )
            .helping("add the number or name that is missing"));
        };
        self.next += 1;
        let kind = match token {
            Token::Literal(literal) => NodeKind::Literal(literal),
            Token::Text(text) => NodeKind::Text(text),
            Token::Name(path) => return self.name(path, span),
            Token::Open => return self.parenthesis(span),
            Token::Operator(Operator::Subtract) => return self.negation(span),
            Token::Operator(Operator::Add) => return self.expression(OperatorLevel::Sign),
            Token::Not => {
                let inner = truth(self.expression(OperatorLevel::Compare)?)?;
                let span = Span::new(span.start, inner.span.end);
                return Ok(Node { span, kind: NodeKind::Not(Box::new(inner)) });
            }
            _ => {
                let sign = &self.text[span.start..span.end];
                let message = format!("`{sign}` stands where a number or name should stand");
                return Err(FormulaFault::new(FaultKind::Text, span, message));
            }
        };
        Ok(Node { span, kind })
    }

    /// A minus sign. Before a number on a temperature scale it belongs to the number: −40 °C.
    fn negation(&mut self, sign: Span) -> Result<Node, FormulaFault> {
        if let Some((Token::Literal(literal), span)) = self.peek()
            && literal.quantity.kind == Kind::TemperaturePoint
        {
            let whole = Span::new(sign.start, span.end);
            let negative = negative_point(literal);
            self.next += 1;
            return Ok(Node { span: whole, kind: NodeKind::Literal(Box::new(negative)) });
        }
        let inner = number(self.expression(OperatorLevel::Sign)?)?;
        let span = Span::new(sign.start, inner.span.end);
        Ok(Node { span, kind: NodeKind::Negate(Box::new(inner)) })
    }

    fn parenthesis(&mut self, open: Span) -> Result<Node, FormulaFault> {
        let mut inner = self.expression(OperatorLevel::Or)?;
        match self.peek() {
            Some((Token::Close, close)) => {
                inner.span = Span::new(open.start, close.end);
                self.next += 1;
                Ok(inner)
            }
            Some((Token::Comma, span)) => Err(FormulaFault::new(
                FaultKind::Text,
                *span,
                "a comma stands in parentheses that belong to no function",
            )
            .helping("write a decimal point, or a function name before the parenthesis")),
            Some((token, span)) => Err(self.leftover(token, *span)),
            None => Err(FormulaFault::new(FaultKind::Text, open, "the parenthesis is not closed")
                .helping("add )")),
        }
    }

    fn name(&mut self, path: Vec<String>, span: Span) -> Result<Node, FormulaFault> {
        if !matches!(self.peek(), Some((Token::Open, _))) {
            return Ok(Node { span, kind: NodeKind::Name(path) });
        }
        self.next += 1;
        let mut arguments = Vec::new();
        if let Some((Token::Close, close)) = self.peek() {
            let whole = Span::new(span.start, close.end);
            self.next += 1;
            return Ok(call(path, span, whole, arguments));
        }
        loop {
            arguments.push(number(self.expression(OperatorLevel::Or)?)?);
            match self.peek() {
                Some((Token::Comma, _)) => self.next += 1,
                Some((Token::Close, close)) => {
                    let whole = Span::new(span.start, close.end);
                    self.next += 1;
                    return Ok(call(path, span, whole, arguments));
                }
                Some((token, span)) => return Err(self.leftover(token, *span)),
                None => {
                    let message = format!("the parenthesis of `{}` is not closed", path.join("."));
                    return Err(FormulaFault::new(FaultKind::Text, span, message).helping("add )"));
                }
            }
        }
    }

    /// A token that cannot follow what was read.
    fn leftover(&self, token: &Token, span: Span) -> FormulaFault {
        let written = &self.text[span.start..span.end];
        match token {
            Token::Close => {
                FormulaFault::new(FaultKind::Text, span, "there is no parenthesis to close here")
                    .helping("leave it out, or add ( before")
            }
            Token::Comma => {
                FormulaFault::new(FaultKind::Text, span, "the comma parts nothing here")
                    .helping("write a decimal point in numbers; commas stand between arguments")
            }
            _ => {
                let message = format!("an operator is missing before `{written}`");
                let help = match two_meanings(written) {
                    Some([one, other]) => format!("write `{one}` or `{other}`"),
                    None if written == "of" => "write * for `of`".to_owned(),
                    None if is_common_word(written) => {
                        "write arithmetic, without words between".to_owned()
                    }
                    None => format!(
                        "write `* {written}` for a product; a unit must be one of the listed ones"
                    ),
                };
                FormulaFault::new(FaultKind::Text, span, message).helping(help)
            }
        }
    }
}

fn is_common_word(word: &str) -> bool {
    matches!(word, "at" | "to" | "in" | "as" | "by" | "plus" | "minus" | "times" | "per" | "is")
}

fn binds(token: &Token) -> Option<(OperatorLevel, OperatorLevel)> {
    Some(match token {
        Token::Or => (OperatorLevel::Or, OperatorLevel::And),
        Token::And => (OperatorLevel::And, OperatorLevel::Not),
        Token::Comparison(_) => (OperatorLevel::Compare, OperatorLevel::Sum),
        Token::Operator(Operator::Add | Operator::Subtract) => {
            (OperatorLevel::Sum, OperatorLevel::Product)
        }
        Token::Operator(Operator::Multiply | Operator::Divide) => {
            (OperatorLevel::Product, OperatorLevel::Sign)
        }
        // To the right, and with a sign of its own: 2^-1, 2^3^2.
        Token::Operator(Operator::Power) => (OperatorLevel::Power, OperatorLevel::Sign),
        Token::Raised(_) => (OperatorLevel::Power, OperatorLevel::Power),
        _ => return None,
    })
}

fn call(path: Vec<String>, name: Span, span: Span, arguments: Vec<Node>) -> Node {
    Node { span, kind: NodeKind::Call(path.join("."), name, arguments) }
}

fn plain_number(value: i32, span: Span) -> Node {
    let quantity = literal::quantity(&Rational::from(BigInt::from(value)), None);
    let literal = Literal { quantity, unit: None, uncertainty: None };
    Node { span, kind: NodeKind::Literal(Box::new(literal)) }
}

fn negative_point(literal: &Literal) -> Literal {
    let mut negative = literal.clone();
    if let Some(unit) = &literal.unit {
        let number = unit.unit.from_si(&literal.quantity.si).neg();
        negative.quantity.si = unit.unit.to_si(&number);
    }
    negative
}

fn too_deep(span: Span) -> FormulaFault {
    FormulaFault::new(FaultKind::Text, span, "the formula is nested too deep to follow")
        .helping("split it into named derived figures")
}

fn number(node: Node) -> Result<Node, FormulaFault> {
    if node.is_truth() {
        return Err(FormulaFault::new(
            FaultKind::Text,
            node.span,
            "a comparison stands where a number should stand",
        ));
    }
    Ok(node)
}

fn truth(node: Node) -> Result<Node, FormulaFault> {
    if node.is_truth() {
        return Ok(node);
    }
    Err(FormulaFault::new(
        FaultKind::Text,
        node.span,
        "a number stands where a comparison should stand",
    )
    .helping("compare it with something: a < b"))
}
