//! Number of modes in wide bands of a large plate.

use crate::plates::{edges, isotropic};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::plate::Modes;
use std::f64::consts::TAU;

/// The problem of this file.
pub(crate) const PROBLEM: Problem = Problem {
    name: "modal count of a simply supported plate",
    source: "Exact count of (mπ/a)² + (nπ/b)² in the band, a = 1 m, b = 0.77 m. The smooth law S k²/(4π) − P k/(4π) (L. Cremer, M. Heckl & \
             B. A. T. Petersson, Structure-Borne Sound, 3rd ed. 2005, ch. 5) gives 84.9, 346.2, 1517.8.",
    rows,
};

const COUNTS: [(f64, f64); 3] = [(60.0, 84.0), (120.0, 346.0), (250.0, 1520.0)];

fn rows() -> Vec<Row> {
    // With D = 1 N·m and 1 kg/m² the wavenumber is √ω.
    let modes = Modes::solve(&isotropic(1.0 / 0.77, 0.3, edges("SSSS", 1.0 / 0.77)), 276f64.powi(2) / TAU)
        .expect("within the limit");
    let count = |k0: f64| {
        let inside = |f: &&f64| (0.9 * k0..1.1 * k0).contains(&(TAU * **f).sqrt());
        modes.frequencies.iter().filter(inside).count() as f64
    };
    COUNTS
        .iter()
        .map(|&(k0, expected)| Row {
            quantity: format!("modes with 0.9 < k/k₀ < 1.1, k₀ = {k0} rad/m"),
            computed: count(k0),
            expected,
            tolerance: Tolerance::Absolute(0.0),
        })
        .collect()
}
