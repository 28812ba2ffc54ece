//! Radiation impedance of a circular piston.

use crate::baffled::{air, cells, moving};
use crate::{Problem, Row, Tolerance};
use panelwright_mesh::Lattice;
use panelwright_solver::radiation::{radiated_power, surface_pressure};
use std::f64::consts::PI;

/// `Z/(ρcπa²)` of a rigid disc in a baffle on square cells: resistance from the radiated power, reactance from the pressure on its
/// face.
pub fn problem() -> Problem {
    Problem {
        name: "circular piston, impedance",
        source: "A. D. Pierce, Acoustics (1981/1989) § 5-3; L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers (2012) \
                 ch. 13; P. M. Morse & K. U. Ingard, Theoretical Acoustics (1968) § 7.4: R = 1 − J₁(2ka)/ka, X = H₁(2ka)/ka. Recomputed \
                 with 30 digits; the autocorrelation integral agrees to 1e-11. The disc is laid on 160 × 160 square cells, those on the \
                 rim moving by the share they have in it, which leaves errors of up to 1e-4 in R and 0.5 % in X \
                 (2e-4 for ka ≤ 2).",
        rows: || IMPEDANCE.iter().flat_map(rows).collect(),
    }
}

/// `(ka, R, X)`.
const IMPEDANCE: [(f64, f64, f64); 8] = [
    (0.05, 0.001249479275, 0.04241303203),
    (0.1, 0.004991673608, 0.08465654114),
    (0.2, 0.01986711022, 0.1679627001),
    (0.5, 0.1198988285, 0.3969146724),
    (1.0, 0.4232751922, 0.6467637283),
    (2.0, 1.033021664, 0.5348633307),
    (5.0, 0.9913054508, 0.1783664984),
    (10.0, 0.9933166876, 0.04726881843),
];

/// Cells per diameter.
const CELLS: usize = 160;

fn rows(&(ka, resistance, reactance): &(f64, f64, f64)) -> [Row; 2] {
    let square = cells(2.0, 2.0, [CELLS; 2]);
    let disc = moving(&square, ka, |point| share_in_disc(&square, point));
    let unit = air().impedance() * PI;
    // Each cell works against its pressure with the part of it that moves.
    let reaction: f64 = surface_pressure(&disc, &air())
        .iter()
        .zip(&disc.velocity)
        .zip(square.weights())
        .map(|((pressure, velocity), area)| pressure.im * velocity.re * area)
        .sum();
    let row = |part: &str, computed, expected, tolerance| Row {
        quantity: format!("{part}/(ρcπa²), ka = {ka}"),
        computed,
        expected,
        tolerance: Tolerance::Relative(tolerance),
    };
    [
        row("R", radiated_power(&disc, &air()) / unit, resistance, 2e-4),
        row("X", reaction / unit, reactance, 6e-3),
    ]
}

/// Share of the cell around `point` that lies within 1 m of the square's middle, by sampling 16 × 16 points.
fn share_in_disc(square: &Lattice, [x, y]: [f64; 2]) -> f64 {
    const POINTS: usize = 16;
    let (width, height) = (square.x.weights[0], square.y.weights[0]);
    let offset = |i: usize| (i as f64 + 0.5) / POINTS as f64 - 0.5;
    let inside =
        |&(i, j): &(usize, usize)| (x - 1.0 + offset(i) * width).hypot(y - 1.0 + offset(j) * height) < 1.0;
    let hits = (0..POINTS).flat_map(|i| (0..POINTS).map(move |j| (i, j))).filter(inside).count();
    hits as f64 / (POINTS * POINTS) as f64
}
