//! What an exciter is to the panel: a force behind an impedance.
//!
//! Eliminating coil and magnet from the equations of [`motor`](crate::motor) leaves `F = F₀ − Z v`. With `B = Bl²/Z_e` the electrical
//! damping, `Z_e = R_e + jωL_e + R_s`, S the suspension, and the magnet's mass `M = jωm_m` (∞ when braced):
//!
//! ```text
//! F₀ = (Bl E / Z_e) M / (M + S + B),      Z = (S + B) M / (M + S + B) + jωm_c
//! ```
//!
//! Several alike, each taken as if all of them did the same: in parallel they share the source resistance, `R_s` counts as often as there
//! are exciters; in series each has its share of voltage and of `R_s`. Exact when they move alike; otherwise what one coil's
//! motion does to the current of the others is left out, and without a source resistance nothing is left out in parallel.

use crate::motor::{self, Transducer};
use crate::scene::{Channel, Exciter, Wiring};
use num_complex::Complex64;
use std::f64::consts::TAU;

/// An exciter on its channel at one frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Force on a panel that is held still F₀ [N RMS].
    pub blocked_force: Complex64,
    /// Mechanical impedance Z [N·s/m].
    pub impedance: Complex64,
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
        let spring = t.suspension + t.force_factor * t.force_factor / electrical;
        let held = t.magnet.map_or(Complex64::ONE, |magnet| magnet / (magnet + spring));
        Self { blocked_force: push * held, impedance: spring * held + t.moving_mass }
    }

    /// Force [N RMS] on a panel of the given `mobility` [m/(N·s)].
    pub fn force(&self, mobility: Complex64) -> Complex64 {
        self.blocked_force / (1.0 + self.impedance * mobility)
    }
}

/// [`Source::new`] at all `frequencies` [Hz].
pub fn sources(exciter: &Exciter, channel: &Channel, count: usize, frequencies: &[f64]) -> Vec<Source> {
    frequencies.iter().map(|f| Source::new(exciter, channel, count, TAU * f)).collect()
}
