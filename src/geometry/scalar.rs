//! Numbers that geometry is worked out in: plain ones, and ones that carry their derivatives.
//!
//! Derivatives are carried forward with the values (forward-mode duals) and not traced back from
//! the results: an engine has some tens of dimensions, a result is asked for once or twice, and the
//! same code then works out values and derivatives, so that they cannot drift apart.

use std::fmt::Debug;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// A number that the geometry can be worked out in.
pub trait Scalar:
    Clone
    + Debug
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
{
    /// A number that depends on nothing.
    fn constant(value: f64) -> Self;
    /// The number alone; all decisions are taken by it.
    fn value(&self) -> f64;
    /// What a function of it comes to, by the function's value and its derivative here.
    fn of_one(&self, value: f64, slope: f64) -> Self;

    /// The square root of a number above nought.
    fn root(&self) -> Self {
        let root = libm::sqrt(self.value());
        self.of_one(root, 0.5 / root)
    }
}

impl Scalar for f64 {
    fn constant(value: f64) -> f64 {
        value
    }

    fn value(&self) -> f64 {
        *self
    }

    fn of_one(&self, value: f64, _: f64) -> f64 {
        value
    }
}

/// A number with its derivatives by the inputs it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Dual {
    value: f64,
    /// By the number of the input, in order.
    slopes: Vec<(u32, f64)>,
}

impl Dual {
    /// An input: its derivative by itself is one.
    #[must_use]
    pub fn input(value: f64, input: u32) -> Dual {
        Dual { value, slopes: vec![(input, 1.0)] }
    }

    /// A number with the derivatives given, each input once and in order.
    #[must_use]
    pub fn with_slopes(value: f64, slopes: Vec<(u32, f64)>) -> Dual {
        Dual { value, slopes }
    }

    /// The derivatives, by the number of the input, in order.
    #[must_use]
    pub fn slopes(&self) -> &[(u32, f64)] {
        &self.slopes
    }

    /// The derivative by one input.
    #[must_use]
    pub fn slope(&self, input: u32) -> f64 {
        let at = self.slopes.binary_search_by_key(&input, |(known, _)| *known);
        at.map_or(0.0, |at| self.slopes[at].1)
    }

    /// A result of two numbers with the derivatives of it by each.
    fn of_two(value: f64, (a, by_a): (Dual, f64), (b, by_b): (Dual, f64)) -> Dual {
        if b.slopes.is_empty() {
            return a.scaled(value, by_a);
        }
        if a.slopes.is_empty() {
            return b.scaled(value, by_b);
        }
        let mut slopes = Vec::with_capacity(a.slopes.len() + b.slopes.len());
        let (mut left, mut right) =
            (a.slopes.into_iter().peekable(), b.slopes.into_iter().peekable());
        loop {
            let input = match (left.peek(), right.peek()) {
                (Some((one, _)), Some((other, _))) => *one.min(other),
                (Some((one, _)), None) | (None, Some((one, _))) => *one,
                (None, None) => return Dual { value, slopes },
            };
            let of_a = left.next_if(|(known, _)| *known == input).map_or(0.0, |(_, slope)| slope);
            let of_b = right.next_if(|(known, _)| *known == input).map_or(0.0, |(_, slope)| slope);
            slopes.push((input, of_a * by_a + of_b * by_b));
        }
    }

    fn scaled(mut self, value: f64, by: f64) -> Dual {
        for (_, slope) in &mut self.slopes {
            *slope *= by;
        }
        Dual { value, slopes: self.slopes }
    }
}

impl Scalar for Dual {
    fn constant(value: f64) -> Dual {
        Dual { value, slopes: Vec::new() }
    }

    fn value(&self) -> f64 {
        self.value
    }

    fn of_one(&self, value: f64, slope: f64) -> Dual {
        self.clone().scaled(value, slope)
    }
}

impl Add for Dual {
    type Output = Dual;

    fn add(self, other: Dual) -> Dual {
        Dual::of_two(self.value + other.value, (self, 1.0), (other, 1.0))
    }
}

impl Sub for Dual {
    type Output = Dual;

    fn sub(self, other: Dual) -> Dual {
        Dual::of_two(self.value - other.value, (self, 1.0), (other, -1.0))
    }
}

impl Mul for Dual {
    type Output = Dual;

    fn mul(self, other: Dual) -> Dual {
        let (a, b) = (self.value, other.value);
        Dual::of_two(a * b, (self, b), (other, a))
    }
}

impl Div for Dual {
    type Output = Dual;

    fn div(self, other: Dual) -> Dual {
        let (a, b) = (self.value, other.value);
        Dual::of_two(a / b, (self, 1.0 / b), (other, -a / (b * b)))
    }
}

impl Neg for Dual {
    type Output = Dual;

    fn neg(self) -> Dual {
        let value = -self.value;
        self.scaled(value, -1.0)
    }
}
