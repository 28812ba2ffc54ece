//! How quick this machine is, now and with so many workers: measured in an instant, so that times that are told are its own.

use crate::linalg::ComplexFactors;
use ndarray::Array2;
use num_complex::Complex32;
use std::thread;
use std::time::Instant;

/// Unknowns of the trial: the matrix stays in the caches of every machine.
const UNKNOWNS: usize = 192;
/// Trials of each worker, the median of which counts.
const TRIALS: usize = 9;
/// Seconds that a trial took the machine on which rates were measured: 0.38 ms for the equations, the rest for the kernels.
const REFERENCE: f64 = 6.6e-4;

/// How many times as long as on the machine on which rates were measured work takes here while `workers` are at it. Takes some hundredths of a second.
pub fn pace(workers: usize) -> f64 {
    crate::single_threaded_blas();
    let times: Vec<f64> = thread::scope(|scope| {
        let each: Vec<_> = (0..workers.max(1)).map(|_| scope.spawn(median)).collect();
        each.into_iter().map(|trial| trial.join().unwrap_or(REFERENCE)).collect()
    });
    times.iter().sum::<f64>() / times.len() as f64 / REFERENCE
}

/// Median time of a trial [s].
fn median() -> f64 {
    let mut times: Vec<f64> = (0..TRIALS).map(|_| trial()).collect();
    times.sort_by(f64::total_cmp);
    times[TRIALS / 2]
}

/// Seconds for what everything here is made of: free-space kernels, and a system of equations.
fn trial() -> f64 {
    let begun = Instant::now();
    let kernel = |(i, j): (usize, usize)| {
        let r = 1.0 + 0.01 * ((i * 7 + j * 3) % 101) as f32;
        let diagonal = if i == j { 1.0 } else { 0.0 };
        Complex32::cis(-2.0 * r) / r + diagonal
    };
    let factors = ComplexFactors::new(Array2::from_shape_fn((UNKNOWNS, UNKNOWNS), kernel));
    let mut side = vec![Complex32::new(1.0, 0.0); UNKNOWNS];
    if let Ok(factors) = factors {
        factors.solve(&mut side);
    }
    std::hint::black_box(side);
    begun.elapsed().as_secs_f64()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_measured_in_an_instant() {
        let begun = Instant::now();
        let found = [1, 2].map(pace);
        assert!(begun.elapsed().as_secs_f64() < 1.0, "{:?}", begun.elapsed());
        assert!(found.iter().all(|pace| (0.05..50.0).contains(pace)), "{found:?}");
    }
}
