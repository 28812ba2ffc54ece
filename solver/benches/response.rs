//! The whole chain on one case: 900 × 600 × 4 mm plywood, all edges free, 1 N at (0.36, 0.27) m, loss factor 2 %; 367 frequencies from
//! 50 Hz to 10 kHz at 1/48 octave, 500 microphones in general position 0.1 m in front of the panel, 181 far-field angles.
//!
//! `cargo bench -p panelwright-solver --bench response` times the chain. It first prints the stages of the fastest of ten runs, the
//! deviation of the single-precision pressure from double precision on a lattice twice as fine, and the deviation from a
//! reference (`reference_pressure.csv`: every 20th microphone at twelve frequencies; Ritz method on 72 × 62 Legendre polynomials, the
//! 812 modes below 10 kHz, Rayleigh sum in double precision on 190 × 150 Gauss nodes; 80 × 70 polynomials change it by at most 2e-5).
//!
//! For comparison, a Ritz basis of 56 × 48 polynomials, of which only 810 modes lie below 10 kHz, with the Rayleigh sum in single
//! precision deviates from the same reference by 2.2e-2 over all values: 5.3e-2 at 9.3 kHz, 2.3e-4 at 5.9 kHz, 4e-5 and less
//! below. The basis here is richer than a prediction's, which instead solves for modes up to 1.5 times its highest frequency.

#![allow(clippy::print_stdout)] // a bench is there to report

use ndarray::{Array1, Array2, Array3, Axis as Dim};
use num_complex::Complex64;
use panelwright_mesh::{Lattice, Outline};
use panelwright_solver::air::Air;
use panelwright_solver::plate::{Accuracy, Footprint, Modes};
use panelwright_solver::radiation::{
    Arc, PointSources, SurfaceVelocity, Tier, far_field_arc, lattice_for, panel_tiers, pressure_many,
    radiated_power, rayleigh_integral,
};
use panelwright_solver::scene::{Back, EdgeCondition, Edges, LossCurve, Panel, PlateSection};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::f64::consts::TAU;
use std::time::{Duration, Instant};

const WIDTH: f64 = 0.9;
const HEIGHT: f64 = 0.6;
const DRIVE: [f64; 2] = [0.4 * WIDTH, 0.45 * HEIGHT];
const LOSS_FACTOR: f64 = 0.02;
const TOP: f64 = 10_000.0;
/// Everyday supplements; the modes asked for end where the frequencies do, so the basis reaches further instead.
const BASIS: Accuracy = Accuracy::PREDICTION;

unsafe extern "C" {
    fn openblas_set_num_threads(threads: i32);
}

/// What is computed.
struct Case {
    panel: Panel,
    air: Air,
    frequencies: Vec<f64>,
    microphones: Vec<[f64; 3]>,
    angles: Vec<f64>,
}

impl Case {
    fn new() -> Self {
        let microphones = include_str!("microphones.csv").lines().skip(1).filter_map(|line| {
            let (x, y) = line.split_once(',')?;
            Some([x.parse().ok()?, y.parse().ok()?, 0.1])
        });
        Self {
            panel: plywood(),
            // The state of air of the reference computation: c = 343.2 m/s, ρ = 1.2041 kg/m³.
            air: Air { density: 1.2041, ..Air::new(293.15, 0.0, 101_325.0) },
            frequencies: (0..367).map(|i| 50.0 * 2f64.powf(f64::from(i) / 48.0)).collect(),
            microphones: microphones.collect(),
            angles: (-90..=90).map(|degrees| f64::from(degrees).to_radians()).collect(),
        }
    }

    fn modes(&self) -> Modes {
        Modes::solve_with(&self.panel, TOP, BASIS).expect("the case is solvable")
    }
}

/// Birch plywood along the grain 10 GPa, across 5 GPa, shear 0.7 GPa, 650 kg/m³ (invented but ordinary).
fn plywood() -> Panel {
    let (along, across, shear, poisson, density, h) = (10e9, 5e9, 0.7e9, 0.3, 650.0, 4e-3f64);
    let stiffness = |modulus: f64| modulus * h.powi(3) / 12.0 / (1.0 - poisson * poisson * across / along);
    Panel {
        outline: Outline::Rectangle { width: WIDTH, height: HEIGHT },
        section: PlateSection {
            d11: stiffness(along),
            d12: poisson * stiffness(across),
            d22: stiffness(across),
            d66: shear * h.powi(3) / 12.0,
            surface_mass: density * h,
            thickness: h,
            shear: None,
            rotary_inertia: 0.0,
            bending_loss: LossCurve::constant(LOSS_FACTOR),
            shear_loss: LossCurve::constant(LOSS_FACTOR),
        },
        edges: Edges::all(EdgeCondition::Free),
        back: Back::Baffled,
    }
}

/// Times of the stages, in order.
#[derive(Clone, Copy, Default)]
struct Stages {
    modes: Duration,
    velocity: Duration,
    near_field: Duration,
    far_field: Duration,
}

impl Stages {
    fn total(&self) -> Duration {
        self.modes + self.velocity + self.near_field + self.far_field
    }
}

/// Pressure (frequencies, microphones) and far field (frequencies, angles).
struct Response {
    pressure: Array2<Complex64>,
    far_field: Array2<Complex64>,
    lattices: Vec<(usize, usize, usize)>,
}

fn timed<T>(stage: &mut Duration, work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let result = work();
    *stage += start.elapsed();
    result
}

/// Modal velocities (frequencies, modes) under 1 N.
fn modal_velocity(modes: &Modes, frequencies: &[f64]) -> Array2<Complex64> {
    let force = modes.averaged(&[Footprint::point(DRIVE)]);
    Array2::from_shape_fn((frequencies.len(), modes.len()), |(f, n)| {
        let (omega, natural) = (TAU * frequencies[f], TAU * modes.frequencies[n]);
        let stiffness = natural * natural * Complex64::new(1.0, LOSS_FACTOR) - omega * omega;
        Complex64::i() * omega * force[[0, n]] / stiffness
    })
}

fn respond(case: &Case) -> (Stages, Response) {
    let mut stages = Stages::default();
    let modes = timed(&mut stages.modes, || case.modes());
    let amplitudes = timed(&mut stages.velocity, || modal_velocity(&modes, &case.frequencies));
    let highest = modes.frequencies.iter().copied().fold(0.0, f64::max);
    let tiers = panel_tiers(&case.panel, &case.air, &case.frequencies, highest, 0.1);
    let velocities: Vec<Array3<Complex64>> = timed(&mut stages.velocity, || {
        tiers
            .par_iter()
            .map(|tier| modes.superpose(amplitudes.slice(ndarray::s![tier.range.clone(), ..]), &tier.lattice))
            .collect()
    });
    let mut pressure = Array2::zeros((case.frequencies.len(), case.microphones.len()));
    let mut far_field = Array2::zeros((case.frequencies.len(), case.angles.len()));
    for (tier, velocity) in tiers.iter().zip(&velocities) {
        let rows = ndarray::s![tier.range.clone(), ..];
        let frequencies = &case.frequencies[tier.range.clone()];
        timed(&mut stages.near_field, || {
            let block =
                pressure_many(&tier.lattice, frequencies, velocity.view(), &case.microphones, &case.air);
            pressure.slice_mut(rows).assign(&block);
        });
        timed(&mut stages.far_field, || {
            far_field.slice_mut(rows).assign(&far_field_of(case, tier, velocity));
        });
    }
    let lattices = tiers.iter().map(|t| (t.lattice.shape().0, t.lattice.shape().1, t.range.len())).collect();
    (stages, Response { pressure, far_field, lattices })
}

fn far_field_of(case: &Case, tier: &Tier, velocity: &Array3<Complex64>) -> Array2<Complex64> {
    let centre = case.panel.outline.centre();
    let rows: Vec<Vec<Complex64>> = tier
        .range
        .clone()
        .into_par_iter()
        .map(|f| {
            let surface = SurfaceVelocity {
                frequency: case.frequencies[f],
                lattice: &tier.lattice,
                velocity: velocity.index_axis(Dim(0), f - tier.range.start).to_owned(),
            };
            far_field_arc(&surface, Arc::Horizontal, &case.angles, centre, &case.air)
        })
        .collect();
    Array2::from_shape_fn((rows.len(), case.angles.len()), |(f, angle)| rows[f][angle])
}

/// Relative deviation of a response's pressure from double precision on lattices of twice the density, over every tenth frequency.
fn deviation(case: &Case, response: &Response) -> f64 {
    let modes = case.modes();
    let amplitudes = modal_velocity(&modes, &case.frequencies);
    let count = |n: usize| std::num::NonZeroUsize::new(2 * n + 20).expect("positive");
    let highest = modes.frequencies.iter().copied().fold(0.0, f64::max);
    let (mut difference, mut energy) = (0.0, 0.0);
    for f in (0..case.frequencies.len()).step_by(10) {
        let tier = panel_tiers(&case.panel, &case.air, &case.frequencies[f..=f], highest, 0.1).remove(0);
        let (nx, ny) = tier.lattice.shape();
        let gauss = panelwright_mesh::Axis::gauss;
        let lattice = Lattice::new(gauss(WIDTH, count(nx)), gauss(HEIGHT, count(ny)));
        let field = modes.superpose(amplitudes.slice(ndarray::s![f..=f, ..]), &lattice);
        let velocity = field.index_axis(Dim(0), 0).to_owned();
        let surface = SurfaceVelocity { frequency: case.frequencies[f], lattice: &lattice, velocity };
        let exact: Array1<Complex64> =
            rayleigh_integral(&PointSources::from(&surface), surface.frequency, &case.microphones, &case.air)
                .into();
        for (m, exact) in exact.iter().enumerate() {
            let exact = exact * attenuation(case, f, m);
            difference += (response.pressure[[f, m]] - exact).norm_sqr();
            energy += exact.norm_sqr();
        }
    }
    (difference / energy).sqrt()
}

/// Loss by air absorption from the panel's middle to a microphone, which the references leave out.
fn attenuation(case: &Case, frequency: usize, microphone: usize) -> f64 {
    let [x, y, z] = case.microphones[microphone];
    let distance = ((x - 0.5 * WIDTH).powi(2) + (y - 0.5 * HEIGHT).powi(2) + z * z).sqrt();
    (-case.air.absorption(case.frequencies[frequency]) * distance).exp()
}

/// Squared deviation of a response's pressure from the stored reference and squared reference, per frequency index.
fn deviation_from_reference(case: &Case, response: &Response) -> BTreeMap<usize, [f64; 2]> {
    let mut sums = BTreeMap::<usize, [f64; 2]>::new();
    for line in include_str!("reference_pressure.csv").lines().skip(1) {
        let fields: Vec<f64> =
            line.split(',').map(|field| field.parse().expect("the file holds numbers")).collect();
        let (f, m) = (fields[0] as usize, fields[1] as usize);
        let reference = Complex64::new(fields[2], fields[3]) * attenuation(case, f, m);
        let [difference, energy] = sums.entry(f).or_default();
        *difference += (response.pressure[[f, m]] - reference).norm_sqr();
        *energy += reference.norm_sqr();
    }
    sums
}

fn print_deviation(case: &Case, response: &Response) {
    println!("  relative deviation from double precision: {:.1e}", deviation(case, response));
    let sums = deviation_from_reference(case, response);
    let all = sums.values().fold([0.0, 0.0], |[d, e], [difference, energy]| [d + difference, e + energy]);
    println!("  relative deviation from the reference: {:.1e}", f64::sqrt(all[0] / all[1]));
    for (f, [difference, energy]) in sums {
        println!("    at {:.0} Hz: {:.1e}", case.frequencies[f], f64::sqrt(difference / energy));
    }
}

fn print_stages(case: &Case) {
    let mut runs: Vec<(Stages, Response)> = (0..10).map(|_| respond(case)).collect();
    runs.sort_by_key(|(stages, _)| stages.total());
    let (stages, response) = &runs[0];
    println!("fastest of {}: {:.1?} in all", runs.len(), stages.total());
    println!(
        "  modes {:.1?}, velocity {:.1?}, near field {:.1?}, far field {:.1?}",
        stages.modes, stages.velocity, stages.near_field, stages.far_field
    );
    let sums: usize = response.lattices.iter().map(|(nx, ny, n)| nx * ny * n).sum();
    let rate = (sums * case.microphones.len()) as f64 / stages.near_field.as_secs_f64();
    println!(
        "  {:.2} G kernel evaluations/s; lattices (nx, ny, frequencies): {:?}",
        1e-9 * rate,
        response.lattices
    );
    print_deviation(case, response);
    println!(
        "  largest far-field amplitude: {:.3} Pa·m",
        response.far_field.iter().map(|a| a.norm()).fold(0.0, f64::max)
    );
}

#[divan::bench(sample_count = 10)]
fn whole_chain(bencher: divan::Bencher) {
    let case = Case::new();
    bencher.bench(|| respond(&case).1.pressure);
}

/// Sound power of a 760 × 520 mm panel at 20 kHz.
#[divan::bench(sample_count = 20)]
fn power_at_20_khz(bencher: divan::Bencher) {
    let air = Air::new(293.15, 0.5, 101_325.0);
    let lattice = lattice_for(
        &Outline::Rectangle { width: 0.76, height: 0.52 },
        [166.0, 197.0],
        air.wavenumber(2e4),
        0.1,
    );
    let velocity = Array2::from_shape_fn(lattice.shape(), |(i, j)| {
        Complex64::cis(1.3 * i as f64 - 2.1 * (i * j) as f64)
    });
    let surface = SurfaceVelocity { frequency: 2e4, lattice: &lattice, velocity };
    bencher.bench(|| radiated_power(&surface, &air));
}

fn main() {
    // SAFETY: sets a global of OpenBLAS before any other thread exists.
    unsafe { openblas_set_num_threads(1) };
    print_stages(&Case::new());
    divan::main();
}
