//! The pipeline: scene → modes → motion → sound → findings. The only place that calls all the parts.

mod baffled_motion;
mod cost;
pub(crate) mod findings;
mod margin;
mod open_sound;
mod panel_sound;
pub(crate) mod places;
mod progress;
pub(crate) mod sound;
#[cfg(test)]
mod tests;
mod unfinished;
mod variations;

pub use cost::Cost;
pub(crate) use cost::Hearing;
pub use margin::MODE_MARGIN;
pub(crate) use margin::modes_up_to;
pub(crate) use open_sound::stretches;
pub(crate) use panel_sound::PanelSound;
pub use progress::{Progress, Stage, Watcher};
pub(crate) use sound::cells_for;
pub use variations::built;

use crate::drive::{self, Motion};
use crate::listening::Findings;
use crate::plate::{Modes, PlateError};
use crate::radiation::Tier;
use crate::scene::{Back, Scene};
use ndarray::Array2;
use num_complex::Complex64;
use places::Places;
use sound::Sound;

/// Why a prediction stopped.
#[derive(Debug, thiserror::Error)]
pub enum PredictError {
    /// The modes could not be computed.
    #[error(transparent)]
    Plate(#[from] PlateError),
    /// Nothing moves the panel.
    #[error("the scene has no exciter, so nothing moves the panel: add one, or ask for the modes only")]
    NoExciter,
    /// Nothing to compute.
    #[error("the scene has no frequencies: give a range with at least one frequency")]
    NoFrequency,
}

/// All that a prediction yields.
#[derive(Clone, Debug)]
pub struct Prediction {
    /// Modes of the panel with its patches and bars.
    pub modes: Modes,
    /// Motion of panel and exciters.
    pub motion: Motion,
    /// Answers to the questions of listeners and builders.
    pub findings: Findings,
    /// Complex sound far away.
    pub far: FarField,
}

/// Sound far away over both arcs about the middle of the panel's bounding box, in its plane: `r p exp(jkr)` [Pa m RMS].
#[derive(Clone, Debug, PartialEq)]
pub struct FarField {
    /// Angles [rad] from the panel's axis: positive to the listener's right and upwards.
    pub angles: Vec<f64>,
    /// Horizontal arc, (frequencies, angles).
    pub horizontal: Array2<Complex64>,
    /// Vertical arc.
    pub vertical: Array2<Complex64>,
}

/// Predicts how `scene` sounds, telling `watcher` how far it has come.
///
/// # Errors
/// When nothing drives the panel or its modes cannot be computed.
pub fn predict(scene: &Scene, watcher: Watcher) -> Result<Prediction, PredictError> {
    if scene.frequencies.is_empty() {
        return Err(PredictError::NoFrequency);
    }
    if scene.exciters.is_empty() {
        return Err(PredictError::NoExciter);
    }
    let tell = |stage, done, total| watcher(Progress { stage, done, total });

    tell(Stage::Modes, 0, 1);
    let modes = Modes::solve(&scene.panel, modes_up_to(scene))?.with_attached(&scene.attachments)?;
    let assembled = drive::assembled(scene, &modes, findings::ASSEMBLED_SHOWN)?;
    let places = Places::of(scene);
    let (motion, sound) = moved_and_heard(scene, &modes, &places, &tell);
    tell(Stage::Findings, 0, 1);
    let mut findings = findings::gather(scene, &modes, assembled, &motion, &places, &sound);
    variations::add(scene, (&modes, &motion), &places, &sound, &mut findings, &|done, total| {
        tell(Stage::Variations, done, total);
    });
    findings::conclude(scene, &modes, &motion, &places, &mut findings);
    tell(Stage::Findings, 1, 1);
    let far = FarField { angles: places.angles, horizontal: sound.horizontal, vertical: sound.vertical };
    Ok(Prediction { modes, motion, findings, far })
}

/// Size of the cells [m] of an open-backed panel's grid up to `frequency` [Hz] in the prediction of `scene`, for the same reason.
pub(crate) fn screen_cell(scene: &Scene, frequency: f64) -> f64 {
    open_sound::cell_for(scene, &Places::of(scene), frequency)
}

/// Frequencies that share a lattice of the panel in the prediction of `scene`, for those who have to hear the same.
pub(crate) fn listening_tiers(scene: &Scene) -> Vec<Tier> {
    sound::tiers(scene, &Places::of(scene))
}

/// Motion of the panel with the air that pushes back, and its sound at the places.
pub(crate) fn moved_and_heard(
    scene: &Scene,
    modes: &Modes,
    places: &Places,
    tell: &dyn Fn(Stage, usize, usize),
) -> (Motion, Sound) {
    let telling = |stage| move |done, total| tell(stage, done, total);
    match scene.panel.back {
        Back::Open | Back::Wall { .. } => open_sound::of(scene, modes, places, &telling(Stage::Sound)),
        Back::Baffled | Back::Closed { .. } | Back::Vented { .. } => {
            let (motion, vent) = baffled_motion::of(scene, modes, &telling(Stage::Motion));
            let sound = Sound::of(scene, modes, (&motion, &vent), places, &telling(Stage::Sound));
            (motion, sound)
        }
    }
}
