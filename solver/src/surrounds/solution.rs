//! One body at one frequency: what every motion of the diaphragm sounds like.

use super::places::Places;
use crate::air::Air;
use crate::boundary::{Body, BoundaryError, Drive, Method, Representation, SurfaceField, System};
use crate::coupling::board_behind::{Board, BoardError, BoardedField, BoardedSystem};
use crate::driver::{AirReaction, Motions};
use nalgebra::Vector3;
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::shapes::DIAPHRAGM;
use serde::{Deserialize, Serialize};
use std::ops::Range;

/// A body with what moves in it.
pub(super) struct Sounding<'a> {
    pub body: &'a Body,
    /// One for all frequencies of a mesh: what little it is off varies as smoothly as the sound, and curves can be interpolated.
    pub representation: Representation,
    pub motions: &'a Motions,
    pub places: &'a Places,
    pub air: &'a Air,
    /// The board behind it.
    pub board: Option<&'a Board>,
    /// Normalised specific admittance of the lined patch.
    pub lining: f64,
    /// Planes x = 0 and y = 0 beyond which the body goes on as its image.
    pub mirrored: [bool; 2],
}

/// The sound of one motion.
pub(super) enum Sound<'a> {
    /// In free space, or before an endless plane.
    Free(SurfaceField<'a>),
    /// Before a board.
    Boarded(BoardedField<'a>),
}

impl<'a> Sound<'a> {
    /// The sound on the body's surface.
    pub fn surface(&self) -> &SurfaceField<'a> {
        match self {
            Self::Free(field) => field,
            Self::Boarded(field) => &field.body,
        }
    }

    /// Pressure [Pa RMS] at points [m].
    pub fn at(&self, points: &[Vector3<f64>]) -> Vec<Complex64> {
        self.surface().at(points).into_iter().map(|point| point.pressure).collect()
    }

    /// `r p exp(jkr)` [Pa m RMS] far away in the directions of unit vectors.
    pub fn far(&self, directions: &[Vector3<f64>]) -> Vec<Complex64> {
        match self {
            Self::Free(field) => field.far(directions),
            Self::Boarded(field) => field.far(directions),
        }
    }
}

/// How the equations were solved.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub(super) struct Effort {
    pub steps: usize,
    pub residual: f64,
    /// Times that driver and board threw sound at each other.
    pub exchanges: usize,
}

impl Effort {
    /// What the sound of one motion took.
    pub fn of(sound: &Sound) -> Self {
        let surface = sound.surface();
        let (exchanges, residual) = match sound {
            Sound::Free(_) => (0, surface.residual),
            Sound::Boarded(field) => (field.exchanges, field.residual),
        };
        Self { steps: surface.steps, residual, exchanges }
    }

    /// The largest of all.
    pub fn most(all: impl IntoIterator<Item = Self>) -> Self {
        all.into_iter().fold(Self::default(), |most, one| Self {
            steps: most.steps.max(one.steps),
            residual: most.residual.max(one.residual),
            exchanges: most.exchanges.max(one.exchanges),
        })
    }
}

impl<'a> Sounding<'a> {
    fn system(&self, frequency: f64) -> Result<System<'a>, BoundaryError> {
        let admittance = |patch: u16| match patch {
            crate::driver::SURROUND => Complex64::from(self.lining),
            _ => Complex64::ZERO,
        };
        let representation = self.representation;
        System::represented(self.body, frequency, self.air, admittance, Method::Iterate, representation)
    }

    fn drive(&self, motion: usize) -> Drive {
        drive(self.motions, self.body, motion)
    }

    /// The sound of every motion of unit amplitude.
    pub fn sounds(&self, frequency: f64) -> Result<Vec<Sound<'a>>, BoardError> {
        let system = self.system(frequency)?;
        let motions = 0..self.motions.count();
        let Some(board) = self.board else {
            let free = |motion| Ok(Sound::Free(system.solve(self.drive(motion))?));
            return motions.map(free).collect();
        };
        let boarded = BoardedSystem::new(&system, board)?;
        motions.map(|motion| boarded.solve(self.drive(motion)).map(Sound::Boarded)).collect()
    }

    /// For every motion: pressures at the points and far fields, without their time of flight, then its reaction on all motions.
    pub fn values(&self, sounds: &[Sound], frequency: f64) -> Vec<Complex64> {
        let still = self.places.without_flight(self.air.wavenumber(frequency));
        let mut values = vec![];
        for sound in sounds {
            let near = sound.at(&self.places.points).into_iter();
            let heard = near.chain(sound.far(&self.places.directions));
            values.extend(heard.zip(&still).map(|(value, still)| value * still));
            values.extend(self.reactions(sound.surface()));
        }
        values
    }

    /// For every motion: far fields all round without their time of flight.
    pub fn all_round(&self, sounds: &[Sound], frequency: f64) -> Vec<Complex64> {
        let (k, front) = (self.air.wavenumber(frequency), self.places.front);
        let of = |sound: &Sound| {
            self.places.sphere.filled(self.mirrored, |directions| {
                let still = directions.iter().map(|direction| Complex64::cis(-k * direction.dot(&front)));
                sound.far(directions).into_iter().zip(still).map(|(far, still)| far * still).collect()
            })
        };
        sounds.iter().flat_map(of).collect()
    }

    fn reactions(&self, field: &SurfaceField) -> Vec<Complex64> {
        reactions(self.motions, field, self.copies())
    }

    /// How often the given surface is there with its images beyond x = 0 and y = 0.
    pub fn copies(&self) -> f64 {
        copies(self.mirrored)
    }
}

/// How often a surface is there with its images beyond x = 0 and y = 0.
pub(crate) fn copies(mirrored: [bool; 2]) -> f64 {
    mirrored.iter().map(|mirrored| if *mirrored { 2.0 } else { 1.0 }).product()
}

/// The drive of one motion of unit amplitude.
pub(crate) fn drive(motions: &Motions, body: &Body, motion: usize) -> Drive {
    Drive::moving(body, |patch, place, normal| match patch {
        DIAPHRAGM => (motions.of_one(motion, place.x.hypot(place.y)) * normal.z).into(),
        _ => Complex64::ZERO,
    })
}

/// Forces with which every motion pushes against a sound of the body's, the surface being there `copies` times.
pub(crate) fn reactions(motions: &Motions, field: &SurfaceField, copies: f64) -> Vec<Complex64> {
    let on = |motion: usize| {
        let force = field.integrated(|patch, place, normal| match patch {
            DIAPHRAGM => motions.of_one(motion, place.x.hypot(place.y)) * normal.z,
            _ => 0.0,
        });
        copies * force
    };
    (0..motions.count()).map(on).collect()
}

/// Which values are of one kind: every point by itself, both arcs, reactions; for every one of so many motions.
pub(super) fn groups(places: &Places, motions: usize) -> Vec<Range<usize>> {
    let (points, far) = (places.points.len(), places.directions.len());
    let of_motion = |motion: usize| {
        let start = motion * (points + far + motions);
        let each = (start..start + points).map(|i| i..i + 1);
        let heard = start + points..start + points + far;
        each.chain([heard.clone(), heard.end..heard.end + motions])
    };
    (0..motions).flat_map(of_motion).collect()
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
