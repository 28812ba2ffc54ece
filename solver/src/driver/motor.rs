//! Volts → motion.

use super::Motions;
use crate::air::Air;
use crate::scene::{DriverMotor, HousingBack, SmallDriver};
use nalgebra::{DMatrix, DVector};
use ndarray::Array2;
use num_complex::Complex64;
use std::f64::consts::{SQRT_2, TAU};

/// Force [N s/m] with which every motion pushes against the air per unit amplitude of every motion, `∫ pₙ φₘ n_z dS`.
pub type AirReaction = Array2<Complex64>;

/// A driver's coil, suspension and box with the motions of its diaphragm.
#[derive(Clone, Copy, Debug)]
pub struct Motor<'a> {
    motor: &'a DriverMotor,
    motions: &'a Motions,
    source_resistance: f64,
    /// Stiffness of the box against swept volume ρc²/V [Pa/m³].
    box_stiffness: f64,
}

/// What a driver's leads are connected to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leads {
    /// To its amplifier, whose output resistance the coil's back-EMF drives a current through.
    Held,
    /// To nothing: no current flows.
    Open,
}

/// How a driver moves at one frequency.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Amplitude [m/s RMS] of every motion.
    pub amplitudes: Vec<Complex64>,
    /// Velocity of the coil [m/s RMS].
    pub coil: Complex64,
    /// Current [A RMS].
    pub current: Complex64,
}

impl Moved {
    /// Peak excursion [m] of the coil at `frequency` [Hz], one way.
    pub fn excursion(&self, frequency: f64) -> f64 {
        SQRT_2 * self.coil.norm() / (TAU * frequency)
    }
}

impl<'a> Motor<'a> {
    /// The motor of a driver in air.
    pub fn new(driver: &'a SmallDriver, motions: &'a Motions, air: &Air) -> Self {
        let box_stiffness = match driver.housing.back {
            HousingBack::Sealed { volume } => air.density * air.sound_speed.powi(2) / volume,
            HousingBack::Open { .. } => 0.0,
        };
        Self { motor: &driver.motor, motions, source_resistance: driver.source_resistance, box_stiffness }
    }

    /// Motion under an open-circuit voltage [V RMS] at `frequency` [Hz] against the reaction of the air.
    pub fn driven(&self, voltage: f64, frequency: f64, reaction: &AirReaction) -> Moved {
        let electrical = self.electrical(frequency);
        let force = self.motor.force_factor * voltage / electrical;
        let coil = self.motions.at_coil().iter().map(|c| c * force).collect();
        let mut moved = self.pushed(coil, frequency, reaction, Leads::Held);
        moved.current += voltage / electrical;
        moved
    }

    /// Motion that forces [N RMS] on the motions cause while the amplifier holds its voltage at zero, or while the leads are open.
    pub fn pushed(
        &self,
        forces: Vec<Complex64>,
        frequency: f64,
        reaction: &AirReaction,
        leads: Leads,
    ) -> Moved {
        let force_factor = match leads {
            Leads::Held => self.motor.force_factor,
            Leads::Open => 0.0,
        };
        let matrix = self.impedance(frequency, reaction, force_factor);
        let forces = DVector::from_vec(forces);
        // A driver has mass: the matrix is regular, and a motionless answer stands for the one that is not.
        let amplitudes = matrix.lu().solve(&forces).unwrap_or_else(|| DVector::zeros(forces.len()));
        let coil: Complex64 = amplitudes.iter().zip(self.motions.at_coil()).map(|(q, c)| q * *c).sum();
        let current = -force_factor * coil / self.electrical(frequency);
        Moved { amplitudes: amplitudes.iter().copied().collect(), coil, current }
    }

    /// Electrical impedance [Ω] at the leads.
    pub fn leads(&self, moved: &Moved, voltage: f64) -> Complex64 {
        voltage / moved.current - self.source_resistance
    }

    /// R_s + R_e + jωL_e.
    fn electrical(&self, frequency: f64) -> Complex64 {
        let resistance = self.source_resistance + self.motor.coil_resistance;
        Complex64::new(resistance, TAU * frequency * self.motor.coil_inductance)
    }

    /// What the motions meet, the coil's back-EMF by this force factor [N/A] included.
    fn impedance(&self, frequency: f64, reaction: &AirReaction, force_factor: f64) -> DMatrix<Complex64> {
        let omega = TAU * frequency;
        let spring = Complex64::new(0.0, -1.0 / omega);
        let motor = self.motor;
        let at_coil = Complex64::new(motor.mechanical_resistance, omega * motor.moving_mass)
            + motor.suspension_stiffness * spring
            + force_factor.powi(2) / self.electrical(frequency);
        let (coil, swept) = (self.motions.at_coil(), self.motions.swept());
        let plate = self.motions.impedance(omega);
        DMatrix::from_fn(coil.len(), coil.len(), |m, n| {
            plate[[m, n]]
                + reaction[[m, n]]
                + at_coil * coil[m] * coil[n]
                + self.box_stiffness * spring * swept[m] * swept[n]
        })
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::scene::*;

    /// Invented.
    pub(crate) fn driver(back: HousingBack) -> SmallDriver {
        SmallDriver {
            name: "small".into(),
            place: [0.0, 0.0, 0.06],
            motor: DriverMotor {
                coil_resistance: 3.5,
                coil_inductance: 0.04e-3,
                force_factor: 2.2,
                moving_mass: 0.9e-3,
                suspension_stiffness: 700.0,
                mechanical_resistance: 0.25,
                rated_power: None,
                rated_excursion: None,
            },
            diaphragm: Diaphragm { radius: 0.02, form: DiaphragmForm::Flat },
            housing: Housing {
                front: HousingFront::Round { radius: 0.026 },
                depth: 0.04,
                rounding: 0.0,
                back,
            },
            voltage: 2.83,
            source_resistance: 0.0,
        }
    }

    fn vacuum() -> AirReaction {
        Array2::zeros((1, 1))
    }

    #[test]
    fn an_open_driver_resonates_with_the_impedance_of_its_parameters() {
        let driver = driver(HousingBack::Open { wall: 0.002 });
        let motions = Motions::of(&driver.diaphragm, 20e3).expect("stiff");
        let motor = Motor::new(&driver, &motions, &Air::new(293.15, 0.5, 101_325.0));
        let resonance = (700.0f64 / 0.9e-3).sqrt() / TAU;
        let moved = motor.driven(2.83, resonance, &vacuum());
        let peak = motor.leads(&moved, 2.83);
        // R_e + Bl²/R_ms, and the coil's inductance.
        assert!(
            (peak.re - (3.5 + 2.2 * 2.2 / 0.25)).abs() < 1e-9
                && (peak.im - TAU * resonance * 0.04e-3).abs() < 1e-9
        );
        // Far above the resonance the mass alone holds the coil back: a = Bl i/M.
        let high = motor.driven(2.83, 8000.0, &vacuum());
        let acceleration = (high.coil * TAU * 8000.0).norm() / high.current.norm();
        assert!((acceleration / (2.2 / 0.9e-3) - 1.0).abs() < 2e-3);
    }

    #[test]
    fn a_box_raises_the_resonance_as_its_compliance_says() {
        let air = Air::new(293.15, 0.5, 101_325.0);
        let driver = driver(HousingBack::Sealed { volume: 50e-6 });
        let motions = Motions::of(&driver.diaphragm, 20e3).expect("stiff");
        let motor = Motor::new(&driver, &motions, &air);
        let area = std::f64::consts::PI * 4e-4;
        let stiffness = 700.0 + air.density * air.sound_speed.powi(2) * area * area / 50e-6;
        let resonance = (stiffness / 0.9e-3).sqrt() / TAU;
        let peak = motor.leads(&motor.driven(2.83, resonance, &vacuum()), 2.83);
        assert!((peak.re - (3.5 + 2.2 * 2.2 / 0.25)).abs() < 1e-9, "{peak}");
    }

    #[test]
    fn pushing_and_driving_are_reciprocal() {
        // Force on the diaphragm → short-circuit current is as voltage → velocity (anti-reciprocal transducer: opposite sign).
        let driver = driver(HousingBack::Sealed { volume: 50e-6 });
        let motions = Motions::of(&driver.diaphragm, 20e3).expect("stiff");
        let motor = Motor::new(&driver, &motions, &Air::new(293.15, 0.5, 101_325.0));
        let reaction = Array2::from_elem((1, 1), Complex64::new(0.4, 0.9));
        let driven = motor.driven(1.0, 900.0, &reaction);
        let pushed = motor.pushed(vec![Complex64::ONE], 900.0, &reaction, Leads::Held);
        assert!((driven.coil + pushed.current).norm() < 1e-14);
    }

    /// Power that a force gives with the leads held, or open: to losses, the air, and the coil's resistance.
    #[test]
    fn an_amplifier_brakes_a_pushed_diaphragm_by_its_back_emf_alone() {
        let driver = driver(HousingBack::Sealed { volume: 50e-6 });
        let motions = Motions::of(&driver.diaphragm, 20e3).expect("stiff");
        let motor = Motor::new(&driver, &motions, &Air::new(293.15, 0.5, 101_325.0));
        let reaction = Array2::from_elem((1, 1), Complex64::new(0.4, 0.9));
        let force = Complex64::new(0.02, 0.01);
        let pushed = |leads| motor.pushed(vec![force], 900.0, &reaction, leads);
        let [held, open] = [Leads::Held, Leads::Open].map(pushed);
        for (moved, heat) in [(&held, 3.5 * held.current.norm_sqr()), (&open, 0.0)] {
            let given = (force.conj() * moved.coil).re;
            assert!((given / ((0.25 + 0.4) * moved.coil.norm_sqr() + heat) - 1.0).abs() < 1e-12);
        }
        assert_eq!(open.current, Complex64::ZERO);
        let braking = force / held.coil - force / open.coil;
        let electrical = Complex64::new(3.5, TAU * 900.0 * 0.04e-3);
        assert!((braking - 2.2 * 2.2 / electrical).norm() < 1e-9, "{braking}");
    }

    /// Of the blocked force, what a motion leaves on the diaphragm is `F − Z_air q`.
    #[test]
    fn a_diaphragm_without_mass_moves_with_the_air_and_a_heavy_one_does_not() {
        let reaction = Array2::from_elem((1, 1), Complex64::new(0.4, 0.9));
        let left = |moving_mass: f64| {
            let mut driver = driver(HousingBack::Open { wall: 0.002 });
            driver.motor.moving_mass = moving_mass;
            (driver.motor.suspension_stiffness, driver.motor.mechanical_resistance) = (0.0, 0.0);
            let motions = Motions::of(&driver.diaphragm, 20e3).expect("stiff");
            let motor = Motor::new(&driver, &motions, &Air::new(293.15, 0.5, 101_325.0));
            let moved = motor.pushed(vec![Complex64::ONE], 900.0, &reaction, Leads::Open);
            (1.0 - reaction[[0, 0]] * moved.coil).norm()
        };
        assert!(left(1e-9) < 1e-5, "{}", left(1e-9));
        assert!((left(10.0) - 1.0).abs() < 1e-3, "{}", left(10.0));
    }

    #[test]
    fn power_in_is_heat_and_what_the_air_takes() {
        let driver = driver(HousingBack::Sealed { volume: 50e-6 });
        let motions = Motions::of(&driver.diaphragm, 20e3).expect("stiff");
        let motor = Motor::new(&driver, &motions, &Air::new(293.15, 0.5, 101_325.0));
        let reaction = Array2::from_elem((1, 1), Complex64::new(0.4, 0.9));
        let moved = motor.driven(2.83, 1500.0, &reaction);
        let input = (2.83 * moved.current.conj()).re;
        let taken = 3.5 * moved.current.norm_sqr() + (0.25 + 0.4) * moved.coil.norm_sqr();
        assert!((input / taken - 1.0).abs() < 1e-12);
    }
}
