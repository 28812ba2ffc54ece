//! Mean radiation efficiency of many modes.

use crate::baffled::{air, gauss, moving};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::radiation::radiated_power;
use std::f64::consts::PI;

/// Radiation efficiency averaged over the modes whose wavenumbers lie within 6 % of k_b, k_b √S = 60, sides 1.3 : 1.
pub fn problem() -> Problem {
    Problem {
        name: "panel, mean radiation efficiency below coincidence",
        source: "Direct integration of every mode's radiation, recomputed independently to 1e-4. For comparison, the large-panel formula of \
                 F. G. Leppington, E. G. Broadbent & K. H. Heron, Proc. R. Soc. A 382 (1982) 245-271 (after C. Hopkins, Sound \
                 Insulation, 2007, § 2.9.4) gives 0.004843, 0.01503, 0.04913 and 0.2532: within 0.5 to 5 % up to half of the \
                 coincidence frequency, 23 % low at 0.8 of it.",
        rows: || MEAN.iter().map(row).collect(),
    }
}

/// `f/f_c` and the mean efficiency.
const MEAN: [(f64, f64); 4] =
    [(0.1, 0.00482035841), (0.25, 0.01520912517), (0.5, 0.0514525059), (0.8, 0.3286309667)];

fn row(&(ratio, expected): &(f64, f64)) -> Row {
    const BENDING: f64 = 60.0;
    let (a, b) = (1.3f64.sqrt(), 1.3f64.sqrt().recip());
    let lattice = gauss(a, b, [52, 44]);
    let k = BENDING * f64::sqrt(ratio);
    let near = |&(m, n): &(f64, f64)| (PI * (m / a).hypot(n / b) / BENDING - 1.0).abs() < 0.06;
    let modes = (1..30).flat_map(|m| (1..30).map(move |n| (f64::from(m), f64::from(n)))).filter(near);
    let efficiency = |(m, n): (f64, f64)| {
        let surface = moving(&lattice, k, |[x, y]| (m * PI * x / a).sin() * (n * PI * y / b).sin());
        radiated_power(&surface, &air()) / (0.25 * air().impedance())
    };
    let efficiencies: Vec<f64> = modes.map(efficiency).collect();
    Row {
        quantity: format!("mean σ, f/f_c = {ratio}"),
        computed: efficiencies.iter().sum::<f64>() / efficiencies.len() as f64,
        expected,
        tolerance: Tolerance::Relative(1e-4),
    }
}
