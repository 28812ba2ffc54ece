//! Pressure and its gradient of point sources, in double precision on whole vectors.
//!
//! A point y with normal n′ carries a monopole s and a dipole d along n′:
//!
//! ```text
//! p(x) = Σ s G + d ∂G/∂n′,    ∂G/∂n′ = h (x − y)·n′,    h = (1 + jkr) exp(−jkr)/(4πr³)
//! ∇p  = Σ −s h (x − y) + d [h n′ + f (x − y)·n′ (x − y)],    f = (k²r² − 3jkr − 3) exp(−jkr)/(4πr⁵)
//! ```
//!
//! Points that coincide with x count nothing. Far away in the direction of a unit vector e, `x = r e`:
//!
//! ```text
//! r p exp(jkr) → Σ (s + jk e·n′ d) exp(jk e·y)/(4π)
//! ```

use super::mirrors::Image;
use crate::sincos::cosine_sine;
use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use nalgebra::Vector3;
use num_complex::Complex64;
use std::f64::consts::{PI, TAU};

const LANES: usize = 8;

/// A point source.
#[derive(Clone, Copy, Debug)]
pub(super) struct Source {
    pub position: Vector3<f64>,
    pub normal: Vector3<f64>,
    pub monopole: Complex64,
    pub dipole: Complex64,
}

/// Pressure and gradient at a point.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PointField {
    /// Pressure p [Pa RMS].
    pub pressure: Complex64,
    /// Gradient ∇p [Pa/m RMS].
    pub gradient: [Complex64; 3],
}

impl PointField {
    /// Derivative along a vector.
    pub fn slope(&self, along: Vector3<f64>) -> Complex64 {
        (0..3).map(|c| self.gradient[c] * along[c]).sum()
    }

    /// Sum of two fields.
    pub fn plus(&self, other: &Self) -> Self {
        Self {
            pressure: self.pressure + other.pressure,
            gradient: std::array::from_fn(|c| self.gradient[c] + other.gradient[c]),
        }
    }
}

/// Eight sources, side by side; the monopoles and dipoles contain `1/(4π)`.
struct Eight {
    position: [[f64; LANES]; 3],
    normal: [[f64; LANES]; 3],
    monopole: [[f64; LANES]; 2],
    dipole: [[f64; LANES]; 2],
}

/// Many sources and their images.
pub(super) struct Sources(Vec<Eight>);

impl Sources {
    pub fn new(sources: &[Source], images: &[Image]) -> Self {
        let reflected = |image: &Image| {
            let image = *image;
            sources.iter().map(move |source| Source {
                position: image.of(source.position),
                normal: image.of(source.normal),
                ..*source
            })
        };
        let all: Vec<Source> = images.iter().flat_map(reflected).collect();
        Self(all.chunks(LANES).map(Eight::new).collect())
    }

    /// The field at a point for wavenumber `k` [rad/m].
    pub fn at(&self, point: Vector3<f64>, k: f64) -> PointField {
        let mut sums = [[[0.0; LANES]; 2]; 4];
        add_sources(&self.0, point.into(), k, &mut sums);
        let total = |[re, im]: [[f64; LANES]; 2]| Complex64::new(re.iter().sum(), im.iter().sum());
        let [pressure, x, y, z] = sums.map(total);
        PointField { pressure, gradient: [x, y, z] }
    }

    /// `r p exp(jkr)` far away in a direction (a unit vector), for wavenumber `k` [rad/m].
    pub fn far(&self, direction: Vector3<f64>, k: f64) -> Complex64 {
        let mut sums = [[0.0; LANES]; 2];
        add_far(&self.0, direction.into(), k, &mut sums);
        let [re, im] = sums.map(|lanes| lanes.iter().sum());
        Complex64::new(re, im)
    }
}

impl Eight {
    fn new(sources: &[Source]) -> Self {
        let of = |pick: &dyn Fn(&Source) -> f64, strength: bool| -> [f64; LANES] {
            std::array::from_fn(|lane| match sources.get(lane) {
                Some(source) if strength => pick(source) / (4.0 * PI),
                Some(source) => pick(source),
                None if strength => 0.0,
                None => pick(&sources[0]),
            })
        };
        Self {
            position: [0, 1, 2].map(|c| of(&|s| s.position[c], false)),
            normal: [0, 1, 2].map(|c| of(&|s| s.normal[c], false)),
            monopole: [of(&|s| s.monopole.re, true), of(&|s| s.monopole.im, true)],
            dipole: [of(&|s| s.dipole.re, true), of(&|s| s.dipole.im, true)],
        }
    }
}

#[multiversion(targets = "simd")]
fn add_sources(sources: &[Eight], point: [f64; 3], k: f64, sums: &mut [[[f64; LANES]; 2]; 4]) {
    if target_cfg_f!(target_feature = "fma") {
        add_on_lanes::<true>(sources, point, k, sums);
    } else {
        add_on_lanes::<false>(sources, point, k, sums);
    }
}

#[inline(always)]
fn add_on_lanes<const FMA: bool>(
    sources: &[Eight],
    point: [f64; 3],
    k: f64,
    sums: &mut [[[f64; LANES]; 2]; 4],
) {
    for eight in sources {
        let (mut inverse, mut turns) = ([0.0; LANES], [0.0; LANES]);
        for lane in 0..LANES {
            let [x, y, z] = [0, 1, 2].map(|c| point[c] - eight.position[c][lane]);
            let square = x * x + y * y + z * z;
            let r = square.sqrt();
            inverse[lane] = if square > 0.0 { 1.0 / r } else { 0.0 };
            turns[lane] = k / TAU * r;
        }
        let [cosine, sine] = cosine_sine::<FMA, LANES>(turns);
        for lane in 0..LANES {
            let apart = [0, 1, 2].map(|c| point[c] - eight.position[c][lane]);
            let normal = [0, 1, 2].map(|c| eight.normal[c][lane]);
            let towards = apart[0] * normal[0] + apart[1] * normal[1] + apart[2] * normal[2];
            let (i, kr) = (inverse[lane], turns[lane] * TAU);
            let g = Complex64::new(cosine[lane] * i, -sine[lane] * i);
            let h = g * Complex64::new(1.0, kr) * (i * i);
            let f = g * Complex64::new(kr * kr - 3.0, -3.0 * kr) * (i * i * i * i);
            let monopole = Complex64::new(eight.monopole[0][lane], eight.monopole[1][lane]);
            let dipole = Complex64::new(eight.dipole[0][lane], eight.dipole[1][lane]);
            let radial = dipole * f * towards - monopole * h;
            let along = dipole * h;
            let pressure = monopole * g + along * towards;
            sums[0][0][lane] += pressure.re;
            sums[0][1][lane] += pressure.im;
            for c in 0..3 {
                sums[1 + c][0][lane] += radial.re * apart[c] + along.re * normal[c];
                sums[1 + c][1][lane] += radial.im * apart[c] + along.im * normal[c];
            }
        }
    }
}

#[multiversion(targets = "simd")]
fn add_far(sources: &[Eight], direction: [f64; 3], k: f64, sums: &mut [[f64; LANES]; 2]) {
    if target_cfg_f!(target_feature = "fma") {
        add_far_on_lanes::<true>(sources, direction, k, sums);
    } else {
        add_far_on_lanes::<false>(sources, direction, k, sums);
    }
}

#[inline(always)]
fn add_far_on_lanes<const FMA: bool>(
    sources: &[Eight],
    direction: [f64; 3],
    k: f64,
    sums: &mut [[f64; LANES]; 2],
) {
    let along = |vector: &[[f64; LANES]; 3], lane: usize| -> f64 {
        direction[0] * vector[0][lane] + direction[1] * vector[1][lane] + direction[2] * vector[2][lane]
    };
    for eight in sources {
        let turns = std::array::from_fn(|lane| k / TAU * along(&eight.position, lane));
        let [cosine, sine] = cosine_sine::<FMA, LANES>(turns);
        for lane in 0..LANES {
            let slope = k * along(&eight.normal, lane);
            let re = eight.monopole[0][lane] - slope * eight.dipole[1][lane];
            let im = eight.monopole[1][lane] + slope * eight.dipole[0][lane];
            sums[0][lane] += re * cosine[lane] - im * sine[lane];
            sums[1][lane] += re * sine[lane] + im * cosine[lane];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source() -> Source {
        Source {
            position: Vector3::new(0.1, 0.2, -0.3),
            normal: Vector3::new(0.6, 0.0, 0.8),
            monopole: Complex64::new(1.0, 2.0),
            dipole: Complex64::new(-0.5, 0.3),
        }
    }

    #[test]
    fn the_gradient_is_the_pressures() {
        let sources = Sources::new(
            &[source()],
            &[super::super::mirrors::Mirrors([true, false, true]).images()].concat(),
        );
        let (point, step, k) = (Vector3::new(0.9, -0.4, 0.5), 1e-5, 7.0);
        let field = sources.at(point, k);
        for c in 0..3 {
            let mut along = Vector3::zeros();
            along[c] = step;
            let [ahead, behind] = [1.0, -1.0].map(|sign| sources.at(point + sign * along, k).pressure);
            assert!(((ahead - behind) / (2.0 * step) - field.gradient[c]).norm() < 1e-8);
        }
    }

    #[test]
    fn far_away_is_the_limit_of_the_field() {
        let sources = Sources::new(&[source()], &super::super::mirrors::Mirrors::NONE.images());
        let (direction, r, k) = (Vector3::new(0.48, -0.6, 0.64), 1e5, 7.0);
        let near = sources.at(r * direction, k).pressure * r * Complex64::cis(k * r);
        assert!((near - sources.far(direction, k)).norm() < 2e-5 * near.norm());
    }

    #[test]
    fn a_dipole_is_two_monopoles() {
        let (point, step, k) = (Vector3::new(0.9, -0.4, 0.5), 1e-4, 7.0);
        let dipole = Source { monopole: Complex64::ZERO, dipole: Complex64::ONE, ..source() };
        let moved = |sign: f64| Source {
            position: source().position + sign * step * source().normal,
            monopole: (sign / (2.0 * step)).into(),
            dipole: Complex64::ZERO,
            ..source()
        };
        let image = super::super::mirrors::Mirrors::NONE.images();
        let pair = Sources::new(&[moved(1.0), moved(-1.0)], &image).at(point, k);
        let field = Sources::new(&[dipole], &image).at(point, k);
        assert!((pair.pressure - field.pressure).norm() < 1e-7);
    }
}
