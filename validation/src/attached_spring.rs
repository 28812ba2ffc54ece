//! A spring under a point of a simply supported plate, from soft to pinned, against the exact secular equation.

use crate::plates::{edges, isotropic};
use crate::supported::{Supported, roots};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::drive::{PanelPorts, natural_modes};
use panelwright_solver::plate::{Accuracy, Modes};
use panelwright_solver::scene::{Attachments, EdgeCondition, Edges, Hang};
use std::f64::consts::TAU;

/// Place on the unit plate, off every symmetry line.
const PLACE: [f64; 2] = [0.41, 0.37];
/// Stiffnesses in units of D/a².
const STIFFNESSES: [f64; 4] = [1e1, 1e3, 1e5, 1e12];
/// Modes compared for each.
const COUNT: usize = 8;

/// Point spring on a square plate.
pub const PROBLEM: Problem = Problem {
    name: "Plate with a hang, from soft to pinned",
    source: "exact: 1 + k G(ω) = 0 with the Green's function of the simply supported plate as a single (Lévy) series, 1000 terms, \
             roots by bisection (method as C. L. Amba-Rao, J. Appl. Mech. 31 (1964) 550); free plate: √(k/M) for a soft spring",
    rows: || STIFFNESSES.into_iter().flat_map(supported).chain([bouncing()]).collect(),
};

fn hang(stiffness: f64, position: [f64; 2]) -> Attachments {
    let hang = Hang { name: "hang".into(), position, stiffness, loss_factor: 0.0, diameter: 0.0 };
    Attachments { hangs: vec![hang], ..Attachments::default() }
}

fn supported(stiffness: f64) -> Vec<Row> {
    let panel = isotropic(1.0, 0.3, edges("SSSS", 1.0));
    let modes = Modes::solve_with(&panel, 10000.0 / TAU, Accuracy::REFERENCE).expect("a small plate");
    let ports = PanelPorts::under(&[], &hang(stiffness, PLACE), &modes, 0.0);
    let found = natural_modes(&[], &ports, 3 * COUNT).expect("converges").frequencies;
    let plate = Supported { x: PLACE[0], y: PLACE[1] };
    // Multiplied by the softness, so that the equation has no large numbers when pinned.
    let expected = roots(|omega| 1.0 / stiffness + plate.flexibility(omega), COUNT);
    // Of two modes m, n and n, m of the square one combination stands still at the spring: only the others are roots.
    let row = |(index, expected): (usize, f64)| {
        let off = |f: &f64| (TAU * f - expected).abs();
        let nearest = found.iter().copied().min_by(|a, b| off(a).total_cmp(&off(b)));
        Row {
            quantity: format!("ω of root {} on a spring of {stiffness:e} D/a²", index + 1),
            computed: TAU * nearest.unwrap_or(f64::NAN),
            expected,
            tolerance: Tolerance::Relative(1e-5),
        }
    };
    expected.into_iter().enumerate().map(row).collect()
}

/// A free plate on a soft spring under its middle moves as a whole.
fn bouncing() -> Row {
    let stiffness = 1e-3;
    let panel = isotropic(1.0, 0.3, Edges::all(EdgeCondition::Free));
    let modes = Modes::solve_with(&panel, 1000.0 / TAU, Accuracy::REFERENCE).expect("a small plate");
    let ports = PanelPorts::under(&[], &hang(stiffness, [0.5, 0.5]), &modes, 0.0);
    let found = natural_modes(&[], &ports, 4).expect("converges").frequencies;
    Row {
        quantity: "ω of a free plate that bounces on a spring of 1e-3 D/a²".into(),
        computed: TAU * found.into_iter().find(|&f| f > 0.0).unwrap_or(f64::NAN),
        expected: stiffness.sqrt(),
        tolerance: Tolerance::Relative(1e-5),
    }
}
