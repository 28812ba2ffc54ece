//! Fractional-octave smoothing.

use crate::{Problem, Row, Tolerance};
use panelwright_solver::listening::smooth;

/// A mean square that rises in proportion to frequency, smoothed over a third of an octave, is raised by
/// `(2^(1/2N) − 2^(−1/2N)) / (ln 2 / N)`.
pub fn problem() -> Problem {
    Problem {
        name: "third-octave smoothing of a slope",
        source: "convention: J. G. Tylka et al., J. Audio Eng. Soc. 65 (2017) 239; recomputed in closed form",
        rows,
    }
}

fn rows() -> Vec<Row> {
    let frequencies: Vec<f64> = (0..=240).map(|i| 100.0 * 2f64.powf(f64::from(i) / 40.0)).collect();
    let smoothed = smooth(&frequencies, &frequencies, 3);
    let row = |i: usize| Row {
        quantity: format!("smoothed over true at {:.0} Hz", frequencies[i]),
        computed: smoothed[i] / frequencies[i],
        expected: 1.002225804,
        tolerance: Tolerance::Relative(1e-9),
    };
    [40, 120, 200].map(row).into()
}
