//! Steady flow of air through holes and valves.

use super::gas::{
    GAS_CONSTANT, STANDARD_DENSITY, STANDARD_TEMPERATURE, choked_constant, nozzle_flow,
};
use super::{CD, Function, FunctionBody, Parameter, Sort, TEMPERATURE, may, needs};

const VALVE: &[Parameter] = &[
    needs("C", Sort::Conductance),
    needs("b", Sort::Number),
    needs("upstream", Sort::Pressure),
    needs("downstream", Sort::Pressure),
    TEMPERATURE,
];
const NOZZLE: &str = "isentropic nozzle flow, NACA Report 1135 (from memory), κ = 1.4, R = 287.05 \
                      J/(kg·K); within 0.7 % of the handbook table after Moss (1906)";
const ISO: &str = "formula of ISO 6358 as quoted in public texts; the standard was not read";

/// The functions of this group.
pub(super) const FUNCTIONS: &[Function] = &[
    Function {
        name: "choked_flow",
        parameters: &[
            needs("area", Sort::Area),
            needs("pressure", Sort::Pressure),
            CD,
            TEMPERATURE,
            may("behind", Sort::Pressure, 0.0),
        ],
        takes_more: false,
        result: Sort::MassFlow,
        unit: "g/s",
        doc: "Mass flow of air through a hole in which it reaches the speed of sound.",
        range: "absolute pressure behind the hole below 0.528 of that before it: give it as the last \
                argument where it is not the ambient, or use orifice_flow; real air flows \
                0.4 % more at 9 bar, 8 % more at 300 bar. cd is 1 for an ideal nozzle, about 0.6 \
                to 0.85 for sharp-edged holes",
        source: NOZZLE,
        body: FunctionBody::Smooth(|x, around| {
            let (before, given) = (x[1], x[4]);
            let behind = if given == 0.0 { around.ambient } else { given };
            if super::gas::critical_ratio() < behind / before {
                return Err(format!(
                    "the air does not reach the speed of sound: {} of the pressure before the hole is \
                     behind it{}",
                    crate::quantity::print::significant(behind / before, 3),
                    if given == 0.0 { " when that is the ambient" } else { "" }
                ));
            }
            Ok(x[2] * x[0] * before * choked_constant() / libm::sqrt(x[3]))
        }),
    },
    Function {
        name: "orifice_flow",
        parameters: &[
            needs("area", Sort::Area),
            needs("upstream", Sort::Pressure),
            needs("downstream", Sort::Pressure),
            CD,
            TEMPERATURE,
        ],
        takes_more: false,
        result: Sort::MassFlow,
        unit: "g/s",
        doc: "Mass flow of air through a hole between two pressures, choked or not.",
        range: "any pressures; negative when the second is the higher one. cd is taken as constant, \
                though that of sharp edges grows from 0.6 to 0.84 with the pressure ratio",
        source: NOZZLE,
        body: FunctionBody::Smooth(|x, _| Ok(nozzle_flow(x[3] * x[0], x[1], x[2], x[4]))),
    },
    Function {
        name: "iso6358_flow",
        parameters: VALVE,
        takes_more: false,
        result: Sort::AirFlow,
        unit: "L/min{ANR}",
        doc: "Flow of air through a valve of known sonic conductance C and critical pressure ratio \
              b, as a volume at ANR.",
        range: "downstream not above upstream; b from 0 to below 1",
        source: ISO,
        body: FunctionBody::Smooth(|x, _| iso_flow(x)),
    },
    Function {
        name: "iso6358_mass_flow",
        parameters: VALVE,
        takes_more: false,
        result: Sort::MassFlow,
        unit: "g/s",
        doc: "Mass flow of air through a valve of known sonic conductance and critical pressure \
              ratio, with the density 1.185 kg/m³ that ISO 6358 prints.",
        range: "as iso6358_flow; moist air at ANR is 1.182 kg/m³, 0.25 % less",
        source: ISO,
        body: FunctionBody::Smooth(|x, _| iso_flow(x).map(|flow| flow * STANDARD_DENSITY)),
    },
    Function {
        name: "conductance",
        parameters: &[needs("area", Sort::Area), CD],
        takes_more: false,
        result: Sort::Conductance,
        unit: "dm3/(s.bar)",
        doc: "Sonic conductance of a hole, for comparing it with valves.",
        range: "at 20 °C, with the density 1.185 kg/m³ that ISO 6358 prints",
        source: NOZZLE,
        body: FunctionBody::Smooth(|x, _| {
            let choked = choked_constant() / libm::sqrt(STANDARD_TEMPERATURE);
            Ok(x[1] * x[0] * choked / STANDARD_DENSITY)
        }),
    },
    Function {
        name: "critical_ratio",
        parameters: &[],
        takes_more: false,
        result: Sort::Number,
        unit: "1",
        doc: "Pressure behind a hole over that before it, both absolute, below which air reaches \
              the speed of sound in it.",
        range: "0.5283 for κ = 1.4; real air 0.527 at 9 bar",
        source: NOZZLE,
        body: FunctionBody::Smooth(|_, _| Ok(super::gas::critical_ratio())),
    },
    Function {
        name: "speed_of_sound",
        parameters: &[TEMPERATURE],
        takes_more: false,
        result: Sort::Velocity,
        unit: "m/s",
        doc: "Speed of sound in air, √(κ R T).",
        range: "ideal gas: 0.1 % low at 1 bar, 0.3 % low at 10 bar",
        source: "thermodynamics of ideal gases",
        body: FunctionBody::Smooth(|x, _| Ok(libm::sqrt(super::gas::KAPPA * GAS_CONSTANT * x[0]))),
    },
];

/// x = C, b, upstream, downstream, temperature.
fn iso_flow(x: &[f64]) -> Result<f64, String> {
    let (b, ratio) = (x[1], x[3] / x[2]);
    if !(0.0..1.0).contains(&b) {
        return Err("the critical pressure ratio b lies from 0 to below 1".to_owned());
    }
    if 1.0 < ratio {
        return Err("the downstream pressure is above the upstream pressure".to_owned());
    }
    let share = if ratio <= b {
        1.0
    } else {
        let beyond = (ratio - b) / (1.0 - b);
        libm::sqrt((1.0 - beyond) * (1.0 + beyond))
    };
    Ok(x[0] * x[2] * libm::sqrt(STANDARD_TEMPERATURE / x[4]) * share)
}
