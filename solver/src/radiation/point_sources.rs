//! A vibrating surface as a set of point sources in the baffle.

use super::SurfaceVelocity;
use num_complex::Complex64;

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
