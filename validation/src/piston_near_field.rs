//! Near field of a circular piston.

use crate::baffled::{air, disc, frequency};
use crate::{Problem, Row, Tolerance};
use num_complex::Complex64;
use panelwright_solver::radiation::rayleigh_integral;

/// `|p|/(ρcu)` on the axis of a rigid circular piston and complex `p/(ρcu)` off the axis.
pub fn problem() -> Problem {
    Problem {
        name: "circular piston, near field",
        source: "A. D. Pierce, Acoustics (1981/1989) § 5-3; L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers \
                 (2012) ch. 13. On axis the closed form 2 |sin[(k/2)(√(z² + a²) − z)]|; off axis recomputed by a one-dimensional \
                 reduction of the Rayleigh integral (arc-length form), which agrees with product quadrature to 4e-13.",
        rows: || on_axis().into_iter().chain(off_axis()).collect(),
    }
}

/// `(ka, z/a, |p|/(ρcu))`.
const ON_AXIS: [(f64, f64, f64); 10] = [
    (1.0, 0.0, 0.9588510772),
    (1.0, 0.5, 0.6082446799),
    (1.0, 2.0, 0.2355202085),
    (5.0, 0.0, 1.196944288),
    (5.0, 0.5, 1.999338963),
    (5.0, 2.0, 1.113004456),
    (10.0, 0.5, 0.1028001001),
    (10.0, 1.0, 1.754904745),
    (10.0, 5.0, 0.9502350115),
    (20.0, 1.0, 1.683528458),
];

/// `(ka, x/a, z/a, Re, Im)`.
const OFF_AXIS: [(f64, f64, f64, f64, f64); 6] = [
    (1.0, 0.5, 0.5, 0.422016505, 0.3562542403),
    (5.0, 0.5, 0.5, -0.7614251969, -0.7755235326),
    (5.0, 1.0, 1.0, 0.1373436947, 0.336594284),
    (10.0, 0.7, 0.3, -0.944724366, -0.5101602012),
    (10.0, 1.5, 2.0, -0.1808016368, -0.2020997095),
    (3.0, 0.8, 0.0, 0.8339383934, 0.1834581177),
];

/// `p/(ρcu)` at (x, 0, z), in radii.
fn pressure(ka: f64, x: f64, z: f64) -> Complex64 {
    let pole = if x < 1.0 { x } else { 0.0 };
    rayleigh_integral(&disc(pole, 60, 240), frequency(ka), &[[x, 0.0, z]], &air())[0] / air().impedance()
}

fn on_axis() -> Vec<Row> {
    let row = |&(ka, z, expected): &(f64, f64, f64)| Row {
        quantity: format!("|p|/(ρcu) on axis, ka = {ka}, z/a = {z}"),
        computed: pressure(ka, 0.0, z).norm(),
        expected,
        tolerance: Tolerance::Relative(1e-8),
    };
    ON_AXIS.iter().map(row).collect()
}

fn off_axis() -> Vec<Row> {
    let rows = |&(ka, x, z, re, im): &(f64, f64, f64, f64, f64)| {
        let computed = pressure(ka, x, z);
        let row = |part: &str, computed, expected| Row {
            quantity: format!("{part} p/(ρcu), ka = {ka}, x/a = {x}, z/a = {z}"),
            computed,
            expected,
            tolerance: Tolerance::Absolute(1e-8),
        };
        [row("Re", computed.re, re), row("Im", computed.im, im)]
    };
    OFF_AXIS.iter().flat_map(rows).collect()
}
