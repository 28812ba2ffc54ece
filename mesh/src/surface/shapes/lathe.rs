//! Bodies of revolution.

use super::fault::{self, ShapeFault};
use super::step::{steps, turn};
use super::walls::Walls;
use crate::surface::Mirror;
use crate::{Piece, Surface};
use nalgebra::{Vector2, Vector3};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Sections join if their ends are not farther apart than this share of the profile's size.
const JOINED: f64 = 1e-9;
/// A point on a ring lies off it by less than this share of the chords, moved about in space though it may have been.
const SAME: f64 = 1e-7;
/// Steps around a quarter of a turn at least.
const LEAST_STEPS: usize = 3;
/// Samples of a section from which the wall behind it is sought.
const SAMPLES: usize = 48;
/// A chord may cut off this share of the wall behind it: opposite sides of a wall, divided differently, must not meet.
const OF_THE_WALL: f64 = 0.15;

/// A stretch of a profile.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// The curve in the half plane [radius, height along z] [m].
    pub curve: Piece,
    /// Patch of what it sweeps.
    pub patch: u16,
}

/// A profile that turns about the z axis. It runs with the body to its left: from the axis below outwards, up and back to the axis, or
/// in a closed loop beside the axis, counter-clockwise.
#[derive(Clone, Debug, PartialEq)]
pub struct Lathe {
    sections: Vec<Section>,
    closed: bool,
    walls: Walls,
}

/// A circle of the mesh, or a point on the axis.
struct Ring {
    radius: f64,
    height: f64,
    /// Longest chord [m].
    chord: f64,
    /// Patch of the strip to the next ring.
    patch: u16,
    /// Radius and height [m] of the profile midway to the next ring.
    midway: [f64; 2],
}

impl Lathe {
    /// Takes a profile. Its ends lie on the axis or coincide.
    ///
    /// # Errors
    /// [`ShapeFault::Profile`] where sections do not join, cross the axis, or run the wrong way round.
    pub fn new(sections: Vec<Section>) -> Result<Self, ShapeFault> {
        let (Some(first), Some(last)) = (sections.first(), sections.last()) else {
            return Err(ShapeFault::Profile { why: "is empty", at: [0.0; 2] });
        };
        let size = sections.iter().map(|section| section.curve.length()).sum::<f64>();
        let apart = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]) > JOINED * size;
        let (start, end) = (first.curve.from(), last.curve.to());
        let closed = !apart(start, end);
        let fault = |why, at| Err(ShapeFault::Profile { why, at });
        if let Some(pair) = sections.windows(2).find(|pair| apart(pair[0].curve.to(), pair[1].curve.from())) {
            return fault("has a gap", pair[0].curve.to());
        }
        if !closed && start[0].max(end[0]) > JOINED * size {
            return fault("ends beside the axis", if start[0] > end[0] { start } else { end });
        }
        let walls = Walls::of(&sections, size);
        let lathe = Self { sections, closed, walls };
        let inside = |ring: &Ring| ring.radius.is_nan() || ring.radius <= 0.0;
        let rings = lathe.rings(size / 64.0);
        let ends = if closed { 0 } else { 1 };
        if let Some(ring) = rings[ends..rings.len() - ends].iter().find(|ring| inside(ring)) {
            return fault("reaches the axis", [ring.radius, ring.height]);
        }
        let area: f64 = lathe.sections.iter().map(|section| section.curve.swept_area()).sum();
        if area <= 0.0 { fault("runs with the body to its right", start) } else { Ok(lathe) }
    }

    /// Volume [m³] of the true body (Pappus: `π ∮ r² dz`), by small steps along the profile.
    pub fn volume(&self) -> f64 {
        let stretch = |section: &Section| {
            let points: Vec<_> = (0..=4096).map(|i| section.curve.at(f64::from(i) / 4096.0)).collect();
            points.windows(2).map(|p| cone_volume(p[0], p[1])).sum::<f64>()
        };
        self.sections.iter().map(stretch).sum()
    }

    /// The closed surface with sides of about `length` [m]; sharp turns are mesh lines, rounded ones turn by at most 30° per element.
    ///
    /// # Errors
    /// [`ShapeFault`] if the length is no length or makes far too many elements.
    pub fn meshed(&self, length: f64) -> Result<Surface, ShapeFault> {
        let area = self.sections.iter().map(|s| TAU * s.curve.length() * s.curve.at(0.5)[0]).sum();
        fault::sides(length, area)?;
        let rings = self.rings(length);
        let mut quarter = Surface::default();
        let points: Vec<Vec<u32>> = rings.iter().map(|ring| ring.points(&mut quarter)).collect();
        let next = |i: usize| if i + 1 < rings.len() { Some(i + 1) } else { self.closed.then_some(0) };
        for i in 0..rings.len() {
            let Some(next) = next(i) else { break };
            strip(&mut quarter, &points[i], &points[next], rings[i].patch);
        }
        Ok(quarter.with_image(Mirror::X).with_image(Mirror::Y))
    }

    fn rings(&self, length: f64) -> Vec<Ring> {
        let mut rings = vec![];
        for (number, section) in self.sections.iter().enumerate() {
            let before = &self.sections[(number + self.sections.len() - 1) % self.sections.len()];
            let parameters = steps(&section.curve, length.min(self.longest_chord(&section.curve)), 1);
            let joint = rings.len();
            rings.extend(parameters.windows(2).map(|ends| self.ring(section, [ends[0], ends[1]], length)));
            rings[joint].chord = rings[joint].chord.min(self.ring(before, [1.0; 2], length).chord);
        }
        if let Some(last) = self.sections.last().filter(|_| !self.closed) {
            rings.push(self.ring(last, [1.0; 2], length));
        }
        graded(&mut rings);
        if let ([first, .., last], false) = (rings.as_mut_slice(), self.closed) {
            (first.radius, last.radius) = (0.0, 0.0);
        }
        rings
    }

    /// The ring at a parameter, before the one at `next`. Its chords cut off no more than their share of the wall behind: a chord of length c
    /// cuts off c²/8r.
    fn ring(&self, section: &Section, [t, next]: [f64; 2], length: f64) -> Ring {
        let [radius, height] = section.curve.at(t);
        let cut_off = OF_THE_WALL * self.walls.behind([radius, height], section.curve.normal(t));
        let chord = length.min((8.0 * radius.max(0.0) * cut_off).sqrt());
        let chord = if chord > 0.0 { chord } else { length };
        Ring { radius, height, chord, patch: section.patch, midway: midway(&section.curve, [t, next]) }
    }

    /// Length [m] of chords along a section that cut off no more than their share of the wall behind.
    fn longest_chord(&self, curve: &Piece) -> f64 {
        let limit = |i: usize| {
            let [t0, t1] = [i, i + 1].map(|i| i as f64 / SAMPLES as f64);
            let turn = turn(curve.normal(t0), curve.normal(t1));
            let wall = self.walls.behind(curve.at(t0), curve.normal(t0));
            (8.0 * OF_THE_WALL * wall * curve.length_between(t0, t1) / turn).sqrt()
        };
        if let Piece::Straight { .. } = curve {
            f64::INFINITY
        } else {
            (0..SAMPLES).map(limit).fold(f64::INFINITY, f64::min)
        }
    }

    /// Where the middle of a side of the mesh for sides of `length` [m] belongs, given the ends of the side: on its circle, or midway between
    /// two circles and midway round. It lies on the true body however narrow the strip is against the rise of its arcs. For
    /// [`QuadraticSurface::curved`](crate::QuadraticSurface::curved), also of a part of the mesh; sides of other meshes stay straight.
    pub fn onto(&self, length: f64) -> impl Fn([Vector3<f64>; 2]) -> Vector3<f64> + use<> {
        let rings = self.rings(length);
        move |ends| middle(&rings, &ends).unwrap_or_else(|| 0.5 * (ends[0] + ends[1]))
    }
}

/// Where the middle of a side between points of one ring or of neighbouring ones belongs.
fn middle(rings: &[Ring], ends: &[Vector3<f64>; 2]) -> Option<Vector3<f64>> {
    let of = |end: &Vector3<f64>| rings.iter().position(|ring| ring.has(end));
    let [a, b] = [of(&ends[0])?, of(&ends[1])?];
    let next = |ring: usize| (ring + 1) % rings.len();
    let [radius, height] = if a == b {
        [rings[a].radius, rings[a].height]
    } else if next(a) == b {
        rings[a].midway
    } else if next(b) == a {
        rings[b].midway
    } else {
        return None;
    };
    // A point on the axis has no direction.
    let outwards = |end: &Vector3<f64>, ring: &Ring| {
        if ring.radius > 0.0 { end.xy().normalize() } else { Vector2::zeros() }
    };
    let direction = (outwards(&ends[0], &rings[a]) + outwards(&ends[1], &rings[b])).normalize();
    Some(Vector3::new(radius * direction.x, radius * direction.y, height))
}

/// Radius and height of a curve between two parameters, where it is nearest to the middle of its chord.
fn midway(curve: &Piece, ends: [f64; 2]) -> [f64; 2] {
    let [from, to] = ends.map(|t| curve.at(t));
    let (t, _) = curve.nearest([0, 1].map(|k| 0.5 * (from[k] + to[k])), 0.5 * (ends[0] + ends[1]));
    curve.at(t)
}

/// Volume [m³] between the axis and a straight stretch of a profile, positive when it rises.
fn cone_volume([r0, z0]: [f64; 2], [r1, z1]: [f64; 2]) -> f64 {
    TAU / 6.0 * (r0 * r0 + r0 * r1 + r1 * r1) * (z1 - z0)
}

/// Shortens chords so that they grow along the profile by no more than half of the way: rings that lie close together are divided alike.
fn graded(rings: &mut [Ring]) {
    const GROWTH: f64 = 0.5;
    let count = rings.len();
    let grow = |rings: &mut [Ring], from: usize, to: usize| {
        let way = (rings[to].radius - rings[from].radius).hypot(rings[to].height - rings[from].height);
        rings[to].chord = rings[to].chord.min(rings[from].chord + GROWTH * way);
    };
    // Twice round, for closed profiles; across the ends of open ones the way is a real one too.
    for i in 0..2 * count {
        grow(rings, i % count, (i + 1) % count);
    }
    for i in (0..2 * count).rev() {
        grow(rings, (i + 1) % count, i % count);
    }
}

impl Ring {
    /// Steps in a quarter of a turn.
    fn steps(&self) -> usize {
        if self.radius > 0.0 {
            ((FRAC_PI_2 * self.radius / self.chord * (1.0 - 1e-6)).ceil() as usize).max(LEAST_STEPS)
        } else {
            0
        }
    }

    /// Adds its quarter from x to y.
    fn points(&self, surface: &mut Surface) -> Vec<u32> {
        let first = surface.points.len() as u32;
        let steps = self.steps();
        for step in 0..=steps {
            let angle = FRAC_PI_2 * step as f64 / steps.max(1) as f64;
            // Exact on both planes of symmetry.
            let (sin, cos) = if step == 0 {
                (0.0, 1.0)
            } else if step == steps {
                (1.0, 0.0)
            } else {
                angle.sin_cos()
            };
            surface.points.push(Vector3::new(self.radius * cos, self.radius * sin, self.height));
        }
        (first..surface.points.len() as u32).collect()
    }

    /// True if a point of the mesh lies on it.
    fn has(&self, point: &Vector3<f64>) -> bool {
        (point.xy().norm() - self.radius).hypot(point.z - self.height) < SAME * self.chord
    }
}

/// Triangles between two chains of points; the body lies to the left when looking from the first to the second.
fn strip(surface: &mut Surface, low: &[u32], high: &[u32], patch: u16) {
    let (mut i, mut j) = (0, 0);
    let (m, n) = (low.len() - 1, high.len() - 1);
    while i < m || j < n {
        // The chain that lags behind steps on.
        let step_low = j == n || (i < m && (2 * i + 1) * n <= (2 * j + 1) * m);
        let triangle = if step_low { [low[i], low[i + 1], high[j]] } else { [low[i], high[j + 1], high[j]] };
        if step_low {
            i += 1
        } else {
            j += 1
        }
        surface.triangles.push(triangle);
        surface.patches.push(patch);
    }
}
