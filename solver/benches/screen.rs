//! The open-backed panel.
//!
//! `cargo bench -p panelwright-solver --bench screen` first prints, for a rigid 0.9 × 0.6 m panel of 1 m/s, time, steps and the pressure on the
//! axis at 2.5 m relative to the same panel in a baffle, at eight cells to the wavelength and at twice as many; then the stages of a whole
//! coupled prediction of the demonstration case (two exciters, 0.76 × 0.52 m plywood, 50 Hz to 20 kHz). Then it times one frequency, a sweep
//! of 92 frequencies and the prediction.

#![allow(clippy::print_stdout)] // a bench is there to report

use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::Outline;
use panelwright_solver::air::Air;
use panelwright_solver::predict;
use panelwright_solver::radiation::screen::{Dipoles, Jump, Screen, ScreenGrid};
use panelwright_solver::scene::*;
use rayon::prelude::*;
use std::f64::consts::PI;
use std::time::Instant;

const PANEL: Outline = Outline::Rectangle { width: 0.9, height: 0.6 };

fn air() -> Air {
    Air { density: 1.2, sound_speed: 343.0, ..Air::new(293.15, 0.5, 101_325.0) }
}

/// Grid, jump and pressure [Pa] at 2.5 m on the axis.
fn rigid(frequency: f64, cells: f64) -> (ScreenGrid, Jump, Complex64) {
    let step = (air().sound_speed / frequency / cells).min(0.9 / 48.0);
    let grid = ScreenGrid::new(&PANEL, step);
    let velocity = Array2::from_elem(grid.lattice.shape(), Complex64::ONE);
    let jump = Screen::new(&grid, frequency, &air(), None).jump(&velocity);
    let dry = Air { humidity: 0.0, ..air() };
    let pressure = Dipoles::new(&grid, frequency, None, &jump).pressure(&[[0.45, 0.3, 2.5]], &dry)[0]
        * (dry.absorption(frequency) * 2.5).exp();
    (grid, jump, pressure)
}

/// Level [dB] over the baffled panel's, summed over the given grid.
fn over_baffled(frequency: f64, grid: &ScreenGrid, pressure: Complex64) -> f64 {
    let k = air().wavenumber(frequency);
    let fine = 900;
    let cell = 0.9 / f64::from(fine);
    let sum: Complex64 = (0..fine)
        .flat_map(|i| (0..fine * 2 / 3).map(move |j| (i, j)))
        .map(|(i, j)| {
            let (x, y) = ((f64::from(i) + 0.5) * cell - 0.45, (f64::from(j) + 0.5) * cell - 0.3);
            let r = (x * x + y * y + 6.25).sqrt();
            Complex64::from_polar(cell * cell / r, -k * r)
        })
        .sum();
    let _ = grid;
    20.0 * (pressure.norm() / (1.2 * frequency * sum.norm())).log10()
}

fn report_rigid() {
    for frequency in [500.0, 2000.0, 8000.0, 16_000.0] {
        for cells in [8.0, 16.0] {
            let start = Instant::now();
            let (grid, jump, pressure) = rigid(frequency, cells);
            println!(
                "{frequency:>6} Hz, {cells} cells to the wavelength: {:>6} unknowns, {} steps, {:.3} s, {:.3} dB over the baffled panel",
                grid.lattice.len(),
                jump.steps,
                start.elapsed().as_secs_f64(),
                over_baffled(frequency, &grid, pressure)
            );
        }
    }
}

fn sweep() -> f64 {
    let frequencies: Vec<f64> = (0..92).map(|i| 100.0 * 2f64.powf(f64::from(i) / 12.0)).collect();
    frequencies.par_iter().map(|&f| rigid(f, 8.0).2.norm()).sum()
}

fn exciter(name: &str, position: [f64; 2]) -> Exciter {
    Exciter {
        name: name.into(),
        position,
        coil_resistance: 3.6,
        coil_inductance: 6e-5,
        force_factor: 3.2,
        moving_mass: 1.6e-3,
        foot_diameter: 25e-3,
        suspension_stiffness: 9e3,
        suspension_loss_factor: 0.15,
        magnet_mass: 62e-3,
        mount: Mount::Floating,
        reversed: false,
        rated_power: None,
        rated_excursion: None,
    }
}

/// The demonstration case with poplar plywood (invented but ordinary figures) and the given back.
fn tea_room(back: Back) -> Scene {
    let loss = LossCurve::constant(0.03);
    Scene {
        title: "tea room".into(),
        panel: Panel {
            outline: Outline::Rectangle { width: 0.76, height: 0.52 },
            section: PlateSection {
                d11: 43.0,
                d12: 3.0,
                d22: 12.0,
                d66: 3.2,
                surface_mass: 1.8,
                thickness: 4e-3,
                shear: None,
                rotary_inertia: 0.0,
                bending_loss: loss.clone(),
                shear_loss: loss,
            },
            edges: Edges::all(EdgeCondition::Free),
            back,
        },
        attachments: Attachments::default(),
        exciters: vec![exciter("left", [0.2888, 0.2964]), exciter("right", [0.4864, 0.2288])],
        channels: vec![Channel {
            name: "amplifier".into(),
            voltage: 2.83,
            gain: 1.0,
            delay: 0.0,
            filters: Default::default(),
            source_resistance: 0.0,
            wiring: Wiring::Series,
            exciters: vec![0, 1],
        }],
        air: Air::new(293.15, 0.5, 101_325.0),
        receivers: Receivers {
            seats: vec![
                Seat { name: "counter".into(), position: [0.38, -0.14, 1.2] },
                Seat { name: "window".into(), position: [-1.12, -0.14, 2.8] },
            ],
            map: MapPlane { distance: 0.4, margin: 0.1, spacing: 0.02 },
            arc: PolarArc { distance: 2.0, step: 5.0 * PI / 180.0 },
            floor: None,
        },
        spread: Spread::none(),
        frequencies: (0..=207)
            .map(|i| 50.0 * 2f64.powf(f64::from(i) / 24.0))
            .filter(|f| *f <= 20_000.0)
            .collect(),
    }
}

fn report_prediction(name: &str, back: Back) {
    let scene = tea_room(back);
    let start = Instant::now();
    let reached = std::cell::RefCell::new(vec![]);
    let watch = |progress: panelwright_solver::Progress| {
        let mut reached = reached.borrow_mut();
        if reached.last().is_none_or(|&(stage, _)| stage != progress.stage) {
            reached.push((progress.stage, start.elapsed().as_secs_f64()));
        }
    };
    let found = predict(&scene, &watch).expect("solvable");
    let total = start.elapsed().as_secs_f64();
    let balance = &found.motion.balance;
    let mechanical = |i: usize| balance.electrical[i] - balance.coil_heat[i];
    let worst = (0..scene.frequencies.len())
        .map(|i| {
            let spent = balance.suspension[i] + balance.structure[i] + balance.radiated[i];
            (spent / mechanical(i) - 1.0).abs()
        })
        .fold(0.0, f64::max);
    let against_far = (0..scene.frequencies.len())
        .map(|i| (found.findings.radiated[i] / balance.radiated[i] - 1.0).abs())
        .fold(0.0, f64::max);
    println!(
        "{name}: {} modes, {} frequencies, {total:.2} s, stages from {:?}; mechanical balance off by at most {worst:.1e}, \
         far-field power by {against_far:.1e}",
        found.modes.len(),
        scene.frequencies.len(),
        reached.borrow()
    );
}

fn main() {
    panelwright_solver::single_threaded_blas();
    report_rigid();
    let start = Instant::now();
    sweep();
    println!("92 frequencies, 100 Hz to 20 kHz: {:.2} s", start.elapsed().as_secs_f64());
    report_prediction("open back", Back::Open);
    report_prediction("baffled", Back::Baffled);
    report_prediction("wall at 60 mm", Back::Wall { distance: 0.06, reflection: 1.0 });
    report_prediction("closed, 40 mm", Back::Closed { depth: 0.04, loss_factor: 0.1 });
    let vented = Back::Vented { depth: 0.04, loss_factor: 0.1, vent_area: 2e-3, vent_length: 0.06 };
    report_prediction("vented, 40 mm", vented);
    divan::main();
}

#[divan::bench]
fn one_frequency_at_16_khz() -> Complex64 {
    rigid(16_000.0, 8.0).2
}

#[divan::bench(sample_count = 3)]
fn ninety_two_frequencies() -> f64 {
    sweep()
}

#[divan::bench(sample_count = 3)]
fn open_prediction() -> f64 {
    let scene = tea_room(Back::Open);
    predict(&scene, &|_| {}).expect("solvable").findings.radiated[0]
}
