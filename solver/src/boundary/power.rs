//! Radiated power, from the surface and from the field far away.

use super::surface_field::SurfaceField;
use super::triangle_rule::{TriangleRule, gauss};
use nalgebra::Vector3;
use std::f64::consts::{PI, TAU};

/// Rings of directions beyond kR, where R is the radius of the body: the far field has hardly any higher spherical harmonics.
const MORE_RINGS: usize = 8;

impl SurfaceField<'_> {
    /// Power [W] that the surface gives to the air, `Re ∫ p v* dS` over the whole body, images included. Absorbing parts count negative.
    pub fn power(&self) -> f64 {
        let rule = TriangleRule::six();
        let element = |index: usize| -> f64 {
            let at = |(point, &place): (&super::blocks::Point, &super::element::Place)| {
                let [pressure, slope] = self.on_element(index, place);
                point.weight * (pressure * (-slope / self.inertia).conj()).re
            };
            self.body.quadrature[index].iter().zip(&rule.places).map(at).sum()
        };
        self.body.images.len() as f64 * (0..self.body.len()).map(element).sum::<f64>()
    }

    /// Power [W] that arrives far away, `∫ |rp|² dΩ/(ρc)` over all directions; without an incident field it is [`power`](Self::power).
    pub fn far_power(&self) -> f64 {
        let rings = (self.wave.k * self.body.radius()) as usize + MORE_RINGS;
        let round = 2 * rings;
        let mut directions = vec![];
        let mut weights = vec![];
        for (height, weight) in gauss(rings) {
            let z = 2.0 * height - 1.0;
            for i in 0..round {
                let (sin, cos) = (TAU * i as f64 / round as f64).sin_cos();
                let across = (1.0 - z * z).sqrt();
                directions.push(Vector3::new(across * cos, across * sin, z));
                weights.push(4.0 * PI * weight / round as f64);
            }
        }
        let impedance = self.inertia.im / self.wave.k;
        self.far(&directions).iter().zip(weights).map(|(p, weight)| weight * p.norm_sqr() / impedance).sum()
    }
}
