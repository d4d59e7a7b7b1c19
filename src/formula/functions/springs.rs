//! Helical springs.

use super::{Function, FunctionBody, Sort, needs};

/// The functions of this group.
pub(super) const FUNCTIONS: &[Function] = &[Function {
    name: "spring_rate",
    parameters: &[
        needs("wire", Sort::Length),
        needs("mean_diameter", Sort::Length),
        needs("active_coils", Sort::Number),
        needs("shear_modulus", Sort::Modulus),
    ],
    takes_more: false,
    result: Sort::SpringRate,
    unit: "N/mm",
    doc: "Rate of a helical compression or extension spring of round wire, G d⁴ / (8 D³ n).",
    range: "small deflections and pitch; D/d of 4 or more, refused below 2. The shear modulus printed for music wire \
            spreads from 79.3 to 82.7 GPa, 4 %: say which was used",
    source: "Bhandari, Design of Machine Elements, helical springs (example 10.19 is a test)",
    body: FunctionBody::Within(
        |x| {
            if x[1] < 2.0 * x[0] {
                return Err("the coils are too tight for their wire: D/d is below 2");
            }
            if x[2] <= 0.0 {
                return Err("a spring has more than no coils");
            }
            if x[3] <= 0.0 {
                return Err("a modulus is above nought");
            }
            Ok(())
        },
        "shear_modulus * wire^4 / (8 * mean_diameter^3 * active_coils)",
    ),
}];
