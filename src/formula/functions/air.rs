//! Amounts of air: mass, air per shot, shots per bottle, real gas.

use super::gas::{GAS_CONSTANT, KAPPA, STANDARD_TEMPERATURE, Surroundings};
use super::{Function, FunctionBody, Parameter, Sort, TEMPERATURE, needs};

const SHARE: &[Parameter] = &[needs("from", Sort::Pressure), needs("to", Sort::Pressure)];
const DRAWN: &[Parameter] =
    &[needs("volume", Sort::Volume), needs("from", Sort::Pressure), needs("to", Sort::Pressure)];
const REAL_AIR: &str = "fit to the equation of state of Lemmon, Jacobsen, Penoncello & Friend, \
                        J. Phys. Chem. Ref. Data 29 (2000) 331, as evaluated by CoolProp 8.0";

/// The functions of this group.
pub(super) const FUNCTIONS: &[Function] = &[
    Function {
        name: "air_mass",
        parameters: &[
            needs("volume", Sort::Volume),
            needs("pressure", Sort::Pressure),
            TEMPERATURE,
        ],
        takes_more: false,
        result: Sort::Mass,
        unit: "g",
        doc: "Mass of the air in a room, p V / (Z R T), with the compressibility of real air.",
        range: "to 320 bar, 0 to 50 °C; an ideal gas would be 0.3 % lighter at 9 bar and 10 % \
                heavier at 300 bar",
        source: REAL_AIR,
        body: FunctionBody::Smooth(|x, _| {
            Ok(x[1] * x[0] / (real_gas(x[1], x[2])? * GAS_CONSTANT * x[2]))
        }),
    },
    drawn(
        "air_per_shot",
        "Air that one shot draws when a store falls from one pressure to another and is filled \
         again, as a volume at ANR (100 kPa, 20 °C), between no heat from the walls while it falls \
         and as much as keeps the air at its temperature: its ± reaches both.",
        "to ≤ from, read in the moment of the shot; ideal gas, κ = 1.4, at 20 °C before it; the share \
         of vapour at ANR is not taken off",
        FunctionBody::TwoEnded([
            |x, around| Ok(held(x) * (1.0 - quick_share(&x[1..], around)?)),
            |x, around| Ok(held(x) * (1.0 - slow_share(&x[1..], around)?)),
        ]),
    ),
    drawn(
        "air_per_shot_adiabatic",
        "Air that one shot draws when a store falls from one pressure to another so fast that the \
         walls give no heat, and is filled again, as a volume at ANR: the low end of air_per_shot.",
        "to ≤ from, read in the moment of the shot; ideal gas, κ = 1.4, at 20 °C before it",
        FunctionBody::Smooth(|x, around| Ok(held(x) * (1.0 - quick_share(&x[1..], around)?))),
    ),
    drawn(
        "air_per_shot_isothermal",
        "Air that one shot draws when a store falls from one pressure to another at constant \
         temperature and is filled again, as a volume at ANR: the high end of air_per_shot.",
        "to ≤ from; ideal gas at 20 °C at both pressures, as when the second one is read once the \
         store is warm again",
        FunctionBody::Within(
            |x| if x[1] < x[2] { Err(RISING) } else { Ok(()) },
            "volume * (from - to) / standard_pressure",
        ),
    ),
    Function {
        name: "shots_per_bottle",
        parameters: &[
            needs("bottle_volume", Sort::Volume),
            needs("bottle_pressure", Sort::Pressure),
            needs("end_pressure", Sort::Pressure),
            needs("air_per_shot", Sort::AirVolume),
        ],
        takes_more: false,
        result: Sort::Number,
        unit: "1",
        doc: "Shots from a bottle until it has fallen to the end pressure, with the compressibility \
              of real air.",
        range: "bottle at 20 °C before and after, to 320 bar; not rounded down",
        source: REAL_AIR,
        body: FunctionBody::Smooth(|x, _| {
            let held = |pressure: f64| {
                let z = real_gas(pressure, STANDARD_TEMPERATURE)?;
                Ok::<f64, String>(pressure / z / super::gas::STANDARD_PRESSURE * x[0])
            };
            if x[1] < x[2] {
                return Err("the bottle ends above the pressure that it begins with".to_owned());
            }
            Ok((held(x[1])? - held(x[2])?) / x[3])
        }),
    },
    Function {
        name: "compressibility",
        parameters: &[needs("pressure", Sort::Pressure), TEMPERATURE],
        takes_more: false,
        result: Sort::Number,
        unit: "1",
        doc: "Compressibility factor Z of air: how much more room real air takes than an ideal gas.",
        range: "to 320 bar, 0 to 50 °C; within 0.01 % of the source",
        source: REAL_AIR,
        body: FunctionBody::Smooth(|x, _| real_gas(x[0], x[1])),
    },
    Function {
        name: "isentropic_temperature",
        parameters: &[needs("from", Sort::Pressure), needs("to", Sort::Pressure), TEMPERATURE],
        takes_more: false,
        result: Sort::Temperature,
        unit: "Cel",
        doc: "Temperature of air whose pressure falls or rises so fast that the walls give and take \
              no heat.",
        range: "ideal gas, κ = 1.4; the temperature given is that at the first pressure. Vapour that \
                condenses keeps a real store warmer",
        source: "isentropic change of state, T₂ / T₁ = (p₂ / p₁)^((κ − 1) / κ)",
        body: FunctionBody::Formula("temperature * (to / from)^(2 / 7)"),
    },
    share(
        "retained_share",
        "Share of the air that stays in a store when its pressure falls, between no heat from the \
         walls and as much as keeps the air at its temperature: its ± reaches both.",
        "ideal gas, κ = 1.4; to ≤ from",
        "gas law and isentropic change of state",
        FunctionBody::TwoEnded([quick_share, slow_share]),
    ),
    share(
        "retained_share_isothermal",
        "Share of the air that stays in a store when its pressure falls, at constant temperature: \
         the low end of retained_share.",
        "ideal gas; to ≤ from",
        "gas law",
        FunctionBody::Within(|x| if x[0] < x[1] { Err(RISING) } else { Ok(()) }, "to / from"),
    ),
    share(
        "retained_share_adiabatic",
        "Share of the air that stays in a store when its pressure falls so fast that the walls give \
         no heat: the high end of retained_share.",
        "ideal gas, κ = 1.4; to ≤ from",
        "isentropic change of state",
        FunctionBody::Smooth(quick_share),
    ),
];

const fn drawn(
    name: &'static str,
    doc: &'static str,
    range: &'static str,
    body: FunctionBody,
) -> Function {
    Function {
        name,
        parameters: DRAWN,
        takes_more: false,
        result: Sort::AirVolume,
        unit: "L{ANR}",
        doc,
        range,
        source: "gas law, V (p₁ − p₂) / 100 kPa, and isentropic change of state; state of ISO 8778 (from \
                 memory)",
        body,
    }
}

/// x = volume, from, …: the air in a room as a volume at ANR, m³.
fn held(x: &[f64]) -> f64 {
    x[0] * x[1] / super::gas::STANDARD_PRESSURE
}

const fn share(
    name: &'static str,
    doc: &'static str,
    range: &'static str,
    source: &'static str,
    body: FunctionBody,
) -> Function {
    Function {
        name,
        parameters: SHARE,
        takes_more: false,
        result: Sort::Number,
        unit: "%",
        doc,
        range,
        source,
        body,
    }
}

const RISING: &str = "the second pressure is above the first: nothing has left";

/// x = from, to.
fn slow_share(x: &[f64], _: &Surroundings) -> Result<f64, String> {
    if x[0] < x[1] {
        return Err(RISING.to_owned());
    }
    Ok(x[1] / x[0])
}

/// x = from, to.
fn quick_share(x: &[f64], around: &Surroundings) -> Result<f64, String> {
    slow_share(x, around).map(|share| libm::pow(share, 1.0 / KAPPA))
}

/// Z − 1 = Σ cᵢⱼ (p / 10 MPa)ⁱ (293.15 K / T − 1)ʲ, i from 1, j from 0. Least squares on 161
/// pressures from 0.5 to 320 bar and 11 temperatures from 0 to 50 °C; largest error 6·10⁻⁵.
#[allow(clippy::unreadable_literal)]
const FIT: [[f64; 3]; 7] = [
    [-0.03745030276363797, -0.2831159607398819, -0.2875907994702726],
    [0.029746711250956955, 0.05608415030904067, -0.03448735095369208],
    [-0.010139798850625749, -0.02598143820190588, -0.01729333360980607],
    [0.009239460681007767, 0.05221762624153116, 0.1341003288749298],
    [-0.003981867600651238, -0.027501072544962916, -0.08152756427164687],
    [0.0007866479070433387, 0.006039760776222377, 0.019351532408049803],
    [-6.016054431268181e-05, -0.0004964784226664798, -0.0016804392640955308],
];

/// Compressibility factor of air at a pressure in Pa absolute and a temperature in K; `None` beyond
/// 320 bar or outside 0 to 50 °C.
pub(crate) fn compressibility_of_air(pressure: f64, temperature: f64) -> Option<f64> {
    let is_known = (0.0..=32.0e6).contains(&pressure) && (273.0..=323.3).contains(&temperature);
    if !is_known {
        return None;
    }
    let p = pressure / 1.0e7;
    let u = STANDARD_TEMPERATURE / temperature - 1.0;
    let excess = FIT.iter().rev().fold(0.0, |sum, [a, b, c]| (sum + a + u * (b + u * c)) * p);
    Some(1.0 + excess)
}

fn real_gas(pressure: f64, temperature: f64) -> Result<f64, String> {
    compressibility_of_air(pressure, temperature).ok_or_else(|| {
        "the compressibility of air is known here to 320 bar and from 0 to 50 °C".to_owned()
    })
}
