//! Curved elements of bodies of revolution, however unevenly they are divided.

use super::*;
use crate::{Piece, QuadraticSurface};
use nalgebra::{Vector2, Vector3};
use proptest::prelude::*;
use std::f64::consts::FRAC_PI_2;

fn curved(lathe: &Lathe, length: f64) -> QuadraticSurface {
    let surface = lathe.meshed(length).unwrap_or_else(|fault| panic!("{fault}"));
    QuadraticSurface::curved(&surface, lathe.onto(length))
}

/// The unit sphere in arcs from angle to angle [rad] above the equator.
fn ball(angles: &[f64]) -> Lathe {
    let arc = |ends: &[f64]| Section {
        curve: Piece::Arc {
            centre: [0.0; 2],
            radii: [1.0; 2],
            tilt: 0.0,
            start: ends[0],
            sweep: ends[1] - ends[0],
        },
        patch: RIGID,
    };
    Lathe::new(angles.windows(2).map(arc).collect()).expect("a sphere")
}

/// The cylinder of radius 1 m from z = −0.5 m to 0 whose front is divided at these radii [m].
fn cylinder(radii: &[f64]) -> Lathe {
    let mut corners = vec![[0.0, -0.5], [1.0, -0.5], [1.0, 0.0]];
    corners.extend(radii.iter().rev().map(|&r| [r, 0.0]));
    corners.push([0.0, 0.0]);
    let straight =
        |ends: &[[f64; 2]]| Section { curve: Piece::Straight { from: ends[0], to: ends[1] }, patch: RIGID };
    Lathe::new(corners.windows(2).map(straight).collect()).expect("a cylinder")
}

/// Normal times Jacobian, at the corners and the middles of the sides.
fn normals(points: [Vector3<f64>; 6]) -> [Vector3<f64>; 6] {
    let at = |[a, b, c]: [f64; 3]| {
        let slope = |[a, b, c]: [f64; 3], shares: [f64; 6]| {
            let corners =
                [(4.0 * a - 1.0) * shares[0], (4.0 * b - 1.0) * shares[1], (4.0 * c - 1.0) * shares[2]];
            let factors = [corners[0], corners[1], corners[2], shares[3], shares[4], shares[5]];
            points.iter().zip(factors).map(|(point, factor)| point * factor).sum::<Vector3<f64>>()
        };
        let place = [a, b, c];
        let along_u = slope(place, [-1.0, 1.0, 0.0, 4.0 * (a - b), 4.0 * c, -4.0 * c]);
        let along_v = slope(place, [-1.0, 0.0, 1.0, -4.0 * b, 4.0 * b, 4.0 * (a - c)]);
        along_u.cross(&along_v)
    };
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.5, 0.5, 0.0], [0.0, 0.5, 0.5], [0.5, 0.0, 0.5]]
        .map(at)
}

/// Every element faces along the true normal at its corners and middles, and is nowhere much smaller than in the mean.
fn assert_unfolded(surface: &QuadraticSurface, normal: impl Fn(Vector3<f64>) -> Vector3<f64>) {
    for element in &surface.elements {
        let points = element.map(|p| surface.points[p as usize]);
        let middle = normal(points.iter().sum::<Vector3<f64>>() / 6.0);
        let sizes = normals(points).map(|own| own.dot(&middle));
        let mean = sizes.iter().sum::<f64>() / 6.0;
        assert!(sizes.iter().all(|&size| size > 0.3 * mean), "{sizes:?} {points:?}");
    }
}

fn assert_ball(angles: &[f64], length: f64) {
    let surface = curved(&ball(angles), length);
    assert!(surface.points.iter().all(|point| (point.norm() - 1.0).abs() < 1e-12));
    assert_unfolded(&surface, |point| point.normalize());
}

fn assert_front(radii: &[f64], length: f64) {
    let mut surface = curved(&cylinder(radii), length);
    let across = |point: &Vector3<f64>| (point.xy().norm() - 1.0).abs().min(-point.z).min(point.z + 0.5);
    assert!(surface.points.iter().all(|point| across(point).abs() < 1e-12));
    let front = |element: &[u32; 6]| element.iter().all(|&p| surface.points[p as usize].z == 0.0);
    surface.elements = surface.elements.iter().copied().filter(front).collect();
    assert_unfolded(&surface, |_| Vector3::z());
    // Middles lie halfway round between their corners.
    for &[a, b, c, ab, bc, ca] in &surface.elements {
        for (from, to, between) in [(a, b, ab), (b, c, bc), (c, a, ca)] {
            let [from, to, between] = [from, to, between].map(|p| surface.points[p as usize].xy());
            let turned = |a: Vector2<f64>, b: Vector2<f64>| a.perp(&b).atan2(a.dot(&b));
            if from.norm() > 0.0 && to.norm() > 0.0 {
                assert!((turned(from, between) - turned(between, to)).abs() < 1e-9);
            }
        }
    }
}

#[test]
fn strips_narrower_than_the_rise_of_their_arcs_stay_unfolded() {
    // A chord of 0.25 m rises by 8 mm above its middle.
    assert_ball(&[-FRAC_PI_2, 0.9, 0.904, 0.905, 0.91, FRAC_PI_2], 0.25);
    assert_front(&[0.4, 0.401, 0.405, 0.9, 0.99, 0.997, 0.999], 0.25);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn any_grading_stays_unfolded(
        middle in 0.1..0.9f64, ways in proptest::collection::vec(-3.5..-0.5f64, 1..5), length in 0.05..0.4f64,
    ) {
        let mut radii: Vec<f64> = ways.iter().map(|way| middle + (1.0 - middle) * 10f64.powf(*way)).collect();
        radii.push(middle);
        radii.sort_by(f64::total_cmp);
        radii.dedup_by(|a, b| (*a - *b).abs() < 1e-4);
        assert_front(&radii, length);
        let angles: Vec<f64> = [&[-FRAC_PI_2], radii.as_slice(), &[FRAC_PI_2]].concat();
        assert_ball(&angles, length);
    }
}
