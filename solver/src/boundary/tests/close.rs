//! Elements that are close without touching: walls far thinner than the elements.

use super::meshes;
use super::system::{air, system};
use crate::boundary::blocks::{Blocks, Square};
use crate::boundary::moments::MomentRules;
use crate::boundary::{Body, Drive, Mirrors, PointSource};
use crate::single_threaded_blas;
use nalgebra::Vector3;
use num_complex::Complex64;

/// One of the five integrals.
type Part = fn(&Blocks<f64>) -> &Square<f64>;

fn largest(square: &Square<f64>) -> f64 {
    square.iter().flatten().map(|v| v.abs()).fold(0.0, f64::max)
}

fn difference(a: &Square<f64>, b: &Square<f64>) -> f64 {
    a.iter().flatten().zip(b.iter().flatten()).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

/// A plate of 8 × 8 × 1 mm in elements of 4 mm: slender ones at the rim, opposite ones a quarter of their size apart.
#[test]
fn moments_of_a_thin_plate_are_converged() {
    single_threaded_blas();
    let surface = meshes::cuboid([0.0; 3], [8e-3, 8e-3, 1e-3], [2, 2, 1]);
    let body = Body::new(&surface, Mirrors::NONE).expect("closed");
    let strict = Body::with_rules(&surface, Mirrors::NONE, &MomentRules::with(3, 1.4)).expect("closed");
    let parts: [Part; 5] =
        [|b| &b.layer, |b| &b.normals, |b| &b.curls, |b| &b.source_slope, |b| &b.tested_slope];
    for (part, pick) in parts.into_iter().enumerate() {
        for power in 0..2 {
            let size = strict.near.iter().map(|pair| largest(pick(&pair[power]))).fold(0.0, f64::max);
            for (pair, (moments, exact)) in body.near.iter().zip(&strict.near).enumerate() {
                let error = difference(pick(&moments[power]), pick(&exact[power])) / size;
                assert!(error < 6e-4, "{part} {power} {pair}: {error:e}");
            }
        }
    }
}

/// A plate of 32 × 32 × 1 mm between a source and receivers, in elements of 4 mm and of 2 mm.
#[test]
fn the_shadow_of_a_thin_plate() {
    let receivers =
        [[0.0, 0.0, -0.02], [0.005, 0.003, -0.002], [0.02, 0.0, -0.05], [0.0, 0.01, 0.015], [0.3, 0.2, -0.4]];
    let receivers = receivers.map(Vector3::from);
    let plate = |cells: usize| meshes::cuboid([-0.016, -0.016, 0.0], [0.016, 0.016, 1e-3], [cells, cells, 1]);
    let bodies = [8, 16].map(|cells| Body::new(&plate(cells), Mirrors::NONE).expect("closed"));
    for hertz in [2e3, 5e3, 12e3] {
        let k = air().wavenumber(hertz);
        let [coarse, fine] = [0, 1].map(|i| {
            let source = PointSource { amplitude: Complex64::ONE, position: Vector3::new(0.01, 0.0, 0.05) };
            let field = system(&bodies[i], k).solve(Drive::arriving(source)).expect("converges");
            assert!(field.steps < 40, "{} steps", field.steps);
            field.at(&receivers)
        });
        for ((coarse, fine), receiver) in coarse.iter().zip(&fine).zip(&receivers) {
            let level = 20.0 * (coarse.pressure.norm() / fine.pressure.norm()).log10();
            assert!(level.abs() < 0.2, "{hertz} Hz at {receiver:?}: {level:.3} dB");
        }
    }
}

/// Source and receiver exchanged, across the plate and close to it.
#[test]
fn sound_is_reciprocal_past_a_thin_plate() {
    let plate = meshes::cuboid([-0.016, -0.016, 0.0], [0.016, 0.016, 1e-3], [8, 8, 1]);
    let body = Body::new(&plate, Mirrors::NONE).expect("closed");
    let system = system(&body, air().wavenumber(9e3));
    let pressure = |from: Vector3<f64>, to: Vector3<f64>| {
        let source = PointSource { amplitude: Complex64::ONE, position: from };
        system.solve(Drive::arriving(source)).expect("converges").at(&[to])[0].pressure
    };
    let (a, b) = (Vector3::new(0.004, 0.003, 0.01), Vector3::new(-0.02, 0.01, -0.03));
    let [there, back] = [pressure(a, b), pressure(b, a)];
    assert!((there - back).norm() < 3e-3 * there.norm(), "{there} and {back}");
}
