//! The single-precision operator against the pairs in double precision.

use super::double::{assemble, tested};
use super::meshes;
use crate::boundary::body::Body;
use crate::boundary::dense::DenseOperator;
use crate::boundary::far::FarField;
use crate::boundary::mirrors::Mirrors;
use crate::boundary::wave::Wave;
use crate::gmres::{Stop, gmres};
use ndarray::Array1;
use num_complex::Complex64;

#[test]
fn rows_are_those_of_double_precision() {
    let body = Body::new(&meshes::sphere(3), Mirrors::NONE).expect("closed");
    let wave = Wave { k: 4.0, coupling: 0.25 };
    let absorption: Vec<Complex64> =
        (0..body.len()).map(|e| if e < 100 { Complex64::ZERO } else { Complex64::new(0.3, 2.0) }).collect();
    let double = assemble(&body, &wave);
    let mut exact = double.pressure;
    for (element, nodes) in body.nodes.iter().enumerate() {
        for (j, &node) in nodes.iter().enumerate() {
            let column = double.velocity.column(6 * element + j).mapv(|v| v * absorption[element]);
            exact.column_mut(node as usize).scaled_add(Complex64::ONE, &column);
        }
    }
    let single = DenseOperator::new(&body, &FarField::new(&body), &wave, &absorption);
    let scale = exact.iter().map(|v| v.norm()).fold(0.0, f64::max);
    let values: Vec<Complex64> = (0..body.unknowns()).map(|i| Complex64::cis(i as f64)).collect();
    for ((i, j), exact) in exact.indexed_iter() {
        let entry = single.entry(i, j);
        let error = (Complex64::new(entry.re.into(), entry.im.into()) - exact).norm() / scale;
        assert!(error < 1e-6, "({i}, {j}): {error:e}");
    }
    for (a, b) in single.apply(&values).iter().zip(exact.dot(&Array1::from(values.clone()))) {
        assert!((a - b).norm() < 1e-5 * scale, "{a} {b}");
    }
}

/// With α = −j/k the eigenvalues of the sphere lie near 1, with +j/k on the unit circle.
#[test]
fn the_sign_of_the_coupling_is_the_one_that_iterates_well() {
    let body = Body::new(&meshes::sphere(6), Mirrors::NONE).expect("closed");
    let (far, rigid) = (FarField::new(&body), vec![Complex64::ZERO; body.len()]);
    let steps = |sign: f64| {
        let wave = Wave { k: 10.0, coupling: sign / 10.0 };
        let operator = DenseOperator::new(&body, &far, &wave, &rigid);
        let right = tested(&body, |point| Complex64::cis(-10.0 * point.position.z)).to_vec();
        gmres(|x| operator.apply(x), right, Stop { residual: 1e-4, steps: 200 }).steps
    };
    let [ours, other] = [1.0, -1.0].map(steps);
    assert!(2 * other > 3 * ours, "{ours} against {other} steps");
}
