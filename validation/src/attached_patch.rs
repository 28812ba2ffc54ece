//! A patch over the whole panel is a panel of summed stiffness and mass.

use crate::plates::{edges, square_section};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::plate::{Accuracy, Modes, PATCH_POISSON_RATIO};
use panelwright_solver::scene::{Attachments, Patch};
use std::f64::consts::TAU;

/// `[D11, D22, D12, D66]` of an orthotropic panel whose principal directions differ.
const PANEL: [f64; 4] = [1.0, 0.55, 0.07, 0.2];
const STIFFNESS: f64 = 0.25;
const MASS: f64 = 0.4;
const ASPECT: f64 = 1.25;
const COUNT: usize = 10;

/// Orthotropic panel under a patch.
pub const PROBLEM: Problem = Problem {
    name: "Panel with a patch all over it",
    source: "identity: the same panel with D + ΔD and m + m′, computed directly; what is left is truncation: the bare modes reach 15 times \
             the highest frequency compared; at free edges the patch changes the natural condition (measured there: up to 1.8e-4)",
    rows: || ["SSSS", "CCCC", "FFFF", "CFSF"].into_iter().flat_map(rows_of).collect(),
};

fn rows_of(letters: &str) -> Vec<Row> {
    let nu = PATCH_POISSON_RATIO;
    let added = [1.0, 1.0, nu, 0.5 * (1.0 - nu)];
    let summed = [0, 1, 2, 3].map(|i| PANEL[i] + STIFFNESS * added[i]);
    let mut thick = square_section(ASPECT, summed, edges(letters, ASPECT));
    thick.section.surface_mass += MASS;
    let expected = elastic(&Modes::solve_with(&thick, 250.0 / TAU, Accuracy::REFERENCE).expect("small"));
    let highest = expected[COUNT - 1];
    let panel = square_section(ASPECT, PANEL, edges(letters, ASPECT));
    let modes = Modes::solve_with(&panel, 15.0 * highest / TAU, Accuracy::REFERENCE).expect("small");
    let attachments = Attachments { patches: vec![patch()], ..Attachments::default() };
    let found = elastic(&modes.with_attached(&attachments).expect("converges"));
    let row = |(index, (&computed, &expected)): (usize, (&f64, &f64))| Row {
        quantity: format!("ω{}, {letters} edges", index + 1),
        computed,
        expected,
        tolerance: Tolerance::Relative(if letters.contains('F') { 2.5e-4 } else { 1e-6 }),
    };
    found.iter().zip(&expected).take(COUNT).enumerate().map(row).collect()
}

fn patch() -> Patch {
    Patch {
        name: "patch".into(),
        corner: [0.0, 0.0],
        size: [1.0, 1.0 / ASPECT],
        surface_mass: MASS,
        stiffness: STIFFNESS,
        loss_factor: 0.0,
    }
}

fn elastic(modes: &Modes) -> Vec<f64> {
    modes.frequencies.iter().filter(|&&f| f > 0.0).map(|f| TAU * f).collect()
}
