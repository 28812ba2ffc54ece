//! Shear-deformable outlines against the product basis, thin plates and themselves. Published values are in the validation.

use super::tests::{
    STRIP, assert_the_same_flexibility, free_form, largest_difference, pentagon, polygon, sheet,
};
use crate::plate::{Accuracy, EnergyPart, Footprint, Modes, PlateError, PlateModel};
use crate::scene::EdgeCondition::{Clamped, Free, SimplySupported};
use crate::scene::{Edges, LossCurve, Panel, PlateSection, Stretch};
use panelwright_mesh::Outline;

/// 20 mm of extruded foam: from 1 kHz on shear counts for more than bending.
fn foam(outline: Outline, edges: Edges) -> Panel {
    let panel = sheet(outline, edges);
    let section = PlateSection {
        d11: 13.2,
        d12: 4.0,
        d22: 13.2,
        d66: 4.6,
        surface_mass: 0.66,
        thickness: 20e-3,
        shear: Some([1e5; 2]),
        rotary_inertia: 0.66 * 20e-3f64.powi(2) / 12.0,
        shear_loss: LossCurve::constant(0.05),
        ..panel.section
    };
    Panel { section, ..panel }
}

fn solve(panel: &Panel, up_to: f64) -> Modes {
    Modes::solve_by(PlateModel::ShearDeformable, panel, up_to, Accuracy::PREDICTION).expect("solvable")
}

#[test]
fn a_foam_rectangle_agrees_with_the_product_basis() {
    let outline = Outline::Rectangle { width: 0.6, height: 0.4 };
    for (sides, coarse_limit, limit) in [
        ([Free; 4], 1e-2, 1e-3),
        ([Clamped; 4], 1e-2, 3e-3),
        ([SimplySupported; 4], 1e-2, 3e-3),
        ([STRIP; 4], 1e-2, 1e-3),
        ([Free, Clamped, Free, SimplySupported], 1e-2, 3e-3),
    ] {
        let panel = foam(outline.clone(), Edges::of_rectangle(0.6, 0.4, sides));
        let model = PlateModel::ShearDeformable;
        let product = Modes::solve_by(model, &panel, 3e3, Accuracy::REFERENCE).expect("solvable");
        let product = product.frequencies.to_vec();
        let coarse = free_form(&panel, 3e3, Accuracy::PREDICTION);
        let fine = free_form(&panel, 3e3, Accuracy::REFERENCE);
        let found = product.len().min(fine.len());
        assert!(found > 20 && product.len().abs_diff(fine.len()) <= 1);
        assert!(largest_difference(&coarse, &product) < coarse_limit, "{sides:?}");
        assert!(largest_difference(&fine, &product) < limit, "{sides:?}");
    }
}

#[test]
fn stiff_in_shear_it_is_a_thin_plate() {
    for (condition, limit) in [(Free, 1e-4), (STRIP, 1e-4), (Clamped, 5e-4)] {
        let thin = sheet(pentagon(0.3), Edges::all(condition));
        let stiff = PlateSection { shear: Some([1e10; 2]), ..thin.section.clone() };
        let stiff = Panel { section: stiff, ..thin.clone() };
        // At clamped edges the two hold the edge by different means: compared where both have converged.
        let accuracy = if condition == Clamped { Accuracy::REFERENCE } else { Accuracy::PREDICTION };
        let (a, b) = (free_form(&stiff, 2e3, accuracy), free_form(&thin, 2e3, accuracy));
        assert!(a.len().abs_diff(b.len()) <= 1 && a.len() > 20, "{condition:?}: {a:?} {b:?}");
        assert!(largest_difference(&a, &b) < limit, "{condition:?}: {}", largest_difference(&a, &b));
    }
}

#[test]
fn energy_and_losses_are_shared_out() {
    let outline = Outline::Rectangle { width: 0.6, height: 0.4 };
    let panel = foam(outline.clone(), Edges::all(STRIP));
    let product = solve(&panel, 3e3);
    // Two kinds of strip, alike, on one side: no longer a product.
    let mut edges = Edges::all(STRIP);
    edges.stretches.push(Stretch { contour: 0, from: 0.1, to: 0.2, condition: STRIP });
    let free_form = solve(&foam(outline, edges), 3e3);
    assert_eq!(free_form.model, PlateModel::ShearDeformable);
    let last = product.len().min(free_form.len()) - 1;
    // Near the top, modes lie close together and mix at will.
    for k in [0, 1, 2, 5, 9, 20, 40] {
        let (a, b) = (product.energy.row(k), free_form.energy.row(k));
        assert!((b.sum() - 1.0).abs() < 1e-9);
        for part in EnergyPart::ALL {
            let (a, b) = (a[part.column()], b[part.column()]);
            assert!((a - b).abs() < 0.01, "mode {k}, {part:?}: {a} {b}");
        }
        let (a, b) = (product.loss_factors[k], free_form.loss_factors[k]);
        assert!((a / b - 1.0).abs() < 0.02, "mode {k}: {a} {b}");
    }
    assert!(free_form.energy[(last, EnergyPart::Shear.column())] > 0.3);
}

#[test]
fn statics_complete_the_modal_sum_with_shear() {
    for condition in [Free, STRIP] {
        let panel = foam(pentagon(0.0), Edges::all(condition));
        assert_the_same_flexibility(&solve(&panel, 1e3), &solve(&panel, 3e3), 0.03);
    }
}

#[test]
fn nothing_breaks_it_with_shear() {
    let outlines = [
        pentagon(0.2),
        polygon(&[[0.0, 0.0], [0.7, 0.7], [0.699, 0.701]]),
        Outline::Ellipse { width: 0.5, height: 2e-3 },
    ];
    for outline in outlines {
        for condition in [Free, Clamped, SimplySupported, STRIP] {
            for shear in [1.0, 3e3, 1e12] {
                let panel = foam(outline.clone(), Edges::all(condition));
                let section = PlateSection { shear: Some([shear, 2.0 * shear]), ..panel.section.clone() };
                // Soft in shear there are many modes: as few as that.
                let up_to = if shear < 10.0 { 20.0 } else { 500.0 };
                let panel = Panel { section, ..panel };
                let solved =
                    Modes::solve_by(PlateModel::ShearDeformable, &panel, up_to, Accuracy::PREDICTION);
                let modes = match solved {
                    Ok(modes) => modes,
                    // 20 mm of foam, 2 mm wide: told to be no plate.
                    Err(PlateError::TooThick { .. }) => continue,
                    Err(error) => panic!("{condition:?} {shear}: {error}"),
                };
                assert!(modes.frequencies.iter().chain(&modes.loss_factors).all(|value| value.is_finite()));
                let centre = Footprint::point(outline.centre());
                assert!(modes.residual_flexibility(&[centre]).iter().all(|value| value.is_finite()));
            }
        }
    }
}
