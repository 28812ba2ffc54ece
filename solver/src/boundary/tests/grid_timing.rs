//! Times and iteration counts; run by hand.
use super::meshes;
use super::system::{air, frequency, rigid};
use crate::boundary::{Body, Drive, Method, Mirrors, PlaneWave, Representation, System};
use std::time::Instant;

#[test]
#[ignore]
fn grid_timing() {
    crate::single_threaded_blas();
    let cases: Vec<(usize, f64)> = std::env::var("CASES").unwrap().split(',').map(|c| { let (a, b) = c.split_once(':').unwrap(); (a.parse().unwrap(), b.parse().unwrap()) }).collect();
    for (cuts, k) in cases {
        let t = Instant::now();
        let body = Body::new(&meshes::sphere(cuts), Mirrors::NONE).unwrap();
        println!("{} elements {} unknowns: body {:?} near {}", body.len(), body.unknowns(), t.elapsed(), body.near.len());
        let mut before: Option<Vec<num_complex::Complex64>> = None;
        let quick = Representation::grid(&body, k);
        let both = if body.unknowns() < 16000 { vec![Representation::Full, quick] } else { vec![quick] };
        for representation in both {
            let t = Instant::now();
            let system = System::represented(&body, frequency(k), &air(), rigid, Method::Iterate, representation).unwrap();
            let made = t.elapsed();
            let wave = PlaneWave { amplitude: num_complex::Complex64::ONE, direction: nalgebra::Vector3::z() };
            let solved = system.solve(Drive::arriving(wave)).unwrap();
            println!("  {representation:?} {} MB: made {made:?} all {:?} steps {}", representation.bytes(&body) >> 20, t.elapsed(), solved.steps);
            if let Some(b) = &before {
                let e: f64 = b.iter().zip(&solved.pressure).map(|(a, b)| (a - b).norm_sqr()).sum::<f64>();
                let n: f64 = b.iter().map(|a| a.norm_sqr()).sum();
                println!("  difference {:e}", (e / n).sqrt());
            }
            before = Some(solved.pressure.clone());
        }
    }
}
