//! Properties every way of radiating must share.

use super::*;
use crate::air::Air;
use approx::assert_relative_eq;
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::{Axis, Lattice, Outline};
use std::f64::consts::TAU;
use std::num::NonZeroUsize;

pub(super) fn air() -> Air {
    Air::new(293.15, 0.5, 101_325.0)
}

pub(super) fn gauss(nx: usize, ny: usize) -> Lattice {
    let count = |n| NonZeroUsize::new(n).expect("positive");
    Lattice::new(Axis::gauss(0.76, count(nx)), Axis::gauss(0.52, count(ny)))
}

/// A bending-wave-like motion without symmetry.
pub(super) fn motion(lattice: &Lattice) -> Array2<Complex64> {
    let at = |[x, y]: [f64; 2]| {
        Complex64::new((23.0 * x).cos() * (17.0 * y + 0.3).sin(), (9.0 * x - 21.0 * y).sin())
            * Complex64::cis(4.0 * x)
    };
    Array2::from_shape_vec(lattice.shape(), lattice.points().map(at).collect()).expect("shape of the lattice")
}

fn surface(lattice: &Lattice, frequency: f64) -> SurfaceVelocity<'_> {
    SurfaceVelocity { frequency, lattice, velocity: motion(lattice) }
}

const RECEIVERS: [[f64; 3]; 4] = [[0.4, 0.2, 0.5], [-0.3, 0.9, 0.1], [1.0, 0.26, 2.0], [0.38, 0.26, 0.07]];

fn relative_l2(a: &[Complex64], b: &[Complex64]) -> f64 {
    let difference: f64 = a.iter().zip(b).map(|(a, b)| (a - b).norm_sqr()).sum();
    (difference / b.iter().map(|b| b.norm_sqr()).sum::<f64>()).sqrt()
}

#[test]
fn pressure_is_linear_in_velocity() {
    let lattice = gauss(40, 30);
    let (mut one, mut other) = (surface(&lattice, 2000.0), surface(&lattice, 2000.0));
    other.velocity.mapv_inplace(|v| v * v);
    let separate: Vec<Complex64> = pressure(&one, &RECEIVERS, &air())
        .iter()
        .zip(pressure(&other, &RECEIVERS, &air()))
        .map(|(a, b)| 2.0 * a - Complex64::i() * b)
        .collect();
    one.velocity.zip_mut_with(&other.velocity, |a, b| *a = 2.0 * *a - Complex64::i() * b);
    assert!(relative_l2(&pressure(&one, &RECEIVERS, &air()), &separate) < 1e-13);
}

#[test]
fn source_and_receiver_change_places() {
    let at = |source: [f64; 2], receiver: [f64; 2]| {
        let sources = PointSources::new([source], [Complex64::new(1e-3, 0.0)]);
        rayleigh_integral(&sources, 3000.0, &[[receiver[0], receiver[1], 0.0]], &air())[0]
    };
    let (a, b) = ([0.1, 0.2], [0.7, 0.45]);
    assert!((at(a, b) - at(b, a)).norm() < 1e-15 * at(a, b).norm());
}

#[test]
fn mirrored_motion_makes_a_mirrored_field() {
    let lattice = gauss(48, 36);
    let straight = surface(&lattice, 2500.0);
    let mut mirrored = surface(&lattice, 2500.0);
    mirrored.velocity.invert_axis(ndarray::Axis(0));
    let across: Vec<[f64; 3]> = RECEIVERS.iter().map(|&[x, y, z]| [0.76 - x, y, z]).collect();
    let difference =
        relative_l2(&pressure(&mirrored, &across, &air()), &pressure(&straight, &RECEIVERS, &air()));
    assert!(difference < 1e-13, "{difference:e}");
    assert_relative_eq!(
        radiated_power(&mirrored, &air()),
        radiated_power(&straight, &air()),
        max_relative = 1e-12
    );
}

#[test]
fn near_field_tends_to_far_field() {
    let lattice = gauss(60, 48);
    let surface = surface(&lattice, 3000.0);
    let dry = Air::new(293.15, 0.5, 101_325.0);
    let centre = [0.38, 0.26];
    let direction = [0.4f64, -0.3, (1.0f64 - 0.25).sqrt()];
    let far = far_field(&surface, &[[direction[0], direction[1]]], centre, &dry)[0];
    let deviation = |distance: f64| {
        let receiver = [
            centre[0] + direction[0] * distance,
            centre[1] + direction[1] * distance,
            direction[2] * distance,
        ];
        let near = rayleigh_integral(&PointSources::from(&surface), 3000.0, &[receiver], &dry)[0];
        (near * distance * Complex64::cis(dry.wavenumber(3000.0) * distance) / far - 1.0).norm()
    };
    // The first correction is of order k L²/R: ten times the distance, a tenth of the deviation.
    assert!(deviation(1000.0) < 0.01, "{}", deviation(1000.0));
    assert_relative_eq!(deviation(1000.0) / deviation(10_000.0), 10.0, max_relative = 0.05);
}

#[test]
fn arcs_agree_with_general_directions() {
    let lattice = gauss(40, 32);
    let surface = surface(&lattice, 4000.0);
    let angles = [-1.2f64, -0.4, 0.0, 0.7, 1.5];
    let sines = angles.map(f64::sin);
    let centre = [0.38, 0.26];
    for (arc, directions) in
        [(Arc::Horizontal, sines.map(|s| [s, 0.0])), (Arc::Vertical, sines.map(|s| [0.0, s]))]
    {
        let along = far_field_arc(&surface, arc, &angles, centre, &air());
        assert!(relative_l2(&along, &far_field(&surface, &directions, centre, &air())) < 1e-12);
    }
}

#[test]
fn power_is_the_far_field_intensity_over_the_hemisphere() {
    let lattice = gauss(40, 32);
    let surface = surface(&lattice, 1200.0);
    let polar = Axis::gauss(1.0, NonZeroUsize::new(60).expect("positive"));
    let mut power = 0.0;
    for (cosine, weight) in polar.nodes.iter().zip(&polar.weights) {
        let sine = (1.0 - cosine * cosine).sqrt();
        let azimuth = |i: u32| std::f64::consts::TAU * f64::from(i) / 90.0;
        let directions: Vec<[f64; 2]> =
            (0..90).map(|i| [sine * azimuth(i).cos(), sine * azimuth(i).sin()]).collect();
        let ring = far_field(&surface, &directions, [0.38, 0.26], &air());
        power += weight * std::f64::consts::TAU / 90.0 * ring.iter().map(|a| a.norm_sqr()).sum::<f64>();
    }
    assert_relative_eq!(radiated_power(&surface, &air()), power / air().impedance(), max_relative = 1e-10);
}

#[test]
fn any_number_of_threads_gives_the_same_bits() {
    let lattice = gauss(50, 40);
    let surface = surface(&lattice, 2000.0);
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads start");
        pool.install(|| {
            let velocity = surface.velocity.view().insert_axis(ndarray::Axis(0));
            let many = pressure_many(&lattice, &[2000.0], velocity, &RECEIVERS.repeat(5), &air());
            (pressure(&surface, &RECEIVERS, &air()), many)
        })
    };
    assert_eq!(with(1), with(3));
}

/// Error of the pressure at `receivers` on `lattice`, against a lattice far finer than any needed here.
fn quadrature_error(lattice: &Lattice, frequency: f64, bending: f64, distance: f64) -> f64 {
    let spread = |i: i32, step: f64| 1.2 * (f64::from(i) * step).fract() - 0.2;
    let receivers: Vec<[f64; 3]> =
        (0..10).map(|i| [spread(i, 0.37), 0.8 * spread(i, 0.61), distance]).collect();
    let field = |lattice: &Lattice| {
        let at = |[x, y]: [f64; 2]| {
            let standing = (bending * x + 0.4).cos() * (bending * y).cos();
            Complex64::from(standing + (0.7 * bending * (x + y)).sin())
        };
        let velocity = Array2::from_shape_vec(lattice.shape(), lattice.points().map(at).collect());
        let velocity = velocity.expect("shape of the lattice");
        pressure(&SurfaceVelocity { frequency, lattice, velocity }, &receivers, &air())
    };
    relative_l2(&field(lattice), &field(&gauss(340, 260)))
}

const PANEL: Outline = Outline::Rectangle { width: 0.76, height: 0.52 };

#[test]
fn lattice_rule_reaches_its_tolerance() {
    for frequency in [50.0, 300.0, 1000.0, 8000.0, 20_000.0] {
        for distance in [0.01, 0.03, 0.1, 1.0] {
            let (k, bending) = (air().wavenumber(frequency), 1.45 * f64::sqrt(frequency));
            let lattice = lattice_for(&PANEL, [bending; 2], k, distance);
            let error = quadrature_error(&lattice, frequency, bending, distance);
            assert!(error < 4e-6, "{frequency} Hz at {distance} m: error {error:e}");
        }
    }
}

#[test]
fn gauss_nodes_converge_faster_than_any_power() {
    let (frequency, distance) = (8000.0, 0.1);
    let (k, bending) = (air().wavenumber(frequency), 1.45 * f64::sqrt(frequency));
    let critical = 0.25 * (k + bending) * 0.76;
    let error = |extra: f64| {
        let nodes = |length: f64| (critical * length / 0.76 + extra).ceil() as usize;
        quadrature_error(&gauss(nodes(0.76), nodes(0.52)), frequency, bending, distance)
    };
    let errors = [-10.0, 0.0, 5.0, 10.0].map(error);
    assert!(errors[0] > 0.1 && errors[3] < 1e-6, "{errors:?}");
    assert!(errors[3] / errors[2] < errors[2] / errors[1], "convergence gains speed");
}

#[test]
fn tiers_cover_every_frequency_once() {
    let frequencies: Vec<f64> = (0..100).map(|i| 50.0 * 2f64.powf(f64::from(i) / 13.0)).collect();
    let tiers = tiers(&frequencies, 1.0 / 3.0, |_| gauss(4, 4));
    let covered: Vec<usize> = tiers.iter().flat_map(|tier| tier.range.clone()).collect();
    assert_eq!(covered, (0..100).collect::<Vec<_>>());
    assert!(tiers.iter().all(|t| frequencies[t.range.end - 1] / frequencies[t.range.start] < 1.26));
}

#[test]
fn only_receivers_in_front_and_near_are_warned_about() {
    let outline = Outline::Rectangle { width: 0.76, height: 0.52 };
    assert!(too_near(&outline, &[[0.4, 0.2, 0.02], [2.0, 0.2, 0.001]]).is_none());
    assert_relative_eq!(nearest_distance(&outline, &[[0.8, 0.2, 0.03]]), 0.05, max_relative = 1e-12);
    assert!(too_near(&outline, &[[0.4, 0.2, 0.005]]).is_some_and(|w| w.message.contains("5.0 mm")));
}

#[test]
fn single_precision_maps_follow_double_precision() {
    let lattice = gauss(230, 170);
    for (frequency, distance) in [(200.0, 0.1), (5000.0, 0.02), (20_000.0, 0.1), (20_000.0, 10.0)] {
        let receivers: Vec<[f64; 3]> = (0..100)
            .map(|i| f64::from(i) / 99.0)
            .map(|t| [1.2 * t - 0.2, t * t, distance + 0.1 * t])
            .collect();
        let surface = surface(&lattice, frequency);
        let exact = pressure(&surface, &receivers, &air());
        let velocity = surface.velocity.view().insert_axis(ndarray::Axis(0));
        let many = pressure_many(&lattice, &[frequency], velocity, &receivers, &air());
        let error = relative_l2(many.as_slice().expect("contiguous"), &exact);
        assert!(error < 1e-5, "{frequency} Hz at {distance} m: {error:e}");
    }
}

/// A disc that moves as one: `p = ρc v (exp(−jkz) − exp(−jk√(z² + a²)))` on its axis (A. D. Pierce, Acoustics, 1989, § 5-7), and the
/// far field off it, `A = jωρ v a² J₁(ka sin θ)/(ka sin θ)` (§ 5-8).
#[test]
fn a_disc_on_a_lattice_sounds_as_a_piston() {
    let (a, frequency) = (0.15, 3000.0);
    let outline = Outline::Ellipse { width: 2.0 * a, height: 2.0 * a };
    let k = air().wavenumber(frequency);
    let lattice = lattice_for(&outline, [30.0; 2], k, 0.05);
    let velocity = Array2::from_elem(lattice.shape(), Complex64::ONE);
    let surface = SurfaceVelocity { frequency, lattice: &lattice, velocity };
    for z in [0.05f64, 0.2, 1.0] {
        let computed = rayleigh_integral(&PointSources::from(&surface), frequency, &[[a, a, z]], &air())[0];
        let exact = air().impedance() * (Complex64::cis(-k * z) - Complex64::cis(-k * z.hypot(a)));
        assert!((computed - exact).norm() < 2e-3 * air().impedance(), "{z}: {computed} and {exact}");
    }
    let angles = [0.0f64, 0.3, 0.8];
    let arc = far_field_arc(&surface, Arc::Horizontal, &angles, [a, a], &air());
    for (angle, computed) in angles.iter().zip(arc) {
        let u = k * a * angle.sin();
        let shape = if u == 0.0 { 0.5 } else { puruspe::Jn(1, u) / u };
        let exact = Complex64::i() * TAU * frequency * air().density * a * a * shape;
        let scale = 0.5 * TAU * frequency * air().density * a * a;
        assert!((computed - exact).norm() < 1e-3 * scale, "{angle}: {computed} and {exact}");
    }
}
