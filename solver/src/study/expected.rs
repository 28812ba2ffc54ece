//! How long variants will take, said before the first.

use super::panel::Needs;
use super::reached::{COUPLED, is_known};
use super::{Objective, Subject};
use crate::predict::Cost;
use crate::predict::places::Places;
use crate::scene::Scene;

/// Coupled solutions that a place which is listened at costs on a panel that is known, and one of the modes joined by the air, over that of a prediction: steps
/// of the iteration that were counted.
const OF_A_PLACE: f64 = 4.0 / 11.0;
const OF_A_MODE: f64 = 0.5 / 11.0;
/// Places times modes times exciters per second and core, and what a variant takes besides [s]: measured on 131 places, 80 frequencies, 1,900 modes.
const REACH_RATE: f64 = 6e9;
const BESIDES: f64 = 6e-3;

/// Processor time [s], within a factor of about three.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// Of what all variants of a panel share.
    pub panel: f64,
    /// Of a variant.
    pub variant: f64,
}

impl Expected {
    /// Of variants like `scene` measured by `objectives`, on a workbench for moving exciters or another; `None` where something else than a panel is asked
    /// about.
    pub fn of(scene: &Scene, objectives: &[Objective], moving: bool) -> Option<Self> {
        if objectives.iter().any(|objective| objective.subject() != Subject::Panel) {
            return None;
        }
        let needs = Needs::of(objectives);
        let mut plain = scene.clone();
        plain.spread.samples = 0;
        let cost = Cost::of(&plain);
        if !(moving && is_known(scene, needs)) {
            let cores = rayon::current_num_threads() as f64;
            return Some(Self { panel: cost.modal, variant: (cost.seconds * cores - cost.modal).max(0.0) });
        }
        let listened = Places::of(scene).microphones.len() + if needs.map { cost.map_microphones } else { 0 };
        let (places, modes) = (listened as f64, cost.modes.modes as f64);
        let work = places * cost.frequencies as f64 * modes * scene.exciters.len() as f64;
        Some(Self {
            panel: cost.modal + cost.air * (OF_A_PLACE * places + OF_A_MODE * COUPLED as f64),
            variant: BESIDES + work / REACH_RATE,
        })
    }
}
