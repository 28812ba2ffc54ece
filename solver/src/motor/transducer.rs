//! One exciter at one frequency.

use crate::scene::{Exciter, Mount};
use num_complex::Complex64;

/// The impedances of one exciter at one angular frequency; the equations are in the [module's](super) text.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Transducer {
    /// Impedance of the blocked coil R_e + jωL_e [Ω].
    pub coil: Complex64,
    /// Force factor Bl [N/A], negative when the leads are swapped.
    pub force_factor: f64,
    /// Impedance of coil and foot jω m_c [N·s/m].
    pub moving_mass: Complex64,
    /// Impedance of the suspension S = k (1 + jη) / jω [N·s/m].
    pub suspension: Complex64,
    /// Impedance of the magnet jω m_m [N·s/m]; `None` when it is held.
    pub magnet: Option<Complex64>,
}

impl Transducer {
    /// The impedances of `exciter` at `omega` > 0 [rad/s].
    pub fn new(exciter: &Exciter, omega: f64) -> Self {
        let mass = |m: f64| Complex64::new(0.0, omega * m);
        let (k, eta) = (exciter.suspension_stiffness, exciter.suspension_loss_factor);
        Self {
            coil: Complex64::new(exciter.coil_resistance, omega * exciter.coil_inductance),
            force_factor: if exciter.reversed { -exciter.force_factor } else { exciter.force_factor },
            moving_mass: mass(exciter.moving_mass),
            suspension: Complex64::new(k * eta, -k) / omega,
            magnet: match exciter.mount {
                Mount::Floating => Some(mass(exciter.magnet_mass)),
                Mount::Braced => None,
            },
        }
    }

    /// Force on the panel F = Bl i − S (v − u) − jω m_c v [N].
    pub fn force(&self, current: Complex64, foot: Complex64, magnet: Complex64) -> Complex64 {
        self.force_factor * current - self.suspension * (foot - magnet) - self.moving_mass * foot
    }

    /// Voltage at the leads e = (R_e + jωL_e) i + Bl (v − u) [V].
    pub fn voltage(&self, current: Complex64, foot: Complex64, magnet: Complex64) -> Complex64 {
        self.coil * current + self.force_factor * (foot - magnet)
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// A typical small exciter: round numbers, invented.
    pub(crate) fn exciter(position: [f64; 2]) -> Exciter {
        Exciter {
            name: "test".into(),
            position,
            coil_resistance: 3.6,
            coil_inductance: 0.05e-3,
            force_factor: 2.4,
            moving_mass: 1.2e-3,
            foot_diameter: 25e-3,
            suspension_stiffness: 9000.0,
            suspension_loss_factor: 0.12,
            magnet_mass: 0.115,
            mount: Mount::Floating,
            reversed: false,
            rated_power: Some(10.0),
            rated_excursion: Some(1e-3),
        }
    }

    #[test]
    fn impedances_have_the_sign_of_exp_plus_jwt() {
        let t = Transducer::new(&exciter([0.0, 0.0]), TAU * 100.0);
        assert!(t.coil.im > 0.0, "an inductance");
        assert!(t.moving_mass.im > 0.0, "a mass");
        assert!(t.suspension.im < 0.0 && t.suspension.re > 0.0, "a spring that loses");
        approx::assert_relative_eq!(t.suspension.re, 9000.0 * 0.12 / (TAU * 100.0));
        approx::assert_relative_eq!(t.suspension.im, -9000.0 / (TAU * 100.0));
    }

    #[test]
    fn swapped_leads_change_the_sign_of_the_force_only() {
        let forward = exciter([0.0, 0.0]);
        let swapped = Exciter { reversed: true, ..forward.clone() };
        let (a, b) = (Transducer::new(&forward, 500.0), Transducer::new(&swapped, 500.0));
        assert_eq!(a.force_factor, -b.force_factor);
        assert_eq!(a.coil, b.coil);
    }

    #[test]
    fn a_braced_magnet_has_no_impedance_of_its_own() {
        let braced = Exciter { mount: Mount::Braced, ..exciter([0.0, 0.0]) };
        assert_eq!(Transducer::new(&braced, 500.0).magnet, None);
    }
}
