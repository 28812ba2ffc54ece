//! One variant of a case measured, with what earlier variants left behind.
//!
//! ```text
//! Variant ─▶ modes, transfers, air, boundary solutions (Workbench: made once) ─▶ sound ─▶ listening ─▶ Outcome
//! ```
//!
//! Objectives say what they need, and nothing else is computed. Numbers do not depend on what was kept, on the order of variants, or on the
//! number of threads. Variants may be measured side by side from any threads.

mod blend;
mod driver;
mod expected;
mod objective;
mod pace;
mod panel;
mod reached;
mod values;
mod workbench;

pub use expected::{Expected, Shareable};
pub use objective::{Across, Better, Objective, Over, Range, Subject};
pub use pace::pace;
pub use workbench::{Count, Kind, Reuse, Workbench};

use crate::blend::BlendError;
use crate::plate::PlateError;
use crate::scene::{BlendScene, DriverScene, Scene};
use crate::surrounds::CompareError;
use ndarray::Array2;
use values::Value;

/// A variant of a case: what the case describes.
#[derive(Clone, Debug, Default)]
pub struct Variant {
    /// The panel.
    pub panel: Option<Scene>,
    /// The small driver with its surrounds.
    pub driver: Option<DriverScene>,
    /// Panel and driver together.
    pub blend: Option<BlendScene>,
}

/// What was found of a variant.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// One number per objective, in their order; not-a-number where there is none.
    pub values: Vec<f64>,
    /// Why there is none, beside each objective.
    pub missing: Vec<Option<String>>,
    /// Level [dB re 20 µPa] at every seat (seats, frequencies): of the sum if the variant is a blend, else of the panel, else of the driver; empty when no
    /// objective asked for sound at the seats.
    pub curves: Array2<f32>,
}

/// Why a variant could not be measured.
#[derive(Debug, thiserror::Error)]
pub enum MeasureError {
    /// The panel's modes could not be computed.
    #[error(transparent)]
    Plate(#[from] PlateError),
    /// The driver could not be computed.
    #[error(transparent)]
    Driver(#[from] CompareError),
    /// Panel and driver could not be put together.
    #[error(transparent)]
    Blend(#[from] BlendError),
    /// What a force does could not be worked out.
    #[error(transparent)]
    Reach(#[from] crate::search::exciters::SearchError),
    /// Nothing moves the panel.
    #[error("the variant has no exciter, so nothing moves the panel: add one")]
    NoExciter,
    /// Nothing to compute.
    #[error("the variant has no frequencies: give a range with at least one frequency")]
    NoFrequency,
}

/// Measures a variant by all `objectives`.
///
/// # Errors
/// [`MeasureError`]. A number that does not exist is none.
pub fn measure(
    bench: &Workbench,
    variant: &Variant,
    objectives: &[Objective],
) -> Result<Outcome, MeasureError> {
    bench.apart(|| measured(bench, variant, objectives))
}

fn measured(bench: &Workbench, variant: &Variant, objectives: &[Objective]) -> Result<Outcome, MeasureError> {
    crate::single_threaded_blas();
    let asked = |subject: Subject| objectives.iter().any(|objective| objective.subject() == subject);
    let blend = variant.blend.as_ref().filter(|_| asked(Subject::Blend));
    let blend = blend.map(|scene| blend::Sum::of(bench, scene)).transpose()?;
    let panel = variant.panel.as_ref().filter(|_| asked(Subject::Panel));
    let panel = panel.map(|scene| panel::Heard::of(bench, scene, objectives)).transpose()?;
    let driver = variant.driver.as_ref().filter(|_| asked(Subject::Driver));
    let driver = driver.map(|scene| driver::Compared::of(bench, scene)).transpose()?;
    let value = |objective: &Objective| match objective.subject() {
        Subject::Panel => panel.as_ref().map_or_else(|| absent("panel"), |panel| panel.value(objective)),
        Subject::Driver => driver.as_ref().map_or_else(|| absent("driver"), |driver| driver.value(objective)),
        Subject::Blend => {
            blend.as_ref().map_or_else(|| absent("panel with a driver"), |blend| blend.value(objective))
        }
    };
    let found: Vec<Value> = objectives.iter().map(value).collect();
    let curves = (blend.as_ref().map(blend::Sum::levels))
        .or_else(|| panel.as_ref().map(panel::Heard::levels))
        .or_else(|| driver.as_ref().map(driver::Compared::levels));
    Ok(Outcome {
        values: found.iter().map(|value| value.as_ref().copied().unwrap_or(f64::NAN)).collect(),
        missing: found.into_iter().map(Result::err).collect(),
        curves: curves.unwrap_or_default(),
    })
}

fn absent(what: &str) -> Value {
    Err(format!("the case has no {what}"))
}

#[cfg(test)]
mod tests;
