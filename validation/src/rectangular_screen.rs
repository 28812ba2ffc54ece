//! A square piston in the middle of a thin rigid plate, both faces radiating.

use crate::baffled::air;
use crate::screens::{Moving, covered};
use crate::{Problem, Row, Tolerance};
use panelwright_mesh::Outline;
use panelwright_solver::radiation::Arc;
use panelwright_solver::radiation::screen::ScreenGrid;
use std::f64::consts::TAU;

/// Far field of the plate, relative to the same piston in an infinite baffle on its axis.
pub fn problem() -> Problem {
    Problem {
        name: "rectangular open baffle",
        source: "Problem class of L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers (2012) § 13.11. Expected values \
                 computed with the boundary element library bempp-cl (hypersingular operator, linear elements; 704 and 1836 triangles \
                 differ by 0.094 dB where the level is above −15 dB, and twice that is the tolerance). Here on 192 × 128 cells.",
        rows: || WAVENUMBERS.iter().zip(&LEVELS).flat_map(rows).collect(),
    }
}

const SIDES: [f64; 2] = [0.36, 0.24];
const PISTON: f64 = 0.06;
const WAVENUMBERS: [f64; 6] = [5.0, 10.0, 15.0, 20.0, 30.0, 40.0];

/// dB on the axis and at 30° and 60° in the xz and the yz plane.
const LEVELS: [[f64; 5]; 6] = [
    [-5.012362159, -6.379919772, -11.3873033, -6.327765282, -11.23120803],
    [3.97089196, 2.159522592, -3.739248672, 2.425771504, -2.94247379],
    [7.484539794, 4.834521651, -2.591837935, 5.508528497, -0.7465206551],
    [6.76968287, 3.250631695, -3.32325298, 4.133589371, -3.408507033],
    [1.195861864, 5.32688379, 1.115363782, -2.785470921, -5.021596351],
    [-7.148508568, 3.415897035, -0.537326411, 1.878500808, -0.6457003783],
];

fn rows((&k, levels): (&f64, &[f64; 5])) -> Vec<Row> {
    let [width, height] = SIDES;
    let grid = ScreenGrid::new(&Outline::Rectangle { width, height }, width / 192.0);
    let on_piston =
        |[x, y]: [f64; 2]| (x - 0.5 * width).abs() < 0.5 * PISTON && (y - 0.5 * height).abs() < 0.5 * PISTON;
    let plate = Moving::new(&grid, k, &covered(&grid, on_piston), [0.5 * width, 0.5 * height]);
    let along = plate.far(Arc::Horizontal, &[0.0, 30.0, 60.0]);
    let across = plate.far(Arc::Vertical, &[30.0, 60.0]);
    let baffled = air().impedance() * k * PISTON * PISTON / TAU;
    let row = |((amplitude, &expected), direction): ((_, &f64), &str)| {
        let amplitude: num_complex::Complex64 = amplitude;
        Row {
            quantity: format!("dB, k = {k}/m, {direction}"),
            computed: 20.0 * (amplitude.norm() / baffled).log10(),
            expected,
            tolerance: Tolerance::Absolute(0.1877),
        }
    };
    let directions = ["on the axis", "30° x", "60° x", "30° y", "60° y"];
    along.into_iter().chain(across).zip(levels).zip(directions).map(row).collect()
}
