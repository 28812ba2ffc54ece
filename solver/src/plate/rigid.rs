//! Motions of the panel that meet no resistance although something holds it softly.

use super::line_basis::LineClass;
use crate::scene::{EdgeCondition, Panel};
use nalgebra::{DMatrix, DVector, Matrix3, SymmetricEigen, Vector3};

/// A rigid motion `a + b (x − cx) + c (y − cy)` about the centre of the bounding box.
pub(super) type Motion = [f64; 3];

/// Orthonormal rigid motions of the products of two classes that no side resists.
pub(super) fn loose_motions(panel: &Panel, x: &LineClass, y: &LineClass) -> Vec<Motion> {
    let own: Vec<DVector<f64>> = (x.motions().iter())
        .flat_map(|&[a, b]| y.motions().into_iter().map(move |[c, d]| ([a, b], [c, d])))
        .filter(|([_, b], [_, d])| *b == 0.0 || *d == 0.0) // x y twists the plate
        .map(|([a, b], [c, d])| DVector::from_vec(vec![a * c, b * c, a * d]))
        .collect();
    if own.is_empty() {
        return vec![];
    }
    let basis = DMatrix::from_columns(&own).qr().q();
    let resistance = basis.transpose() * resistance(panel) * &basis;
    let SymmetricEigen { eigenvalues, eigenvectors } = SymmetricEigen::new(resistance);
    let most = eigenvalues.amax().max(f64::MIN_POSITIVE);
    (0..eigenvalues.len())
        .filter(|&n| eigenvalues[n] <= 1e-9 * most || most == f64::MIN_POSITIVE)
        .map(|n| {
            let motion = &basis * eigenvectors.column(n);
            [motion[0], motion[1], motion[2]]
        })
        .collect()
}

/// Which rigid motions the sides resist at all; how strongly does not matter, so every support counts one.
fn resistance(panel: &Panel) -> Matrix3<f64> {
    let (width, height) = panel.outline.bounding_box();
    let sides = panel.edges.sides(width, height).unwrap_or([EdgeCondition::Free; 4]);
    let (x, y) = (0.5 * width, 0.5 * height);
    let corners = [[[-x, -y], [-x, y]], [[-x, -y], [x, -y]], [[x, -y], [x, y]], [[-x, y], [x, y]]];
    let turns = [Vector3::y(), Vector3::z(), Vector3::y(), Vector3::z()];
    let mut sum = Matrix3::zeros();
    for ((side, ends), turn) in sides.into_iter().zip(corners).zip(turns) {
        let (shifts, twists) = match side {
            EdgeCondition::Free => (false, false),
            EdgeCondition::SimplySupported => (true, false),
            EdgeCondition::Clamped => (true, true),
            EdgeCondition::Strip(strip) => (strip.stiffness > 0.0, strip.rotational > 0.0),
        };
        if shifts {
            for [x, y] in ends {
                let deflection = Vector3::new(1.0, x, y);
                sum += deflection * deflection.transpose();
            }
        }
        if twists {
            sum += turn * turn.transpose() * (x * y);
        }
    }
    sum
}
