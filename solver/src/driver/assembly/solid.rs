//! One closed body of an assembly: its true shape, where it lies, and how it is divided into elements.

use super::{AssemblyFault, SURROUND};
use nalgebra::{Isometry3, Point3, Vector3};
use panelwright_mesh::remesh::{Target, remesh};
use panelwright_mesh::shapes::{Lathe, RIGID, ShapeFault, Slab};
use panelwright_mesh::{Mirror, NotSymmetric, QuadraticSurface, Surface};
use std::f64::consts::FRAC_PI_6;

/// Neighbours of a part from a file that meet at a larger angle [rad] make a sharp edge.
const SHARP: f64 = FRAC_PI_6;
/// The volume of a part from a file may change by this share when it is divided anew.
const VOLUME: f64 = 0.05;
/// Points of a symmetric part may lie off the image of its surface by this share of its size: files approximate round faces by chords.
const ALIKE: f64 = 2e-4;
/// Points beyond a plane of symmetry by less than this share of the size are on it.
const ON_THE_PLANE: f64 = 1e-9;
/// What looks back by more than this cosine is a back.
const BACKWARDS: f64 = -0.5;

/// The planes x = 0 and y = 0.
pub const PLANES: [Mirror; 2] = [Mirror::X, Mirror::Y];

/// True shape of a body about its own origin.
pub enum Shape {
    /// A body of revolution.
    Turned(Lathe),
    /// A plate.
    Flat(Box<Slab>),
    /// A surface from a file.
    Given(Surface),
}

/// Which patches its surface gets.
pub enum Patches {
    /// Those of the shape: rigid but for the diaphragm.
    OfTheShape,
    /// That of surrounds.
    Surround,
    /// Those of the shape within this radius [m] and at the back; beyond it that of surrounds.
    SurroundBeyond(f64),
}

/// A closed body.
pub struct Solid {
    /// Name in faults.
    pub name: String,
    pub shape: Shape,
    /// From its own coordinates to those about the middle of the driver's front.
    pub place: Isometry3<f64>,
    pub patches: Patches,
}

impl Solid {
    /// A part of the surround.
    pub fn surround(name: impl Into<String>, shape: Shape, place: Isometry3<f64>) -> Self {
        Self { name: name.into(), shape, place, patches: Patches::Surround }
    }

    /// The closed surface with sides of about `length` [m], plane; a surface from a file is left as it is.
    pub fn triangles(&self, length: f64) -> Result<Surface, AssemblyFault> {
        let own = match &self.shape {
            Shape::Turned(lathe) => lathe.meshed(length),
            Shape::Flat(slab) => slab.meshed(length),
            Shape::Given(surface) => Ok(surface.clone()),
        };
        let mut surface = own.map_err(|fault| self.shape_fault(fault))?;
        surface
            .points
            .iter_mut()
            .for_each(|point| *point = self.place * Point3::from(*point) - Point3::origin());
        Ok(surface)
    }

    /// The curved elements with sides of about `length` [m]: all of them, or the part on the positive side of the `mirrors`.
    pub fn elements(&self, length: f64, mirrors: [bool; 2]) -> Result<QuadraticSurface, AssemblyFault> {
        let surface = self.positive(self.triangles(length)?, mirrors)?;
        let surface =
            if let Shape::Given(_) = self.shape { self.divided(&surface, length)? } else { surface };
        Ok(self.curved(&surface, length))
    }

    /// Triangles for sides of `length` [m], or some of them, as elements that follow the true shape.
    pub fn curved(&self, surface: &Surface, length: f64) -> QuadraticSurface {
        let mut elements = match &self.shape {
            Shape::Turned(lathe) => self.moved(surface, lathe.onto(length)),
            Shape::Flat(slab) => self.moved(surface, slab.onto(length)),
            Shape::Given(_) => QuadraticSurface::plane(surface),
        };
        self.paint(&mut elements);
        elements
    }

    /// True if all numbers of its place are finite.
    pub fn is_somewhere(&self) -> bool {
        self.place.to_homogeneous().iter().all(|value| value.is_finite())
    }

    /// True about x = 0 and y = 0 when the surface is its own mirror image.
    pub fn symmetric(surface: &Surface) -> [bool; 2] {
        PLANES.map(|plane| surface.positive_half(plane, ALIKE * surface.diagonal()).is_ok())
    }

    fn positive(&self, surface: Surface, mirrors: [bool; 2]) -> Result<Surface, AssemblyFault> {
        let planes = (0..2).filter(|&axis| mirrors[axis]);
        planes.into_iter().try_fold(surface, |surface, axis| {
            let fault = |_: NotSymmetric| AssemblyFault::NotSymmetric {
                part: self.name.clone(),
                axis: ['x', 'y'][axis],
            };
            positive(surface, axis).map_err(fault)
        })
    }

    fn divided(&self, surface: &Surface, length: f64) -> Result<Surface, AssemblyFault> {
        if surface.triangles.is_empty() {
            return Ok(surface.clone());
        }
        let target = Target { length: &|_, _| length, sharp: SHARP, volume: VOLUME };
        let fault = |fault| AssemblyFault::Remesh { part: self.name.clone(), fault };
        remesh(surface, &target).map(|remeshed| remeshed.surface).map_err(fault)
    }

    /// Middles of sides on the true shape, in its own coordinates.
    fn moved(&self, surface: &Surface, onto: impl Fn([Vector3<f64>; 2]) -> Vector3<f64>) -> QuadraticSurface {
        let there = |ends: [Vector3<f64>; 2]| {
            let own = ends.map(|end| self.place.inverse_transform_point(&end.into()).coords);
            self.place * Point3::from(onto(own)) - Point3::origin()
        };
        QuadraticSurface::curved(surface, there)
    }

    fn paint(&self, elements: &mut QuadraticSurface) {
        match self.patches {
            Patches::OfTheShape => {}
            Patches::Surround => elements.patches.fill(SURROUND),
            Patches::SurroundBeyond(radius) => {
                for (patch, nodes) in elements.patches.iter_mut().zip(&elements.elements) {
                    let [a, b, c] = [0, 1, 2].map(|i| elements.points[nodes[i] as usize]);
                    let normal = (b - a).cross(&(c - a));
                    let outside = ((a + b + c) / 3.0).xy().norm() > radius;
                    if *patch == RIGID && outside && normal.z > BACKWARDS * normal.norm() {
                        *patch = SURROUND;
                    }
                }
            }
        }
    }

    pub fn shape_fault(&self, fault: ShapeFault) -> AssemblyFault {
        AssemblyFault::Shape { part: self.name.clone(), fault }
    }
}

/// The part with a positive coordinate: nothing or all of a body beside the plane, half of one that is symmetric to it.
fn positive(surface: Surface, axis: usize) -> Result<Surface, NotSymmetric> {
    let near = ON_THE_PLANE * surface.diagonal();
    if surface.points.iter().all(|point| point[axis] <= near) {
        return Ok(Surface::default());
    }
    if surface.points.iter().all(|point| point[axis] > near) {
        return Ok(surface);
    }
    surface.positive_half(PLANES[axis], ALIKE * surface.diagonal())
}
