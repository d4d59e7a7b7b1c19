//! Propagation of uncertainty, JCGM 100:2008 (GUM).

use crate::support::{Bench, close, told};

/// GUM H.1, end gauge (inputs, budget and result read in the documentation of an open GUM tool):
/// l = 50.000838 mm, combined standard uncertainty 32 nm (31.66), budget 25, 16.6, 9.7 (5.8, 3.9
/// and 6.7 together), 2.9 nm.
#[test]
fn an_end_gauge() {
    let bench = Bench::default()
        .with("standard", "50.000623 mm ± 25 nm (k=1)")
        .with("observed", "215 nm ± 5.8 nm (k=1)")
        .with("random", "0 nm ± 3.9 nm (k=1)")
        .with("systematic", "0 nm ± 6.7 nm (k=1)")
        .with("expansion", "11.5e-6 1/K ± 1.2e-6 1/K (k=1)")
        .with("expansion_step", "0 1/K ± 1e-6 1/K")
        .with("deviation", "-0.1 K")
        .with("temperature_step", "0 K ± 0.05 K");
    let length = "standard + (observed + random + systematic) \
                  - standard * (expansion_step * deviation + expansion * temperature_step)";
    let value = bench.value(length);
    assert!((told(&value, "mm") - 50.000_838).abs() < 1e-9);
    close(bench.uncertainty(length), 31.66e-9, 1e-3);
    // First order: what is multiplied by nought has no part.
    let part = |name: &str| {
        let only = Bench::default()
            .with("standard", "50.000623 mm")
            .with("expansion", "11.5e-6 1/K")
            .with(
                "expansion_step",
                if name == "expansion_step" { "0 1/K ± 1e-6 1/K" } else { "0 1/K" },
            )
            .with("deviation", "-0.1 K")
            .with(
                "temperature_step",
                if name == "temperature_step" { "0 K ± 0.05 K" } else { "0 K" },
            );
        only.uncertainty("standard * (expansion_step * deviation + expansion * temperature_step)")
    };
    close(part("temperature_step"), 16.6e-9, 0.005);
    close(part("expansion_step"), 2.9e-9, 0.01);
}

const VOLTAGE: [f64; 5] = [5.007, 4.994, 5.005, 4.990, 4.999];
const CURRENT: [f64; 5] = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3];
const PHASE: [f64; 5] = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Covariance of two means.
fn covariance(a: &[f64], b: &[f64]) -> f64 {
    let (mean_a, mean_b) = (mean(a), mean(b));
    let sum: f64 = a.iter().zip(b).map(|(x, y)| (x - mean_a) * (y - mean_b)).sum();
    let n = a.len() as f64;
    sum / (n * (n - 1.0))
}

/// GUM H.2, resistance, reactance and impedance from five simultaneous readings of voltage,
/// current and phase (readings from memory; result recomputed with the `uncertainties` library and
/// the input covariance; its 0.2955 is printed as 0.295): R = 127.732(71), X = 219.847(295),
/// Z = 254.260(236), correlations of the results −0.588, −0.485, 0.993.
#[test]
fn correlated_inputs() {
    let input = |values: &[f64]| {
        format!("{:.12} ± {:.12} (k=1)", mean(values), covariance(values, values).sqrt())
    };
    let coefficient =
        |a: &[f64], b: &[f64]| covariance(a, b) / (covariance(a, a) * covariance(b, b)).sqrt();
    let bench = Bench::default()
        .with("voltage", &input(&VOLTAGE))
        .with("current", &input(&CURRENT))
        .with("phase", &input(&PHASE))
        .correlated("voltage", "current", coefficient(&VOLTAGE, &CURRENT))
        .correlated("voltage", "phase", coefficient(&VOLTAGE, &PHASE))
        .correlated("current", "phase", coefficient(&CURRENT, &PHASE));
    let (r, x, z) =
        ("voltage / current * cos(phase)", "voltage / current * sin(phase)", "voltage / current");
    for (formula, value, uncertainty) in
        [(r, 127.732, 0.071), (x, 219.847, 0.295), (z, 254.260, 0.236)]
    {
        let found = bench.value(formula).quantity.si.to_f64();
        assert!((found - value).abs() < 5.1e-4, "{formula}: {found}");
        let u = bench.uncertainty(formula);
        assert!((u - uncertainty).abs() < 6e-4, "{formula}: ± {u}");
    }
    // u²(a + b) = u²(a) + u²(b) + 2 r u(a) u(b)
    let correlation = |a: &str, b: &str| {
        let (ua, ub) = (bench.uncertainty(a), bench.uncertainty(b));
        let both = bench.uncertainty(&format!("{a} + {b}"));
        (both * both - ua * ua - ub * ub) / (2.0 * ua * ub)
    };
    for (a, b, expected) in [(r, x, -0.588), (r, z, -0.485), (x, z, 0.993)] {
        let found = correlation(a, b);
        assert!((found - expected).abs() < 6e-4, "{a} with {b}: {found}");
    }
}

/// The `uncertainties` library: m = 3.000(10) g, v = 80.0(8) m/s give 9.60(19) J; choked flow with
/// Cd 0.80(3), bore 1.50(2) mm, 9.01325(200) bar, 293.15(1.0) K gives 3.01(14) g/s.
#[test]
fn products_of_uncertain_factors() {
    let bench = Bench::default()
        .with("mass", "3.000 g ± 0.010 g (k=1)")
        .with("speed", "80.0 m/s ± 0.8 m/s (k=1)");
    let energy = "kinetic_energy(mass, speed)";
    close(told(&bench.value(energy), "J"), 9.60, 1e-12);
    close(bench.uncertainty(energy) / 9.60, 0.020_276, 1e-4);
    let bench = Bench::default()
        .with("cd", "0.80 ± 0.03 (k=1)")
        .with("bore", "1.50 mm ± 0.02 mm (k=1)")
        .with("pressure", "9.01325 bar absolute ± 0.00200 bar (k=1)")
        .with("temperature", "293.15 K ± 1.0 K (k=1)");
    let flow = "choked_flow(circle_area(bore), pressure, cd, temperature)";
    let grams = told(&bench.value(flow), "g/s");
    assert_eq!(format!("{grams:.2}"), "3.01");
    assert_eq!(format!("{:.2}", bench.uncertainty(flow) * 1000.0), "0.14");
}
