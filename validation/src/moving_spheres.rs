//! A sphere that pulsates, and one that moves to and fro, by boundary elements.

use crate::baffled::{air, frequency};
use crate::{Problem, Row, Tolerance};
use num_complex::Complex64;
use panelwright_mesh::sphere;
use panelwright_solver::boundary::{Body, Drive, Method, Mirrors, System};

const SOURCE: &str = "P. M. Morse, Vibration and Sound (1948) ch. VII; P. M. Morse & K. U. Ingard, Theoretical Acoustics (1968) sec. 7.2; \
                      L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers (2012) ch. 12. Recomputed from Hankel functions.";

/// Both motions.
pub fn problems() -> [Problem; 2] {
    [
        Problem {
            name: "pulsating sphere",
            source: SOURCE,
            rows: || KA.iter().flat_map(pulsating).collect(),
        },
        Problem {
            name: "oscillating sphere",
            source: SOURCE,
            rows: || KA.iter().flat_map(oscillating).collect(),
        },
    ]
}

const KA: [f64; 5] = [0.1, 0.5, 1.0, 2.0, 5.0];

/// Of what the pressure would be on a plane wave's front. 320 elements are five to the wavelength at ka = 5.
const TOLERANCE: Tolerance = Tolerance::Absolute(3e-4);

/// `p/(ρcu) = jka/(1 + jka)`.
fn pulsating(ka: &f64) -> [Row; 2] {
    let exact = Complex64::new(0.0, *ka) / Complex64::new(1.0, *ka);
    let [found, _] = on_the_surface(*ka, |body| Drive::patch(body, 0, Complex64::ONE));
    parts("p/(ρcu)", *ka, found, exact)
}

/// `F/(4πa²ρcu) = ⅓ [(ka)⁴ + jka (2 + (ka)²)]/[4 + (ka)⁴]`; the pressure goes with the cosine, so the force is a third of that at the pole.
fn oscillating(ka: &f64) -> [Row; 2] {
    let (square, fourth) = (ka.powi(2), ka.powi(4));
    let exact = Complex64::new(fourth, ka * (2.0 + square)) / (3.0 * (4.0 + fourth));
    let along = [Complex64::ZERO, Complex64::ZERO, Complex64::ONE];
    let [found, cosine] = on_the_surface(*ka, |body| Drive::rigid(body, 0, along));
    parts("F/(4πa²ρcu)", *ka, found / (3.0 * cosine), exact)
}

fn parts(quantity: &str, ka: f64, found: Complex64, exact: Complex64) -> [Row; 2] {
    let row = |part: &str, computed: f64, expected: f64| Row {
        quantity: format!("{part} {quantity}, ka = {ka}"),
        computed,
        expected,
        tolerance: TOLERANCE,
    };
    [row("real", found.re, exact.re), row("imaginary", found.im, exact.im)]
}

/// Pressure over ρcu in the middle of the highest element, and the cosine of its angle from the pole.
fn on_the_surface(ka: f64, drive: impl Fn(&Body) -> Drive) -> [Complex64; 2] {
    const MIDDLE: [f64; 3] = [1.0 / 3.0; 3];
    let body = Body::new(&sphere(1.0, 4), Mirrors::NONE).expect("a closed sphere");
    let system = System::new(&body, frequency(ka), &air(), |_| Complex64::ZERO, Method::Iterate)
        .expect("a regular system");
    let field = system.solve(drive(&body)).expect("convergence");
    let height = |element: usize| body.place(element, MIDDLE)[0].z;
    let highest = (0..body.len()).max_by(|&a, &b| height(a).total_cmp(&height(b))).expect("it has elements");
    [field.pressure_on(highest, MIDDLE) / air().impedance(), height(highest).into()]
}
