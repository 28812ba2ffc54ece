//! Surrounds of a small driver compared: shapes → bodies → boundary elements → driver → response.
//!
//! ```text
//! DriverScene ─▶ Assembly ─▶ Body, one per rung of the mesh ladder ─▶ values per motion ─▶ curves ─▶ listening
//! scene          driver      boundary                                 sweep              driver
//! ```
//!
//! The sound of every motion of the diaphragm and the reaction of the air on it are solved at few frequencies and interpolated
//! between them; what the voltage makes of them is exact at every frequency. So is what a driven panel behind makes of the driver, by
//! [reciprocity](crate::coupling::panel_on_driver).

mod curves;
mod disturbed;
mod doubts;
mod findings;
mod ladder;
mod on_panel;
mod outlook;
mod picture;
mod places;
mod radiated;
mod solution;
mod sweep;
#[cfg(test)]
mod tests;
mod variant;

pub use curves::DriverCurves;
pub use disturbed::{Disturbed, Shaken};
pub use findings::surround_findings;
pub use outlook::{Outlook, outlook};
pub use picture::{CutPlane, Picture};
pub use variant::VariantSound;

use crate::coupling::board_behind::BoardError;
use crate::driver::{AssemblyFault, Motions};
use crate::plate::PlateError;
use crate::predict::PanelSound;
use crate::scene::{Behind, DriverScene, Scene};
use crate::{Progress, Stage, Watcher};
use on_panel::DrivenPanel;
use places::Places;
use thiserror::Error;
use variant::Setting;

/// Why surrounds could not be compared.
#[derive(Debug, Error)]
pub enum CompareError {
    /// A shape that cannot be.
    #[error("\"{surround}\": {fault}")]
    Shape {
        /// Name of the surround.
        surround: String,
        /// What is wrong with it.
        fault: AssemblyFault,
    },
    /// A body that boundary elements cannot treat.
    #[error("\"{surround}\": {fault}")]
    Sound {
        /// Name of the surround.
        surround: String,
        /// What is wrong.
        fault: BoardError,
    },
    /// A bending disc whose modes cannot be computed.
    #[error("the diaphragm's modes cannot be computed: {0}")]
    Disc(#[from] PlateError),
    /// A panel whose modes cannot be computed.
    #[error("what the panel does to the driver cannot be computed: {0}")]
    Panel(PlateError),
    /// Nothing to compute.
    #[error("no frequencies are asked for: give a range with at least one frequency")]
    NoFrequency,
}

/// All surrounds of a driver.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// Frequencies [Hz].
    pub frequencies: Vec<f64>,
    /// Angles [rad] of the arcs: 0 on the axis, positive to the listener's right and upwards.
    pub angles: Vec<f64>,
    /// Natural frequencies [Hz] of a bending disc.
    pub disc_frequencies: Vec<f64>,
    /// The surrounds, in the scene's order.
    pub variants: Vec<VariantSound>,
}

/// Computes the sound of the driver with every surround of the scene, and what a driven `panel` behind it does to it up to the highest
/// frequency of the panel's own scene.
///
/// # Errors
/// [`CompareError`], for the first surround that fails.
pub fn compare(
    scene: &DriverScene,
    panel: Option<&Scene>,
    watcher: Watcher,
) -> Result<Comparison, CompareError> {
    let Some(&top) = scene.frequencies.last() else { return Err(CompareError::NoFrequency) };
    let places = Places::of(scene);
    let panel = panel.map(|panel| driven(scene, panel, &places, watcher)).transpose()?.flatten();
    let setting = Setting { scene, motions: Motions::of(&scene.driver.diaphragm, top)?, places, panel };
    let total = scene.surrounds.len() * scene.frequencies.len();
    let variant = |(number, surround)| {
        let tell = |done: usize| {
            let done = number * scene.frequencies.len() + done;
            watcher(Progress { stage: Stage::Surrounds, done, total });
        };
        variant::sound(&setting, surround, &tell)
    };
    let variants = scene.surrounds.iter().enumerate().map(variant).collect::<Result<_, _>>()?;
    Ok(Comparison {
        frequencies: scene.frequencies.clone(),
        disc_frequencies: setting.motions.natural_frequencies(),
        angles: setting.places.angles,
        variants,
    })
}

/// The panel's motion and sound; nothing when it does not stand behind the driver or its own scene ends below the lowest frequency.
fn driven<'a>(
    scene: &DriverScene,
    panel: &'a Scene,
    places: &Places,
    watcher: Watcher,
) -> Result<Option<DrivenPanel<'a>>, CompareError> {
    let top = panel.frequencies.last().copied().unwrap_or(0.0);
    let frequencies = &scene.frequencies[..scene.frequencies.partition_point(|f| *f <= top)];
    if scene.behind == Behind::Nothing || frequencies.is_empty() || panel.exciters.is_empty() {
        return Ok(None);
    }
    let [x, y, _] = scene.driver.place;
    let points: Vec<[f64; 3]> =
        places.points.iter().map(|point| [point.x + x, point.y + y, point.z]).collect();
    let tell = |stage, done, total| watcher(Progress { stage, done, total });
    let sound = PanelSound::of(panel, frequencies, &points, &tell).map_err(CompareError::Panel)?;
    Ok(Some(DrivenPanel { scene: panel, sound }))
}
