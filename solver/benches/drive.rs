//! Moving one of two exciters on a free plywood-like plate of 0.9 m × 0.6 m: 200 frequencies and some 900 modes up to 10 kHz, modes
//! and the transfers to three seats kept. Invented data.
//!
//! `cargo bench -p panelwright-solver --bench drive`

use divan::{Bencher, black_box};
use panelwright_mesh::Outline;
use panelwright_solver::air::Air;
use panelwright_solver::drive::{PanelPorts, natural_modes, solve};
use panelwright_solver::plate::Modes;
use panelwright_solver::radiation::{Transfer, lattice_for};
use panelwright_solver::scene::{
    Attachments, Back, Bar, Channel, EdgeCondition, Edges, Exciter, Hang, LossCurve, Mount, Panel, Patch,
    PlateSection, PointMass, Wiring,
};
use std::f64::consts::FRAC_PI_2;
use std::sync::LazyLock;

const LOSS_FACTOR: f64 = 0.02;
const FREQUENCIES: usize = 200;
/// In panel coordinates [m].
const SEATS: [[f64; 3]; 3] = [[0.45, 0.3, 1.5], [-0.6, 0.1, 2.2], [1.8, 0.2, 2.8]];

static MODES: LazyLock<Modes> = LazyLock::new(|| Modes::solve(&panel(), 10e3).expect("a small plate"));

fn main() {
    divan::main();
}

fn panel() -> Panel {
    let scale = 4e-3_f64.powi(3) / 12.0;
    let section = PlateSection {
        d11: 8.5e9 * scale,
        d12: 0.2e9 * scale,
        d22: 4.0e9 * scale,
        d66: 0.6e9 * scale,
        surface_mass: 2.4,
        thickness: 4e-3,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: LossCurve::constant(LOSS_FACTOR),
        shear_loss: LossCurve::constant(LOSS_FACTOR),
    };
    let outline = Outline::Rectangle { width: 0.9, height: 0.6 };
    Panel { outline, section, edges: Edges::all(EdgeCondition::Free), back: Back::Baffled }
}

fn exciter(x: f64, y: f64) -> Exciter {
    Exciter {
        name: String::new(),
        position: [x, y],
        coil_resistance: 3.6,
        coil_inductance: 0.05e-3,
        force_factor: 2.4,
        moving_mass: 1.2e-3,
        foot_diameter: 25e-3,
        suspension_stiffness: 9000.0,
        suspension_loss_factor: 0.12,
        magnet_mass: 0.115,
        mount: Mount::Floating,
        reversed: false,
        rated_power: None,
        rated_excursion: None,
    }
}

fn pair() -> Channel {
    Channel {
        name: String::new(),
        voltage: 2.83,
        gain: 1.0,
        delay: 0.0,
        filters: Default::default(),
        source_resistance: 0.1,
        wiring: Wiring::Parallel,
        exciters: vec![0, 1],
    }
}

/// Two exciters, the first one somewhere else at every step.
fn at_step(step: u32) -> [Exciter; 2] {
    [exciter(0.2 + 1e-3 * f64::from(step % 100), 0.22), exciter(0.55, 0.37)]
}

fn sweep() -> Vec<f64> {
    (0..FREQUENCIES).map(|i| 50.0 * 200f64.powf(i as f64 / (FREQUENCIES - 1) as f64)).collect()
}

/// Averaged shapes and static residual under the feet.
#[divan::bench]
fn ports_under_two_exciters(bencher: Bencher) {
    let mut step = 0;
    PanelPorts::under(&at_step(0), &Attachments::default(), &MODES, LOSS_FACTOR);
    bencher.bench_local(|| {
        step += 1;
        PanelPorts::under(&at_step(step), &Attachments::default(), &MODES, LOSS_FACTOR)
    });
}

/// The electro-mechanical solution alone.
#[divan::bench]
fn solve_two_exciters(bencher: Bencher) {
    let (exciters, f, channels) = (at_step(0), sweep(), [pair()]);
    let ports = PanelPorts::under(&exciters, &Attachments::default(), &MODES, LOSS_FACTOR);
    bencher.bench(|| solve(black_box(&f), &exciters, &channels, &ports));
}

/// New place of one exciter → ports → motion → pressure at three seats through kept transfers.
#[divan::bench]
fn move_one_exciter_to_seat_pressures(bencher: Bencher) {
    let (f, channels, mut step) = (sweep(), [pair()], 0);
    let (panel, air) = (panel(), Air::new(293.15, 0.5, 101_325.0));
    let top = f[f.len() - 1];
    let waves = [0.0, FRAC_PI_2].map(|angle| panel.section.wavenumber(top, angle));
    let lattice = lattice_for(&panel.outline, waves, air.wavenumber(top), 0.5);
    let transfer = Transfer::on(&lattice, (&MODES, MODES.len()), &panel, &SEATS, &f, &air);
    let mut pressures = || {
        step += 1;
        let exciters = at_step(step);
        let motion = solve(
            &f,
            &exciters,
            &channels,
            &PanelPorts::under(&exciters, &Attachments::default(), &MODES, LOSS_FACTOR),
        );
        transfer.pressure(motion.modal_velocity.view())
    };
    pressures();
    bencher.bench_local(pressures);
}

/// Two masses, two hangs, a patch and a bar; the first mass somewhere else at every step.
fn fixed_at_step(step: u32) -> Attachments {
    let name = String::new;
    let mass = |x: f64| PointMass { name: name(), position: [x, 0.11], mass: 0.05, diameter: 20e-3 };
    let hang =
        |x: f64| Hang { name: name(), position: [x, 0.57], stiffness: 2e3, loss_factor: 0.1, diameter: 0.0 };
    Attachments {
        masses: vec![mass(0.3 + 1e-3 * f64::from(step % 100)), mass(0.7)],
        hangs: vec![hang(0.1), hang(0.8)],
        patches: vec![Patch {
            name: name(),
            corner: [0.3, 0.3],
            size: [0.15, 0.1],
            surface_mass: 1.5,
            stiffness: 6.0,
            loss_factor: 0.4,
        }],
        bars: vec![Bar {
            name: name(),
            ends: [[0.1, 0.1], [0.6, 0.2]],
            line_mass: 0.1,
            stiffness: 12.0,
            torsional_stiffness: 2.0,
            loss_factor: 0.02,
        }],
    }
}

/// New place of one of two masses beside two hangs → ports → motion of two exciters.
#[divan::bench]
fn move_one_mass(bencher: Bencher) {
    let (exciters, f, channels, mut step) = (at_step(0), sweep(), [pair()], 0);
    PanelPorts::under(&exciters, &fixed_at_step(0), &MODES, LOSS_FACTOR);
    bencher.bench_local(|| {
        step += 1;
        let ports = PanelPorts::under(&exciters, &fixed_at_step(step), &MODES, LOSS_FACTOR);
        solve(&f, &exciters, &channels, &ports)
    });
}

/// Natural frequencies of the panel with all of it.
#[divan::bench(sample_count = 5)]
fn natural_modes_of_the_assembled_panel(bencher: Bencher) {
    let exciters = at_step(0);
    let ports = PanelPorts::under(&exciters, &fixed_at_step(0), &MODES, LOSS_FACTOR);
    bencher.bench(|| natural_modes(&exciters, &ports, 40));
}

/// A patch and a bar into all modes.
#[divan::bench(sample_count = 5)]
fn mix_patch_and_bar(bencher: Bencher) {
    bencher.with_inputs(|| MODES.clone()).bench_values(|modes| modes.with_attached(&fixed_at_step(0)));
}
