//! The band of uncertainty: the prediction repeated for variations of the panel within its spread.
//!
//! ```text
//! Spread ─▶ sample (Sobol) ─▶ panel (frequencies, shapes under the feet) ─▶ drive ─▶ transfers ─▶ mean squares ─▶ findings
//! ```
//!
//! Transfers from modes to microphones do not depend on the variation, so they are formed once per frequency and serve all
//! of them in one matrix product. Frequency by frequency, in parallel; sums over frequencies run in a fixed order, so results do not
//! depend on the number of threads.
//!
//! What is approximated: natural frequencies to first order with the nominal shapes (see [`panel`]); each mode carries its own air and no
//! other's (see [`air`]); the sound is that of a panel in a baffle, lifted to the full prediction by [`fitted`](crate::listening::fitted) at the seats and place by place
//! at dead spots; the plane's mean energy follows that of some 64 of its places.

mod air;
mod built;
mod panel;
mod places;
mod sample;

pub use built::built;

use super::findings::{DEAD_SPOT_DEPTH, sensitivity_scale};
use super::places::Places;
use super::sound::{Sound, tiers};
use crate::drive::{self, Motion};
use crate::listening::{self, Findings, Stability};
use crate::plate::Modes;
use crate::radiation::{Tier, Transfer};
use crate::scene::Scene;
use ndarray::{Array1, Array2, Axis, Zip, s};
use panel::Varied;
use panelwright_mesh::Lattice;
use places::{Listening, Watch};
use rayon::prelude::*;
use std::ops::Range;

/// The panel and everything it is listened to with.
struct Ensemble<'a> {
    scene: &'a Scene,
    modes: &'a Modes,
    /// Nominal panel first, then the variations.
    panels: Vec<Varied>,
    listening: Listening,
}

/// Adds to `findings` how they are spread over the variations of `scene`; nothing if it asks for none.
///
/// `findings` are those of the nominal panel and `sound` is what they were made of; `step(done, total)` counts frequencies.
pub(super) fn add(
    scene: &Scene,
    (modes, motion): (&Modes, &Motion),
    places: &Places,
    sound: &Sound,
    findings: &mut Findings,
    step: &dyn Fn(usize, usize),
) {
    if scene.spread.samples == 0 {
        return;
    }
    let variations = sample::variations(scene);
    let panels = panel::ensemble(scene, modes, motion, &variations);
    let listening = Listening::of(scene, places, findings);
    let ensemble = Ensemble { scene, modes, panels, listening };
    let mut heard = Heard::silence(&ensemble);
    for Tier { range, lattice } in tiers(scene, places) {
        step(range.start, scene.frequencies.len());
        let squares: Vec<Array2<f64>> =
            range.clone().into_par_iter().map(|index| ensemble.mean_squares(index, &lattice)).collect();
        range.zip(squares).for_each(|(index, squares)| heard.take(&ensemble.listening, index, squares));
    }
    findings.variations = Some(listening::Variations { count: variations.len(), seed: sample::SEED });
    heard.tell(scene, sound, &ensemble.listening, findings);
}

impl Ensemble<'_> {
    /// Mean-square pressure [Pa²] at frequency `index`, the panel sampled on `lattice`: (its microphones, nominal panel and variations).
    fn mean_squares(&self, index: usize, lattice: &Lattice) -> Array2<f64> {
        let (scene, frequency) = (self.scene, self.scene.frequencies[index]);
        let count = heard(self.modes, frequency);
        let mut velocities = Array2::zeros((self.panels.len(), count));
        for (mut row, panel) in velocities.outer_iter_mut().zip(&self.panels) {
            let motion = drive::solve(&[frequency], &scene.exciters, &scene.channels, &panel.ports);
            Zip::from(&mut row)
                .and(motion.modal_velocity.slice(s![0, ..count]))
                .and(&panel.shapes.slice(s![..count]))
                .for_each(|v, q, shape| *v = q * shape);
        }
        let microphones = self.listening.microphones(index);
        let transfer =
            Transfer::on(lattice, (self.modes, count), &scene.panel, &microphones, &[frequency], &scene.air);
        transfer.values.index_axis(Axis(0), 0).dot(&velocities.t()).mapv(|p| p.norm_sqr())
    }
}

/// Modes above this many times the frequency at hand are not heard one by one, unless they are among the [`FEWEST_HEARD`] lowest.
///
/// They follow the force by their stiffness, in the nominal panel as in its variations, and are left out of both: on a plywood panel that
/// moves the band's edges by 0.04 dB in the median, and by half a decibel at one frequency in ten.
pub(super) const HEARD: f64 = 1.5;
pub(super) const FEWEST_HEARD: usize = 300;

/// How many of the lowest modes are heard at `frequency` [Hz].
fn heard(modes: &Modes, frequency: f64) -> usize {
    let near = modes.frequencies.iter().take_while(|&&f| f <= HEARD * frequency).count();
    near.max(FEWEST_HEARD).min(modes.len())
}

/// Mean squares [Pa²] of the nominal panel and the variations, gathered over frequencies.
struct Heard {
    /// One (nominal and variations, frequencies) per single microphone.
    single: Vec<Array2<f64>>,
    /// One (nodes, nominal and variations) per watch: mean over the band.
    watched: Vec<Array2<f64>>,
}

impl Heard {
    fn silence(ensemble: &Ensemble) -> Self {
        let (panels, frequencies) = (ensemble.panels.len(), ensemble.scene.frequencies.len());
        let listening = &ensemble.listening;
        let node_energy = |watch: &Watch| Array2::zeros((watch.nodes.len(), panels));
        Self {
            single: vec![Array2::zeros((panels, frequencies)); listening.single.len()],
            watched: listening.watches.iter().map(node_energy).collect(),
        }
    }

    /// Takes in the mean squares (microphones, panels) of the frequency `index`.
    fn take(&mut self, listening: &Listening, index: usize, squares: Array2<f64>) {
        for (single, row) in self.single.iter_mut().zip(squares.outer_iter()) {
            single.column_mut(index).assign(&row);
        }
        let mut start = listening.single.len();
        for (watch, energy) in listening.watches.iter().zip(&mut self.watched) {
            let Some(weight) = watch.weight(index) else { continue };
            let end = start + watch.nodes.len();
            energy.scaled_add(weight, &squares.slice(s![start..end, ..]));
            start = end;
        }
    }

    /// Writes bands and stabilities into the findings.
    fn tell(&self, scene: &Scene, sound: &Sound, listening: &Listening, findings: &mut Findings) {
        let frequencies = &scene.frequencies;
        let curves: Vec<Array2<f64>> = (self.single.par_iter().enumerate())
            .map(|(m, squares)| fitted_curves(frequencies, squares, sound, m))
            .collect();
        findings.seats.par_iter_mut().zip(&curves).for_each(|(seat, curves)| {
            listening::spread_seat(seat, frequencies, curves);
        });
        if let Some(axis) = curves.get(findings.seats.len()) {
            let scaled = axis * sensitivity_scale(scene).powi(2);
            listening::spread_sensitivity(&mut findings.sensitivity, frequencies, &scaled);
        }
        for (watch, energy) in listening.watches.iter().zip(&self.watched) {
            for (spot, stability) in stabilities(watch, energy) {
                findings.dead_spots[spot].stability = Some(stability);
            }
        }
    }
}

/// Mean squares (variations, frequencies) at single microphone `m`, lifted to the curve that is shown.
fn fitted_curves(frequencies: &[f64], squares: &Array2<f64>, sound: &Sound, m: usize) -> Array2<f64> {
    let shown: Vec<f64> = sound.microphones.column(m).iter().map(|p| p.norm_sqr()).collect();
    let varied = squares.slice(s![1.., ..]).to_owned();
    listening::fitted(frequencies, &varied, &squares.row(0).to_vec(), &shown)
}

/// Stability of each dead spot of a band from `energy` (nodes, nominal and variations).
///
/// Each place, and the plane's mean, is lifted from the quick nominal computation to the full one.
fn stabilities(watch: &Watch, energy: &Array2<f64>) -> Vec<(usize, Stability)> {
    let lift = &Array1::from(watch.shown.clone()) / &energy.column(0);
    let lifted = (energy * &lift.insert_axis(Axis(1))).slice_move(s![.., 1..]);
    let plane = energy.slice(s![..watch.plane, ..]).sum_axis(Axis(0));
    let mean = plane.slice(s![1..]).mapv(|sum| sum / plane[0]);
    let one = |(spot, nodes): &(usize, Range<usize>)| {
        let around = lifted.slice(s![nodes.clone(), ..]).reversed_axes();
        (*spot, listening::stability(around, mean.view(), DEAD_SPOT_DEPTH))
    };
    watch.spots.iter().map(one).collect()
}

#[cfg(test)]
mod tests;
