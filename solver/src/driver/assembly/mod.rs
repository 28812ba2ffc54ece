//! Driver and surround as closed surfaces, ready for boundary elements and for printing.
//!
//! # Bodies
//!
//! The housing is one body with the diaphragm in it; every part of the surround is a body of its own with air around it: nothing is united.
//! Only a round-over changes the housing itself. Bodies are built about the middle of the driver's front:
//!
//! - **Round housings** are bodies of revolution with curved elements. One that is open at the back has its diaphragm as a septum: as thick as
//!   a bending disc says, else 0.5 mm; both faces belong to the diaphragm.
//! - **Rectangular housings** are plates with a flat diaphragm, closed at the back.
//! - **Balls** are closed spheres whose front cap is the diaphragm; the cap's edge lies in the plane of the front.
//! - **Rings** that move have circles of element sides at the coil and at their inner radius, where the velocity has kinks; what lies
//!   within the inner radius does not move and is rigid.
//! - **Wings, baffles and brackets** have plane elements but for circular edges; rounded edges are followed by three steps at least. The
//!   round-over of a baffle is that of its outer edge; the cut-out stays sharp.
//! - **A part from a file** is divided anew; its sharp edges stay.
//!
//! # Patches
//!
//! [`RIGID`] for the housing, [`DIAPHRAGM`] for what moves, [`SURROUND`] for the surface of the surround, of a round-over its rounded and
//! widened side.

mod clearance;
mod facets;
mod fault;
mod housing;
mod solid;
mod surround;
mod wings;

#[cfg(test)]
mod tests;

pub use fault::AssemblyFault;
pub use panelwright_mesh::shapes::{DIAPHRAGM, RIGID};

use crate::scene::{Behind, SmallDriver, Surround, SurroundForm};
use facets::Facets;
use panelwright_mesh::check::Span;
use panelwright_mesh::{QuadraticSurface, Surface};
use solid::{Shape, Solid};

/// Patch of the surface of a surround.
pub const SURROUND: u16 = 2;
/// Least air [m] between two bodies, and between a body and the panel.
pub const LEAST_GAP: f64 = 0.2e-3;

/// The narrowest air of an assembly.
#[derive(Clone, Debug, PartialEq)]
pub struct Gap {
    /// Between which parts.
    pub parts: [String; 2],
    /// Where [m], in the assembly's coordinates.
    pub span: Span,
}

/// Driver and surround as closed surfaces. Coordinates: the scene's, moved along x and y so that the driver's axis is the z axis; z = 0
/// stays the panel's front.
pub struct Assembly {
    /// The housing, then the bodies of the surround.
    solids: Vec<Solid>,
    symmetric: [bool; 2],
    /// z of the middle of the driver's front [m].
    height: f64,
    round_over: bool,
    least_gap: Option<Gap>,
}

impl Assembly {
    /// Builds all bodies and looks whether they keep off each other and off what is behind.
    ///
    /// # Errors
    /// [`AssemblyFault`]: which part, where, and what to do.
    pub fn new(driver: &SmallDriver, surround: &Surround, behind: &Behind) -> Result<Self, AssemblyFault> {
        let mut assembly = Self::unjudged(driver, surround)?;
        assembly.least_gap = clearance::least_gap(&assembly.solids, behind, driver.place)?;
        if let Some(gap) = &mut assembly.least_gap {
            gap.span.ends.iter_mut().for_each(|end| end.z += assembly.height);
        }
        Ok(assembly)
    }

    /// All bodies, whether they keep off each other or not: to be looked at, not to be computed.
    ///
    /// # Errors
    /// [`AssemblyFault`], of a body that cannot be built by itself.
    pub fn unjudged(driver: &SmallDriver, surround: &Surround) -> Result<Self, AssemblyFault> {
        let mut solids = vec![housing::housing(driver, surround)?];
        let around = surround::surround(driver, surround)?;
        solids.extend(around.solids);
        if !driver.place.iter().all(|value| value.is_finite()) {
            return Err(AssemblyFault::Nowhere { part: "driver".into() });
        }
        if let Some(lost) = solids.iter().find(|solid| !solid.is_somewhere()) {
            return Err(AssemblyFault::Nowhere { part: lost.name.clone() });
        }
        let round_over = matches!(surround.form, SurroundForm::RoundOver { .. });
        Ok(Self { solids, symmetric: around.symmetric, height: driver.place[2], round_over, least_gap: None })
    }

    /// True about x = 0 and y = 0 when everything is symmetric there: housing and surround, whatever is behind them.
    pub fn symmetric(&self) -> [bool; 2] {
        self.symmetric
    }

    /// The narrowest air between two bodies, or between one and the panel; None for a body alone.
    pub fn least_gap(&self) -> Option<&Gap> {
        self.least_gap.as_ref()
    }

    /// Curved six-point triangles with sides of about `length` [m]; only the part on the positive side of the planes x = 0 and y = 0 that
    /// `mirrors` asks for, which must be planes of symmetry. The part of a surface that lies in no element is open there.
    ///
    /// # Errors
    /// [`AssemblyFault`]: sides that make far too many elements, a plane that is none of symmetry, or a part from a file that coarse
    /// elements push into another part.
    pub fn meshed(&self, length: f64, mirrors: [bool; 2]) -> Result<QuadraticSurface, AssemblyFault> {
        if let Some(axis) = (0..2).find(|&axis| mirrors[axis] && !self.symmetric[axis]) {
            let part = self.solids[self.solids.len() - 1].name.clone();
            return Err(AssemblyFault::NotSymmetric { part, axis: ['x', 'y'][axis] });
        }
        let mut all = QuadraticSurface { points: vec![], elements: vec![], patches: vec![] };
        for (number, solid) in self.solids.iter().enumerate() {
            let elements = solid.elements(length, mirrors)?;
            if let Shape::Given(_) = solid.shape {
                self.keeps_off(number, &elements, length)?;
            }
            add(&mut all, elements);
        }
        all.points.iter_mut().for_each(|point| point.z += self.height);
        Ok(all)
    }

    /// The surround alone as a closed surface with sides of about `length` [m], about its own origin, the middle of the housing's front;
    /// a part from a file as it was, and for a round-over the whole housing as a solid. None for the bare driver.
    pub fn printable(&self, length: f64) -> Option<Result<Surface, AssemblyFault>> {
        let printed = if self.round_over { &self.solids[..] } else { &self.solids[1..] };
        let join = |all: Surface, solid: &Solid| Ok(all.joined(&solid.triangles(length)?));
        (!printed.is_empty()).then(|| printed.iter().try_fold(Surface::default(), join))
    }

    /// Looks whether a part from a file still keeps off the other bodies after it was divided.
    fn keeps_off(
        &self,
        number: usize,
        elements: &QuadraticSurface,
        length: f64,
    ) -> Result<(), AssemblyFault> {
        let triangles = elements.elements.iter().map(|&[a, b, c, ..]| [a, b, c]).collect();
        let divided =
            Surface { points: elements.points.clone(), triangles, patches: elements.patches.clone() };
        let others = self.solids.iter().enumerate().filter(|&(other, _)| other != number);
        let others = others.map(|(_, solid)| Facets::of(solid)).collect::<Result<Vec<_>, _>>()?;
        match clearance::met_by(&divided, &others) {
            None => Ok(()),
            Some((other, at)) => {
                let part = self.solids[number].name.clone();
                Err(AssemblyFault::Coarse { part, other, at, length })
            }
        }
    }
}

/// Adds the elements of another body.
fn add(all: &mut QuadraticSurface, more: QuadraticSurface) {
    let first = all.points.len() as u32;
    all.points.extend(more.points);
    all.elements.extend(more.elements.iter().map(|nodes| nodes.map(|node| node + first)));
    all.patches.extend(more.patches);
}
