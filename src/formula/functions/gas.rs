//! Air as an ideal gas: constants, and the flow through a nozzle.

/// Specific gas constant of dry air, J/(kg·K). WMO-No. 8 and CODATA with M = 28.965 g/mol agree
/// within 2·10⁻⁵ of it.
pub(super) const GAS_CONSTANT: f64 = 287.05;
/// Ratio of specific heats of air, idealised; 1.402 at 1 bar, 1.418 at 10 bar (20 °C).
pub(super) const KAPPA: f64 = 1.4;
/// 20 °C in K: the temperature of the states ANR and of ISO 6358.
pub(super) const STANDARD_TEMPERATURE: f64 = 293.15;
/// 100 kPa: the pressure of the states ANR and of ISO 6358.
pub(super) const STANDARD_PRESSURE: f64 = 100_000.0;
/// Density of air in the reference state as ISO 6358 gives it, kg/m³ (from memory). Moist air at
/// ANR is 1.182 (CIPM-2007), 0.25 % less.
pub(super) const STANDARD_DENSITY: f64 = 1.185;

/// What every function may know beside its arguments.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Surroundings {
    /// Ambient pressure, Pa absolute.
    pub(crate) ambient: f64,
}

/// Critical pressure ratio (2/(κ+1))^(κ/(κ−1)) = 0.528 282.
pub(super) fn critical_ratio() -> f64 {
    libm::pow(2.0 / (KAPPA + 1.0), KAPPA / (KAPPA - 1.0))
}

/// Choked mass flow per area and upstream pressure, times √T: √(κ/R)·(2/(κ+1))^((κ+1)/(2(κ−1))),
/// kg·√K/(N·s).
pub(super) fn choked_constant() -> f64 {
    libm::sqrt(KAPPA / GAS_CONSTANT)
        * libm::pow(2.0 / (KAPPA + 1.0), (KAPPA + 1.0) / (2.0 * (KAPPA - 1.0)))
}

/// Flow through a nozzle over the choked flow, 0 to 1, for a downstream over upstream pressure
/// ratio told as −ln(ratio), so that ratios near one keep their digits.
pub(super) fn flow_share(minus_log_ratio: f64) -> f64 {
    let critical = -libm::log(critical_ratio());
    if critical <= minus_log_ratio {
        return 1.0;
    }
    // √(r^(2/κ) − r^((κ+1)/κ)) with r = e^−x.
    let psi =
        |x: f64| libm::sqrt(libm::exp(-2.0 * x / KAPPA) * -libm::expm1(-x * (KAPPA - 1.0) / KAPPA));
    psi(minus_log_ratio.max(0.0)) / psi(critical)
}

/// Mass flow from `upstream` to `downstream` (Pa absolute) through an effective area (m², Cd
/// included) at the upstream temperature (K), kg/s. Negative when the pressures stand the other
/// way.
pub(super) fn nozzle_flow(area: f64, upstream: f64, downstream: f64, temperature: f64) -> f64 {
    let (high, low, sign) = if downstream <= upstream {
        (upstream, downstream, 1.0)
    } else {
        (downstream, upstream, -1.0)
    };
    let share = if low <= 0.0 { 1.0 } else { flow_share(-libm::log(low / high)) };
    sign * area * high * choked_constant() / libm::sqrt(temperature) * share
}
