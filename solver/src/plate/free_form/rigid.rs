//! Integrals of rigid motions over the panel.

use super::area::AreaTable;
use super::plan::Rigid;
use super::rim_waves::{RimWaves, moments};
use ndarray::{Array2, Axis as Along};

/// Overlaps of tilts with products of cosines and among each other.
pub(super) struct RigidTables {
    /// `∫ ζ cos(αₙ x) cos(βₘ y) dS` with ζ of the axis x, y: (n, m).
    tilted: [Array2<f64>; 2],
    /// `∫ ζₓ`, `∫ ζ_y` [m²].
    first: [f64; 2],
    /// `∫ ζₓ²`, `∫ ζ_y²` [m²].
    second: [f64; 2],
    /// `∫ ζₓ ζ_y` [m²].
    mixed: f64,
    area: f64,
}

impl RigidTables {
    /// By Green's theorem with the antiderivatives along the tilted axis (h half the length of the box):
    /// `ζ sin(αx)/α + cos(αx)/(h α²)` of `ζ cos(αx)`, `h ζ²/2` of ζ and `h ζ³/3` of ζ².
    pub fn new(waves: &RimWaves, area: f64) -> Self {
        let zeta = [waves.zeta(0), waves.zeta(1)];
        let half = waves.spans.map(|span| 0.5 * span.length);
        let normal = [0, 1].map(|axis| waves.weighted(|point| point.normal[axis]));
        let power =
            |axis: usize, n: i32| half[axis] * (&normal[axis] * &zeta[axis].mapv(|z| z.powi(n))).sum();
        Self {
            tilted: [0, 1].map(|axis| tilted(waves, axis)),
            first: [0, 1].map(|axis| power(axis, 2) / 2.0),
            second: [0, 1].map(|axis| power(axis, 3) / 3.0),
            mixed: 0.5 * half[0] * (&normal[0] * &zeta[0] * &zeta[0] * &zeta[1]).sum(),
            area,
        }
    }

    /// `∫ ρ φ dS` of a rigid motion and a product of cosines.
    pub fn with_wave(&self, area: &AreaTable, rigid: Rigid, wave: [usize; 2]) -> f64 {
        match rigid {
            Rigid::Shift => area.single(wave),
            Rigid::Tilt(axis) => self.tilted[axis][(wave[0], wave[1])],
        }
    }

    /// `∫ ρ ρ′ dS`.
    pub fn between(&self, a: Rigid, b: Rigid) -> f64 {
        match (a, b) {
            (Rigid::Shift, Rigid::Shift) => self.area,
            (Rigid::Shift, Rigid::Tilt(axis)) | (Rigid::Tilt(axis), Rigid::Shift) => self.first[axis],
            (Rigid::Tilt(a), Rigid::Tilt(b)) if a == b => self.second[a],
            _ => self.mixed,
        }
    }
}

fn tilted(waves: &RimWaves, axis: usize) -> Array2<f64> {
    let (zeta, k) = (waves.zeta(axis), waves.wavenumbers(axis));
    let half = 0.5 * waves.spans[axis].length;
    let mut along = Array2::zeros(waves.cosines[axis].dim());
    for (n, mut row) in along.axis_iter_mut(Along(0)).enumerate() {
        for (p, value) in row.iter_mut().enumerate() {
            let (sin, cos) = (waves.sines[axis][(n, p)], waves.cosines[axis][(n, p)]);
            *value = match n {
                0 => 0.5 * half * zeta[p] * zeta[p],
                _ => zeta[p] * sin / k[n] + cos / (half * k[n] * k[n]),
            };
        }
    }
    let weights = waves.weighted(|point| point.normal[axis]);
    match axis {
        0 => moments(&weights, &along, &waves.cosines[1]),
        _ => moments(&weights, &waves.cosines[0], &along),
    }
}
