//! Surrounds of a small driver compared: shapes → bodies → boundary elements → driver → response.
//!
//! ```text
//! DriverScene ─▶ Bodies ─▶ Body, one per rung of the mesh ladder ─▶ values per motion ─▶ curves ─▶ listening
//! scene          driver    boundary                                 solved, sweep        driver
//! ```
//!
//! The sound of every motion of the diaphragm and the reaction of the air on it are solved at few frequencies and interpolated
//! between them; what the voltage makes of them is exact at every frequency. So is what a driven panel behind makes of the driver, by
//! [reciprocity](crate::coupling::panel_on_driver).
//!
//! Every solved frequency is [kept](crate::kept): a comparison that was stopped goes on, and a changed one solves only what has changed.

mod bodies;
mod curves;
mod disturbed;
mod doubts;
mod expense;
mod findings;
mod ladder;
mod on_panel;
mod outlook;
mod picture;
mod places;
#[cfg(test)]
mod power_tests;
mod question;
mod radiated;
mod solution;
mod solved;
mod sphere;
mod sweep;
#[cfg(test)]
mod tests;
mod variant;

pub use bodies::Bodies;
pub(crate) use bodies::coarsest;
pub use curves::DriverCurves;
pub use disturbed::{Disturbed, Shaken};
pub(crate) use doubts::stiff_below;
pub use findings::surround_findings;
pub use outlook::Outlook;
pub use picture::{CutPlane, Picture};
pub(crate) use solution::{copies, drive, reactions};
pub(crate) use solved::admittance;
pub use variant::VariantSound;

use crate::coupling::board_behind::BoardError;
use crate::driver::{AssemblyFault, Motions};
use crate::kept::KeptWork;
use crate::plate::PlateError;
use crate::predict::PanelSound;
use crate::scene::{Behind, DriverScene, Scene};
use crate::{Progress, Stage, Watcher};
use on_panel::DrivenPanel;
use places::Places;
use thiserror::Error;
use variant::{Around, Setting};

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
    /// Polar angles [rad] of all directions round the driver, from its axis.
    pub polar_angles: Vec<f64>,
    /// Azimuths [rad] of all directions, about the axis from the listener's right towards the top.
    pub azimuths: Vec<f64>,
    /// Natural frequencies [Hz] of a bending disc.
    pub disc_frequencies: Vec<f64>,
    /// The surrounds, in the scene's order.
    pub variants: Vec<VariantSound>,
}

impl Comparison {
    /// How many frequencies were solved, all surrounds together, and how many of these in earlier runs.
    pub fn solutions(&self) -> [usize; 2] {
        let solved = self.variants.iter().flat_map(|variant| &variant.computed).map(|band| band.solved).sum();
        [solved, self.variants.iter().map(|variant| variant.taken_over).sum()]
    }
}

/// Computes the sound of the driver with every surround, and what a driven `panel` behind it does to it up to the highest frequency of the
/// panel's own scene. What was solved before is taken from `kept`, what is solved now is put there.
///
/// # Errors
/// [`CompareError`], for the first surround that fails.
pub fn compare(
    bodies: &Bodies,
    panel: Option<&Scene>,
    kept: &dyn KeptWork,
    watcher: Watcher,
) -> Result<Comparison, CompareError> {
    let Bodies { scene, ladder, all } = bodies;
    let Some(&top) = scene.frequencies.last() else { return Err(CompareError::NoFrequency) };
    let places = Places::of(scene);
    let panel = panel.map(|panel| driven(scene, panel, &places, watcher)).transpose()?.flatten();
    let setting = Setting { scene, motions: Motions::of(&scene.driver.diaphragm, top)?, places, panel };
    let total = all.len() * scene.frequencies.len();
    let variant = |(number, embodied)| {
        let tell = |done: usize| {
            let done = number * scene.frequencies.len() + done;
            watcher(Progress { stage: Stage::Surrounds, done, total });
        };
        variant::sound(&setting, embodied, ladder, Around { kept, tell: &tell })
    };
    let variants = all.iter().enumerate().map(variant).collect::<Result<_, _>>()?;
    Ok(Comparison {
        frequencies: scene.frequencies.clone(),
        disc_frequencies: setting.motions.natural_frequencies(),
        angles: setting.places.angles,
        polar_angles: setting.places.sphere.polar,
        azimuths: setting.places.sphere.azimuth,
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
