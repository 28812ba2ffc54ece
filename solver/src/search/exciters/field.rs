//! What the modes do when the seats push on them, and how the air joins the modes: a panel in a baffle.

use super::give::{Give, Parts};
use crate::coupling::air_on_panel::{BaffledPanel, enclosure_of, felt_modes};
use crate::coupling::carried::Carried;
use crate::drive::Drive;
use crate::plate::Modes;
use crate::predict::{cells_for, listening_tiers, stretches};
use crate::radiation::convolution::Convolver;
use crate::radiation::{Tier, Transfer};
use crate::scene::Scene;
use ndarray::{Array2, Array3, ArrayView2, Axis, s};
use num_complex::Complex64;
use rayon::prelude::*;
use std::f64::consts::TAU;

/// One frequency: what the seats hear of a force on each mode (seats, modes), and the panel under a foot.
pub(super) type Answer = (Array2<Complex64>, Give);

/// What stays the same at all frequencies.
struct Carrying<'a> {
    parts: &'a Parts,
    /// Modes joined by the air under a foot.
    coupled: usize,
}

/// All frequencies of a panel in a baffle; `coupled` modes are joined by the air under a foot.
pub(super) fn baffled(
    scene: &Scene,
    modes: &Modes,
    coupled: usize,
    step: &dyn Fn(usize, usize),
) -> Vec<Answer> {
    let bare = Scene { exciters: vec![], channels: vec![], ..scene.clone() };
    let drive = Drive::new(&bare, modes);
    let transfer = transfers(scene, modes);
    let (carried, parts) = (Carried::new(&scene.panel, modes), Parts::of(&scene.attachments, modes));
    let carrying = Carrying { parts: &parts, coupled };
    let mut answers = Vec::with_capacity(scene.frequencies.len());
    for (range, _) in stretches(&scene.frequencies) {
        step(range.start, scene.frequencies.len());
        let frequencies = &scene.frequencies[range.clone()];
        let top = frequencies.last().copied().unwrap_or(0.0);
        let cells = cells_for(scene, top);
        let convolver = Convolver::new(cells.shape());
        let sampled = modes.sampled(&cells);
        let panel = BaffledPanel {
            drive: &drive,
            cells: &cells,
            convolver: &convolver,
            modes: &sampled,
            felt: felt_modes(modes, &scene.panel.section, cells.x.weights[0].max(cells.y.weights[0]), top),
            enclosure: enclosure_of(scene.panel.back),
            carried: &carried,
            air: &scene.air,
        };
        let found: Vec<Answer> = (range.into_par_iter().zip(frequencies))
            .map(|(index, &f)| answer(&panel, f, transfer.slice(s![index, .., ..]), &carrying))
            .collect();
        answers.extend(found);
    }
    answers
}

/// Transfers from modes to seats, the floor included: (frequencies, seats, modes).
///
/// On the prediction's own lattices, so that both hear the same to the last digits.
fn transfers(scene: &Scene, modes: &Modes) -> Array3<Complex64> {
    let seats: Vec<[f64; 3]> = scene.receivers.seats.iter().map(|seat| seat.position).collect();
    let image = scene.receivers.in_the_floor(&seats);
    let mut transfer = Array3::zeros((scene.frequencies.len(), seats.len(), modes.len()));
    for Tier { range, lattice } in listening_tiers(scene) {
        let frequencies = &scene.frequencies[range.clone()];
        let to = |points: &[[f64; 3]]| {
            Transfer::on(&lattice, (modes, modes.len()), &scene.panel, points, frequencies, &scene.air).values
        };
        let mut part = transfer.slice_mut(s![range, .., ..]);
        part.assign(&to(&seats));
        if let Some((mirrored, reflection)) = &image {
            part.scaled_add((*reflection).into(), &to(mirrored));
        }
    }
    transfer
}

fn answer(
    panel: &BaffledPanel,
    frequency: f64,
    transfer: ArrayView2<Complex64>,
    carrying: &Carrying,
) -> Answer {
    let drive = panel.drive.at(frequency);
    let air = panel.air_at(frequency);
    let within = (panel.felt, carrying.coupled);
    let parts = (carrying.parts, TAU * frequency);
    let give = Give::new(&drive, (panel.modes, |v| air.force_of(v)), within, &air.carried(), parts);
    let (h, _) = drive.alone();
    let mut heard = Array2::zeros(transfer.dim());
    for (mut row, seat) in heard.axis_iter_mut(Axis(0)).zip(transfer.outer_iter()) {
        let free = drive.answer(&seat.to_vec());
        let found = air.slowed_transposed(&drive, free, |v| give.eased(&h, v));
        row.iter_mut().zip(found).for_each(|(value, a)| *value = a);
    }
    (heard, give)
}
