//! Radiation of panel modes far below coincidence, where the sound of neighbouring half waves nearly cancels.

use crate::baffled::{air, gauss, moving};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::radiation::radiated_power;
use std::f64::consts::PI;

/// Radiation efficiency of the modes of a simply supported square panel at ka = 0.2.
pub fn problem() -> Problem {
    Problem {
        name: "modes of a panel, low frequencies",
        source: "C. E. Wallace, J. Acoust. Soc. Am. 51 (1972) 946-952. Recomputed by direct integration; his expansions deviate by \
                 at most 6.5e-6.",
        rows: || EFFICIENCY.iter().map(row).collect(),
    }
}

/// `(m, n, σ)`.
const EFFICIENCY: [(f64, f64, f64); 6] = [
    (1.0, 1.0, 0.004177458806),
    (1.0, 3.0, 0.000463048503),
    (1.0, 2.0, 3.481563111e-6),
    (2.0, 1.0, 3.481563111e-6),
    (2.0, 2.0, 1.740856033e-9),
    (2.0, 4.0, 4.34930563e-10),
];

fn row(&(m, n, expected): &(f64, f64, f64)) -> Row {
    let lattice = gauss(1.0, 1.0, [24, 24]);
    let surface = moving(&lattice, 0.2, |[x, y]| (m * PI * x).sin() * (n * PI * y).sin());
    Row {
        quantity: format!("σ({m}, {n}), ka = 0.2"),
        computed: radiated_power(&surface, &air()) / (0.25 * air().impedance()),
        expected,
        tolerance: Tolerance::Relative(1e-7),
    }
}
