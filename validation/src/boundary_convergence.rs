//! How fast boundary elements converge as they become smaller.

use crate::baffled::air;
use crate::bodies::{error, of_diaphragm, scattered, sphere, turned};
use crate::{Problem, Row, Tolerance};
use panelwright_mesh::shapes::DIAPHRAGM;
use panelwright_mesh::sphere as even_sphere;
use panelwright_solver::boundary::{Body, Mirrors};
use std::f64::consts::PI;

/// Smooth sound and that of a velocity that jumps.
pub fn problem() -> Problem {
    Problem {
        name: "observed order of boundary elements",
        source: "S. A. Sauter & C. Schwab, Boundary Element Methods (2011) ch. 4: quadratic elements approach a smooth pressure with the third \
                 power of their side in the mean square; where the velocity jumps the pressure has a slope that grows like a logarithm, \
                 and a mean over the surface, the square of that in the energy norm, converges with the second power. The exact values are \
                 those of the sphere's series (P. M. Morse & K. U. Ingard, Theoretical Acoustics, 1968, ch. 7 and 8).",
        rows: || smooth().into_iter().chain(jump()).collect(),
    }
}

/// A plane wave on the rigid sphere at ka = 2.
fn smooth() -> Vec<Row> {
    let cuts = [2usize, 4, 8];
    let errors = cuts.map(|cuts| {
        let body = Body::new(&even_sphere(1.0, cuts), Mirrors::NONE).expect("a closed sphere");
        error(&body, &scattered(&body, 2.0, false), 2.0)
    });
    let names = cuts.map(|cuts| format!("{} elements", 20 * cuts * cuts));
    table("plane wave", &names, &errors, &cuts.map(|cuts| 1.0 / cuts as f64), 3.0)
}

/// The imaginary part of the mean pressure on a cap of 30° at ka = 2, 0.556132463 ρcu.
fn jump() -> Vec<Row> {
    let lengths = [0.4, 0.2, 0.1];
    let errors = lengths.map(|length| {
        let body = turned(&sphere(30.0), length);
        let force = of_diaphragm(&body, 2.0).integrated(|patch, _, _| f64::from(patch == DIAPHRAGM));
        let mean = force / (0.5 * PI * (1.0 - (PI / 6.0).cos()) * air().impedance());
        (mean.im / 0.556132463 - 1.0).abs()
    });
    table("cap", &lengths.map(|length| format!("sides of {length} a")), &errors, &lengths, 2.0)
}

fn table(what: &str, names: &[String; 3], errors: &[f64; 3], sides: &[f64; 3], order: f64) -> Vec<Row> {
    let row = |quantity, computed, expected, tolerance| Row {
        quantity,
        computed,
        expected,
        tolerance: Tolerance::Absolute(tolerance),
    };
    let error = |i: usize| row(format!("relative error, {what}, {}", names[i]), errors[i], 0.0, 0.05);
    let observed = |i: usize| {
        let found = (errors[i] / errors[i + 1]).ln() / (sides[i] / sides[i + 1]).ln();
        row(format!("observed order, {what}, to {}", names[i + 1]), found, order, 0.5)
    };
    (0..3).map(error).chain((0..2).map(observed)).collect()
}
