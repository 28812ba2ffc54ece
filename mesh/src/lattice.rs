//! Tensor-product point sets on the panel's plane.

use crate::Axis;

/// All pairs of an x node with a y node, in the order `index = ix · ny + iy` (x slow, y fast).
#[derive(Clone, Debug, PartialEq)]
pub struct Lattice {
    /// Nodes along the width.
    pub x: Axis,
    /// Nodes along the height.
    pub y: Axis,
}

impl Lattice {
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
        self.x.weights.iter().flat_map(move |&wx| self.y.weights.iter().map(move |&wy| wx * wy))
    }
}
