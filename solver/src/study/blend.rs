//! Panel and drivers of a variant together, every driver with its last surround, which is the one that a study varies.

use super::values::{self, Value};
use super::{MeasureError, Objective, Workbench};
use crate::blend::{BlendFindings, blend_findings, ensemble};
use crate::listening::{Heard, spl};
use crate::scene::BlendScene;
use ndarray::Array2;

/// The scene as it is judged: every driver with its last surround only.
pub(super) fn with_last_surrounds(scene: &BlendScene) -> BlendScene {
    let mut scene = scene.clone();
    for fed in &mut scene.drivers {
        let before = fed.scene.surrounds.len().saturating_sub(1);
        fed.scene.surrounds.drain(..before);
    }
    scene
}

/// Panel and driver heard together.
pub(super) struct Sum(BlendFindings);

impl Sum {
    pub fn of(bench: &Workbench, scene: &BlendScene) -> Result<Self, MeasureError> {
        let ensemble = ensemble(&with_last_surrounds(scene), bench, &|_| {})?;
        Ok(Self(blend_findings(&ensemble)))
    }

    /// Levels [dB re 20 µPa] of the sum (seats, frequencies).
    pub fn levels(&self) -> Array2<f32> {
        let Some(last) = self.0.surrounds.last() else { return Array2::default((0, 0)) };
        let count = self.0.frequencies.len();
        Array2::from_shape_fn((last.seats.len(), count), |(s, f)| spl(last.seats[s].pressure[f]) as f32)
    }

    pub fn value(&self, objective: &Objective) -> Value {
        let found = &self.0;
        let Some(last) = found.surrounds.last() else {
            return Err("the case has no driver with a surround".into());
        };
        match *objective {
            Objective::SumFlatness { band, over } => {
                let seats: Vec<Vec<f64>> =
                    last.seats.iter().map(|seat| values::squares(&seat.pressure)).collect();
                values::unevenness_at(&found.frequencies, &seats, &band, over)
            }
            Objective::Agreement { band } => {
                let all = last.agreement.iter().flat_map(|seat| &seat.bands);
                apart(all.filter(|at| band.holds(at.band.nominal)))
            }
            _ => Err("that is not asked of panel and driver together".into()),
        }
    }
}

/// Largest angle [°] between the centres in bands where neither leads alone.
fn apart<'a>(bands: impl Iterator<Item = &'a crate::listening::BandAgreement>) -> Value {
    let angle = |at: &crate::listening::BandAgreement| {
        let apart = at.from_wave_front.or(at.from_intensity)?;
        (at.heard != Heard::OneLeads).then(|| apart.horizontal.hypot(apart.vertical).to_degrees())
    };
    let found: Vec<f64> = bands.filter_map(angle).collect();
    if found.is_empty() {
        return Err("in every band of the range one of panel and driver leads by far".into());
    }
    Ok(values::largest(found))
}
