//! Tensor-product point sets on the panel's plane.

use crate::{Axis, Outline, columns};
use ndarray::Array2;

/// All pairs of an x node with a y node, in the order `index = ix · ny + iy` (x slow, y fast).
///
/// Over a rectangle the weight of a pair is the product of the axes' weights. Any other panel fills only part of the lattice:
/// then `share` says how much of that product a point stands for, nothing where it is not of the panel.
#[derive(Clone, Debug, PartialEq)]
pub struct Lattice {
    /// Nodes along the width.
    pub x: Axis,
    /// Nodes along the height.
    pub y: Axis,
    /// Weight of each point over the product of the axes' weights (nx, ny); `None`: 1 everywhere.
    pub share: Option<Array2<f64>>,
}

impl Lattice {
    /// All pairs, each with the full product of the weights.
    pub fn new(x: Axis, y: Axis) -> Self {
        Self { x, y, share: None }
    }

    /// The points of `outline` among all pairs, for integrals over it: along each column, equal cells `y` whose weights are corrected
    /// at the rim to sixth order; from column to column, the rule `x`. Points outside weigh nothing.
    ///
    /// `∫ f dS ≈ Σ weight f` needs `f` only where it is defined. The error is that of `x` for the integrals along the columns, plus
    /// `O((κh)⁶)` at the rim for waves of wavenumber κ and cells of height h. Stretches of a column shorter than a cell may hold no
    /// node and are left out: corners and tangent points lose an area of about h².
    pub fn over(outline: &Outline, x: Axis, y: Axis) -> Self {
        if let Outline::Rectangle { .. } = outline {
            return Self::new(x, y);
        }
        let share = columns::shares(outline, &x, &y);
        Self { x, y, share: Some(share) }
    }

    /// `(nx, ny)`: the shape of every array sampled on this lattice.
    pub fn shape(&self) -> (usize, usize) {
        (self.x.len(), self.y.len())
    }

    /// Number of points.
    pub fn len(&self) -> usize {
        self.x.len() * self.y.len()
    }

    /// True when either axis is empty.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Points `[x, y]` [m] in storage order.
    pub fn points(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        self.x.nodes.iter().flat_map(move |&x| self.y.nodes.iter().map(move |&y| [x, y]))
    }

    /// Area weights [m²] in storage order.
    pub fn weights(&self) -> impl Iterator<Item = f64> + '_ {
        let product =
            self.x.weights.iter().flat_map(move |&wx| self.y.weights.iter().map(move |&wy| wx * wy));
        let shares = self.share.iter().flat_map(|share| share.iter().copied());
        product.zip(shares.chain(std::iter::repeat(1.0))).map(|(weight, share)| weight * share)
    }
}
