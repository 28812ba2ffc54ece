//! Integrals of rigid motions over the panel.

use super::area::AreaTable;
use super::plan::Rigid;
use super::rim_waves::{RimWaves, moments};
use super::unknowns::Wave;
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
    /// `∫ sin(αₙ x) cos(βₘ y) dS` and `∫ cos(αₙ x) sin(βₘ y) dS`: (n, m).
    sines: [Array2<f64>; 2],
    /// Slope of ζ along x and y [1/m].
    slopes: [f64; 2],
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
            sines: sines(waves),
            slopes: waves.spans.map(|span| span.slope()),
        }
    }

    /// `∫ θ θ′ dS` of a rigid motion and the turns of a wave, `(sin cos, cos sin)` times the given factors.
    pub fn turned_with_wave(&self, rigid: Rigid, wave: &Wave) -> f64 {
        match rigid {
            Rigid::Shift => 0.0,
            Rigid::Tilt(axis) => {
                let [n, m] = wave.numbers;
                -self.slopes[axis] * wave.turns[axis] * self.sines[axis][(n, m)]
            }
        }
    }

    /// `∫ θ θ′ dS` of two rigid motions.
    pub fn turned_between(&self, a: Rigid, b: Rigid) -> f64 {
        match (a, b) {
            (Rigid::Tilt(a), Rigid::Tilt(b)) if a == b => self.slopes[a].powi(2) * self.area,
            _ => 0.0,
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

/// By Green's theorem: `−(1/α) ∮ cos(αx) cos(βy) n_x ds` or `(1/β) ∮ sin(αx) sin(βy) n_y ds`, whichever divides by the larger, and
/// the same with the axes exchanged.
fn sines(waves: &RimWaves) -> [Array2<f64>; 2] {
    let k = [0, 1].map(|axis| waves.wavenumbers(axis));
    let [nx, ny] = [0, 1].map(|axis| waves.weighted(|point| point.normal[axis]));
    let ([cx, cy], [sx, sy]) = (&waves.cosines, &waves.sines);
    let by = [[moments(&nx, cx, cy), moments(&ny, sx, sy)], [moments(&nx, sx, sy), moments(&ny, cx, cy)]];
    let sign = [[-1.0, 1.0], [1.0, -1.0]];
    [0, 1].map(|axis| {
        Array2::from_shape_fn(by[axis][0].dim(), |(n, m)| {
            let along = usize::from(k[1][m] > k[0][n]);
            let wavenumber = k[along][[n, m][along]];
            // Half waves [0, 0]: one of the factors is the sine of nothing.
            if wavenumber > 0.0 { sign[axis][along] * by[axis][along][(n, m)] / wavenumber } else { 0.0 }
        })
    })
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
