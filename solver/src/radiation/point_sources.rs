//! A vibrating surface as a set of point sources in the baffle.

use super::SurfaceVelocity;
use crate::air::Air;
use num_complex::Complex64;
use std::f64::consts::PI;

/// Lanes of the double-precision kernels; sources are padded with silent ones to a multiple of it.
pub(super) const LANES: usize = 8;

/// Point sources in the plane z = 0, structure of arrays: positions [m] and volume velocities Q = v ΔS [m³/s RMS].
///
/// This is what a quadrature rule makes of a surface, whatever its shape.
#[derive(Clone, Debug, Default)]
pub struct PointSources {
    pub(super) x: Vec<f64>,
    pub(super) y: Vec<f64>,
    pub(super) re: Vec<f64>,
    pub(super) im: Vec<f64>,
    /// Middle of the bounding box [m].
    pub(super) centre: [f64; 2],
}

impl PointSources {
    /// Sources at `points` [m] with volume velocities `strengths` [m³/s RMS]; surplus entries of the longer one are ignored.
    pub fn new(
        points: impl IntoIterator<Item = [f64; 2]>,
        strengths: impl IntoIterator<Item = Complex64>,
    ) -> Self {
        let mut sources = Self::default();
        for ([x, y], strength) in points.into_iter().zip(strengths) {
            sources.x.push(x);
            sources.y.push(y);
            sources.re.push(strength.re);
            sources.im.push(strength.im);
        }
        sources.centre = [middle(&sources.x), middle(&sources.y)];
        sources.pad();
        sources
    }

    /// Sound power [W] that these sources and `others` in the same baffle give off on top of what each set does alone:
    /// `ρck²/π Σ Re(Q Q'*) sin(kr)/kr`, negative where they work against each other (A. D. Pierce, Acoustics, 1989, § 4-4, for two sources in the
    /// open; a baffle doubles it).
    pub fn mutual_power(&self, others: &Self, frequency: f64, air: &Air) -> f64 {
        let k = air.wavenumber(frequency);
        let pair = |([x, y], q): ([f64; 2], Complex64), ([u, v], other): ([f64; 2], Complex64)| {
            let phase = k * (x - u).hypot(y - v);
            let together = if phase > 1e-6 { phase.sin() / phase } else { 1.0 };
            (q * other.conj()).re * together
        };
        let sounding = self.iter().filter(|(_, q)| *q != Complex64::ZERO);
        let sum: f64 = sounding.map(|one| others.iter().map(|other| pair(one, other)).sum::<f64>()).sum();
        air.impedance() * k * k / PI * sum
    }

    /// Positions [m] and volume velocities [m³/s RMS]; silent sources may follow the given ones.
    pub fn iter(&self) -> impl Iterator<Item = ([f64; 2], Complex64)> + '_ {
        (0..self.x.len()).map(|i| ([self.x[i], self.y[i]], Complex64::new(self.re[i], self.im[i])))
    }

    /// Adds silent sources up to a whole number of lanes.
    fn pad(&mut self) {
        let padded = self.x.len().next_multiple_of(LANES);
        let last = |v: &[f64]| v.last().copied().unwrap_or(0.0);
        let (x, y) = (last(&self.x), last(&self.y));
        self.x.resize(padded, x);
        self.y.resize(padded, y);
        self.re.resize(padded, 0.0);
        self.im.resize(padded, 0.0);
    }
}

impl From<&SurfaceVelocity<'_>> for PointSources {
    fn from(surface: &SurfaceVelocity<'_>) -> Self {
        let lattice = surface.lattice;
        let weights =
            lattice.x.weights.iter().flat_map(|&wx| lattice.y.weights.iter().map(move |&wy| wx * wy));
        let shared = surface.shared();
        Self::new(lattice.points(), shared.iter().zip(weights).map(|(v, w)| v * w))
    }
}

/// Middle between the smallest and the largest value; 0 for none.
pub(super) fn middle(values: &[f64]) -> f64 {
    let ends = values.iter().fold(None, |ends, &v| match ends {
        None => Some((v, v)),
        Some((low, high)) => Some((v.min(low), v.max(high))),
    });
    ends.map_or(0.0, |(low, high)| 0.5 * (low + high))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_sources_side_by_side_give_four_times_the_power_of_one_or_none() {
        let air = Air::new(293.15, 0.5, 101_325.0);
        let source = |x: f64, q: f64| PointSources::new([[x, 0.0]], [Complex64::from(q)]);
        let (frequency, q) = (100.0, 1e-3);
        let k = air.wavenumber(frequency);
        let alone = air.impedance() * k * k / (2.0 * PI) * q * q;
        let together = |x: f64, other: f64| {
            2.0 * alone + source(0.0, q).mutual_power(&source(x, other), frequency, &air)
        };
        approx::assert_relative_eq!(together(0.0, q), 4.0 * alone, max_relative = 1e-12);
        assert!(together(0.0, -q).abs() < 1e-12 * alone, "a doublet of no size is silent");
        // Half a wavelength apart they do not meet; sin(kr)/kr = −2/3π three quarters apart.
        approx::assert_relative_eq!(together(PI / k, q), 2.0 * alone, max_relative = 1e-12);
        let expected = 2.0 * alone * (1.0 - 2.0 / (3.0 * PI));
        approx::assert_relative_eq!(together(1.5 * PI / k, q), expected, max_relative = 1e-12);
    }
}
