//! Directions all round the driver.

use crate::scene::{Behind, DriverScene};
use nalgebra::Vector3;
use num_complex::Complex64;
use std::f64::consts::{FRAC_PI_2, TAU};

/// Steps of the polar angle in a right angle.
const POLAR: usize = 18;
/// Azimuths all round; a multiple of four, so that mirror images are azimuths, too.
const AZIMUTHS: usize = 24;

/// Directions by polar angle θ from the driver's axis and azimuth φ about it, from the listener's right towards the top.
#[derive(Clone, Debug)]
pub(super) struct Sphere {
    /// Polar angles [rad], ascending from the axis.
    pub polar: Vec<f64>,
    /// Azimuths [rad], ascending from 0, the full turn left out.
    pub azimuth: Vec<f64>,
}

impl Sphere {
    /// All round, or in front of an endless plane.
    pub fn of(scene: &DriverScene) -> Self {
        let steps = if scene.behind == Behind::Plane { POLAR } else { 2 * POLAR };
        Self {
            polar: (0..=steps).map(|i| FRAC_PI_2 * i as f64 / POLAR as f64).collect(),
            azimuth: (0..AZIMUTHS).map(|j| TAU * j as f64 / AZIMUTHS as f64).collect(),
        }
    }

    /// How many directions.
    pub fn count(&self) -> usize {
        self.polar.len() * self.azimuth.len()
    }

    /// Values in all directions, polar angles first; `values` are asked only for unit vectors that mirror planes leave.
    pub fn filled(
        &self,
        mirrored: [bool; 2],
        values: impl Fn(&[Vector3<f64>]) -> Vec<Complex64>,
    ) -> Vec<Complex64> {
        let asked: Vec<usize> = (0..AZIMUTHS).filter(|&j| twin(j, mirrored) == j).collect();
        let towards = |polar: f64, j: usize| {
            let (sin, cos) = polar.sin_cos();
            let (up, right) = self.azimuth[j].sin_cos();
            Vector3::new(sin * right, sin * up, cos)
        };
        let directions: Vec<_> =
            self.polar.iter().flat_map(|&polar| asked.iter().map(move |&j| towards(polar, j))).collect();
        let found = values(&directions);
        let column = |j: usize| asked.partition_point(|&known| known < twin(j, mirrored));
        let row = |i: usize| (0..AZIMUTHS).map(move |j| (i, j));
        (0..self.polar.len()).flat_map(row).map(|(i, j)| found[i * asked.len() + column(j)]).collect()
    }
}

/// The azimuth that symmetry about x = 0 and y = 0 makes of one: at the right or on top where there is a choice.
fn twin(azimuth: usize, [across, upright]: [bool; 2]) -> usize {
    let below = azimuth > AZIMUTHS / 2;
    let azimuth = if upright && below { AZIMUTHS - azimuth } else { azimuth };
    let left = azimuth > AZIMUTHS / 4 && azimuth < 3 * AZIMUTHS / 4;
    if across && left { (3 * AZIMUTHS / 2 - azimuth) % AZIMUTHS } else { azimuth }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn all_round() -> Sphere {
        Sphere {
            polar: (0..=36).map(|i| PI * f64::from(i) / 36.0).collect(),
            azimuth: (0..24).map(|j| TAU * f64::from(j) / 24.0).collect(),
        }
    }

    /// A function of the direction that has the symmetry itself: asked for a quarter, it is right all round.
    #[test]
    fn mirror_images_are_put_where_they_belong() {
        let pattern = |mirrored: [bool; 2]| {
            move |directions: &[Vector3<f64>]| -> Vec<Complex64> {
                let even = |value: f64, mirrored: bool| if mirrored { value.abs() } else { value };
                let of = |d: &Vector3<f64>| {
                    Complex64::new(even(d.x, mirrored[0]) + 0.3 * d.z, even(d.y, mirrored[1]))
                };
                directions.iter().map(of).collect()
            }
        };
        for mirrored in [[false, false], [true, false], [false, true], [true, true]] {
            let sphere = all_round();
            let quick = sphere.filled(mirrored, pattern(mirrored));
            let slow = sphere.filled([false; 2], pattern(mirrored));
            assert!(quick.iter().zip(&slow).all(|(a, b)| (a - b).norm() < 1e-12), "{mirrored:?}");
            assert_eq!(quick.len(), 37 * 24);
        }
    }

    #[test]
    fn symmetry_leaves_a_quarter_to_be_asked() {
        let count = std::cell::Cell::new(0);
        let ask = |directions: &[Vector3<f64>]| {
            count.set(directions.len());
            vec![Complex64::ONE; directions.len()]
        };
        all_round().filled([true, true], ask);
        assert_eq!(count.get(), 37 * 7);
    }
}
