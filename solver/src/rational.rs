//! Rational interpolation of several functions with common poles.
//!
//! The AAA algorithm (Y. Nakatsukasa, O. Sète & L. N. Trefethen, SIAM J. Sci. Comput. 40, 2018, A1494), with one set of nodes and
//! weights for all functions (P. Lietaert, K. Meerbergen, J. Pérez & B. Vandereycken, IMA J. Numer. Anal. 42, 2022):
//!
//! ```text
//! r(x) = Σ wⱼ fⱼ/(x − xⱼ) / Σ wⱼ/(x − xⱼ)
//! ```
//!
//! Every step makes the sample that fits worst a node; the weights minimise `Σ |f(xᵢ) d(xᵢ) − n(xᵢ)|²` over the samples that are no
//! nodes, n and d the sums above: the last singular vector of the Loewner matrix. Functions that share their poles, as the responses of
//! one body to one drive do, need no more samples together than one of them alone.

use nalgebra::DMatrix;
use num_complex::Complex64;

/// A rational interpolant of several functions of one real variable.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Rational {
    nodes: Vec<f64>,
    weights: Vec<Complex64>,
    /// Values of all functions at every node.
    values: Vec<Vec<Complex64>>,
}

/// Values of all functions at one place.
pub(crate) type Sample = (f64, Vec<Complex64>);

impl Rational {
    /// Fits samples at different places (at least one) until the largest error at any of them, each function in units of its scale, is at most `tolerance`, or what the other samples say no longer determines the weights twice over.
    pub fn fit(samples: &[Sample], scales: &[f64], tolerance: f64) -> Self {
        let most = most_nodes(samples.len(), scales.len());
        let mut chosen: Vec<usize> = vec![];
        let mut error: Vec<f64> = from_the_mean(samples, scales);
        loop {
            let left = (0..samples.len()).filter(|i| !chosen.contains(i));
            let Some(worst) = left.max_by(|&a, &b| error[a].total_cmp(&error[b])) else { break };
            chosen.push(worst);
            let fit = Self::through(samples, &chosen, scales);
            error = samples.iter().map(|(x, values)| distance(&fit.at(*x), values, scales)).collect();
            if chosen.len() >= most || error.iter().all(|e| *e <= tolerance) {
                return fit;
            }
        }
        Self::through(samples, &chosen, scales)
    }

    /// The interpolant with given nodes.
    fn through(samples: &[Sample], chosen: &[usize], scales: &[f64]) -> Self {
        let nodes: Vec<f64> = chosen.iter().map(|&i| samples[i].0).collect();
        let values: Vec<Vec<Complex64>> = chosen.iter().map(|&i| samples[i].1.clone()).collect();
        let others: Vec<&Sample> =
            (0..samples.len()).filter(|i| !chosen.contains(i)).map(|i| &samples[i]).collect();
        let rows = others.len() * scales.len();
        let loewner = DMatrix::from_fn(rows.max(chosen.len()), chosen.len(), |row, j| {
            if row >= rows {
                return Complex64::ZERO;
            }
            let ((x, at), function) = (others[row / scales.len()], row % scales.len());
            (at[function] - values[j][function]) / ((x - nodes[j]) * scales[function])
        });
        Self { weights: last_singular_vector(loewner), nodes, values }
    }

    /// Values of all functions at a place.
    pub fn at(&self, x: f64) -> Vec<Complex64> {
        let mut sums = vec![Complex64::ZERO; self.values[0].len()];
        for ((_, share), values) in self.shares(x).into_iter().zip(&self.values) {
            sums.iter_mut().zip(values).for_each(|(sum, value)| *sum += share * value);
        }
        sums
    }

    /// What a value at a place has of the values at the nodes: each node with its share. They sum to 1, and serve any function with the
    /// same poles.
    pub fn shares(&self, x: f64) -> Vec<(f64, Complex64)> {
        if self.nodes.contains(&x) {
            return self.nodes.iter().map(|&node| (node, f64::from(node == x).into())).collect();
        }
        let parts = || self.nodes.iter().zip(&self.weights).map(|(node, weight)| weight / (x - node));
        let whole: Complex64 = parts().sum();
        self.nodes.iter().zip(parts()).map(|(&node, part)| (node, part / whole)).collect()
    }
}

/// So many nodes that the samples left, with one equation for every function, are at least twice as many as the weights; but not all.
fn most_nodes(samples: usize, functions: usize) -> usize {
    let enough = |nodes: &usize| functions * (samples - nodes) >= 2 * nodes;
    (1..samples).rev().find(enough).unwrap_or(1)
}

/// Largest difference over all functions, each in units of its scale.
pub(crate) fn distance(a: &[Complex64], b: &[Complex64], scales: &[f64]) -> f64 {
    a.iter().zip(b).zip(scales).map(|((a, b), scale)| (a - b).norm() / scale).fold(0.0, f64::max)
}

fn from_the_mean(samples: &[Sample], scales: &[f64]) -> Vec<f64> {
    let mean: Vec<Complex64> = (0..scales.len())
        .map(|i| samples.iter().map(|(_, values)| values[i]).sum::<Complex64>() / samples.len() as f64)
        .collect();
    samples.iter().map(|(_, values)| distance(&mean, values, scales)).collect()
}

/// The unit vector that the matrix makes shortest.
fn last_singular_vector(matrix: DMatrix<Complex64>) -> Vec<Complex64> {
    let columns = matrix.ncols();
    let triangle = matrix.qr().r();
    let rows = triangle.svd(false, true).v_t;
    match rows {
        Some(rows) => rows.row(columns - 1).iter().map(|v| v.conj()).collect(),
        None => vec![Complex64::ONE; columns],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn samples(count: usize, functions: impl Fn(f64) -> Vec<Complex64>) -> Vec<Sample> {
        (0..count).map(|i| 1.0 + i as f64 / (count - 1) as f64).map(|x| (x, functions(x))).collect()
    }

    fn fitted(samples: &[Sample], tolerance: f64) -> Rational {
        Rational::fit(samples, &vec![1.0; samples[0].1.len()], tolerance)
    }

    #[test]
    fn resonances_with_common_poles_are_exact_from_few_samples() {
        let poles = [Complex64::new(1.3, 0.05), Complex64::new(1.7, 0.1)];
        let functions = |x: f64| {
            let [a, b] = poles.map(|pole| 1.0 / (x - pole));
            vec![a + 2.0 * b, a - 0.5 * b, Complex64::new(0.0, 3.0) * b]
        };
        let fit = fitted(&samples(7, functions), 1e-10);
        assert!(fit.nodes.len() <= 4, "two poles need three nodes: {}", fit.nodes.len());
        for x in [1.05, 1.31, 1.69, 1.9] {
            let off = distance(&fit.at(x), &functions(x), &[20.0; 3]);
            assert!(off < 1e-9, "at {x}: {off:e}");
        }
    }

    #[test]
    fn samples_are_met_and_smooth_functions_followed() {
        let wave = |x: f64| vec![Complex64::cis(3.0 * x), Complex64::from((2.0 * x).sin() * x)];
        let all = samples(21, wave);
        let fit = fitted(&all, 1e-8);
        for (x, values) in &all {
            assert!(distance(&fit.at(*x), values, &[1.0; 2]) < 1e-6);
        }
        assert!(distance(&fit.at(1.234), &wave(1.234), &[1.0; 2]) < 1e-6);
    }

    #[test]
    fn constants_and_single_samples_are_themselves() {
        let constant = |_| vec![Complex64::new(2.0, -1.0), Complex64::ZERO];
        for count in [2, 3, 8] {
            let fit = fitted(&samples(count, constant), 1e-9);
            assert!(distance(&fit.at(1.77), &constant(0.0), &[1.0; 2]) < 1e-12);
        }
        let one = fitted(&[(1.0, constant(0.0))], 1e-9);
        assert_eq!(one.at(5.0), constant(0.0));
    }
}
