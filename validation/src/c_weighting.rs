//! C-weighting.

use crate::{Problem, Row, Tolerance};
use panelwright_solver::listening::{c_weighting, fractional_octaves};

/// Nominal frequency [Hz] and weighting [dB] at the exact third-octave mid-band.
const WEIGHTING: [(f64, f64); 18] = [
    (10.0, -14.33001055),
    (20.0, -6.240056422),
    (31.5, -3.010299941),
    (50.0, -1.293972666),
    (63.0, -0.8180186712),
    (100.0, -0.2996358389),
    (125.0, -0.168510119),
    (200.0, -0.03251110498),
    (250.0, 1.622699565e-09),
    (500.0, 0.03258145741),
    (1000.0, 0.0),
    (2000.0, -0.1685101258),
    (2500.0, -0.2996358495),
    (4000.0, -0.8180186962),
    (8000.0, -3.010300018),
    (10000.0, -4.405456505),
    (16000.0, -8.530714175),
    (20000.0, -11.24861763),
];

/// C-weighting at exact third-octave mid-bands.
pub fn problem() -> Problem {
    Problem { name: "C-weighting", source: "IEC 61672-1:2013, annex E, recomputed in closed form", rows }
}

fn rows() -> Vec<Row> {
    let row = |&(nominal, expected): &(f64, f64)| Row {
        quantity: format!("C-weighting at {nominal} Hz [dB]"),
        computed: fractional_octaves(3, nominal, nominal)
            .first()
            .map_or(f64::NAN, |band| c_weighting(band.centre)),
        expected,
        tolerance: Tolerance::Absolute(5e-4),
    };
    WEIGHTING.iter().map(row).collect()
}
