//! Sound that arrives at a body from elsewhere.

use super::mirrors::{Image, Mirrors};
use super::potentials::{PointField, Source, Sources};
use nalgebra::Vector3;
use num_complex::Complex64;
use std::f64::consts::PI;

/// The field that would be there without the body, at one wavenumber `k` [rad/m]. `exp(+jωt)`.
pub trait IncidentField: Sync {
    /// Pressure [Pa RMS] and gradient [Pa/m RMS] at a point [m].
    fn at(&self, point: Vector3<f64>, k: f64) -> PointField;
}

/// `p = A exp(−jk d·x)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaneWave {
    /// A [Pa RMS], at the origin.
    pub amplitude: Complex64,
    /// Unit vector d that the wave travels along.
    pub direction: Vector3<f64>,
}

/// `p = A exp(−jkr)/r`; a volume velocity Q has `A = jωρQ/(4π)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PointSource {
    /// A [Pa m RMS].
    pub amplitude: Complex64,
    /// Where it is [m].
    pub position: Vector3<f64>,
}

impl PointSource {
    /// The source of volume velocity `flow` [m³/s RMS] at angular frequency `omega` [rad/s] in air of `density` [kg/m³].
    pub fn of_flow(flow: Complex64, position: Vector3<f64>, omega: f64, density: f64) -> Self {
        Self { amplitude: Complex64::new(0.0, omega * density / (4.0 * PI)) * flow, position }
    }
}

/// Many dipoles along one direction, `p = Σ d ∂G/∂n′`.
pub struct ParallelDipoles(Sources);

impl ParallelDipoles {
    /// Dipoles at places [m] with strengths d [N RMS] along the unit vector `normal`.
    pub fn new(dipoles: impl Iterator<Item = (Vector3<f64>, Complex64)>, normal: Vector3<f64>) -> Self {
        let dipole = |(position, dipole)| Source { position, normal, monopole: Complex64::ZERO, dipole };
        Self(Sources::new(&dipoles.map(dipole).collect::<Vec<_>>(), &Mirrors::NONE.images()))
    }
}

impl IncidentField for ParallelDipoles {
    fn at(&self, point: Vector3<f64>, k: f64) -> PointField {
        self.0.at(point, k)
    }
}

impl IncidentField for PlaneWave {
    fn at(&self, point: Vector3<f64>, k: f64) -> PointField {
        let pressure = self.amplitude * Complex64::cis(-k * self.direction.dot(&point));
        let slope = Complex64::new(0.0, -k) * pressure;
        PointField { pressure, gradient: std::array::from_fn(|c| slope * self.direction[c]) }
    }
}

impl IncidentField for PointSource {
    fn at(&self, point: Vector3<f64>, k: f64) -> PointField {
        let apart = point - self.position;
        let r = apart.norm();
        let pressure = self.amplitude * Complex64::cis(-k * r) / r;
        let slope = -pressure * Complex64::new(1.0 / r, k) / r;
        PointField { pressure, gradient: std::array::from_fn(|c| slope * apart[c]) }
    }
}

/// The field with what the mirror planes throw back: that at all images of the point, reflected.
pub(super) fn with_images(
    incident: &[Box<dyn IncidentField>],
    images: &[Image],
    point: Vector3<f64>,
    k: f64,
) -> PointField {
    let mut sum = PointField::default();
    for image in images {
        let signs = image.of(Vector3::repeat(1.0));
        for field in incident {
            let mut there = field.at(image.of(point), k);
            (0..3).for_each(|c| there.gradient[c] *= signs[c]);
            sum = sum.plus(&there);
        }
    }
    sum
}
