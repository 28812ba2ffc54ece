//! A layer's sound in the plane of the board, as the nodes of a grid see it.
//!
//! Where the housing hangs closer to the board than the nodes are to each other, its sound changes between them, while the board's jump, that of a seat's wave, does
//! not. There the jump is laid between the nodes by polynomials of fifth degree, which makes the pattern its mean under the same polynomials:
//!
//! ```text
//! K̄(o) = 1/n² Σ_q L(q/n) K(o + q h/n),    L the polynomials' weight of a node over the three cells on either side
//! ```

use super::correlation::{Correlator, POINTS, Transformed, lagrange};
use crate::boundary::SurfaceField;
use nalgebra::Vector3;
use ndarray::{Array1, Array2, s};
use num_complex::Complex64;
use std::ops::Range;

/// Dipoles this many steps away sound like a sheet: the sum over them is off by about `exp(−2π · 1.5)`, 1e-4.
const STEPS_AWAY: f64 = 1.5;
/// Divisions of a cell at most.
const FINEST: usize = 16;
/// Cells on either side that a node reaches to.
const REACH: usize = POINTS / 2;

/// Derivative along z of a layer's sound around the driver's axis, in cells of `step` [m]. The body reaches `radius` [m] far from its axis and leaves `gap` [m].
pub(super) fn slopes(
    layer: &SurfaceField,
    correlator: &Correlator,
    step: f64,
    [radius, gap]: [f64; 2],
) -> Transformed {
    let offsets = correlator.offsets();
    let mut pattern = at(layer, &offsets);
    let divisions = ((STEPS_AWAY * step / gap).ceil() as usize).min(FINEST);
    let near = offsets.each_ref().map(|nodes| {
        let within = |x: &f64| x.abs() <= radius + REACH as f64 * step;
        let start = nodes.iter().position(within).unwrap_or(0);
        start..start + nodes.iter().filter(|x| within(x)).count()
    });
    if divisions > 1 && near.iter().all(|range| !range.is_empty()) {
        let [x, y] = near.clone();
        pattern.slice_mut(s![x, y]).assign(&averaged(layer, &offsets, &near, divisions));
    }
    correlator.pattern(&pattern)
}

/// K on an array of offsets [m].
fn at(layer: &SurfaceField, [x, y]: &[Vec<f64>; 2]) -> Array2<Complex64> {
    let points: Vec<Vector3<f64>> =
        x.iter().flat_map(|&x| y.iter().map(move |&y| Vector3::new(x, y, 0.0))).collect();
    let slopes = layer.radiated_at(&points).iter().map(|field| field.gradient[2]).collect();
    Array2::from_shape_vec((x.len(), y.len()), slopes).expect("one value per offset")
}

/// K̄ at the offsets in these ranges.
fn averaged(
    layer: &SurfaceField,
    offsets: &[Vec<f64>; 2],
    near: &[Range<usize>; 2],
    divisions: usize,
) -> Array2<Complex64> {
    let fine = [0, 1].map(|along| {
        let (nodes, range) = (&offsets[along], &near[along]);
        let step = (nodes[1] - nodes[0]) / divisions as f64;
        let first = nodes[range.start] - (REACH * divisions) as f64 * step;
        let count = (range.len() - 1 + 2 * REACH) * divisions;
        (0..count).map(|i| first + i as f64 * step).collect::<Vec<f64>>()
    });
    let weights = weights(divisions);
    let means = near.each_ref().map(|range| {
        let mut means: Array2<Complex64> =
            Array2::zeros((range.len(), (range.len() - 1 + 2 * REACH) * divisions));
        for (i, mut row) in means.rows_mut().into_iter().enumerate() {
            row.slice_mut(s![i * divisions..i * divisions + weights.len()]).assign(&weights);
        }
        means
    });
    means[0].dot(&at(layer, &fine)).dot(&means[1].t())
}

/// `L(q/n)/n` for q from −3n to 3n − 1.
fn weights(divisions: usize) -> Array1<Complex64> {
    let at = |q: usize| {
        let (cell, part) = (q / divisions, (q % divisions) as f64 / divisions as f64);
        // Of the six nodes around a place in this cell the one in the middle of the reach is that many from the first.
        let node = POINTS - 1 - cell;
        lagrange((REACH - 1) as f64 + part)[node] / divisions as f64
    };
    (0..2 * REACH * divisions).map(|q| at(q).into()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Constants and slopes stay what they are.
    #[test]
    fn a_node_stands_for_one_cell_about_itself() {
        for divisions in [2, 5, 16] {
            let weights = weights(divisions);
            let place = |q: usize| q as f64 / divisions as f64 - REACH as f64;
            let sum: Complex64 = weights.iter().sum();
            let first: Complex64 = weights.iter().enumerate().map(|(q, w)| w * place(q)).sum();
            assert!((sum - 1.0).norm() < 1e-12 && first.norm() < 1e-12, "{divisions}: {sum} {first}");
            assert!((weights[REACH * divisions] * divisions as f64 - 1.0).norm() < 1e-12);
        }
    }
}
