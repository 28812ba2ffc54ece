//! What a variant of a study costs: the demonstration's panel (760 × 520 × 4 mm poplar plywood, here in a baffle), two exciters in series, 80 frequencies from 100 Hz to
//! 10 kHz, one seat, a map of 130 microphones.
//!
//! `cargo bench -p panelwright-solver --bench study` prints time by variant for two studies, every panel new and exciters moved on one panel, on one thread
//! and on two, then times single variants.

#![allow(clippy::print_stdout)] // a bench is there to report

use divan::{Bencher, black_box};
use mimalloc::MiMalloc;
use panelwright_mesh::Outline;
use panelwright_solver::air::Air;
use panelwright_solver::scene::{
    Attachments, Back, Channel, EdgeCondition, Edges, Exciter, Filters, LossCurve, MapPlane, Mount, Panel,
    PlateSection, PolarArc, Receivers, Scene, Seat, Spread, Wiring,
};
use panelwright_solver::study::{Across, Objective, Over, Range, Variant, Workbench, measure};
use rayon::prelude::*;
use std::sync::LazyLock;
use std::time::Instant;

#[global_allocator]
static ALLOCATOR: MiMalloc = MiMalloc;

/// Memory of a workbench [bytes].
const LIMIT: usize = 2 << 30;

/// A variant: position of the first exciter in shares of the sides, thickness and width in millimetres.
#[derive(Clone, Copy)]
struct Choice {
    position: [f64; 2],
    thickness: f64,
    width: f64,
}

const NOMINAL: Choice = Choice { position: [0.38, 0.57], thickness: 4.0, width: 760.0 };

fn main() {
    report();
    divan::main();
}

/// Poplar plywood 7 and 2.5 GPa, shear 0.45 GPa; stiffnesses of 4 mm go with the cube of the thickness.
fn plywood(thickness: f64) -> PlateSection {
    let (ratio, loss) = (thickness / 4.0, LossCurve::constant(0.03));
    let [d11, d12, d22, d66] = [37.3667, 0.667_262, 13.3452, 2.4].map(|d| d * ratio.powi(3));
    PlateSection {
        d11,
        d12,
        d22,
        d66,
        surface_mass: 1.8 * ratio,
        thickness: 1e-3 * thickness,
        shear: Some([366_666.67 * ratio; 2]),
        rotary_inertia: 2.4e-6 * ratio.powi(3),
        bending_loss: loss.clone(),
        shear_loss: loss,
    }
}

fn exciter(position: [f64; 2]) -> Exciter {
    Exciter {
        name: "exciter".into(),
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
        rated_power: Some(10.0),
        rated_excursion: Some(1.5e-3),
    }
}

fn scene(choice: Choice) -> Scene {
    let (width, height) = (1e-3 * choice.width, 0.52);
    let [x, y] = choice.position;
    let channel = Channel {
        name: "amplifier".into(),
        voltage: 2.83,
        gain: 1.0,
        delay: 0.0,
        filters: Filters::default(),
        source_resistance: 0.0,
        wiring: Wiring::Series,
        exciters: vec![0, 1],
    };
    Scene {
        title: "tea room".into(),
        panel: Panel {
            outline: Outline::Rectangle { width, height },
            section: plywood(choice.thickness),
            edges: Edges::all(EdgeCondition::Free),
            back: Back::Baffled,
        },
        attachments: Attachments::default(),
        exciters: vec![exciter([x * width, y * height]), exciter([0.64 * width, 0.44 * height])],
        channels: vec![channel],
        air: Air::new(294.15, 0.55, 101_325.0),
        receivers: Receivers {
            seats: vec![Seat { name: "counter".into(), position: [0.5 * width, -0.14, 1.2] }],
            map: MapPlane { distance: 0.4, margin: 0.1, spacing: 0.08 },
            arc: PolarArc { distance: 2.0, step: 5f64.to_radians() },
            floor: None,
        },
        spread: Spread::none(),
        frequencies: (-39..=40).map(|i| 1000.0 * 10f64.powf(0.025 * f64::from(i))).collect(),
    }
}

fn variant(choice: Choice) -> Variant {
    Variant { panel: Some(scene(choice)), ..Variant::default() }
}

/// Everything that is asked of a panel.
fn objectives() -> Vec<Objective> {
    let band = Range { from: 200.0, to: 8e3 };
    vec![
        Objective::Flatness { band, over: Over::Average },
        Objective::LowEnd { drop: 10.0 },
        Objective::Sensitivity { band },
        Objective::DeadSpot { band },
        Objective::DeadArea { band },
        Objective::Beamwidth { band, across: Across::Horizontal },
        Objective::BeamChange { band, across: Across::Vertical },
        Objective::Wander { band },
        Objective::Excursion { band },
        Objective::Impedance { band },
        Objective::Mass,
        Objective::Area,
    ]
}

/// The n-th of a sequence that fills the square evenly (additive recurrence by the plastic number's powers).
fn spread(n: usize) -> [f64; 2] {
    [0.754_877_666, 0.569_840_291].map(|step| (0.5 + step * n as f64).fract())
}

fn moved(n: usize) -> Choice {
    Choice { position: spread(n).map(|u| 0.1 + 0.8 * u), ..NOMINAL }
}

fn renewed(n: usize) -> Choice {
    let [a, b] = spread(n + 1000);
    Choice { thickness: 3.0 + 2.0 * a, width: 700.0 + 120.0 * b, ..moved(n) }
}

fn study(
    name: &str,
    count: usize,
    choice: fn(usize) -> Choice,
    asked: &[Objective],
    new: fn(usize) -> Workbench,
) {
    for threads in [1, 2] {
        let bench = new(LIMIT);
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        let one =
            |n: usize| measure(&bench, &variant(choice(n)), asked).expect("a panel").values.iter().sum();
        let (begun, worked) = (Instant::now(), processor_seconds());
        let _: f64 = one(count);
        println!(
            "{name}, the first: {:.2} s, {:.2} s of processor time",
            begun.elapsed().as_secs_f64(),
            processor_seconds() - worked
        );
        let (begun, worked) = (Instant::now(), processor_seconds());
        let sums: Vec<f64> = pool.install(|| (0..count).into_par_iter().map(one).collect());
        let per_variant = |seconds: f64| 1e3 * seconds / count as f64;
        let digest = sums.iter().fold(0u64, |digest, sum| digest.rotate_left(7) ^ sum.to_bits());
        println!(
            "{name}, {threads} threads: {:.1} ms a variant, {:.1} ms of processor time, digest {digest:x}, {:?}",
            per_variant(begun.elapsed().as_secs_f64()),
            per_variant(processor_seconds() - worked),
            bench.reuse()
        );
    }
}

/// Processor time of this process [s], as Linux counts it in hundredths; not-a-number elsewhere.
fn processor_seconds() -> f64 {
    let Ok(stat) = std::fs::read_to_string("/proc/self/stat") else { return f64::NAN };
    let after_name = stat.rsplit(')').next().unwrap_or_default();
    after_name.split_whitespace().skip(11).take(2).filter_map(|ticks| ticks.parse::<f64>().ok()).sum::<f64>()
        / 100.0
}

fn report() {
    let all = objectives();
    let single: Vec<Objective> = [0, 1, 2, 8, 9].map(|n| all[n]).to_vec();
    let mapped: Vec<Objective> = [0, 1, 2, 3, 4, 8, 9].map(|n| all[n]).to_vec();
    study("every panel new", 8, renewed, &all, Workbench::new);
    study("exciters moved, everything", 20, moved, &all, Workbench::new);
    study("exciters moved, seats and axis", 1000, moved, &single, Workbench::for_moving_exciters);
    study("exciters moved, map as well", 200, moved, &mapped, Workbench::for_moving_exciters);
}

static BENCH: LazyLock<Workbench> = LazyLock::new(|| Workbench::for_moving_exciters(LIMIT));

/// On a panel that is known, seats and axis.
#[divan::bench(sample_count = 20)]
fn exciter_moved(bencher: Bencher) {
    let all = &objectives()[..3];
    measure(&BENCH, &variant(NOMINAL), all).expect("a panel");
    let mut n = 0;
    bencher.bench_local(|| {
        n += 1;
        black_box(measure(&BENCH, &variant(moved(n)), all).is_ok())
    });
}
