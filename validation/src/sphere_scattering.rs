//! A plane wave on a rigid sphere, also at the resonances of its inside, where one integral equation alone fails.

use crate::bodies::{direction, error, scattered, sphere, turned};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::boundary::Body;
use std::f64::consts::PI;

const SOURCE: &str = "P. M. Morse & K. U. Ingard, Theoretical Acoustics (1968) sec. 8.2; J. J. Bowman, T. B. A. Senior & P. L. E. Uslenghi, \
                      Electromagnetic and Acoustic Scattering by Simple Shapes (1969) ch. 10; resonances of the inside: M. Abramowitz & \
                      I. Stegun, Handbook of Mathematical Functions, tables 10.6 and 10.7. Recomputed from the series with 25 digits.";

/// Far field, and the error of the pressure on the surface across the resonances.
pub fn problems() -> [Problem; 2] {
    [
        Problem { name: "rigid sphere, scattered far field", source: SOURCE, rows: || far_field(&body()) },
        Problem {
            name: "rigid sphere, resonances of the inside",
            source: SOURCE,
            rows: || resonances(&body()),
        },
    ]
}

/// ka and `|p_s| r/(a p_inc)` at 0°, 45° … 180° from the way the wave travels.
const FAR: [(f64, [f64; 5]); 7] = [
    (0.5, [0.04691715637, 0.01053481006, 0.07489128441, 0.1527440437, 0.1831317534]),
    (1.0, [0.1924559633, 0.07686561795, 0.2427422509, 0.4184458802, 0.4690611538]),
    (2.0, [0.548063502, 0.3467932032, 0.5311954269, 0.3575639911, 0.3808732158]),
    (PI, [1.012232641, 0.6593505365, 0.3070149013, 0.4781531325, 0.3950064271]),
    (4.493409457909064, [1.593494332, 0.6424308917, 0.4996710931, 0.5049086993, 0.4613830996]),
    (5.0, [1.81834379, 0.4947266053, 0.3863216616, 0.4403741358, 0.5199047675]),
    (10.0, [4.108485369, 0.2126134576, 0.4859624178, 0.4964777917, 0.4892892086]),
];

/// Resonances of the inside (zeros of j_n and of its derivative), each between two neighbours that are none.
const RESONANCES: [(f64, [f64; 2]); 5] = [
    (2.081575978, [1.9, 2.3]),
    (PI, [3.0, 3.25]),
    (3.342093657, [3.25, 3.45]),
    (4.493409458, [4.3, 4.7]),
    (5.763459197, [5.7, 5.85]),
];

/// Four elements to the wavelength at ka = 10.
fn body() -> Body {
    turned(&sphere(0.0), 0.16)
}

fn far_field(body: &Body) -> Vec<Row> {
    let rows = |&(ka, far): &(f64, [f64; 5])| {
        let angles = [0.0, 45.0, 90.0, 135.0, 180.0];
        let found = scattered(body, ka, true).far(&angles.map(direction));
        let largest = far.iter().copied().fold(0.0, f64::max);
        (0..5).map(move |i| Row {
            quantity: format!("|p_s| r/(a p_inc), ka = {ka:.4}, {}°", angles[i]),
            computed: found[i].norm(),
            expected: far[i],
            tolerance: Tolerance::Absolute(1e-3 * largest.max(0.1)),
        })
    };
    FAR.iter().flat_map(rows).collect()
}

fn resonances(body: &Body) -> Vec<Row> {
    let rows = |&(ka, beside): &(f64, [f64; 2])| {
        let [error, below, above] =
            [ka, beside[0], beside[1]].map(|ka| error(body, &scattered(body, ka, true), ka));
        let row = |quantity, computed, expected, tolerance| Row { quantity, computed, expected, tolerance };
        [
            row(format!("error of the pressure, ka = {ka:.4}"), error, 0.0, Tolerance::Absolute(5e-3)),
            row(
                format!("error over that at ka = {} and {}", beside[0], beside[1]),
                error / (below * above).sqrt(),
                1.0,
                Tolerance::Absolute(0.05),
            ),
        ]
    };
    RESONANCES.iter().flat_map(rows).collect()
}
