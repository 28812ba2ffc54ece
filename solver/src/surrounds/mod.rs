//! Surrounds of a small driver compared: shapes → bodies → boundary elements → driver → response.
//!
//! ```text
//! DriverScene ─▶ Assembly ─▶ Body, one per rung of the mesh ladder ─▶ values per motion ─▶ curves ─▶ listening
//! scene          driver      boundary                                 sweep              driver
//! ```
//!
//! The sound of every motion of the diaphragm and the reaction of the air on it are solved at few frequencies and interpolated
//! between them; what the voltage makes of them is exact at every frequency.

mod curves;
mod doubts;
mod findings;
mod ladder;
mod outlook;
mod picture;
mod places;
mod solution;
mod sweep;
mod variant;

pub use curves::DriverCurves;
pub use findings::surround_findings;
pub use outlook::{Outlook, outlook};
pub use picture::{CutPlane, Picture};
pub use variant::VariantSound;

use crate::coupling::board_behind::BoardError;
use crate::driver::{AssemblyFault, Motions};
use crate::plate::PlateError;
use crate::scene::DriverScene;
use crate::{Progress, Stage, Watcher};
use places::Places;
use thiserror::Error;

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

/// Computes the sound of the driver with every surround of the scene.
///
/// # Errors
/// [`CompareError`], for the first surround that fails.
pub fn compare(scene: &DriverScene, watcher: Watcher) -> Result<Comparison, CompareError> {
    let Some(&top) = scene.frequencies.last() else { return Err(CompareError::NoFrequency) };
    let motions = Motions::of(&scene.driver.diaphragm, top)?;
    let places = Places::of(scene);
    let total = scene.surrounds.len() * scene.frequencies.len();
    let variant = |(number, surround)| {
        let tell = |done: usize| {
            let done = number * scene.frequencies.len() + done;
            watcher(Progress { stage: Stage::Surrounds, done, total });
        };
        variant::sound(scene, surround, &motions, &places, &tell)
    };
    let variants = scene.surrounds.iter().enumerate().map(variant).collect::<Result<_, _>>()?;
    Ok(Comparison {
        frequencies: scene.frequencies.clone(),
        angles: places.angles,
        disc_frequencies: motions.natural_frequencies(),
        variants,
    })
}
