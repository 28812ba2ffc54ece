use super::*;
use crate::surface::check::{Limits, check as look};
use crate::surface::samples::{cuboid, inverted, quartered, rotations, shifted, sphere, turned};
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
    assert!(new.quality.elements < 4000);
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
}
