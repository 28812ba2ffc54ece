//! How fine the grid is.

use super::smooth_sum::{Grid, radius};
use crate::boundary::body::Body;
use crate::boundary::element::WHOLE;
use crate::boundary::far::LANES;
use nalgebra::Vector3;
use std::f64::consts::PI;

/// Largest k times spacing: so that a smeared source still sounds strongly (kR = 4), a grid of seven points to the wavelength.
const COARSEST: f64 = 0.93;
/// Costs in the time of one kernel evaluation: of a grid point in the steps of an iteration, and of a stored value in them.
const GRID_POINT: f64 = 400.0;
const STORED: f64 = 15.0;

/// A grid with what it will take.
#[derive(Clone, Copy, Debug)]
pub(in crate::boundary) struct GridPlan {
    /// Distance [m] of the grid's points.
    pub spacing: f64,
    /// Points of the transforms.
    points: f64,
    /// Elements within the local part of a mean element, itself included.
    near: f64,
    elements: f64,
}

impl GridPlan {
    /// The grid of this spacing.
    pub fn new(body: &Body, spacing: f64) -> Self {
        let elements = (body.len() * body.images.len()) as f64;
        let area: f64 = body.quadrature.iter().flatten().map(|point| point.weight).sum();
        let reach =
            body.elements.iter().map(|element| element.ball(&WHOLE).reach).sum::<f64>() / body.len() as f64;
        let own = area / body.len() as f64;
        let near = (PI * (radius(spacing) + 2.0 * reach).powi(2) / own).min(elements);
        let points = Grid::around(extent(body), spacing).transformed() as f64;
        Self { spacing, points, near, elements: body.len() as f64 }
    }

    /// The one that takes least time at wavenumber `k` [rad/m].
    pub fn cheapest(body: &Body, k: f64) -> Self {
        let [low, high] = extent(body);
        let coarsest = (COARSEST / k).min(0.25 * (high - low).max());
        let plans = (0..12).map(|i| Self::new(body, coarsest * 0.8f64.powi(i)));
        plans.min_by(|a, b| a.cost().total_cmp(&b.cost())).unwrap_or_else(|| Self::new(body, coarsest))
    }

    fn cost(&self) -> f64 {
        // Chunks are taken whole: about that much more than what is near.
        let evaluations = 36.0 * (self.near + 4.0 * (LANES as f64 * self.near).sqrt());
        self.elements * (evaluations + STORED * 4.0 * self.near) + GRID_POINT * self.points
    }

    /// Memory [bytes]: stored values with their columns, the grid and its kernel, and windows.
    pub fn bytes(&self) -> usize {
        let (stored, windows) = (4.0 * self.elements * self.near * 12.0, self.elements * 6.0 * 170.0);
        (stored + windows + 8.0 * self.points * 0.4) as usize
    }
}

/// Two corners of a box that holds all points and their images.
pub(super) fn extent(body: &Body) -> [Vector3<f64>; 2] {
    let start = [Vector3::repeat(f64::INFINITY), Vector3::repeat(f64::NEG_INFINITY)];
    let points = body.quadrature.iter().flatten().map(|point| point.position);
    let all = points.flat_map(|point| body.images.iter().map(move |image| image.of(point)));
    all.fold(start, |[low, high], point| [low.inf(&point), high.sup(&point)])
}
