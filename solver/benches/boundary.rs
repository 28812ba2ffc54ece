//! Boundary elements: a plane wave on a rigid sphere.
//!
//! `cargo bench --workspace --bench boundary` first prints, for ka = 10 and 20 on meshes whose error is below the smallest that linear
//! triangles can have at eight to the wavelength (1.39 % and 1.40 %: least-squares fit of the exact pressure on such meshes of 5,120 and 19,220
//! triangles): elements, seconds of the part that does not depend on the frequency, of one further frequency (matrix, preconditioner, solution),
//! how the operator is held and the memory it takes, kernel evaluations per second of both cores where it is a full matrix, steps, and the error of the
//! surface pressure in the mean square. Then the same for ka = 40 and 77, with as many elements to the wavelength as for 20, up to
//! 50,000 elements (6.5 GB), and times of the first two.

#![allow(clippy::print_stdout)] // a bench is there to report

#[allow(dead_code)] // the tests of the boundary elements use all of it
#[path = "../src/boundary/tests/series.rs"]
mod series;

use divan::Bencher;
use nalgebra::Vector3;
use num_complex::Complex64;
use panelwright_mesh::sphere;
use panelwright_solver::air::Air;
use panelwright_solver::boundary::*;
use panelwright_solver::single_threaded_blas;
use std::time::Instant;

/// ka and the cuts of the icosahedron's sides.
const CASES: [(f64, usize); 2] = [(10.0, 7), (20.0, 13)];

fn air() -> Air {
    Air::new(293.15, 0.0, 101_325.0)
}

fn main() {
    single_threaded_blas();
    for (ka, cuts) in CASES.into_iter().chain([(40.0, 26), (77.0, 50)]) {
        report(ka, cuts);
    }
    divan::main();
}

fn body(cuts: usize) -> Body {
    Body::new(&sphere(1.0, cuts), Mirrors::NONE).expect("a closed sphere")
}

fn system(body: &Body, ka: f64) -> System<'_> {
    let frequency = ka * air().sound_speed / std::f64::consts::TAU;
    System::new(body, frequency, &air(), |_| Complex64::ZERO, Method::Iterate).expect("regular")
}

fn solve<'a>(system: &System<'a>) -> SurfaceField<'a> {
    let wave = PlaneWave { amplitude: Complex64::ONE, direction: Vector3::z() };
    system.solve(Drive::arriving(wave)).expect("converges")
}

fn report(ka: f64, cuts: usize) {
    let start = Instant::now();
    let body = body(cuts);
    let once = start.elapsed().as_secs_f64();
    let mut best = [f64::INFINITY; 2];
    let (mut field, mut held) = (None, Representation::Full);
    for _ in 0..if body.len() < 20_000 { 3 } else { 1 } {
        let start = Instant::now();
        let system = system(&body, ka);
        let assembled = start.elapsed().as_secs_f64();
        (field, held) = (Some(solve(&system)), system.representation());
        best = [best[0].min(assembled), best[1].min(start.elapsed().as_secs_f64())];
    }
    let field = field.expect("solved three times");
    let evaluations = (6 * body.len()).pow(2) as f64;
    let rate = match held {
        Representation::Full => format!(" ({:.0} M evaluations/s)", 1e-6 * evaluations / best[0]),
        Representation::Grid { .. } => String::new(),
    };
    println!(
        "ka = {ka}: {} elements, {} unknowns; once {once:.2} s; {held:?}, {} MB; further frequency {:.3} s, of which operator {:.3} s{rate}; \
         {} steps; error {:.2} %",
        body.len(),
        body.unknowns(),
        held.bytes(&body) >> 20,
        best[1],
        best[0],
        field.steps,
        100.0 * error(&body, &field, ka)
    );
}

/// Error in the mean square over the surface, sampled at 15 places of every element.
fn error(body: &Body, field: &SurfaceField, ka: f64) -> f64 {
    let mut sums = [0.0; 2];
    for element in 0..body.len() {
        for (i, j) in (0..5).flat_map(|i| (0..5 - i).map(move |j| (i, j))) {
            let [u, v] = [i, j].map(|n| (f64::from(n) + 1.0 / 3.0) / 5.0);
            let place = [1.0 - u - v, u, v];
            let [position, area] = body.place(element, place);
            let exact = series::scattered_surface(ka, position.z / position.norm());
            sums[0] += area.norm() * (field.pressure_on(element, place) - exact).norm_sqr();
            sums[1] += area.norm() * exact.norm_sqr();
        }
    }
    (sums[0] / sums[1]).sqrt()
}

#[divan::bench(args = CASES)]
fn once_per_body(bencher: Bencher, (_, cuts): (f64, usize)) {
    bencher.bench(|| body(cuts));
}

#[divan::bench(args = CASES)]
fn further_frequency(bencher: Bencher, (ka, cuts): (f64, usize)) {
    let body = body(cuts);
    bencher.bench(|| solve(&system(&body, ka)));
}
