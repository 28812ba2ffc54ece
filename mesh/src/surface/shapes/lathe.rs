//! Bodies of revolution.

use super::fault::{self, ShapeFault};
use super::step::steps;
use crate::surface::Mirror;
use crate::{Piece, Surface};
use nalgebra::Vector3;
use std::f64::consts::{FRAC_PI_2, TAU};

/// Sections join if their ends are not farther apart than this share of the profile's size.
const JOINED: f64 = 1e-9;
/// Steps around a quarter of a turn at least.
const LEAST_STEPS: usize = 3;
/// Samples of a section from which its nearest point is sought.
const SAMPLES: usize = 48;

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
}

/// A circle of the mesh, or a point on the axis.
struct Ring {
    radius: f64,
    height: f64,
    /// Steps in a quarter of a turn.
    steps: usize,
    /// Patch of the strip to the next ring.
    patch: u16,
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
        let lathe = Self { sections, closed };
        let inside = |ring: &Ring| !(ring.radius > 0.0);
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
        for section in &self.sections {
            let parameters = steps(&section.curve, length, 1);
            let places = parameters[..parameters.len() - 1].iter().map(|&t| section.curve.at(t));
            rings.extend(places.map(|place| Ring::new(place, length, section.patch)));
        }
        if let Some(last) = self.sections.last().filter(|_| !self.closed) {
            rings.push(Ring::new(last.curve.to(), length, last.patch));
            let count = rings.len();
            for end in [0, count - 1] {
                (rings[end].radius, rings[end].steps) = (0.0, 0);
            }
        }
        rings
    }

    /// Moves the middle of a side of the mesh for sides of `length` [m] onto the true body: for
    /// [`QuadraticSurface::curved`](crate::QuadraticSurface::curved), also of a part of the mesh. Middles on circles where sections
    /// meet move along them; others go to the nearest point of their patch, so a wall must be thicker than twice what a chord cuts off.
    pub fn onto(&self, length: f64) -> impl Fn(Vector3<f64>, u16) -> Vector3<f64> + '_ {
        let joints: Vec<_> =
            self.sections.iter().map(|s| Ring::new(s.curve.from(), length, s.patch)).collect();
        move |point, patch| {
            let (radius, angle) = (point.x.hypot(point.y), point.y.atan2(point.x));
            let place = [radius, point.z];
            let [r, z] = joints
                .iter()
                .find(|ring| ring.chord_has(place))
                .map_or_else(|| self.nearest(place, patch), |ring| [ring.radius, ring.height]);
            if radius > 0.0 { Vector3::new(r * angle.cos(), r * angle.sin(), z) } else { point }
        }
    }

    fn nearest(&self, place: [f64; 2], patch: u16) -> [f64; 2] {
        let own = self.sections.iter().filter(|section| section.patch == patch);
        let found = own.map(|section| nearest_of(&section.curve, place));
        found.min_by(|a, b| a.1.total_cmp(&b.1)).map_or(place, |(place, _)| place)
    }
}

/// The nearest point of a curve, and its distance.
fn nearest_of(curve: &Piece, place: [f64; 2]) -> ([f64; 2], f64) {
    let apart = |t: f64| {
        let [r, z] = curve.at(t);
        (r - place[0]).hypot(z - place[1])
    };
    let samples = (0..=SAMPLES).map(|i| i as f64 / SAMPLES as f64);
    let start = samples.min_by(|a, b| apart(*a).total_cmp(&apart(*b))).unwrap_or(0.0);
    let (t, distance) = curve.nearest(place, start);
    (curve.at(t), distance)
}

/// Volume [m³] between the axis and a straight stretch of a profile, positive when it rises.
fn cone_volume([r0, z0]: [f64; 2], [r1, z1]: [f64; 2]) -> f64 {
    TAU / 6.0 * (r0 * r0 + r0 * r1 + r1 * r1) * (z1 - z0)
}

impl Ring {
    fn new([radius, height]: [f64; 2], length: f64, patch: u16) -> Self {
        let steps = ((FRAC_PI_2 * radius / length * (1.0 - 1e-6)).ceil() as usize).max(LEAST_STEPS);
        Self { radius, height, steps, patch }
    }

    /// Adds its quarter from x to y.
    fn points(&self, surface: &mut Surface) -> Vec<u32> {
        let first = surface.points.len() as u32;
        for step in 0..=self.steps {
            let angle = FRAC_PI_2 * step as f64 / self.steps.max(1) as f64;
            // Exact on both planes of symmetry.
            let (sin, cos) = if step == 0 {
                (0.0, 1.0)
            } else if step == self.steps {
                (1.0, 0.0)
            } else {
                angle.sin_cos()
            };
            surface.points.push(Vector3::new(self.radius * cos, self.radius * sin, self.height));
        }
        (first..surface.points.len() as u32).collect()
    }

    /// True if the middle of one of its chords lies at this radius and height.
    fn chord_has(&self, [radius, height]: [f64; 2]) -> bool {
        let middle = self.radius * (0.5 * FRAC_PI_2 / self.steps as f64).cos();
        (radius - middle).hypot(height - self.height) < 1e-7 * self.radius
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
