//! A plate as diaphragm: a free disc, driven at the coil's ring.

use crate::plate::{Footprint, Modes, PlateError};
use crate::scene::{Back, EdgeCondition, Edges, Panel, PlateSection, RingMass};
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::Outline;
use std::f64::consts::TAU;

/// Modes are computed to so many times the top frequency: what lies above is a spring that hardly gives.
const MARGIN: f64 = 2.0;
/// Radii at which the mean around the disc is tabulated.
const RADII: usize = 129;
/// A mode counts when its mean around the disc is somewhere more than this share of the largest that a mode of its mass has.
const EVEN: f64 = 1e-3;

/// Modes of a disc, each by its mean around the disc.
///
/// A ring of force moves nothing else on a plate that is alike in all directions. On an orthotropic one a part of each shape varies around the
/// disc, too; it sweeps no volume and is left out.
#[derive(Clone, Debug)]
pub(super) struct Disc {
    radius: f64,
    /// Natural angular frequency [rad/s] and loss factor of each mode.
    modes: Vec<(f64, f64)>,
    /// Mean at every radius, (modes, radii), for modes of unit mass.
    profiles: Array2<f64>,
    masses: Vec<RingMass>,
}

impl Disc {
    pub fn new(
        section: &PlateSection,
        radius: f64,
        coil_radius: f64,
        masses: &[RingMass],
        up_to: f64,
    ) -> Result<Self, PlateError> {
        let panel = Panel {
            outline: Outline::Ellipse { width: 2.0 * radius, height: 2.0 * radius },
            section: section.clone(),
            edges: Edges::all(EdgeCondition::Free),
            back: Back::Open,
        };
        let modes = Modes::solve(&panel, MARGIN * up_to)?;
        let rings: Vec<Footprint> = (0..RADII).map(|i| ring(radius, tabulated(radius, i))).collect();
        let means = modes.averaged(&rings);
        let even = even_modes(&means, &modes.averaged(&[ring(radius, coil_radius)]));
        let profiles = Array2::from_shape_fn((even.len(), RADII), |(m, i)| means[[i, even[m]]]);
        let loss = |mode: usize| (TAU * modes.frequencies[mode], modes.loss_factors[mode]);
        Ok(Self { radius, modes: even.iter().map(|&m| loss(m)).collect(), profiles, masses: masses.to_vec() })
    }

    pub fn count(&self) -> usize {
        self.modes.len()
    }

    pub fn frequencies(&self) -> Vec<f64> {
        self.modes.iter().map(|(omega, _)| omega / TAU).filter(|f| *f > 0.0).collect()
    }

    /// Mean of a mode at a distance from the axis: linear in the square of the radius between tabulated ones, as smooth shapes are.
    pub fn at(&self, mode: usize, from_axis: f64) -> f64 {
        let share = (from_axis / self.radius).min(1.0) * (RADII - 1) as f64;
        let below = (share as usize).min(RADII - 2);
        let [low, high] = [below, below + 1].map(|i| (i * i) as f64);
        let along = (share * share - low) / (high - low);
        let row = self.profiles.row(mode);
        row[below] * (1.0 - along) + row[below + 1] * along
    }

    /// `(ωₘ²(1 + jη) − ω²)/jω` on the diagonal, `jωm φₘφₙ` for every ring of mass.
    pub fn impedance(&self, omega: f64) -> Array2<Complex64> {
        let mut sum = Array2::zeros((self.count(), self.count()));
        for (m, (own, loss)) in self.modes.iter().enumerate() {
            let stiff = Complex64::new(own * own, own * own * loss);
            sum[[m, m]] = (stiff - omega * omega) / Complex64::new(0.0, omega);
        }
        for ring in &self.masses {
            let at: Vec<f64> = (0..self.count()).map(|m| self.at(m, ring.radius)).collect();
            for ((m, n), value) in sum.indexed_iter_mut() {
                *value += Complex64::new(0.0, omega * ring.mass) * at[m] * at[n];
            }
        }
        sum
    }
}

fn tabulated(radius: f64, index: usize) -> f64 {
    radius * index as f64 / (RADII - 1) as f64
}

/// A circle about the disc's middle, which lies at (radius, radius) of the outline's box.
fn ring(radius: f64, from_axis: f64) -> Footprint {
    Footprint::ring([radius; 2], 2.0 * from_axis)
}

/// Modes that a ring of force moves, or that were moved by another ring: those with a mean around the disc.
fn even_modes(means: &Array2<f64>, at_coil: &Array2<f64>) -> Vec<usize> {
    let largest = |mode: usize| {
        means
            .column(mode)
            .iter()
            .chain(at_coil.column(mode))
            .fold(0.0, |most: f64, mean| most.max(mean.abs()))
    };
    let scale = (0..means.ncols()).map(largest).fold(0.0, f64::max);
    (0..means.ncols()).filter(|&mode| largest(mode) > EVEN * scale).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::driver::Motions;
    use crate::scene::{Diaphragm, DiaphragmForm, LossCurve};

    /// Invented: half a millimetre of a stiff light sheet, Poisson's ratio 0.33.
    fn section() -> PlateSection {
        let (d, nu) = (0.06, 0.33);
        PlateSection {
            d11: d,
            d12: nu * d,
            d22: d,
            d66: 0.5 * (1.0 - nu) * d,
            surface_mass: 0.25,
            thickness: 0.5e-3,
            shear: None,
            rotary_inertia: 0.0,
            bending_loss: LossCurve::constant(0.02),
            shear_loss: LossCurve::constant(0.02),
        }
    }

    fn disc(masses: &[RingMass]) -> Disc {
        Disc::new(&section(), 0.025, 0.0125, masses, 20e3).expect("a small plate")
    }

    #[test]
    fn rigid_motion_and_even_modes_are_kept_with_the_published_frequencies() {
        // λ² of the free disc without nodal diameters, ν = 0.33: A. W. Leissa, Vibration of Plates, NASA SP-160 (1969), table 2.5: 9.084, 38.55.
        let disc = disc(&[]);
        let unit = (0.06f64 / 0.25).sqrt() / (0.025 * 0.025);
        let found: Vec<f64> = disc.modes.iter().map(|(omega, _)| omega / unit).collect();
        assert!(found[0] < 1e-3 && disc.count() >= 3, "{found:?}");
        assert!((found[1] / 9.084 - 1.0).abs() < 2e-3, "{found:?}");
        assert!((found[2] / 38.55 - 1.0).abs() < 2e-3, "{found:?}");
    }

    #[test]
    fn far_below_its_modes_the_disc_is_a_mass() {
        let diaphragm = |masses| Diaphragm {
            radius: 0.025,
            form: DiaphragmForm::BendingDisc { section: section(), coil_radius: 0.0125, masses },
        };
        let extra = RingMass { radius: 0.02, mass: 0.3e-3 };
        for (masses, mass) in [(vec![], 0.0), (vec![extra], 0.3e-3)] {
            let motions = Motions::of(&diaphragm(masses), 20e3).expect("a small plate");
            let omega = TAU * 20.0;
            // Impedance seen at the coil: 1/(cᵀ D⁻¹ c).
            let n = motions.count();
            let matrix = nalgebra::DMatrix::from_fn(n, n, |i, j| motions.impedance(omega)[[i, j]]);
            let c = nalgebra::DVector::from_fn(n, |i, _| Complex64::from(motions.at_coil()[i]));
            let q = matrix.lu().solve(&c).expect("regular");
            let seen = 1.0 / c.dot(&q);
            let whole = 0.25 * std::f64::consts::PI * 0.025 * 0.025 + mass;
            assert!((seen.im / (omega * whole) - 1.0).abs() < 1e-3, "{seen}");
        }
    }

    #[test]
    fn tables_follow_the_shapes() {
        let disc = disc(&[]);
        // A rigid disc of unit mass.
        let level = (0.25 * std::f64::consts::PI * 0.025f64.powi(2)).sqrt().recip();
        assert!([0.0, 0.007, 0.025].iter().all(|&r| (disc.at(0, r).abs() / level - 1.0).abs() < 1e-6));
        // The first bending mode has its node at 0.68 of the radius (Leissa, table 2.6: 0.680).
        let node = (1..1000).map(|i| i as f64 * 0.025e-3).find(|&r| disc.at(1, 0.0) * disc.at(1, r) < 0.0);
        assert!(node.is_some_and(|r| (r / 0.025 - 0.68).abs() < 3e-3), "{node:?}");
    }
}
