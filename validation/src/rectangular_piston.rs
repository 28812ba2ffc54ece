//! Radiation impedance of a rectangular piston.

use crate::baffled::{air, cells, gauss, moving};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::radiation::{radiated_power, surface_pressure};

/// `Z/(ρcab)` of a rigid rectangle in a baffle: resistance from the radiated power, reactance from the pressure on its face.
pub fn problem() -> Problem {
    Problem {
        name: "rectangular piston, impedance",
        source: "P. M. Morse & K. U. Ingard, Theoretical Acoustics (1968) § 7.4; G. W. Swenson & W. E. Johnson, J. Acoust. Soc. Am. \
                 24 (1952) 84; T. Mellow & L. Kärkkäinen, J. Acoust. Soc. Am. 140 (2016). Recomputed by the autocorrelation integral \
                 in polar coordinates; the resistance also from the far field, to 2e-15. The reactance here is summed over cells and \
                 converges with the cell size; 0.5 % is what 96 cells per side give.",
        rows: || RATIOS.iter().flat_map(|(ratio, values)| rows(*ratio, values)).collect(),
    }
}

const KA: [f64; 7] = [0.1, 0.3, 1.0, 2.0, 3.0, 5.0, 10.0];

/// `b/a` and, for each of [`KA`], `[R, X]`.
const RATIOS: [(f64, [[f64; 2]; 7]); 3] = [
    (
        1.0,
        [
            [0.001590665487, 0.04727862427],
            [0.0142525075, 0.1408438853],
            [0.1505592143, 0.4332708258],
            [0.5101172245, 0.6613307813],
            [0.8730617347, 0.6199536721],
            [1.076973291, 0.2104150071],
            [1.031539494, 0.1502609485],
        ],
    ),
    (
        2.0,
        [
            [0.003178681485, 0.06489222856],
            [0.02829240007, 0.1916346039],
            [0.2775138144, 0.5346668648],
            [0.7539931112, 0.609968824],
            [0.9890078664, 0.4183057377],
            [1.042181721, 0.1640211899],
            [1.010556096, 0.1040060646],
        ],
    ),
    (
        5.0,
        [
            [0.007900559586, 0.09058662352],
            [0.06716701956, 0.2560535787],
            [0.4325959096, 0.5130453869],
            [0.8064759674, 0.5338172419],
            [1.017391411, 0.3826150407],
            [1.039568348, 0.1033105823],
            [1.02137252, 0.08357330759],
        ],
    ),
];

fn rows(ratio: f64, values: &[[f64; 2]; 7]) -> Vec<Row> {
    let (nodes, face) = (gauss(1.0, ratio, [24, 48]), cells(1.0, ratio, [96, (96.0 * ratio) as usize]));
    let rows = |(&ka, [resistance, reactance]): (&f64, &[f64; 2])| {
        let unit = air().impedance() * ratio;
        let pressure = surface_pressure(&moving(&face, ka, |_| 1.0), &air());
        let row = |part: &str, computed, expected, tolerance| Row {
            quantity: format!("{part}/(ρcab), b/a = {ratio}, ka = {ka}"),
            computed,
            expected,
            tolerance,
        };
        let computed = radiated_power(&moving(&nodes, ka, |_| 1.0), &air()) / unit;
        let mean_pressure = pressure.sum() / pressure.len() as f64;
        [
            row("R", computed, *resistance, Tolerance::Relative(1e-8)),
            row("X", mean_pressure.im / air().impedance(), *reactance, Tolerance::Relative(5e-3)),
        ]
    };
    KA.iter().zip(values).flat_map(rows).collect()
}
