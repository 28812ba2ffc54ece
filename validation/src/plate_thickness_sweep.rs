//! Shear-deformable theory from foil to block: no locking when the plate is thin.

use crate::plates::{edges, elastic_eigenvalues_by, isotropic};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::plate::PlateModel;
use panelwright_solver::scene::{Panel, PlateSection};
use std::f64::consts::PI;

/// The problem of this file.
pub(crate) const PROBLEM: Problem = Problem {
    name: "thickness sweep of a simply supported plate",
    source: "Bending root of (k² − ω²m/S)(D k² − ω²I) = ω²m, k² = π²(m² + n²): R. D. Mindlin, A. Schacknow & H. Deresiewicz, J. Appl. \
             Mech. 23 (1956) 430–436. Recomputed in closed form.",
    rows: || [1e-4, 1e-3, 1e-2, 0.05, 0.1, 0.2].into_iter().flat_map(rows).collect(),
};

const MODES: [(u32, u32); 6] = [(1, 1), (1, 2), (2, 1), (2, 2), (1, 3), (3, 1)];

/// D = 1 N·m, m = 1 kg/m², ν = 0.3, κ = 5/6, side 1 m.
fn plate(thickness: f64) -> Panel {
    let panel = isotropic(1.0, 0.3, edges("SSSS", 1.0));
    let section = PlateSection {
        thickness,
        shear: Some([5.0 / 6.0 * 6.0 * 0.7 / (thickness * thickness); 2]),
        rotary_inertia: thickness * thickness / 12.0,
        ..panel.section
    };
    Panel { section, ..panel }
}

fn closed_form(section: &PlateSection, (m, n): (u32, u32)) -> f64 {
    let k2 = PI * PI * f64::from(m * m + n * n);
    let (s, inertia) = (section.shear.map_or(f64::INFINITY, |s| s[0]), section.rotary_inertia);
    let (a, b, c) = (inertia / s, 1.0 + k2 * (inertia + 1.0 / s), k2 * k2);
    (2.0 * c / (b + (b * b - 4.0 * a * c).sqrt())).sqrt()
}

fn rows(thickness: f64) -> Vec<Row> {
    let panel = plate(thickness);
    let expected = MODES.map(|mode| closed_form(&panel.section, mode));
    let computed = elastic_eigenvalues_by(PlateModel::ShearDeformable, &panel, &expected, 4.0);
    (computed.into_iter().zip(expected).enumerate())
        .map(|(i, (computed, expected))| Row {
            quantity: format!("λ{} SSSS, h/a = {thickness}", i + 1),
            computed,
            expected,
            tolerance: Tolerance::Relative(1e-7),
        })
        .collect()
}
