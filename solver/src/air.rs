//! The medium: density, speed of sound and absorption of moist air.

use serde::Serialize;

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
    pub fn new(temperature: f64, humidity: f64, static_pressure: f64) -> Self {
        let _ = (temperature, humidity, static_pressure);
        unimplemented!("skeleton")
    }

    /// Characteristic impedance ρc [Pa·s/m].
    pub fn impedance(&self) -> f64 {
        self.density * self.sound_speed
    }

    /// Wavenumber k = ω/c [rad/m] at `frequency` [Hz].
    pub fn wavenumber(&self, frequency: f64) -> f64 {
        std::f64::consts::TAU * frequency / self.sound_speed
    }

    /// Amplitude attenuation [Np/m] at `frequency` [Hz] (ISO 9613-1:1993).
    pub fn absorption(&self, frequency: f64) -> f64 {
        let _ = frequency;
        unimplemented!("skeleton")
    }
}
