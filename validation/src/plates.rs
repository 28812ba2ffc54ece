//! Plates of unit side and unit mass, shared by the plate problems.

use panelwright_mesh::Outline;
use panelwright_solver::plate::{Accuracy, Modes, PlateModel};
use panelwright_solver::scene::{Back, EdgeCondition, Edges, LossCurve, Panel, PlateSection};
use std::f64::consts::TAU;

/// Edges of a plate of sides 1 m and 1/`aspect` m from letters in Leissa's order x = 0, y = 0, x = a, y = b.
pub(crate) fn edges(letters: &str, aspect: f64) -> Edges {
    let mut conditions = letters.chars().map(|letter| match letter {
        'S' => EdgeCondition::SimplySupported,
        'C' => EdgeCondition::Clamped,
        _ => EdgeCondition::Free,
    });
    let mut next = || conditions.next().expect("four letters");
    let sides = [(); 4].map(|()| next());
    Edges::of_rectangle(1.0, 1.0 / aspect, sides)
}

/// A plate with a = 1 m, mass 1 kg/m² and stiffnesses `[D11, D22, D12, D66]` [N·m]: its ω is the tabulated λ when D11 = 1.
pub(crate) fn square_section(aspect: f64, [d11, d22, d12, d66]: [f64; 4], edges: Edges) -> Panel {
    Panel {
        outline: Outline::Rectangle { width: 1.0, height: 1.0 / aspect },
        section: PlateSection {
            d11,
            d12,
            d22,
            d66,
            surface_mass: 1.0,
            thickness: 1e-3,
            shear: None,
            rotary_inertia: 0.0,
            bending_loss: LossCurve::constant(0.0),
            shear_loss: LossCurve::constant(0.0),
        },
        edges,
        back: Back::Baffled,
    }
}

/// Isotropic plate with a = 1 m, D = 1 N·m, 1 kg/m².
pub(crate) fn isotropic(aspect: f64, poisson: f64, edges: Edges) -> Panel {
    square_section(aspect, [1.0, 1.0, poisson, 0.5 * (1.0 - poisson)], edges)
}

/// As many angular frequencies ω > 0 as there are expected values, from a basis that reaches `reach` times the highest.
pub(crate) fn elastic_eigenvalues(panel: &Panel, expected: &[f64], reach: f64) -> Vec<f64> {
    elastic_eigenvalues_by(PlateModel::Thin, panel, expected, reach)
}

/// [`elastic_eigenvalues`] by a given theory.
pub(crate) fn elastic_eigenvalues_by(
    model: PlateModel,
    panel: &Panel,
    expected: &[f64],
    reach: f64,
) -> Vec<f64> {
    let highest = expected.iter().copied().fold(0.0, f64::max);
    let modes = Modes::solve_by(model, panel, reach * highest / TAU, Accuracy::REFERENCE);
    let modes = modes.expect("the unit plates are small");
    modes.frequencies.iter().filter(|&&f| f > 0.0).map(|f| TAU * f).take(expected.len()).collect()
}
