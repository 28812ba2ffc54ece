//! Flat bodies with any outline: boxes with a piston, baffles, wings, posts, brackets.

use super::chain::{ON_THE_AXIS, chain, most_inset, quarter};
use super::circles::{Stretch, of_contour};
use super::extruded::{Chain, add, lid, wall};
use super::fault::{self, ShapeFault};
use super::step::steps;
use super::{Piston, RIGID};
use crate::surface::Mirror;
use crate::{Contour, Outline, Piece, Surface};
use nalgebra::Vector3;
use std::f64::consts::FRAC_PI_2;

/// Roundings that leave less than 2 % of the thickness straight are made to meet; and so much of the room must stay around a piston.
const NEARLY: f64 = 0.98;

/// A plate of any outline from z = 0, its front, to z = −`thickness`; the middle of the outline's box lies on the z axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Slab {
    /// Outline.
    pub outline: Outline,
    /// Extent along z [m].
    pub thickness: f64,
    /// Radius [m] of the round-over of the front's edges, cut-outs included; 0 leaves them sharp. Roundings that leave less than 2 %
    /// of the thickness straight are made to meet.
    pub front_rounding: f64,
    /// Radius [m] of the round-over of the back's edges.
    pub back_rounding: f64,
    /// True leaves the edges of cut-outs sharp: only those of the outer contour are rounded over.
    pub sharp_cutouts: bool,
    /// Diaphragm.
    pub piston: Option<Piston>,
}

/// A section parallel to the front.
struct Level {
    inset: f64,
    height: f64,
}

impl Slab {
    /// Sharp-edged, without a piston.
    pub fn plain(outline: Outline, thickness: f64) -> Self {
        Self {
            outline,
            thickness,
            front_rounding: 0.0,
            back_rounding: 0.0,
            sharp_cutouts: false,
            piston: None,
        }
    }

    /// A post: a cylinder of this diameter and length [m].
    pub fn post(diameter: f64, length: f64) -> Self {
        Self::plain(Outline::Ellipse { width: diameter, height: diameter }, length)
    }

    /// A bracket: an angle with legs [m] along x and y, of this thickness [m] each, `width` [m] along z.
    ///
    /// # Errors
    /// [`ShapeFault`] if a measure is none, or a leg is shorter than it is thick.
    pub fn bracket(legs: [f64; 2], thickness: f64, width: f64) -> Result<Self, ShapeFault> {
        fault::positive("thickness of the bracket", thickness)?;
        for leg in legs {
            fault::positive("leg of the bracket", leg)?;
            fault::above(
                "leg of the bracket",
                leg,
                thickness,
                "it is not longer than the other leg is thick",
            )?;
        }
        let ([x, y], t) = (legs, thickness);
        let contour = Contour::polygon(&[[0.0, 0.0], [x, 0.0], [x, t], [t, t], [t, y], [0.0, y]]);
        let outline =
            Outline::of_contours(contour, vec![]).map_err(|_| ShapeFault::Face { what: "of the bracket" })?;
        Ok(Self::plain(outline, width))
    }

    /// The closed surface with sides of about `length` [m].
    ///
    /// # Errors
    /// [`ShapeFault`]: which measure is impossible.
    pub fn meshed(&self, length: f64) -> Result<Surface, ShapeFault> {
        self.checked(length)?;
        let roundings = self.front_rounding + self.back_rounding;
        if roundings < self.thickness && roundings > NEARLY * self.thickness {
            // Roundings that all but meet are made to meet: no printer makes the strip between them.
            let grown = self.thickness / roundings;
            let [front_rounding, back_rounding] =
                [self.front_rounding, self.back_rounding].map(|r| r * grown);
            return Self { front_rounding, back_rounding, ..self.clone() }.meshed(length);
        }
        let chains = self.chains(length);
        let rounding = self.front_rounding.max(self.back_rounding);
        let rounded = if self.sharp_cutouts { &chains[..1] } else { &chains };
        let most = rounded.iter().map(most_inset).fold(f64::INFINITY, f64::min);
        if rounding > 0.0 {
            fault::below(
                "rounding of the edges",
                rounding,
                most,
                "nothing would be left of the tightest curve or shortest side",
            )?;
        }
        let quarter = self.quarter(&chains);
        let surface = self.body(quarter.as_ref().unwrap_or(&chains), length)?;
        Ok(if quarter.is_some() { surface.with_image(Mirror::X).with_image(Mirror::Y) } else { surface })
    }

    fn checked(&self, length: f64) -> Result<(), ShapeFault> {
        let (width, height) = self.outline.bounding_box();
        fault::positive("width", width)?;
        fault::positive("height", height)?;
        if let Outline::RoundedRectangle { radius, .. } = self.outline {
            fault::not_negative("corner radius", radius)?;
            let most = 0.5 * width.min(height) * (1.0 + ON_THE_AXIS);
            fault::below("corner radius", radius, most, "it is more than half the shorter side")?;
        }
        fault::positive("thickness", self.thickness)?;
        fault::not_negative("rounding of the front's edges", self.front_rounding)?;
        fault::not_negative("rounding of the back's edges", self.back_rounding)?;
        let left = self.thickness * (1.0 + ON_THE_AXIS) - self.back_rounding;
        fault::below(
            "rounding of the front's edges",
            self.front_rounding,
            left,
            "both roundings do not fit into the thickness",
        )?;
        if let Some(piston @ Piston { radius, centre, .. }) = self.piston {
            fault::positive("radius of the piston", radius)?;
            piston.checked()?;
            let middle = self.outline.centre();
            let room =
                self.outline.distance_inside([0, 1].map(|k| middle[k] + centre[k])) - self.front_rounding;
            fault::below(
                "radius of the piston",
                radius,
                NEARLY * room,
                "it reaches the edge of the flat front",
            )?;
        }
        fault::sides(length, 2.0 * self.outline.area() + self.outline.perimeter() * self.thickness)
    }

    /// The contours, about the middle.
    fn chains(&self, length: f64) -> Vec<Chain> {
        let [x, y] = self.outline.centre();
        self.outline.curves().iter().map(|contour| chain(&contour.moved([-x, -y]), length)).collect()
    }

    /// The parts of the outer contour and of one cut-out with x ≥ 0 and y ≥ 0, if everything is symmetric.
    fn quarter(&self, chains: &[Chain]) -> Option<Vec<Chain>> {
        let centred = self.piston.is_none_or(|piston| piston.centre == [0.0, 0.0]);
        if chains.len() > 2 || !centred || self.outline.mirror_symmetry() != [true, true] {
            return None;
        }
        chains.iter().enumerate().map(|(number, chain)| quarter(chain, number > 0)).collect()
    }

    fn body(&self, chains: &[Chain], length: f64) -> Result<Surface, ShapeFault> {
        let mut surface = Surface::default();
        let (mut front, mut back) = (vec![], vec![]);
        for (number, chain) in chains.iter().enumerate() {
            let rings: Vec<_> = (self.levels(length).iter())
                .map(|level| add(&mut surface, &chain.inset(self.inset(level, number)), level.height))
                .collect();
            rings.windows(2).for_each(|pair| wall(&mut surface, &pair[0], &pair[1], chain.closed, RIGID));
            back.push(rings[0].clone());
            front.push(rings[rings.len() - 1].clone());
        }
        let whole = chains.iter().all(|chain| chain.closed);
        let fault = |what| move || ShapeFault::Face { what };
        let back = rims(&mut surface, back, length, whole);
        lid(&mut surface, &back, length, false, RIGID).ok_or_else(fault("at the back"))?;
        if let Some(piston) = self.piston {
            front.push(piston.add(&mut surface, length, whole).ok_or_else(fault("of the piston"))?);
        }
        let front = rims(&mut surface, front, length, whole);
        lid(&mut surface, &front, length, true, RIGID).ok_or_else(fault("at the front"))?;
        Ok(surface)
    }

    /// How far a contour is moved into the material at a level [m].
    fn inset(&self, level: &Level, contour: usize) -> f64 {
        if contour > 0 && self.sharp_cutouts { 0.0 } else { level.inset }
    }

    /// Sections from the back to the front.
    fn levels(&self, length: f64) -> Vec<Level> {
        let (front, back) = (self.front_rounding, self.back_rounding);
        let arc = |centre: [f64; 2], radius: f64, start: f64| Piece::Arc {
            centre,
            radii: [radius; 2],
            tilt: 0.0,
            start,
            sweep: FRAC_PI_2,
        };
        // In the plane of minus inset and height.
        let mut curves = vec![];
        if back > 0.0 {
            curves.push(arc([-back, back - self.thickness], back, -FRAC_PI_2));
        }
        if self.thickness > (front + back) * (1.0 + ON_THE_AXIS) {
            curves.push(Piece::Straight { from: [0.0, back - self.thickness], to: [0.0, -front] });
        }
        if front > 0.0 {
            curves.push(arc([-front, -front], front, 0.0));
        }
        let mut levels = vec![Level { inset: back, height: -self.thickness }];
        for curve in curves {
            let places = steps(&curve, length, 1).into_iter().skip(1).map(|t| curve.at(t));
            levels.extend(places.map(|[minus_inset, height]| Level { inset: -minus_inset, height }));
        }
        if let Some(last) = levels.last_mut() {
            (last.inset, last.height) = (front, 0.0);
        }
        levels
    }

    /// Where the middle of a side of the mesh for sides of `length` [m] belongs, given the ends of the side: on the true circles of the piston
    /// and of circular arcs of the outline; other sides stay straight. For [`QuadraticSurface::curved`](crate::QuadraticSurface::curved).
    pub fn onto(&self, length: f64) -> impl Fn([Vector3<f64>; 2]) -> Vector3<f64> + use<> {
        let [x, y] = self.outline.centre();
        let contours = self.outline.curves();
        let of = |(number, contour): (usize, &Contour)| {
            of_contour(&contour.moved([-x, -y]), length, &self.stretches(number, length))
        };
        let mut circles: Vec<_> = contours.iter().enumerate().flat_map(of).collect();
        circles.extend(self.piston.iter().flat_map(|piston| piston.circles(length)));
        move |[a, b]| {
            let middle = 0.5 * (a + b);
            circles.iter().find_map(|circle| circle.moved(middle)).unwrap_or(middle)
        }
    }

    /// Where a contour lies: at every level, and on the wall between two with the same inset.
    fn stretches(&self, contour: usize, length: f64) -> Vec<Stretch> {
        let levels = self.levels(length);
        let inset = |level: &Level| self.inset(level, contour);
        let at = levels.iter().map(|level| Stretch { inset: inset(level), heights: [level.height; 2] });
        let upright = levels.windows(2).filter(|pair| inset(&pair[0]) == inset(&pair[1]));
        let heights = |pair: &[Level]| [pair[0].height, pair[1].height];
        at.chain(upright.map(|pair| Stretch { inset: inset(&pair[0]), heights: heights(pair) })).collect()
    }
}

/// The rims of a face between an outer contour and others within: those of a whole face as they are; those of a quarter, an outer one
/// from x to y and an inner one from y to x or none, joined along the axes.
pub(super) fn rims(surface: &mut Surface, chains: Vec<Vec<u32>>, length: f64, whole: bool) -> Vec<Vec<u32>> {
    let [outer, within @ ..] = chains.as_slice() else { return chains };
    if whole {
        return chains;
    }
    let inner = within.first().cloned().unwrap_or_else(|| {
        let height = surface.points[outer[0] as usize].z;
        add(surface, &[[0.0; 2]], height)
    });
    let down = along(surface, outer[outer.len() - 1], inner[0], length);
    let out = along(surface, inner[inner.len() - 1], outer[0], length);
    vec![[outer, down.as_slice(), &inner, &out].concat()]
}

/// Adds points between two others, not farther apart than `length` [m].
fn along(surface: &mut Surface, from: u32, to: u32, length: f64) -> Vec<u32> {
    let (a, b) = (surface.points[from as usize], surface.points[to as usize]);
    let count = ((b - a).norm() / length * (1.0 - 1e-6)).ceil().max(1.0) as usize;
    let first = surface.points.len() as u32;
    surface.points.extend((1..count).map(|i| a + (b - a) * (i as f64 / count as f64)));
    (first..surface.points.len() as u32).collect()
}
