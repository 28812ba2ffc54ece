//! Pressure in front of a baffled surface, in double precision.
//!
//! Velocity form of the Rayleigh integral, `exp(+jωt)`:
//!
//! `p(r) = jωρ/(2π) ∫ v(s) exp(−jkR)/R dS`, `R = |r − s|`
//!
//! (Lord Rayleigh, The Theory of Sound, vol. II, § 278; A. D. Pierce, Acoustics, 1989, § 5-2). Valid for a flat surface in an
//! infinite rigid baffle, on the side it faces. Quadrature turns the integral into a sum over point sources; how many are
//! needed is the business of [`lattice_for`](super::lattice_for).

use super::point_sources::{LANES, PointSources};
use super::{SurfaceVelocity, attenuation};
use crate::air::Air;
use crate::sincos::cosine_sine;
use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use num_complex::Complex64;
use rayon::prelude::*;

/// Pressure [Pa RMS] of `surface` at `receivers` [m] in moist air.
///
/// Absorption multiplies by `exp(−αR₀)` with R₀ from the middle of the surface: over the few tenths of a metre by which R
/// differs from R₀, α (0.03 Np/m at 20 kHz) changes the weights by less than 0.1 dB.
pub fn pressure(surface: &SurfaceVelocity<'_>, receivers: &[[f64; 3]], air: &Air) -> Vec<Complex64> {
    let sources = PointSources::from(surface);
    let mut pressure = rayleigh_integral(&sources, surface.frequency, receivers, air);
    let absorption = air.absorption(surface.frequency);
    for (value, &receiver) in pressure.iter_mut().zip(receivers) {
        *value *= attenuation(sources.centre, receiver, absorption);
    }
    pressure
}

/// The Rayleigh integral over `sources` at `frequency` [Hz]: pressure [Pa RMS] at `receivers` [m] in air without absorption.
/// A receiver exactly on a source gets an infinite value.
pub fn rayleigh_integral(
    sources: &PointSources,
    frequency: f64,
    receivers: &[[f64; 3]],
    air: &Air,
) -> Vec<Complex64> {
    let turns_per_metre = frequency / air.sound_speed;
    let factor = Complex64::i() * frequency * air.density;
    receivers
        .par_iter()
        .map(|&receiver| {
            let [re, im] = potential(sources, receiver, turns_per_metre);
            factor * Complex64::new(re, im)
        })
        .collect()
}

/// `Σ Q exp(−jkR)/R`, real and imaginary part.
#[multiversion(targets = "simd")]
fn potential(sources: &PointSources, receiver: [f64; 3], turns_per_metre: f64) -> [f64; 2] {
    if target_cfg_f!(target_feature = "fma") {
        potential_lanes::<true>(sources, receiver, turns_per_metre)
    } else {
        potential_lanes::<false>(sources, receiver, turns_per_metre)
    }
}

#[inline(always)]
fn potential_lanes<const FMA: bool>(
    sources: &PointSources,
    [x, y, z]: [f64; 3],
    turns_per_metre: f64,
) -> [f64; 2] {
    let fused = |a: f64, b: f64, c: f64| if FMA { a.mul_add(b, c) } else { a * b + c };
    let (mut re, mut im) = ([0.0; LANES], [0.0; LANES]);
    let positions = sources.x.chunks_exact(LANES).zip(sources.y.chunks_exact(LANES));
    let strengths = sources.re.chunks_exact(LANES).zip(sources.im.chunks_exact(LANES));
    for ((sx, sy), (qr, qi)) in positions.zip(strengths) {
        let (mut inverse, mut turns) = ([0.0; LANES], [0.0; LANES]);
        for lane in 0..LANES {
            let (dx, dy) = (x - sx[lane], y - sy[lane]);
            let distance = fused(dx, dx, fused(dy, dy, z * z)).sqrt();
            inverse[lane] = 1.0 / distance;
            turns[lane] = distance * turns_per_metre;
        }
        let [cosine, sine] = cosine_sine::<FMA, LANES>(turns);
        for lane in 0..LANES {
            let (c, s) = (cosine[lane] * inverse[lane], sine[lane] * inverse[lane]);
            re[lane] = fused(qr[lane], c, fused(qi[lane], s, re[lane]));
            im[lane] = fused(qi[lane], c, fused(-qr[lane], s, im[lane]));
        }
    }
    [re.iter().sum(), im.iter().sum()]
}
