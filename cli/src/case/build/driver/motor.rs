//! Coil and suspension.

use crate::case::build::keys::one_of;
use crate::case::problem::Problem;
use crate::case::section::Section;
use panelwright_solver::air::Air;
use panelwright_solver::scene::{Diaphragm, DiaphragmForm, DriverMotor};
use std::f64::consts::{PI, TAU};

const SUSPENSION: [&str; 3] = ["suspension_stiffness", "compliance", "resonance"];
const LOSS: [&str; 2] = ["mechanical_q", "mechanical_resistance"];

/// The motor; without a diaphragm only the choice of keys is judged.
pub fn build(
    driver: &Section,
    diaphragm: Option<&Diaphragm>,
    air: &Air,
    problems: &mut Vec<Problem>,
) -> Option<DriverMotor> {
    let (suspension, loss) = (one_of(driver, &SUSPENSION, problems), one_of(driver, &LOSS, problems));
    let (suspension, loss) = (suspension?, loss?);
    let number = |key| driver.number(key);
    let moving_mass = number("moving_mass")?;
    let mass = moving_mass + rides_along(diaphragm?, air.density);
    let suspension_stiffness = match suspension {
        "resonance" => (TAU * number(suspension)?).powi(2) * mass,
        "compliance" => 1.0 / number(suspension)?,
        _ => number(suspension)?,
    };
    let mechanical_resistance = match loss {
        "mechanical_q" => (suspension_stiffness * mass).sqrt() / number(loss)?,
        _ => number(loss)?,
    };
    Some(DriverMotor {
        coil_resistance: number("coil_resistance")?,
        coil_inductance: number("coil_inductance")?,
        force_factor: number("force_factor")?,
        moving_mass,
        suspension_stiffness,
        mechanical_resistance,
        rated_power: number("rated_power"),
        rated_excursion: number("rated_excursion"),
    })
}

/// Mass [kg] that swings with the moving mass at the resonance: the air, and a bending disc with what is glued to it.
fn rides_along(diaphragm: &Diaphragm, density: f64) -> f64 {
    let air = 2.0 * air_on_one_side(radius_of_equal_flow(diaphragm), density);
    match &diaphragm.form {
        DiaphragmForm::BendingDisc { section, masses, .. } => {
            let plate = section.surface_mass * PI * diaphragm.radius.powi(2);
            air + plate + masses.iter().map(|ring| ring.mass).sum::<f64>()
        }
        _ => air,
    }
}

/// Mass [kg] of the air that a flat piston of radius a [m] in a large baffle moves on one side, far below ka = 1: `8/3 ρ a³`
/// (Lord Rayleigh, The Theory of Sound, 2nd ed. 1896, § 302).
fn air_on_one_side(radius: f64, density: f64) -> f64 {
    8.0 / 3.0 * density * radius.powi(3)
}

/// Radius [m] of the piston that moves as much air as the diaphragm when the coil moves alike. The velocity of a ring falls linearly
/// from the coil c to its rims r: `|∫ 2πx (x − r)/(c − r) dx|` from r to c is `π |c − r| (2c + r)/3`.
fn radius_of_equal_flow(diaphragm: &Diaphragm) -> f64 {
    let DiaphragmForm::Ring { inner_radius, coil_radius } = diaphragm.form else { return diaphragm.radius };
    let part = |rim: f64| (coil_radius - rim).abs() * (2.0 * coil_radius + rim) / 3.0;
    (part(inner_radius) + part(diaphragm.radius)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_ring_moves_as_much_air_as_its_piston() {
        let diaphragm =
            Diaphragm { radius: 0.014, form: DiaphragmForm::Ring { inner_radius: 0.003, coil_radius: 0.01 } };
        let (steps, width) = (100_000, 0.014 / 1e5);
        let velocity = |r: f64| match r {
            r if r < 0.003 => 0.0,
            r if r < 0.01 => (r - 0.003) / 0.007,
            r => (0.014 - r) / 0.004,
        };
        let flow: f64 =
            (0..steps).map(|i| (f64::from(i) + 0.5) * width).map(|r| TAU * r * velocity(r) * width).sum();
        assert_relative_eq!(PI * radius_of_equal_flow(&diaphragm).powi(2), flow, max_relative = 1e-7);
    }
}
