//! Polynomials of the positions, as volumes and areas of round parts have them.
//!
//! A surface of one body ends at an edge of another, so a volume hangs on differences of two
//! positions only: at most as their cube where the surface is a cone, else as the difference.

use super::scalar::Scalar;
use super::solid::Surface;

/// A polynomial of differences of positions.
#[derive(Debug, Clone)]
pub(super) struct PairPolynomial<T> {
    constant: T,
    terms: Vec<PairTerm<T>>,
}

/// `powers[0] d + powers[1] d² + powers[2] d³`, where d is the position of one body less that of
/// another.
#[derive(Debug, Clone)]
struct PairTerm<T> {
    plus: usize,
    minus: usize,
    powers: [T; 3],
    is_straight: bool,
}

/// A place along the axis: on a body, and so where that body is.
#[derive(Debug, Clone)]
pub(super) struct BodyPlace<T> {
    pub(super) body: usize,
    pub(super) at: T,
}

impl<T: Scalar> BodyPlace<T> {
    /// Where it is on the axis of the fixed body.
    pub(super) fn position(&self, positions: &[T]) -> T {
        self.at.clone() + positions[self.body].clone()
    }

    /// Radius of a surface here.
    pub(super) fn radius_of(&self, surface: &Surface<T>, positions: &[T]) -> T {
        if surface.slope.is_none() {
            return surface.radius.clone();
        }
        surface.radius_at(&(self.position(positions) - positions[surface.body].clone()))
    }
}

fn pi<T: Scalar>() -> T {
    T::constant(std::f64::consts::PI)
}

impl<T: Scalar> PairPolynomial<T> {
    pub(super) fn nought() -> PairPolynomial<T> {
        PairPolynomial { constant: T::constant(0.0), terms: Vec::new() }
    }

    /// Adds a constant and powers of the position of `place`'s body less that of a surface's.
    fn add(&mut self, sign: f64, (plus, minus): (usize, usize), constant: T, powers: [T; 3]) {
        let signed = |value: T, sign: f64| if sign < 0.0 { -value } else { value };
        self.constant = self.constant.clone() + signed(constant, sign);
        if plus == minus {
            return;
        }
        let is_turned = plus < minus;
        let odd = if is_turned { -sign } else { sign };
        let [first, second, third] = powers;
        let powers = [signed(first, odd), signed(second, sign), signed(third, odd)];
        let (plus, minus) = if is_turned { (minus, plus) } else { (plus, minus) };
        let is_it = |term: &&mut PairTerm<T>| (term.plus, term.minus) == (plus, minus);
        match self.terms.iter_mut().find(is_it) {
            Some(term) => {
                for (old, new) in term.powers.iter_mut().zip(powers) {
                    *old = old.clone() + new;
                }
            }
            None => self.terms.push(PairTerm { plus, minus, powers, is_straight: true }),
        }
        for term in &mut self.terms {
            term.is_straight = term.powers[1..].iter().all(|power| power.value() == 0.0);
        }
    }

    /// Adds what lies within a surface up to a place: its antiderivative of π r² there.
    pub(super) fn add_volume(&mut self, sign: f64, surface: &Surface<T>, to: &BodyPlace<T>) {
        let reach = to.at.clone() - surface.at.clone();
        let none = || T::constant(0.0);
        let radius = surface.radius_at(&to.at);
        let area = pi::<T>() * radius.clone() * radius.clone();
        let pair = (to.body, surface.body);
        let Some(slope) = &surface.slope else {
            return self.add(sign, pair, area.clone() * reach, [area, none(), none()]);
        };
        let start = surface.radius.clone();
        let squares = start.clone() * start.clone()
            + start * radius.clone()
            + radius.clone() * radius.clone();
        let within = pi::<T>() * reach * squares / T::constant(3.0);
        let second = pi::<T>() * radius * slope.clone();
        let third = pi::<T>() * slope.clone() * slope.clone() / T::constant(3.0);
        self.add(sign, pair, within, [area, second, third]);
    }

    /// Adds the area within a surface at a place: π r² there.
    pub(super) fn add_area(&mut self, sign: f64, surface: &Surface<T>, at: &BodyPlace<T>) {
        let radius = surface.radius_at(&at.at);
        let none = || T::constant(0.0);
        let area = pi::<T>() * radius.clone() * radius.clone();
        let pair = (at.body, surface.body);
        match &surface.slope {
            None => self.add(sign, pair, area, [none(), none(), none()]),
            Some(slope) => {
                let first = T::constant(2.0) * pi::<T>() * radius * slope.clone();
                let second = pi::<T>() * slope.clone() * slope.clone();
                self.add(sign, pair, area, [first, second, none()]);
            }
        }
    }

    /// Its value at some positions.
    pub(super) fn at(&self, positions: &[T]) -> T {
        let mut sum = self.constant.clone();
        for term in &self.terms {
            let by = positions[term.plus].clone() - positions[term.minus].clone();
            let [first, second, third] = term.powers.clone();
            sum = sum
                + if term.is_straight {
                    first * by
                } else {
                    (first + (second + third * by.clone()) * by.clone()) * by
                };
        }
        sum
    }

    /// Its derivative by the position of one body.
    pub(super) fn slope_by(&self, body: usize, positions: &[T]) -> T {
        let mut sum = T::constant(0.0);
        for term in self.terms.iter().filter(|term| term.plus == body || term.minus == body) {
            let by = positions[term.plus].clone() - positions[term.minus].clone();
            let [first, second, third] = term.powers.clone();
            let two_and_three = T::constant(2.0) * second + T::constant(3.0) * third * by.clone();
            let slope = if term.is_straight { first } else { first + two_and_three * by };
            sum = if term.plus == body { sum + slope } else { sum - slope };
        }
        sum
    }
}
