//! Whole solutions against published values of the sphere.

use super::double::error;
use super::{meshes, series};
use crate::air::Air;
use crate::boundary::*;
use crate::single_threaded_blas;
use nalgebra::Vector3;
use num_complex::Complex64;
use std::f64::consts::{PI, TAU};

pub fn air() -> Air {
    Air::new(293.15, 0.5, 101_325.0)
}

/// Frequency [Hz] of a wavenumber.
pub fn frequency(k: f64) -> f64 {
    k * air().sound_speed / TAU
}

pub fn rigid(_: u16) -> Complex64 {
    Complex64::ZERO
}

pub fn system(body: &Body, k: f64) -> System<'_> {
    single_threaded_blas();
    System::new(body, frequency(k), &air(), rigid, Method::Iterate).expect("regular")
}

pub fn direction(degrees: f64) -> Vector3<f64> {
    let (sin, cos) = degrees.to_radians().sin_cos();
    Vector3::new(sin, 0.0, cos)
}

fn plane_wave() -> Drive {
    Drive::arriving(PlaneWave { amplitude: Complex64::ONE, direction: Vector3::z() })
}

/// Whole bodies without symmetry; published levels and impedances are the validation's.
#[test]
fn a_cap_on_a_sphere_radiates_like_its_series() {
    let rim = PI / 6.0;
    let directions: Vec<_> = (0..=90).map(|i| direction(2.0 * f64::from(i))).collect();
    for (ka, [across, along, round], tolerance) in
        [(0.5, [2, 6, 14], 0.02), (5.0, [2, 6, 14], 0.1), (20.0, [4, 21, 52], 0.2)]
    {
        let body =
            Body::new(&meshes::capped_sphere(rim, across, along, round), Mirrors::NONE).expect("closed");
        let field = system(&body, ka).solve(Drive::patch(&body, 1, Complex64::ONE)).expect("converges");
        let coefficients = series::cap(rim, 60);
        let exact: Vec<f64> = directions.iter().map(|d| series::far(ka, &coefficients, d.z).norm()).collect();
        let axis = exact.iter().copied().fold(0.0, f64::max);
        for ((computed, exact), d) in field.far(&directions).iter().zip(exact).zip(&directions) {
            let level = 20.0 * (computed.norm() / air().impedance() / exact).log10();
            assert!(level.abs() < tolerance || exact < 0.1 * axis, "ka = {ka}, z = {}: {level:.3} dB", d.z);
        }
    }
}

/// Amplitude of the field far away, `|p_s| r/(a p_inc)` at θ = 0°, 45°, …: P. M. Morse & K. U. Ingard, Theoretical Acoustics (1968),
/// sec. 8.2.
#[test]
fn scattering_is_as_published() {
    const FAR: [(f64, [f64; 5]); 3] = [
        (1.0, [0.1924559633, 0.07686561795, 0.2427422509, 0.4184458802, 0.4690611538]),
        (2.0, [0.548063502, 0.3467932032, 0.5311954269, 0.3575639911, 0.3808732158]),
        (PI, [1.012232641, 0.6593505365, 0.3070149013, 0.4781531325, 0.3950064271]),
    ];
    let body = Body::new(&meshes::sphere(5), Mirrors::NONE).expect("closed");
    for (ka, far) in FAR {
        let field = system(&body, ka).solve(plane_wave()).expect("converges");
        let error = error(&body, &field.pressure, |x| series::scattered_surface(ka, x.z / x.norm()));
        assert!(error < 1.5e-3 && field.steps < 20, "ka = {ka}: {error:e}, {} steps", field.steps);
        let directions = [0.0, 45.0, 90.0, 135.0, 180.0].map(direction);
        for (computed, exact) in field.far(&directions).iter().zip(far) {
            assert!((computed.norm() - exact).abs() < 1e-3, "ka = {ka}: {} against {exact}", computed.norm());
        }
    }
}

/// Values of the total pressure at θ = 0° and 180° for ka = 1, π: Morse & Ingard (1968), sec. 8.2; they check the series as well.
#[test]
fn the_series_is_the_published_one() {
    let published = [
        (1.0, 1.0, [0.03374875222, -1.067587099]),
        (1.0, -1.0, [0.3206172707, 1.381684027]),
        (PI, 1.0, [0.379187205, 1.088351851]),
        (PI, -1.0, [-1.755268532, -0.3976670085]),
    ];
    for (ka, mu, [re, im]) in published {
        let difference = series::scattered_surface(ka, mu) - Complex64::new(re, im);
        assert!(difference.norm() < 1e-8, "ka = {ka}, cos θ = {mu}: {difference}");
    }
}

#[test]
fn an_absorbing_sphere_scatters_as_the_series_says_and_takes_power() {
    let (ka, beta) = (2.5, Complex64::new(0.6, 0.3));
    let body = Body::new(&meshes::sphere(4), Mirrors::NONE).expect("closed");
    single_threaded_blas();
    let system = System::new(&body, frequency(ka), &air(), |_| beta, Method::Factorise).expect("regular");
    let field = system.solve(plane_wave()).expect("converges");
    let error = error(&body, &field.pressure, |x| series::absorbing_surface(ka, beta, x.z / x.norm()));
    assert!(error < 2e-3 && field.steps < 5, "{error:e}, {} steps", field.steps);
    assert!(field.power() < 0.0);
}

/// From 2 mm to a third of a metre before a sphere of 1 m in elements of 0.25 m.
#[test]
fn the_field_close_to_a_surface() {
    let ka = 2.0;
    let body = Body::new(&meshes::sphere(5), Mirrors::NONE).expect("closed");
    let field = system(&body, ka).solve(plane_wave()).expect("converges");
    for r in [1.002, 1.02, 1.1, 1.33] {
        for degrees in [3.0, 77.0, 160.0] {
            let outwards = direction(degrees);
            let found = field.at(&[r * outwards])[0];
            let [pressure, slope] = series::scattered_outside(ka, r, outwards.z);
            let [p, dp] = [(found.pressure - pressure).norm(), (found.slope(outwards) - slope).norm()];
            assert!(p < 2e-3 && dp < 2e-2, "{r} m, {degrees} degrees: {p:e}, {dp:e}");
        }
    }
}

#[test]
fn power_leaves_the_surface_and_arrives() {
    let body = Body::new(&meshes::capped_sphere(PI / 6.0, 2, 6, 14), Mirrors::NONE).expect("closed");
    for ka in [0.5, 2.0, 5.0] {
        let field = system(&body, ka).solve(Drive::patch(&body, 1, Complex64::ONE)).expect("converges");
        let ratio = field.power() / field.far_power();
        assert!((ratio - 1.0).abs() < 5e-3, "ka = {ka}: {ratio}");
    }
}
