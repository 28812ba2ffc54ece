//! Discs, rectangles and awkward outlines; published values are in the validation.

use super::*;
use crate::linalg::eigenpairs_up_to;
use crate::scene::{EdgeCondition, Edges, LossCurve, PlateSection, Strip};
use crate::single_threaded_blas;
use panelwright_mesh::{Axis, Outline, RimPoint};
use std::f64::consts::{PI, TAU};
use std::num::NonZeroUsize;

fn isotropic(poisson: f64) -> PlateSection {
    PlateSection {
        d11: 1.0,
        d12: poisson,
        d22: 1.0,
        d66: 0.5 * (1.0 - poisson),
        surface_mass: 1.0,
        thickness: 1e-3,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: LossCurve::constant(0.0),
        shear_loss: LossCurve::constant(0.0),
    }
}

/// Ellipse with half axes a, b about its own bounding box.
fn ellipse(a: f64, b: f64, longest: f64, count: NonZeroUsize) -> Vec<RimPoint> {
    let pieces = (TAU * a.max(b) / longest).ceil() as usize;
    let rule = Axis::gauss(TAU / pieces as f64, count);
    let mut along = 0.0;
    let node = |(t, weight): (f64, f64)| {
        let (sin, cos) = t.sin_cos();
        let speed = (a * sin).hypot(b * cos);
        along += weight * speed;
        RimPoint {
            position: [a + a * cos, b + b * sin],
            normal: [b * cos / speed, a * sin / speed],
            weight: weight * speed,
            contour: 0,
            along,
        }
    };
    (0..pieces)
        .flat_map(|piece| {
            let start = TAU * piece as f64 / pieces as f64;
            rule.nodes.iter().map(move |node| start + node).zip(rule.weights.to_vec()).collect::<Vec<_>>()
        })
        .map(node)
        .collect()
}

fn region<'a>(
    size: [f64; 2],
    area: f64,
    mirrored: bool,
    plate: (&'a PlateSection, &'a Edges),
    rim: impl Fn(f64, NonZeroUsize) -> Vec<RimPoint> + Sync + 'a,
) -> Region<'a> {
    single_threaded_blas();
    Region::new(size, area, [mirrored; 2], plate, Box::new(rim))
}

fn omegas(region: &Region, up_to: f64, accuracy: crate::plate::Accuracy) -> Vec<f64> {
    let plan = FreeFormPlan::new(region, up_to, accuracy);
    let solved = solve(region, &plan, up_to * up_to).expect("solvable");
    solved.eigenvalues.iter().map(|value| value.sqrt()).collect()
}

/// Largest relative distance of each expected value from the nearest computed one.
fn worst(computed: &[f64], expected: &[f64]) -> f64 {
    let nearest = |value: &f64| computed.iter().map(|c| (c / value - 1.0).abs()).fold(f64::INFINITY, f64::min);
    expected.iter().map(nearest).fold(0.0, f64::max)
}

/// λ = ωR²√(m/D) at ν = 0.3: roots of the Bessel determinants (A. W. Leissa, Vibration of Plates, NASA SP-160 (1969), ch. 2),
/// recomputed.
#[test]
fn a_disc_has_the_published_frequencies() {
    use EdgeCondition::{Clamped, Free, SimplySupported};
    let section = isotropic(0.3);
    for (condition, expected) in [
        (Free, [5.358329788, 9.00313735, 12.43898817, 20.47455011]),
        (Clamped, [10.21582623, 21.26039769, 34.87703542, 39.77114824]),
        (SimplySupported, [4.935149043, 13.89816507, 25.61329672, 29.72000473]),
    ] {
        let edges = Edges::all(condition);
        for mirrored in [false, true] {
            let disc = region([2.0; 2], PI, mirrored, (&section, &edges), |l, n| ellipse(1.0, 1.0, l, n));
            let found = omegas(&disc, 120.0, crate::plate::Accuracy::REFERENCE);
            let error = worst(&found, &expected);
            eprintln!("{condition:?} {mirrored} {error:.1e} {:?}", &found[..5]);
            assert!(error < 1e-6, "{condition:?}: {error:.1e}");
            let rigid = found.iter().take_while(|omega| **omega == 0.0).count();
            assert_eq!(rigid, if condition == Free { 3 } else { 0 });
        }
    }
}

fn polygon(corners: &[[f64; 2]], longest: f64, count: NonZeroUsize) -> Vec<RimPoint> {
    let mut start = 0.0;
    let ends = corners.iter().zip(corners.iter().cycle().skip(1));
    ends.flat_map(|(from, to)| {
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let length = dx.hypot(dy);
        let pieces = (length / longest).ceil().max(1.0) as usize;
        let rule = Axis::gauss(length / pieces as f64, count);
        let begin = start;
        start += length;
        let node = move |(s, weight): (f64, f64)| RimPoint {
            position: [from[0] + s / length * dx, from[1] + s / length * dy],
            normal: [dy / length, -dx / length],
            weight,
            contour: 0,
            along: begin + s,
        };
        (0..pieces)
            .flat_map(move |piece| {
                let offset = length * piece as f64 / pieces as f64;
                rule.nodes.iter().map(|n| offset + n).zip(rule.weights.to_vec()).collect::<Vec<_>>()
            })
            .map(node)
            .collect::<Vec<_>>()
    })
    .collect()
}

#[test]
fn zz_speed() {
    let c = 4e-3f64.powi(3) / 12.0 / (1.0 - 0.09 * 0.5);
    let section = PlateSection {
        d11: 10e9 * c,
        d12: 0.3 * 5e9 * c,
        d22: 5e9 * c,
        d66: 0.7e9 * 4e-3f64.powi(3) / 12.0,
        surface_mass: 2.6,
        ..isotropic(0.3)
    };
    let corners = [[0.0, 0.05], [0.85, 0.0], [0.95, 0.45], [0.5, 0.68], [0.05, 0.6]];
    let area = 0.5 * (0..5).map(|i| { let (a, b) = (corners[i], corners[(i + 1) % 5]); a[0] * b[1] - a[1] * b[0] }).sum::<f64>();
    for (condition, f) in [(EdgeCondition::Free, 10e3), (EdgeCondition::Clamped, 10e3), (EdgeCondition::Free, 20e3)] {
        let edges = Edges::all(condition);
        let r = region([0.95, 0.68], area, false, (&section, &edges), |l, n| polygon(&corners, l, n));
        let omega = TAU * f;
        let plan = FreeFormPlan::new(&r, omega, crate::plate::Accuracy::PREDICTION);
        let t = std::time::Instant::now();
        let integrals = Integrals::new(&r, &plan);
        let t1 = t.elapsed();
        let m = block::BlockMatrices::new(&integrals, &plan.blocks[0]);
        let red = m.reduced().expect("ok");
        let t2 = t.elapsed();
        let rank = red.selection.picked.len();
        let n = eigenpairs_up_to(red.stiffness, omega * omega).expect("ok").values.len();
        let t3 = t.elapsed();
        let t = std::time::Instant::now();
        let s = solve(&r, &plan, omega * omega).expect("ok");
        eprintln!("area {area} N {} r {rank} modes {n} integrals {t1:?} reduced {t2:?} eigen {t3:?}; all {:?} {}", plan.largest_block(), t.elapsed(), s.eigenvalues.len());
    }
}
