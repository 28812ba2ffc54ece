//! Cosines and sines of the box along the boundary.

use super::plan::Span;
use super::{FreeFormPlan, Region};
use ndarray::{Array1, Array2, Axis as Along, s};
use panelwright_mesh::RimPoint;

/// Up to twice the highest number of half waves, because products of two functions are integrated.
pub(super) struct RimWaves {
    pub points: Vec<RimPoint>,
    pub spans: [Span; 2],
    /// cos along x and y: (half waves, points).
    pub cosines: [Array2<f64>; 2],
    /// sin along x and y: (half waves, points).
    pub sines: [Array2<f64>; 2],
}

/// Gauss rules by their number of nodes n, and the largest κ for which they integrate `cos κx` over ±1 within 1e-13: from the
/// remainder `2^(2n+1) (n!)⁴ κ^(2n) / ((2n+1) ((2n)!)³)` (Abramowitz & Stegun, Handbook of Mathematical Functions, 1964, 25.4.30).
const RULES: [(usize, f64); 5] = [(3, 0.034), (4, 0.155), (6, 0.8), (8, 1.95), (12, 5.3)];

impl RimWaves {
    pub fn new(region: &Region, plan: &FreeFormPlan) -> Self {
        let most = plan.most_half_waves().map(|most| 2 * most);
        let [kx, ky] = [0, 1].map(|axis| plan.spans[axis].wavenumber(most[axis]));
        let points = fewest_nodes(region, kx.hypot(ky));
        let angles = [0, 1].map(|axis| {
            Array2::from_shape_fn((most[axis] + 1, points.len()), |(n, p)| {
                plan.spans[axis].wavenumber(n) * (points[p].position[axis] - plan.spans[axis].start)
            })
        });
        let cosines = [0, 1].map(|axis: usize| angles[axis].mapv(f64::cos));
        let sines = angles.map(|angles| angles.mapv_into(f64::sin));
        Self { points, spans: plan.spans, cosines, sines }
    }

    /// A value of every point times its length.
    pub fn weighted(&self, value: impl Fn(&RimPoint) -> f64) -> Array1<f64> {
        self.points.iter().map(|point| point.weight * value(point)).collect()
    }

    /// ζ of this axis at every point.
    pub fn zeta(&self, axis: usize) -> Array1<f64> {
        self.points.iter().map(|point| self.spans[axis].zeta(point.position[axis])).collect()
    }

    /// Wavenumbers [rad/m] of this axis.
    pub fn wavenumbers(&self, axis: usize) -> Array1<f64> {
        (0..self.cosines[axis].nrows()).map(|n| self.spans[axis].wavenumber(n)).collect()
    }
}

/// Nodes that integrate waves up to this wavenumber [rad/m] by the rule that needs the fewest: long pieces take many nodes each,
/// polygons of many short sides few.
fn fewest_nodes(region: &Region, wavenumber: f64) -> Vec<RimPoint> {
    let sides = region.rim(f64::INFINITY, 1);
    let perimeter: f64 = sides.iter().map(|point| point.weight).sum();
    let longest = |kappa: f64| 2.0 * kappa / wavenumber;
    let nodes =
        |(count, kappa): (usize, f64)| count as f64 * (sides.len() as f64).max(perimeter / longest(kappa));
    let (count, kappa) =
        (RULES.into_iter()).min_by(|&a, &b| nodes(a).total_cmp(&nodes(b))).unwrap_or(RULES[0]);
    region.rim(longest(kappa), count)
}

/// `Σ weight fₙ gₘ` over the points: (n, m).
pub(super) fn moments(weights: &Array1<f64>, f: &Array2<f64>, g: &Array2<f64>) -> Array2<f64> {
    const CHUNK: usize = 4096; // points at a time, so that the weighted copy stays small
    let mut sum = Array2::zeros((f.nrows(), g.nrows()));
    for start in (0..weights.len()).step_by(CHUNK) {
        let part = start..(start + CHUNK).min(weights.len());
        let weights = weights.slice(s![part.clone()]).insert_axis(Along(0));
        let weighted = &f.slice(s![.., part.clone()]) * &weights;
        sum += &weighted.dot(&g.slice(s![.., part]).t());
    }
    sum
}
