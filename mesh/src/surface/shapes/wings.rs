//! Flat wings around a driver.

use super::Slab;
use super::fault::{self, ShapeFault};
use crate::{Outline, Surface};
use nalgebra::{Matrix3, Vector3};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Most wings.
const MOST: usize = 12;

/// Flat plates that stand around a round driver whose front is z = 0, each a body of its own: from beside the driver outwards, leaning
/// towards the listener by the opening angle. Wing 0 lies along x.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wings {
    /// How many.
    pub count: usize,
    /// Extent away from the driver [m].
    pub length: f64,
    /// Extent around the driver [m].
    pub height: f64,
    /// Angle [rad] between the z axis and a wing: a right angle makes a flat baffle.
    pub opening: f64,
    /// Thickness [m].
    pub thickness: f64,
    /// Radius of the driver [m].
    pub driver_radius: f64,
    /// Air between driver and wings [m].
    pub gap: f64,
    /// Radius [m] of the round-over of all edges; at most half the thickness.
    pub rounding: f64,
}

impl Wings {
    /// The closed surfaces of all wings in one, with sides of about `length` [m].
    ///
    /// # Errors
    /// [`ShapeFault`]: which measure is impossible.
    pub fn meshed(&self, length: f64) -> Result<Surface, ShapeFault> {
        let plate = self.plate()?.meshed(length)?;
        let wings = (0..self.count).map(|number| self.placed(&plate, number));
        Ok(wings.fold(Surface::default(), |all, wing| all.joined(&wing)))
    }

    /// One wing as a slab of its own, its length along x, before it is placed.
    ///
    /// # Errors
    /// [`ShapeFault`]: which measure is impossible.
    pub fn plate(&self) -> Result<Slab, ShapeFault> {
        self.checked()?;
        let outline = Outline::Rectangle { width: self.length, height: self.height };
        let sharp = Slab::plain(outline, self.thickness);
        Ok(Slab { front_rounding: self.rounding, back_rounding: self.rounding, ..sharp })
    }

    /// Rotation of the plate, and place [m] of its middle, that make it wing 0.
    pub fn first(&self) -> (Matrix3<f64>, Vector3<f64>) {
        let (s, c) = quarter_exact(self.opening);
        let lean = Matrix3::new(s, 0.0, -c, 0.0, 1.0, 0.0, c, 0.0, s);
        let start = Vector3::new(self.driver_radius + self.gap, 0.0, 0.0);
        (lean, start + lean * Vector3::x() * (0.5 * self.length))
    }

    fn checked(&self) -> Result<(), ShapeFault> {
        if !(1..=MOST).contains(&self.count) {
            return Err(ShapeFault::Count { what: "wings", count: self.count, least: 1, most: MOST });
        }
        fault::positive("length of the wings", self.length)?;
        fault::positive("height of the wings", self.height)?;
        fault::positive("thickness of the wings", self.thickness)?;
        fault::positive("driver radius", self.driver_radius)?;
        fault::positive("gap between driver and wings", self.gap)?;
        fault::not_negative("rounding of the wings' edges", self.rounding)?;
        if !(self.opening > 0.0 && self.opening <= FRAC_PI_2) {
            return Err(ShapeFault::Angle {
                what: "opening angle",
                value: self.opening,
                range: [0.0, FRAC_PI_2],
            });
        }
        if self.count > 2 {
            let room = 2.0 * (self.driver_radius + self.gap) * (PI / self.count as f64).tan();
            fault::below("height of the wings", self.height, room, "neighbouring wings would cross")?;
        }
        Ok(())
    }

    fn placed(&self, plate: &Surface, number: usize) -> Surface {
        let (sin, cos) = quarter_exact(TAU * number as f64 / self.count as f64);
        let around = Matrix3::new(cos, -sin, 0.0, sin, cos, 0.0, 0.0, 0.0, 1.0);
        let (lean, middle) = self.first();
        let points = plate.points.iter().map(|point| around * (lean * point + middle)).collect();
        Surface { points, triangles: plate.triangles.clone(), patches: plate.patches.clone() }
    }
}

/// Sine and cosine, exact at multiples of a right angle.
fn quarter_exact(angle: f64) -> (f64, f64) {
    let (sin, cos) = angle.sin_cos();
    let exact = |value: f64| if (value - value.round()).abs() < 1e-15 { value.round() } else { value };
    (exact(sin), exact(cos))
}
