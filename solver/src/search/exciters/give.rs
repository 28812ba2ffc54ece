//! The panel under a foot: how it gives way, the air and what is fixed to it included.

use super::joined::Joined;
use crate::drive::{Passive, passive_parts};
use crate::plate::Modes;
use crate::scene::Attachments;
use nalgebra::DMatrix;
use ndarray::{Array2, ArrayView2, Zip};
use num_complex::Complex64;

/// The panel under a foot at one frequency.
#[derive(Clone, Debug)]
pub(super) struct Give {
    /// Its modes with the air.
    pub panel: Joined,
    /// Local give per static flexibility [1/s].
    pub spring: Complex64,
    /// What masses and hangs take away.
    held: Held,
}

/// Masses and hangs under a foot at one frequency: `−(Uφ̄)ᵀ K (Uφ̄)`, `U = φ_p h`, `K = (1 + Z Y_pp)⁻¹ Z`.
#[derive(Clone, Debug)]
struct Held {
    /// U (parts, modes), real and imaginary part.
    reach: [Array2<f32>; 2],
    /// K (parts, parts).
    stiffening: Array2<Complex64>,
}

/// Masses and hangs on a panel.
pub(super) struct Parts {
    parts: Vec<Passive>,
    /// Shapes averaged over what each touches (parts, modes).
    pub shapes: Array2<f64>,
    /// Static flexibility of the modes left out (parts, parts) [m/N].
    residual: Array2<f64>,
}

impl Parts {
    pub fn of(attachments: &Attachments, modes: &Modes) -> Self {
        let (prints, parts) = passive_parts(attachments);
        Self { parts, shapes: modes.averaged(&prints), residual: modes.residual_flexibility(&prints) }
    }

    /// K, from the velocities of the modes for one newton at each part (parts, modes).
    pub fn stiffening(&self, omega: f64, reach: &Array2<Complex64>, spring: Complex64) -> Array2<Complex64> {
        let count = self.parts.len();
        let mobility = |i: usize, j: usize| {
            let modal: Complex64 = reach.row(i).iter().zip(self.shapes.row(j)).map(|(u, phi)| u * phi).sum();
            modal + spring * self.residual[(i, j)]
        };
        let impedance = |i: usize| self.parts[i].impedance(omega);
        let system = DMatrix::from_fn(count, count, |i, j| {
            impedance(i) * mobility(i, j) + if i == j { 1.0 } else { 0.0 }
        });
        let own = DMatrix::from_fn(count, count, |i, j| if i == j { impedance(i) } else { Complex64::ZERO });
        let stiffening = system.lu().solve(&own).unwrap_or_else(|| DMatrix::zeros(count, count));
        Array2::from_shape_fn((count, count), |(i, j)| stiffening[(i, j)])
    }
}

impl Give {
    /// From the modes with the air, the local give, and what masses and hangs do: velocities of the modes for one newton at each, and K.
    pub fn new(
        panel: Joined,
        spring: Complex64,
        (reach, stiffening): (&Array2<Complex64>, Array2<Complex64>),
    ) -> Self {
        let reach = [reach.mapv(|z| z.re as f32), reach.mapv(|z| z.im as f32)];
        Self { panel, spring, held: Held { reach, stiffening } }
    }

    /// Of what is known of the modes with the air alone.
    pub fn of(panel: Joined, spring: Complex64, parts: &Parts, omega: f64) -> Self {
        let reach = panel.reach(&parts.shapes);
        let stiffening = parts.stiffening(omega, &reach, spring);
        Self::new(panel, spring, (&reach, stiffening))
    }

    /// Memory [bytes].
    pub fn bytes(&self) -> usize {
        self.panel.bytes() + 8 * self.held.reach[0].len()
    }

    /// What is not in the sum over single modes, between every row of `one` (places, modes) and the same row of `other`.
    pub fn beyond(&self, one: ArrayView2<f32>, other: ArrayView2<f32>) -> Vec<Complex64> {
        let mut beyond = self.panel.excess(one, other);
        if self.held.stiffening.is_empty() {
            return beyond;
        }
        let (at_one, at_other) = (self.held.at_parts(one), self.held.at_parts(other));
        for (value, (one, other)) in beyond.iter_mut().zip(at_one.outer_iter().zip(at_other.outer_iter())) {
            *value -= one.dot(&self.held.stiffening.dot(&other));
        }
        beyond
    }
}

impl Held {
    /// Uφ̄ of every row of `shapes`: (places, parts).
    fn at_parts(&self, shapes: ArrayView2<f32>) -> Array2<Complex64> {
        let [re, im] = self.reach.each_ref().map(|part| shapes.dot(&part.t()));
        Zip::from(&re).and(&im).map_collect(|&re, &im| Complex64::new(re.into(), im.into()))
    }
}
