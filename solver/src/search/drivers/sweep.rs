//! All frequencies for all places, and the whole computation at a few.

use super::field::{Heard, Stage};
use super::grid::DriverGrid;
use super::handover::Handover;
use super::radiator::Radiator;
use super::scores::Found;
use super::shadow::Moving;
use crate::Prediction;
use crate::scene::DriverScene;
use crate::surrounds::CompareError;
use crate::{Progress, Watcher};
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::Outline;
use rayon::prelude::*;
use serde::Serialize;

/// Frequencies that are worked on at once: none waits for another, and there are no more fields in memory than these need.
const AT_ONCE: usize = 8;
/// Frequencies of whole computations beside the corners, over the lowest and the highest.
const CHECKED: [f64; 2] = [0.5, 2.0];

/// The map beside the driver and the board computed together.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Checked {
    /// Where [m].
    pub position: [f64; 2],
    /// At which frequency [Hz].
    pub frequency: f64,
    /// Root mean square over the seats of the difference of pressures, over that of the driver with nothing behind it.
    pub deviation: f64,
}

impl Checked {
    /// The map at one place [m] and frequency [Hz], beside the whole computation: the first surround of `scene`, before `board` whatever is behind it in the scene.
    ///
    /// # Errors
    /// When the driver cannot be there, or an iteration does not converge.
    pub fn at(
        scene: &DriverScene,
        board: &Outline,
        position: [f64; 2],
        frequency: f64,
    ) -> Result<Self, CompareError> {
        let Some(surround) = scene.surrounds.first() else { return Err(CompareError::NoFrequency) };
        let radiator = Radiator::new(scene, surround)?;
        let grid = DriverGrid { x: vec![position[0]], y: vec![position[1]] };
        let stage =
            Stage { outline: board, walled: false, seats: &scene.seats, air: &scene.air, grid: &grid };
        let heard = stage.heard(&radiator, frequency)?;
        stage.check(&radiator, &heard, (0, 0), frequency)
    }
}

/// All frequencies.
pub(super) struct Everything {
    pub heard: Vec<Heard>,
    /// Energy of the panel with the housing over that without.
    shadow: Vec<Array2<f64>>,
}

impl Everything {
    pub fn at(&self, cell: (usize, usize), front: [f64; 3]) -> Found {
        let seats = self.heard.first().map_or(0, |heard| heard.boarded.len());
        let of = |pick: fn(&Heard) -> &Vec<Array2<Complex64>>| {
            (0..seats).map(|s| self.heard.iter().map(|heard| pick(heard)[s][cell]).collect()).collect()
        };
        Found {
            front,
            boarded: of(|heard| &heard.boarded),
            free: of(|heard| &heard.free),
            shadow: self.shadow.iter().map(|ratio| ratio[cell]).collect(),
        }
    }
}

/// What is computed for every place.
pub(super) struct Plan<'a> {
    pub radiator: &'a Radiator<'a>,
    pub panel: &'a Prediction,
    pub frequencies: &'a [f64],
    /// Indices of those at which the panel is heard past the housing.
    pub shadowed: Vec<usize>,
}

impl Stage<'_> {
    /// What is heard at all frequencies.
    pub fn everything(&self, plan: &Plan, watcher: Watcher) -> Result<Everything, CompareError> {
        let total = plan.frequencies.len();
        let (mut heard, mut shadow) = (vec![], vec![]);
        for start in (0..total).step_by(AT_ONCE) {
            watcher(Progress { stage: crate::Stage::Places, done: start, total });
            let range = start..(start + AT_ONCE).min(total);
            let here = range.clone().into_par_iter().map(|i| self.heard(plan.radiator, plan.frequencies[i]));
            heard.extend(here.collect::<Result<Vec<_>, _>>()?);
            let behind =
                plan.shadowed.par_iter().filter(|i| range.contains(i)).map(|&i| self.behind(plan, i));
            shadow.extend(behind.collect::<Result<Vec<_>, _>>()?);
        }
        Ok(Everything { heard, shadow })
    }

    /// The map beside whole computations at some cells, at the corners and around them; before a wall the map is one itself.
    pub fn checked(
        &self,
        plan: &Plan,
        all: &Everything,
        cells: [(usize, usize); 2],
        handover: &Handover,
    ) -> Result<Vec<Checked>, CompareError> {
        if self.walled {
            return Ok(vec![]);
        }
        let nearest = |wanted: f64| {
            let off = |i: &usize| (plan.frequencies[*i] / wanted).ln().abs();
            (0..plan.frequencies.len()).min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(0)
        };
        let ([below, above], [low, high]) = (CHECKED, handover.ends());
        let corners = handover.corners.iter().copied();
        let wanted: Vec<f64> = std::iter::once(below * low).chain(corners).chain([above * high]).collect();
        let mut checked = vec![];
        for cell in cells {
            for index in wanted.iter().map(|f| nearest(*f)) {
                checked.push(self.check(plan.radiator, &all.heard[index], cell, plan.frequencies[index])?);
            }
        }
        Ok(checked)
    }

    fn check(
        &self,
        radiator: &Radiator,
        heard: &Heard,
        cell: (usize, usize),
        frequency: f64,
    ) -> Result<Checked, CompareError> {
        let position = [self.grid.x[cell.0], self.grid.y[cell.1]];
        let whole = radiator.before_board(self.outline, position, self.seats, frequency)?;
        let off: f64 = (0..whole.len()).map(|s| (heard.boarded[s][cell] - whole[s]).norm_sqr()).sum();
        let free: f64 = heard.free.iter().map(|seat| seat[cell].norm_sqr()).sum();
        Ok(Checked { position, frequency, deviation: (off / free).sqrt() })
    }

    /// Energy of the panel with the housing at every place over that without, at the frequency of an index.
    fn behind(&self, plan: &Plan, index: usize) -> Result<Array2<f64>, CompareError> {
        let prediction = plan.panel;
        let velocity = prediction.motion.modal_velocity.row(index).to_vec();
        let moving = Moving { modes: &prediction.modes, velocity: &velocity };
        let shadowed = self.shadowed(plan.radiator, &moving, plan.frequencies[index])?;
        Ok(shadowed.with / shadowed.bare)
    }
}
