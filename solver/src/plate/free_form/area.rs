//! Integrals of products of cosines over the panel, from its boundary.

use super::rim_waves::{RimWaves, moments};
use ndarray::Array2;

/// `∫ cos(αₙ x) cos(βₘ y) dS` for all n, m up to twice the highest half wave.
///
/// Green's theorem: `(1/α) ∮ sin(αx) cos(βy) n_x ds` or `(1/β) ∮ cos(αx) sin(βy) n_y ds`, whichever divides by the larger.
pub(super) struct AreaTable(Array2<f64>);

/// Four entries of a table at the differences and sums of half waves: the terms of a product of two products of cosines.
#[derive(Clone, Copy)]
pub(super) struct Quartet {
    /// Difference along x, difference along y.
    pub dd: f64,
    /// Sum, difference.
    pub sd: f64,
    /// Difference, sum.
    pub ds: f64,
    /// Sum, sum.
    pub ss: f64,
}

impl Quartet {
    pub fn of(table: &Array2<f64>, p: [usize; 2], q: [usize; 2]) -> Self {
        let (dx, dy) = (p[0].abs_diff(q[0]), p[1].abs_diff(q[1]));
        let (sx, sy) = (p[0] + q[0], p[1] + q[1]);
        Self { dd: table[(dx, dy)], sd: table[(sx, dy)], ds: table[(dx, sy)], ss: table[(sx, sy)] }
    }

    /// cos cos along x, cos cos along y.
    pub fn cosines(self) -> f64 {
        0.25 * (self.dd + self.sd + self.ds + self.ss)
    }

    /// sin sin along x, sin sin along y.
    pub fn sines(self) -> f64 {
        0.25 * (self.dd - self.sd - self.ds + self.ss)
    }

    /// sin sin along x, cos cos along y.
    pub fn sines_along_x(self) -> f64 {
        0.25 * (self.dd - self.sd + self.ds - self.ss)
    }

    /// cos cos along x, sin sin along y.
    pub fn sines_along_y(self) -> f64 {
        0.25 * (self.dd + self.sd - self.ds - self.ss)
    }
}

impl AreaTable {
    pub fn new(waves: &RimWaves) -> Self {
        let [alpha, beta] = [0, 1].map(|axis| waves.wavenumbers(axis));
        let by_x = moments(&waves.weighted(|point| point.normal[0]), &waves.sines[0], &waves.cosines[1]);
        let by_y = moments(&waves.weighted(|point| point.normal[1]), &waves.cosines[0], &waves.sines[1]);
        let mut table = Array2::from_shape_fn(by_x.dim(), |(n, m)| match alpha[n] >= beta[m] {
            true => by_x[(n, m)] / alpha[n],
            false => by_y[(n, m)] / beta[m],
        });
        table[(0, 0)] = waves.weighted(|point| point.normal[0] * point.position[0]).sum();
        Self(table)
    }

    /// Area of the panel [m²].
    pub fn area(&self) -> f64 {
        self.0[(0, 0)]
    }

    /// Integral of one product of cosines.
    pub fn single(&self, p: [usize; 2]) -> f64 {
        self.0[(p[0], p[1])]
    }

    /// Integrals of the product of two products.
    pub fn pair(&self, p: [usize; 2], q: [usize; 2]) -> Quartet {
        Quartet::of(&self.0, p, q)
    }
}
