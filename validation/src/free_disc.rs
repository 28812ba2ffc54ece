//! A rigid disc that oscillates along its axis in free space.

use crate::baffled::air;
use crate::screens::{Moving, disc};
use crate::{Problem, Row, Tolerance};
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_solver::radiation::Arc;
use panelwright_solver::radiation::screen::ScreenGrid;
use std::f64::consts::PI;

const SOURCE: &str = "L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers (2012) ch. 12-13 (oscillating disk in free space); \
                 T. Mellow & L. Kärkkäinen, J. Acoust. Soc. Am. 118 (2005) 1311; C. J. Bouwkamp, Rep. Prog. Phys. 17 (1954) 35; \
                 A. Leitner, J. Acoust. Soc. Am. 21 (1949) 331. Recomputed by a spectral Galerkin method, which agrees with itself and \
                 with its power balance to 1e-7. The disc is laid on 120 cells per diameter.";

/// Impedance, far field and pressure on the axis.
pub fn problems() -> [Problem; 3] {
    [
        Problem { name: "free disc, impedance", source: SOURCE, rows: || all(&disc(CELLS), impedance) },
        Problem { name: "free disc, far field", source: SOURCE, rows: || all(&disc(CELLS), far_field) },
        Problem { name: "free disc, on its axis", source: SOURCE, rows: || all(&disc(CELLS), near_field) },
    ]
}

/// Cells per diameter.
const CELLS: f64 = 120.0;

const KA: [f64; 8] = [0.1, 0.2, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0];

/// R and X over ρcπa².
const IMPEDANCE: [[f64; 2]; 8] = [
    [6.023462277e-06, 0.08505256293],
    [9.730496215e-05, 0.1711285248],
    [0.004064733366, 0.4461091395],
    [0.08212257293, 1.02913667],
    [1.843539083, 2.002056112],
    [2.28357181, 0.4522650432],
    [1.915250991, 0.6211567598],
    [1.974298706, 0.1378446817],
];

/// `|p| r/(ρcva)` at [`ANGLES`].
const FAR: [[f64; 6]; 8] = [
    [0.002126314079, 0.002053724117, 0.001840981733, 0.001502779544, 0.001062359961, 0.000549817334],
    [0.008556427623, 0.008262660915, 0.007402679086, 0.006038220648, 0.004265397821, 0.00220631572],
    [0.05576595713, 0.05377584561, 0.04799430579, 0.03894297896, 0.02736493328, 0.01410023999],
    [0.2581020151, 0.2476590788, 0.2180432156, 0.173636422, 0.1197267834, 0.06083621576],
    [1.360777813, 1.281294912, 1.070436722, 0.791799226, 0.5057696604, 0.2425504003],
    [1.745945212, 1.598779255, 1.23441277, 0.8139965482, 0.4589838413, 0.1994125963],
    [2.516825282, 1.968576672, 0.9317132296, 0.4046112325, 0.333504534, 0.1869529845],
    [4.94776246, 1.832435075, 0.6385602304, 0.1009710821, 0.3126242965, 0.1579366574],
];
const ANGLES: [f64; 6] = [0.0, 15.0, 30.0, 45.0, 60.0, 75.0];

/// `|p|/(ρcv)` on the axis at [`HEIGHTS`].
const NEAR: [[f64; 3]; 8] = [
    [0.0285500689, 0.0137805781, 0.00473826579],
    [0.0578809487, 0.0282705059, 0.0101157377],
    [0.158630395, 0.0829332255, 0.0352055736],
    [0.424586255, 0.253722041, 0.130482356],
    [1.58688497, 1.10118327, 0.638514704],
    [1.89767143, 1.38552051, 0.821680736],
    [2.55003286, 2.093727, 1.27493383],
    [0.317024395, 1.96907035, 1.97547914],
];
const HEIGHTS: [f64; 3] = [0.5, 1.0, 2.0];

fn all(grid: &ScreenGrid, rows: fn(usize, &Moving) -> Vec<Row>) -> Vec<Row> {
    let even = Array2::from_elem(grid.lattice.shape(), Complex64::ONE);
    let at = |(index, &ka): (usize, &f64)| rows(index, &Moving::new(grid, ka, &even, [1.0, 1.0]));
    KA.iter().enumerate().flat_map(at).collect()
}

fn impedance(index: usize, disc: &Moving) -> Vec<Row> {
    let unit = air().impedance() * PI;
    let [r, x] = IMPEDANCE[index];
    let row = |part: &str, computed, expected, tolerance| Row {
        quantity: format!("{part}/(ρcπa²), ka = {}", KA[index]),
        computed,
        expected,
        tolerance: Tolerance::Relative(tolerance),
    };
    vec![row("R from the far field", disc.power() / unit, r, 5e-3), row("X", disc.force.im / unit, x, 5e-3)]
}

fn far_field(index: usize, disc: &Moving) -> Vec<Row> {
    let strongest = FAR[index][0];
    let found = disc.far(Arc::Horizontal, &ANGLES);
    let row = |((amplitude, &expected), angle): ((Complex64, &f64), &f64)| Row {
        quantity: format!("|p| r/(ρcva), ka = {}, {angle}°", KA[index]),
        computed: amplitude.norm() / air().impedance(),
        expected,
        // Of the axis: minima have no accuracy of their own.
        tolerance: Tolerance::Absolute(0.01 * strongest),
    };
    found.into_iter().zip(&FAR[index]).zip(&ANGLES).map(row).collect()
}

fn near_field(index: usize, disc: &Moving) -> Vec<Row> {
    let row = |(&z, &expected): (&f64, &f64)| Row {
        quantity: format!("|p|/(ρcv) at z = {z} a, ka = {}", KA[index]),
        computed: disc.on_axis(z).norm() / air().impedance(),
        expected,
        tolerance: Tolerance::Relative(0.01),
    };
    HEIGHTS.iter().zip(&NEAR[index]).map(row).collect()
}
