//! Modal density against counting modes.

use crate::{Problem, Row, Tolerance};
use panelwright_solver::listening::modal_density;
use panelwright_solver::scene::{LossCurve, PlateSection};
use std::f64::consts::{PI, TAU};

const WIDTH: f64 = 1.0;
const HEIGHT: f64 = 0.77;

/// Wavenumber k₀ [rad/m], number of modes with 0.9 k₀ < k < 1.1 k₀, and the area term less the perimeter term.
const COUNTS: [(f64, f64, f64); 3] = [(60.0, 84.0, 84.9), (120.0, 346.0, 346.2), (250.0, 1520.0, 1517.8)];

/// Modes of a simply supported plate in a band, counted, and from the modal density less the perimeter term `P Δk / 4π`.
pub fn problem() -> Problem {
    Problem {
        name: "modal density of a simply supported plate",
        source: "L. Cremer, M. Heckl & B. A. T. Petersson, Structure-Borne Sound, 3rd ed. (2005), ch. 5; recomputed by counting",
        rows,
    }
}

fn rows() -> Vec<Row> {
    COUNTS
        .iter()
        .flat_map(|&(k0, counted, smooth)| {
            let computed = from_density(k0);
            let row = |what: &str, computed: f64, expected: f64, tolerance| Row {
                quantity: format!("modes with k within 10 % of {k0}/m, {what}"),
                computed,
                expected,
                tolerance,
            };
            [
                row("density less perimeter term", computed, smooth, Tolerance::Absolute(0.05)),
                row("counted here against published", count(k0) as f64, counted, Tolerance::Absolute(0.0)),
                row(
                    "density less perimeter term against counted",
                    computed,
                    counted,
                    Tolerance::Relative(0.012),
                ),
            ]
        })
        .collect()
}

fn from_density(k0: f64) -> f64 {
    let section = plate();
    let frequency = |k: f64| k * k * (section.d11 / section.surface_mass).sqrt() / TAU;
    let (low, high) = (0.9 * k0, 1.1 * k0);
    let perimeter = 2.0 * (WIDTH + HEIGHT);
    modal_density(&section, WIDTH * HEIGHT, frequency(k0)) * (frequency(high) - frequency(low))
        - perimeter * (high - low) / (4.0 * PI)
}

/// Lattice points `(mπ/a, nπ/b)`, m, n ≥ 1, in the ring.
fn count(k0: f64) -> usize {
    let inside = |m: u32, n: u32| {
        let k = (f64::from(m) * PI / WIDTH).hypot(f64::from(n) * PI / HEIGHT);
        k > 0.9 * k0 && k < 1.1 * k0
    };
    let most = (1.1 * k0 / PI).ceil() as u32;
    (1..=most).map(|m| (1..=most).filter(|&n| inside(m, n)).count()).sum()
}

/// Any isotropic plate: the count in a wavenumber ring does not depend on its stiffness or mass.
fn plate() -> PlateSection {
    PlateSection {
        d11: 12.0,
        d12: 3.6,
        d22: 12.0,
        d66: 4.2,
        surface_mass: 3.0,
        thickness: 4e-3,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: LossCurve::constant(0.01),
        shear_loss: LossCurve::constant(0.01),
    }
}
