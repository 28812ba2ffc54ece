//! Invariants of the plate's modes.

use approx::assert_relative_eq;
use ndarray::{Array2, Array3, s};
use num_complex::Complex64;
use panelwright_mesh::{Axis, Lattice, Outline};
use panelwright_solver::plate::{Accuracy, Footprint, Modes, PlateError};
use panelwright_solver::scene::{
    Back,
    EdgeCondition::{self, Clamped, Free, SimplySupported},
    Edges, LossCurve, Panel, PlateSection,
};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::num::NonZeroUsize;

/// Edges in the order left, bottom, right, top.
fn plywood(width: f64, height: f64, conditions: [EdgeCondition; 4]) -> Panel {
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
    let edges = Edges::of_rectangle(width, height, conditions);
    Panel { outline: Outline::Rectangle { width, height }, section, edges, back: Back::Baffled }
}

fn gauss_lattice(panel: &Panel, count: usize) -> Lattice {
    let (width, height) = panel.outline.bounding_box();
    let count = NonZeroUsize::new(count).expect("positive");
    Lattice::new(Axis::gauss(width, count), Axis::gauss(height, count))
}

/// Every kind of pair of ends, in both directions.
fn all_kinds() -> Vec<[EdgeCondition; 4]> {
    vec![
        [Free; 4],
        [SimplySupported; 4],
        [Clamped; 4],
        [SimplySupported, Free, Free, Free],
        [Free, SimplySupported, SimplySupported, Clamped],
        [Clamped, Clamped, SimplySupported, Free],
        [Clamped, Free, Free, SimplySupported],
        [Free, Clamped, Clamped, Free],
    ]
}

/// Deterministic values in −1…1 without a pattern.
fn scatter(index: usize) -> f64 {
    ((index as f64 * 12.9898).sin() * 43758.5453).fract()
}

fn amplitudes(rows: usize, modes: usize) -> Array2<Complex64> {
    Array2::from_shape_fn((rows, modes), |(f, k)| {
        Complex64::new(scatter(3 * f + 7 * k + 1), scatter(5 * f + 11 * k + 2))
    })
}

#[test]
fn shapes_are_orthonormal_in_mass_for_every_kind_of_edge() {
    for conditions in all_kinds() {
        let panel = plywood(0.5, 0.4, conditions);
        let modes = Modes::solve(&panel, 2000.0).expect("solves");
        let lattice = gauss_lattice(&panel, 60);
        let count = modes.len();
        assert!(count > 40, "{conditions:?}: {count} modes");
        let shapes =
            modes.on(&lattice, 0..count).into_shape_with_order((count, lattice.len())).expect("contiguous");
        let weights: Vec<f64> = lattice.weights().map(|w| w * panel.section.surface_mass).collect();
        let gram = (&shapes * &ndarray::aview1(&weights)).dot(&shapes.t());
        for ((i, j), value) in gram.indexed_iter() {
            let expected = f64::from(i == j);
            assert!((value - expected).abs() < 1e-7, "{conditions:?}: ({i}, {j}) {value}");
        }
    }
}

#[test]
fn shapes_meet_the_essential_conditions() {
    let panel = plywood(0.5, 0.4, [Clamped, SimplySupported, Free, Free]);
    let modes = Modes::solve(&panel, 1500.0).expect("solves");
    let step = 1e-5;
    let shapes = modes.at(&[[0.0, 0.17], [step, 0.17], [0.21, 0.0], [0.5, 0.17], [0.21, 0.4]]);
    let scale = shapes.row(3).iter().map(|v| v.abs()).fold(0.0, f64::max);
    assert!(scale > 1.0, "a free edge moves");
    assert!(
        shapes.row(0).iter().chain(shapes.row(2)).all(|v| v.abs() < 1e-9 * scale),
        "held edges do not move"
    );
    assert!(shapes.row(1).iter().all(|v| v.abs() < 1e-4 * scale), "a clamped edge does not turn");
}

#[test]
fn a_free_plate_has_three_rigid_modes_and_a_hinged_one_has_one() {
    let rigid = |conditions| {
        let modes = Modes::solve(&plywood(0.9, 0.6, conditions), 500.0).expect("solves");
        let count = modes.frequencies.iter().filter(|&&f| f == 0.0).count();
        assert!(modes.frequencies[count] > 1.0);
        count
    };
    assert_eq!(rigid([Free; 4]), 3);
    for side in 0..4 {
        let mut conditions = [Free; 4];
        conditions[side] = SimplySupported;
        assert_eq!(rigid(conditions), 1, "{conditions:?}");
    }
    assert_eq!(rigid([SimplySupported, SimplySupported, Free, Free]), 0);
    assert_eq!(rigid([Clamped, Free, Free, Free]), 0);
}

#[test]
fn rigid_shapes_are_exact() {
    let panel = plywood(0.9, 0.6, [Free; 4]);
    let modes = Modes::solve(&panel, 200.0).expect("solves");
    let mass = panel.section.surface_mass * panel.outline.area();
    let corners = modes.at(&[[0.0, 0.0], [0.9, 0.0], [0.0, 0.6], [0.9, 0.6]]);
    let rigid = corners.slice(s![.., ..3]);
    // Sum of squares at a corner: shift 1/M, tilts 3/M each.
    for corner in rigid.rows() {
        assert_relative_eq!(corner.dot(&corner), 7.0 / mass, max_relative = 1e-12);
    }
}

#[test]
fn turning_the_plate_changes_nothing() {
    for conditions in all_kinds() {
        let panel = plywood(0.7, 0.45, conditions);
        let [left, bottom, right, top] = conditions;
        let mut turned = plywood(0.45, 0.7, [bottom, left, top, right]);
        turned.section =
            PlateSection { d11: panel.section.d22, d22: panel.section.d11, ..panel.section.clone() };
        let original = Modes::solve(&panel, 3000.0).expect("solves").frequencies;
        let turned = Modes::solve(&turned, 3000.0).expect("solves").frequencies;
        assert_eq!(original.len(), turned.len());
        for (a, b) in original.iter().zip(&turned) {
            assert_relative_eq!(a, b, max_relative = 1e-8);
        }
    }
}

#[test]
fn mirroring_the_edges_changes_nothing() {
    let original =
        Modes::solve(&plywood(0.7, 0.45, [Clamped, SimplySupported, Free, Free]), 3000.0).expect("solves");
    let mirrored =
        Modes::solve(&plywood(0.7, 0.45, [Free, Free, Clamped, SimplySupported]), 3000.0).expect("solves");
    for (a, b) in original.frequencies.iter().zip(&mirrored.frequencies) {
        assert_relative_eq!(a, b, max_relative = 1e-8);
    }
    let [here, there] = [original.at(&[[0.13, 0.31]]), mirrored.at(&[[0.57, 0.14]])];
    for (a, b) in here.iter().zip(&there).take(60) {
        assert_relative_eq!(a.abs(), b.abs(), max_relative = 1e-5, epsilon = 1e-6);
    }
}

#[test]
fn evaluation_is_consistent_and_project_is_the_adjoint_of_superpose() {
    let panel = plywood(0.5, 0.4, [Clamped, Free, Free, SimplySupported]);
    let modes = Modes::solve(&panel, 1500.0).expect("solves");
    let lattice = Lattice::new(gauss_lattice(&panel, 13).x, gauss_lattice(&panel, 9).y);
    let points: Vec<[f64; 2]> = lattice.points().collect();
    let (at, on) = (modes.at(&points), modes.on(&lattice, 0..modes.len()));
    for (k, field) in on.outer_iter().enumerate() {
        for (value, expected) in field.iter().zip(at.column(k)) {
            assert_relative_eq!(value, expected, max_relative = 1e-8, epsilon = 1e-8);
        }
    }
    let amplitudes = amplitudes(4, modes.len());
    let fields = modes.superpose(amplitudes.view(), &lattice);
    let direct = amplitudes.dot(&at.t().mapv(Complex64::from));
    for (value, expected) in fields.iter().zip(&direct) {
        assert!((value - expected).norm() < 1e-8 * (1.0 + expected.norm()));
    }
    let probe = Array3::from_shape_fn((4, 13, 9), |(f, i, j)| {
        Complex64::new(scatter(f + 17 * i + j), scatter(i + 31 * j))
    });
    let projected = modes.project(&probe, &lattice);
    for f in 0..4 {
        let left: Complex64 = fields
            .index_axis(ndarray::Axis(0), f)
            .iter()
            .zip(probe.index_axis(ndarray::Axis(0), f))
            .map(|(a, b)| a * b)
            .sum();
        let right: Complex64 = amplitudes.row(f).iter().zip(projected.row(f)).map(|(a, b)| a * b).sum();
        assert!((left - right).norm() < 1e-10 * left.norm(), "{left} {right}");
    }
}

#[test]
fn a_ring_filters_by_the_bessel_function() {
    let panel = plywood(0.5, 0.4, [SimplySupported; 4]);
    let modes = Modes::solve(&panel, 3000.0).expect("solves");
    let centre = [0.25, 0.2];
    let [point, ring] =
        [Footprint::point(centre), Footprint::ring(centre, 0.03)].map(|f| modes.averaged(&[f]));
    // Mode (1,1) of a simply supported plate: k² = (π/a)² + (π/b)², and the ring's average is J₀(k r) of the centre's.
    let k = std::f64::consts::PI * (1.0 / 0.25f64 + 1.0 / 0.16).sqrt();
    let z: f64 = k * 0.015;
    let bessel = 1.0 - z * z / 4.0 + z.powi(4) / 64.0 - z.powi(6) / 2304.0;
    assert_relative_eq!(ring[(0, 0)] / point[(0, 0)], bessel, max_relative = 1e-9);
}

/// Compliance at the middle of a simply supported square plate, Navier's series
/// `w = 4P/(π⁴ D a²)… Σ 1/(m² + n²)²` over odd m, n (Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959,
/// § 34: 0.01160 P a²/D), here per `a²/D`.
fn navier_centre() -> f64 {
    let odd = || (0..1000).map(|n| f64::from(2 * n + 1));
    let sum: f64 = odd().map(|m| odd().map(|n| (m * m + n * n).powi(-2)).sum::<f64>()).sum();
    4.0 / std::f64::consts::PI.powi(4) * sum
}

#[test]
fn modal_sum_and_residual_give_the_static_deflection() {
    assert_relative_eq!(navier_centre(), 0.01160, max_relative = 1e-4);
    let mut panel = plywood(0.5, 0.5, [SimplySupported; 4]);
    let d = 30.0;
    panel.section = PlateSection { d11: d, d22: d, d12: 0.3 * d, d66: 0.35 * d, ..panel.section.clone() };
    for up_to in [300.0, 1000.0, 4000.0] {
        let modes = Modes::solve(&panel, up_to).expect("solves");
        let footprint = [Footprint::point([0.25, 0.25])];
        let shapes = modes.averaged(&footprint);
        let kept: f64 = (shapes.row(0).iter().zip(&modes.frequencies))
            .map(|(phi, f)| (phi / (std::f64::consts::TAU * f)).powi(2))
            .sum();
        let residual = modes.residual_flexibility(&footprint)[(0, 0)];
        let exact = navier_centre() * 0.25 / d;
        assert!((kept / exact - 1.0).abs() > 1e-4, "the residual must matter for the test to mean anything");
        assert_relative_eq!(kept + residual, exact, max_relative = 0.05 * (1.0 - kept / exact));
    }
}

/// Flexibility of the modes that `many` has beyond `few`, and of everything beyond `many`.
fn missing_flexibility(few: &Modes, many: &Modes, probes: &[Footprint; 2]) -> Array2<f64> {
    let shapes = many.averaged(probes);
    let missing = shapes.slice(s![.., few.len()..]);
    let stiffness = many.frequencies.slice(s![few.len()..]).mapv(|f| (std::f64::consts::TAU * f).powi(2));
    (&missing / &stiffness).dot(&missing.t()) + many.residual_flexibility(probes)
}

#[test]
fn residual_is_what_a_sum_over_twenty_times_more_modes_adds() {
    let rings = [Footprint::ring([0.17, 0.21], 0.025), Footprint::ring([0.33, 0.12], 0.025)];
    let points = [Footprint::point([0.17, 0.21]), Footprint::point([0.02, 0.12])];
    let rim = [Footprint::point([0.25, 0.0]), Footprint::point([0.5, 0.4])];
    for conditions in [[Free; 4], [Clamped; 4], [Clamped, Free, SimplySupported, Free]] {
        let panel = plywood(0.5, 0.4, conditions);
        let [few, many] = [1500.0, 40e3].map(|up_to| Modes::solve(&panel, up_to).expect("solves"));
        for (probes, tolerance) in [(&rings, 0.04), (&points, 0.15), (&rim, 0.1)] {
            let expected = missing_flexibility(&few, &many, probes);
            let residual = few.residual_flexibility(probes);
            let scale = expected.diag().iter().copied().fold(1e-12, f64::max);
            for ((i, j), value) in residual.indexed_iter() {
                let error = (value - expected[(i, j)]).abs() / scale;
                assert!(error < tolerance, "{conditions:?} {:?} ({i}, {j}): {error:.3}", probes[i].points[0]);
            }
        }
    }
}

#[test]
fn results_do_not_depend_on_the_number_of_threads() {
    let panel = plywood(0.5, 0.4, [Free, Clamped, Free, Free]);
    let lattice = gauss_lattice(&panel, 17);
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads start");
        pool.install(|| {
            let modes = Modes::solve(&panel, 2500.0).expect("solves");
            let fields = modes.superpose(amplitudes(9, modes.len()).view(), &lattice);
            let projected = modes.project(&fields, &lattice);
            let residual = modes.residual_flexibility(&[Footprint::point([0.2, 0.1])]);
            (modes.frequencies, fields, projected, residual)
        })
    };
    let one = run(1);
    for threads in [2, 3, 5] {
        assert!(run(threads) == one, "{threads} threads give other bits");
    }
}

#[test]
fn too_large_a_request_is_refused_with_numbers() {
    let mut panel = plywood(3.0, 3.0, [Clamped, Clamped, Free, Free]);
    panel.section.d11 = 0.5;
    panel.section.d22 = 0.5;
    panel.section.d12 = 0.1;
    panel.section.d66 = 0.2;
    let error = Modes::solve(&panel, 20e3).expect_err("many thousand modes");
    assert!(matches!(error, PlateError::TooLarge { unknowns, limit, .. } if unknowns > limit), "{error}");
    let absurd = Modes::solve(&panel, 1e12).expect_err("more modes than memory");
    assert!(matches!(absurd, PlateError::TooLarge { .. }), "{absurd}");
    assert!(Modes::estimate(&panel, 1e12).seconds > 1e6);
    let mut ribbon = panel.clone();
    ribbon.outline = Outline::Rectangle { width: 20.0, height: 0.02 };
    ribbon.edges = Edges::of_rectangle(20.0, 0.02, [Free; 4]);
    let long = Modes::solve(&ribbon, 20e3).expect_err("thousands of functions along the side");
    assert!(matches!(long, PlateError::TooLong { half_waves, limit, .. } if half_waves > limit), "{long}");
    assert!(Modes::estimate(&ribbon, 20e3).refusal().is_some());
}

#[test]
fn default_accuracy_keeps_its_promise() {
    for conditions in all_kinds() {
        let panel = plywood(0.6, 0.4, conditions);
        let quick = Modes::solve(&panel, 5000.0).expect("solves");
        let fine = Modes::solve_with(&panel, 5000.0, Accuracy { margin: 12.0, ..Accuracy::PREDICTION })
            .expect("solves");
        assert!(fine.len().abs_diff(quick.len()) <= 1, "{conditions:?}");
        let mut errors: Vec<f64> = (quick.frequencies.iter().zip(&fine.frequencies))
            .filter(|(_, f)| **f > 0.0)
            .map(|(q, f)| (q / f - 1.0).abs())
            .collect();
        errors.sort_by(f64::total_cmp);
        assert!(errors[errors.len() - 1] < 0.005, "{conditions:?}");
        assert!(errors[errors.len() / 2] < 5e-5, "{conditions:?}");
    }
}

fn condition() -> impl Strategy<Value = EdgeCondition> {
    prop_oneof![Just(Free), Just(SimplySupported), Just(Clamped)]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, rng_seed: RngSeed::Fixed(20251), ..ProptestConfig::default() })]

    /// f ∝ √(D/m) / a² for any edges, any aspect ratio to 20 and any stiffness ratio between 1e-3 and 1e3.
    #[test]
    fn frequencies_scale_and_stay_numbers(
        conditions in [condition(), condition(), condition(), condition()],
        aspect in 0.05f64..20.0,
        ratio in -3.0f64..3.0,
        size in 0.05f64..3.0,
    ) {
        let mut panel = plywood(1.0, 1.0, conditions);
        let d11 = 10.0;
        let d22 = d11 * 10f64.powf(ratio);
        panel.section = PlateSection { d11, d22, d12: 0.2 * (d11 * d22).sqrt(), d66: 0.3 * (d11 * d22).sqrt(), ..panel.section.clone() };
        panel.outline = Outline::Rectangle { width: 1.0, height: 1.0 / aspect };
        panel.edges = Edges::of_rectangle(1.0, 1.0 / aspect, conditions);
        // About 150 modes.
        let density = panel.outline.area() * (panel.section.surface_mass / (d11 * d22).sqrt()).sqrt() / 2.0;
        let up_to = 150.0 / density;
        let modes = Modes::solve(&panel, up_to).expect("solves");
        prop_assert!(modes.frequencies.iter().all(|f| f.is_finite()));
        prop_assert!(modes.at(&[[0.3, 0.4 / aspect], [1.0, 0.0]]).iter().all(|v| v.is_finite()));
        let estimate = Modes::estimate(&panel, up_to);
        prop_assert!((estimate.modes as f64 - modes.len() as f64).abs() < 12.0 + 0.12 * modes.len() as f64, "{} {}", estimate.modes, modes.len());

        panel.outline = Outline::Rectangle { width: size, height: size / aspect };
        panel.edges = Edges::of_rectangle(size, size / aspect, conditions);
        let scaled = Modes::solve(&panel, up_to / size.powi(2)).expect("solves");
        for (a, b) in modes.frequencies.iter().zip(&scaled.frequencies) {
            prop_assert!((a / size.powi(2) - b).abs() <= 1e-6 * b, "{} {}", a / size.powi(2), b);
        }
    }
}
