//! Flat circular diaphragms in the front of slabs.

use super::circles::Circle;
use super::extruded::{add, lid};
use super::fault::ShapeFault;
use super::housing::ring_checked;
use super::slab::rims;
use super::{DIAPHRAGM, RIGID};
use crate::Surface;
use std::f64::consts::FRAC_PI_2;

/// Steps around a quarter of the piston at least.
const LEAST_STEPS: usize = 3;

/// A flat circular diaphragm in the front.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piston {
    /// Radius [m].
    pub radius: f64,
    /// Centre [m] from the middle of the front.
    pub centre: [f64; 2],
    /// Radii [m] of the circles that sides of elements follow, too: the one within which nothing moves, and the coil's.
    pub ring: Option<[f64; 2]>,
}

impl Piston {
    pub(super) fn checked(&self) -> Result<(), ShapeFault> {
        self.ring.map_or(Ok(()), |ring| ring_checked(ring, self.radius))
    }

    /// Radii [m] of its circles, the largest first.
    fn radii(&self) -> Vec<f64> {
        let within = self.ring.map_or(vec![], |[inner, coil]| vec![coil, inner]);
        [vec![self.radius], within].concat()
    }

    /// Its circles.
    pub(super) fn circles(&self, length: f64) -> Vec<Circle> {
        let circle = |radius: f64| Circle {
            centre: self.centre,
            radius,
            chord: radius * (0.5 * FRAC_PI_2 / steps(radius, length) as f64).cos(),
            heights: [0.0; 2],
        };
        self.radii().into_iter().map(circle).collect()
    }

    /// Adds its triangles, all of them or those of the quarter x, y ≥ 0; gives its edge, clockwise. None if circles cross.
    pub(super) fn add(&self, surface: &mut Surface, length: f64, whole: bool) -> Option<Vec<u32>> {
        let radii = self.radii();
        let circles: Vec<_> =
            radii.iter().map(|&radius| add(surface, &self.chain(radius, length, whole), 0.0)).collect();
        for pair in circles.windows(2) {
            let between = rims(surface, vec![pair[0].clone(), reversed(&pair[1])], length, whole);
            lid(surface, &between, length, true, DIAPHRAGM)?;
        }
        let disc = rims(surface, vec![circles[circles.len() - 1].clone()], length, whole);
        lid(surface, &disc, length, true, if self.ring.is_some() { RIGID } else { DIAPHRAGM })?;
        Some(reversed(&circles[0]))
    }

    /// Points on a circle: all of it, or the quarter from x to y.
    fn chain(&self, radius: f64, length: f64, whole: bool) -> Vec<[f64; 2]> {
        let quarter = steps(radius, length);
        let point = |step: usize| {
            let (sin, cos) = match (step % quarter, step / quarter % 4) {
                (0, 0) => (0.0, 1.0),
                (0, 1) => (1.0, 0.0),
                (0, 2) => (0.0, -1.0),
                (0, _) => (-1.0, 0.0),
                _ => (FRAC_PI_2 * step as f64 / quarter as f64).sin_cos(),
            };
            [self.centre[0] + radius * cos, self.centre[1] + radius * sin]
        };
        let count = if whole { 4 * quarter } else { quarter + 1 };
        (0..count).map(point).collect()
    }
}

/// Steps in a quarter of a circle.
fn steps(radius: f64, length: f64) -> usize {
    ((FRAC_PI_2 * radius / length * (1.0 - 1e-6)).ceil() as usize).max(LEAST_STEPS)
}

fn reversed(chain: &[u32]) -> Vec<u32> {
    chain.iter().rev().copied().collect()
}
