//! Volumes and areas as they follow from the measures.

use super::*;
use crate::driver::assembly::{DIAPHRAGM, RIGID, SURROUND};

fn bare(front: HousingFront, back: HousingBack, form: DiaphragmForm) -> Assembly {
    built(&driver(front, back, form), SurroundForm::Bare)
}

/// Share by which the volume of curved elements is off.
fn volume_error(assembly: &Assembly, length: f64, exact: f64) -> f64 {
    (fine(&meshed(assembly, length, [false; 2]), |_| true).volume() / exact - 1.0).abs()
}

#[test]
fn housings_enclose_what_cylinder_cone_and_cap_do() {
    let (r, a, d) = (0.025f64, 0.02f64, 0.02);
    for (form, extra) in [
        (DiaphragmForm::Flat, 0.0),
        (RING, 0.0),
        (DiaphragmForm::Cone { depth: 0.008 }, -PI * a * a * 0.008 / 3.0),
        (DiaphragmForm::Dome { height: 0.006 }, PI * 0.006 / 6.0 * (3.0 * a * a + 0.006 * 0.006)),
    ] {
        let assembly = bare(ROUND, SEALED, form.clone());
        let exact = PI * r * r * d + extra;
        assert!(volume_error(&assembly, 0.004, exact) < 4e-4, "{form:?}");
        // Wall, septum and the rigid ring around the diaphragm, whatever the diaphragm's shape.
        let tube = PI * (r * r - 0.023 * 0.023) * d + PI * 0.023 * 0.023 * 0.0005;
        assert!(volume_error(&bare(ROUND, OPEN, form.clone()), 0.004, tube) < 2e-3, "{form:?}");
    }
    let disc = PI * (r * r - 0.023 * 0.023) * d + PI * 0.023 * 0.023 * 0.001;
    assert!(volume_error(&bare(ROUND, OPEN, bending()), 0.004, disc) < 2e-3);
    assert!(volume_error(&bare(BOX, SEALED, DiaphragmForm::Flat), 0.004, 0.056 * 0.064 * 0.02) < 1e-12);
}

#[test]
fn a_ball_is_a_sphere_with_a_cap_whose_edge_is_the_front() {
    let (r, a) = (0.03f64, 0.02f64);
    let to_edge = (r * r - a * a).sqrt();
    let driver = capped_ball();
    assert_eq!(driver.diaphragm.form, DiaphragmForm::Dome { height: r - to_edge });
    let assembly = built(&driver, SurroundForm::Bare);
    assert!(volume_error(&assembly, 0.006, 4.0 / 3.0 * PI * r.powi(3)) < 3e-4);
    let elements = meshed(&assembly, 0.006, [false; 2]);
    let moving = fine(&elements, |patch| patch == DIAPHRAGM);
    let (area, exact) = (moving.area(), TAU * r * (r - to_edge));
    assert!((area / exact - 1.0).abs() < 3e-4, "{area} {exact}");
    let [low, high] = moving.bounds();
    assert!((low.z - 0.06).abs() < 1e-12 && (high.z - 0.06 - r + to_edge).abs() < 1e-12, "{low} {high}");
    assert!((high.x - a).abs() < 1e-12);
    let centre = nalgebra::Vector3::new(0.0, 0.0, 0.06 - to_edge);
    assert!(elements.points.iter().all(|point| ((point - centre).norm() - r).abs() < 1e-12));
    let gap = assembly.least_gap().expect("before a plane").span.length();
    assert!((gap - (0.06 - driver.housing.depth)).abs() < 1e-9, "{gap}");
}

#[test]
fn plane_elements_converge_to_the_volume_of_a_dome() {
    let assembly = bare(ROUND, SEALED, DiaphragmForm::Dome { height: 0.006 });
    let exact = PI * 0.025f64.powi(2) * 0.02 + PI * 0.001 * (3.0 * 0.0004 + 0.000036);
    let plane = |length| corners(&meshed(&assembly, length, [false; 2])).volume() / exact - 1.0;
    let errors = [0.008, 0.004, 0.002].map(|length| plane(length).abs());
    assert!(errors[0] > 3.0 * errors[1] && errors[1] > 3.0 * errors[2] && errors[2] < 2e-3, "{errors:?}");
}

#[test]
fn what_moves_has_the_area_of_the_diaphragm() {
    let disc = PI * 0.0004;
    let ring = disc - PI * 0.006f64.powi(2);
    let cone = PI * 0.02 * 0.02f64.hypot(0.008);
    let cap = PI * (0.0004 + 0.000036);
    for (form, area) in diaphragms().into_iter().zip([disc, ring, disc, cone, cap]) {
        for (front, back, faces) in [(ROUND, SEALED, 1.0), (ROUND, OPEN, 2.0), (BOX, SEALED, 1.0)] {
            if front == BOX && area != disc && area != ring {
                continue;
            }
            let elements = meshed(&bare(front, back, form.clone()), 0.004, [false; 2]);
            let moving = fine(&elements, |patch| patch == DIAPHRAGM).area();
            assert!((moving / (faces * area) - 1.0).abs() < 1e-3, "{form:?} {front:?} {back:?} {moving}");
        }
    }
}

#[test]
fn kinks_of_a_ring_lie_on_sides() {
    for (front, back) in [(ROUND, SEALED), (ROUND, OPEN), (BOX, SEALED)] {
        let elements = meshed(&bare(front, back, RING), 0.005, [false; 2]);
        for circle in [0.006, 0.013, 0.02] {
            for (nodes, patch) in elements.elements.iter().zip(&elements.patches) {
                let radii = nodes.map(|p| elements.points[p as usize].xy().norm());
                let flat = nodes.iter().all(|&p| (elements.points[p as usize].z - 0.06).abs() < 1e-9);
                let across =
                    radii.iter().any(|&r| r < circle - 1e-9) && radii.iter().any(|&r| r > circle + 1e-9);
                assert!(!(flat && across), "{front:?} {circle} {radii:?}");
                if flat && radii.iter().all(|&r| r < 0.006 + 1e-9) {
                    assert_eq!(*patch, RIGID);
                }
            }
            let on = |p: &&nalgebra::Vector3<f64>| {
                (p.xy().norm() - circle).abs() < 1e-12 && (p.z - 0.06).abs() < 1e-12
            };
            assert!(elements.points.iter().filter(on).count() >= 24, "points and middles of 12 chords");
        }
    }
}

#[test]
fn surrounds_have_their_surface_as_patch() {
    let driver = driver(ROUND, SEALED, DiaphragmForm::Flat);
    let area =
        |form| fine(&meshed(&built(&driver, form), 0.003, [false; 2]), |patch| patch == SURROUND).area();
    // A baffle with a round hole: both faces, outer edge, and the wall of the hole.
    let sharp =
        SurroundForm::Baffle { width: 0.16, height: 0.12, thickness: 0.006, gap: 0.001, rounding: 0.0 };
    let (hole, t) = (0.026f64, 0.006);
    let exact = 2.0 * (0.16 * 0.12 - PI * hole * hole) + 0.56 * t + 2.0 * PI * hole * t;
    assert!((area(sharp) / exact - 1.0).abs() < 1e-4);
    // A post: side and both ends.
    let exact = PI * 0.006 * 0.07 + 2.0 * PI * 0.003f64.powi(2);
    assert!((area(POST) / exact - 1.0).abs() < 1e-3);
    // A round-over by 12 mm, Pappus: a quarter of a circle about the axis, and the side below it.
    let rounding = 0.012;
    let middle = 0.025 + 2.0 * rounding / PI;
    let exact = 2.0 * PI * (FRAC_PI_2 * rounding * middle + (0.02 - rounding) * (0.025 + rounding));
    assert!((area(SurroundForm::RoundOver { radius: rounding }) / exact - 1.0).abs() < 1e-3);
}

#[test]
fn things_stand_where_they_were_put() {
    let driver = driver(ROUND, SEALED, DiaphragmForm::Flat);
    let box_of = |form| {
        let around = fine(&meshed(&built(&driver, form), 0.003, [false; 2]), |patch| patch == SURROUND);
        around.bounds().map(|corner| corner.map(|value| (1e6 * value).round() / 1e3))
    };
    // Along x: from 5 mm to 5 + 30 mm; along y: from −10 mm, 20 mm; towards the listener up to 25 mm before the front at 60 mm.
    assert_eq!(box_of(BRACKET).map(<[f64; 3]>::from), [[5.0, -10.0, 75.0], [35.0, 10.0, 85.0]]);
    let upright =
        SurroundForm::Post { diameter: 0.006, length: 0.07, middle: [0.01, 0.0, 0.015], turned: FRAC_PI_2 };
    assert_eq!(box_of(upright).map(<[f64; 3]>::from), [[7.0, -35.0, 72.0], [13.0, 35.0, 78.0]]);
    assert_eq!(box_of(BAFFLE).map(<[f64; 3]>::from), [[-80.0, -60.0, 54.0], [80.0, 60.0, 60.0]]);
    // Two wings of 40 mm beside a box, turned up: they start at its upper and lower sides.
    let flat = SurroundForm::Wings {
        count: 2,
        length: 0.04,
        height: 0.03,
        opening: FRAC_PI_2,
        thickness: 0.003,
        gap: 0.001,
        rounding: 0.0,
        turned: FRAC_PI_2,
    };
    let driver = super::driver(BOX, SEALED, DiaphragmForm::Flat);
    let around = fine(&meshed(&built(&driver, flat), 0.01, [false; 2]), |patch| patch == SURROUND);
    assert!((around.bounds()[1].y - 0.073).abs() < 1e-12 && (around.bounds()[1].x - 0.015).abs() < 1e-12);
    let nearest = around.points.iter().map(|point| point.y.abs()).fold(1.0, f64::min);
    assert!((nearest - 0.033).abs() < 1e-12);
}
