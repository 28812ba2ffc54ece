//! Far field of a circular piston: pattern, resistance, directivity index.

use crate::baffled::{air, disc, frequency};
use crate::{Problem, Row, Tolerance};
use panelwright_mesh::Axis;
use panelwright_solver::radiation::far_field_of_sources;
use std::f64::consts::{PI, TAU};

/// Pattern of a rigid circular piston, radiation resistance from the power over the hemisphere, directivity index.
pub fn problem() -> Problem {
    Problem {
        name: "circular piston, far field",
        source: "A. D. Pierce, Acoustics (1981/1989) § 5-3; L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers \
                 (2012) ch. 13; P. M. Morse & K. U. Ingard, Theoretical Acoustics (1968) § 7.4. Closed forms 2 J₁(x)/x, \
                 1 − 2 J₁(2ka)/(2ka) and (ka)²/(1 − J₁(2ka)/ka), evaluated with 30 digits.",
        rows: || pattern().into_iter().chain(resistance()).chain(index()).collect(),
    }
}

/// `ka` and the level [dB] re the axis at 15°, 30° … 90°.
const PATTERN: [(f64, [f64; 6]); 5] = [
    (1.0, [-0.07283231953, -0.2728626831, -0.5486438157, -0.8274387762, -1.033499333, -1.109348018]),
    (2.0, [-0.2925645244, -1.109348018, -2.27033641, -3.490796334, -4.427552752, -4.780627341]),
    (3.0, [-0.6630093136, -2.56952967, -5.455408029, -8.805524813, -11.71201957, -12.91632071]),
    (5.0, [-1.886535563, -8.009428046, -23.18762522, -21.53381118, -18.01052966, -17.65247547]),
    (10.0, [-8.722302686, -17.65247547, -46.5790157, -24.06287513, -31.66490795, -41.21505858]),
];

/// `(ka, R/(ρcπa²))`.
const RESISTANCE: [(f64, f64); 8] = [
    (0.05, 0.001249479275),
    (0.1, 0.004991673608),
    (0.2, 0.01986711022),
    (0.5, 0.1198988285),
    (1.0, 0.4232751922),
    (2.0, 1.033021664),
    (5.0, 0.9913054508),
    (10.0, 0.9933166876),
];

/// `(ka, directivity index [dB])`, reference 4π: 3.01 dB at low frequencies.
const INDEX: [(f64, f64); 5] =
    [(1.0, 3.733771844), (2.0, 5.879505619), (3.0, 9.159292225), (5.0, 14.01732514), (10.0, 20.02912268)];

/// `|A|` at the sines of the angles from the axis.
fn amplitudes(ka: f64, sines: &[f64]) -> Vec<f64> {
    let directions: Vec<[f64; 2]> = sines.iter().map(|&sine| [sine, 0.0]).collect();
    far_field_of_sources(&disc(0.0, 40, 120), frequency(ka), &directions, [0.0; 2], &air())
        .iter()
        .map(|amplitude| amplitude.norm())
        .collect()
}

/// Power over the hemisphere [W]: the pattern is a body of revolution.
fn power(ka: f64) -> f64 {
    let polar = Axis::gauss(1.0, crate::baffled::count(40));
    let sines: Vec<f64> = polar.nodes.iter().map(|cosine| (1.0 - cosine * cosine).sqrt()).collect();
    let rings = amplitudes(ka, &sines).into_iter().zip(&polar.weights).map(|(a, w)| a * a * w);
    TAU * rings.sum::<f64>() / air().impedance()
}

fn pattern() -> Vec<Row> {
    let rows = |&(ka, levels): &(f64, [f64; 6])| {
        let angle = |i: usize| 15.0 * (i + 1) as f64;
        let sines: Vec<f64> = (0..6).map(|i| angle(i).to_radians().sin()).collect();
        let (axis, towards) = (amplitudes(ka, &[0.0])[0], amplitudes(ka, &sines));
        let row = |i: usize| Row {
            quantity: format!("pattern [dB], ka = {ka}, {}°", angle(i)),
            computed: 20.0 * (towards[i] / axis).log10(),
            expected: levels[i],
            tolerance: Tolerance::Absolute(1e-6),
        };
        (0..6).map(row).collect::<Vec<_>>()
    };
    PATTERN.iter().flat_map(rows).collect()
}

fn resistance() -> Vec<Row> {
    let row = |&(ka, expected): &(f64, f64)| Row {
        quantity: format!("R/(ρcπa²) from power, ka = {ka}"),
        computed: power(ka) / (air().impedance() * PI),
        expected,
        tolerance: Tolerance::Relative(1e-8),
    };
    RESISTANCE.iter().map(row).collect()
}

fn index() -> Vec<Row> {
    let row = |&(ka, expected): &(f64, f64)| Row {
        quantity: format!("directivity index [dB], ka = {ka}"),
        computed: 10.0
            * (4.0 * PI * amplitudes(ka, &[0.0])[0].powi(2) / air().impedance() / power(ka)).log10(),
        expected,
        tolerance: Tolerance::Absolute(1e-6),
    };
    INDEX.iter().map(row).collect()
}
