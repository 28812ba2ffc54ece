//! One-dimensional quadrature: where to sample a line and how much each sample counts.

use gauss_quad::GaussLegendre;
use ndarray::Array1;
use std::num::NonZeroUsize;

/// Quadrature nodes [m] in rising order and weights [m] along one coordinate.
///
/// `Σ weights · f(nodes)` approximates `∫ f` over the covered stretch.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Node coordinates [m], ascending.
    pub nodes: Array1<f64>,
    /// Quadrature weights [m]; they sum to the length of the stretch.
    pub weights: Array1<f64>,
}

impl Axis {
    /// Gauss–Legendre rule with `count` nodes on `[0, length]`: exact for polynomials of degree `2·count − 1`
    /// (Abramowitz & Stegun, Handbook of Mathematical Functions, 1964, 25.4.29).
    pub fn gauss(length: f64, count: NonZeroUsize) -> Self {
        let rule = GaussLegendre::new(count);
        let half = 0.5 * length;
        let mut pairs: Vec<(f64, f64)> = rule.as_node_weight_pairs().to_vec();
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self {
            nodes: pairs.iter().map(|(x, _)| half * (x + 1.0)).collect(),
            weights: pairs.iter().map(|(_, w)| half * w).collect(),
        }
    }

    /// `count` equal cells on `[start, end]`, nodes at the cell centres (midpoint rule).
    pub fn cells(start: f64, end: f64, count: NonZeroUsize) -> Self {
        let step = (end - start) / count.get() as f64;
        Self {
            nodes: (0..count.get()).map(|i| start + (i as f64 + 0.5) * step).collect(),
            weights: Array1::from_elem(count.get(), step),
        }
    }

    /// `rules` one after the other along one line; each starts at 0 and gets moved to the place [m] given with it.
    pub fn joined(rules: impl IntoIterator<Item = (f64, Axis)>) -> Self {
        let (mut nodes, mut weights) = (vec![], vec![]);
        for (start, rule) in rules {
            nodes.extend(rule.nodes.iter().map(|node| start + node));
            weights.extend(rule.weights);
        }
        Self { nodes: nodes.into(), weights: weights.into() }
    }

    /// Number of nodes.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// True for an axis without nodes.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn count(n: usize) -> NonZeroUsize {
        NonZeroUsize::new(n).expect("test counts are positive")
    }

    fn integral(axis: &Axis, f: impl Fn(f64) -> f64) -> f64 {
        axis.nodes.iter().zip(&axis.weights).map(|(&x, w)| w * f(x)).sum()
    }

    #[test]
    fn gauss_is_exact_to_degree_2n_minus_1_and_not_beyond() {
        let axis = Axis::gauss(2.0, count(4));
        assert_relative_eq!(integral(&axis, |x| x.powi(7)), 2f64.powi(8) / 8.0, max_relative = 1e-13);
        assert!((integral(&axis, |x| x.powi(8)) / (2f64.powi(9) / 9.0) - 1.0).abs() > 1e-5);
    }

    #[test]
    fn gauss_nodes_ascend() {
        let axis = Axis::gauss(1.0, count(37));
        assert!(axis.nodes.windows(2).into_iter().all(|pair| pair[0] < pair[1]));
    }

    #[test]
    fn cells_cover_the_stretch() {
        let axis = Axis::cells(-1.0, 2.0, count(6));
        assert_relative_eq!(axis.weights.sum(), 3.0, max_relative = 1e-15);
        assert_relative_eq!(axis.nodes[0], -0.75, max_relative = 1e-15);
    }
}
