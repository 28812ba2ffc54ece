//! One body at one frequency: what every motion of the diaphragm sounds like.

use super::places::Places;
use crate::air::Air;
use crate::boundary::{Body, BoundaryError, Drive, Method, SurfaceField, System};
use crate::driver::{AirReaction, Motions};
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::shapes::DIAPHRAGM;

/// A body with what moves in it.
pub(super) struct Sounding<'a> {
    pub body: &'a Body,
    pub motions: &'a Motions,
    pub places: &'a Places,
    pub air: &'a Air,
    /// Normalised specific admittance of the lined patch.
    pub lining: f64,
    /// Mirror images of the body that are parts of the driver.
    pub copies: f64,
}

/// How the equations were solved.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Effort {
    pub steps: usize,
    pub residual: f64,
}

impl Sounding<'_> {
    pub fn system(&self, frequency: f64) -> Result<System<'_>, BoundaryError> {
        let admittance = |patch: u16| match patch {
            crate::driver::SURROUND => Complex64::from(self.lining),
            _ => Complex64::ZERO,
        };
        System::new(self.body, frequency, self.air, admittance, Method::Iterate)
    }

    /// The drive of one motion of unit amplitude.
    pub fn drive(&self, motion: usize) -> Drive {
        Drive::moving(self.body, |patch, place, normal| match patch {
            DIAPHRAGM => (self.motions.of_one(motion, place.x.hypot(place.y)) * normal.z).into(),
            _ => Complex64::ZERO,
        })
    }

    /// The drive of all motions at these amplitudes [m/s RMS].
    pub fn driven(&self, amplitudes: &[Complex64]) -> Drive {
        Drive::moving(self.body, |patch, place, normal| match patch {
            DIAPHRAGM => {
                let shapes = self.motions.at(place.x.hypot(place.y));
                amplitudes.iter().zip(shapes).map(|(q, shape)| q * (shape * normal.z)).sum()
            }
            _ => Complex64::ZERO,
        })
    }

    /// For every motion: pressures at the points and far fields, without their time of flight, then its reaction on all motions.
    pub fn values(&self, frequency: f64) -> Result<(Vec<Complex64>, Effort), BoundaryError> {
        let system = self.system(frequency)?;
        let still = self.places.without_flight(self.air.wavenumber(frequency));
        let (mut values, mut effort) = (vec![], Effort::default());
        for motion in 0..self.motions.count() {
            let field = system.solve(self.drive(motion))?;
            effort = Effort {
                steps: effort.steps.max(field.steps),
                residual: effort.residual.max(field.residual),
            };
            let near = field.at(&self.places.points).into_iter().map(|point| point.pressure);
            let heard = near.chain(field.far(&self.places.directions));
            values.extend(heard.zip(&still).map(|(value, still)| value * still));
            values.extend(self.reactions(&field));
        }
        Ok((values, effort))
    }

    fn reactions(&self, field: &SurfaceField) -> Vec<Complex64> {
        let on = |motion: usize| {
            let force = field.integrated(|patch, place, normal| match patch {
                DIAPHRAGM => self.motions.of_one(motion, place.x.hypot(place.y)) * normal.z,
                _ => 0.0,
            });
            self.copies * force
        };
        (0..self.motions.count()).map(on).collect()
    }
}

/// The values of [`Sounding::values`], sorted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Values<'a> {
    pub values: &'a [Complex64],
    pub motions: usize,
}

impl Values<'_> {
    fn of_motion(&self, motion: usize) -> &[Complex64] {
        let length = self.values.len() / self.motions;
        &self.values[motion * length..(motion + 1) * length]
    }

    /// Reaction of the air: (motion pushed, motion that moves).
    pub fn reaction(&self) -> AirReaction {
        let count = self.motions;
        Array2::from_shape_fn((count, count), |(m, n)| {
            let of = self.of_motion(n);
            of[of.len() - count + m]
        })
    }

    /// Pressures and far fields when the motions have these amplitudes.
    pub fn heard(&self, amplitudes: &[Complex64]) -> Vec<Complex64> {
        let count = self.of_motion(0).len() - self.motions;
        let of = |i: usize| amplitudes.iter().enumerate().map(|(m, q)| q * self.of_motion(m)[i]).sum();
        (0..count).map(of).collect()
    }
}
