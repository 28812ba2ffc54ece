//! The air around the panel as the search needs it: what the modes do when the seats push on them, and how the air joins the modes.

use super::reach::Give;
use crate::coupling::air_on_panel::{BaffledAir, BaffledPanel, enclosure_of, felt_modes};
use crate::drive::{Drive, DriveAt};
use crate::plate::Modes;
use crate::predict::{cells_for, listening_tiers, stretches};
use crate::radiation::convolution::Convolver;
use crate::radiation::{Tier, Transfer};
use crate::scene::Scene;
use nalgebra::DMatrix;
use ndarray::{Array2, Array3, ArrayView2, Axis, s};
use num_complex::Complex64;
use rayon::prelude::*;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// One frequency: what the seats hear of a force on each mode (seats, modes), and the panel under a foot.
pub(super) type Answer = (Array2<Complex64>, Give);

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
    let carried = Carried::new(scene, modes);
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
            air: &scene.air,
        };
        let found: Vec<Answer> = (range.into_par_iter().zip(frequencies))
            .map(|(index, &f)| answer(&panel, f, transfer.slice(s![index, .., ..]), (&carried, coupled)))
            .collect();
        answers.extend(found);
    }
    answers
}

/// Transfers from modes to seats, the floor included: (frequencies, seats, modes).
///
/// On the prediction's own lattices: high modes, which follow the force by their stiffness, are heard a little differently on others.
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
    (carried, coupled): (&Carried, usize),
) -> Answer {
    let drive = panel.drive.at(frequency);
    let air = panel.air_at(frequency);
    let mut heard = Array2::zeros(transfer.dim());
    for (mut row, seat) in heard.axis_iter_mut(Axis(0)).zip(transfer.outer_iter()) {
        let found = air.slowed_transposed(&drive, drive.answer(&seat.to_vec()));
        row.iter_mut().zip(found).for_each(|(value, a)| *value = a);
    }
    (heard, give(&drive, &air, (panel.felt, coupled), &carried.impedances(panel, frequency)))
}

/// The panel under a foot, the air joining the `count` of the `felt` modes on which it tells most; `carried` is the impedance of the air that each of
/// the other felt ones carries.
fn give(drive: &DriveAt, air: &BaffledAir, (felt, count): (usize, usize), carried: &[Complex64]) -> Give {
    let (mut admittance, spring) = drive.alone();
    let told = |n: usize| admittance[n].norm_sqr() * carried[n].norm();
    let coupled = largest((0..felt).map(told).collect(), count);
    let own = DMatrix::from_diagonal(&coupled.iter().map(|&n| admittance[n]).collect::<Vec<_>>().into());
    let mut resistance = DMatrix::zeros(coupled.len(), coupled.len());
    for (column, &n) in coupled.iter().enumerate() {
        let mut alone = vec![Complex64::ZERO; n + 1];
        alone[n] = Complex64::ONE;
        let forces = air.push(&alone);
        coupled.iter().enumerate().for_each(|(row, &m)| resistance[(row, column)] -= forces[m]);
    }
    let order = coupled.len();
    let joined = (DMatrix::identity(order, order) + &own * resistance).lu().solve(&own);
    let excess = joined.map_or_else(|| DMatrix::zeros(order, order), |joined| joined - own);
    for (n, (h, z)) in admittance.iter_mut().zip(carried).enumerate().take(felt) {
        if coupled.binary_search(&n).is_err() {
            *h /= 1.0 + *h * z;
        }
    }
    Give {
        admittance,
        spring,
        excess: Array2::from_shape_fn((order, order), |(i, j)| excess[(i, j)]),
        coupled,
    }
}

/// The air that a mode carries when no other moves, as a wave of the mode's wavenumber κ does on an infinite panel:
///
/// ```text
/// z = jωρ (1/γ + b)/m,    γ = √(κ² − k²),    b = 1/γ behind a panel open to both sides, coth(γD)/γ before a space of depth D
/// ```
///
/// (F. J. Fahy & P. Gardonio, Sound and Structural Vibration, 2nd ed. 2007, ch. 3, for 1/γ; the space as in
/// [`cavity`](crate::radiation::cavity).) The panel's finite size ℓ blunts what happens at κ = k: the air gets a loss of 1/kℓ.
struct Carried {
    /// κ of each mode [rad/m].
    wavenumbers: Vec<f64>,
    /// ℓ [m].
    size: f64,
    surface_mass: f64,
}

impl Carried {
    fn new(scene: &Scene, modes: &Modes) -> Self {
        let (section, size) = (&scene.panel.section, scene.panel.outline.area().sqrt());
        let along = |f: f64| [0.0, FRAC_PI_2].map(|angle| section.wavenumber(f, angle));
        let mean = |&f: &f64| along(f).iter().product::<f64>().sqrt().max(PI / size);
        Self {
            wavenumbers: modes.frequencies.iter().map(mean).collect(),
            size,
            surface_mass: section.surface_mass,
        }
    }

    /// z of each mode.
    fn impedances(&self, panel: &BaffledPanel, frequency: f64) -> Vec<Complex64> {
        let k = panel.air.wavenumber(frequency);
        let square = k * k * Complex64::new(1.0, -1.0 / (k * self.size));
        let inertia = Complex64::new(0.0, TAU * frequency * panel.air.density / self.surface_mass);
        let of = |kappa: &f64| {
            let gamma = (kappa * kappa - square).sqrt();
            let back = panel.enclosure.map_or(Complex64::ONE, |space| (gamma * space.depth).tanh().inv());
            inertia * (1.0 + back) / gamma
        };
        self.wavenumbers.iter().map(of).collect()
    }
}

/// Indices of the `count` largest values, ascending.
fn largest(values: Vec<f64>, count: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[b].total_cmp(&values[a]).then(a.cmp(&b)));
    order.truncate(count);
    order.sort_unstable();
    order
}
