//! Masses and hangs: what acts on the panel at a port without being driven.
//!
//! ```text
//! F = −Z v,      mass: Z = jωm,      hang: Z = k (1 + jη) / jω
//! ```
//!
//! F is the force on the panel and v the panel's velocity, averaged over the ring on which the part touches it, both towards the
//! listener. A hang is a spring to something that does not move; only it loses power, `Re Z |v|² = k η |v|² / ω`.

use crate::plate::Footprint;
use crate::scene::Attachments;
use num_complex::Complex64;

/// A part at a port without a source in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Passive {
    /// A mass [kg].
    Mass(f64),
    /// A spring to something that does not move.
    Spring {
        /// Stiffness k [N/m].
        stiffness: f64,
        /// Its loss factor: `k (1 + jη)`.
        loss_factor: f64,
    },
}

impl Passive {
    /// Impedance Z [N·s/m] at `omega` > 0 [rad/s].
    pub fn impedance(self, omega: f64) -> Complex64 {
        match self {
            Self::Mass(mass) => Complex64::new(0.0, omega * mass),
            Self::Spring { stiffness, loss_factor } => {
                Complex64::new(stiffness * loss_factor, -stiffness) / omega
            }
        }
    }

    /// The same part with its stiffness multiplied by `factor`.
    pub(super) fn stiffened(self, factor: f64) -> Self {
        match self {
            Self::Mass(mass) => Self::Mass(mass),
            Self::Spring { stiffness, loss_factor } => {
                Self::Spring { stiffness: stiffness * factor, loss_factor }
            }
        }
    }

    /// Stiffness to ground [N/m] and mass [kg].
    pub(super) fn stiffness_and_mass(self) -> (f64, f64) {
        match self {
            Self::Mass(mass) => (0.0, mass),
            Self::Spring { stiffness, .. } => (stiffness, 0.0),
        }
    }

    /// Loss factor of its stiffness.
    pub(super) fn loss_factor(self) -> f64 {
        match self {
            Self::Mass(_) => 0.0,
            Self::Spring { loss_factor, .. } => loss_factor,
        }
    }
}

/// Masses, then hangs, each with where it touches the panel.
pub(crate) fn of(attachments: &Attachments) -> (Vec<Footprint>, Vec<Passive>) {
    let masses =
        attachments.masses.iter().map(|m| (Footprint::ring(m.position, m.diameter), Passive::Mass(m.mass)));
    let hangs = attachments.hangs.iter().map(|h| {
        let spring = Passive::Spring { stiffness: h.stiffness, loss_factor: h.loss_factor };
        (Footprint::ring(h.position, h.diameter), spring)
    });
    masses.chain(hangs).unzip()
}
