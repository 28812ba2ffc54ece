//! Flares: bodies of revolution that widen from a throat to a mouth, with a wall and a rounded rim.

use super::fault::{self, ShapeFault};
use super::housing::{behind, straight};
use super::{Diaphragm, Lathe, RIGID, Section};
use crate::Piece;
use std::f64::consts::{FRAC_PI_2, PI};

/// Cubic pieces that follow a curve that is no arc.
const PIECES: usize = 16;
/// Steps in which bends are looked for.
const SAMPLES: usize = 512;
/// The wall may take up so much of the smallest radius of curvature.
const OF_THE_BEND: f64 = 0.9;

/// How the inner radius grows from the throat, at z = 0, to the mouth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// In proportion to z.
    Conical,
    /// `r = throat · exp(m z)`, followed by cubic pieces to a millionth.
    Exponential,
    /// A quarter of an ellipse that leaves the throat along the axis and ends at the mouth across it; its half axes are the length and
    /// the difference of the radii.
    Elliptic,
}

/// What is at the throat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Back {
    /// Nothing: a ring around a driver that is a body of its own. The gap to it is the builder's: the throat must be wider.
    Open,
    /// A diaphragm with a round housing of this depth [m] behind z = 0, all in one body.
    Driver {
        /// Diaphragm over the whole throat.
        diaphragm: Diaphragm,
        /// Depth of the housing [m].
        depth: f64,
    },
}

/// A flare along z.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flare {
    /// Inner radius at z = 0 [m].
    pub throat: f64,
    /// Inner radius at z = `length` [m].
    pub mouth: f64,
    /// Extent of the inner side along z [m].
    pub length: f64,
    /// Form of the inner side.
    pub form: Form,
    /// Thickness of the wall [m], across it; its rims are half circles.
    pub wall: f64,
    /// What is at the throat.
    pub back: Back,
}

/// A place on the inner side and the unit tangent towards the mouth.
type Place = ([f64; 2], [f64; 2]);

impl Flare {
    /// The body as a profile.
    ///
    /// # Errors
    /// [`ShapeFault`]: which measure is impossible.
    pub fn lathe(&self) -> Result<Lathe, ShapeFault> {
        self.checked()?;
        let mut sections = match self.back {
            Back::Open => vec![],
            Back::Driver { depth, .. } => self.housing(depth)?,
        };
        sections.extend(self.outer().map(rigid));
        sections.push(rigid(self.rim(1.0)));
        sections.extend(self.inner().iter().rev().map(|piece| rigid(piece.reversed())));
        match self.back {
            Back::Open => sections.push(rigid(self.rim(0.0))),
            Back::Driver { diaphragm, .. } => sections.extend(diaphragm.sections(self.throat)),
        }
        Lathe::new(sections)
    }

    fn checked(&self) -> Result<(), ShapeFault> {
        fault::positive("throat radius", self.throat)?;
        fault::positive("length of the flare", self.length)?;
        fault::positive("mouth radius", self.mouth)?;
        fault::above("mouth radius", self.mouth, self.throat, "a flare widens")?;
        fault::positive("wall thickness", self.wall)?;
        let bend = OF_THE_BEND * self.tightest_bend();
        fault::below(
            "wall thickness",
            self.wall,
            bend,
            "its outer side would fold where the flare bends most",
        )?;
        match self.back {
            Back::Open => fault::below(
                "wall thickness",
                self.wall,
                2.0 * self.throat,
                "the rim at the throat would reach the axis",
            ),
            Back::Driver { diaphragm, depth } => {
                fault::positive("depth of the housing", depth)?;
                diaphragm.checked(self.throat, depth)?;
                if let Diaphragm::Dome { height } = diaphragm {
                    fault::below("height of the dome", height, self.length, "it would leave the flare")?;
                }
                Ok(())
            }
        }
    }

    /// Smallest radius of curvature [m] of the inner side, from small steps along it; its centre lies outside, where the wall is.
    fn tightest_bend(&self) -> f64 {
        let places: Vec<_> = (0..=SAMPLES).map(|i| self.place(i as f64 / SAMPLES as f64)).collect();
        let bend = |&[(a, s), (b, t)]: &[Place; 2]| {
            let turn = (s[0] * t[1] - s[1] * t[0]).abs().atan2(s[0] * t[0] + s[1] * t[1]);
            (b[0] - a[0]).hypot(b[1] - a[1]) / turn
        };
        places.array_windows().map(bend).fold(f64::INFINITY, f64::min)
    }

    /// Back and side of the housing up to where the flare's outer side starts.
    fn housing(&self, depth: f64) -> Result<Vec<Section>, ShapeFault> {
        let [radius, top] = self.outside(0.0);
        fault::above("depth of the housing", depth, -top, "the wall of the flare starts behind it")?;
        Ok(behind(radius, -depth, top))
    }

    fn inner(&self) -> Vec<Piece> {
        match self.form {
            Form::Conical => vec![straight([self.throat, 0.0], [self.mouth, self.length]).curve],
            Form::Elliptic => vec![Piece::Arc {
                centre: [self.mouth, 0.0],
                radii: [self.mouth - self.throat, self.length],
                tilt: 0.0,
                start: PI,
                sweep: -FRAC_PI_2,
            }],
            Form::Exponential => cubics(|share| self.place(share)),
        }
    }

    fn outer(&self) -> impl Iterator<Item = Piece> {
        let pieces = match self.form {
            Form::Conical => vec![Piece::Straight { from: self.outside(0.0), to: self.outside(1.0) }],
            _ => cubics(|share| (self.outside(share), self.place(share).1)),
        };
        pieces.into_iter()
    }

    /// The inner side at a share of the way.
    fn place(&self, share: f64) -> Place {
        let (widening, length) = (self.mouth - self.throat, self.length);
        let unit = |[r, z]: [f64; 2]| [r / r.hypot(z), z / r.hypot(z)];
        match self.form {
            Form::Conical => ([self.throat + share * widening, share * length], unit([widening, length])),
            Form::Exponential => {
                let growth = (self.mouth / self.throat).ln();
                let radius = self.throat * (growth * share).exp();
                ([radius, share * length], unit([radius * growth, length]))
            }
            Form::Elliptic => {
                let (sin, cos) = (FRAC_PI_2 * share).sin_cos();
                ([self.mouth - widening * cos, length * sin], unit([widening * sin, length * cos]))
            }
        }
    }

    /// The outer side: the inner one, moved by the wall away from the axis.
    fn outside(&self, share: f64) -> [f64; 2] {
        let ([r, z], [tr, tz]) = self.place(share);
        [r + self.wall * tz, z - self.wall * tr]
    }

    /// Half a circle around the end of the wall: from outside to inside at the mouth (`share` 1), from inside to outside at the throat.
    fn rim(&self, share: f64) -> Piece {
        let ([r, z], [or, oz]) = (self.place(share).0, self.outside(share));
        let half = [0.5 * (r - or), 0.5 * (z - oz)];
        let outwards = (-half[1]).atan2(-half[0]);
        let start = if share > 0.5 { outwards } else { outwards + PI };
        Piece::Arc {
            centre: [0.5 * (r + or), 0.5 * (z + oz)],
            radii: [0.5 * self.wall; 2],
            tilt: 0.0,
            start,
            sweep: PI,
        }
    }
}

fn rigid(curve: Piece) -> Section {
    Section { curve, patch: RIGID }
}

/// Cubic pieces through places of a curve, with its tangents, spaced as its chords say.
fn cubics(place: impl Fn(f64) -> Place) -> Vec<Piece> {
    let places: Vec<_> = (0..=PIECES).map(|i| place(i as f64 / PIECES as f64)).collect();
    let cubic = |&[(a, s), (b, t)]: &[Place; 2]| {
        let third = (b[0] - a[0]).hypot(b[1] - a[1]) / 3.0;
        let control = |p: [f64; 2], way: [f64; 2], sign: f64| [0, 1].map(|k| p[k] + sign * third * way[k]);
        Piece::Cubic { points: [a, control(a, s, 1.0), control(b, t, -1.0), b] }
    };
    places.array_windows().map(cubic).collect()
}
