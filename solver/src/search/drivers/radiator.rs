//! The driver's own sound with nothing behind it, and what a wall behind changes.

use crate::boundary::{Body, BoundaryError, Method, Mirrors, SurfaceField, System};
use crate::coupling::board_behind::{Board, BoardError, BoardedSystem};
use crate::driver::{AirReaction, Assembly, Motions, Motor, SURROUND};
use crate::scene::{Behind, DriverScene, Seat, Surround};
use crate::surrounds::{CompareError, admittance, coarsest, copies, drive, reactions};
use nalgebra::Vector3;
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::Outline;

/// A driver with one surround, wherever it hangs.
pub(super) struct Radiator<'a> {
    scene: &'a DriverScene,
    surround: &'a Surround,
    motions: Motions,
    /// Planes x = 0 and y = 0 that it is symmetric to.
    mirrored: [bool; 2],
    /// In free space, and before a rigid wall without end at z = 0.
    bodies: [Body; 2],
    /// Before the wall and by itself, without symmetry: sound may come from anywhere.
    obstacle: Body,
    whole: Body,
}

/// Layers of sources on the body that sound as the driver does under its voltage. Nothing throws their sound back: walls are added outside.
pub(super) struct Layers<'r> {
    /// When nothing is behind it.
    pub free: SurfaceField<'r>,
    /// When a wall without end is behind it.
    pub walled: SurfaceField<'r>,
}

impl<'a> Radiator<'a> {
    /// The driver of `scene` with the first of its surrounds; whatever is behind it in the scene does not matter.
    ///
    /// # Errors
    /// When it cannot hang before a wall, or cannot be computed.
    pub fn new(scene: &'a DriverScene, surround: &'a Surround) -> Result<Self, CompareError> {
        let Some(&top) = scene.frequencies.last() else { return Err(CompareError::NoFrequency) };
        let shape = |fault| CompareError::Shape { surround: surround.name.clone(), fault };
        let assembly = Assembly::new(&scene.driver, surround, &Behind::Plane).map_err(shape)?;
        let mirrored = assembly.symmetric();
        let length = (scene.air.sound_speed / (top * scene.elements_per_wavelength)).min(coarsest(scene));
        let body = |[x, y]: [bool; 2], wall| {
            let surface = assembly.meshed(length, [x, y]).map_err(shape)?;
            Body::new(&surface, Mirrors([x, y, wall])).map_err(|fault| refused(surround, fault))
        };
        Ok(Self {
            scene,
            surround,
            motions: Motions::of(&scene.driver.diaphragm, top)?,
            mirrored,
            bodies: [body(mirrored, false)?, body(mirrored, true)?],
            obstacle: body([false; 2], true)?,
            whole: body([false; 2], false)?,
        })
    }

    /// Lowest and highest place of the body over the wall [m].
    pub fn heights(&self) -> [f64; 2] {
        let heights = || self.bodies[0].points().iter().map(|point| point.z);
        [heights().fold(f64::INFINITY, f64::min), heights().fold(f64::NEG_INFINITY, f64::max)]
    }

    /// Radius [m] about the driver's axis.
    pub fn radius(&self) -> f64 {
        self.bodies[0].points().iter().map(|point| point.x.hypot(point.y)).fold(0.0, f64::max)
    }

    /// Farthest point from where the axis meets the wall [m].
    pub fn reach(&self) -> f64 {
        self.bodies[0].points().iter().map(|point| point.norm()).fold(0.0, f64::max)
    }

    /// The rigid body before the wall, for sound that arrives.
    ///
    /// # Errors
    /// When it cannot be computed.
    pub fn obstacle(&self, frequency: f64) -> Result<System<'_>, CompareError> {
        self.system(&self.obstacle, frequency, Method::Factorise)
    }

    /// The whole computation at one place before a finite board: pressures [Pa RMS] at seats, both scattering each other's sound.
    ///
    /// # Errors
    /// When it does not converge.
    pub fn before_board(
        &self,
        board: &Outline,
        place: [f64; 2],
        seats: &[Seat],
        frequency: f64,
    ) -> Result<Vec<Complex64>, CompareError> {
        let wavelength = self.scene.air.sound_speed / frequency;
        let board = Board::new(board, place, Board::step(board, place, &self.whole, wavelength));
        let fault = |fault| CompareError::Sound { surround: self.surround.name.clone(), fault };
        let system = self.system(&self.whole, frequency, Method::Iterate)?;
        let boarded = BoardedSystem::new(&system, &board).map_err(fault)?;
        let one = |motion| boarded.solve(drive(&self.motions, &self.whole, motion));
        let sounds = (0..self.motions.count()).map(one).collect::<Result<Vec<_>, _>>().map_err(fault)?;
        let forces: Vec<Vec<Complex64>> =
            sounds.iter().map(|sound| reactions(&self.motions, &sound.body, 1.0)).collect();
        let points: Vec<Vector3<f64>> = seats
            .iter()
            .map(|seat| Vector3::from(seat.position) - Vector3::new(place[0], place[1], 0.0))
            .collect();
        let mut heard = vec![Complex64::ZERO; seats.len()];
        for (sound, q) in sounds.iter().zip(self.moved(&forces, frequency)) {
            heard.iter_mut().zip(sound.at(&points)).for_each(|(sum, field)| *sum += q * field.pressure);
        }
        Ok(heard)
    }

    /// What is told when its equations cannot be solved.
    pub fn refused(&self, fault: BoundaryError) -> CompareError {
        refused(self.surround, fault)
    }

    /// The layers at `frequency` [Hz].
    ///
    /// # Errors
    /// When an iteration does not converge.
    pub fn layers(&self, frequency: f64) -> Result<Layers<'_>, CompareError> {
        let [free, walled] = &self.bodies;
        Ok(Layers { free: self.driven(free, frequency)?, walled: self.driven(walled, frequency)?.on(free) })
    }

    /// The sound of a body under the driver's voltage, against the reaction of the air around that body.
    fn driven<'b>(&self, body: &'b Body, frequency: f64) -> Result<SurfaceField<'b>, CompareError> {
        let sounds = self.sounds(body, frequency)?;
        let forces: Vec<Vec<Complex64>> =
            sounds.iter().map(|sound| reactions(&self.motions, sound, copies(self.mirrored))).collect();
        let parts = sounds.into_iter().zip(self.moved(&forces, frequency)).map(|(sound, q)| sound.times(q));
        Ok(parts.reduce(SurfaceField::plus).expect("a diaphragm has a motion"))
    }

    /// Amplitudes of the motions under the driver's voltage, against the forces that each of unit amplitude meets.
    fn moved(&self, forces: &[Vec<Complex64>], frequency: f64) -> Vec<Complex64> {
        let count = self.motions.count();
        let reaction: AirReaction = Array2::from_shape_fn((count, count), |(m, n)| forces[n][m]);
        let driver = &self.scene.driver;
        Motor::new(driver, &self.motions, &self.scene.air)
            .driven(driver.voltage, frequency, &reaction)
            .amplitudes
    }

    /// The sound of every motion of unit amplitude.
    fn sounds<'b>(&self, body: &'b Body, frequency: f64) -> Result<Vec<SurfaceField<'b>>, CompareError> {
        let system = self.system(body, frequency, Method::Iterate)?;
        let one = |motion| system.solve(drive(&self.motions, body, motion));
        (0..self.motions.count()).map(one).collect::<Result<_, _>>().map_err(|fault| self.refused(fault))
    }

    fn system<'b>(&self, body: &'b Body, frequency: f64, method: Method) -> Result<System<'b>, CompareError> {
        let lining = admittance(self.surround.absorption);
        let on = |patch: u16| if patch == SURROUND { lining.into() } else { Complex64::ZERO };
        System::new(body, frequency, &self.scene.air, on, method).map_err(|fault| self.refused(fault))
    }
}

fn refused(surround: &Surround, fault: BoundaryError) -> CompareError {
    CompareError::Sound { surround: surround.name.clone(), fault: BoardError::from(fault) }
}
