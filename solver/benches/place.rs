//! Every place of one exciter and every pair on a free plywood-like plate of 0.9 m × 0.6 m in a baffle, before nine seats: 200 frequencies
//! from 60 Hz to 10 kHz, modes up to 15 kHz. Invented data.
//!
//! `cargo bench -p panelwright-solver --bench place` first prints what is found, how long each stage takes, how far responses are from whole predictions
//! and how that depends on the number of modes that the air joins under a foot, then times judging alone.

#![allow(clippy::print_stdout)] // a bench is there to report

use divan::{Bencher, black_box};
use panelwright_mesh::Outline;
use panelwright_solver::air::Air;
use panelwright_solver::plate::Modes;
use panelwright_solver::scene::{
    Attachments, Back, Channel, EdgeCondition, Edges, Exciter, LossCurve, MapPlane, Mount, Panel,
    PlateSection, PolarArc, Receivers, Scene, Seat, Spread, Wiring,
};
use panelwright_solver::search::exciters::{
    CUSTOMARY, Feet, Judge, Mixture, PlaceGrid, Reach, Spacing, Weights, best_pairs, best_triples, singles,
    sources,
};
use panelwright_solver::{MODE_MARGIN, predict};
use std::sync::LazyLock;
use std::time::Instant;

const SPACING: Spacing = Spacing { step: 8.3e-3, clearance: 5e-3 };
const PLACES: [[f64; 2]; 3] = [[0.37, 0.25], [0.03, 0.05], [0.62, 0.41]];
/// What a decibel of level is worth in decibels of evenness.
const LEVEL_COST: f64 = 0.25;

/// All that a search needs.
struct Found {
    scene: Scene,
    modes: Modes,
    reach: Reach,
    grid: PlaceGrid,
    feet: Feet,
    judge: Judge,
}

static FOUND: LazyLock<Found> = LazyLock::new(|| Found::new(scene(plywood(), 10e3, 200)));

fn main() {
    report();
    divan::main();
}

fn plywood() -> PlateSection {
    section([8.5e9, 0.2e9, 4.0e9, 0.6e9], 4e-3, 2.4, 0.02)
}

/// Foam board of 5 mm, lighter than the air it moves.
fn foam() -> PlateSection {
    section([0.29e9, 0.07e9, 0.23e9, 0.1e9], 5e-3, 0.5, 0.03)
}

fn section(moduli: [f64; 4], thickness: f64, surface_mass: f64, loss: f64) -> PlateSection {
    let [d11, d12, d22, d66] = moduli.map(|modulus| modulus * thickness.powi(3) / 12.0);
    let loss = LossCurve::constant(loss);
    PlateSection {
        d11,
        d12,
        d22,
        d66,
        surface_mass,
        thickness,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: loss.clone(),
        shear_loss: loss,
    }
}

fn scene(section: PlateSection, top: f64, count: i32) -> Scene {
    let seat = |(x, z): (f64, f64)| Seat { name: format!("{x} {z}"), position: [x, 0.2, z] };
    let seats =
        [-0.9, 0.4, 1.6].into_iter().flat_map(|x| [1.5, 2.3, 3.1].map(|z| (x, z))).map(seat).collect();
    let exciter = Exciter {
        name: "exciter".into(),
        position: PLACES[0],
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
    };
    let channel = Channel {
        name: "A".into(),
        voltage: 2.83,
        gain: 1.0,
        delay: 0.0,
        source_resistance: 0.0,
        wiring: Wiring::Parallel,
        exciters: vec![0],
        filters: panelwright_solver::scene::Filters::default(),
    };
    Scene {
        title: "places".into(),
        panel: Panel {
            outline: Outline::Rectangle { width: 0.9, height: 0.6 },
            section,
            edges: Edges::all(EdgeCondition::Free),
            back: Back::Baffled,
        },
        attachments: Attachments::default(),
        exciters: vec![exciter],
        channels: vec![channel],
        air: Air::new(293.15, 0.5, 101_325.0),
        receivers: Receivers {
            seats,
            map: MapPlane { distance: 0.4, margin: 0.0, spacing: 0.3 },
            arc: PolarArc { distance: 2.0, step: 0.5 },
            floor: None,
        },
        spread: Spread::none(),
        frequencies: (0..count)
            .map(|i| 60.0 * (top / 60.0).powf(f64::from(i) / f64::from(count - 1)))
            .collect(),
    }
}

fn modes_of(scene: &Scene) -> Modes {
    let top = scene.frequencies.last().copied().expect("there are frequencies");
    Modes::solve(&scene.panel, MODE_MARGIN * top).expect("a plate")
}

fn timed<T>(what: &str, of: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let found = of();
    println!("{:>8.2} s  {what}", start.elapsed().as_secs_f64());
    found
}

impl Found {
    fn new(scene: Scene) -> Self {
        let modes = timed("modes", || modes_of(&scene));
        let reach = timed("transfers, and the air for every seat and foot", || {
            Reach::new(&scene, &modes, &|_, _| {}).expect("baffled")
        });
        let foot = scene.exciters[0].foot_diameter;
        let grid = PlaceGrid::new(&scene, foot, SPACING).expect("room");
        let feet = timed("shapes and static give under the feet", || Feet::at(&modes, foot, &grid.positions));
        let judge = Judge::new(&scene, &modes).expect("a wide range");
        println!("{} places, {} modes, {} frequencies", grid.len(), modes.len(), scene.frequencies.len());
        Self { scene, modes, reach, grid, feet, judge }
    }

    fn drive(&self) -> Vec<panelwright_solver::search::exciters::Source> {
        sources(&self.scene.exciters[0], &self.scene.channels[0], 1, &self.scene.frequencies)
    }

    fn mixture(&self) -> Mixture {
        Mixture::new(&self.reach, &self.feet, &self.drive(), &self.judge, (0.05, [1.0, LEVEL_COST]))
    }

    /// A place in shares of the sides.
    fn share(&self, place: usize) -> String {
        let [x, y] = self.grid.positions[place];
        format!("{:.0} %, {:.0} %", x / 0.9 * 100.0, y / 0.6 * 100.0)
    }
}

fn report() {
    let found = &*FOUND;
    let all = timed("every place of one exciter", || {
        singles(
            &found.reach,
            (&found.feet, Some(&found.grid)),
            &found.drive(),
            &found.judge,
            &Weights::default(),
        )
    });
    for &place in all.ranking.iter().take(3).chain(all.ranking.last()) {
        println!("{}: cost {:.2} {:?}", found.share(place), all.cost[place], all.scores[place]);
    }
    println!("Shares of the sides in common use (no source), scored where they are:");
    for [x, y] in CUSTOMARY {
        let feet = Feet::at(&found.modes, 25e-3, &[[0.9 * x, 0.6 * y]]);
        let one = singles(&found.reach, (&feet, None), &found.drive(), &found.judge, &Weights::default());
        println!("{x:.3}, {y:.3}: {:?}", one.scores[0]);
    }
    let mixture = timed("responses by band", || found.mixture());
    let pairs = timed("every pair", || best_pairs(&mixture, 1000));
    for pair in pairs.iter().take(3) {
        println!(
            "{} with {}: cost {:.3}",
            found.share(pair.places[0]),
            found.share(pair.places[1]),
            pair.cost
        );
    }
    for starts in [1, 8, 32] {
        let triples =
            timed(&format!("triples from {starts} pairs"), || best_triples(&mixture, &pairs, starts, 3));
        println!("best cost {:.3}", triples[0].cost);
    }
    println!("Deviation from whole predictions at {} places [dB]: worst, root mean square", PLACES.len());
    for (name, section, top) in [("plywood", plywood(), 4e3), ("foam", foam(), 2e3)] {
        deviations(name, &scene(section, top, 80));
    }
}

fn deviations(name: &str, scene: &Scene) {
    let modes = modes_of(scene);
    let feet = Feet::at(&modes, scene.exciters[0].foot_diameter, &PLACES);
    let drive = sources(&scene.exciters[0], &scene.channels[0], 1, &scene.frequencies);
    let whole: Vec<_> = PLACES
        .iter()
        .map(|&position| {
            let mut moved = scene.clone();
            moved.exciters[0].position = position;
            predict(&moved, &|_| {}).expect("solvable").findings.seats
        })
        .collect();
    for coupled in [0, 16, 32, 48, 64, 256] {
        let reach = timed(name, || Reach::with_coupled(scene, &modes, coupled, &|_, _| {}).expect("baffled"));
        let found = reach.responses(&feet, 0..PLACES.len(), &drive);
        let mut all: Vec<f64> = vec![];
        for ((f, seat, place), p) in found.indexed_iter() {
            all.push(20.0 * (f64::from(p.norm()) / whole[place][seat].pressure[f].norm()).log10().abs());
        }
        let mean = all.iter().map(|d| d * d).sum::<f64>() / all.len() as f64;
        all.sort_by(f64::total_cmp);
        println!(
            "{name}: {coupled} of {} modes joined: {:.4}, {:.4}; 99 % below {:.4}",
            modes.len(),
            all[all.len() - 1],
            mean.sqrt(),
            all[all.len() * 99 / 100]
        );
    }
}

/// 64 places at a time, on all cores: the target is 2 s for all of them.
#[divan::bench(sample_count = 5, sample_size = 1)]
fn judge_every_place(bencher: Bencher) {
    let found = &*FOUND;
    let drive = found.drive();
    bencher.bench_local(|| {
        black_box(singles(
            &found.reach,
            (&found.feet, Some(&found.grid)),
            &drive,
            &found.judge,
            &Weights::default(),
        ))
    });
}
