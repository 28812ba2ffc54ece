//! Where and how the places of a driver are judged.

use super::grid::DriverGrid;
use super::scores::DriverWeights;
use crate::scene::{DriverScene, Surround};
use serde::Serialize;

/// Places that are judged unless a step is given.
const USUAL_PLACES: f64 = 400.0;

/// Where and how places are judged.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DriverOptions {
    /// How far [m] beyond the panel's edges the driver may hang.
    pub margin: f64,
    /// Distance [m] of neighbouring places; about 400 in all unless given.
    pub step: Option<f64>,
    /// Frequencies per octave at most.
    pub per_octave: f64,
    /// Octaves beyond the corners of the crossover that are judged.
    pub octaves: f64,
    /// What the scores count against each other.
    pub weights: DriverWeights,
    /// Name of the surround that it hangs with; a driver that has none of that name hangs with its first.
    pub surround: Option<String>,
}

impl Default for DriverOptions {
    fn default() -> Self {
        let weights = DriverWeights::default();
        Self { margin: 0.12, step: None, per_octave: 12.0, octaves: 2.0, weights, surround: None }
    }
}

impl DriverOptions {
    /// The surround of `scene` that is asked for: that of the name, or its first.
    pub(super) fn surround<'s>(&self, scene: &'s DriverScene) -> Option<&'s Surround> {
        scene.surrounds.get(self.surround_index(scene)?)
    }

    /// Its index.
    pub(super) fn surround_index(&self, scene: &DriverScene) -> Option<usize> {
        let named = |name: &String| scene.surrounds.iter().position(|surround| surround.name == *name);
        self.surround.as_ref().and_then(named).or((!scene.surrounds.is_empty()).then_some(0))
    }

    /// The grid of places around a panel of these extents [m].
    pub fn grid(&self, (width, height): (f64, f64)) -> DriverGrid {
        let area = (width + 2.0 * self.margin) * (height + 2.0 * self.margin);
        DriverGrid::around([width, height], self.margin, self.step.unwrap_or((area / USUAL_PLACES).sqrt()))
    }
}
