//! Areas and volumes of round shapes.

use super::{Function, FunctionBody, Sort, needs};

const SOURCE: &str = "plane and solid geometry";

/// The functions of this group.
pub(super) const FUNCTIONS: &[Function] = &[
    Function {
        name: "circle_area",
        parameters: &[needs("diameter", Sort::Length)],
        takes_more: false,
        result: Sort::Area,
        unit: "mm2",
        doc: "Area of a circle from its diameter.",
        range: "any diameter",
        source: SOURCE,
        body: FunctionBody::Formula("pi / 4 * diameter^2"),
    },
    Function {
        name: "ring_area",
        parameters: &[needs("outer_diameter", Sort::Length), needs("inner_diameter", Sort::Length)],
        takes_more: false,
        result: Sort::Area,
        unit: "mm2",
        doc: "Area between two circles on one centre.",
        range: "inner diameter not above the outer one",
        source: SOURCE,
        body: FunctionBody::Within(nested, "pi / 4 * (outer_diameter^2 - inner_diameter^2)"),
    },
    Function {
        name: "cylinder_volume",
        parameters: &[needs("diameter", Sort::Length), needs("length", Sort::Length)],
        takes_more: false,
        result: Sort::Volume,
        unit: "cm3",
        doc: "Volume of a cylinder.",
        range: "any size",
        source: SOURCE,
        body: FunctionBody::Formula("pi / 4 * diameter^2 * length"),
    },
    Function {
        name: "ring_volume",
        parameters: &[
            needs("outer_diameter", Sort::Length),
            needs("inner_diameter", Sort::Length),
            needs("length", Sort::Length),
        ],
        takes_more: false,
        result: Sort::Volume,
        unit: "cm3",
        doc: "Volume between two cylinders on one axis.",
        range: "inner diameter not above the outer one",
        source: SOURCE,
        body: FunctionBody::Within(
            nested,
            "pi / 4 * (outer_diameter^2 - inner_diameter^2) * length",
        ),
    },
    Function {
        name: "cone_volume",
        parameters: &[
            needs("large_diameter", Sort::Length),
            needs("small_diameter", Sort::Length),
            needs("length", Sort::Length),
        ],
        takes_more: false,
        result: Sort::Volume,
        unit: "cm3",
        doc: "Volume of a cone cut off at both diameters; a whole cone with 0 mm as the second.",
        range: "any size; the order of the diameters does not matter",
        source: SOURCE,
        body: FunctionBody::Formula(
            "pi / 12 * length * (large_diameter^2 + large_diameter * small_diameter \
             + small_diameter^2)",
        ),
    },
    Function {
        name: "sphere_volume",
        parameters: &[needs("diameter", Sort::Length)],
        takes_more: false,
        result: Sort::Volume,
        unit: "cm3",
        doc: "Volume of a sphere from its diameter.",
        range: "any diameter",
        source: SOURCE,
        body: FunctionBody::Formula("pi / 6 * diameter^3"),
    },
];

/// x begins with the outer and the inner diameter.
fn nested(x: &[f64]) -> Result<(), &'static str> {
    if x[0] < x[1] { Err("the inner diameter is above the outer one") } else { Ok(()) }
}
