//! From modes to receivers: linear, and independent of what drives the panel.

use super::point_sources::LANES;
use super::{PointSources, attenuation};
use crate::air::Air;
use crate::plate::Modes;
use crate::scene::Panel;
use crate::sincos::cosine_sine;
use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use ndarray::{Array2, Array3, ArrayView2};
use num_complex::Complex64;
use panelwright_mesh::Lattice;
use rayon::prelude::*;

/// Pressure at receivers per modal velocity.
///
/// `H(f, r, n) = jωρ/(2π) exp(−αR₀) ∫ φ_n exp(−jkR)/R dS`, so that `p = Σ_n H q̇_n`. Computed once for a panel and its seats,
/// it turns any drive into pressure by one matrix product.
#[derive(Clone, Debug)]
pub struct Transfer {
    /// (frequencies, receivers, modes) [Pa / (kg^½ m/s)].
    pub values: Array3<Complex64>,
}

impl Transfer {
    /// Transfers from the `count` lowest `modes` of `panel` to `receivers` [m], the panel sampled on `lattice`, which must be fine enough for all
    /// the `frequencies` [Hz], modes and receivers.
    pub fn on(
        lattice: &Lattice,
        (modes, count): (&Modes, usize),
        panel: &Panel,
        receivers: &[[f64; 3]],
        frequencies: &[f64],
        air: &Air,
    ) -> Self {
        let (nx, ny) = lattice.shape();
        let mut fields = Array3::zeros((frequencies.len() * receivers.len(), nx, ny));
        let pairs: Vec<_> =
            frequencies.iter().flat_map(|f| receivers.iter().map(move |r| (*f, *r))).collect();
        let sources = PointSources::new(lattice.points(), lattice.weights().map(Complex64::from));
        fields.outer_iter_mut().into_par_iter().zip(pairs).for_each(|(mut field, (frequency, receiver))| {
            let loss = attenuation(panel.outline.centre(), receiver, air.absorption(frequency));
            let strength = Complex64::i() * frequency * air.density * loss;
            let field = field.as_slice_mut().expect("a fresh array is contiguous");
            sources_heard(&sources, receiver, frequency / air.sound_speed, field);
            field.iter_mut().for_each(|value| *value *= strength);
        });
        let shape = (frequencies.len(), receivers.len(), count);
        let projected = modes.project_lowest(&fields, lattice, count);
        Self { values: projected.into_shape_with_order(shape).expect("one row per frequency and receiver") }
    }

    /// Pressure [Pa RMS] (frequencies, receivers) for modal velocities (frequencies, modes) [kg^½ m/s].
    pub fn pressure(&self, modal_velocity: ArrayView2<'_, Complex64>) -> Array2<Complex64> {
        let (frequencies, receivers, _) = self.values.dim();
        let mut pressure = Array2::zeros((frequencies, receivers));
        let rows = pressure.outer_iter_mut().zip(self.values.outer_iter()).zip(modal_velocity.outer_iter());
        for ((mut row, transfer), velocity) in rows {
            row.assign(&transfer.dot(&velocity));
        }
        pressure
    }
}

/// `Q exp(−jkR)/R` of every source by itself, Q real; the wavenumber in turns per metre.
#[multiversion(targets = "simd")]
fn sources_heard(sources: &PointSources, receiver: [f64; 3], turns_per_metre: f64, values: &mut [Complex64]) {
    if target_cfg_f!(target_feature = "fma") {
        sources_heard_lanes::<true>(sources, receiver, turns_per_metre, values);
    } else {
        sources_heard_lanes::<false>(sources, receiver, turns_per_metre, values);
    }
}

#[inline(always)]
fn sources_heard_lanes<const FMA: bool>(
    sources: &PointSources,
    [rx, ry, rz]: [f64; 3],
    turns_per_metre: f64,
    values: &mut [Complex64],
) {
    let positions = sources.x.chunks_exact(LANES).zip(sources.y.chunks_exact(LANES));
    let strengths = sources.re.chunks_exact(LANES);
    for ((values, (x, y)), strength) in values.chunks_mut(LANES).zip(positions).zip(strengths) {
        let (mut amplitude, mut turns) = ([0.0; LANES], [0.0; LANES]);
        for lane in 0..LANES {
            let (dx, dy) = (rx - x[lane], ry - y[lane]);
            let distance = (dx * dx + dy * dy + rz * rz).sqrt();
            amplitude[lane] = strength[lane] / distance;
            turns[lane] = turns_per_metre * distance;
        }
        let [cosine, sine] = cosine_sine::<FMA, LANES>(turns);
        for (lane, value) in values.iter_mut().enumerate() {
            *value = Complex64::new(amplitude[lane] * cosine[lane], -amplitude[lane] * sine[lane]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{SurfaceVelocity, lattice_for, pressure};
    use super::*;
    use crate::scene::{Back, EdgeCondition, Edges, LossCurve, PlateSection};
    use panelwright_mesh::Outline;
    use std::f64::consts::FRAC_PI_2;

    fn panel() -> Panel {
        Panel {
            outline: Outline::Rectangle { width: 0.76, height: 0.52 },
            section: PlateSection {
                d11: 54.0,
                d12: 8.0,
                d22: 27.0,
                d66: 3.7,
                surface_mass: 2.6,
                thickness: 4e-3,
                shear: None,
                rotary_inertia: 0.0,
                bending_loss: LossCurve::constant(0.02),
                shear_loss: LossCurve::constant(0.02),
            },
            edges: Edges::all(EdgeCondition::Free),
            back: Back::Baffled,
        }
    }

    #[test]
    fn transfer_and_superposition_give_the_same_pressure() {
        let (panel, air) = (panel(), super::super::invariants::air());
        let modes = Modes::solve(&panel, 1500.0).expect("solvable");
        let frequencies = [100.0, 320.0, 900.0, 1000.0, 1500.0];
        let receivers = [[0.4, 0.2, 0.1], [1.5, 0.3, 2.0]];
        let velocity = Array2::from_shape_fn((frequencies.len(), modes.len()), |(f, n)| {
            Complex64::cis((3 * f + 7 * n) as f64) / (1.0 + n as f64)
        });
        let waves = [0.0, FRAC_PI_2].map(|angle| panel.section.wavenumber(1500.0, angle));
        let lattice = lattice_for(&panel.outline, waves, air.wavenumber(1500.0), 0.1);
        let transfer = Transfer::on(&lattice, (&modes, modes.len()), &panel, &receivers, &frequencies, &air);
        assert_eq!(transfer.values.dim(), (frequencies.len(), receivers.len(), modes.len()));
        let through_modes = transfer.pressure(velocity.view());
        let fields = modes.superpose(velocity.view(), &lattice);
        for (field, (f, &frequency)) in fields.outer_iter().zip(frequencies.iter().enumerate()) {
            let surface = SurfaceVelocity { frequency, lattice: &lattice, velocity: field.to_owned() };
            for (r, direct) in pressure(&surface, &receivers, &air).into_iter().enumerate() {
                let deviation = (through_modes[[f, r]] / direct - 1.0).norm();
                assert!(deviation < 1e-10, "{f} {r}: {deviation:e}");
            }
        }
    }
}
