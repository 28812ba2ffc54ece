//! Steps along curves.

use crate::Piece;
use std::f64::consts::FRAC_PI_6;

/// Samples of a curved piece for its length and turning.
const SAMPLES: usize = 128;
/// Curves turn by at most this angle [rad] in one step, whatever length is wanted: rounded rims stay round.
const TURN: f64 = FRAC_PI_6;

/// Parameters 0…1 along a piece, ends included: steps of equal length, none longer than `longest` [m] or turning by more than 30°; a
/// multiple of `multiple` steps.
pub fn steps(piece: &Piece, longest: f64, multiple: usize) -> Vec<f64> {
    let samples = if let Piece::Straight { .. } = piece { 1 } else { SAMPLES };
    let (mut lengths, mut turning) = (vec![0.0], 0.0);
    for i in 0..samples {
        let [t0, t1] = [i, i + 1].map(|i| i as f64 / samples as f64);
        lengths.push(lengths[i] + piece.length_between(t0, t1));
        turning += turn(piece.normal(t0), piece.normal(t1));
    }
    let length = lengths[samples];
    // A millionth less, so that rounding adds no step.
    let count = (length / longest * (1.0 - 1e-6)).ceil().max((turning / TURN * (1.0 - 1e-6)).ceil()).max(1.0)
        as usize;
    let count = count.div_ceil(multiple) * multiple;
    (0..=count).map(|i| parameter(&lengths, length * i as f64 / count as f64)).collect()
}

/// The parameter at a length along the curve, between samples as on a straight line.
fn parameter(lengths: &[f64], length: f64) -> f64 {
    let samples = lengths.len() - 1;
    let i = lengths.partition_point(|&l| l < length).clamp(1, samples) - 1;
    let share = (length - lengths[i]) / (lengths[i + 1] - lengths[i]);
    ((i as f64 + share.clamp(0.0, 1.0)) / samples as f64).clamp(0.0, 1.0)
}

/// Angle [rad] between two directions.
pub fn turn(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] * b[1] - a[1] * b[0]).abs().atan2(a[0] * b[0] + a[1] * b[1])
}
