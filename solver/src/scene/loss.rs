//! Loss factors that may depend on frequency.

use serde::{Deserialize, Serialize};

/// Loss factor over frequency: stiffness is `(1 + jη(f))` times its real part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LossCurve {
    /// (frequency [Hz], η), ascending; one point means a constant.
    points: Vec<(f64, f64)>,
}

impl LossCurve {
    /// The same at all frequencies.
    pub fn constant(loss_factor: f64) -> Self {
        Self { points: vec![(1000.0, loss_factor)] }
    }

    /// From (frequency [Hz], η), at least one, in any order.
    ///
    /// # Panics
    /// Without any point.
    pub fn new(mut points: Vec<(f64, f64)>) -> Self {
        assert!(!points.is_empty(), "a loss curve has at least one point");
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self { points }
    }

    /// The points, ascending in frequency.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// η at `frequency` [Hz]: linear over the logarithm of frequency between the points, constant beyond them.
    pub fn at(&self, frequency: f64) -> f64 {
        let next = self.points.partition_point(|&(f, _)| f <= frequency);
        let (last, first) = (self.points[self.points.len() - 1], self.points[0]);
        if next == 0 {
            return first.1;
        }
        if next == self.points.len() {
            return last.1;
        }
        let ((f0, eta0), (f1, eta1)) = (self.points[next - 1], self.points[next]);
        eta0 + (eta1 - eta0) * (frequency / f0).ln() / (f1 / f0).ln()
    }

    /// The same curve, multiplied by `factor`.
    pub fn scaled(&self, factor: f64) -> Self {
        Self { points: self.points.iter().map(|&(f, eta)| (f, eta * factor)).collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_points_it_runs_straight_over_octaves_and_beyond_them_level() {
        let curve = LossCurve::new(vec![(4000.0, 0.05), (1000.0, 0.01)]);
        for (frequency, eta) in [(10.0, 0.01), (1000.0, 0.01), (2000.0, 0.03), (4000.0, 0.05), (2e4, 0.05)] {
            approx::assert_relative_eq!(curve.at(frequency), eta, max_relative = 1e-12);
        }
        assert_eq!(LossCurve::constant(0.02).at(123.0), 0.02);
    }
}
