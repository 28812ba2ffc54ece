//! The medium: density, speed of sound and absorption of moist air.

use serde::Serialize;

/// Reference static pressure p_r [Pa] (ISO 9613-1:1993, 4.2).
const REFERENCE_PRESSURE: f64 = 101_325.0;
/// Reference temperature T₀ [K] (ISO 9613-1:1993, 4.2).
const REFERENCE_TEMPERATURE: f64 = 293.15;
/// Triple point of water T₀₁ [K] (ISO 9613-1:1993, annex B).
const TRIPLE_POINT: f64 = 273.16;
/// Speed of sound in dry air at the reference temperature [m/s] (ISO 9613-1:1993, annex A).
const REFERENCE_SPEED: f64 = 343.2;
/// Specific gas constant of dry air [J/(kg·K)].
const DRY_GAS_CONSTANT: f64 = 287.058;
/// Molar mass of water over that of dry air.
const MOLAR_MASS_RATIO: f64 = 0.621_98;

/// State of the air.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Air {
    /// Temperature [K].
    pub temperature: f64,
    /// Relative humidity, 0…1.
    pub humidity: f64,
    /// Static pressure [Pa].
    pub static_pressure: f64,
    /// Density ρ [kg/m³].
    pub density: f64,
    /// Speed of sound c [m/s].
    pub sound_speed: f64,
}

impl Air {
    /// Air at `temperature` [K], relative `humidity` 0…1 and `static_pressure` [Pa].
    ///
    /// With the molar fraction h of water vapour (see [`water_fraction`]):
    /// - density of an ideal mixture, `ρ = p / (R_dry T) · (1 − (1 − 0.62198) h)`, within 0.1 % of CIPM-2007
    ///   (A. Picard et al., Metrologia 45, 2008) in rooms;
    /// - speed of sound `c = 343.2 √(T/293.15)` for dry air (ISO 9613-1:1993, annex A), times
    ///   `√(γ M_dry / (γ_dry M))` with `γ = (7 + h)/(5 + h)` and the mixture's molar mass M
    ///   (D. A. Bohn, Environmental effects on the speed of sound, J. Audio Eng. Soc. 36, 1988).
    ///
    /// Valid for −20…50 °C and pressures below 200 kPa.
    pub fn new(temperature: f64, humidity: f64, static_pressure: f64) -> Self {
        let h = water_fraction(temperature, humidity, static_pressure);
        let lightness = 1.0 - (1.0 - MOLAR_MASS_RATIO) * h;
        let heat_ratio = (7.0 + h) / (5.0 + h) / 1.4;
        Self {
            temperature,
            humidity,
            static_pressure,
            density: static_pressure / (DRY_GAS_CONSTANT * temperature) * lightness,
            sound_speed: REFERENCE_SPEED
                * (temperature / REFERENCE_TEMPERATURE * heat_ratio / lightness).sqrt(),
        }
    }

    /// Characteristic impedance ρc [Pa·s/m].
    pub fn impedance(&self) -> f64 {
        self.density * self.sound_speed
    }

    /// Wavenumber k = ω/c [rad/m] at `frequency` [Hz].
    pub fn wavenumber(&self, frequency: f64) -> f64 {
        std::f64::consts::TAU * frequency / self.sound_speed
    }

    /// Amplitude attenuation [Np/m] at `frequency` [Hz]: the pressure falls as `exp(−αr)`. In dB/m it is `8.686 α`.
    ///
    /// ISO 9613-1:1993, equations (3) to (5): classical losses plus the relaxation of oxygen and nitrogen. Stated accuracy
    /// ±10 % for 0.05…5 % molar fraction of water, −20…50 °C, and f/p from 0.4 mHz/Pa to 10 Hz/Pa.
    pub fn absorption(&self, frequency: f64) -> f64 {
        let f2 = frequency * frequency;
        let pressure = self.static_pressure / REFERENCE_PRESSURE;
        let t = self.temperature / REFERENCE_TEMPERATURE;
        let [oxygen, nitrogen] = self.relaxation_frequencies();
        let relaxation = 0.01275 * (-2239.1 / self.temperature).exp() / (oxygen + f2 / oxygen)
            + 0.1068 * (-3352.0 / self.temperature).exp() / (nitrogen + f2 / nitrogen);
        f2 * (1.84e-11 / pressure * t.sqrt() + t.powf(-2.5) * relaxation)
    }

    /// Relaxation frequencies [Hz] of oxygen and nitrogen (ISO 9613-1:1993, equations (3) and (4)).
    pub fn relaxation_frequencies(&self) -> [f64; 2] {
        let h = 100.0 * water_fraction(self.temperature, self.humidity, self.static_pressure);
        let pressure = self.static_pressure / REFERENCE_PRESSURE;
        let t = self.temperature / REFERENCE_TEMPERATURE;
        [
            pressure * (24.0 + 4.04e4 * h * (0.02 + h) / (0.391 + h)),
            pressure * t.powf(-0.5) * (9.0 + 280.0 * h * (-4.170 * (t.powf(-1.0 / 3.0) - 1.0)).exp()),
        ]
    }
}

/// Molar fraction 0…1 of water vapour at `temperature` [K], relative `humidity` 0…1 and `static_pressure` [Pa], from the
/// saturation pressure of ISO 9613-1:1993, annex B: `p_sat/p_r = 10^(4.6151 − 6.8346 (T₀₁/T)^1.261)`.
pub fn water_fraction(temperature: f64, humidity: f64, static_pressure: f64) -> f64 {
    let exponent = 4.6151 - 6.8346 * (TRIPLE_POINT / temperature).powf(1.261);
    humidity * 10f64.powf(exponent) * REFERENCE_PRESSURE / static_pressure
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn moist_air_is_lighter_and_faster() {
        let dry = Air::new(293.15, 0.0, 101_325.0);
        let moist = Air::new(293.15, 0.5, 101_325.0);
        // CIPM-2007 for 20 °C, 50 %, 101 325 Pa, evaluated independently from memory of the equation: 1.1992 kg/m³.
        assert_relative_eq!(moist.density, 1.1992, max_relative = 1e-3);
        // O. Cramer, J. Acoust. Soc. Am. 93 (1993): humidity adds 0.6 m/s to 0.7 m/s here (from memory).
        assert!((0.55..0.75).contains(&(moist.sound_speed - dry.sound_speed)), "{}", moist.sound_speed);
    }

    #[test]
    fn pressure_cancels_from_sound_speed_of_dry_air_only() {
        let speed = |humidity, pressure| Air::new(293.15, humidity, pressure).sound_speed;
        assert_eq!(speed(0.0, 101_325.0), speed(0.0, 80_000.0));
        assert!(speed(0.5, 80_000.0) > speed(0.5, 101_325.0));
    }
}
