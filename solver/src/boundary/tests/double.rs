//! The discretisation itself, assembled pair by pair in double precision.

use super::meshes;
use super::series;
use crate::boundary::body::{Body, Partner};
use crate::boundary::mirrors::Mirrors;
use crate::boundary::pair::PairOperators;
use crate::boundary::wave::{Kernel, Wave};
use crate::gmres::{Stop, gmres};
use ndarray::{Array1, Array2};
use num_complex::Complex64;
use rayon::prelude::*;

/// Pressure operator on the points, and velocity operator from the element sides.
pub struct DoubleSystem {
    pub pressure: Array2<Complex64>,
    pub velocity: Array2<Complex64>,
}

pub fn assemble(body: &Body, wave: &Wave) -> DoubleSystem {
    let count = body.unknowns();
    let pairs: Vec<Vec<(usize, PairOperators)>> =
        (0..body.len()).into_par_iter().map(|tested| row(body, tested, wave)).collect();
    let mut pressure = Array2::zeros((count, count));
    let mut velocity = Array2::zeros((count, 6 * body.len()));
    for (tested, row) in pairs.iter().enumerate() {
        for (source, operators) in row {
            for i in 0..6 {
                for j in 0..6 {
                    let (at, from) = (body.nodes[tested][i] as usize, body.nodes[*source][j] as usize);
                    pressure[(at, from)] += operators.pressure[i][j];
                    velocity[(at, 6 * source + j)] += operators.velocity[i][j];
                }
            }
        }
    }
    DoubleSystem { pressure, velocity }
}

fn row(body: &Body, tested: usize, wave: &Wave) -> Vec<(usize, PairOperators)> {
    let mut row = vec![];
    for element in 0..body.len() {
        for image in 0..body.images.len() {
            let near = body.partners[tested].iter().find(|p| p.element == element && p.image == image);
            let operators = match near {
                Some(partner) => PairOperators::near(body, tested, partner, wave),
                None => {
                    let partner = Partner { element, image, pair: 0, exchanged: false };
                    PairOperators::plain(body, tested, &partner, wave, Kernel::Whole)
                }
            };
            row.push((element, operators));
        }
    }
    row
}

pub fn solve(matrix: &Array2<Complex64>, right: Array1<Complex64>) -> (Vec<Complex64>, usize) {
    let solved = gmres(
        |x| matrix.dot(&Array1::from(x.to_vec())).to_vec(),
        right.to_vec(),
        Stop { residual: 1e-10, steps: 300 },
    );
    (solved.x, solved.steps)
}

/// Tests of a function given at the quadrature points.
pub fn tested(
    body: &Body,
    value: impl Fn(&crate::boundary::blocks::Point) -> Complex64,
) -> Array1<Complex64> {
    let mut right = Array1::zeros(body.unknowns());
    for (nodes, points) in body.nodes.iter().zip(&body.quadrature) {
        for point in points {
            for i in 0..6 {
                right[nodes[i] as usize] += point.weight * point.values[i] * value(point);
            }
        }
    }
    right
}

/// Relative error in the mean square over the surface.
pub fn error(body: &Body, found: &[Complex64], exact: impl Fn(&nalgebra::Vector3<f64>) -> Complex64) -> f64 {
    let mut sums = [0.0; 2];
    for (nodes, points) in body.nodes.iter().zip(&body.quadrature) {
        for point in points {
            let value: Complex64 = (0..6).map(|i| found[nodes[i] as usize] * point.values[i]).sum();
            let true_value = exact(&point.position);
            sums[0] += point.weight * (value - true_value).norm_sqr();
            sums[1] += point.weight * true_value.norm_sqr();
        }
    }
    (sums[0] / sums[1]).sqrt()
}

/// Relative error of the surface pressure scattered by the rigid unit sphere, and steps of the iteration.
fn scattering_error(cuts: usize, ka: f64, coupling: f64) -> (f64, usize) {
    let body = Body::new(&meshes::sphere(cuts), Mirrors::NONE).expect("closed");
    let wave = Wave { k: ka, coupling };
    let system = assemble(&body, &wave);
    let right = tested(&body, |point| {
        let incident = Complex64::cis(-ka * point.position.z);
        let slope = Complex64::new(0.0, -ka * point.area.z / point.weight) * incident;
        incident + wave.alpha() * slope
    });
    let (found, steps) = solve(&system.pressure, right);
    (error(&body, &found, |x| series::scattered_surface(ka, x.z / x.norm())), steps)
}

#[test]
fn scattering_by_a_rigid_sphere_converges_with_order_two_and_a_half_at_least() {
    for ka in [1.0, 2.5, 4.0] {
        let [coarse, fine] = [2, 4].map(|cuts| scattering_error(cuts, ka, 1.0 / ka).0);
        let order = (coarse / fine).log2();
        assert!(order > 2.3 && fine < 4.2e-3, "ka = {ka}: {coarse:e}, {fine:e}, order {order}");
    }
}

/// Near the first two eigenvalues of the interior (M. Abramowitz & I. Stegun, Handbook of Mathematical Functions, tables 10.6, 10.7).
#[test]
fn no_frequency_is_irregular() {
    for ka in [std::f64::consts::PI, 4.493409458] {
        let error = |ka: f64| scattering_error(2, ka, 1.0 / ka).0;
        let neighbours = 0.5 * (error(0.97 * ka) + error(1.03 * ka));
        assert!((0.95..1.05).contains(&(error(ka) / neighbours)), "ka = {ka}");
    }
}

/// A uniform pressure on the unit sphere is an eigenfunction: `½ − K − αD = jx² h₀′(x) (j₀(x) + αk j₀′(x))`, x = ka. At x = π, where j₀
/// vanishes, only the coupling keeps it from nothing.
#[test]
fn the_eigenvalue_of_a_uniform_pressure() {
    let body = Body::new(&meshes::sphere(3), Mirrors::NONE).expect("closed");
    let area: Complex64 = tested(&body, |_| Complex64::ONE).sum();
    let k = std::f64::consts::PI;
    for coupling in [0.0, 1.0 / k, -0.5 / k] {
        let wave = Wave { k, coupling };
        let sum: Complex64 = assemble(&body, &wave).pressure.sum();
        let [h, dh] = series::hankel(k, 1)[0];
        let exact = Complex64::i() * k * k * dh * (h.re + wave.alpha() * k * dh.re);
        assert!((sum / area - exact).norm() < 1e-3, "{} against {exact}", sum / area);
    }
}

/// Surface pressure over ρc of a sphere with given radial velocities at the element sides.
fn radiated(body: &Body, ka: f64, velocity: impl Fn(f64) -> f64) -> Vec<Complex64> {
    let wave = Wave { k: ka, coupling: 1.0 / ka };
    let system = assemble(body, &wave);
    let slopes = body
        .nodes
        .iter()
        .flatten()
        .map(|&node| Complex64::new(0.0, -ka * velocity(body.points[node as usize].z)));
    let right = -system.velocity.dot(&Array1::from_iter(slopes));
    solve(&system.pressure, right).0
}

/// P. M. Morse, Vibration and Sound (1948), ch. VII: `p/(ρcu) = jka/(1 + jka)`, values of the closed form.
#[test]
fn a_pulsating_sphere() {
    let body = Body::new(&meshes::sphere(3), Mirrors::NONE).expect("closed");
    let published =
        [(0.1, [0.009900990099, 0.09900990099]), (1.0, [0.5, 0.5]), (5.0, [0.9615384615, 0.1923076923])];
    for (ka, [re, im]) in published {
        let exact = Complex64::new(re, im);
        let error = error(&body, &radiated(&body, ka, |_| 1.0), |_| exact);
        assert!(error < 1e-3, "ka = {ka}: {error:e}");
    }
}

/// Morse (1948), ch. VII: force over `4πa²ρcu` of a rigid sphere that oscillates along z.
#[test]
fn an_oscillating_sphere() {
    let body = Body::new(&meshes::sphere(3), Mirrors::NONE).expect("closed");
    let published = [
        (0.5, [0.005128205128, 0.09230769231]),
        (1.0, [0.06666666667, 0.2]),
        (5.0, [0.3312135665, 0.07154213037]),
    ];
    for (ka, [re, im]) in published {
        let pressure = Array1::from(radiated(&body, ka, |z| z));
        let along_z = tested(&body, |point| (point.area.z / point.weight).into());
        let force = pressure.dot(&along_z) / (4.0 * std::f64::consts::PI);
        let error = (force - Complex64::new(re, im)).norm() / re.hypot(im);
        assert!(error < 1e-3, "ka = {ka}: {error:e}");
    }
}
