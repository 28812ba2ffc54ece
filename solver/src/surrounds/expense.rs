//! What the boundary elements of every surround will take, said before they begin.

use super::CompareError;
use super::bodies::{Bodies, Embodied};
use super::ladder::Rung;
use super::outlook::memory;
use super::places::Places;
use super::question;
use super::solution::copies;
use super::variant::Setting;
use crate::driver::Motions;
use crate::kept::Key;
use crate::scene::Behind;

/// Processor time [s] of an element's near field and mesh; of a pair of elements, images counted, at every frequency; and of an element and a direction or
/// microphone that is listened at. Rough: chosen so that the times told for the worked studies of surrounds are those taken, within a factor of two.
const OF_AN_ELEMENT: f64 = 1.5e-3;
const OF_A_PAIR: f64 = 4e-7;
const OF_A_DIRECTION: f64 = 1.5e-7;
/// Pairs from which on a grid takes the place of the matrix: what an element takes then grows no more.
const PAIRS_OF_AN_ELEMENT: f64 = 4000.0;
/// Frequencies that are solved of a rung's, on the average: five to begin with and three to check make eight.
const SOLVED: f64 = 12.0;
/// Solutions of a driver before a board over one in the open: they throw sound at each other.
const BEFORE_A_BOARD: f64 = 4.0;

/// What a surround will take.
#[derive(Clone, Debug)]
pub(crate) struct Expense {
    /// Of its solutions: surrounds with the same need them once.
    pub key: Key,
    /// Processor time [s], within a factor of two or three.
    pub seconds: f64,
    /// Memory at its peak [bytes], within a factor of two.
    pub bytes: f64,
}

impl Bodies<'_> {
    /// What every surround will take; bodies are meshed for it, nothing is solved.
    ///
    /// # Errors
    /// [`CompareError`], for the first surround that cannot be meshed.
    pub(crate) fn expenses(&self) -> Result<Vec<Expense>, CompareError> {
        let scene = self.scene;
        let top = scene.frequencies.last().copied().unwrap_or(0.0);
        let motions = Motions::of(&scene.driver.diaphragm, top)?;
        let setting = Setting { scene, motions, places: Places::of(scene), panel: None };
        self.all.iter().map(|body| self.expense(&setting, body)).collect()
    }

    fn expense(&self, setting: &Setting, body: &Embodied) -> Result<Expense, CompareError> {
        let last = self.scene.frequencies.len() - 1;
        let (mut seconds, mut elements) = (0.0, 0);
        for (number, rung) in self.ladder.iter().enumerate() {
            elements = body.meshed(number, rung)?.elements.len();
            seconds += of_rung(setting, body.mirrored, rung, elements as f64);
        }
        let top = self.ladder.last().expect("frequencies have rungs");
        let key = question::key(setting, body.surround, top, last, false);
        Ok(Expense { key, seconds, bytes: memory(self.scene, elements) })
    }
}

/// Processor time [s] of a rung with so many elements.
fn of_rung(setting: &Setting, mirrored: [bool; 2], rung: &Rung, elements: f64) -> f64 {
    let Setting { scene, motions, places, .. } = setting;
    let behind = if scene.behind == Behind::Plane { 2.0 } else { 1.0 };
    let images = copies(mirrored) * behind;
    let board = if matches!(scene.behind, Behind::Board(_)) { BEFORE_A_BOARD } else { 1.0 };
    let pairs = (elements * images).min(PAIRS_OF_AN_ELEMENT) * elements;
    let heard = (places.points.len()
        + places.directions.len()
        + places.sphere.count() / copies(mirrored) as usize) as f64;
    let listening = heard * elements * images * motions.count() as f64;
    let solved = SOLVED.min(rung.range.len() as f64);
    OF_AN_ELEMENT * elements * images + solved * board * (OF_A_PAIR * pairs + OF_A_DIRECTION * listening)
}
