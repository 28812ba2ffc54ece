//! A panel's motion and its sound at a few points, for what stands near it: nothing else that a prediction finds.

use super::margin::modes_up_to;
use super::moved_and_heard;
use super::places::Places;
use super::progress::Stage;
use crate::drive::Motion;
use crate::plate::{Modes, PlateError};
use crate::scene::Scene;
use ndarray::Array2;
use num_complex::Complex64;

/// A panel under the drive of its scene.
pub(crate) struct PanelSound {
    /// Modes with what is fixed to the panel.
    pub modes: Modes,
    /// Motion, at the frequencies that were asked for.
    pub motion: Motion,
    /// Pressure (frequencies, points) [Pa RMS], without a floor.
    pub pressure: Array2<Complex64>,
}

impl PanelSound {
    /// Motion at `frequencies` [Hz] and the sound at `points` [m] in panel coordinates. What stands near the panel does not change either.
    ///
    /// # Errors
    /// When the modes cannot be computed.
    pub fn of(
        scene: &Scene,
        frequencies: &[f64],
        points: &[[f64; 3]],
        tell: &dyn Fn(Stage, usize, usize),
    ) -> Result<Self, PlateError> {
        let scene = Scene { frequencies: frequencies.to_vec(), ..scene.clone() };
        tell(Stage::Modes, 0, 1);
        let modes = Modes::solve(&scene.panel, modes_up_to(&scene))?.with_attached(&scene.attachments)?;
        let (motion, pressure) = Self::driven(&scene, &modes, points, tell);
        Ok(Self { modes, motion, pressure })
    }

    /// The same with modes that are known, at the frequencies of the scene.
    pub fn driven(
        scene: &Scene,
        modes: &Modes,
        points: &[[f64; 3]],
        tell: &dyn Fn(Stage, usize, usize),
    ) -> (Motion, Array2<Complex64>) {
        let mut scene = scene.clone();
        scene.receivers.floor = None;
        // The map is a single point, which is not to ask for a finer grid than the points do.
        scene.receivers.map.distance = points.iter().map(|point| point[2].abs()).fold(1.0, f64::max);
        let places = Places::only(&scene, points.to_vec());
        let (motion, sound) = moved_and_heard(&scene, modes, &places, tell);
        (motion, sound.microphones)
    }
}
