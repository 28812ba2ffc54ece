//! A body in parts of limited size.

use super::bisection::bisected;
use super::body::Body;
use nalgebra::Vector3;

/// Elements that lie together.
#[derive(Clone, Debug)]
pub struct Part {
    /// Indices of the elements.
    pub elements: Vec<usize>,
    /// Middle of a ball [m].
    pub middle: Vector3<f64>,
    /// Radius [m] of the ball, which holds the points of the elements and those of their quadrature.
    pub reach: f64,
}

impl Body {
    /// Halves of halves of the body until each fits into a ball of this radius [m] or is a single element.
    pub fn parts(&self, radius: f64) -> Vec<Part> {
        self.divided((0..self.len()).collect(), radius)
    }

    fn divided(&self, elements: Vec<usize>, radius: f64) -> Vec<Part> {
        let part = self.part(elements);
        if part.reach <= radius || part.elements.len() < 2 {
            return vec![part];
        }
        let middles: Vec<Vector3<f64>> =
            part.elements.iter().map(|&element| self.elements[element].nodes.iter().sum()).collect();
        let halves = bisected(&middles, middles.len().div_ceil(2), 1);
        let of = |half: Vec<usize>| half.into_iter().map(|i| part.elements[i]).collect();
        halves.into_iter().flat_map(|half| self.divided(of(half), radius)).collect()
    }

    fn part(&self, elements: Vec<usize>) -> Part {
        let points = || {
            elements.iter().flat_map(|&element| {
                let quadrature = self.quadrature[element].iter().map(|point| point.position);
                self.elements[element].nodes.into_iter().chain(quadrature)
            })
        };
        let corner =
            |pick: fn(f64, f64) -> f64| points().reduce(|a, b| a.zip_map(&b, pick)).unwrap_or_default();
        let middle = 0.5 * (corner(f64::min) + corner(f64::max));
        let reach = points().map(|point| (point - middle).norm()).fold(0.0, f64::max);
        Part { elements, middle, reach }
    }
}
