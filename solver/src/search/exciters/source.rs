//! What an exciter is to the panel: a force behind an impedance.
//!
//! Eliminating coil and magnet from the equations of [`motor`](crate::motor) leaves `F = F₀ − Z v`. With `B = Bl²/Z_e` the electrical
//! damping, `Z_e = R_e + jωL_e + R_s`, S the suspension, and the magnet's mass `M = jωm_m` (∞ when braced):
//!
//! ```text
//! F₀ = (Bl E / Z_e) M / (M + S + B),      Z = (S + B) M / (M + S + B) + jωm_c
//! ```
//!
//! Several alike that do the same: in parallel they share the source resistance, `R_s` counts as often as there are exciters; in series
//! each has its share of voltage and of `R_s`. Motions of several that add up to nothing move no current through the source: in parallel each
//! coil then works on a short circuit, in series on none. With v̄ the mean of their velocities, Z and Z' the two impedances,
//!
//! ```text
//! F_i = F₀ − Z v̄ − Z' (v_i − v̄)
//! ```
//!
//! which is the whole network of exciters alike.

use crate::motor::{self, Transducer};
use crate::scene::{Channel, Exciter, Wiring};
use nalgebra::{DMatrix, DVector};
use num_complex::Complex64;
use std::f64::consts::TAU;

/// An exciter on its channel at one frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Force on a panel that is held still F₀ [N RMS].
    pub blocked_force: Complex64,
    /// Mechanical impedance Z [N·s/m], all exciters of the channel moving alike.
    pub impedance: Complex64,
    /// Impedance Z' [N·s/m] against motions that add up to nothing.
    pub apart: Complex64,
}

impl Source {
    /// One of `count` exciters like `exciter` on `channel` at `omega` [rad/s].
    pub fn new(exciter: &Exciter, channel: &Channel, count: usize, omega: f64) -> Self {
        let t = Transducer::new(exciter, omega);
        let share = count as f64;
        let (voltage, resistance) = match channel.wiring {
            Wiring::Parallel => (1.0, channel.source_resistance * share),
            Wiring::Series => (1.0 / share, channel.source_resistance / share),
        };
        let electrical = t.coil + resistance;
        let push = t.force_factor * motor::Source::new(channel).voltage(omega) * voltage / electrical;
        let shorted = match channel.wiring {
            Wiring::Parallel => damping(&t, t.coil),
            Wiring::Series => Complex64::ZERO,
        };
        let (impedance, held) = behind(&t, damping(&t, electrical));
        Self { blocked_force: push * held, impedance, apart: behind(&t, shorted).0 }
    }

    /// Force [N RMS] on a panel of the given `mobility` [m/(N·s)].
    pub fn force(&self, mobility: Complex64) -> Complex64 {
        self.blocked_force / (1.0 + self.impedance * mobility)
    }

    /// Forces [N RMS] of several on a panel whose `mobility` [m/(N·s)] at and between their feet is a symmetric matrix; none where the system
    /// is singular.
    pub fn forces(&self, mobility: &DMatrix<Complex64>) -> Vec<Complex64> {
        let count = mobility.nrows();
        let mean = (self.impedance - self.apart) / count as f64;
        let means = mobility.row_sum();
        let system = DMatrix::from_fn(count, count, |i, j| {
            self.apart * mobility[(i, j)] + mean * means[j] + if i == j { 1.0 } else { 0.0 }
        });
        let blocked = DVector::from_element(count, self.blocked_force);
        system
            .lu()
            .solve(&blocked)
            .map_or_else(|| vec![Complex64::ZERO; count], |forces| forces.as_slice().to_vec())
    }
}

/// B of a coil on a circuit of the given impedance.
fn damping(t: &Transducer, electrical: Complex64) -> Complex64 {
    t.force_factor * t.force_factor / electrical
}

/// Impedance behind the foot, and the share of the coil's force that a held foot passes on.
fn behind(t: &Transducer, damping: Complex64) -> (Complex64, Complex64) {
    let spring = t.suspension + damping;
    let held = t.magnet.map_or(Complex64::ONE, |magnet| magnet / (magnet + spring));
    (spring * held + t.moving_mass, held)
}

/// [`Source::new`] at all `frequencies` [Hz].
pub fn sources(exciter: &Exciter, channel: &Channel, count: usize, frequencies: &[f64]) -> Vec<Source> {
    frequencies.iter().map(|f| Source::new(exciter, channel, count, TAU * f)).collect()
}
