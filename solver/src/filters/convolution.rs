//! Long signals through an impulse response.

use num_complex::Complex64;
use rustfft::FftPlanner;

/// Shortest block of the signal [samples].
const SHORTEST: usize = 1 << 12;

/// `y[n] = Σ h[m] x[n − m]`, as long as both together less one sample, block by block with transforms (overlap and add: A. V. Oppenheim & R. W. Schafer,
/// Discrete-Time Signal Processing, 3rd ed. 2010, § 8.7.3). Empty when either is.
pub fn convolved(signal: &[f64], impulse: &[f64]) -> Vec<f64> {
    if signal.is_empty() || impulse.is_empty() {
        return vec![];
    }
    let block = impulse.len().next_power_of_two().max(SHORTEST);
    let length = 2 * block;
    let mut planner = FftPlanner::new();
    let (forward, back) = (planner.plan_fft_forward(length), planner.plan_fft_inverse(length));
    let padded = |samples: &[f64]| -> Vec<Complex64> {
        let mut values: Vec<Complex64> = samples.iter().map(|&x| x.into()).collect();
        values.resize(length, Complex64::ZERO);
        forward.process(&mut values);
        values
    };
    let spectrum = padded(impulse);
    let mut sum = vec![0.0; signal.len() + impulse.len() - 1];
    for (number, part) in signal.chunks(block).enumerate() {
        let mut values = padded(part);
        values.iter_mut().zip(&spectrum).for_each(|(value, h)| *value *= h / length as f64);
        back.process(&mut values);
        let place = &mut sum[number * block..];
        place.iter_mut().zip(&values).for_each(|(sum, value)| *sum += value.re);
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_the_sum_over_all_shifts() {
        let signal: Vec<f64> = (0..9000).map(|n| f64::from(n * n % 17) - 8.0).collect();
        for length in [1, 3, 700, 5000] {
            let impulse: Vec<f64> = (0..length).map(|n| f64::from(n * 7 % 11) - 5.0).collect();
            let found = convolved(&signal, &impulse);
            assert_eq!(found.len(), signal.len() + impulse.len() - 1);
            for n in [0, 1, 4095, 4096, 8191, 8999, found.len() - 1] {
                let direct: f64 = (0..impulse.len())
                    .filter(|&m| m <= n && n - m < signal.len())
                    .map(|m| impulse[m] * signal[n - m])
                    .sum();
                assert!((found[n] - direct).abs() < 1e-7, "{length} {n}: {} {direct}", found[n]);
            }
        }
        assert!(convolved(&[], &[1.0]).is_empty() && convolved(&[1.0], &[]).is_empty());
    }
}
