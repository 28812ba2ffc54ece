//! Placing, from the scene to the sentences.

mod pairs;

use super::group::Group;
use super::words::fraction;
use super::*;
use crate::coupling::tests::scene as foam;
use crate::scene::{Alignment, Back, Exciter, PassFilter, Scene, Seat, Wiring};
use crate::search::exciters::{Allowed, Rectangle, Weights};
use approx::assert_relative_eq;

/// A panel of plywood with `exciters` in parallel, before two seats on its vertical middle plane.
fn scene(exciters: &[[f64; 2]]) -> Scene {
    let mut scene = foam(Back::Open, [2.0, 2.0]);
    let section = &mut scene.panel.section;
    (section.d11, section.d12, section.d22, section.d66) = (45.0, 1.1, 21.0, 3.2);
    section.surface_mass = 2.4;
    let model = scene.exciters[0].clone();
    let named = |(index, &position): (usize, &[f64; 2])| Exciter {
        name: format!("{}", index + 1),
        position,
        ..model.clone()
    };
    scene.exciters = exciters.iter().enumerate().map(named).collect();
    scene.channels.truncate(1);
    scene.channels[0].exciters = (0..exciters.len()).collect();
    scene.channels[0].wiring = Wiring::Parallel;
    let seats = [[0.25, 0.3, 1.4], [0.25, -0.2, 0.9]];
    scene.receivers.seats =
        seats.iter().map(|&position| Seat { name: format!("{position:?}"), position }).collect();
    scene.frequencies = (0..73).map(|i| 100.0 * 2f64.powf(f64::from(i) / 24.0)).collect();
    scene
}

fn options() -> PlaceOptions {
    PlaceOptions { step: Some(25e-3), ..PlaceOptions::default() }
}

fn found(scene: &Scene, options: &PlaceOptions) -> ExciterPlaces {
    exciter_places(scene, options, &|_| {}).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn one_exciter_is_placed_as_well_as_the_grid_allows_and_confirmed() {
    let scene = scene(&[[0.25, 0.18]]);
    let found = found(&scene, &options());
    let least = found.places.iter().map(|place| place.cost).fold(f64::INFINITY, f64::min);
    let on_grid = |place: &&Place| place.position == found.best.positions[0];
    let place = found.places.iter().find(on_grid).expect("the best place is one of the grid's");
    // The robustness of the map is taken as straight between places, that of the arrangement 5 mm off: the ranking may differ by that.
    assert!(place.cost < least + 0.3, "{} {least}", place.cost);
    assert_relative_eq!(place.scores.evenness, found.best.scores.evenness, max_relative = 1e-6);
    assert!(found.best.cost < found.now.cost);
    // Search and whole prediction are two ways to the same sound.
    for (search, whole) in [(&found.now, &found.whole.now), (&found.best, &found.whole.best)] {
        assert!((search.scores.evenness - whole.evenness).abs() < 0.02, "{search:?} {whole:?}");
        assert!((search.scores.sensitivity - whole.sensitivity).abs() < 0.02, "{search:?} {whole:?}");
        assert_eq!(search.scores.coverage, whole.coverage);
    }
    assert!(found.summary[0].starts_with("Moving \"1\" from 250 mm, 180 mm to "), "{}", found.summary[0]);
}

#[test]
fn a_symmetric_panel_before_symmetric_seats_has_equal_mirror_images() {
    let found = found(&scene(&[[0.2, 0.15]]), &options());
    let image = |how: &str| found.mirrored.iter().find(|image| image.how == how).expect("feet fit there");
    let [sideways, upright] = ["left to right", "top to bottom"].map(|how| &image(how).arrangement);
    assert!((sideways.cost - found.best.cost).abs() < 1e-3, "{} {}", sideways.cost, found.best.cost);
    // The seats lie below the middle.
    assert!((upright.cost - found.best.cost).abs() > 1e-3, "{} {}", upright.cost, found.best.cost);
    let told = found.summary.iter().any(|sentence| sentence.contains("Mirrored left to right"));
    assert!(told, "{:?}", found.summary);
}

#[test]
fn robustness_is_what_the_worst_of_eight_neighbours_loses() {
    let weights = Weights {
        robustness: 1.0,
        evenness: 0.0,
        coverage: 0.0,
        extension: 0.0,
        dips: 0.0,
        sensitivity: 0.0,
    };
    let found = found(&scene(&[[0.2, 0.15]]), &PlaceOptions { weights, ..options() });
    assert_relative_eq!(found.now.cost, found.now.scores.robustness.expect("is known"));
    let moved = |angle: i32| {
        let (sin, cos) = (f64::from(angle) * std::f64::consts::FRAC_PI_4).sin_cos();
        self::found(&scene(&[[0.2 + 5e-3 * cos, 0.15 + 5e-3 * sin]]), &options()).now.scores.evenness
    };
    let worst = [0, 1, 2, 3, 4, 5, 6, 7].map(moved).into_iter().fold(0.0, f64::max);
    let lost = (worst - found.now.scores.evenness).max(0.0);
    assert!((found.now.cost - lost).abs() < 1e-4, "{} {lost}", found.now.cost);
}

#[test]
fn places_keep_to_regions_and_out_of_what_is_not_allowed() {
    let region = Rectangle { corner: [0.1, 0.05], size: [0.2, 0.25] };
    let keep_out = Rectangle { corner: [0.15, 0.1], size: [0.05, 0.1] };
    let allowed = Allowed { regions: vec![region], keep_out: vec![keep_out], taken: vec![] };
    let found = found(&scene(&[[0.2, 0.15]]), &PlaceOptions { allowed, step: Some(10e-3), ..options() });
    let radius = 0.5 * found.foot - 1e-9;
    for Place { position: [x, y], .. } in &found.places {
        assert!(*x >= 0.1 + radius && *x <= 0.3 - radius && *y >= 0.05 + radius && *y <= 0.3 - radius);
        let beyond = |v: f64, low: f64, high: f64| (low - v).max(v - high).max(0.0);
        assert!(beyond(*x, 0.15, 0.2).hypot(beyond(*y, 0.1, 0.2)) >= radius, "{x} {y}");
    }
}

#[test]
fn exciters_move_as_little_as_they_can() {
    let scene = scene(&[[0.1, 0.1], [0.4, 0.3], [0.25, 0.2]]);
    let group = Group::of(&scene, &PlaceOptions::default()).expect("there are some");
    let wanted = [[0.41, 0.3], [0.26, 0.2], [0.1, 0.12]];
    assert_eq!(group.assigned(&wanted), [[0.1, 0.12], [0.41, 0.3], [0.26, 0.2]]);
}

#[test]
fn exciters_that_push_against_each_other_are_refused() {
    let mut scene = scene(&[[0.1, 0.1], [0.4, 0.3]]);
    scene.exciters[1].reversed = true;
    let error = exciter_places(&scene, &options(), &|_| {}).expect_err("must be refused");
    assert!(matches!(error, PlaceError::Opposed { .. }), "{error}");
}

#[test]
fn shares_are_said_as_fractions() {
    assert_eq!([2.0 / 5.0, 5.0 / 13.0, 0.5].map(fraction), ["2/5", "5/13", "1/2"]);
    assert_eq!(fraction(0.123456), "0.123");
}

#[test]
fn the_usual_step_grows_with_the_panel() {
    assert_relative_eq!(usual_step((0.76, 0.52)), 10e-3);
    assert_relative_eq!(usual_step((2.5, 1.25)), 18e-3, max_relative = 1e-12);
}

/// A slope that is meant is not uneven, and what the driver plays is no matter of the exciters'.
#[test]
fn exciters_are_judged_where_their_crossover_passes_and_without_it() {
    let mut crossed = scene(&[[0.25, 0.18]]);
    crossed.channels[0].filters.low_pass =
        Some(PassFilter { alignment: Alignment::LinkwitzRiley, order: 4, corner: 500.0 });
    let mut passed = scene(&[[0.25, 0.18]]);
    passed.frequencies.retain(|f| *f <= 500.0);
    let [with, without] = [&crossed, &passed].map(|scene| found(scene, &options()));
    assert_eq!(with.frequencies, without.frequencies);
    assert_eq!(with.best.positions, without.best.positions);
    assert_relative_eq!(with.best.scores.evenness, without.best.scores.evenness);
    let told =
        |found: &ExciterPlaces| found.warnings.iter().any(|w| w.message.contains("without the crossover"));
    assert!(told(&with) && !told(&without));
}
