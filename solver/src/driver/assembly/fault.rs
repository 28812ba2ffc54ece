//! Why driver and surround cannot be built as described.

use super::LEAST_GAP;
use nalgebra::Vector3;
use panelwright_mesh::check::{Fault, Place};
use panelwright_mesh::remesh::RemeshFault;
use panelwright_mesh::shapes::ShapeFault;
use thiserror::Error;

/// Something that cannot be built. Places count from the middle of the driver's front, unless said otherwise.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum AssemblyFault {
    /// An impossible measure.
    #[error("{part}: {fault}")]
    Shape {
        /// Which part.
        part: String,
        /// What is wrong with it.
        fault: ShapeFault,
    },
    /// A part from a file is not sound.
    #[error("{part}: {fault}")]
    Unsound {
        /// Which part.
        part: String,
        /// What is wrong with it.
        fault: Fault,
    },
    /// A part from a file cannot be divided into elements.
    #[error("{part}: {fault}")]
    Remesh {
        /// Which part.
        part: String,
        /// Why.
        fault: RemeshFault,
    },
    /// A place or an angle is not a number.
    #[error("{part}: its place or angle is not a finite number; give numbers")]
    Nowhere {
        /// Which part.
        part: String,
    },
    /// A cone or dome in a box.
    #[error(
        "housing: a {form} needs a round housing, this one is rectangular; make its front round, or the diaphragm flat"
    )]
    CurvedInBox {
        /// Shape of the diaphragm.
        form: &'static str,
    },
    /// A box without a back.
    #[error(
        "housing: only a round housing can be open at the back, this one is rectangular; make it round, or seal it"
    )]
    OpenBox,
    /// A box with a round-over about its axis.
    #[error(
        "round-over: only a round housing can be widened and rounded over, this one is rectangular; make it round"
    )]
    RoundOverBox,
    /// A ball without a back.
    #[error("housing: a ball cannot be open at the back; seal it, or make the housing round")]
    OpenBall,
    /// A ball with a round-over.
    #[error(
        "round-over: a ball has no edge to round over; make the housing round, or leave the round-over away"
    )]
    RoundOverBall,
    /// A ball whose measures contradict each other.
    #[error(
        "housing: the {what} of a ball follows from its radius and its cap's and is {:.4} mm; make it that instead of {}",
        1e3 * needed, value.map_or("none".to_owned(), |value| format!("{:.4} mm", 1e3 * value))
    )]
    NotOfBall {
        /// Which measure.
        what: &'static str,
        /// What it is [m]; none if the diaphragm is no dome.
        value: Option<f64>,
        /// What it must be [m].
        needed: f64,
    },
    /// A wing that starts at no side of a box.
    #[error(
        "{part}: it stands at {:.1}°, where a rectangular housing has no side; ask for 1, 2 or 4 wings turned by a multiple \
         of 90°, or make the housing round", angle.to_degrees()
    )]
    WingBesideNoSide {
        /// Which wing.
        part: String,
        /// Its angle [rad] from the listener's right.
        angle: f64,
    },
    /// Two parts go through each other.
    #[error("{} and {} cross near {at} from the middle of the driver's front; move them apart or make one smaller", parts[0], parts[1])]
    Cross {
        /// Which parts.
        parts: [String; 2],
        /// Where.
        at: Place,
    },
    /// A part within another.
    #[error(
        "{inner} lies within {outer}, at {at} from the middle of the driver's front; move it out, or leave it away"
    )]
    Within {
        /// The inner part.
        inner: String,
        /// The outer part.
        outer: String,
        /// A point of the inner one.
        at: Place,
    },
    /// Too little air.
    #[error(
        "between {} and {} there are {:.3} mm of air near {at} from the middle of the driver's front; leave at least {} mm, \
         parts are separate bodies", parts[0], parts[1], 1e3 * gap, 1e3 * LEAST_GAP
    )]
    Close {
        /// Which parts.
        parts: [String; 2],
        /// Air between them [m].
        gap: f64,
        /// Where.
        at: Place,
    },
    /// A part that reaches the panel's front or lies behind it.
    #[error(
        "{part} reaches back to {at} in panel coordinates, where the panel's front is z = 0; bring the driver forward by at least \
         {:.3} mm, or make the part shallower", 1e3 * (LEAST_GAP - at.0.z)
    )]
    BehindThePanel {
        /// Which part.
        part: String,
        /// Its rearmost point before the panel, in panel coordinates.
        at: Place,
    },
    /// Mirrored where nothing is symmetric.
    #[error(
        "{part} is not symmetric about {axis} = 0; mesh it without this mirror plane, or centre and align it"
    )]
    NotSymmetric {
        /// Which part.
        part: String,
        /// Normal of the plane.
        axis: char,
    },
    /// Coarse elements of a part from a file leave its surface far enough to meet another part.
    #[error(
        "{part} meets {other} near {at} from the middle of the driver's front when it is divided into sides of {:.2} mm; ask for \
         shorter sides, or leave more air there", 1e3 * length
    )]
    Coarse {
        /// The part from a file.
        part: String,
        /// What it meets.
        other: String,
        /// Where.
        at: Place,
        /// Wanted length of sides [m].
        length: f64,
    },
}

impl AssemblyFault {
    /// Where it is [m] from the middle of the front of a driver at `place` [m], of what has a place.
    pub fn from_front(&self, place: [f64; 3]) -> Option<Vector3<f64>> {
        match self {
            Self::Cross { at, .. }
            | Self::Within { at, .. }
            | Self::Close { at, .. }
            | Self::Coarse { at, .. } => Some(at.0),
            Self::BehindThePanel { at, .. } => Some(at.0 - Vector3::from(place)),
            Self::Unsound { fault, .. } => fault.at(),
            _ => None,
        }
    }
}
