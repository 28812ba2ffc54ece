//! Modes of the yardstick plate: 900 × 600 × 4 mm orthotropic plywood.

use divan::Bencher;
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::{Axis, Contour, Lattice, Outline};
use panelwright_solver::plate::{Footprint, Modes};
use panelwright_solver::scene::{
    Back,
    EdgeCondition::{self, Clamped, Free},
    Edges, LossCurve, Panel, PlateSection,
};
use panelwright_solver::single_threaded_blas;
use std::num::NonZeroUsize;

/// As in the program: an allocator that keeps its pages.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() {
    single_threaded_blas();
    divan::main();
}

fn plywood(sides: [EdgeCondition; 4]) -> Panel {
    let (e1, e2, g12, nu12, thickness, density) = (10e9, 5e9, 0.7e9, 0.3, 4e-3f64, 650.0);
    let cube = thickness.powi(3) / 12.0;
    let stiff = cube / (1.0 - nu12 * nu12 * e2 / e1);
    let section = PlateSection {
        d11: e1 * stiff,
        d12: nu12 * e2 * stiff,
        d22: e2 * stiff,
        d66: g12 * cube,
        surface_mass: density * thickness,
        thickness,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: LossCurve::constant(0.02),
        shear_loss: LossCurve::constant(0.02),
    };
    let outline = Outline::Rectangle { width: 0.9, height: 0.6 };
    let edges = Edges::of_rectangle(0.9, 0.6, sides);
    Panel { outline, section, edges, back: Back::Baffled }
}

fn solve(bencher: Bencher, edges: [EdgeCondition; 4], up_to: f64) {
    let panel = plywood(edges);
    bencher.bench_local(|| Modes::solve(&panel, up_to).expect("the yardstick plate is small"));
}

/// All free, four symmetry blocks.
#[divan::bench(args = [10e3, 20e3], sample_count = 20)]
fn free(bencher: Bencher, up_to: f64) {
    solve(bencher, [Free; 4], up_to);
}

/// Clamped on the left, two symmetry blocks.
#[divan::bench(args = [10e3, 20e3], sample_count = 10)]
fn clamped_left(bencher: Bencher, up_to: f64) {
    solve(bencher, [Clamped, Free, Free, Free], up_to);
}

/// Clamped on the left and at the bottom: no symmetry.
#[divan::bench(args = [10e3, 20e3], sample_count = 5)]
fn clamped_corner(bencher: Bencher, up_to: f64) {
    solve(bencher, [Clamped, Clamped, Free, Free], up_to);
}

/// 20 mm of extruded foam, 900 × 600 mm: governed by shear.
fn foam(sides: [EdgeCondition; 4]) -> Panel {
    let panel = plywood(sides);
    let section = PlateSection {
        d11: 13.2,
        d12: 4.0,
        d22: 13.2,
        d66: 4.6,
        surface_mass: 0.66,
        thickness: 20e-3,
        shear: Some([1e5; 2]),
        rotary_inertia: 0.66 * 20e-3f64.powi(2) / 12.0,
        ..panel.section
    };
    Panel { section, ..panel }
}

/// The yardstick plate with its shear stiffness: rolling shear of the cross plies.
fn plywood_with_shear(sides: [EdgeCondition; 4]) -> Panel {
    let mut panel = plywood(sides);
    panel.section.shear = Some([5.0 / 6.0 * 110e6 * 4e-3; 2]);
    panel.section.rotary_inertia = panel.section.surface_mass * 4e-3f64.powi(2) / 12.0;
    panel
}

/// Shear-deformable, all free, up to 10 kHz.
#[divan::bench(args = ["foam", "plywood"], sample_count = 5)]
fn shear_deformable_free(bencher: Bencher, of: &str) {
    let panel = if of == "foam" { foam([Free; 4]) } else { plywood_with_shear([Free; 4]) };
    bencher.bench_local(|| Modes::solve(&panel, 10e3).expect("within the limit"));
}

/// Shear-deformable, clamped on the left, up to 10 kHz.
#[divan::bench(args = ["foam", "plywood"], sample_count = 2)]
fn shear_deformable_clamped_left(bencher: Bencher, of: &str) {
    let sides = [Clamped, Free, Free, Free];
    let panel = if of == "foam" { foam(sides) } else { plywood_with_shear(sides) };
    bencher.bench_local(|| Modes::solve(&panel, 10e3).expect("within the limit"));
}

/// Shear-deformable foam: the first static residual.
#[divan::bench(sample_count = 2)]
fn shear_deformable_first_residual(bencher: Bencher) {
    let panel = foam([Free; 4]);
    bencher
        .with_inputs(|| Modes::solve(&panel, 10e3).expect("within the limit"))
        .bench_local_values(|modes| modes.residual_flexibility(&[Footprint::ring([0.3, 0.2], 0.025)]));
}

/// A polygon of 0.55 m² without any symmetry.
fn asymmetric(panel: Panel) -> Panel {
    let corners = [[0.0, 0.1], [0.5, 0.0], [0.95, 0.15], [0.93, 0.6], [0.4, 0.73], [0.05, 0.6]];
    let outline = Outline::of_contours(Contour::polygon(&corners), vec![]).expect("a sound polygon");
    Panel { outline, edges: Edges::all(Free), ..panel }
}

/// Free-form, up to 10 kHz.
#[divan::bench(sample_count = 3)]
fn free_form(bencher: Bencher) {
    let panel = asymmetric(plywood([Free; 4]));
    bencher.bench_local(|| Modes::solve(&panel, 10e3).expect("within the limit"));
}

/// Free-form and shear-deformable, up to 10 kHz.
#[divan::bench(args = ["foam", "plywood"], sample_count = 1)]
fn free_form_shear_deformable(bencher: Bencher, of: &str) {
    let panel = asymmetric(if of == "foam" { foam([Free; 4]) } else { plywood_with_shear([Free; 4]) });
    bencher.bench_local(|| Modes::solve(&panel, 10e3).expect("within the limit"));
}

/// Fields of 367 frequencies on a lattice of 96 × 64 points from 812 modes.
#[divan::bench(sample_count = 10)]
fn superpose(bencher: Bencher) {
    let modes = Modes::solve(&plywood([Free; 4]), 10e3).expect("the yardstick plate is small");
    let count = |n| NonZeroUsize::new(n).expect("positive");
    let lattice = Lattice::new(Axis::gauss(0.9, count(96)), Axis::gauss(0.6, count(64)));
    let amplitudes = Array2::from_shape_fn((367, modes.len()), |(f, k)| {
        Complex64::new((f + 3 * k) as f64 % 7.0, (2 * f + k) as f64 % 5.0)
    });
    bencher.bench_local(|| modes.superpose(amplitudes.view(), &lattice));
}

/// Static residual of one exciter after its place has changed.
#[divan::bench(sample_count = 20)]
fn residual_flexibility(bencher: Bencher) {
    let modes = Modes::solve(&plywood([Free; 4]), 10e3).expect("the yardstick plate is small");
    modes.residual_flexibility(&[Footprint::ring([0.3, 0.2], 0.025)]);
    bencher.bench_local(|| modes.residual_flexibility(&[Footprint::ring([0.37, 0.22], 0.025)]));
}

/// The first static residual, which factorises the wider stiffness.
#[divan::bench(sample_count = 5)]
fn first_residual_flexibility(bencher: Bencher) {
    let panel = plywood([Free; 4]);
    bencher
        .with_inputs(|| Modes::solve(&panel, 10e3).expect("the yardstick plate is small"))
        .bench_local_values(|modes| modes.residual_flexibility(&[Footprint::ring([0.3, 0.2], 0.025)]));
}
