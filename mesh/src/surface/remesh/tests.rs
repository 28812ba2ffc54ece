use super::*;
use crate::Outline;
use crate::surface::check::{Limits, check as look};
use crate::surface::samples::{cuboid, inverted, quartered, rotations, shifted, sphere, turned};
use crate::surface::shapes::{Back, DIAPHRAGM, Flare, Form, Piston, Slab};
use crate::surface::stl;
use proptest::prelude::*;
use std::f64::consts::{FRAC_PI_6, PI};

const SIDES: [f64; 3] = [0.1, 0.06, 0.02];

fn to(surface: &Surface, length: f64) -> Remeshed {
    remesh(surface, &uniform(&|_, _| length)).unwrap_or_else(|fault| panic!("{fault}"))
}

fn uniform<'a>(length: &'a (dyn Fn(Vector3<f64>, u16) -> f64 + Sync)) -> Target<'a> {
    Target { length, sharp: FRAC_PI_6, volume: 0.05 }
}

fn assert_sound(surface: &Surface) {
    let faults = look(surface, &Limits::default()).faults;
    assert!(faults.is_empty(), "{faults:?}");
    let (points, sides, triangles) = (surface.points.len(), surface.edges().len(), surface.triangles.len());
    assert_eq!(points + triangles, sides + 2); // Euler
}

#[test]
fn a_cuboid_stays_one_at_any_size() {
    for length in [0.004, 0.01, 0.03] {
        let Remeshed { surface, quality, .. } = to(&cuboid(SIDES), length);
        assert_sound(&surface);
        assert!((surface.volume() - 1.2e-4).abs() < 1e-15);
        assert!((surface.area() - 0.0184).abs() < 1e-12);
        for patch in 0..6 {
            let area: f64 = (0..surface.triangles.len())
                .filter(|&t| surface.patches[t] == patch)
                .map(|t| surface.area_vector(t).norm())
                .sum();
            assert!(
                (area - [6e-3, 6e-3, 2e-3, 2e-3, 1.2e-3, 1.2e-3][patch as usize]).abs() < 1e-12,
                "{patch}"
            );
        }
        assert!(quality.longest_side < 1.4 * length, "{quality:?}");
        assert!(
            quality.smallest_angle.to_degrees() > 25.0,
            "{length} {}",
            quality.smallest_angle.to_degrees()
        );
        assert!(quality.mean_side > 0.7 * length && quality.mean_side < 1.1 * length, "{quality:?}");
    }
}

#[test]
fn a_fine_cuboid_becomes_coarse() {
    let fine = (0..5).fold(cuboid(SIDES), |surface, _| quartered(&surface));
    let coarse = to(&fine, 0.015);
    assert_sound(&coarse.surface);
    assert!(coarse.quality.elements < 400, "{}", coarse.quality.elements);
    assert!((coarse.surface.volume() - 1.2e-4).abs() < 1e-15);
    assert!(coarse.quality.smallest_angle.to_degrees() > 25.0, "{:?}", coarse.quality);
}

#[test]
fn a_sphere_keeps_its_volume() {
    let ball = sphere(0.05, 5);
    for length in [0.004, 0.008, 0.016] {
        let new = to(&ball, length);
        assert_sound(&new.surface);
        // Points on the sphere, so the volume lacks about h²/(4 R²)·(share by shape): bounded by a generous h²/(2 R²).
        assert!(new.volume_change < 0.5 * (length / 0.05).powi(2), "{length} {}", new.volume_change);
        assert!(new.surface.points.iter().all(|point| (point.norm() - 0.05).abs() < 5e-5));
        assert!(
            new.quality.smallest_angle.to_degrees() > 25.0,
            "{length} {}",
            new.quality.smallest_angle.to_degrees()
        );
    }
}

#[test]
fn thin_walls_stay_open() {
    // A plate of 1 mm with sides of 4 mm, and a hollow ball with a wall of 1 mm.
    let plate = to(&cuboid([0.05, 0.05, 0.001]), 0.004);
    assert_sound(&plate.surface);
    assert!((plate.surface.volume() - 2.5e-6).abs() < 1e-17);
    let ball = sphere(0.03, 5).joined(&inverted(sphere(0.029, 5)));
    let new = to(&ball, 0.004);
    assert_eq!(look(&new.surface, &Limits::default()).faults, []);
    let wall =
        look(&new.surface, &Limits { wall: 1e-4, ..Limits::default() }).thinnest.expect("closed").length();
    assert!(wall > 0.7e-3, "{wall}");
    // Sides of 4 mm would make 3200; a tenth of the wall allows sides of √(6 · 30 mm · 0.1 mm) = 4.2 mm at most.
    assert!(new.quality.elements < 5500, "{}", new.quality.elements);
}

/// A flare as a printer gets it: fine, in single precision.
fn printed(throat: f64, widening: f64, length: f64, wall: f64, form: Form) -> Surface {
    let flare = Flare { throat, mouth: throat + widening, length, form, wall, back: Back::Open };
    let fine = flare.lathe().and_then(|lathe| lathe.meshed(0.0012)).unwrap_or_else(|fault| panic!("{fault}"));
    stl::read(&stl::write_binary(&fine, stl::MILLIMETRE), stl::MILLIMETRE)
        .unwrap_or_else(|fault| panic!("{fault}"))
}

#[test]
fn printed_flares_become_coarse_and_keep_wall_and_rim() {
    let fine = printed(0.015, 0.035, 0.04, 0.0015, Form::Exponential);
    let new = to(&fine, 0.005);
    assert_eq!(look(&new.surface, &Limits::default()).faults, []);
    assert!(
        new.quality.elements < fine.triangles.len() / 3,
        "{} of {}",
        new.quality.elements,
        fine.triangles.len()
    );
    assert!(new.volume_change < 0.03, "{}", new.volume_change);
    let wall = |surface| check::thinnest_wall(surface).expect("closed").length();
    assert!(wall(&new.surface) > 0.65 * wall(&fine), "{} {}", wall(&new.surface), wall(&fine));
    let ([low, high], [fine_low, fine_high]) = (new.surface.bounds(), fine.bounds());
    assert!((low - fine_low).norm() < 5e-4 && (high - fine_high).norm() < 5e-4);
}

#[test]
fn a_box_with_a_piston_keeps_its_circle() {
    let piston = Some(Piston { radius: 0.03, centre: [0.0, 0.0], ring: None });
    let outline = Outline::Rectangle { width: 0.1, height: 0.12 };
    let body = Slab { piston, front_rounding: 0.01, ..Slab::plain(outline, 0.05) };
    let fine = body.meshed(0.003).unwrap_or_else(|fault| panic!("{fault}"));
    let new = to(&fine, 0.01);
    assert_sound(&new.surface);
    let disc: f64 = (0..new.surface.triangles.len())
        .filter(|&t| new.surface.patches[t] == DIAPHRAGM)
        .map(|t| new.surface.area_vector(t).norm())
        .sum();
    assert!((disc / (PI * 9e-4) - 1.0).abs() < 0.03, "{disc}");
    assert!(new.quality.smallest_angle.to_degrees() > 15.0, "{:?}", new.quality);
}

#[test]
fn patches_and_places_may_be_finer() {
    let by_patch = remesh(&cuboid(SIDES), &uniform(&|_, patch| if patch == 1 { 0.003 } else { 0.02 }))
        .expect("a cuboid");
    assert_sound(&by_patch.surface);
    let count = |patch| by_patch.surface.patches.iter().filter(|&&p| p == patch).count();
    assert!(count(1) > 10 * count(0), "{} {}", count(1), count(0));
    let graded = |at: Vector3<f64>, _: u16| 0.002 + 0.2 * at.norm();
    let by_place = remesh(&cuboid(SIDES), &uniform(&graded)).expect("a cuboid");
    assert_sound(&by_place.surface);
    assert!(by_place.quality.smallest_angle.to_degrees() > 20.0, "{:?}", by_place.quality);
}

#[test]
fn a_circle_between_patches_stays_round() {
    let mut ball = sphere(0.05, 5);
    for triangle in 0..ball.triangles.len() {
        ball.patches[triangle] = u16::from(check::middle(&ball, triangle).z > 0.03);
    }
    let cap = |surface: &Surface| -> f64 {
        (0..surface.triangles.len())
            .filter(|&t| surface.patches[t] == 1)
            .map(|t| surface.area_vector(t).norm())
            .sum()
    };
    let new = to(&ball, 0.006);
    assert_sound(&new.surface);
    let exact = 2.0 * PI * 0.05 * 0.02; // a cap of height 20 mm (Archimedes)
    assert!((cap(&new.surface) - exact).abs() < 0.04 * exact, "{} {exact}", cap(&new.surface));
    assert!((cap(&new.surface) - cap(&ball)).abs() < 0.02 * exact);
}

#[test]
fn open_surfaces_keep_their_rim() {
    let mut half = sphere(0.05, 4);
    let upper: Vec<_> = (0..half.triangles.len()).filter(|&t| check::middle(&half, t).z > 0.0).collect();
    half.triangles = upper.iter().map(|&t| half.triangles[t]).collect();
    half.patches = vec![0; upper.len()];
    let half = half.welded().surface;
    let new = to(&half, 0.012);
    assert!((new.surface.area() - half.area()).abs() < 0.03 * half.area());
    let rims = look(&new.surface, &Limits::default()).faults;
    assert!(matches!(rims[..], [Fault::Open { .. }]), "{rims:?}");
}

#[test]
fn what_cannot_be_done_is_said() {
    let wrong = |length: f64| remesh(&cuboid(SIDES), &uniform(&|_, _| length)).expect_err("nonsense");
    for length in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(wrong(length), RemeshFault::Length { .. }));
    }
    assert!(matches!(wrong(1e-6), RemeshFault::TooFine { .. }));
    assert!(matches!(
        remesh(&Surface::default(), &uniform(&|_, _| 1.0)),
        Err(RemeshFault::Unsound(Fault::Empty))
    ));
    let twice = cuboid(SIDES).joined(&shifted(cuboid(SIDES), SIDES)).welded().surface;
    assert!(matches!(
        remesh(&twice, &uniform(&|_, _| 0.01)),
        Err(RemeshFault::Unsound(Fault::Pinched { .. }))
    ));
    let strict = Target { volume: 1e-6, ..uniform(&|_, _| 0.02) };
    assert!(matches!(remesh(&sphere(0.05, 4), &strict), Err(RemeshFault::Volume { .. })));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    #[test]
    fn random_bodies_stay_sound(
        rotation in rotations(),
        sides in [0.002..0.1, 0.005..0.1, 0.02..0.1f64],
        length in 0.006..0.03,
    ) {
        let body = turned(quartered(&cuboid(sides)), &rotation);
        let new = to(&body, length);
        assert_sound(&new.surface);
        prop_assert!(new.volume_change < 1e-9);
        prop_assert!((new.surface.area() - body.area()).abs() < 1e-9 * body.area());
    }

    #[test]
    fn random_printed_flares_stay_sound(
        throat in 0.008..0.015, widening in 0.005..0.02, length in 0.01..0.03, wall in 0.001..0.003, form in 0..2usize,
        side in 0.002..0.01,
    ) {
        let fine = printed(throat, widening, length, wall, [Form::Conical, Form::Exponential][form]);
        match remesh(&fine, &uniform(&|_, _| side)) {
            Ok(new) => prop_assert_eq!(look(&new.surface, &Limits::default()).faults, []),
            // Few sides around the throat cut much off.
            Err(fault) => prop_assert!(matches!(fault, RemeshFault::Volume { .. }) && side > throat / 3.0, "{}", fault),
        }
    }
}
