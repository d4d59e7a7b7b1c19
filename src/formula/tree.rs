//! The shape of a parsed formula.

use crate::formula::{Input, InputId};
use crate::quantity::Quantity;
use crate::quantity::units::ReferencedUnit;
use crate::text::Span;

/// A parsed formula; all spans are bytes of its text.
#[derive(Debug, Clone)]
pub struct Formula {
    pub(super) root: Node,
}

/// One operation with the bytes it covers.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) span: Span,
    pub(super) kind: NodeKind,
}

#[derive(Debug, Clone)]
pub(super) enum NodeKind {
    /// A number with its unit.
    Literal(Box<Literal>),
    /// A quoted word: a dash number, a drill.
    Text(String),
    /// A dotted name.
    Name(Vec<String>),
    /// `-x`
    Negate(Box<Node>),
    /// `a + b` and so on; the operator's own place.
    Binary(Operator, Box<Node>, Box<Node>),
    /// `name(arguments)`
    Call(String, Span, Vec<Node>),
    /// `a < b`
    Compare(Comparison, Box<Node>, Box<Node>),
    /// `not a`
    Not(Box<Node>),
    /// `a and b`
    And(Box<Node>, Box<Node>),
    /// `a or b`
    Or(Box<Node>, Box<Node>),
}

/// A number as it stands in a formula.
#[derive(Debug, Clone)]
pub(super) struct Literal {
    pub(super) quantity: Quantity,
    /// The unit as written; `None` for a plain number.
    pub(super) unit: Option<ReferencedUnit>,
    /// A written ±.
    pub(super) uncertainty: Option<(InputId, Input)>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Operator {
    Add,
    Subtract,
    Multiply,
    Divide,
    Power,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Comparison {
    Less,
    AtMost,
    Greater,
    AtLeast,
    Equal,
}

impl Formula {
    /// Every dotted name that the formula asks its scope for, with its place, in reading order.
    pub(crate) fn names(&self) -> Vec<(Vec<String>, Span)> {
        let mut found = Vec::new();
        self.root.walk(&mut |node| {
            if let NodeKind::Name(path) = &node.kind {
                found.push((path.clone(), node.span));
            }
        });
        found
    }

    /// Whether it is one name and nothing else.
    pub(crate) fn is_name(&self) -> bool {
        matches!(self.root.kind, NodeKind::Name(_))
    }

    /// The two names of which it says how far, or by which share, one is more than the other:
    /// `a - b`, `a / b - 1`, `1 - a / b`.
    pub(crate) fn apart(&self) -> Option<[&[String]; 2]> {
        let NodeKind::Binary(Operator::Subtract, left, right) = &self.root.kind else {
            return None;
        };
        let is_one = |node: &Node| match &node.kind {
            NodeKind::Literal(literal) => {
                literal.unit.is_none() && literal.quantity.si.to_f64() == 1.0
            }
            _ => false,
        };
        let (one, other) = match (&left.kind, &right.kind) {
            (NodeKind::Binary(Operator::Divide, one, other), _) if is_one(right) => (one, other),
            (_, NodeKind::Binary(Operator::Divide, one, other)) if is_one(left) => (one, other),
            _ => (left, right),
        };
        Some([one.named_alone()?, other.named_alone()?])
    }

    /// Whether it is a comparison (true, false or undecided) and not a value.
    pub(crate) fn is_comparison(&self) -> bool {
        self.root.is_truth()
    }

    /// The function whose result the whole formula is, if it is one.
    pub(crate) fn function(&self) -> Option<&str> {
        match &self.root.kind {
            NodeKind::Call(name, ..) => Some(name),
            _ => None,
        }
    }

    /// The calls of functions whose names fit: the place of each and those of its arguments.
    pub(crate) fn calls(&self, fits: impl Fn(&str) -> bool) -> Vec<(Span, Vec<Span>)> {
        let mut found = Vec::new();
        self.root.walk(&mut |node| {
            if let NodeKind::Call(name, _, arguments) = &node.kind
                && fits(name)
            {
                found.push((node.span, arguments.iter().map(|node| node.span).collect()));
            }
        });
        found
    }

    /// The written units of its numbers, in reading order, plain numbers left out.
    pub(crate) fn literal_units(&self) -> Vec<ReferencedUnit> {
        let mut found = Vec::new();
        self.root.walk(&mut |node| {
            if let NodeKind::Literal(literal) = &node.kind {
                found.extend(literal.unit.clone());
            }
        });
        found
    }

    /// The ± written beside its numbers.
    #[must_use]
    pub fn literal_inputs(&self) -> Vec<(InputId, Input)> {
        let mut found = Vec::new();
        self.root.walk(&mut |node| {
            if let NodeKind::Literal(literal) = &node.kind {
                found.extend(literal.uncertainty);
            }
        });
        found
    }
}

impl Node {
    /// The name that it is, be it counted from elsewhere: `absolute(a)`.
    fn named_alone(&self) -> Option<&[String]> {
        match &self.kind {
            NodeKind::Name(name) => Some(name),
            NodeKind::Call(_, _, arguments) => match arguments.as_slice() {
                [Node { kind: NodeKind::Name(name), .. }] => Some(name),
                _ => None,
            },
            _ => None,
        }
    }

    pub(super) fn is_truth(&self) -> bool {
        matches!(
            self.kind,
            NodeKind::Compare(..) | NodeKind::Not(..) | NodeKind::And(..) | NodeKind::Or(..)
        )
    }

    pub(super) fn walk(&self, visit: &mut impl FnMut(&Node)) {
        visit(self);
        match &self.kind {
            NodeKind::Literal(_) | NodeKind::Text(_) | NodeKind::Name(_) => {}
            NodeKind::Negate(inner) | NodeKind::Not(inner) => inner.walk(visit),
            NodeKind::Binary(_, a, b)
            | NodeKind::Compare(_, a, b)
            | NodeKind::And(a, b)
            | NodeKind::Or(a, b) => {
                a.walk(visit);
                b.walk(visit);
            }
            NodeKind::Call(_, _, arguments) => arguments.iter().for_each(|node| node.walk(visit)),
        }
    }
}
