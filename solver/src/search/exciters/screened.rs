//! The same for an open-backed panel, in free space or before a wall.
//!
//! The panel's jump of pressure μ under a force is that of `M μ = jωρ S Φ H φ̄ F`, M symmetric (see
//! [`air_on_panel`](crate::coupling::air_on_panel); S makes what hats see of a field), and a seat hears `p = wᵀ Sᵀ μ` for the sound w of each node's
//! dipole there. So
//!
//! ```text
//! p = Σ_n a_n φ̄_n F,    a = H Φᵀ Sᵀ ν,    M ν = jωρ S w :    the panel under the velocity w of a dipole at the seat, giving way
//! ```
//!
//! (reciprocity, as for the baffle), one solution per seat on the prediction's own grid. Under the foot the air's impedance on the modes that are joined is that
//! of the rigid panel moving in each.

use super::cells::ModesOnCells;
use super::field::Answer;
use super::give::{Give, Parts};
use super::heard::Heard;
use super::joined::{Group, Joined, strongest};
use crate::coupling::air_on_panel::{felt_modes, wall_of};
use crate::coupling::carried::Carried;
use crate::drive::Drive;
use crate::plate::{Modes, SampledModes};
use crate::predict::{screen_cell, stretches};
use crate::radiation::screen::{ParallelWall, Screen, ScreenGrid, heard_from_nodes};
use crate::scene::Scene;
use ndarray::{Array2, Axis};
use num_complex::Complex64;
use rayon::prelude::*;
use std::f64::consts::TAU;

/// Error of the air's impedance under a foot at which the iteration stops, relative.
const ROUGH: f64 = 0.02;
/// Up to this kℓ, ℓ² the panel's area, the air joins as many modes as are asked for; above in inverse proportion: the shorter the wave, the
/// less one mode feels another's air.
const ALL_JOINED: f64 = 10.0;

/// What all frequencies share.
struct Open<'a> {
    scene: &'a Scene,
    drive: &'a Drive<'a>,
    carried: &'a Carried,
    parts: &'a Parts,
    coupled: usize,
    wall: Option<ParallelWall>,
    /// Seats, then their images in the floor if there is one.
    seats: Vec<[f64; 3]>,
    images: Option<(Vec<[f64; 3]>, f64)>,
}

/// The panel on one grid.
struct OnGrid<'a> {
    grid: &'a ScreenGrid,
    modes: &'a SampledModes,
    cells: &'a ModesOnCells,
    felt: usize,
    /// Number of all modes.
    all: usize,
}

/// All frequencies of an open-backed panel; `coupled` modes are joined by the air under a foot.
pub(super) fn open(scene: &Scene, modes: &Modes, coupled: usize, step: &dyn Fn(usize, usize)) -> Vec<Answer> {
    let bare = Scene { exciters: vec![], channels: vec![], ..scene.clone() };
    let drive = Drive::new(&bare, modes);
    let (carried, parts) =
        (Carried::of_both_directions(&scene.panel, modes), Parts::of(&scene.attachments, modes));
    let seats: Vec<[f64; 3]> = scene.receivers.seats.iter().map(|seat| seat.position).collect();
    let open = Open {
        images: scene.receivers.in_the_floor(&seats),
        drive: &drive,
        carried: &carried,
        parts: &parts,
        coupled,
        wall: wall_of(scene.panel.back),
        scene,
        seats,
    };
    let mut answers = Vec::with_capacity(scene.frequencies.len());
    for (range, _) in stretches(&scene.frequencies) {
        step(range.start, scene.frequencies.len());
        let frequencies = &scene.frequencies[range];
        let top = frequencies.last().copied().unwrap_or(0.0);
        let grid = ScreenGrid::new(&scene.panel.outline, screen_cell(scene, top));
        let sampled = modes.sampled(&grid.lattice);
        let [hx, hy] = grid.cell();
        let felt = felt_modes(modes, &scene.panel.section, hx.max(hy), top);
        let cells = ModesOnCells::new(&sampled, felt);
        let panel = OnGrid { grid: &grid, modes: &sampled, cells: &cells, felt, all: modes.len() };
        let found: Vec<Answer> = frequencies.par_iter().map(|&f| open.answer(&panel, f)).collect();
        answers.extend(found);
    }
    answers
}

impl Open<'_> {
    fn answer(&self, panel: &OnGrid, frequency: f64) -> Answer {
        let drive = self.drive.at(frequency);
        let OnGrid { grid, modes, felt, all, .. } = *panel;
        let screen = Screen::new(grid, frequency, &self.scene.air, self.wall);
        let giving =
            |forces: &Array2<Complex64>| modes.superpose(&drive.answer(&modes.project(forces, felt))[..felt]);
        let mut heard = Array2::zeros((self.seats.len(), all));
        for (mut row, dipole) in heard.axis_iter_mut(Axis(0)).zip(self.dipoles(panel, frequency)) {
            let jump = screen.jump_giving_way(&dipole, giving);
            let moved = drive.answer(&modes.project(&screen.forces_of(&jump), all));
            // The air's force on the panel is towards −z where the jump is positive.
            row.iter_mut().zip(moved).for_each(|(value, a)| *value = -a);
        }
        let rough = screen.stopping_at(ROUGH);
        let force = |velocity: &Array2<Complex64>| rough.forces_of(&rough.jump(velocity));
        let carried = self.carried.impedances(&self.scene.air, frequency, |gamma| self.behind(gamma));
        let (h, spring) = drive.alone();
        let coupled = strongest(&h, &carried, felt, self.joined(frequency));
        let air = panel.cells.impedance(&coupled, &coupled, force);
        let groups = air.into_iter().map(|air| Group::alone(&h, air)).collect();
        let joined = Joined::new(&h, &carried, felt, groups);
        (Heard::new(&heard), Give::of(joined, spring, self.parts, TAU * frequency))
    }

    /// How many modes the air joins under a foot.
    fn joined(&self, frequency: f64) -> usize {
        let waves = self.scene.air.wavenumber(frequency) * self.scene.panel.outline.area().sqrt();
        (self.coupled as f64 * (ALL_JOINED / waves).min(1.0)).ceil() as usize
    }

    /// The sound of every node's dipole at each seat, the floor included.
    fn dipoles(&self, panel: &OnGrid, frequency: f64) -> Vec<Array2<Complex64>> {
        let heard =
            |point: &[f64; 3]| heard_from_nodes(panel.grid, frequency, self.wall, *point, &self.scene.air);
        let mut fields: Vec<Array2<Complex64>> = self.seats.iter().map(heard).collect();
        if let Some((mirrored, reflection)) = &self.images {
            for (field, below) in fields.iter_mut().zip(mirrored) {
                field.scaled_add((*reflection).into(), &heard(below));
            }
        }
        fields
    }

    /// `γ b` of the air behind.
    fn behind(&self, gamma: Complex64) -> Complex64 {
        let image = |wall: ParallelWall| wall.reflection * (-2.0 * gamma * wall.distance).exp();
        self.wall.map_or(Complex64::ONE, |wall| 2.0 / (1.0 - image(wall)) - 1.0)
    }
}
