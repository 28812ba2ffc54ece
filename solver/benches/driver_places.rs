//! Every place of a small driver around an open-backed plywood panel of 760 × 520 mm, before three seats: the numbers of cases/tea-room-blend.toml.
//!
//! `cargo bench --workspace --bench driver_places` first prints how far the map is off driver and board computed together, at places over the panel, at its edges and
//! corners and beside it, then how long the prediction of the panel and 400 places at 41 frequencies take, and the best place; then times the sum of panel and driver with
//! its advice.

#![allow(clippy::print_stdout)] // a bench is there to report

#[path = "../src/search/drivers/tests/invented.rs"]
mod invented;

use divan::{Bencher, black_box};
use panelwright_mesh::Outline;
use panelwright_solver::air::Air;
use panelwright_solver::blend::{blend_findings, ensemble};
use panelwright_solver::kept::NothingKept;
use panelwright_solver::scene::*;
use panelwright_solver::search::drivers::{Checked, DriverOptions, DriverPlaces, driver_places};
use panelwright_solver::single_threaded_blas;
use std::time::Instant;

const PLACES: [[f64; 2]; 10] = [
    [0.38, 0.26],
    [0.38, 0.46],
    [0.38, 0.50],
    [0.38, 0.52],
    [0.38, 0.53],
    [0.38, 0.56],
    [0.70, 0.50],
    [0.75, 0.46],
    [0.77, 0.53],
    [0.82, 0.56],
];
const CHECKED: [f64; 3] = [1600.0, 3200.0, 6400.0];

fn main() {
    single_threaded_blas();
    deviations();
    let start = Instant::now();
    let found = places();
    println!(
        "{} places, {} frequencies: {:.1} s in all",
        found.scores.len(),
        found.frequencies.len(),
        start.elapsed().as_secs_f64()
    );
    found.summary.iter().for_each(|sentence| println!("{sentence}"));
    divan::main();
}

fn deviations() {
    let scene = scene();
    let driver = &scene.drivers[0].scene;
    println!(
        "Difference from driver and board solved together, over the driver's own sound [%], at {CHECKED:?} Hz:"
    );
    let mut worst: f64 = 0.0;
    for place in PLACES {
        let one =
            |frequency| Checked::at(driver, &scene.panel.panel.outline, place, frequency).expect("sound");
        let off = CHECKED.map(|frequency| 100.0 * one(frequency).deviation);
        worst = off.iter().fold(worst, |worst, off| worst.max(*off));
        println!("{:4.0}, {:3.0} mm: {off:5.2?}", 1e3 * place[0], 1e3 * place[1]);
    }
    println!("worst {worst:.2} %");
}

fn places() -> DriverPlaces {
    driver_places(&scene(), 0, &DriverOptions::default(), &|_| {}).expect("sound").expect("a driver")
}

/// Sum and advice of a finished panel and driver: what `panelwright blend` does with its parts.
#[divan::bench(sample_count = 10, sample_size = 1)]
fn blended(bencher: Bencher) {
    let parts = ensemble(&scene(), &NothingKept, &|_| {}).expect("sound");
    bencher.bench_local(|| black_box(blend_findings(&parts)));
}

#[divan::bench(sample_count = 1, sample_size = 1)]
fn every_place(bencher: Bencher) {
    bencher.bench_local(|| black_box(places()));
}

/// Invented.
fn scene() -> BlendScene {
    let panel = panel();
    let fed = FedDriver { channel: channel("treble", vec![], false), scene: driver(&panel) };
    BlendScene { panel, drivers: vec![fed], measured: vec![] }
}

fn panel() -> Scene {
    Scene {
        title: "places of a driver".into(),
        panel: Panel {
            outline: invented::panel(),
            section: invented::plywood(),
            edges: Edges::all(EdgeCondition::Free),
            back: Back::Open,
        },
        attachments: Attachments::default(),
        exciters: vec![exciter([0.2888, 0.2964]), exciter([0.4864, 0.2288])],
        channels: vec![channel("panel", vec![0, 1], true)],
        air: Air::new(294.15, 0.55, 101_325.0),
        receivers: Receivers {
            seats: invented::seats(),
            map: MapPlane { distance: 0.4, margin: 0.0, spacing: 0.3 },
            arc: PolarArc { distance: 2.0, step: 5f64.to_radians() },
            floor: None,
        },
        spread: Spread::none(),
        frequencies: (0..85).map(|i| 700.0 * 2f64.powf(f64::from(i) / 24.0)).collect(),
    }
}

fn exciter(position: [f64; 2]) -> Exciter {
    Exciter {
        name: "exciter".into(),
        position,
        coil_resistance: 3.6,
        coil_inductance: 0.06e-3,
        force_factor: 3.2,
        moving_mass: 1.6e-3,
        foot_diameter: 25e-3,
        suspension_stiffness: 9000.0,
        suspension_loss_factor: 0.15,
        magnet_mass: 0.062,
        mount: Mount::Floating,
        reversed: false,
        rated_power: None,
        rated_excursion: None,
    }
}

/// Crossed over at 3 kHz.
fn channel(name: &str, exciters: Vec<usize>, low: bool) -> Channel {
    let pass = Some(PassFilter { alignment: Alignment::LinkwitzRiley, order: 4, corner: 3000.0 });
    let filters = match low {
        true => Filters { low_pass: pass, ..Filters::default() },
        false => Filters { high_pass: pass, ..Filters::default() },
    };
    Channel {
        name: name.into(),
        voltage: 2.83,
        gain: 1.0,
        delay: 0.0,
        source_resistance: 0.0,
        wiring: Wiring::Series,
        exciters,
        filters,
    }
}

fn driver(panel: &Scene) -> DriverScene {
    DriverScene {
        title: panel.title.clone(),
        behind: Behind::Board(panel.panel.outline.clone()),
        air: panel.air,
        arc: panel.receivers.arc,
        ..invented::scene(&panel.frequencies)
    }
}
