//! A-weighting.

use crate::{Problem, Row, Tolerance};
use panelwright_solver::listening::{a_weighting, fractional_octaves};

/// Nominal frequency [Hz] and weighting [dB] at the exact third-octave mid-band.
const WEIGHTING: [(f64, f64); 18] = [
    (10.0, -70.43036825),
    (20.0, -50.45216044),
    (31.5, -39.43996588),
    (50.0, -30.22820837),
    (63.0, -26.19434372),
    (100.0, -19.14277694),
    (125.0, -16.09841054),
    (200.0, -10.8703701),
    (250.0, -8.630293213),
    (500.0, -3.232658291),
    (1000.0, 0.0),
    (2000.0, 1.199941825),
    (2500.0, 1.270698307),
    (4000.0, 0.9698773851),
    (8000.0, -1.110657617),
    (10000.0, -2.491786731),
    (16000.0, -6.602563825),
    (20000.0, -9.316925613),
];

/// A-weighting at exact third-octave mid-bands.
pub fn problem() -> Problem {
    Problem {
        name: "A-weighting",
        source: "IEC 61672-1:2013, annex E eq. (E.6), recomputed in closed form; table 3 agrees to its one decimal",
        rows,
    }
}

fn rows() -> Vec<Row> {
    let row = |&(nominal, expected): &(f64, f64)| Row {
        quantity: format!("A-weighting at {nominal} Hz [dB]"),
        computed: fractional_octaves(3, nominal, nominal)
            .first()
            .map_or(f64::NAN, |band| a_weighting(band.centre)),
        expected,
        tolerance: Tolerance::Absolute(5e-4),
    };
    WEIGHTING.iter().map(row).collect()
}
