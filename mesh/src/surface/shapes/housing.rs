//! Round driver housings.

use super::fault::{self, ShapeFault};
use super::{DIAPHRAGM, Lathe, RIGID, Section};
use crate::Piece;
use std::f64::consts::FRAC_PI_2;

/// So much of a measure may be taken up: printers and meshes do not like slivers.
const NEARLY: f64 = 0.98;

/// Shape of a round diaphragm whose edge lies in the plane z = 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Diaphragm {
    /// A disc.
    Flat,
    /// A cone that opens towards the front.
    Cone {
        /// How far its apex lies behind the edge [m].
        depth: f64,
    },
    /// A spherical cap towards the front.
    Dome {
        /// How far its top lies before the edge [m].
        height: f64,
    },
    /// A flat ring whose velocity has a kink at the coil; what lies within it does not move. Sides of elements follow both circles.
    Ring {
        /// Radius within which nothing moves [m].
        inner_radius: f64,
        /// Radius of the coil [m].
        coil_radius: f64,
    },
}

/// A cylinder with its front at z = 0 and a diaphragm in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Housing {
    /// Outer radius [m].
    pub radius: f64,
    /// Extent along z [m].
    pub depth: f64,
    /// Radius [m] of the round-over of the front's edge; 0 leaves it sharp.
    pub rounding: f64,
    /// Radius of the diaphragm [m].
    pub diaphragm_radius: f64,
    /// Shape of the diaphragm.
    pub diaphragm: Diaphragm,
}

impl Housing {
    /// The body as a profile.
    ///
    /// # Errors
    /// [`ShapeFault`]: which measure is impossible.
    pub fn lathe(&self) -> Result<Lathe, ShapeFault> {
        let Self { radius, depth, rounding, diaphragm_radius, diaphragm } = *self;
        fault::positive("radius of the housing", radius)?;
        fault::positive("depth of the housing", depth)?;
        fault::not_negative("rounding of the front's edge", rounding)?;
        fault::below(
            "rounding of the front's edge",
            rounding,
            NEARLY * depth,
            "it does not fit into the depth",
        )?;
        fault::positive("radius of the diaphragm", diaphragm_radius)?;
        fault::below(
            "radius of the diaphragm",
            diaphragm_radius,
            radius - rounding,
            "it reaches the edge of the flat front",
        )?;
        diaphragm.checked(diaphragm_radius, depth)?;
        let mut sections = behind(radius, -depth, -rounding);
        sections.extend(front_edge(radius, rounding));
        sections.push(straight([radius - rounding, 0.0], [diaphragm_radius, 0.0]));
        sections.extend(diaphragm.sections(diaphragm_radius));
        Lathe::new(sections)
    }
}

impl Diaphragm {
    pub(super) fn checked(self, radius: f64, depth: f64) -> Result<(), ShapeFault> {
        match self {
            Diaphragm::Flat => Ok(()),
            Diaphragm::Cone { depth: cone } => {
                fault::positive("depth of the cone", cone)?;
                fault::below("depth of the cone", cone, depth, "its apex would pierce the back")
            }
            Diaphragm::Dome { height } => {
                fault::positive("height of the dome", height)?;
                fault::below(
                    "height of the dome",
                    height,
                    radius * (1.0 + 1e-9),
                    "it is more than half a ball",
                )
            }
            Diaphragm::Ring { inner_radius, coil_radius } => {
                ring_checked([inner_radius, coil_radius], radius)
            }
        }
    }

    /// Profile from the edge to the axis.
    pub(super) fn sections(self, radius: f64) -> Vec<Section> {
        let moving = |curve| vec![Section { curve, patch: DIAPHRAGM }];
        let straight_to = |height: f64| moving(Piece::Straight { from: [radius, 0.0], to: [0.0, height] });
        match self {
            Diaphragm::Flat => straight_to(0.0),
            Diaphragm::Cone { depth } => straight_to(-depth),
            Diaphragm::Dome { height } => moving(cap(radius, height)),
            Diaphragm::Ring { inner_radius, coil_radius } => {
                let between =
                    |[from, to]: [f64; 2], patch| Section { patch, ..straight([from, 0.0], [to, 0.0]) };
                vec![
                    between([radius, coil_radius], DIAPHRAGM),
                    between([coil_radius, inner_radius], DIAPHRAGM),
                    between([inner_radius, 0.0], RIGID),
                ]
            }
        }
    }
}

/// Radii [m] of the inner rim and the coil of a ring that must lie within each other.
pub(super) fn ring_checked([inner, coil]: [f64; 2], radius: f64) -> Result<(), ShapeFault> {
    fault::positive("inner radius of the ring", inner)?;
    fault::positive("radius of the coil", coil)?;
    fault::below("inner radius of the ring", inner, coil, "the coil lies outside it")?;
    fault::below("radius of the coil", coil, NEARLY * radius, "it leaves no ring outside it")
}

/// A spherical cap over a circle in the plane z = 0, from its edge to its top.
fn cap(radius: f64, height: f64) -> Piece {
    let ball = (radius * radius + height * height) / (2.0 * height);
    let start = (ball - height).atan2(radius);
    let centre = [0.0, height - ball];
    Piece::Arc { centre, radii: [ball; 2], tilt: 0.0, start, sweep: FRAC_PI_2 - start }
}

/// The round-over of the front's edge, if there is one.
pub(super) fn front_edge(radius: f64, rounding: f64) -> Option<Section> {
    let centre = [radius - rounding, -rounding];
    let curve = Piece::Arc { centre, radii: [rounding; 2], tilt: 0.0, start: 0.0, sweep: FRAC_PI_2 };
    (rounding > 0.0).then_some(Section { curve, patch: RIGID })
}

/// A flat back from the axis to the radius, and the side up to a height.
pub(super) fn behind(radius: f64, back: f64, top: f64) -> Vec<Section> {
    vec![straight([0.0, back], [radius, back]), straight([radius, back], [radius, top])]
}

/// A straight rigid section.
pub(super) fn straight(from: [f64; 2], to: [f64; 2]) -> Section {
    Section { curve: Piece::Straight { from, to }, patch: RIGID }
}
