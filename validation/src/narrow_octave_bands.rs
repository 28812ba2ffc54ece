//! Bands of an even fraction of an octave.

use crate::{Problem, Row, Tolerance};
use panelwright_solver::listening::fractional_octaves;

/// Octave fraction and its five mid-bands around 1 kHz [Hz].
const MID_BANDS: [(u32, [f64; 5]); 2] = [
    (6, [841.3951416, 944.0608763, 1059.253725, 1188.502227, 1333.521432]),
    (12, [917.2759354, 971.6279516, 1029.200527, 1090.184492, 1154.781985]),
];

/// Sixth- and twelfth-octave bands: for an even fraction 1 kHz is an edge, not a mid-band.
pub fn problem() -> Problem {
    Problem {
        name: "sixth- and twelfth-octave bands",
        source: "IEC 61260-1:2014, eq. (3), recomputed in closed form",
        rows,
    }
}

fn rows() -> Vec<Row> {
    let mut rows = vec![];
    for (fraction, expected) in MID_BANDS {
        let bands = fractional_octaves(fraction, 800.0, 1400.0);
        let first = bands.partition_point(|band| band.centre < expected[0] * (1.0 - 1e-6));
        for (i, &expected) in expected.iter().enumerate() {
            rows.push(Row {
                quantity: format!("1/{fraction} octave, mid-band {} of 5 [Hz]", i + 1),
                computed: bands.get(first + i).map_or(f64::NAN, |band| band.centre),
                expected,
                tolerance: Tolerance::Relative(1e-9),
            });
        }
    }
    rows
}
