//! Acoustic centre of two equal sources.

use crate::centre_of_one_source::{arcs, band, intensity_of_spots, point_sources};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::listening::{intensity_centre, wave_front_centre};

const LEFT: [f64; 2] = [0.14, 0.36];
const RIGHT: [f64; 2] = [0.54, 0.20];

/// Two identical sources in phase have their acoustic centre half-way, whatever the frequency.
pub fn problem() -> Problem {
    Problem {
        name: "acoustic centre of two equal sources",
        source: "exact by symmetry: half-way between them",
        rows,
    }
}

fn rows() -> Vec<Row> {
    let middle = [0, 1].map(|axis| 0.5 * (LEFT[axis] + RIGHT[axis]));
    let mut rows = vec![];
    let (x, y, weights, intensity) = intensity_of_spots(&[LEFT, RIGHT]);
    let found =
        intensity_centre(&x, &y, weights.view(), intensity.view()).map_or([f64::NAN; 2], |c| c.position);
    for axis in 0..2 {
        rows.push(row("by intensity", axis, found[axis], middle[axis]));
    }
    for centre in [125.0, 1000.0, 8000.0] {
        let frequencies = band(centre);
        let points = arcs(middle);
        let pressure = point_sources(&points, &frequencies, &[LEFT, RIGHT]);
        let found = wave_front_centre(&points, &frequencies, pressure.view(), 343.0, (0.76, 0.52));
        let position = found.map_or([f64::NAN; 3], |c| c.position);
        for axis in 0..2 {
            rows.push(row(&format!("by wave fronts, {centre} Hz"), axis, position[axis], middle[axis]));
        }
    }
    rows
}

fn row(how: &str, axis: usize, computed: f64, expected: f64) -> Row {
    let name = ["x", "y"][axis];
    Row { quantity: format!("{name} {how} [m]"), computed, expected, tolerance: Tolerance::Absolute(1e-4) }
}
