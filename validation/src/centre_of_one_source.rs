//! Acoustic centre of one small source.

use crate::{Problem, Row, Tolerance};
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_solver::listening::{intensity_centre, wave_front_centre};
use std::f64::consts::TAU;

const SOUND_SPEED: f64 = 343.0;
const SOURCE: [f64; 2] = [0.22, 0.40];

/// One small source is its own acoustic centre, whatever the frequency.
pub fn problem() -> Problem {
    Problem {
        name: "acoustic centre of one small source",
        source: "exact by symmetry: the source's own position",
        rows,
    }
}

fn rows() -> Vec<Row> {
    let (x, y, weights, intensity) = intensity_of_spots(&[SOURCE]);
    let found =
        intensity_centre(&x, &y, weights.view(), intensity.view()).map_or([f64::NAN; 2], |c| c.position);
    let mut rows: Vec<Row> =
        (0..2).map(|axis| row("by intensity", axis, found[axis], SOURCE[axis])).collect();
    let expected = [SOURCE[0], SOURCE[1], 0.0];
    for centre in [125.0, 1000.0, 8000.0] {
        let frequencies = band(centre);
        let points = arcs([0.38, 0.26]);
        let pressure = point_sources(&points, &frequencies, &[SOURCE]);
        let found = wave_front_centre(&points, &frequencies, pressure.view(), SOUND_SPEED, (0.76, 0.52));
        let position = found.map_or([f64::NAN; 3], |c| c.position);
        for axis in 0..3 {
            rows.push(row(&format!("by wave fronts, {centre} Hz"), axis, position[axis], expected[axis]));
        }
    }
    rows
}

fn row(how: &str, axis: usize, computed: f64, expected: f64) -> Row {
    let name = ["x", "y", "z"][axis];
    Row { quantity: format!("{name} {how} [m]"), computed, expected, tolerance: Tolerance::Absolute(1e-4) }
}

/// Nine frequencies [Hz] across a third octave.
pub(crate) fn band(centre: f64) -> Vec<f64> {
    (0..9).map(|i| centre * 10f64.powf(0.1 * (f64::from(i) / 8.0 - 0.5))).collect()
}

/// Points every 5° on a horizontal and a vertical half circle of radius 2 m about a point of the panel.
pub(crate) fn arcs(about: [f64; 2]) -> Vec<[f64; 3]> {
    let angles = || (-18..=18).map(|i| f64::from(i) * 5f64.to_radians());
    let horizontal = angles().map(|a| [about[0] + 2.0 * a.sin(), about[1], 2.0 * a.cos()]);
    let vertical = angles().map(|a| [about[0], about[1] + 2.0 * a.sin(), 2.0 * a.cos()]);
    horizontal.chain(vertical).collect()
}

/// Pressure (frequencies, points) of equal in-phase point sources in the panel's plane: `Σ exp(−jkr) / r`.
pub(crate) fn point_sources(
    points: &[[f64; 3]],
    frequencies: &[f64],
    sources: &[[f64; 2]],
) -> Array2<Complex64> {
    Array2::from_shape_fn((frequencies.len(), points.len()), |(f, n)| {
        let k = TAU * frequencies[f] / SOUND_SPEED;
        let [x, y, z] = points[n];
        let wave = |s: &[f64; 2]| {
            let r = ((x - s[0]).powi(2) + (y - s[1]).powi(2) + z * z).sqrt();
            Complex64::from_polar(1.0 / r, -k * r)
        };
        sources.iter().map(wave).sum()
    })
}

/// Nodes, area weights and intensity of a panel that is silent but for one cell at each source.
pub(crate) fn intensity_of_spots(sources: &[[f64; 2]]) -> (Vec<f64>, Vec<f64>, Array2<f64>, Array2<f64>) {
    const CELL: f64 = 0.02;
    let nodes = |count: usize| (0..count).map(|i| i as f64 * CELL).collect::<Vec<f64>>();
    let (x, y) = (nodes(39), nodes(27));
    let mut intensity = Array2::zeros((x.len(), y.len()));
    for source in sources {
        intensity[[(source[0] / CELL).round() as usize, (source[1] / CELL).round() as usize]] = 1e-3;
    }
    (x, y, Array2::from_elem((39, 27), CELL * CELL), intensity)
}
