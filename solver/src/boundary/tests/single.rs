//! The single-precision operator against the pairs in double precision.

use super::double::assemble;
use super::meshes;
use crate::boundary::body::Body;
use crate::boundary::dense::DenseOperator;
use crate::boundary::far::FarField;
use crate::boundary::mirrors::Mirrors;
use crate::boundary::wave::Wave;
use num_complex::Complex64;
use std::time::Instant;

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
    let worst =
        single.matrix.iter().zip(&exact).map(|(a, b)| (Complex64::new(a.re.into(), a.im.into()) - b).norm());
    let worst = worst.fold(0.0, f64::max) / scale;
    assert!(worst < 1e-6, "{worst:e}");
}

#[test]
#[ignore]
fn timing() {
    for cuts in [5, 9] {
        let start = Instant::now();
        let body = Body::new(&meshes::sphere(cuts), Mirrors::NONE).expect("closed");
        println!("{} elements: body {:?}, near {}", body.len(), start.elapsed(), body.near.len());
        let far = FarField::new(&body);
        let wave = Wave { k: 10.0, coupling: 0.1 };
        let rigid = vec![Complex64::ZERO; body.len()];
        for threads in [1, 2] {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            for _ in 0..3 {
                let start = Instant::now();
                let operator = pool.install(|| DenseOperator::new(&body, &far, &wave, &rigid));
                let time = start.elapsed();
                let evaluations = (36 * body.len() * body.len()) as f64;
                println!("{threads}: {time:?}, {:.0} M/s", evaluations / time.as_secs_f64() * 1e-6);
                let x = vec![Complex64::ONE; body.unknowns()];
                let start = Instant::now();
                operator.apply(&x);
                println!("apply {:?}", start.elapsed());
            }
        }
    }
}
