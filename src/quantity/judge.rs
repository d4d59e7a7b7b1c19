//! stub
use super::*;
/// d
pub fn dual(_t: &str, _a: &Figure, _b: &Figure, _c: &Conventions) -> Judgement { unimplemented!() }
/// d
pub fn against(_t: &str, _a: &Figure, _b: &Computed, _c: &Conventions) -> Judgement { unimplemented!() }
/// d
pub fn quantity_of(_a: &Figure, _c: &Conventions) -> Quantity { unimplemented!() }
/// c
pub fn convert(_q: &Quantity, _u: &Unit, _r: Option<Reference>, _c: &Conventions) -> Result<Real, String> { unimplemented!() }
/// d
pub fn interval_of(_a: &Figure, _c: &Conventions) -> (Rational, Rational) { unimplemented!() }
