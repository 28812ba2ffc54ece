//! Everything that can be built is closed, faces outwards, and is taken by boundary elements.

use super::*;
use crate::boundary::{Body, BoundaryError, Mirrors};
use crate::driver::assembly::{DIAPHRAGM, LEAST_GAP, RIGID, SURROUND};
use panelwright_mesh::check::{Fault, Limits, check};

/// Closed, oriented, nothing crosses; so many bodies.
fn assert_sound(surface: &Surface, bodies: usize) {
    let used = surface.triangles.iter().flatten().copied().collect::<std::collections::HashSet<_>>();
    let report = check(surface, &Limits::default());
    let faults: Vec<_> =
        report.faults.iter().filter(|fault| !matches!(fault, Fault::Needle { .. })).collect();
    assert!(faults.is_empty(), "{faults:?}");
    assert_eq!(report.shells.len(), bodies);
    assert!(used.len() >= 4 * bodies);
}

fn assert_built(driver: &SmallDriver, form: SurroundForm, bodies: usize, symmetric: [bool; 2]) {
    let name = format!("{:?} {:?}", driver.housing, form);
    let assembly = built(driver, form.clone());
    assert_eq!(assembly.symmetric(), symmetric, "{name}");
    let whole = meshed(&assembly, 0.008, [false; 2]);
    assert_sound(&corners(&whole), bodies + 1);
    let patches = [RIGID, DIAPHRAGM, SURROUND].map(|patch| whole.patches.contains(&patch));
    let changed = bodies > 0 || matches!(form, SurroundForm::RoundOver { .. });
    assert_eq!(patches, [true, true, changed], "{name}");
    match assembly.printable(0.004) {
        None => assert_eq!(form, SurroundForm::Bare),
        Some(printed) => assert_sound(&printed.expect("printable"), bodies.max(1)),
    }
    let gap = assembly.least_gap().map(|gap| gap.span.length());
    assert!(gap.is_some_and(|gap| gap >= LEAST_GAP), "{name} {gap:?}");
}

/// Up to the planes of symmetry and before a rigid plane, in coarse and in usual elements.
fn assert_taken(driver: &SmallDriver, form: SurroundForm, [x, y]: [bool; 2]) {
    let assembly = built(driver, form.clone());
    for length in [0.04, 0.008] {
        let judged = Body::check(&meshed(&assembly, length, [x, y]), Mirrors([x, y, true]));
        assert_eq!(judged, Ok(()), "{:?} {form:?} {length}", driver.housing);
    }
}

#[test]
fn boundary_elements_take_every_body() {
    for form in diaphragms() {
        assert_taken(&driver(ROUND, SEALED, form), SurroundForm::Bare, [true; 2]);
    }
    for form in [SurroundForm::Bare, SurroundForm::RoundOver { radius: 0.012 }] {
        assert_taken(&driver(ROUND, OPEN, DiaphragmForm::Flat), form, [true; 2]);
    }
    for (form, _, symmetric) in surrounds() {
        for driver in [driver(BOX, SEALED, DiaphragmForm::Flat), capped_ball()] {
            assert_taken(&driver, form.clone(), symmetric);
        }
    }
    // One goes the whole way, and half of one is open.
    let part = meshed(&built(&driver(BOX, SEALED, DiaphragmForm::Flat), SurroundForm::Bare), 0.04, [true; 2]);
    assert!(Body::new(&part, Mirrors([true; 3])).is_ok());
    assert!(matches!(Body::check(&part, Mirrors([true, false, true])), Err(BoundaryError::Open { .. })));
}

#[test]
fn wings_of_40_mm_take_few_thousand_elements_at_2_9_mm() {
    let driver = driver(ROUND, SEALED, DiaphragmForm::Flat);
    let count = |rounding| {
        let SurroundForm::Wings { count, length, height, opening, thickness, gap, turned, .. } = WINGS else {
            return 0;
        };
        let form = SurroundForm::Wings { count, length, height, opening, thickness, gap, rounding, turned };
        let assembly = built(&driver, form);
        let (whole, part) = (meshed(&assembly, 0.0029, [false; 2]), meshed(&assembly, 0.0029, [true; 2]));
        assert!(
            part.elements.len() * 4 == whole.elements.len(),
            "{} {}",
            part.elements.len(),
            whole.elements.len()
        );
        whole.elements.len()
    };
    let counts = [0.0, 0.001].map(count);
    assert!(counts[0] < counts[1] && counts[1] < 8000, "{counts:?}");
}

#[test]
fn every_surround_stands_around_every_housing() {
    for (form, bodies, symmetric) in surrounds() {
        for (front, back) in [(ROUND, SEALED), (ROUND, OPEN), (BOX, SEALED)] {
            assert_built(&driver(front, back, DiaphragmForm::Flat), form.clone(), bodies, symmetric);
        }
    }
}

#[test]
fn every_diaphragm_sits_in_every_round_housing() {
    for form in diaphragms() {
        for back in [SEALED, OPEN] {
            let mut driver = driver(ROUND, back, form.clone());
            assert_built(&driver, SurroundForm::Bare, 0, [true; 2]);
            assert_built(&driver, SurroundForm::RoundOver { radius: 0.012 }, 0, [true; 2]);
            driver.housing.rounding = 0.002;
            assert_built(&driver, BAFFLE, 1, [true; 2]);
        }
    }
}

#[test]
fn every_surround_but_a_round_over_stands_around_a_ball() {
    for (form, bodies, symmetric) in surrounds() {
        assert_built(&capped_ball(), form, bodies, symmetric);
    }
}

#[test]
fn every_flat_diaphragm_sits_in_a_box() {
    for form in &diaphragms()[..3] {
        let mut driver = driver(BOX, SEALED, form.clone());
        driver.housing.rounding = 0.002;
        assert_built(&driver, SurroundForm::Bare, 0, [true; 2]);
    }
}

#[test]
fn all_flares_stand_clear_and_lean_towards_the_listener() {
    for profile in [FlareProfile::Conical, FlareProfile::Exponential, FlareProfile::Elliptic] {
        for (front, outline) in [(ROUND, 0.025), (BOX, 0.028f64.hypot(0.032))] {
            let form =
                SurroundForm::Flare { profile, mouth_radius: 0.08, length: 0.05, wall: 0.002, gap: 0.001 };
            let assembly = built(&driver(front, SEALED, DiaphragmForm::Flat), form);
            let flare = fine(&meshed(&assembly, 0.006, [false; 2]), |patch| patch == SURROUND);
            let radii = flare.points.iter().map(|point| point.xy().norm());
            // The rim at the throat is a half circle and bulges inwards where the wall leans.
            let narrowest = radii.fold(f64::INFINITY, f64::min) - outline;
            assert!((0.0002..0.00101).contains(&narrowest), "{profile:?} {narrowest}");
            let top = flare.points.iter().map(|point| point.z).fold(0.0, f64::max);
            assert!((top - 0.11 - 0.0005).abs() < 0.00051, "{profile:?} {top}");
        }
    }
}

#[test]
fn chords_of_coarse_elements_do_not_close_narrow_gaps() {
    // Around a housing of 50 mm a chord of 30° cuts off 0.9 mm, several times the gap: elements must be curved.
    let form = SurroundForm::Baffle { width: 0.4, height: 0.3, thickness: 0.006, gap: 0.0003, rounding: 0.0 };
    let assembly = built(&driver(ROUND, SEALED, DiaphragmForm::Flat), form);
    let gap = assembly.least_gap().expect("two bodies");
    assert!((gap.span.length() - 0.0003).abs() < 2e-5, "{gap:?}");
    let coarse = meshed(&assembly, 0.03, [false; 2]);
    let radius = |p: u32| coarse.points[p as usize].xy().norm();
    let [mut housing, mut hole] = [0.0f64, f64::INFINITY];
    for (nodes, &patch) in coarse.elements.iter().zip(&coarse.patches) {
        let [least, most] =
            [f64::min, f64::max].map(|f| nodes.iter().map(|&p| radius(p)).reduce(f).unwrap_or(0.0));
        if patch == SURROUND { hole = hole.min(least) } else { housing = housing.max(most) }
    }
    assert!((housing - 0.025).abs() < 1e-12 && (hole - 0.0253).abs() < 1e-12, "{housing} {hole}");
}
