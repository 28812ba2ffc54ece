//! Thin bodies that move to and fro along their axis, by boundary elements.

use crate::baffled::air;
use crate::bodies::{THICKNESSES, THINNER, direction, disc, sound, thin, turned};
use crate::{Problem, Row, Tolerance};
use num_complex::Complex64;
use panelwright_mesh::Piece;
use panelwright_mesh::shapes::{Lathe, RIGID, Section};
use panelwright_solver::boundary::{Body, Drive, SurfaceField};
use std::f64::consts::{FRAC_PI_2, PI};

/// Added mass of spheroids; impedance and far field of a disc.
pub fn problems() -> [Problem; 2] {
    [
        Problem {
            name: "oblate spheroid, added mass",
            source: "H. Lamb, Hydrodynamics (1932) art. 114: M = α₀/(2 − α₀) · 4πρa²c/3, α₀ = 2/e² · [1 − √(1 − e²) asin(e)/e], \
                     e² = 1 − c²/a². Closed form; at ka = 0.02.",
            rows: || [0.7, 0.5, 0.3].map(spheroid).into(),
        },
        Problem {
            name: "free disc, thin body",
            source: "H. Lamb, Hydrodynamics (1932) art. 102, 108: added mass 8/3 ρa³; L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields \
                     and Transducers (2012) ch. 12-13. Recomputed by a spectral Galerkin method, which agrees with itself to 1e-7. The \
                     published disc has no thickness: values are extrapolated from thicknesses of 8, 4 and 2 % of the radius, as t ln t and t; at ka = 10 from half of them.",
            rows: flat,
        },
    ]
}

fn spheroid(half_axis: f64) -> Row {
    let curve =
        Piece::Arc { centre: [0.0; 2], radii: [1.0, half_axis], tilt: 0.0, start: -FRAC_PI_2, sweep: PI };
    let body = turned(&Lathe::new(vec![Section { curve, patch: RIGID }]).expect("a spheroid"), 0.12);
    let e = (1.0 - half_axis * half_axis).sqrt();
    let alpha = 2.0 / (e * e) * (1.0 - half_axis * e.asin() / e);
    Row {
        quantity: format!("M/(ρa³), c = {half_axis} a"),
        computed: force(&swaying(&body, 0.02)).im / 0.02,
        expected: alpha / (2.0 - alpha) * 4.0 * PI * half_axis / 3.0,
        tolerance: Tolerance::Relative(1e-3),
    }
}

/// The thickest body is 0.4 radians thick: ka, R and X over ρcπa², and `|p| r/(ρcva)` at 0°, 30°, 60°.
const DISC: [(f64, [f64; 2], [f64; 3]); 6] = [
    (0.1, [6.023462277e-06, 0.08505256293], [0.002126314079, 0.001840981733, 0.001062359961]),
    (1.0, [0.08212257293, 1.02913667], [0.2581020151, 0.2180432156, 0.1197267834]),
    (2.0, [1.843539083, 2.002056112], [1.360777813, 1.070436722, 0.5057696604]),
    (3.0, [2.28357181, 0.4522650432], [1.745945212, 1.23441277, 0.4589838413]),
    (5.0, [1.915250991, 0.6211567598], [2.516825282, 0.9317132296, 0.333504534]),
    (10.0, [1.974298706, 0.1378446817], [4.94776246, 0.6385602304, 0.3126242965]),
];

const ANGLES: [f64; 3] = [0.0, 30.0, 60.0];

fn flat() -> Vec<Row> {
    let [bodies, thinner] =
        [THICKNESSES, THINNER].map(|three| three.map(|thickness| turned(&disc(1.0, thickness), 0.15)));
    let mass = Row {
        quantity: "added mass M/(ρa³)".into(),
        computed: thin([0, 1, 2].map(|i| force(&swaying(&bodies[i], 0.02)))).im / 0.02,
        expected: 8.0 / 3.0,
        tolerance: Tolerance::Relative(0.01),
    };
    let suited = |ka: f64| if ka <= 5.0 { &bodies } else { &thinner };
    let sounding = DISC.iter().flat_map(|(ka, impedance, far)| sounding(suited(*ka), *ka, *impedance, far));
    [mass].into_iter().chain(sounding).collect()
}

fn sounding(bodies: &[Body; 3], ka: f64, [resistance, reactance]: [f64; 2], far: &[f64; 3]) -> Vec<Row> {
    let fields = [0, 1, 2].map(|i| swaying(&bodies[i], ka));
    let impedance = thin([0, 1, 2].map(|i| force(&fields[i]))) / PI;
    let found = [0, 1, 2].map(|i| fields[i].far(&ANGLES.map(direction)));
    // Of the whole: small parts have no accuracy of their own.
    let row = |quantity: String, computed, expected, whole: f64| Row {
        quantity: format!("{quantity}, ka = {ka}"),
        computed,
        expected,
        tolerance: Tolerance::Absolute(0.01 * whole),
    };
    let size = resistance.hypot(reactance);
    let mut rows = vec![
        row("R/(ρcπa²)".into(), impedance.re, resistance, size),
        row("X/(ρcπa²)".into(), impedance.im, reactance, size),
    ];
    rows.extend((0..3).map(|i| {
        let amplitude = thin([0, 1, 2].map(|body| found[body][i])).norm() / air().impedance();
        row(format!("|p| r/(ρcva), {}°", ANGLES[i]), amplitude, far[i], far[0])
    }));
    rows
}

/// The sound of the whole body moving along z with 1 m/s.
fn swaying(body: &Body, k: f64) -> SurfaceField<'_> {
    sound(body, k, Drive::moving(body, |_, _, normal| normal.z.into()))
}

/// Force on the air over ρc [m³/s]; a quarter of the body is given.
fn force(field: &SurfaceField) -> Complex64 {
    4.0 * field.integrated(|_, _, normal| normal.z) / air().impedance()
}
