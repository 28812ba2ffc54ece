//! Radiated power, from the surface and from the field far away.

use super::mirrors::Mirrors;
use super::surface_field::SurfaceField;
use super::triangle_rule::{TriangleRule, gauss};
use nalgebra::Vector3;
use num_complex::Complex64;
use std::f64::consts::{PI, TAU};

/// Rings of directions beyond kR, where R is the radius of the body: the far field has hardly any higher spherical harmonics.
const MORE_RINGS: usize = 12;

/// Directions over a sphere, with the solid angles that they stand for.
#[derive(Clone, Debug, PartialEq)]
pub struct Directions {
    /// Unit vectors.
    pub towards: Vec<Vector3<f64>>,
    /// Solid angles [sr].
    pub solid_angles: Vec<f64>,
}

impl Directions {
    /// All round, for the power of what fits into a ball of this kR: Gauss's rule over the height, evenly round. They are symmetric to the planes
    /// of coordinates, and none lies in one.
    pub fn all_round(kr: f64) -> Self {
        let rings = (kr as usize + MORE_RINGS).next_multiple_of(2);
        let round = 2 * rings;
        let (mut towards, mut solid_angles) = (vec![], vec![]);
        for (height, weight) in gauss(rings) {
            let z = 2.0 * height - 1.0;
            for i in 0..round {
                let (sin, cos) = (TAU * (i as f64 + 0.5) / round as f64).sin_cos();
                let across = (1.0 - z * z).sqrt();
                towards.push(Vector3::new(across * cos, across * sin, z));
                solid_angles.push(4.0 * PI * weight / round as f64);
            }
        }
        Self { towards, solid_angles }
    }

    /// Those on the positive side of mirror planes; each stands for its images, too, where as much arrives.
    pub fn folded(self, mirrors: Mirrors) -> Self {
        let planes: Vec<usize> = (0..3).filter(|&along| mirrors.0[along]).collect();
        let images = f64::from(1 << planes.len());
        let all = self.towards.into_iter().zip(self.solid_angles);
        let own = all.filter(|(towards, _)| planes.iter().all(|&along| towards[along] > 0.0));
        let (towards, solid_angles) = own.map(|(towards, angle)| (towards, images * angle)).unzip();
        Self { towards, solid_angles }
    }

    /// Those with z > 0: before an endless plane there are no others.
    pub fn before_plane(self) -> Self {
        let all = self.towards.into_iter().zip(self.solid_angles);
        let (towards, solid_angles) = all.filter(|(towards, _)| towards.z > 0.0).unzip();
        Self { towards, solid_angles }
    }
}

impl SurfaceField<'_> {
    /// Power [W] that the surface gives to the air, `Re ∫ p v* dS` over the whole body, images included. Absorbing parts count negative. A small
    /// body's surface takes back nearly all that it gives: the rounding of the operators, 1e-5 of the pressure, leaves an error of about 1e-5/ka;
    /// [`far_power`](Self::far_power) has none.
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
        let reach = self.wave.k * self.body.radius();
        let Directions { towards, solid_angles } =
            Directions::all_round(reach).folded(Mirrors::of(&self.body.images));
        let impedance = self.inertia.im / self.wave.k;
        self.far(&towards).iter().zip(solid_angles).map(|(p, angle)| angle * p.norm_sqr() / impedance).sum()
    }

    /// Pressures [Pa RMS] on the elements of a patch, with the areas [m²] that they stand for; images are left out. Sums over them integrate squares
    /// of the pressure exactly on plane elements.
    pub fn samples_on(&self, patch: u16) -> Vec<(Complex64, f64)> {
        let rule = TriangleRule::six();
        let own = (0..self.body.len()).filter(|&element| self.body.patches[element] == patch);
        own.flat_map(|element| {
            let points = self.body.quadrature[element].iter().zip(&rule.places);
            points
                .map(move |(point, &place)| (self.on_element(element, place)[0], point.weight))
                .collect::<Vec<_>>()
        })
        .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A plane wave's phase has every spherical harmonic: `∫ cos²(kR d·e) dΩ = 2π (1 + sin(2kR)/(2kR))`.
    #[test]
    fn directions_integrate_what_a_body_of_their_reach_radiates() {
        for kr in [0.0, 0.3, 5.0, 40.0f64] {
            let exact = if kr > 0.0 { TAU * (1.0 + (2.0 * kr).sin() / (2.0 * kr)) } else { 2.0 * TAU };
            for mirrors in [Mirrors::NONE, Mirrors([true, false, false]), Mirrors([true; 3])] {
                let directions = Directions::all_round(kr).folded(mirrors);
                for along in [Vector3::x(), Vector3::y(), Vector3::z()] {
                    let square = |d: &Vector3<f64>| (kr * d.dot(&along)).cos().powi(2);
                    let all = directions.towards.iter().zip(&directions.solid_angles);
                    let sum: f64 = all.map(|(d, angle)| angle * square(d)).sum();
                    assert!(
                        (sum / exact - 1.0).abs() < 1e-6,
                        "{kr} {mirrors:?} {along:?}: {sum} for {exact}"
                    );
                }
            }
        }
        let [all, folded] = [Mirrors::NONE, Mirrors([true; 3])]
            .map(|mirrors| Directions::all_round(5.0).folded(mirrors).towards.len());
        assert_eq!(all, 8 * folded);
        let half: f64 = Directions::all_round(5.0).before_plane().solid_angles.iter().sum();
        assert!((half / TAU - 1.0).abs() < 1e-12);
    }
}
