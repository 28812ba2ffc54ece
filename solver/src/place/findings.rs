//! What a search for places finds, in SI units and decibels.

use crate::Warning;
use crate::blend::{MeasuredAt, measured_told};
use crate::search::drivers::DriverPlaces;
use crate::search::exciters::{Scores, Weights};
use serde::Serialize;

/// Everything that was placed.
#[derive(Clone, Debug, Serialize)]
pub struct PlaceFindings {
    /// The exciters on the panel.
    pub exciters: ExciterPlaces,
    /// The small drivers around it, each while the others stay.
    pub drivers: Vec<DriverPlaces>,
    /// Why there is no map of the places of other drivers of the case.
    pub unplaced: Vec<String>,
}

impl PlaceFindings {
    /// What was measured of parts that stay, in sentences: each once, held against what is computed at the frequencies of the first driver that it was used for.
    pub fn measured(&self) -> Vec<String> {
        let mut once: Vec<MeasuredAt> = vec![];
        for one in self.drivers.iter().flat_map(|found| &found.measured) {
            let same = |other: &MeasuredAt| (&other.part, &other.seat) == (&one.part, &one.seat);
            if !once.iter().any(same) {
                once.push(one.clone());
            }
        }
        measured_told(&once)
    }
}

/// Where to glue the exciters of a channel.
#[derive(Clone, Debug, Serialize)]
pub struct ExciterPlaces {
    /// Plain sentences, most important first.
    pub summary: Vec<String>,
    /// Doubts.
    pub warnings: Vec<Warning>,
    /// Name of the channel.
    pub channel: String,
    /// Names of its exciters; arrangements of as many name their places in this order.
    pub exciters: Vec<String>,
    /// Diameter of their feet [m].
    pub foot: f64,
    /// Distance of neighbouring places [m].
    pub step: f64,
    /// Least distance [m] of a foot's ring from the rim and from what else is on the panel.
    pub clearance: f64,
    /// Least distance [m] of the centres of two exciters.
    pub apart: f64,
    /// What the scores count against each other.
    pub weights: Weights,
    /// Frequencies [Hz] of every curve: those of the case as far as they are judged.
    pub frequencies: Vec<f64>,
    /// Columns of the grid of places [m].
    pub x: Vec<f64>,
    /// Rows of the grid [m].
    pub y: Vec<f64>,
    /// Every place where a foot fits, one exciter alone on the channel.
    pub places: Vec<Place>,
    /// Places by rules of thumb, one exciter alone.
    pub rules: Vec<Rule>,
    /// Where the exciters are.
    pub now: Arrangement,
    /// Where they should be.
    pub best: Arrangement,
    /// The best that the rules of thumb allow; `None` where too few of their places are free.
    pub by_rule: Option<Arrangement>,
    /// For each exciter the cost [dB] of every place while the others are where they should be; not a number where it would be too near to
    /// them, robustness left out. Empty for one exciter.
    pub partners: Vec<Vec<f64>>,
    /// What so many exciters can do: one, two, up to as many as there are.
    pub counts: Vec<Count>,
    /// The recommendation mirrored, as far as feet fit there.
    pub mirrored: Vec<Mirrored>,
    /// The same by whole predictions.
    pub whole: Whole,
}

/// A place of the grid.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Place {
    /// Centre of the foot [m].
    pub position: [f64; 2],
    /// Column and row of the grid.
    pub cell: [usize; 2],
    /// Its scores.
    pub scores: Scores,
    /// Its cost [dB], less is better.
    pub cost: f64,
}

/// Exciters at chosen places, driven together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Arrangement {
    /// Centres of the feet [m].
    pub positions: Vec<[f64; 2]>,
    /// Scores; the robustness is that of the worst of all exciters, one at a time 5 mm off.
    pub scores: Scores,
    /// Cost [dB], less is better.
    pub cost: f64,
}

/// A rule of thumb.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rule {
    /// Shares of width and height.
    pub shares: [f64; 2],
    /// It and its mirror images as far as a foot fits there, the best first.
    pub images: Vec<Arrangement>,
}

/// What so many exciters can do.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Count {
    /// How many.
    pub exciters: usize,
    /// The best arrangements that are clearly different from each other, the best first.
    pub best: Vec<Arrangement>,
    /// The best of all without regard to that, robustness unknown; empty for one exciter, whose places are all listed.
    pub list: Vec<Arrangement>,
}

/// A mirror image of the recommendation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mirrored {
    /// About which middle: `"left to right"`, `"top to bottom"`, `"both ways"`.
    pub how: &'static str,
    /// The image.
    pub arrangement: Arrangement,
}

/// What whole predictions say: all exciters of the case on the panel, coupled through it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Whole {
    /// With the exciters where they are.
    pub now: Scores,
    /// With the exciters where they should be.
    pub best: Scores,
    /// Curves at every seat.
    pub seats: Vec<SeatCurves>,
}

/// Levels at a seat [dB re 20 µPa], by whole predictions.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SeatCurves {
    /// Name of the seat.
    pub seat: String,
    /// Where the exciters are, unsmoothed.
    pub now: Vec<f64>,
    /// Where they should be, unsmoothed.
    pub best: Vec<f64>,
    /// `now` smoothed over a third of an octave.
    pub now_smoothed: Vec<f64>,
    /// `best` smoothed over a third of an octave.
    pub best_smoothed: Vec<f64>,
}
