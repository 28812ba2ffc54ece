//! A ball with a cap that moves.

use super::fault::{self, ShapeFault};
use super::{DIAPHRAGM, Lathe, RIGID, Section};
use crate::Piece;
use std::f64::consts::{FRAC_PI_2, PI};

/// A ball about the origin; the cap faces +z.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sphere {
    /// Radius [m].
    pub radius: f64,
    /// Angle [rad] between the z axis and the edge of the cap; π moves everything, 0 nothing.
    pub cap: f64,
}

impl Sphere {
    /// The body as a profile.
    ///
    /// # Errors
    /// [`ShapeFault`]: which measure is impossible.
    pub fn lathe(&self) -> Result<Lathe, ShapeFault> {
        fault::positive("radius of the sphere", self.radius)?;
        if !(0.0..=PI).contains(&self.cap) {
            return Err(ShapeFault::Angle {
                what: "half angle of the cap",
                value: self.cap,
                range: [0.0, PI],
            });
        }
        let edge = FRAC_PI_2 - self.cap;
        let arc = |start: f64, end: f64, patch| {
            let curve = Piece::Arc {
                centre: [0.0; 2],
                radii: [self.radius; 2],
                tilt: 0.0,
                start,
                sweep: end - start,
            };
            (end > start).then_some(Section { curve, patch })
        };
        Lathe::new(
            [arc(-FRAC_PI_2, edge, RIGID), arc(edge, FRAC_PI_2, DIAPHRAGM)].into_iter().flatten().collect(),
        )
    }
}
