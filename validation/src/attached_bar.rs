//! A bar across a simply supported plate against the exact solution: strip by strip it is a line spring with a line mass.

use crate::plates::{edges, isotropic};
use crate::supported::{line, roots, slope_in_the_middle};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::plate::{Accuracy, Modes};
use panelwright_solver::scene::{Attachments, Bar};
use std::f64::consts::{PI, TAU};

/// In units of D a, D a and ρh a.
const BENDING: f64 = 4.0;
const TORSION: f64 = 0.5;
const MASS: f64 = 0.2;
/// Bare modes reach this ω.
const REACH: f64 = 8000.0;

/// Bar along x.
pub const PROBLEM: Problem = Problem {
    name: "Plate with a bar across it",
    source: "exact: for m half waves along the bar 1 + (EI m⁴π⁴ − ω² m_l) G_m(ω) = 0, bar in the middle: 1 + GJ m²π² H_m(ω) = 0 \
             for the modes that only turn it (Lévy; worked out in validation/src/supported.rs). What is left is truncation of the bare modes at ω = 8000, from \
             above: up to 1.6e-4 in bending; 3.2e-3 in torsion, which falls only as ω^−½",
    rows: || off_centre().into_iter().chain(turning()).collect(),
};

fn modes_with(bar: Bar) -> Vec<f64> {
    let panel = isotropic(1.0, 0.3, edges("SSSS", 1.0));
    let modes = Modes::solve_with(&panel, REACH / TAU, Accuracy::REFERENCE).expect("a small plate");
    let attachments = Attachments { bars: vec![bar], ..Attachments::default() };
    let modes = modes.with_attached(&attachments).expect("converges");
    modes.frequencies.iter().map(|f| TAU * f).collect()
}

fn bar(y: f64, torsional_stiffness: f64) -> Bar {
    Bar {
        name: "bar".into(),
        ends: [[0.0, y], [1.0, y]],
        line_mass: MASS,
        stiffness: BENDING,
        torsional_stiffness,
        loss_factor: 0.0,
    }
}

fn off_centre() -> Vec<Row> {
    let y = 0.37;
    let found = modes_with(bar(y, 0.0));
    (1..=3)
        .flat_map(|m| {
            let stiffness = BENDING * (f64::from(m) * PI).powi(4);
            let secular = |omega: f64| (stiffness - omega * omega * MASS).recip() + line(m, omega, y);
            roots(secular, 4).into_iter().enumerate().map(move |(n, expected)| (m, n + 1, expected))
        })
        .filter(|&(_, _, expected)| expected < 400.0)
        .map(|(m, n, expected)| {
            row(format!("ω, {m} half waves along the bar, no. {n}"), &found, expected, 2e-4)
        })
        .collect()
}

/// Modes antisymmetric about a bar in the middle.
fn turning() -> Vec<Row> {
    let found = modes_with(bar(0.5, TORSION));
    (1..=2)
        .flat_map(|m| {
            let stiffness = TORSION * (f64::from(m) * PI).powi(2);
            let secular = |omega: f64| 1.0 / stiffness + slope_in_the_middle(m, omega);
            roots(secular, 2).into_iter().enumerate().map(move |(n, expected)| (m, n + 1, expected))
        })
        .map(|(m, n, expected)| {
            row(format!("ω, bar turning, {m} half waves, no. {n}"), &found, expected, 4e-3)
        })
        .collect()
}

/// The nearest of the natural frequencies `found`.
fn row(quantity: String, found: &[f64], expected: f64, tolerance: f64) -> Row {
    let off = |omega: &f64| (omega - expected).abs();
    let computed = found.iter().copied().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(f64::NAN);
    Row { quantity, computed, expected, tolerance: Tolerance::Relative(tolerance) }
}
