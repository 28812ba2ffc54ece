//! A piston in the front of a thin rigid disc, by boundary elements.

use crate::baffled::air;
use crate::bodies::{THICKNESSES, THINNER, direction, disc, level, of_diaphragm, thin, turned};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::boundary::Body;

/// Far field before and behind the disc.
pub fn problem() -> Problem {
    Problem {
        name: "piston in a circular baffle",
        source: "L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers (2012) ch. 13; T. Mellow & L. Kärkkäinen, \
                 J. Acoust. Soc. Am. 118 (2005) 1311: half the sum of an infinite baffle's piston and one that moves with both sides. \
                 Recomputed by a spectral Galerkin method, which agrees with itself to 1e-9. The published disc has no thickness: the pressure is \
                 extrapolated from thicknesses of 8, 4 and 2 % of the radius, as t ln t and t; above kb = 8 from half of them.",
        rows,
    }
}

/// Piston's over disc's radius, kb, and the level [dB] re the infinite baffle's axis at [`ANGLES`] from the axis, before and behind.
const LEVELS: [(f64, f64, [[f64; 6]; 2]); 13] = [
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
        3.0,
        [
            [4.153563789, 3.634308347, 2.196256424, 0.153057332, -2.127513841, -4.395984176],
            [-4.235954437, -5.56686408, -9.900739091, -16.82218236, -13.36226805, -9.24452624],
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
        0.25,
        10.0,
        [
            [1.87324264, -0.6170393039, -2.338571199, -2.507160387, -5.546041921, -9.946292373],
            [-11.73841388, -30.31115374, -25.49270721, -20.23300071, -24.8099662, -17.57203537],
        ],
    ),
    (
        0.25,
        15.0,
        [
            [-0.04068266007, -1.022492259, -4.178151361, -9.203273058, -16.59263579, -27.19945775],
            [-32.89654493, -40.64141507, -43.8044271, -44.37877315, -43.67273863, -47.52686873],
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
    let of = |(piston, thicknesses): (f64, [f64; 3])| {
        let bodies = thicknesses.map(|thickness| turned(&disc(piston, thickness), 0.15));
        let own = LEVELS.iter().filter(move |(of, kb, _)| *of == piston && suited(*kb) == thicknesses);
        own.flat_map(move |(_, kb, levels)| compared(&bodies, piston, *kb, levels)).collect::<Vec<_>>()
    };
    [(0.25, THICKNESSES), (0.25, THINNER), (0.5, THICKNESSES)].into_iter().flat_map(of).collect()
}

/// Thicknesses that are thin against the wavelength.
fn suited(kb: f64) -> [f64; 3] {
    if kb <= 8.0 { THICKNESSES } else { THINNER }
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
