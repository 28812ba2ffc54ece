//! Slender elements: sixteen times as long as wide.

use super::meshes;
use super::system::{direction, system};
use crate::boundary::moments::MomentRules;
use crate::boundary::{Body, Drive, Mirrors};
use num_complex::Complex64;

/// A cube of 1 m whose front moves: its far field [Pa m] in some directions, and the mean pressure on the front [Pa].
fn sounds(body: &Body) -> Vec<Complex64> {
    let field = system(body, 1.0).solve(Drive::patch(body, 1, Complex64::ONE)).expect("converges");
    let mut sounds = field.far(&[0.0, 60.0, 120.0, 180.0].map(direction));
    sounds.push(field.integrated(|patch, _, _| f64::from(patch == 1)));
    sounds
}

/// Largest difference, over each exact value.
fn off(found: &[Complex64], exact: &[Complex64]) -> f64 {
    found.iter().zip(exact).map(|(found, exact)| (found / exact - 1.0).norm()).fold(0.0, f64::max)
}

/// Cutting one side of the elements into sixteenths makes the sound no worse, and what quadrature adds is small.
#[test]
fn elements_of_sixteen_to_one_are_as_good_as_their_long_sides() {
    let cube = |cells| meshes::cuboid([0.0; 3], [1.0; 3], cells);
    let body = |cells| Body::new(&cube(cells), Mirrors::NONE).expect("closed");
    let [exact, coarse, slender, across] =
        [[6, 6, 6], [1, 1, 1], [16, 1, 1], [1, 1, 16]].map(|cells| sounds(&body(cells)));
    let [square, along, across] = [&coarse, &slender, &across].map(|found| off(found, &exact));
    let strict =
        Body::with_rules(&cube([16, 1, 1]), Mirrors::NONE, &MomentRules::with(3, 1.4)).expect("closed");
    let quadrature = off(&slender, &sounds(&strict));
    assert!(along < square && across < square, "{along} and {across}, squares {square}");
    // What the moments promise at most.
    assert!(quadrature < 1e-3, "{quadrature}");
}
