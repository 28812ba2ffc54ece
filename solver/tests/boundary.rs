//! Boundary elements: what must hold whatever the body.

use nalgebra::{Matrix3, Vector3};
use num_complex::Complex64;
use panelwright_mesh::shapes::{DIAPHRAGM, Piston, Slab, Wings};
use panelwright_mesh::{Mirror, Outline, QuadraticSurface};
use panelwright_solver::air::Air;
use panelwright_solver::boundary::*;
use panelwright_solver::single_threaded_blas;
use std::f64::consts::{FRAC_PI_4, PI, TAU};
use std::sync::LazyLock;

fn air() -> Air {
    Air::new(293.15, 0.5, 101_325.0)
}

fn system(body: &Body, frequency: f64, representation: Representation) -> System<'_> {
    let rigid = |_| Complex64::ZERO;
    System::represented(body, frequency, &air(), rigid, Method::Iterate, representation).expect("regular")
}

fn solved(body: &Body, frequency: f64, drive: Drive) -> SurfaceField<'_> {
    system(body, frequency, Representation::Full).solve(drive).expect("converges")
}

/// 60 × 60 × 40 mm with a piston of 20 mm radius in its front, which is z = 0.
fn box_with_piston() -> Slab {
    let piston = Piston { radius: 0.020, centre: [0.0; 2], ring: None };
    let outline = Outline::Rectangle { width: 0.060, height: 0.060 };
    Slab { piston: Some(piston), ..Slab::plain(outline, 0.040) }
}

/// The box between four wings 3 mm thick, in elements of 12 mm.
static BOX_WITH_WINGS: LazyLock<Body> = LazyLock::new(|| {
    let length = 0.012;
    let wings = Wings {
        count: 4,
        length: 0.040,
        height: 0.050,
        opening: FRAC_PI_4,
        thickness: 0.003,
        driver_radius: 0.034,
        gap: 0.002,
        rounding: 0.0,
    };
    let slab = box_with_piston();
    let surface = slab.meshed(length).expect("a box").joined(&wings.meshed(length).expect("wings"));
    Body::new(&QuadraticSurface::curved(&surface, slab.onto(length)), Mirrors::NONE).expect("closed")
});

fn box_alone(length: f64, mirrors: Mirrors) -> Body {
    let slab = box_with_piston();
    let mut surface = slab.meshed(length).expect("a box");
    for (plane, _) in [Mirror::X, Mirror::Y].into_iter().zip(mirrors.0).filter(|(_, reflects)| *reflects) {
        surface = surface.positive_half(plane, 1e-9).expect("symmetric");
    }
    Body::new(&QuadraticSurface::curved(&surface, slab.onto(length)), mirrors).expect("closed")
}

/// Before the box, beside it and behind it.
fn receivers() -> [Vector3<f64>; 4] {
    [[0.0, 0.0, 0.3], [0.2, 0.05, 0.2], [0.15, -0.1, 0.02], [0.03, 0.01, -0.3]].map(Vector3::from)
}

fn pressures(field: &SurfaceField) -> Vec<Complex64> {
    field.at(&receivers()).iter().map(|point| point.pressure).collect()
}

fn moving(body: &Body) -> Drive {
    Drive::patch(body, DIAPHRAGM, Complex64::ONE)
}

#[test]
fn power_leaves_a_box_with_wings_and_arrives() {
    single_threaded_blas();
    let body = &*BOX_WITH_WINGS;
    for frequency in [500.0, 3e3, 6e3] {
        let field = solved(body, frequency, moving(body));
        let ratio = field.power() / field.far_power();
        assert!((ratio - 1.0).abs() < 5e-3, "{frequency} Hz: {ratio}");
    }
}

/// A volume velocity at X makes the piston's mean pressure what the same volume velocity of the piston makes at X.
#[test]
fn a_box_with_wings_is_reciprocal() {
    single_threaded_blas();
    let body = &*BOX_WITH_WINGS;
    for frequency in [1e3, 4e3] {
        let system = system(body, frequency, Representation::Full);
        let out = pressures(&system.solve(moving(body)).expect("converges"));
        let area = PI * 0.020f64.powi(2);
        for (position, out) in receivers().into_iter().zip(out) {
            let source = PointSource::of_flow(area.into(), position, TAU * frequency, air().density);
            let field = system.solve(Drive::arriving(source)).expect("converges");
            let back = field.integrated(|patch, _, _| f64::from(patch == DIAPHRAGM));
            let difference = (back / area - out).norm() / out.norm();
            assert!(difference < 3e-3, "{frequency} Hz, {position:?}: {difference:e}");
        }
    }
}

#[test]
fn a_quarter_of_a_box_is_the_whole() {
    single_threaded_blas();
    let [quarter, whole] =
        [Mirrors([true, true, false]), Mirrors::NONE].map(|mirrors| box_alone(0.010, mirrors));
    for frequency in [100.0, 6e3] {
        let [part, all] = [&quarter, &whole].map(|body| pressures(&solved(body, frequency, moving(body))));
        let largest = all.iter().map(|p| p.norm()).fold(0.0, f64::max);
        for (part, all) in part.iter().zip(&all) {
            // What is left is where the iterations stop, 8e-7; sought more closely, the rounding of the matrices, 3e-7.
            assert!((part - all).norm() < 1e-6 * largest, "{frequency} Hz: {part} {all}");
        }
    }
}

#[test]
fn a_full_matrix_and_a_grid_say_the_same() {
    single_threaded_blas();
    let body = &*BOX_WITH_WINGS;
    for frequency in [1e3, 7e3] {
        // The coarsest grid that is taken at 7 kHz.
        let [full, grid] =
            [Representation::Full, Representation::Grid { spacing: 0.007 }].map(|representation| {
                pressures(&system(body, frequency, representation).solve(moving(body)).expect("converges"))
            });
        for (full, grid) in full.iter().zip(&grid) {
            let level = 20.0 * (full.norm() / grid.norm()).log10();
            assert!(level.abs() < 0.05, "{frequency} Hz: {level:.3} dB");
        }
    }
}

#[test]
fn the_number_of_threads_changes_nothing() {
    single_threaded_blas();
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| {
            let body = box_alone(0.012, Mirrors::NONE);
            [Representation::Full, Representation::Grid { spacing: 0.012 }].map(|representation| {
                let field = system(&body, 5e3, representation).solve(moving(&body)).expect("converges");
                (pressures(&field), field.far_power().to_bits(), field.pressure)
            })
        })
    };
    assert_eq!(with(1), with(2));
}

/// A compact box sounds like a point source of its volume velocity; the walls' reflection grows with (kr)².
#[test]
fn a_box_at_very_low_frequencies_is_a_point_source() {
    single_threaded_blas();
    let body = box_alone(0.010, Mirrors([true, true, false]));
    let size = 0.05;
    for (ka, tolerance) in [(0.01, 2e-3), (0.1, 2e-2)] {
        let k = ka / size;
        let field = solved(&body, k * air().sound_speed / TAU, moving(&body));
        let exact = k * air().impedance() * PI * 0.020f64.powi(2) / (4.0 * PI);
        for angle in [0.0, FRAC_PI_4, 0.5 * PI, PI] {
            let found = field.far(&[Vector3::new(angle.sin(), 0.0, angle.cos())])[0].norm();
            assert!((found / exact - 1.0).abs() < tolerance, "ka = {ka}, {angle}: {found} for {exact}");
        }
        // The surface gives off a small part of what it moves to and fro, which is lost in rounding: only far away is it seen.
        let power = 4.0 * PI * exact * exact / air().impedance();
        assert!((field.far_power() / power - 1.0).abs() < 2.0 * tolerance, "ka = {ka}");
    }
}

/// A wing 1 mm thick beside the box, in elements of 4 mm and of 2 mm.
#[test]
fn a_thin_wing_needs_no_thin_elements() {
    single_threaded_blas();
    let plate = Slab::plain(Outline::Rectangle { width: 0.016, height: 0.024 }, 0.001);
    let lean = |point: &mut Vector3<f64>| {
        let (s, c) = (FRAC_PI_4.sin(), FRAC_PI_4.cos());
        *point =
            Matrix3::new(s, 0.0, -c, 0.0, 1.0, 0.0, c, 0.0, s) * *point + Vector3::new(0.044, 0.0, 0.004);
    };
    let body = |length: f64| {
        let mut wing = plate.meshed(length).expect("a plate");
        wing.points.iter_mut().for_each(lean);
        let slab = box_with_piston();
        let surface = slab.meshed(0.012).expect("a box").joined(&wing);
        Body::new(&QuadraticSurface::curved(&surface, slab.onto(0.012)), Mirrors::NONE).expect("closed")
    };
    let bodies = [0.004, 0.002].map(body);
    for frequency in [2e3, 7e3] {
        let [coarse, fine] = [0, 1].map(|i| pressures(&solved(&bodies[i], frequency, moving(&bodies[i]))));
        for (coarse, fine) in coarse.iter().zip(&fine) {
            let level = 20.0 * (coarse.norm() / fine.norm()).log10();
            assert!(level.abs() < 0.2, "{frequency} Hz: {level:.3} dB");
        }
    }
}
