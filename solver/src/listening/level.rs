//! Levels in decibels. Reference values of ISO 1683:2015; pressures and velocities are RMS.

use num_complex::Complex64;
use serde::Serialize;

/// What a level is relative to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LevelReference {
    /// Sound pressure in air, 20 µPa.
    SoundPressure,
    /// Velocity, 1 m/s. ISO 1683 prefers 1 nm/s; a panel's velocity per metre per second reads more easily.
    Velocity,
    /// Sound power, 1 pW.
    SoundPower,
}

impl LevelReference {
    /// The value that stands for 0 dB, as a mean square [Pa², m²/s²] or a power [W].
    pub fn zero(self) -> f64 {
        match self {
            Self::SoundPressure => 20e-6 * 20e-6,
            Self::Velocity => 1.0,
            Self::SoundPower => 1e-12,
        }
    }
}

/// Level [dB] of a mean square or a power: `10 lg (value / zero)`; −∞ for nothing.
pub fn level(value: f64, reference: LevelReference) -> f64 {
    10.0 * (value / reference.zero()).log10()
}

/// Sound pressure level [dB re 20 µPa] of a pressure [Pa RMS].
pub fn spl(pressure: Complex64) -> f64 {
    pressure_level(pressure.norm_sqr())
}

/// Sound pressure level [dB re 20 µPa] of a mean-square pressure [Pa²].
pub fn pressure_level(mean_square: f64) -> f64 {
    level(mean_square, LevelReference::SoundPressure)
}

/// Velocity level [dB re 1 m/s] of a mean-square velocity [m²/s²].
pub fn velocity_level(mean_square: f64) -> f64 {
    level(mean_square, LevelReference::Velocity)
}

/// Sound power level [dB re 1 pW] of a power [W].
pub fn power_level(power: f64) -> f64 {
    level(power, LevelReference::SoundPower)
}

/// Energy ratio of a level difference [dB].
pub(super) fn ratio(decibels: f64) -> f64 {
    10f64.powf(0.1 * decibels)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn anchors() {
        assert_relative_eq!(spl(Complex64::new(0.0, 20e-6)), 0.0, epsilon = 1e-12);
        // 1 Pa RMS is 93.98 dB, the level of a calibrator of the nominal 94 dB.
        assert_relative_eq!(spl(Complex64::new(0.6, 0.8)), 93.9794, epsilon = 1e-4);
        assert_relative_eq!(power_level(1.0), 120.0, epsilon = 1e-12);
        assert_relative_eq!(velocity_level(1e-6), -60.0, epsilon = 1e-12);
        assert_eq!(pressure_level(0.0), f64::NEG_INFINITY);
    }

    proptest! {
        #[test]
        fn ten_times_the_power_is_ten_decibels(value in 1e-15..1e3f64, step in -60.0..60.0f64) {
            let raised = power_level(value * ratio(step)) - power_level(value);
            prop_assert!((raised - step).abs() < 1e-9);
        }

        #[test]
        fn doubling_the_pressure_is_six_decibels(re in 1e-4..1.0f64, im in -1.0..1.0f64) {
            let p = Complex64::new(re, im);
            prop_assert!((spl(2.0 * p) - spl(p) - 20.0 * 2f64.log10()).abs() < 1e-9);
        }
    }
}
