//! The shot as closed forms: stored energy, exit speed, energy.

use super::gas::KAPPA;
use super::{Function, FunctionBody, Parameter, Sort, needs};

const SHOT: &[Parameter] = &[
    needs("volume", Sort::Volume),
    needs("pressure", Sort::Pressure),
    needs("bore", Sort::Length),
    needs("travel", Sort::Length),
    needs("mass", Sort::Mass),
];
const STORE: &[Parameter] = &[needs("volume", Sort::Volume), needs("pressure", Sort::Pressure)];

/// The functions of this group.
pub(super) const FUNCTIONS: &[Function] = &[
    Function {
        name: "stored_energy",
        parameters: STORE,
        takes_more: false,
        result: Sort::Energy,
        unit: "J",
        doc: "Most work that air in a store can do against the ambient, expanding at constant \
              temperature (its exergy).",
        range: "ideal gas: below 0.5 % to 12 bar. No shot can deliver more",
        source: "thermodynamics of a closed system: p V ln(p/p₀) − (p − p₀) V",
        body: FunctionBody::Formula(
            "volume * (pressure * ln(pressure / ambient) - (pressure - ambient))",
        ),
    },
    Function {
        name: "stored_energy_adiabatic",
        parameters: STORE,
        takes_more: false,
        result: Sort::Energy,
        unit: "J",
        doc: "Work that air in a store can do against the ambient, expanding to ambient pressure \
              without heat from the walls.",
        range: "ideal gas, κ = 1.4",
        source: "thermodynamics of a closed system, isentropic",
        body: FunctionBody::Smooth(|x, surroundings| {
            let (volume, pressure, ambient) = (x[0], x[1], surroundings.ambient);
            let fall = KAPPA - 1.0;
            let ratio = libm::log(ambient / pressure);
            let gas = pressure * volume / fall * -libm::expm1(ratio * fall / KAPPA);
            let swept = ambient * volume * libm::expm1(-ratio / KAPPA);
            Ok(gas - swept)
        }),
    },
    Function {
        name: "exit_speed",
        parameters: SHOT,
        takes_more: false,
        result: Sort::Velocity,
        unit: "m/s",
        doc: "Exit speed of a pellet from a store that opens at once, air expanding without heat \
              from the walls, the ambient pushing back.",
        range: "no friction, no leak, no valve, air without inertia; an upper bound for a real \
                engine",
        source: "closed form of Mungan, Eur. J. Phys. 30 (2009) 453, with the ambient pressure that \
                 Rohrbach, Buresh & Madsen, Am. J. Phys. 80 (2012) 24, add",
        body: FunctionBody::Smooth(|x, surroundings| {
            let swept = swept_volume(x);
            let growth = libm::log1p(swept / x[0]);
            let work = x[1] * x[0] / (KAPPA - 1.0) * -libm::expm1(-growth * (KAPPA - 1.0));
            speed(work - surroundings.ambient * swept, x[4])
        }),
    },
    Function {
        name: "exit_speed_isothermal",
        parameters: SHOT,
        takes_more: false,
        result: Sort::Velocity,
        unit: "m/s",
        doc: "Exit speed of a pellet from a store that opens at once, air expanding at constant \
              temperature, the ambient pushing back.",
        range: "no friction, no leak, no valve, air without inertia; above every real engine",
        source: "closed form of Rohrbach, Buresh & Madsen, Am. J. Phys. 80 (2012) 24",
        body: FunctionBody::Smooth(|x, surroundings| {
            let swept = swept_volume(x);
            let work = x[1] * x[0] * libm::log1p(swept / x[0]);
            speed(work - surroundings.ambient * swept, x[4])
        }),
    },
    Function {
        name: "kinetic_energy",
        parameters: &[needs("mass", Sort::Mass), needs("speed", Sort::Velocity)],
        takes_more: false,
        result: Sort::Energy,
        unit: "J",
        doc: "Energy of a moving body, m v² / 2.",
        range: "any",
        source: "mechanics",
        body: FunctionBody::Formula("mass * speed^2 / 2"),
    },
    Function {
        name: "energy_per_area",
        parameters: &[
            needs("mass", Sort::Mass),
            needs("speed", Sort::Velocity),
            needs("bore", Sort::Length),
        ],
        takes_more: false,
        result: Sort::EnergyPerArea,
        unit: "kJ/m2",
        doc: "Kinetic energy over the pellet's cross section, by which injury is rated.",
        range: "the pellet fills the bore",
        source: "definition; area-normalised energy as predictor: J. Biomech. Eng. 133 (2011) 031002",
        body: FunctionBody::Formula("2 / pi * mass * speed^2 / bore^2"),
    },
];

fn swept_volume(x: &[f64]) -> f64 {
    std::f64::consts::FRAC_PI_4 * x[2] * x[2] * x[3]
}

fn speed(work: f64, mass: f64) -> Result<f64, String> {
    if work < 0.0 {
        return Err("the ambient pressure stops the pellet before it leaves the bore".to_owned());
    }
    Ok(libm::sqrt(2.0 * work / mass))
}
