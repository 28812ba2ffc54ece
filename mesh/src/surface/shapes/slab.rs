//! Flat bodies with any outline: boxes with a piston, baffles, wings, posts, brackets.

use super::extruded::{Chain, add, lid, wall};
use super::fault::{self, ShapeFault};
use super::step::steps;
use super::{DIAPHRAGM, RIGID};
use crate::surface::Mirror;
use crate::{Contour, Outline, Piece, Surface};
use nalgebra::Vector3;
use std::f64::consts::FRAC_PI_2;

/// Steps around a quarter of the piston at least.
const LEAST_STEPS: usize = 3;
/// Points nearer to an axis than this share of the size lie on it.
const ON_THE_AXIS: f64 = 1e-9;

/// Roundings that leave less than 2 % of the thickness straight are made to meet; and so much of the room must stay around a piston.
const NEARLY: f64 = 0.98;

/// A flat circular diaphragm in the front.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piston {
    /// Radius [m].
    pub radius: f64,
    /// Centre [m] from the middle of the front.
    pub centre: [f64; 2],
}

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
        Self { outline, thickness, front_rounding: 0.0, back_rounding: 0.0, piston: None }
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
        let most = chains.iter().map(most_inset).fold(f64::INFINITY, f64::min);
        if rounding > 0.0 {
            fault::below(
                "rounding of the edges",
                rounding,
                most,
                "nothing would be left of the tightest curve or shortest side",
            )?;
        }
        let quarter = self.quarter(&chains);
        let surface = self.body(quarter.as_ref().map_or(chains.as_slice(), std::slice::from_ref), length)?;
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
        if let Some(Piston { radius, centre }) = self.piston {
            fault::positive("radius of the piston", radius)?;
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

    /// The part of the outline with x ≥ 0 and y ≥ 0, if everything is symmetric.
    fn quarter(&self, chains: &[Chain]) -> Option<Chain> {
        let centred = self.piston.is_none_or(|piston| piston.centre == [0.0, 0.0]);
        let [whole] = chains else { return None };
        if !centred || self.outline.mirror_symmetry() != [true, true] {
            return None;
        }
        let count = whole.points.len();
        let start = (0..count).find(|&i| whole.points[i][1] == 0.0 && whole.points[i][0] > 0.0)?;
        let end = (start..start + count).find(|&i| whole.points[i % count][0] == 0.0)?;
        let of = |all: &[[f64; 2]]| (start..=end).map(|i| all[i % count]).collect::<Vec<_>>();
        let quarter = Chain { points: of(&whole.points), inwards: of(&whole.inwards), closed: false };
        quarter.points.iter().flatten().all(|&value| value >= 0.0).then_some(quarter)
    }

    fn body(&self, chains: &[Chain], length: f64) -> Result<Surface, ShapeFault> {
        let mut surface = Surface::default();
        let (mut front, mut back) = (vec![], vec![]);
        for chain in chains {
            let rings: Vec<_> = (self.levels(length).iter())
                .map(|level| add(&mut surface, &chain.inset(level.inset), level.height))
                .collect();
            rings.windows(2).for_each(|pair| wall(&mut surface, &pair[0], &pair[1], chain.closed, RIGID));
            back.push(rings[0].clone());
            front.push(rings[rings.len() - 1].clone());
        }
        let closed = chains.iter().all(|chain| chain.closed);
        let fault = |what| move || ShapeFault::Face { what };
        let rims =
            if closed { back } else { vec![with_corner(&mut surface, &back[0], -self.thickness, length)] };
        lid(&mut surface, &rims, length, false, RIGID).ok_or_else(fault("at the back"))?;
        if let Some(piston) = self.piston {
            let circle = piston.chain(length, closed);
            let circle = add(&mut surface, &circle, 0.0);
            let disc = if closed { circle.clone() } else { with_corner(&mut surface, &circle, 0.0, length) };
            lid(&mut surface, &[disc], length, true, DIAPHRAGM).ok_or_else(fault("of the piston"))?;
            if closed {
                front.push(circle)
            } else {
                front = vec![between(&mut surface, &front[0], &circle, length)]
            }
        } else if !closed {
            front = vec![with_corner(&mut surface, &front[0], 0.0, length)];
        }
        lid(&mut surface, &front, length, true, RIGID).ok_or_else(fault("at the front"))?;
        Ok(surface)
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

    /// Moves the middle of a side of the mesh for sides of `length` [m] onto the true edge of the piston; other sides stay straight. For
    /// [`QuadraticSurface::curved`](crate::QuadraticSurface::curved).
    pub fn onto(&self, length: f64) -> impl Fn(Vector3<f64>, u16) -> Vector3<f64> + '_ {
        move |point, _| {
            let Some(piston) = self.piston else { return point };
            let [x, y] = [point.x - piston.centre[0], point.y - piston.centre[1]];
            let chord = piston.radius * (0.5 * FRAC_PI_2 / piston.steps(length) as f64).cos();
            let share = piston.radius / x.hypot(y);
            let on_edge = point.z == 0.0 && (x.hypot(y) - chord).abs() < 1e-7 * piston.radius;
            if on_edge {
                Vector3::new(piston.centre[0] + x * share, piston.centre[1] + y * share, 0.0)
            } else {
                point
            }
        }
    }
}

impl Piston {
    fn steps(&self, length: f64) -> usize {
        ((FRAC_PI_2 * self.radius / length * (1.0 - 1e-6)).ceil() as usize).max(LEAST_STEPS)
    }

    /// Points on its edge: the whole circle, or the quarter from x to y.
    fn chain(&self, length: f64, whole: bool) -> Vec<[f64; 2]> {
        let quarter = self.steps(length);
        let point = |step: usize| {
            let (sin, cos) = match (step % quarter, step / quarter % 4) {
                (0, 0) => (0.0, 1.0),
                (0, 1) => (1.0, 0.0),
                (0, 2) => (0.0, -1.0),
                (0, _) => (-1.0, 0.0),
                _ => (FRAC_PI_2 * step as f64 / quarter as f64).sin_cos(),
            };
            [self.centre[0] + self.radius * cos, self.centre[1] + self.radius * sin]
        };
        let count = if whole { 4 * quarter } else { quarter + 1 };
        (0..count).map(point).collect()
    }
}

/// Points along a contour, corners among them.
fn chain(contour: &Contour, length: f64) -> Chain {
    let (low, high) = contour.bounds();
    let small = ON_THE_AXIS * (high[0] - low[0]).max(high[1] - low[1]);
    let exact = |limit: f64| move |value: f64| if value.abs() <= limit { 0.0 } else { value };
    let count = contour.pieces.len();
    let multiple = if count == 1 { 4 } else { 2 };
    let corner = |i: usize| {
        mitre([contour.pieces[(i + count - 1) % count].normal(1.0), contour.pieces[i % count].normal(0.0)])
    };
    let (mut points, mut inwards) = (vec![], vec![]);
    for (i, piece) in contour.pieces.iter().enumerate() {
        let ends = [corner(i), corner(i + 1)];
        let parameters = steps(piece, length, multiple);
        for &t in &parameters[..parameters.len() - 1] {
            points.push(piece.at(t).map(exact(small)));
            inwards.push(inwards_at(piece, t, ends).map(exact(ON_THE_AXIS)));
        }
    }
    Chain { points, inwards, closed: true }
}

/// How a point of a piece moves per inset when its ends move like this: those of straight sides spread evenly, those of curves keep
/// to their normals.
fn inwards_at(piece: &Piece, t: f64, ends: [[f64; 2]; 2]) -> [f64; 2] {
    match piece {
        Piece::Straight { .. } => [0, 1].map(|k| (1.0 - t) * ends[0][k] + t * ends[1][k]),
        _ if t == 0.0 => ends[0],
        _ => piece.normal(t).map(|value| -value),
    }
}

/// The way in which a corner moves when both its sides, with these outward normals, move inwards by one metre.
fn mitre([a, b]: [[f64; 2]; 2]) -> [f64; 2] {
    let cosine = a[0] * b[0] + a[1] * b[1];
    [0, 1].map(|k| -(a[k] + b[k]) / (1.0 + cosine).max(1e-3))
}

/// The inset [m] at which the first side of a chain has shrunk to nothing.
fn most_inset(chain: &Chain) -> f64 {
    let count = chain.points.len();
    let side = |i: usize| {
        let j = (i + 1) % count;
        let way = |of: &[[f64; 2]]| [of[j][0] - of[i][0], of[j][1] - of[i][1]];
        let (side, change) = (way(&chain.points), way(&chain.inwards));
        let shrinks = -(side[0] * change[0] + side[1] * change[1]);
        // Not a curve that rounding alone makes shrink.
        let square = side[0] * side[0] + side[1] * side[1];
        if shrinks > 1e-12 * square.sqrt() { square / shrinks } else { f64::INFINITY }
    };
    (0..count).map(side).fold(f64::INFINITY, f64::min)
}

/// The rim of a quarter: a chain from x to y, and back along both axes by way of the origin.
fn with_corner(surface: &mut Surface, chain: &[u32], height: f64, length: f64) -> Vec<u32> {
    let corner = add(surface, &[[0.0; 2]], height)[0];
    let down = along(surface, chain[chain.len() - 1], corner, length);
    let out = along(surface, corner, chain[0], length);
    [chain, &down, &[corner], &out].concat()
}

/// The rim of the part of a quarter between an outer and an inner chain, both from x to y.
fn between(surface: &mut Surface, outer: &[u32], inner: &[u32], length: f64) -> Vec<u32> {
    let down = along(surface, outer[outer.len() - 1], inner[inner.len() - 1], length);
    let out = along(surface, inner[0], outer[0], length);
    let back: Vec<_> = inner.iter().rev().copied().collect();
    [outer, &down, &back, &out].concat()
}

/// Adds points between two others, not farther apart than `length` [m].
fn along(surface: &mut Surface, from: u32, to: u32, length: f64) -> Vec<u32> {
    let (a, b) = (surface.points[from as usize], surface.points[to as usize]);
    let count = ((b - a).norm() / length * (1.0 - 1e-6)).ceil().max(1.0) as usize;
    let first = surface.points.len() as u32;
    surface.points.extend((1..count).map(|i| a + (b - a) * (i as f64 / count as f64)));
    (first..surface.points.len() as u32).collect()
}
