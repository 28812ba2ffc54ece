//! The first 100 elastic frequencies of a free plywood plate against an independent computation.

use crate::{Problem, Row, Tolerance};
use panelwright_mesh::Outline;
use panelwright_solver::plate::Modes;
use panelwright_solver::scene::{Back, EdgeCondition, Edges, LossCurve, Panel, PlateSection};

const RECOMPUTED: &str = include_str!("../recompute/orthotropic_free_plate.csv");

/// The problem of this file.
pub(crate) const PROBLEM: Problem = Problem {
    name: "free orthotropic plate 900 × 600 × 4 mm, 100 modes",
    source: "Theory: A. W. Leissa, Vibration of Plates, NASA SP-160 (1969), ch. 9. Recomputed with B-splines of degree 8 and scipy \
             (recompute/orthotropic_free_plate.py), converged to 3e-7. Solved here with the everyday accuracy.",
    rows,
};

fn panel() -> Panel {
    let (e1, e2, g12, nu12, thickness, density) = (10e9, 5e9, 0.7e9, 0.3, 4e-3f64, 650.0);
    let cube = thickness.powi(3) / 12.0;
    let stiff = cube / (1.0 - nu12 * nu12 * e2 / e1);
    let section = PlateSection {
        d11: e1 * stiff,
        d12: nu12 * e2 * stiff,
        d22: e2 * stiff,
        d66: g12 * cube,
        surface_mass: density * thickness,
        thickness,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: LossCurve::constant(0.0),
        shear_loss: LossCurve::constant(0.0),
    };
    Panel {
        outline: Outline::Rectangle { width: 0.9, height: 0.6 },
        section,
        edges: Edges::all(EdgeCondition::Free),
        back: Back::Baffled,
    }
}

fn rows() -> Vec<Row> {
    let expected: Vec<f64> = (RECOMPUTED.lines().skip(1))
        .map(|line| line.split(',').nth(1).and_then(|value| value.parse().ok()).expect("number,frequency"))
        .collect();
    let modes = Modes::solve(&panel(), 2000.0).expect("a small plate");
    let computed = modes.frequencies.iter().filter(|&&f| f > 0.0);
    (expected.iter().zip(computed).enumerate())
        .map(|(i, (&expected, &computed))| Row {
            quantity: format!("f{} [Hz]", i + 1),
            computed,
            expected,
            tolerance: Tolerance::Relative(1e-3),
        })
        .collect()
}
