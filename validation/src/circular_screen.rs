//! A round piston in the middle of a thin rigid disc, both faces radiating.

use crate::baffled::air;
use crate::screens::{Moving, covered, disc, inside_disc};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::radiation::Arc;

/// Far field of the disc, relative to the same piston in an infinite baffle on its axis.
pub fn problem() -> Problem {
    Problem {
        name: "circular open baffle",
        source: "L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers (2012) ch. 12-13 (oscillating disk in a finite baffle); \
                 T. Mellow & L. Kärkkäinen, J. Acoust. Soc. Am. 118 (2005) 1311; C. J. Bouwkamp, Rep. Prog. Phys. 17 (1954) 35; \
                 A. Leitner, J. Acoust. Soc. Am. 21 (1949) 331. Recomputed by a spectral Galerkin method, which agrees with itself and \
                 with its power balance to 1e-7. The disc is \
                 laid on 120 cells per diameter, those on the piston's rim moving by the share they have in it.",
        rows: || KB.iter().zip(&LEVELS).flat_map(rows).collect(),
    }
}

/// Piston over disc radius.
const PISTON: f64 = 0.25;
const KB: [f64; 9] = [0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 15.0];
const ANGLES: [f64; 6] = [0.0, 15.0, 30.0, 45.0, 60.0, 75.0];

/// `|p|/p_ref` at [`ANGLES`].
const LEVELS: [[f64; 6]; 9] = [
    [0.3310575114, 0.319452131, 0.2856186658, 0.2323236222, 0.1636555335, 0.08447937258],
    [0.7797033961, 0.7498557629, 0.6643298133, 0.5336488098, 0.3712375428, 0.189882567],
    [2.238111449, 2.118156388, 1.795646963, 1.357460102, 0.8882328116, 0.4342678346],
    [2.226813411, 2.045121331, 1.598619152, 1.087014867, 0.6469649052, 0.2984552629],
    [2.008975183, 1.759281777, 1.249475538, 0.8487407657, 0.5779263773, 0.3025108435],
    [0.2495462832, 0.5561497647, 1.255568921, 1.292207009, 0.8522340703, 0.3865294097],
    [1.337747471, 0.9141232609, 0.984949752, 0.9105090112, 0.7532466447, 0.4015831434],
    [1.487492155, 0.9149757502, 0.7109401933, 0.8426549742, 0.5441137534, 0.2326814479],
    [0.9911503211, 0.8912025542, 0.6159489089, 0.3493013951, 0.1472630647, 0.0397819907],
];

fn rows((&kb, levels): (&f64, &[f64; 6])) -> Vec<Row> {
    let grid = disc(120.0);
    let on_piston = |point: [f64; 2]| 1.0 - inside_disc(point) < PISTON;
    let found = Moving::new(&grid, kb, &covered(&grid, on_piston), [1.0, 1.0]).far(Arc::Horizontal, &ANGLES);
    let reference = 0.5 * air().impedance() * kb * PISTON * PISTON;
    let strongest = levels.iter().copied().fold(0.0, f64::max);
    let row = |((amplitude, &expected), angle): ((num_complex::Complex64, &f64), &f64)| Row {
        quantity: format!("|p|/p_ref, kb = {kb}, {angle}°"),
        computed: amplitude.norm() / reference,
        expected,
        tolerance: Tolerance::Absolute(0.01 * strongest),
    };
    found.into_iter().zip(levels).zip(&ANGLES).map(row).collect()
}
