//! Outlines against the product basis, against themselves moved and turned, and against what should break them.
//! Published values are in the validation.

use super::*;
use crate::plate::{Accuracy, Estimate, Footprint, Modes};
use crate::scene::EdgeCondition::{Clamped, Free, SimplySupported};
use crate::scene::{Back, EdgeCondition, Edges, LossCurve, Panel, PlateSection, Stretch, Strip};
use crate::single_threaded_blas;
use panelwright_mesh::{Contour, Outline};
use std::f64::consts::TAU;

/// 4 mm of an isotropic sheet: D = 33 N·m, 2.6 kg/m².
pub(super) fn sheet(outline: Outline, edges: Edges) -> Panel {
    let d = 33.0;
    let section = PlateSection {
        d11: d,
        d12: 0.3 * d,
        d22: d,
        d66: 0.35 * d,
        surface_mass: 2.6,
        thickness: 4e-3,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: LossCurve::constant(0.02),
        shear_loss: LossCurve::constant(0.02),
    };
    Panel { outline, section, edges, back: Back::Open }
}

pub(super) fn polygon(points: &[[f64; 2]]) -> Outline {
    Outline::of_contours(Contour::polygon(points), vec![]).expect("a sound polygon")
}

pub(super) fn pentagon(turned: f64) -> Outline {
    let (sin, cos) = turned.sin_cos();
    let points = [[0.0, 0.05], [0.55, 0.0], [0.6, 0.3], [0.3, 0.42], [0.05, 0.35]];
    polygon(&points.map(|[x, y]| [cos * x - sin * y, sin * x + cos * y]))
}

/// Frequencies by the free-form solver, whatever the outline.
pub(super) fn free_form(panel: &Panel, up_to: f64, accuracy: Accuracy) -> Vec<f64> {
    single_threaded_blas();
    let region = Region::of(panel);
    let plan = FreeFormPlan::new(&region, TAU * up_to, accuracy);
    let solved = solve(&region, &plan, (TAU * up_to).powi(2)).expect("solvable");
    solved.eigenvalues.iter().map(|value| value.sqrt() / TAU).collect()
}

pub(super) fn largest_difference(a: &[f64], b: &[f64]) -> f64 {
    let elastic = a.iter().zip(b).filter(|pair| *pair.1 > 0.0);
    elastic.map(|(a, b)| (a / b - 1.0).abs()).fold(0.0, f64::max)
}

pub(super) const STRIP: EdgeCondition =
    EdgeCondition::Strip(Strip { stiffness: 2e4, rotational: 3.0, loss_factor: 0.4 });

#[test]
fn a_rectangle_agrees_with_the_product_basis() {
    let outline = Outline::Rectangle { width: 0.6, height: 0.4 };
    for (sides, limit) in [
        ([Free; 4], 2e-4),
        ([Clamped; 4], 3e-3),
        ([SimplySupported; 4], 3e-3),
        ([Free, Clamped, Free, SimplySupported], 3e-3),
    ] {
        let panel = sheet(outline.clone(), Edges::of_rectangle(0.6, 0.4, sides));
        let product =
            Modes::solve_with(&panel, 2e3, Accuracy::REFERENCE).expect("solvable").frequencies.to_vec();
        let (coarse, fine) =
            (free_form(&panel, 2e3, Accuracy::PREDICTION), free_form(&panel, 2e3, Accuracy::REFERENCE));
        let found = product.len().min(fine.len());
        assert!(found > 20 && product.len().abs_diff(fine.len()) <= 1);
        assert!(largest_difference(&coarse, &product) < 1e-2, "{sides:?}");
        assert!(largest_difference(&fine, &product) < limit, "{sides:?}");
    }
}

#[test]
fn turning_the_outline_changes_nothing() {
    for (condition, limit) in [(Free, 2e-5), (STRIP, 2e-5), (Clamped, 2e-4)] {
        let of =
            |turned| free_form(&sheet(pentagon(turned), Edges::all(condition)), 2e3, Accuracy::REFERENCE);
        let (straight, turned) = (of(0.0), of(0.7));
        assert!(straight.len() > 20 && straight.len() == turned.len());
        assert!(largest_difference(&straight, &turned) < limit, "{condition:?}");
    }
}

#[test]
fn symmetry_only_saves_time() {
    let outline = Outline::Ellipse { width: 0.5, height: 0.36 };
    for condition in [Free, STRIP] {
        let panel = sheet(outline.clone(), Edges::all(condition));
        let whole = {
            let mut region = Region::of(&panel);
            region.mirrored = [false, false];
            let plan = FreeFormPlan::new(&region, TAU * 2e3, Accuracy::REFERENCE);
            let solved = solve(&region, &plan, (TAU * 2e3).powi(2)).expect("solvable");
            solved.eigenvalues.iter().map(|value| value.sqrt() / TAU).collect::<Vec<f64>>()
        };
        let split = free_form(&panel, 2e3, Accuracy::REFERENCE);
        assert_eq!(split.len(), whole.len());
        assert!(largest_difference(&split, &whole) < 1e-9, "{condition:?}");
    }
}

#[test]
fn supports_on_one_side_break_the_symmetry() {
    let stretch = Stretch { contour: 0, from: 0.0, to: 0.3, condition: Clamped };
    let mut edges = Edges::all(Free);
    edges.stretches.push(stretch);
    let panel = sheet(Outline::Ellipse { width: 0.5, height: 0.36 }, edges);
    assert_eq!(Region::of(&panel).mirrored, [false, false]);
    assert_eq!(Region::of(&sheet(panel.outline.clone(), Edges::all(Clamped))).mirrored, [true, true]);
    // Clamped from the left end to the right one along the bottom: still mirrored about the vertical middle line.
    let mut edges = Edges::all(Free);
    edges.stretches.push(Stretch { contour: 0, from: 0.1, to: 0.5, condition: Clamped });
    let panel = sheet(Outline::Rectangle { width: 0.6, height: 0.4 }, edges);
    assert_eq!(Region::of(&panel).mirrored, [true, false]);
}

#[test]
fn shapes_are_mass_normalised_and_rigid_ones_flat() {
    let panel = sheet(pentagon(0.3), Edges::all(Free));
    let modes = Modes::solve(&panel, 1.5e3).expect("solvable");
    assert_eq!(modes.rigid_body_count(), 3);
    // Many points all over the panel: enough for 2 % of the norm.
    let (width, height) = panel.outline.bounding_box();
    let n = 160;
    let grid = (0..n * n).map(|i| [(i % n) as f64 + 0.5, (i / n) as f64 + 0.5].map(|k| k / n as f64));
    let points: Vec<[f64; 2]> =
        grid.map(|[x, y]| [x * width, y * height]).filter(|&point| panel.outline.contains(point)).collect();
    let shapes = modes.at(&points);
    let gram =
        shapes.t().dot(&shapes) * (panel.section.surface_mass * panel.outline.area() / points.len() as f64);
    for ((i, j), value) in gram.indexed_iter() {
        assert!((value - f64::from(i == j)).abs() < 0.02, "{i} {j}: {value}");
    }
}

#[test]
fn statics_complete_the_modal_sum() {
    for condition in [Free, STRIP] {
        let panel = sheet(pentagon(0.0), Edges::all(condition));
        let solve = |up_to: f64| Modes::solve(&panel, up_to).expect("solvable");
        assert_the_same_flexibility(&solve(700.0), &solve(3e3), 0.02);
    }
}

/// Modal sum and residual between two places of the pentagon agree however many modes the sum holds.
pub(super) fn assert_the_same_flexibility(few: &Modes, many: &Modes, limit: f64) {
    let probes = [Footprint::ring([0.2, 0.15], 0.025), Footprint::point([0.4, 0.2])];
    let total = |modes: &Modes| {
        let shapes = modes.averaged(&probes);
        let mut sum = modes.residual_flexibility(&probes);
        for (k, f) in modes.frequencies.iter().enumerate().filter(|(_, f)| **f > 0.0) {
            let column = shapes.column(k).insert_axis(ndarray::Axis(1)).to_owned();
            sum += &(column.dot(&column.t()) / (TAU * f).powi(2));
        }
        sum
    };
    for (a, b) in total(few).iter().zip(&total(many)) {
        assert!((a / b - 1.0).abs() < limit, "{} rigid modes: {a} {b}", few.rigid_body_count());
    }
}

#[test]
fn nothing_breaks_it() {
    single_threaded_blas();
    let star: Vec<[f64; 2]> = (0..10_000)
        .map(|i| {
            let (sin, cos) = (TAU * f64::from(i) / 1e4).sin_cos();
            let radius = 0.2 * (1.0 + 0.1 * (5.0 * TAU * f64::from(i) / 1e4).cos());
            [radius * cos, radius * sin]
        })
        .collect();
    let outlines = [
        polygon(&star),
        polygon(&[[0.0, 0.0], [1.0, 0.0], [1.0, 1e-3], [0.0, 1.1e-3]]),
        polygon(&[[0.0, 0.0], [0.7, 0.7], [0.699, 0.701]]),
        polygon(&[[0.0, 0.0], [2e-3, 0.0], [0.0, 1e-3]]),
        Outline::Ellipse { width: 2.0, height: 2e-3 },
    ];
    let strip =
        |stiffness, rotational| EdgeCondition::Strip(Strip { stiffness, rotational, loss_factor: 0.1 });
    for outline in outlines {
        for condition in
            [Free, Clamped, strip(0.0, 0.0), strip(1e-9, 0.0), strip(1e12, 1e12), strip(0.0, 1e12)]
        {
            let panel = sheet(outline.clone(), Edges::all(condition));
            let modes = Modes::solve(&panel, 1e3).expect("solvable");
            assert!(modes.frequencies.iter().chain(&modes.loss_factors).all(|value| value.is_finite()));
            let centre = Footprint::point(outline.centre());
            assert!(
                modes
                    .residual_flexibility(std::slice::from_ref(&centre))
                    .iter()
                    .all(|value| value.is_finite())
            );
            assert!(modes.averaged(&[centre]).iter().all(|value| value.is_finite()));
        }
    }
}

#[test]
fn the_estimate_foretells_the_modes() {
    let outline = Outline::of_contours(
        Contour::polygon(&[[0.0, 0.0], [0.7, 0.05], [0.65, 0.5], [0.1, 0.45]]),
        vec![Contour::ellipse([0.3, 0.25], 0.12, 0.12)],
    );
    for outline in [pentagon(0.0), outline.expect("sound")] {
        for condition in [Free, Clamped] {
            let panel = sheet(outline.clone(), Edges::all(condition));
            let (modes, estimate) =
                (Modes::solve(&panel, 3e3).expect("small").len(), Modes::estimate(&panel, 3e3));
            assert!((estimate.modes as f64 / modes as f64 - 1.0).abs() < 0.1, "{modes} {estimate:?}");
        }
    }
    let large = Estimate::new(&sheet(pentagon(0.0), Edges::all(Free)), 400e3, Accuracy::PREDICTION);
    assert!(
        large.refusal().is_some() && Modes::solve(&sheet(pentagon(0.0), Edges::all(Free)), 400e3).is_err()
    );
}

#[test]
fn a_hinge_leaves_one_rigid_motion() {
    let mut edges = Edges::all(Free);
    edges.stretches.push(Stretch { contour: 0, from: 0.1, to: 0.5, condition: SimplySupported });
    let panel = sheet(Outline::Rectangle { width: 0.6, height: 0.4 }, edges);
    let modes = Modes::solve(&panel, 1e3).expect("solvable");
    assert_eq!(modes.rigid_body_count(), 1);
    let heights = modes.at(&[[0.3, 0.0], [0.3, 0.2], [0.1, 0.4]]);
    assert!(heights[(0, 0)].abs() < 1e-4 * heights[(2, 0)].abs());
    assert!((heights[(1, 0)] / heights[(2, 0)] - 0.5).abs() < 1e-4);
}

/// `λ² √(D (1 − ν²)/m) / (2π L²)` with λ = 4.73004, 7.85320 (R. D. Blevins, Formulas for Natural Frequency and Mode Shape, 1979,
/// table 8-1, free beam).
#[test]
fn slivers_are_beams() {
    for width in [5e-2, 1e-2, 1e-3] {
        let outline = polygon(&[[0.0, 0.0], [1.0, 0.0], [1.0, width], [0.0, 1.02 * width]]);
        let panel = sheet(outline, Edges::all(Free));
        let beam = (33.0f64 * (1.0 - 0.09) / 2.6).sqrt() / TAU;
        for accuracy in [Accuracy::PREDICTION, Accuracy::REFERENCE] {
            let found = free_form(&panel, 300.0, accuracy);
            for (lambda, f) in [4.730_04f64, 7.853_2].into_iter().zip(&found[3..]) {
                let expected = beam * lambda * lambda;
                assert!((f / expected - 1.0).abs() < 0.02, "{width} m, {accuracy:?}: {f} {expected}");
            }
        }
    }
}
