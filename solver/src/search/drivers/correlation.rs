//! Sums over a grid for every place of a pattern at once.
//!
//! ```text
//! c(t) = Σ_s w(s) K(s − t)
//! ```
//!
//! over the nodes s of a regular grid, for places t anywhere near it: by fast Fourier transforms for places on the grid, continued beyond its ends, and between
//! them by polynomials of fifth degree in each direction, as [screens](crate::radiation::screen) are heard on planes.

use crate::transform_size::transform_size;
use ndarray::{Array2, ArrayViewMut2, Axis, s};
use num_complex::Complex64;
use rustfft::{Fft, FftPlanner};
use std::sync::Arc;

/// Points of an interpolating polynomial.
const POINTS: usize = 6;

/// The nodes of one direction, and the places that are asked for.
struct Line {
    /// Distance of the nodes [m].
    step: f64,
    /// How many nodes.
    nodes: usize,
    /// How many grid points the places need, and where the first lies in units of the step, counted from the first node.
    count: usize,
    first: isize,
    /// For every place the first of the grid points that it is laid between, and their weights.
    between: Vec<(usize, [f64; POINTS])>,
}

impl Line {
    fn new(origin: f64, step: f64, nodes: usize, places: &[f64]) -> Self {
        let position = |x: &f64| (x - origin) / step;
        let start = |x: &f64| position(x).floor() as isize - (POINTS as isize / 2 - 1);
        let first = places.iter().map(start).min().unwrap_or(0);
        let last = places.iter().map(start).max().unwrap_or(0) + POINTS as isize;
        let between = |x: &f64| ((start(x) - first) as usize, lagrange(position(x) - start(x) as f64));
        Self {
            step,
            nodes,
            count: (last - first) as usize,
            first,
            between: places.iter().map(between).collect(),
        }
    }

    /// Offsets s − t [m] that occur, ascending.
    fn offsets(&self) -> Vec<f64> {
        let least = -(self.count as isize - 1) - self.first;
        (0..self.nodes + self.count - 1).map(|i| (least + i as isize) as f64 * self.step).collect()
    }
}

/// Weights of values at 0, 1, …, 5 that interpolate at `t`.
fn lagrange(t: f64) -> [f64; POINTS] {
    std::array::from_fn(|i| {
        let others = (0..POINTS).filter(|&j| j != i);
        others.map(|j| (t - j as f64) / (i as f64 - j as f64)).product()
    })
}

/// Correlations of patterns with weights on one grid, read at given places.
pub(super) struct Correlator {
    lines: [Line; 2],
    size: [usize; 2],
    forward: [Arc<dyn Fft<f64>>; 2],
    inverse: [Arc<dyn Fft<f64>>; 2],
}

/// Transform of a pattern or of weights.
pub(super) struct Transformed(Array2<Complex64>);

impl Correlator {
    /// For the nodes of a grid (from its first node, the cell, how many in each direction) and the columns and rows of places [m].
    pub fn new(origin: [f64; 2], cell: [f64; 2], nodes: (usize, usize), places: [&[f64]; 2]) -> Self {
        let lines = [
            Line::new(origin[0], cell[0], nodes.0, places[0]),
            Line::new(origin[1], cell[1], nodes.1, places[1]),
        ];
        let size = [0, 1].map(|along| transform_size(lines[along].nodes + lines[along].count - 1));
        let mut planner = FftPlanner::new();
        Self {
            forward: size.map(|n| planner.plan_fft_forward(n)),
            inverse: size.map(|n| planner.plan_fft_inverse(n)),
            lines,
            size,
        }
    }

    /// Where a pattern must be known [m]: columns and rows of offsets from the place.
    pub fn offsets(&self) -> [Vec<f64>; 2] {
        [self.lines[0].offsets(), self.lines[1].offsets()]
    }

    /// A pattern K at the offsets.
    pub fn pattern(&self, values: &Array2<Complex64>) -> Transformed {
        self.transformed(values)
    }

    /// Weights w at the nodes.
    pub fn weights(&self, values: &Array2<Complex64>) -> Transformed {
        self.transformed(&values.slice(s![..;-1, ..;-1]).to_owned())
    }

    /// `Σ w(s) K(s − t)` at the places t, (columns, rows).
    pub fn correlated(&self, pattern: &Transformed, weights: &Transformed) -> Array2<Complex64> {
        let mut product = &pattern.0 * &weights.0;
        transform(product.view_mut(), &self.inverse);
        let scale = 1.0 / product.len() as f64;
        let [x, y] = &self.lines;
        // Place number t of the grid is found where all nodes lie under the pattern's end: it descends while t ascends.
        let on_grid = |i: usize, j: usize| product[[x.nodes + x.count - 2 - i, y.nodes + y.count - 2 - j]];
        let at = |(a, wx): &(usize, [f64; POINTS]), (b, wy): &(usize, [f64; POINTS])| -> Complex64 {
            let row = |i: usize| -> Complex64 { (0..POINTS).map(|j| on_grid(a + i, b + j) * wy[j]).sum() };
            scale * (0..POINTS).map(|i| row(i) * wx[i]).sum::<Complex64>()
        };
        Array2::from_shape_fn((x.between.len(), y.between.len()), |(i, j)| at(&x.between[i], &y.between[j]))
    }

    fn transformed(&self, values: &Array2<Complex64>) -> Transformed {
        let mut padded = Array2::zeros(self.size);
        let (nx, ny) = values.dim();
        padded.slice_mut(s![..nx, ..ny]).assign(values);
        transform(padded.view_mut(), &self.forward);
        Transformed(padded)
    }
}

/// Transforms along both directions.
fn transform(mut values: ArrayViewMut2<Complex64>, plans: &[Arc<dyn Fft<f64>>; 2]) {
    for (along, plan) in plans.iter().enumerate() {
        let mut line = vec![Complex64::ZERO; plan.len()];
        for mut lane in values.lanes_mut(Axis(along)) {
            line.iter_mut().zip(&lane).for_each(|(to, from)| *to = *from);
            plan.process(&mut line);
            lane.iter_mut().zip(&line).for_each(|(to, from)| *to = *from);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A smooth pattern and smooth places between the nodes: as if summed one by one.
    #[test]
    fn places_between_nodes_and_beyond_the_ends_are_summed_as_one_by_one() {
        let (origin, cell, nodes) = ([0.3, -0.2], [0.1, 0.12], (7, 5));
        let (x, y) = ([-0.35, 0.42, 0.5, 1.31], [-0.7, 0.13, 0.6]);
        let correlator = Correlator::new(origin, cell, nodes, [&x, &y]);
        let pattern = |[x, y]: [f64; 2]| Complex64::new((1.3 * x - 0.2).sin() + 0.1 * y, (0.8 * y + x).cos());
        let weights =
            Array2::from_shape_fn(nodes, |(i, j)| Complex64::new(1.0 + i as f64, (i * j) as f64 - 2.0));
        let [u, v] = correlator.offsets();
        let values = Array2::from_shape_fn((u.len(), v.len()), |(i, j)| pattern([u[i], v[j]]));
        let found = correlator.correlated(&correlator.pattern(&values), &correlator.weights(&weights));
        for ((i, j), found) in found.indexed_iter() {
            let node =
                |(a, b): (usize, usize)| [origin[0] + a as f64 * cell[0], origin[1] + b as f64 * cell[1]];
            let term = |(at, w): ((usize, usize), &Complex64)| {
                let [s, t] = node(at);
                w * pattern([s - x[i], t - y[j]])
            };
            let expected: Complex64 = weights.indexed_iter().map(term).sum();
            assert!((found - expected).norm() < 1e-6 * expected.norm(), "{i} {j}: {found} {expected}");
        }
    }
}
