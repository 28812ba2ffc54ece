//! The two operators between two elements, in double precision.
//!
//! ```text
//! pressure:  −K − αD,   velocity:  S + αK′,   α = −jκ
//! ```
//!
//! (see [the module](super)); the terms without integral, ½ and α/2 times the mass, belong to an element and itself.

use super::blocks::{Blocks, Point, Square, add_scaled};
use super::body::{Body, Partner};
use super::wave::Wave;
use num_complex::Complex64;
use std::f64::consts::PI;

/// What the pressure and the normal derivative on one element do to the tests on another.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct PairOperators {
    pub pressure: Square<Complex64>,
    pub velocity: Square<Complex64>,
}

/// A kernel at distance r: its value g, and `−(dg/dr)/r`.
type Kernel = fn(&Wave, f64) -> [Complex64; 2];

impl PairOperators {
    /// A near pair, to the accuracy of the moments.
    pub fn near(body: &Body, tested: usize, partner: &Partner, wave: &Wave) -> Self {
        let mut sum = Self::plain(body, tested, partner, wave, Wave::remainder);
        let moments = body.near[partner.pair].moments;
        // An image of the tested element from the source is, reflected, the source's image from the tested element.
        let moments = if partner.exchanged { moments.map(|m| m.transposed()) } else { moments };
        let factors = [1.0 / (4.0 * PI), -wave.k * wave.k / (8.0 * PI)];
        for (blocks, factor) in moments.iter().zip(factors) {
            sum.add_static(blocks, factor, wave);
        }
        if partner.element == tested && body.images[partner.image].is_original() {
            let mass = mass(&body.quadrature[tested]);
            add_scaled(&mut sum.pressure, 0.5.into(), &mass);
            add_scaled(&mut sum.velocity, 0.5 * wave.alpha(), &mass);
        }
        sum
    }

    fn add_static(&mut self, blocks: &Blocks<f64>, factor: f64, wave: &Wave) {
        let alpha = factor * wave.alpha();
        add_scaled(&mut self.pressure, (-factor).into(), &blocks.source_slope);
        add_scaled(&mut self.pressure, alpha, &blocks.curls);
        add_scaled(&mut self.pressure, -wave.k * wave.k * alpha, &blocks.normals);
        add_scaled(&mut self.velocity, factor.into(), &blocks.layer);
        add_scaled(&mut self.velocity, alpha, &blocks.tested_slope);
    }

    /// The plain sum over the quadrature points of both elements.
    pub fn plain(body: &Body, tested: usize, partner: &Partner, wave: &Wave, kernel: Kernel) -> Self {
        let image = body.images[partner.image];
        let mut sum = Self::default();
        for y in &body.quadrature[partner.element] {
            sum.add_source(&body.quadrature[tested], &image.of_point(y), wave, kernel);
        }
        sum
    }

    fn add_source(&mut self, tested: &[Point], y: &Point, wave: &Wave, kernel: Kernel) {
        let mut pressure = [Complex64::ZERO; 6];
        let mut velocity = [Complex64::ZERO; 6];
        let mut curls = [[Complex64::ZERO; 3]; 6];
        for x in tested {
            let apart = x.position - y.position;
            let [g, slope] = kernel(wave, apart.norm());
            let normals = wave.k * wave.k * x.area.dot(&y.area);
            let doublet = -slope * (x.weight * apart.dot(&y.area)) - wave.alpha() * normals * g;
            let layer = y.weight * (x.weight * g - wave.alpha() * slope * apart.dot(&x.area));
            let bent = wave.alpha() * g;
            for i in 0..6 {
                pressure[i] += x.values[i] * doublet;
                velocity[i] += x.values[i] * layer;
                (0..3).for_each(|along| curls[i][along] += x.curls[i][along] * bent);
            }
        }
        for i in 0..6 {
            for j in 0..6 {
                let along: Complex64 = (0..3).map(|c| curls[i][c] * y.curls[j][c]).sum();
                self.pressure[i][j] += pressure[i] * y.values[j] + along;
                self.velocity[i][j] += velocity[i] * y.values[j];
            }
        }
    }
}

/// `∫ φ_i φ_j` of one element.
pub(super) fn mass(points: &[Point]) -> Square<f64> {
    let entry = |i: usize, j: usize| points.iter().map(|p| p.weight * p.values[i] * p.values[j]).sum();
    std::array::from_fn(|i| std::array::from_fn(|j| entry(i, j)))
}
