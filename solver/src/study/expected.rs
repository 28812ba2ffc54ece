//! How long a variant will take and what of that others may share, said before any is computed.
//!
//! What may be shared is named by keys like those under which a workbench keeps it: two variants of one key take it once.

use super::blend::with_last_surrounds;
use super::panel::{Needs, modes_key};
use super::reached::{COUPLED, Listening, is_known};
use super::{MeasureError, Objective, Subject, Variant};
use crate::blend::parts_alone;
use crate::kept::Key;
use crate::predict::{Cost, Hearing};
use crate::scene::{DriverScene, Scene};
use crate::surrounds::Bodies;

/// Coupled solutions that a place which is listened at costs on a panel that is known, and one of the modes joined by the air, over that of a prediction: steps
/// of the iteration that were counted.
const OF_A_PLACE: f64 = 4.0 / 7.0;
const OF_A_MODE: f64 = 0.5 / 7.0;
/// The most that all places cost: from there on the air between all modes is found and solved for directly. Measured on 131 places, 80 frequencies, 1,300 modes.
const DIRECTLY: f64 = 13.0;
/// Places times modes times exciters per second and core.
const REACH_RATE: f64 = 6e9;
/// Processor time [s] of what every variant takes besides: its case is read, curves become numbers.
const BESIDES: f64 = 6e-3;

/// Work that variants may share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shareable {
    /// What it depends on: variants with the same key need it once.
    pub key: Key,
    /// Processor time [s].
    pub seconds: f64,
}

/// What a variant takes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Expected {
    /// What others may share.
    pub shareable: Vec<Shareable>,
    /// Processor time [s] of the rest.
    pub own: f64,
    /// Memory at its peak [bytes], roughly, without what is kept for others.
    pub bytes: f64,
}

impl Expected {
    /// Of a variant measured by `objectives`, on a workbench for moving exciters or another. Nothing is solved.
    ///
    /// # Errors
    /// [`MeasureError`], for a body that cannot be made.
    pub fn of(variant: &Variant, objectives: &[Objective], moving: bool) -> Result<Self, MeasureError> {
        let asked = |subject: Subject| objectives.iter().any(|objective| objective.subject() == subject);
        let mut all = Self { own: BESIDES, ..Self::default() };
        if let Some(scene) = variant.panel.as_ref().filter(|_| asked(Subject::Panel)) {
            all.add_panel(scene, Needs::of(objectives), moving);
        }
        if let Some(scene) = variant.driver.as_ref().filter(|_| asked(Subject::Driver)) {
            all.add_driver(scene)?;
        }
        let blend = variant.blend.as_ref().filter(|_| asked(Subject::Blend)).map(with_last_surrounds);
        if let Some((panel, drivers)) = blend.as_ref().and_then(parts_alone) {
            let cost = Cost::of(&panel);
            all.own += cost.seconds * rayon::current_num_threads() as f64;
            all.bytes = all.bytes.max(cost.bytes);
            drivers.iter().try_for_each(|driver| all.add_driver(driver))?;
        }
        Ok(all)
    }

    fn add_panel(&mut self, scene: &Scene, needs: Needs, moving: bool) {
        if !needs.any() {
            return;
        }
        let places = needs.places(scene);
        let hearing = Hearing::of(scene, &places);
        let key = modes_key(scene);
        self.bytes = self.bytes.max(hearing.bytes);
        self.shareable.push(Shareable { key, seconds: hearing.modal() });
        if !(moving && is_known(scene, needs)) {
            self.own += hearing.seconds();
            return;
        }
        let listening = Listening::of(scene, &places, needs.map);
        let (listened, modes) = (listening.len() as f64, hearing.modes.modes as f64);
        let reach = hearing.air * (OF_A_PLACE * listened + OF_A_MODE * COUPLED as f64).min(DIRECTLY);
        self.shareable.push(Shareable { key: listening.key(scene), seconds: reach });
        self.own +=
            listened * scene.frequencies.len() as f64 * modes * scene.exciters.len() as f64 / REACH_RATE;
    }

    fn add_driver(&mut self, scene: &DriverScene) -> Result<(), MeasureError> {
        for expense in Bodies::of(scene)?.expenses()? {
            self.bytes = self.bytes.max(expense.bytes);
            self.shareable.push(Shareable { key: expense.key, seconds: expense.seconds });
        }
        Ok(())
    }
}
