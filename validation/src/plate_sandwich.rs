//! A simply supported sandwich: aluminium faces on honeycomb that is stiffer along one axis than along the other.

use crate::plates::elastic_eigenvalues_by;
use crate::{Problem, Row, Tolerance};
use panelwright_mesh::Outline;
use panelwright_solver::plate::PlateModel;
use panelwright_solver::scene::{Back, EdgeCondition, Edges, LossCurve, Panel, PlateSection};
use std::f64::consts::TAU;

/// The problem of this file.
pub(crate) const PROBLEM: Problem = Problem {
    name: "simply supported honeycomb sandwich",
    source: "M. E. Raville & C. E. S. Ueng, Exp. Mech. 7 (1967) 490–493: plate, analysis and test (23, 44, 71, 80, 91, 126, 129, 146, 165, \
             174 Hz, from memory). Recomputed in closed form: Navier's series of the orthotropic first-order plate, thin faces.",
    rows,
};

/// Face and core thickness [m], face modulus [Pa], densities [kg/m³], core moduli along x and y [Pa].
const FACE: f64 = 0.0004064;
const CORE: f64 = 0.00635;
const FACE_MODULUS: f64 = 68.984e9;
const FACE_DENSITY: f64 = 2768.0;
const CORE_DENSITY: f64 = 121.8;
const CORE_SHEAR: [f64; 2] = [134.5e6, 51.7e6];

const WITHOUT_ROTARY: [f64; 12] = [
    23.07966432,
    44.24460411,
    69.73375682,
    79.22736376,
    90.382859,
    124.5273036,
    127.6037731,
    143.9585697,
    163.8283334,
    171.7731939,
    188.8067322,
    196.7045537,
];
const WITH_ROTARY: [f64; 12] = [
    23.07865924,
    44.24094501,
    69.72506912,
    79.21581203,
    90.36839119,
    124.5002334,
    127.5744452,
    143.9246228,
    163.784704,
    171.7227059,
    188.7442478,
    196.6424501,
];

/// D = E t d²/2(1−ν²) and S = G d²/t_c with d = t_c + t.
fn sandwich(rotary_inertia: f64) -> Panel {
    let distance = CORE + FACE;
    let d = FACE_MODULUS * FACE * distance * distance / (2.0 * (1.0 - 0.09));
    let section = PlateSection {
        d11: d,
        d12: 0.3 * d,
        d22: d,
        d66: 0.35 * d,
        surface_mass: 2.0 * FACE_DENSITY * FACE + CORE_DENSITY * CORE,
        thickness: CORE + 2.0 * FACE,
        shear: Some(CORE_SHEAR.map(|g| g * distance * distance / CORE)),
        rotary_inertia,
        bending_loss: LossCurve::constant(0.0),
        shear_loss: LossCurve::constant(0.0),
    };
    let edges = Edges::all(EdgeCondition::SimplySupported);
    Panel { outline: Outline::Rectangle { width: 1.83, height: 1.22 }, section, edges, back: Back::Baffled }
}

fn rows() -> Vec<Row> {
    let inertia = FACE_DENSITY * FACE * (CORE + FACE).powi(2) / 2.0
        + FACE_DENSITY * FACE.powi(3) / 6.0
        + CORE_DENSITY * CORE.powi(3) / 12.0;
    [("without", 0.0, WITHOUT_ROTARY), ("with", inertia, WITH_ROTARY)]
        .into_iter()
        .flat_map(|(which, inertia, values)| {
            let expected = values.map(|f| TAU * f);
            let computed =
                elastic_eigenvalues_by(PlateModel::ShearDeformable, &sandwich(inertia), &expected, 4.0);
            computed.into_iter().zip(values).enumerate().map(move |(i, (computed, expected))| Row {
                quantity: format!("f{} {which} rotary inertia [Hz]", i + 1),
                computed: computed / TAU,
                expected,
                tolerance: Tolerance::Relative(1e-6),
            })
        })
        .collect()
}
