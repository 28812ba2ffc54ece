//! What the panel's sound makes of the driver: its motion, and what that radiates.

use super::on_panel::{DrivenPanel, Forces};
use super::places::Places;
use super::solution::Values;
use crate::driver::{Leads, Motions, Motor, Moved};
use crate::scene::DriverScene;
use num_complex::Complex64;

/// A driver without a signal of its own before the driven panel; the lowest frequencies of the comparison, as far as the panel is known.
#[derive(Clone, Debug, Default)]
pub struct Disturbed {
    /// Mean pressure [Pa RMS] on the blocked diaphragm, of the motion that sweeps most.
    pub blocked: Vec<Complex64>,
    /// Its leads at an amplifier that is silent.
    pub held: Shaken,
    /// Its leads open.
    pub open: Shaken,
    /// Pressure [Pa RMS] of the panel itself at the near microphone and the seats, (places, frequencies).
    pub panel: Vec<Vec<Complex64>>,
    /// Largest error of the forces at solved frequencies that the interpolation was not fitted to, of the largest force in a band.
    pub interpolation_error: f64,
}

/// How the driver answers.
#[derive(Clone, Debug, Default)]
pub struct Shaken {
    /// Peak excursion of the coil [m].
    pub excursion: Vec<f64>,
    /// Pressure [Pa RMS] that the diaphragm's motion radiates to the near microphone and the seats, without the time of flight from the
    /// driver's front, (places, frequencies).
    pub heard: Vec<Vec<Complex64>>,
}

/// The answer to the forces of the panel's sound.
pub(super) fn disturbed(
    scene: &DriverScene,
    (motions, places): (&Motions, &Places),
    panel: &DrivenPanel,
    values: &[Vec<Complex64>],
    forces: &Forces,
) -> Disturbed {
    let motor = Motor::new(&scene.driver, motions, &scene.air);
    let mut disturbed = Disturbed {
        blocked: forces.values.iter().map(|forces| mean_pressure(motions, forces)).collect(),
        held: Shaken::still(places),
        open: Shaken::still(places),
        panel: panel.sound.pressure.columns().into_iter().map(|place| place.to_vec()).collect(),
        interpolation_error: forces.error,
    };
    for ((&frequency, values), forces) in scene.frequencies.iter().zip(values).zip(&forces.values) {
        let values = Values { values, motions: motions.count() };
        let reaction = values.reaction();
        for (leads, shaken) in [(Leads::Held, &mut disturbed.held), (Leads::Open, &mut disturbed.open)] {
            let moved = motor.pushed(forces.clone(), frequency, &reaction, leads);
            shaken.push(frequency, &values, &moved);
        }
    }
    disturbed
}

impl Shaken {
    fn still(places: &Places) -> Self {
        Self { excursion: vec![], heard: vec![vec![]; places.points.len()] }
    }

    fn push(&mut self, frequency: f64, values: &Values, moved: &Moved) {
        self.excursion.push(moved.excursion(frequency));
        let heard = values.heard(&moved.amplitudes);
        self.heard.iter_mut().zip(heard).for_each(|(place, pressure)| place.push(pressure));
    }
}

/// `−F/S`: pressure in front pushes a diaphragm back.
fn mean_pressure(motions: &Motions, forces: &[Complex64]) -> Complex64 {
    let pairs = motions.swept().iter().zip(forces);
    let most = pairs.max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()));
    most.map_or(Complex64::ZERO, |(swept, force)| -force / *swept)
}
