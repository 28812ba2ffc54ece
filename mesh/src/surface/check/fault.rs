//! The faults in words.

use nalgebra::Vector3;
use std::collections::HashMap;
use std::fmt;
use std::mem::{Discriminant, discriminant};
use thiserror::Error;

/// Faults of one kind listed at most; the first few tell the story.
const MOST_OF_A_KIND: usize = 20;

/// A place [m]; reads as millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place(pub Vector3<f64>);

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [x, y, z] = [self.0.x, self.0.y, self.0.z].map(mm);
        write!(f, "({x}, {y}, {z}) mm")
    }
}

/// Millimetres with four digits, without a negative zero.
fn mm(metres: f64) -> String {
    let value = 1e3 * metres;
    let decimals =
        if value.abs() < 1e-4 { 6 } else { (3 - value.abs().log10().floor() as i32).clamp(0, 6) as usize };
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".into() } else { text.into() }
}

/// A fault of a surface. Triangles and shells count from 0, lengths are in metres.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum Fault {
    /// Nothing there.
    #[error("the surface has no triangles; export the body again")]
    Empty,
    /// A triangle names a point that is not there.
    #[error(
        "triangle {triangle} names point {point}, there are only {points}; the file was put together wrongly, export it again"
    )]
    NoSuchPoint {
        /// Triangle.
        triangle: usize,
        /// Point it names.
        point: u32,
        /// Points there are.
        points: usize,
    },
    /// Not every triangle has a patch.
    #[error("{triangles} triangles have {patches} patch numbers; give every triangle one")]
    Patches {
        /// Triangles.
        triangles: usize,
        /// Patch numbers.
        patches: usize,
    },
    /// A coordinate is not a number or absurdly large.
    #[error("point {point} lies at ({}, {}, {}) m, which is no place; export the body again", at.x, at.y, at.z)]
    NotFinite {
        /// Point.
        point: usize,
        /// Where it claims to lie.
        at: Vector3<f64>,
    },
    /// A size that is none of a thing in front of a loudspeaker.
    #[error("the body is {} mm large; {}", mm(*size), advice(*likely))]
    Scale {
        /// Largest extent [m].
        size: f64,
        /// The unit that would make it a believable size, and its metres.
        likely: Option<(&'static str, f64)>,
    },
    /// A rim where the surface ends.
    #[error(
        "the surface is open: a rim of {sides} sides, {} mm long, passes {at}; close the hole in the drawing, or let it be mended \
         when it is small and flat", mm(*length)
    )]
    Open {
        /// Sides in it.
        sides: usize,
        /// Length [m].
        length: f64,
        /// A point of it.
        at: Place,
    },
    /// More than two triangles meet at a side.
    #[error(
        "{triangles} triangles meet at the side from {from} to {to}, two should; unite bodies that touch along a line, or move them apart"
    )]
    CrowdedSide {
        /// How many.
        triangles: usize,
        /// One end.
        from: Place,
        /// Other end.
        to: Place,
    },
    /// The triangles around a point form several fans.
    #[error(
        "{fans} parts of the surface meet only at the point {at}; unite bodies that touch in a point, or move them apart"
    )]
    Pinched {
        /// How many.
        fans: usize,
        /// Where.
        at: Place,
    },
    /// Some triangles face against their neighbours.
    #[error("{triangles} triangles around {at} face the wrong way; turn them round, or let it be mended")]
    Turned {
        /// How many of a connected piece.
        triangles: usize,
        /// Middle of one.
        at: Place,
    },
    /// Like a Möbius strip.
    #[error(
        "the surface at {at} has no inside: going round it once, inside becomes outside; draw the body again as a solid"
    )]
    OneSided {
        /// A side where the two meet.
        at: Place,
    },
    /// A closed shell whose normals point inwards.
    #[error("shell {shell} at {at} is inside out; turn its triangles round, or let it be mended")]
    InsideOut {
        /// Shell.
        shell: usize,
        /// A point of it.
        at: Place,
    },
    /// A body within a body.
    #[error(
        "shell {shell} at {at} lies within shell {other}: unite them in the drawing, or remove the inner one"
    )]
    Within {
        /// Inner shell.
        shell: usize,
        /// Outer shell.
        other: usize,
        /// A point of the inner one.
        at: Place,
    },
    /// A triangle without area.
    #[error("triangle {triangle} at {at} has no area; remove it, or let it be mended")]
    NoArea {
        /// Triangle.
        triangle: usize,
        /// Where.
        at: Place,
    },
    /// A triangle that is far longer than high.
    #[error(
        "triangle {triangle} at {at} is a needle, {ratio:.0} times longer than high; remesh the surface before solving"
    )]
    Needle {
        /// Triangle.
        triangle: usize,
        /// Longest side per height.
        ratio: f64,
        /// Where.
        at: Place,
    },
    /// The same three corners twice.
    #[error("triangles {} and {} at {at} are the same; remove one, or let it be mended", triangles[0], triangles[1])]
    Twice {
        /// Both.
        triangles: [usize; 2],
        /// Where.
        at: Place,
    },
    /// Two neighbours lie on one another.
    #[error("the surface folds back on itself at {at}: a wall without thickness; give it one, or remove it")]
    Folded {
        /// The two triangles.
        triangles: [usize; 2],
        /// Middle of the side they share.
        at: Place,
    },
    /// Two triangles that are no neighbours meet.
    #[error(
        "the surface crosses or touches itself at {at} (triangles {} and {}); unite or separate the bodies",
        triangles[0], triangles[1]
    )]
    Crosses {
        /// Both.
        triangles: [usize; 2],
        /// Middle of the first one.
        at: Place,
    },
    /// Too much overlaps to look at it all.
    #[error(
        "the search for crossings stopped after {pairs} pairs of triangles; the surface is a tangle, draw the body again as a solid"
    )]
    Tangle {
        /// Pairs looked at.
        pairs: usize,
    },
    /// Little material.
    #[error(
        "the wall at {at} is {} mm thick, thinner than {} mm; thicken it, or accept that it may break or not print",
        mm(*thickness), mm(*least)
    )]
    ThinWall {
        /// Thickness [m].
        thickness: f64,
        /// Thinnest that is no fault [m].
        least: f64,
        /// Where.
        at: Place,
    },
    /// Little air.
    #[error("the slit at {at} is {} mm wide, narrower than {} mm; widen or close it", mm(*width), mm(*least))]
    NarrowSlit {
        /// Width [m].
        width: f64,
        /// Narrowest that is no fault [m].
        least: f64,
        /// Where.
        at: Place,
    },
}

fn advice(likely: Option<(&'static str, f64)>) -> String {
    match likely {
        Some((unit, metres)) => format!("the file is likely in {unit}: read it with {metres} m per unit"),
        None => "no usual unit explains it: check the drawing's scale".into(),
    }
}

impl Fault {
    /// Where it is [m], of what has a place.
    pub fn at(&self) -> Option<Vector3<f64>> {
        match self {
            Fault::Open { at, .. }
            | Fault::Pinched { at, .. }
            | Fault::Turned { at, .. }
            | Fault::OneSided { at }
            | Fault::InsideOut { at, .. }
            | Fault::Within { at, .. }
            | Fault::NoArea { at, .. }
            | Fault::Needle { at, .. }
            | Fault::Twice { at, .. }
            | Fault::Folded { at, .. }
            | Fault::Crosses { at, .. }
            | Fault::ThinWall { at, .. }
            | Fault::NarrowSlit { at, .. } => Some(at.0),
            Fault::CrowdedSide { from, to, .. } => Some(0.5 * (from.0 + to.0)),
            Fault::Empty
            | Fault::NoSuchPoint { .. }
            | Fault::Patches { .. }
            | Fault::NotFinite { .. }
            | Fault::Scale { .. }
            | Fault::Tangle { .. } => None,
        }
    }

    /// True when it cannot be said what is inside and what is outside.
    pub fn leaves_the_inside_unknown(&self) -> bool {
        matches!(
            self,
            Fault::Open { .. } | Fault::CrowdedSide { .. } | Fault::Turned { .. } | Fault::OneSided { .. }
        )
    }
}

/// Gathers faults, the first few of each kind.
#[derive(Default)]
pub(super) struct Found {
    pub faults: Vec<Fault>,
    pub unlisted: usize,
    counts: HashMap<Discriminant<Fault>, usize>,
}

impl Found {
    pub fn push(&mut self, fault: Fault) {
        let count = self.counts.entry(discriminant(&fault)).or_default();
        *count += 1;
        if *count > MOST_OF_A_KIND { self.unlisted += 1 } else { self.faults.push(fault) }
    }

    pub fn extend(&mut self, faults: impl IntoIterator<Item = Fault>) {
        faults.into_iter().for_each(|fault| self.push(fault));
    }
}
