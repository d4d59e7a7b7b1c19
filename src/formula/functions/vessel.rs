//! Times to empty and to fill a room through a hole.

use super::gas::{GAS_CONSTANT, KAPPA, choked_constant, critical_ratio, flow_share};
use super::quadrature::integrate;
use super::{CD, Function, FunctionBody, Parameter, Sort, TEMPERATURE, needs};

const VENT: &[Parameter] = &[
    needs("volume", Sort::Volume),
    needs("area", Sort::Area),
    needs("from", Sort::Pressure),
    needs("to", Sort::Pressure),
    CD,
    TEMPERATURE,
];
const FILL: &[Parameter] = &[
    needs("volume", Sort::Volume),
    needs("area", Sort::Area),
    needs("supply", Sort::Pressure),
    needs("from", Sort::Pressure),
    needs("to", Sort::Pressure),
    CD,
    TEMPERATURE,
];
const LUMPED: &str = "lumped mass and energy balance with isentropic nozzle flow; the choked part in \
                      closed form (Lees; Perry, with (κ−1)/2), the rest by quadrature";

/// The functions of this group.
pub(super) const FUNCTIONS: &[Function] = &[
    time(
        "vent_time",
        VENT,
        "Time in which a closed room empties through a hole to the ambient, between no heat from \
         the walls and as much as keeps the air at its temperature: its ± reaches both.",
        "both pressures not below ambient; the temperature is that before venting",
        FunctionBody::TwoEnded([
            |x, around| vent(x, around.ambient, true),
            |x, around| vent(x, around.ambient, false),
        ]),
    ),
    time(
        "vent_time_adiabatic",
        VENT,
        "Time in which a closed room empties through a hole to the ambient, without heat from the \
         walls: the short end of vent_time.",
        "both pressures not below ambient; the temperature is that before venting",
        FunctionBody::Smooth(|x, around| vent(x, around.ambient, true)),
    ),
    time(
        "vent_time_isothermal",
        VENT,
        "Time in which a closed room empties through a hole to the ambient, the walls keeping the \
         air at its temperature: the long end of vent_time.",
        "both pressures not below ambient",
        FunctionBody::Smooth(|x, around| vent(x, around.ambient, false)),
    ),
    time(
        "fill_time",
        FILL,
        "Time in which a closed room fills through a hole from a supply of constant pressure, \
         between no heat to the walls and as much as keeps the air at its temperature: its ± \
         reaches both.",
        "from ≤ to ≤ supply; the temperature is that of the supply",
        FunctionBody::TwoEnded([|x, _| fill(x, KAPPA), |x, _| fill(x, 1.0)]),
    ),
    time(
        "fill_time_adiabatic",
        FILL,
        "Time in which a closed room fills through a hole from a supply of constant pressure, \
         without heat to the walls: the short end of fill_time, the other over 1.4.",
        "from ≤ to ≤ supply; the temperature is that of the supply",
        FunctionBody::Smooth(|x, _| fill(x, KAPPA)),
    ),
    time(
        "fill_time_isothermal",
        FILL,
        "Time in which a closed room fills through a hole from a supply of constant pressure, the \
         walls keeping the air at its temperature: the long end of fill_time.",
        "from ≤ to ≤ supply",
        FunctionBody::Smooth(|x, _| fill(x, 1.0)),
    ),
];

const fn time(
    name: &'static str,
    parameters: &'static [Parameter],
    doc: &'static str,
    range: &'static str,
    body: FunctionBody,
) -> Function {
    Function {
        name,
        parameters,
        takes_more: false,
        result: Sort::Time,
        unit: "ms",
        doc,
        range,
        source: LUMPED,
        body,
    }
}

/// V / (Cd A R C* √T): the time in which the first rate of flow would empty the room.
fn time_constant(volume: f64, area: f64, cd: f64, temperature: f64) -> f64 {
    volume / (cd * area * GAS_CONSTANT * choked_constant() * libm::sqrt(temperature))
}

/// x = volume, area, from, to, cd, temperature.
fn vent(x: &[f64], ambient: f64, adiabatic: bool) -> Result<f64, String> {
    let (from, to) = (x[2], x[3]);
    if from < to {
        return Err("the second pressure is above the first: venting lowers it".to_owned());
    }
    if to < ambient {
        return Err("a room cannot vent to less than the ambient pressure".to_owned());
    }
    let tau = time_constant(x[0], x[1], x[4], x[5]);
    let unchoking = ambient / critical_ratio();
    let turn = unchoking.clamp(to, from);
    // Choked: closed form. With q = (κ−1)/(2κ): t = 2/(κ−1) τ ((p₀/p)^q − 1).
    let q = (KAPPA - 1.0) / (2.0 * KAPPA);
    let fall = libm::log(from / turn);
    let choked = if adiabatic { 2.0 / (KAPPA - 1.0) * libm::expm1(q * fall) } else { fall };
    // Below: dt = τ dp / (κ p (p/p₀)^q share), κ and the power gone where isothermal; with
    // u² = p − ambient the integrand stays finite where the flow dies away.
    let rate = |u: f64| {
        let excess = u * u / ambient;
        let pressure = ambient + u * u;
        let share = flow_share(libm::log1p(excess));
        let cooling = if adiabatic { KAPPA * libm::pow(pressure / from, q) } else { 1.0 };
        2.0 * u / (pressure * share * cooling)
    };
    let root = |pressure: f64| libm::sqrt((pressure - ambient).max(0.0));
    Ok(tau * (choked + integrate(rate, root(to), root(turn))))
}

/// x = volume, area, supply, from, to, cd, temperature; `k` is κ or 1.
fn fill(x: &[f64], k: f64) -> Result<f64, String> {
    let (supply, from, to) = (x[2], x[3], x[4]);
    if to < from {
        return Err("the second pressure is below the first: filling raises it".to_owned());
    }
    if supply < to {
        return Err("a room cannot fill to more than the supply pressure".to_owned());
    }
    let tau = time_constant(x[0], x[1], x[5], x[6]);
    let turn = (supply * critical_ratio()).clamp(from, to);
    let choked = (turn - from) / supply;
    // Beyond: dt = τ dp / (k supply share); with u² = supply − p the integrand stays finite.
    let rate = |u: f64| 2.0 * u / (supply * flow_share(-libm::log1p(-u * u / supply)));
    let root = |pressure: f64| libm::sqrt((supply - pressure).max(0.0));
    Ok(tau / k * (choked + integrate(rate, root(to), root(turn))))
}
