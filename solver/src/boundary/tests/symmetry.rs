//! Parts of bodies at mirror planes against whole ones.

use super::double::{assemble, solve, tested};
use super::meshes;
use super::system::system;
use crate::boundary::incident::with_images;
use crate::boundary::wave::Wave;
use crate::boundary::{Body, Drive, IncidentField, Mirrors, PlaneWave, PointSource};
use nalgebra::Vector3;
use num_complex::Complex64;

/// Largest difference of pressures at the points that both bodies have, over the largest pressure.
fn difference(part: (&Body, &[Complex64]), whole: (&Body, &[Complex64])) -> f64 {
    let largest = whole.1.iter().map(|p| p.norm()).fold(0.0, f64::max);
    let at = |point: &Vector3<f64>| {
        let same = whole.0.points.iter().position(|other| (other - point).norm() < 1e-9);
        whole.1[same.expect("the whole has every point of the part")]
    };
    let differences = part.0.points.iter().zip(part.1).map(|(point, p)| (p - at(point)).norm());
    differences.fold(0.0, f64::max) / largest
}

#[test]
fn an_octant_is_the_whole_sphere_in_double_precision() {
    let ka = 2.0;
    let wave = Wave { k: ka, coupling: 1.0 / ka };
    let octant =
        Body::new(&meshes::octasphere(3, [true; 3]), Mirrors([true; 3])).expect("open at the planes");
    let whole = Body::new(&meshes::octasphere(3, [false; 3]), Mirrors::NONE).expect("closed");
    let images = octant.images.clone();
    let pressure = |body: &Body| {
        let right = tested(body, |point| {
            let source = PointSource { amplitude: Complex64::ONE, position: Vector3::new(1.0, 0.7, 1.3) };
            let source: [Box<dyn IncidentField>; 1] = [Box::new(source)];
            let field = with_images(&source, &images, point.position, ka);
            field.pressure + wave.alpha() * field.slope(point.area / point.weight)
        });
        solve(&assemble(body, &wave).pressure, right).0
    };
    let difference = difference((&octant, &pressure(&octant)), (&whole, &pressure(&whole)));
    assert!(difference < 1e-6, "{difference:e}");
}

#[test]
fn a_quarter_is_the_whole_sphere_in_single_precision() {
    let quarter =
        Body::new(&meshes::octasphere(4, [true, true, false]), Mirrors([true, true, false])).expect("open");
    let whole = Body::new(&meshes::octasphere(4, [false; 3]), Mirrors::NONE).expect("closed");
    let wave = |amplitude: f64| PlaneWave { amplitude: amplitude.into(), direction: Vector3::z() };
    // The planes throw the wave that travels along them back onto itself, four times in all.
    let part = system(&quarter, 3.0).solve(Drive::arriving(wave(1.0))).expect("converges");
    let all = system(&whole, 3.0).solve(Drive::arriving(wave(4.0))).expect("converges");
    let surface = difference((&quarter, &part.pressure), (&whole, &all.pressure));
    assert!(surface < 3e-5, "{surface:e}");
    let points = [[0.3, 0.8, 0.9], [-0.5, 1.1, -0.2], [0.02, -0.03, 1.1]].map(Vector3::from);
    for (a, b) in part.at(&points).iter().zip(all.at(&points)) {
        assert!((a.pressure - b.pressure).norm() < 1e-4, "{a:?} {b:?}");
        (0..3).for_each(|c| assert!((a.gradient[c] - b.gradient[c]).norm() < 1e-3, "{a:?} {b:?}"));
    }
}

/// A sphere close to a rigid plane is a pair of spheres.
#[test]
fn a_rigid_plane_is_an_image_of_the_body() {
    let surface = meshes::moved(meshes::sphere(2), Vector3::new(0.0, 0.0, 1.04));
    let above = Body::new(&surface, Mirrors([false, false, true])).expect("closed");
    let pair = Body::new(&meshes::with_image(&surface), Mirrors::NONE).expect("closed");
    let part = system(&above, 2.0).solve(Drive::patch(&above, 0, Complex64::ONE)).expect("converges");
    let all = system(&pair, 2.0).solve(Drive::patch(&pair, 0, Complex64::ONE)).expect("converges");
    let surface = difference((&above, &part.pressure), (&pair, &all.pressure));
    assert!(surface < 3e-5, "{surface:e}");
    assert!((part.power() / all.power() - 1.0).abs() < 1e-4);
    assert!((part.far_power() / all.far_power() - 1.0).abs() < 1e-4);
}
