//! Quadrature over pairs of triangles that touch, where the kernel is singular.
//!
//! Transformations of the four-dimensional domain that put the singularity of `1/|x − y|` into one variable, where their Jacobian removes
//! it; what is left is analytic and takes Gauss rules (S. A. Sauter & C. Schwab, Boundary Element Methods, 2011, sec. 5.2; from memory:
//! the tests check that every rule covers the whole domain once, and that it converges).
//!
//! The common corner, or the common side's two corners in the same order, come first in both triangles.

use super::element::Place;
use super::triangle_rule::gauss;

/// How two triangles touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Touch {
    Same,
    Side,
    Corner,
}

/// Points in both triangles and their weights, which sum to ¼.
#[derive(Clone, Debug)]
pub(super) struct TouchingRule {
    pub places: Vec<[Place; 2]>,
    pub weights: Vec<f64>,
}

/// A point of the domain `0 ≤ second ≤ first ≤ 1` in each triangle, and the Jacobian of the transformation over `s³`.
type Image = ([[f64; 2]; 2], f64);

impl TouchingRule {
    /// `order` points per dimension and region.
    pub fn new(touch: Touch, order: usize) -> Self {
        let mut rule = Self { places: vec![], weights: vec![] };
        for (cube, weight) in hypercube(order) {
            let images = match touch {
                Touch::Same => same(cube).to_vec(),
                Touch::Side => side(cube).to_vec(),
                Touch::Corner => corner(cube).to_vec(),
            };
            for (pair, jacobian) in images {
                let scaled = pair.map(|place| place.map(|coordinate| cube[0] * coordinate));
                rule.places.push(scaled.map(|[first, second]| [1.0 - first, first - second, second]));
                rule.weights.push(weight * cube[0].powi(3) * jacobian);
            }
        }
        rule
    }
}

/// Points `[s, a, b, c]` and weights of the product rule on the unit hypercube.
fn hypercube(order: usize) -> Vec<([f64; 4], f64)> {
    let line = gauss(order);
    let mut points = vec![([0.0; 4], 1.0)];
    for along in 0..4 {
        let longer = |&(point, weight): &([f64; 4], f64)| {
            let put = move |&(x, w): &(f64, f64)| {
                let mut point: [f64; 4] = point;
                point[along] = x;
                (point, weight * w)
            };
            line.iter().map(put).collect::<Vec<_>>()
        };
        points = points.iter().flat_map(longer).collect();
    }
    points
}

fn same([_, a, b, c]: [f64; 4]) -> [Image; 6] {
    let pairs = [
        [[1.0, 1.0 - a + a * b], [1.0 - a * b * c, 1.0 - a]],
        [[1.0, a * (1.0 - b + b * c)], [1.0 - a * b, a * (1.0 - b)]],
        [[1.0 - a * b * c, a * (1.0 - b * c)], [1.0, a * (1.0 - b)]],
    ];
    let [first, second, third] = pairs;
    let swapped = pairs.map(|[x, y]| [y, x]);
    [first, second, third, swapped[0], swapped[1], swapped[2]].map(|pair| (pair, a * a * b))
}

fn side([_, a, b, c]: [f64; 4]) -> [Image; 5] {
    let inner = a * a * b;
    [
        ([[1.0, a * c], [1.0 - a * b, a * (1.0 - b)]], a * a),
        ([[1.0, a], [1.0 - a * b * c, a * b * (1.0 - c)]], inner),
        ([[1.0 - a * b, a * (1.0 - b)], [1.0, a * b * c]], inner),
        ([[1.0 - a * b * c, a * b * (1.0 - c)], [1.0, a]], inner),
        ([[1.0 - a * b * c, a * (1.0 - b * c)], [1.0, a * b]], inner),
    ]
}

fn corner([_, a, b, c]: [f64; 4]) -> [Image; 2] {
    let (far, near) = ([1.0, a], [b, b * c]);
    [([far, near], b), ([near, far], b)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::triangle_rule::TriangleRule;

    const TOUCHES: [Touch; 3] = [Touch::Same, Touch::Side, Touch::Corner];

    #[test]
    fn every_rule_covers_the_domain_once() {
        let smooth = |[x, y]: [Place; 2]| x[1].powi(2) * y[2] * (1.0 + x[2] * y[1]) + y[0].powi(3) * x[0];
        let plain = TriangleRule::collapsed(6);
        let exact: f64 =
            plain.iter().flat_map(|(x, w)| plain.iter().map(move |(y, v)| w * v * smooth([x, y]))).sum();
        for touch in TOUCHES {
            let rule = TouchingRule::new(touch, 6);
            let sum: f64 = rule.places.iter().zip(&rule.weights).map(|(pair, w)| w * smooth(*pair)).sum();
            assert!((sum - exact).abs() < 1e-14, "{touch:?}: {sum} against {exact}");
        }
    }

    /// `∫∫ 1/|x − y|` over a right triangle of unit legs with itself, by the rule.
    fn self_potential(order: usize) -> f64 {
        let rule = TouchingRule::new(Touch::Same, order);
        let distance = |[x, y]: &[Place; 2]| (x[1] - y[1]).hypot(x[2] - y[2]);
        rule.places.iter().zip(&rule.weights).map(|(pair, w)| w / distance(pair)).sum()
    }

    /// The plane triangle with area A, sides l and perimeter p: `(4 A²/3) Σ ln(p/(p − 2l))/l` (T. F. Eibert & V. Hansen, IEEE Trans.
    /// Antennas Propag. 43, 1995, 1499–1502; from memory, and met to eight digits by a rule that knows nothing of it).
    #[test]
    fn the_potential_of_a_triangle_on_itself_converges_to_the_closed_form() {
        let perimeter = 2.0 + 2f64.sqrt();
        let side = |l: f64| (perimeter / (perimeter - 2.0 * l)).ln() / l;
        let exact = (2.0 * side(1.0) + side(2f64.sqrt())) / 3.0;
        let errors = [3, 4, 5, 6, 9].map(|order| (self_potential(order) / exact - 1.0).abs());
        assert!(errors.is_sorted_by(|coarse, fine| coarse > &(4.0 * fine)), "{errors:?}");
        assert!(errors[2] < 3e-5 && errors[4] < 2e-8, "{errors:?}");
    }

    /// Two right triangles of unit legs that make a square, or that touch at a corner only.
    #[test]
    fn triangles_that_touch_converge() {
        for (touch, turned) in [(Touch::Side, 1.0), (Touch::Corner, -1.0)] {
            let sum = |order: usize| -> f64 {
                let rule = TouchingRule::new(touch, order);
                let distance = |[x, y]: &[Place; 2]| (x[1] - turned * y[1]).hypot(x[2] + y[2]);
                rule.places.iter().zip(&rule.weights).map(|(pair, w)| w / distance(pair)).sum()
            };
            let (exact, errors) = (sum(10), [3, 4, 5, 6].map(sum));
            let errors = errors.map(|sum| (sum / exact - 1.0).abs());
            assert!(errors.is_sorted_by(|coarse, fine| coarse > &(5.0 * fine)), "{errors:?}");
            assert!(errors[2] < 5e-6, "{errors:?}");
        }
    }
}
