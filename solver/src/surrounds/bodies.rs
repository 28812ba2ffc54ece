//! The bodies of a comparison: every assembly and every mesh of it is made once.

use super::CompareError;
use super::ladder::{Rung, ladder};
use crate::driver::{Assembly, AssemblyFault};
use crate::scene::{Behind, DriverScene, Surround};
use panelwright_mesh::{QuadraticSurface, Surface};
use std::cell::OnceCell;

/// Elements across the diaphragm's radius on the coarsest mesh.
const COARSEST_ACROSS: f64 = 2.5;

/// The driver with each of its surrounds, and the meshes that the frequencies ask for.
pub struct Bodies<'s> {
    pub(super) scene: &'s DriverScene,
    pub(super) ladder: Vec<Rung>,
    pub(super) all: Vec<Embodied<'s>>,
}

/// The driver with one surround.
pub(super) struct Embodied<'s> {
    pub surround: &'s Surround,
    assembly: Assembly,
    /// Planes x = 0 and y = 0 that everything is symmetric to.
    pub mirrored: [bool; 2],
    /// One per rung.
    meshes: Vec<OnceCell<QuadraticSurface>>,
}

impl<'s> Bodies<'s> {
    /// Assembles the driver with every surround of the scene; meshes are made when they are needed.
    ///
    /// # Errors
    /// [`CompareError`]: no frequencies, or the first surround whose shape cannot be.
    pub fn of(scene: &'s DriverScene) -> Result<Self, CompareError> {
        if scene.frequencies.is_empty() {
            return Err(CompareError::NoFrequency);
        }
        let per_wavelength = scene.elements_per_wavelength;
        let ladder = ladder(&scene.frequencies, scene.air.sound_speed, per_wavelength, coarsest(scene));
        let all = scene.surrounds.iter().map(|surround| Embodied::new(scene, surround, ladder.len()));
        Ok(Self { scene, all: all.collect::<Result<_, _>>()?, ladder })
    }

    /// Every surround that can be printed, with its name, as a closed surface of triangles with sides of about `length` [m] about its own origin.
    pub fn printable(
        &self,
        length: f64,
    ) -> impl Iterator<Item = (&'s str, Result<Surface, CompareError>)> + '_ {
        self.all.iter().filter_map(move |body| {
            let printed = body.assembly.printable(length)?;
            Some((body.surround.name.as_str(), printed.map_err(|fault| body.refused(fault))))
        })
    }
}

impl<'s> Embodied<'s> {
    fn new(scene: &DriverScene, surround: &'s Surround, rungs: usize) -> Result<Self, CompareError> {
        let assembly = Assembly::new(&scene.driver, surround, &scene.behind)
            .map_err(|fault| CompareError::Shape { surround: surround.name.clone(), fault })?;
        // A board is not symmetric to the driver's axis.
        let board = matches!(scene.behind, Behind::Board(_));
        let mirrored = assembly.symmetric().map(|symmetric| symmetric && !board);
        Ok(Self { surround, assembly, mirrored, meshes: (0..rungs).map(|_| OnceCell::new()).collect() })
    }

    /// The mesh of a rung of this number, of the part that symmetry leaves.
    pub fn meshed(&self, number: usize, rung: &Rung) -> Result<&QuadraticSurface, CompareError> {
        made(&self.meshes[number], || {
            self.assembly.meshed(rung.length, self.mirrored).map_err(|fault| self.refused(fault))
        })
    }

    /// The whole body in plane triangles, coarsely.
    pub fn drawn(&self, scene: &DriverScene) -> Result<Surface, CompareError> {
        let curved =
            self.assembly.meshed(coarsest(scene), [false; 2]).map_err(|fault| self.refused(fault))?;
        let triangles = curved.elements.iter().map(|&[a, b, c, ..]| [a, b, c]).collect();
        Ok(Surface { points: curved.points, triangles, patches: curved.patches })
    }

    fn refused(&self, fault: AssemblyFault) -> CompareError {
        CompareError::Shape { surround: self.surround.name.clone(), fault }
    }
}

/// Sides [m] of the elements of the coarsest mesh.
pub(crate) fn coarsest(scene: &DriverScene) -> f64 {
    scene.driver.diaphragm.radius / COARSEST_ACROSS
}

/// What is in the cell, made now if need be.
pub(super) fn made<T, E>(cell: &OnceCell<T>, make: impl FnOnce() -> Result<T, E>) -> Result<&T, E> {
    if let Some(there) = cell.get() {
        return Ok(there);
    }
    let made = make()?;
    Ok(cell.get_or_init(|| made))
}
