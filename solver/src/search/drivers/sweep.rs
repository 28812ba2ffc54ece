//! All frequencies for all places, and the whole computation at a few.

use super::field::{Heard, Stage};
use super::radiator::Radiator;
use super::scores::Found;
use super::shadow::Moving;
use crate::blend::PanelAlone;
use crate::surrounds::CompareError;
use crate::{Progress, Watcher};
use ndarray::Array2;
use num_complex::Complex64;
use rayon::prelude::*;
use serde::Serialize;

/// Frequencies that are worked on at once: none waits for another, and there are no more fields in memory than these need.
const AT_ONCE: usize = 8;
/// Frequencies of whole computations, over the corner.
const CHECKED: [f64; 3] = [0.5, 1.0, 2.0];

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

/// All frequencies.
pub(super) struct Everything {
    heard: Vec<Heard>,
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
    pub panel: &'a PanelAlone,
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
            watcher(Progress { stage: crate::Stage::Surrounds, done: start, total });
            let range = start..(start + AT_ONCE).min(total);
            let here = range.clone().into_par_iter().map(|i| self.heard(plan.radiator, plan.frequencies[i]));
            heard.extend(here.collect::<Result<Vec<_>, _>>()?);
            let behind =
                plan.shadowed.par_iter().filter(|i| range.contains(i)).map(|&i| self.behind(plan, i));
            shadow.extend(behind.collect::<Result<Vec<_>, _>>()?);
        }
        Ok(Everything { heard, shadow })
    }

    /// The map beside whole computations at some cells, at frequencies around the corner.
    pub fn checked(
        &self,
        plan: &Plan,
        all: &Everything,
        cells: [(usize, usize); 2],
        corner: f64,
    ) -> Result<Vec<Checked>, CompareError> {
        let nearest = |wanted: f64| {
            let off = |i: &usize| (plan.frequencies[*i] / wanted).ln().abs();
            (0..plan.frequencies.len()).min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(0)
        };
        let mut checked = vec![];
        for cell in cells {
            let position = [self.grid.x[cell.0], self.grid.y[cell.1]];
            for index in CHECKED.map(|ratio| nearest(ratio * corner)) {
                let frequency = plan.frequencies[index];
                let whole = plan.radiator.before_board(self.outline, position, self.seats, frequency)?;
                let heard = &all.heard[index];
                let off: f64 = (0..whole.len()).map(|s| (heard.boarded[s][cell] - whole[s]).norm_sqr()).sum();
                let free: f64 = heard.free.iter().map(|seat| seat[cell].norm_sqr()).sum();
                checked.push(Checked { position, frequency, deviation: (off / free).sqrt() });
            }
        }
        Ok(checked)
    }

    /// Energy of the panel with the housing at every place over that without, at the frequency of an index.
    fn behind(&self, plan: &Plan, index: usize) -> Result<Array2<f64>, CompareError> {
        let prediction = &plan.panel.prediction;
        let velocity = prediction.motion.modal_velocity.row(index).to_vec();
        let moving = Moving { modes: &prediction.modes, velocity: &velocity };
        let shadowed = self.shadowed(plan.radiator, &moving, plan.frequencies[index])?;
        Ok(shadowed.with / shadowed.bare)
    }
}
