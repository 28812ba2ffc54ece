//! Octave bands.

use crate::{Problem, Row, Tolerance};
use panelwright_solver::listening::fractional_octaves;

/// Nominal and exact mid-band, lower and upper edge [Hz].
const OCTAVES: [[f64; 4]; 10] = [
    [31.5, 31.6227766, 22.38721139, 44.66835922],
    [63.0, 63.09573445, 44.66835922, 89.12509381],
    [125.0, 125.8925412, 89.12509381, 177.827941],
    [250.0, 251.1886432, 177.827941, 354.8133892],
    [500.0, 501.1872336, 354.8133892, 707.9457844],
    [1000.0, 1000.0, 707.9457844, 1412.537545],
    [2000.0, 1995.262315, 1412.537545, 2818.382931],
    [4000.0, 3981.071706, 2818.382931, 5623.413252],
    [8000.0, 7943.282347, 5623.413252, 11220.18454],
    [16000.0, 15848.93192, 11220.18454, 22387.21139],
];

/// Octave bands from 31.5 Hz to 16 kHz.
pub fn problem() -> Problem {
    Problem {
        name: "octave bands",
        source: "IEC 61260-1:2014, recomputed in closed form; labels ISO 266:1997",
        rows,
    }
}

fn rows() -> Vec<Row> {
    let row = |quantity: String, computed: f64, expected: f64| Row {
        quantity,
        computed,
        expected,
        tolerance: Tolerance::Relative(1e-9),
    };
    let bands = fractional_octaves(1, 31.5, 16e3);
    let mut rows = vec![row("number of octaves, 31.5 Hz to 16 kHz".into(), bands.len() as f64, 10.0)];
    for (band, [nominal, centre, lower, upper]) in bands.iter().zip(OCTAVES) {
        rows.push(row(format!("{nominal} Hz octave, label [Hz]"), band.nominal, nominal));
        rows.push(row(format!("{nominal} Hz octave, mid-band [Hz]"), band.centre, centre));
        rows.push(row(format!("{nominal} Hz octave, lower edge [Hz]"), band.lower, lower));
        rows.push(row(format!("{nominal} Hz octave, upper edge [Hz]"), band.upper, upper));
    }
    rows
}
