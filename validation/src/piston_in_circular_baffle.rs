//! A piston in the front of a thin rigid disc, by boundary elements.

use crate::baffled::air;
use crate::bodies::{THICKNESSES, direction, disc, level, of_diaphragm, thin, turned};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::boundary::Body;

/// Far field before and behind the disc.
pub fn problem() -> Problem {
    Problem {
        name: "piston in a circular baffle",
        source: "L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers (2012) ch. 13; T. Mellow & L. Kärkkäinen, \
                 J. Acoust. Soc. Am. 118 (2005) 1311: half the sum of an infinite baffle's piston and one that moves with both sides. \
                 Recomputed by a spectral Galerkin method, which agrees with itself to 1e-9. The published disc has no thickness: the pressure is \
                 extrapolated from thicknesses of 8, 4 and 2 % of the radius, as t ln t and t.",
        rows,
    }
}

/// Piston's over disc's radius, kb, and the level [dB] re the infinite baffle's axis at [`ANGLES`] from the axis, before and behind. Up to kb = 8: at kb = 15
/// half of these thicknesses is needed to come within 0.1 dB, and their near field takes three times as long.
const LEVELS: [(f64, f64, [[f64; 6]; 2]); 10] = [
    (
        0.25,
        0.5,
        [
            [-5.545299788, -5.576663308, -5.663055367, -5.782941341, -5.905637278, -5.998825761],
            [-5.592707688, -5.622697562, -5.704931212, -5.81782608, -5.930812787, -6.012056398],
        ],
    ),
    (
        0.25,
        1.0,
        [
            [-3.630984938, -3.762840974, -4.135686727, -4.681176478, -5.286502784, -5.804575353],
            [-4.311460103, -4.434958091, -4.7774399, -5.255200608, -5.734264892, -6.054908552],
        ],
    ),
    (
        0.25,
        2.0,
        [
            [3.584509825, 3.230887149, 2.207093781, 0.6126132014, -1.423423374, -3.778781898],
            [-1.415469257, -1.958637677, -3.54467415, -5.944267482, -8.211531493, -8.329029564],
        ],
    ),
    (
        0.25,
        4.0,
        [
            [3.413809967, 2.68720161, 0.9007217499, -1.166961401, -3.220906663, -5.302110127],
            [-4.904464662, -7.384677979, -17.06121479, -14.38039621, -9.832568308, -8.389579491],
        ],
    ),
    (
        0.25,
        6.0,
        [
            [-5.725843017, -2.409617376, 0.7758954313, 0.6334897467, -1.760220671, -5.0635704],
            [-5.790874552, -12.08047977, -15.80182241, -12.78393736, -17.19169861, -12.87860011],
        ],
    ),
    (
        0.25,
        8.0,
        [
            [0.7785143353, -0.5653492612, -0.7844997915, -1.521031278, -3.328180081, -6.679038107],
            [-7.023424714, -21.36860026, -14.24646352, -21.91973015, -13.68597929, -13.35406627],
        ],
    ),
    (
        0.5,
        1.0,
        [
            [-3.818573879, -3.952608138, -4.331124195, -4.883429342, -5.493718126, -6.012699785],
            [-4.486325156, -4.611408703, -4.958184564, -5.441833217, -5.927291637, -6.254247791],
        ],
    ),
    (
        0.5,
        2.0,
        [
            [3.088208329, 2.720690376, 1.655540409, -0.005207100445, -2.124053843, -4.561633779],
            [-2.193202594, -2.73532708, -4.316043522, -6.703784053, -8.976400514, -9.151155772],
        ],
    ),
    (
        0.5,
        4.0,
        [
            [2.464048843, 1.725856151, -0.2549580746, -2.930762964, -5.809585988, -8.564583491],
            [-8.606214105, -11.08269142, -20.8114429, -18.47397078, -13.80147081, -12.26482852],
        ],
    ),
    (
        0.5,
        8.0,
        [
            [-0.3191957833, -1.22292349, -4.565938425, -11.26755135, -22.02174488, -35.65765024],
            [-25.47881197, -40.40636338, -32.86396844, -40.27215789, -32.89781349, -34.98346172],
        ],
    ),
];

const ANGLES: [f64; 6] = [0.0, 15.0, 30.0, 45.0, 60.0, 75.0];

/// Levels above this are compared [dB]: minima have no accuracy of their own.
const FLOOR: f64 = -20.0;

fn rows() -> Vec<Row> {
    let discs = |piston: f64| THICKNESSES.map(|thickness| turned(&disc(piston, thickness), 0.15));
    let (quarter, half) = (discs(0.25), discs(0.5));
    let of = |&(piston, kb, levels): &(f64, f64, [[f64; 6]; 2])| {
        let bodies = if piston == 0.25 { &quarter } else { &half };
        compared(bodies, piston, kb, &levels)
    };
    LEVELS.iter().flat_map(of).collect()
}

fn compared(bodies: &[Body; 3], piston: f64, kb: f64, levels: &[[f64; 6]; 2]) -> Vec<Row> {
    let towards: Vec<_> = [0.0, 180.0]
        .into_iter()
        .flat_map(|from| ANGLES.map(|angle| direction((angle - from).abs())))
        .collect();
    let reference = 0.5 * kb * piston * piston * air().impedance();
    let far = [0, 1, 2].map(|i| of_diaphragm(&bodies[i], kb).far(&towards));
    let flat = |i: usize| level(thin([far[0][i], far[1][i], far[2][i]]).norm() / reference);
    let row = |(i, &expected): (usize, &f64)| Row {
        quantity: format!(
            "level [dB], a = {piston} b, kb = {kb}, {}° {}",
            ANGLES[i % 6],
            ["front", "back"][i / 6]
        ),
        computed: flat(i),
        expected,
        tolerance: Tolerance::Absolute(0.2),
    };
    levels.iter().flatten().enumerate().filter(|(_, level)| **level > FLOOR).map(row).collect()
}
