//! What the modes do when the seats push on them, and how the air joins the modes: a panel in a baffle.
//!
//! Step by step a seat costs some four passes of the air over the moving panel. The air between all modes costs one pass for every four modes, if the panel
//! is its own mirror image, and serves all seats: whichever is less.

use super::cells::{ModesOnCells, most_alike};
use super::direct::Direct;
use super::give::{Give, Parts};
use super::heard::Heard;
use super::joined::{Group, Joined, strongest};
use crate::coupling::air_on_panel::{BaffledPanel, enclosure_of, felt_modes};
use crate::coupling::carried::Carried;
use crate::drive::Drive;
use crate::plate::Modes;
use crate::predict::{cells_for, listening_tiers, stretches};
use crate::radiation::convolution::Convolver;
use crate::radiation::{Tier, Transfer};
use crate::scene::Scene;
use ndarray::{Array2, Array3, ArrayView1, ArrayView2, Axis, s};
use num_complex::Complex64;
use rayon::prelude::*;
use std::f64::consts::TAU;
use std::ops::Range;

/// One frequency: what the seats hear of a force on each mode, and the panel under a foot.
pub(super) type Answer = (Heard, Give);

/// A seat costs as much as the air of so many modes of each symmetry, where it is found step by step.
const STEPS: usize = 7;

/// What frequencies share.
struct Carrying<'a> {
    parts: &'a Parts,
    /// Modes joined by the air under a foot.
    coupled: usize,
    cells: &'a ModesOnCells,
    /// Whether the air between all modes is found and solved for, or for each seat step by step.
    directly: bool,
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
    let tiers = listening_tiers(scene);
    let (carried, parts) = (Carried::new(&scene.panel, modes), Parts::of(&scene.attachments, modes));
    let mut answers = Vec::with_capacity(scene.frequencies.len());
    for (range, _) in stretches(&scene.frequencies) {
        step(range.start, scene.frequencies.len());
        let frequencies = &scene.frequencies[range.clone()];
        let top = frequencies.last().copied().unwrap_or(0.0);
        let transfer = transfers((scene, modes), &tiers, range.clone());
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
        let directly = most_alike(&sampled, panel.felt) <= STEPS * transfer.dim().1;
        let cells = ModesOnCells::new(&sampled, if directly { modes.len() } else { panel.felt });
        let carrying = Carrying { parts: &parts, coupled, cells: &cells, directly };
        let found: Vec<Answer> = (transfer.axis_iter(Axis(0)).into_par_iter().zip(frequencies))
            .map(|(transfer, &f)| carrying.answer(&panel, f, transfer))
            .collect();
        answers.extend(found);
    }
    answers
}

/// Transfers from modes to seats, the floor included, at a range of the scene's frequencies: (frequencies, seats, modes).
///
/// On the prediction's own lattices, so that both hear the same to the last digits.
fn transfers((scene, modes): (&Scene, &Modes), tiers: &[Tier], range: Range<usize>) -> Array3<Complex64> {
    let seats: Vec<[f64; 3]> = scene.receivers.seats.iter().map(|seat| seat.position).collect();
    let image = scene.receivers.in_the_floor(&seats);
    let mut transfer = Array3::zeros((range.len(), seats.len(), modes.len()));
    for tier in tiers {
        let own = tier.range.start.max(range.start)..tier.range.end.min(range.end);
        if own.is_empty() {
            continue;
        }
        let frequencies = &scene.frequencies[own.clone()];
        let to = |points: &[[f64; 3]]| {
            Transfer::on(&tier.lattice, (modes, modes.len()), &scene.panel, points, frequencies, &scene.air)
                .values
        };
        let mut part = transfer.slice_mut(s![own.start - range.start..own.end - range.start, .., ..]);
        part.assign(&to(&seats));
        if let Some((mirrored, reflection)) = &image {
            part.scaled_add((*reflection).into(), &to(mirrored));
        }
    }
    transfer
}

impl Carrying<'_> {
    fn answer(&self, panel: &BaffledPanel, frequency: f64, transfer: ArrayView2<Complex64>) -> Answer {
        let drive = panel.drive.at(frequency);
        let air = panel.air_at(frequency);
        let (h, spring) = drive.alone();
        let carried = air.carried();
        let coupled = strongest(&h, &carried, panel.felt, self.coupled);
        let force = |v: &Array2<Complex64>| air.force_of(v);
        let all = |count: usize| (0..count).collect::<Vec<usize>>();
        let direct = self.directly.then(|| self.cells.impedance(&all(panel.felt), &all(h.len()), force));
        if let Some(direct) = direct.and_then(|air| Direct::new(&h, air)) {
            let joined = Joined::new(&h, &carried, panel.felt, direct.joined(&coupled));
            return self.held(&direct, transfer, joined, (spring, TAU * frequency));
        }
        let between = self.cells.impedance(&coupled, &coupled, force);
        let groups = between.into_iter().map(|air| Group::alone(&h, air)).collect();
        let joined = Joined::new(&h, &carried, panel.felt, groups);
        let mut heard = transfer.to_owned();
        for mut seat in heard.rows_mut() {
            let free = drive.answer(&seat.to_vec());
            let slowed = air.slowed_transposed(&drive, free, |v| joined.eased(&h, &v));
            seat.assign(&ArrayView1::from(&slowed));
        }
        (Heard::new(&heard), Give::of(joined, spring, self.parts, TAU * frequency))
    }

    /// The answer of a panel that is known with its air, once masses and hangs have taken their part.
    fn held(
        &self,
        direct: &Direct,
        transfer: ArrayView2<Complex64>,
        joined: Joined,
        (spring, omega): (Complex64, f64),
    ) -> Answer {
        let mut heard = direct.moved(&transfer.to_owned());
        let shapes = self.parts.shapes.mapv(Complex64::from);
        let reach = direct.moved(&shapes);
        let stiffening = self.parts.stiffening(omega, &reach, spring);
        heard -= &heard.dot(&shapes.t()).dot(&stiffening).dot(&reach);
        (Heard::new(&heard), Give::new(joined, spring, (&reach, stiffening)))
    }
}
