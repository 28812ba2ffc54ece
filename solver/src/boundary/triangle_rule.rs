//! Quadrature over the reference triangle: symmetric rules, and products of Gauss rules where more points are wanted.

use super::element::Place;
use panelwright_mesh::Axis;
use std::num::NonZeroUsize;

/// Points and weights; the weights sum to ½, the area of the reference triangle.
#[derive(Clone, Debug)]
pub(super) struct TriangleRule {
    pub places: Vec<Place>,
    pub weights: Vec<f64>,
}

/// Points that arise from one by permuting its coordinates, with the weight of each (they sum to one over a rule).
enum Orbit {
    Middle(f64),
    /// `[1 − 2a, a, a]`.
    Three(f64, f64),
    /// `[1 − a − b, a, b]`.
    Six(f64, f64, f64),
}

impl TriangleRule {
    /// Six points, exact for degree 4 (D. A. Dunavant, High degree efficient symmetrical Gaussian quadrature rules for the triangle,
    /// Int. J. Numer. Methods Eng. 21, 1985, 1129–1148; this and the following tables from memory, proved by the tests below).
    pub fn six() -> Self {
        use Orbit::Three;
        Self::of(&[
            Three(0.445_948_490_915_965, 0.223_381_589_678_011),
            Three(0.091_576_213_509_771, 0.109_951_743_655_322),
        ])
    }

    /// Twelve points, exact for degree 6 (Dunavant 1985).
    pub fn twelve() -> Self {
        use Orbit::{Six, Three};
        Self::of(&[
            Three(0.249_286_745_170_910, 0.116_786_275_726_379),
            Three(0.063_089_014_491_502, 0.050_844_906_370_207),
            Six(0.053_145_049_844_817, 0.310_352_451_033_784, 0.082_851_075_618_374),
        ])
    }

    /// Sixteen points, exact for degree 8 (Dunavant 1985).
    pub fn sixteen() -> Self {
        use Orbit::{Middle, Six, Three};
        Self::of(&[
            Middle(0.144_315_607_677_787),
            Three(0.459_292_588_292_723, 0.095_091_634_267_285),
            Three(0.170_569_307_751_760, 0.103_217_370_534_718),
            Three(0.050_547_228_317_031, 0.032_458_497_623_198),
            Six(0.008_394_777_409_958, 0.263_112_829_634_638, 0.027_230_314_174_435),
        ])
    }

    #[cfg(test)]
    /// `order²` points, exact for degree `2 order − 2`: Gauss rules along one side and towards the opposite corner, where they crowd.
    pub fn collapsed(order: usize) -> Self {
        let line = gauss(order);
        let mut rule = Self { places: vec![], weights: vec![] };
        for &(s, ws) in &line {
            for &(t, wt) in &line {
                rule.places.push([1.0 - s, s * (1.0 - t), s * t]);
                rule.weights.push(ws * wt * s);
            }
        }
        rule
    }

    fn of(orbits: &[Orbit]) -> Self {
        let mut rule = Self { places: vec![], weights: vec![] };
        let mut add = |place: Place, weight: f64| {
            rule.places.push(place);
            rule.weights.push(0.5 * weight);
        };
        for orbit in orbits {
            let (a, b, weight) = match *orbit {
                Orbit::Middle(weight) => {
                    add([1.0 / 3.0; 3], weight);
                    continue;
                }
                Orbit::Three(a, weight) => (a, a, weight),
                Orbit::Six(a, b, weight) => (a, b, weight),
            };
            let c = 1.0 - a - b;
            [[c, a, b], [a, b, c], [b, c, a]].iter().for_each(|place| add(*place, weight));
            if a != b {
                [[c, b, a], [b, a, c], [a, c, b]].iter().for_each(|place| add(*place, weight));
            }
        }
        rule
    }

    #[cfg(test)]
    pub fn len(&self) -> usize {
        self.weights.len()
    }

    pub fn iter(&self) -> impl Iterator<Item = (Place, f64)> {
        self.places.iter().copied().zip(self.weights.iter().copied())
    }
}

/// Gauss–Legendre points and weights on 0…1.
pub(super) fn gauss(order: usize) -> Vec<(f64, f64)> {
    let rule = Axis::gauss(1.0, NonZeroUsize::new(order).unwrap_or(NonZeroUsize::MIN));
    rule.nodes.iter().copied().zip(rule.weights.iter().copied()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn factorial(n: i32) -> f64 {
        (1..=n).map(f64::from).product()
    }

    /// Largest error over monomials `λ₀^i λ₁^j λ₂^k` of a degree, whose integral is `i! j! k!/(i + j + k + 2)!`.
    fn worst(rule: &TriangleRule, degree: i32) -> f64 {
        let mut worst = 0f64;
        for i in 0..=degree {
            for j in 0..=degree - i {
                let k = degree - i - j;
                let sum: f64 = rule.iter().map(|([a, b, c], w)| w * a.powi(i) * b.powi(j) * c.powi(k)).sum();
                let exact = factorial(i) * factorial(j) * factorial(k) / factorial(degree + 2);
                worst = worst.max((sum - exact).abs());
            }
        }
        worst
    }

    #[test]
    fn rules_are_exact_up_to_their_degree_and_no_further() {
        let rules = [
            (TriangleRule::six(), 4),
            (TriangleRule::twelve(), 6),
            (TriangleRule::sixteen(), 8),
            (TriangleRule::collapsed(5), 8),
        ];
        for (rule, degree) in rules {
            assert!(worst(&rule, degree) < 1e-14, "{} points: {:e}", rule.len(), worst(&rule, degree));
            assert!(worst(&rule, degree + 1) > 1e-7, "{} points: {:e}", rule.len(), worst(&rule, degree + 1));
        }
    }
}
