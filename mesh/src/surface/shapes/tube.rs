//! Tubes that are open at the back.

use super::fault::{self, ShapeFault};
use super::housing::{front_edge, straight};
use super::{Diaphragm, Lathe, Section};

/// A tube along z, open at the back, with a diaphragm across it whose edge lies in the plane of its front, z = 0. Both faces of the
/// diaphragm belong to its patch. All in one body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tube {
    /// Outer radius [m].
    pub radius: f64,
    /// Extent along z [m].
    pub depth: f64,
    /// Thickness of its wall [m]; its rim at the back is flat.
    pub wall: f64,
    /// Radius [m] of the round-over of the front's edge; 0 leaves it sharp.
    pub rounding: f64,
    /// Radius of the diaphragm [m].
    pub diaphragm_radius: f64,
    /// Shape of the diaphragm's front; its back is the same, moved along z.
    pub diaphragm: Diaphragm,
    /// Thickness of the diaphragm along z [m], and of the rigid ring between it and the wall.
    pub septum: f64,
}

impl Tube {
    /// The body as a profile.
    ///
    /// # Errors
    /// [`ShapeFault`]: which measure is impossible.
    pub fn lathe(&self) -> Result<Lathe, ShapeFault> {
        self.checked()?;
        let Self { radius, depth, rounding, diaphragm_radius, .. } = *self;
        let inside = radius - self.wall;
        let mut sections = self.back_face();
        if inside > diaphragm_radius {
            sections.push(straight([diaphragm_radius, -self.septum], [inside, -self.septum]));
        }
        sections.push(straight([inside, -self.septum], [inside, -depth]));
        sections.push(straight([inside, -depth], [radius, -depth]));
        sections.push(straight([radius, -depth], [radius, -rounding]));
        sections.extend(front_edge(radius, rounding));
        sections.push(straight([radius - rounding, 0.0], [diaphragm_radius, 0.0]));
        sections.extend(self.diaphragm.sections(diaphragm_radius));
        Lathe::new(sections)
    }

    /// The back of the diaphragm from the axis to its edge.
    fn back_face(&self) -> Vec<Section> {
        let back = |section: &Section| Section {
            curve: section.curve.reversed().moved([0.0, -self.septum]),
            patch: section.patch,
        };
        self.diaphragm.sections(self.diaphragm_radius).iter().rev().map(back).collect()
    }

    fn checked(&self) -> Result<(), ShapeFault> {
        fault::positive("radius of the tube", self.radius)?;
        fault::positive("depth of the tube", self.depth)?;
        fault::positive("wall of the tube", self.wall)?;
        fault::not_negative("rounding of the front's edge", self.rounding)?;
        fault::below(
            "rounding of the front's edge",
            self.rounding,
            self.depth,
            "it does not fit into the depth",
        )?;
        fault::positive("radius of the diaphragm", self.diaphragm_radius)?;
        let inside = (self.radius - self.wall) * (1.0 + 1e-9);
        fault::below(
            "radius of the diaphragm",
            self.diaphragm_radius,
            inside,
            "it reaches into the tube's wall",
        )?;
        let front = self.radius - self.rounding;
        fault::below(
            "radius of the diaphragm",
            self.diaphragm_radius,
            front,
            "it reaches the edge of the flat front",
        )?;
        fault::positive("thickness of the diaphragm", self.septum)?;
        let behind_it = self.depth - self.septum;
        fault::positive("depth of the tube behind the diaphragm", behind_it)?;
        self.diaphragm.checked(self.diaphragm_radius, behind_it)
    }
}
