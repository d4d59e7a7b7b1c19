//! Helical springs.

use crate::support::{close, comes_out, number};

/// Bhandari, Design of Machine Elements, example 10.19 (read with its answers in an open worked
/// set): two springs, one in the other, G = 81 370 N/mm², 15 mm difference of free length, 1000 N
/// together: 706.021471 and 293.978529 N, 24.988839 and 9.988839 mm.
#[test]
fn two_springs_share_a_load() {
    let outer = "spring_rate(6 mm, 36 mm, 10, 81370 N/mm2)";
    let inner = "spring_rate(5 mm, 30 mm, 8, 81370 N/mm2)";
    comes_out(outer, "N/mm", 28.253_472, 1e-7);
    comes_out(inner, "N/mm", 29.430_700, 1e-7);
    let deflection = format!("(1000 N + {inner} * 15 mm) / ({outer} + {inner})");
    comes_out(&deflection, "mm", 24.988_839, 1e-7);
    comes_out(&format!("{deflection} * {outer}"), "N", 706.021_471, 1e-7);
    comes_out(&format!("({deflection} - 15 mm) * {inner}"), "N", 293.978_529, 1e-7);
}

/// Bhandari, example 10.1: wire 7 mm, D 42 mm, 8 active coils (read); 41.203 N/mm from first
/// principles.
#[test]
fn a_single_spring() {
    comes_out("spring_rate(7 mm, 42 mm, 8, 81.37 GPa)", "N/mm", 41.203, 2e-5);
}

/// Shigley, example 10-1 (memory): music wire no. 16, 0.037 in, outside 7/16 in, 10.5 active coils,
/// G = 11.85 Mpsi: 4.13 lbf/in with the book's rounded D = 0.400 in.
#[test]
fn a_spring_in_inches() {
    comes_out("spring_rate(0.037 in, 0.400 in, 10.5, 11.85 Mpsi)", "lbf/in", 4.13, 0.005);
    comes_out(
        "spring_rate(0.037 in, 7/16 in - 0.037 in, 10.5, 11.85 Mpsi)",
        "lbf/in",
        4.1156,
        5e-4,
    );
}

/// A problem in print: wire 4 mm, outside 30 mm, 9 active coils, G = 79.3 GPa; 16.042 N/mm from
/// first principles.
#[test]
fn a_spring_from_its_outside_diameter() {
    comes_out("spring_rate(4 mm, 30 mm - 4 mm, 9, 79.3 GPa)", "N/mm", 16.042, 5e-5);
}

/// The moduli printed for music wire, 79.3 to 82.7 GPa, move a rate by 4 %: rates follow.
#[test]
fn a_rate_follows_the_modulus() {
    let rate = |g: f64| number(&format!("spring_rate(1 mm, 9 mm, 10, {g} GPa)"), "N/mm");
    close(rate(79.3), 1.359_74, 1e-5);
    close(rate(81.7), 1.400_89, 1e-5);
    close(rate(69.0), 1.183_13, 1e-5);
}
