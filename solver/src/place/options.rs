//! What a search for places goes by.

use crate::search::drivers::DriverOptions;
use crate::search::exciters::{Allowed, Spacing, Weights};
use serde::Serialize;

/// Usual distance of neighbouring places [m].
const USUAL_STEP: f64 = 10e-3;
/// On a large panel the step grows until about so many places are left.
const USUAL_PLACES: f64 = 10_000.0;

/// What a search for places goes by. The default is everywhere on the panel, with our own balance of scores.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlaceOptions {
    /// Channel whose exciters are placed, an index into the scene's; the first of those with the most exciters unless given.
    pub channel: Option<usize>,
    /// Distance of neighbouring places [m]; [`usual_step`] unless given.
    pub step: Option<f64>,
    /// Least distance [m] of a foot's ring from the rim and from everything else on the panel.
    pub clearance: f64,
    /// Least distance [m] of the centres of two exciters; two diameters of the foot unless given.
    pub apart: Option<f64>,
    /// Where feet may stand.
    pub allowed: Allowed,
    /// What the scores count against each other.
    pub weights: Weights,
    /// Where the small driver may hang, and what counts there.
    pub driver: DriverOptions,
}

impl Default for PlaceOptions {
    fn default() -> Self {
        Self {
            channel: None,
            step: None,
            clearance: Spacing::default().clearance,
            apart: None,
            allowed: Allowed::default(),
            weights: Weights::default(),
            driver: DriverOptions::default(),
        }
    }
}

/// The step [m] of a panel that is `width` by `height` [m]: 10 mm, more on a large one, in whole millimetres.
pub fn usual_step((width, height): (f64, f64)) -> f64 {
    let wanted = (width * height / USUAL_PLACES).sqrt();
    USUAL_STEP.max((1e3 * wanted).ceil() * 1e-3)
}
