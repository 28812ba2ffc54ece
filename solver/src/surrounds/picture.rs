//! Sound on the body and in the two planes through the driver's axis, at single frequencies.

use super::solution::{Sound, Sounding};
use crate::scene::{Behind, DriverScene};
use nalgebra::Vector3;
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::QuadraticSurface;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// Points along a side of a cutting plane.
const POINTS: usize = 61;
/// The plane reaches so many radii of the body beyond its middle.
const REACH: f64 = 2.5;

/// Sound of the driven driver at one frequency.
#[derive(Clone, Debug)]
pub struct Picture {
    /// Frequency [Hz].
    pub frequency: f64,
    /// Points of the body [m] in the driver's coordinates, images included.
    pub points: Vec<Vector3<f64>>,
    /// Triangles: every six-point element makes four.
    pub triangles: Vec<[u32; 3]>,
    /// Patch of every triangle.
    pub patches: Vec<u16>,
    /// Pressure [Pa RMS] at every point.
    pub pressure: Vec<Complex64>,
    /// The horizontal and the vertical plane through the axis.
    pub planes: [CutPlane; 2],
}

/// Pressure in a plane through the axis, on a square grid.
#[derive(Clone, Debug, Default)]
pub struct CutPlane {
    /// Places [m] across the axis, ascending: x in the horizontal plane, y in the vertical one.
    pub across: Vec<f64>,
    /// Places [m] along the axis, ascending in z.
    pub along: Vec<f64>,
    /// Pressure [Pa RMS], (across, along); not-a-number inside the body and behind an endless plane.
    pub pressure: Array2<Complex64>,
}

/// Indices of the frequencies nearest to those that are to be pictured.
pub(super) fn wanted(scene: &DriverScene) -> Vec<usize> {
    let nearest = |wanted: &f64| {
        let apart = |i: &usize| (scene.frequencies[*i] / wanted).ln().abs();
        (0..scene.frequencies.len()).min_by(|a, b| apart(a).total_cmp(&apart(b)))
    };
    let mut indices: Vec<usize> = scene.pictured.iter().filter_map(nearest).collect();
    indices.dedup();
    indices
}

/// Sound of every motion of unit amplitude, on the body and in both planes.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Seen {
    /// Points of the body [m], images included.
    points: Vec<[f64; 3]>,
    triangles: Vec<[u32; 3]>,
    patches: Vec<u16>,
    /// Pressure at every point, by motion.
    pressure: Vec<Vec<Complex64>>,
    planes: Vec<SeenPlane>,
}

#[derive(Clone, Debug, Serialize, Deserialize)]
struct SeenPlane {
    across: Vec<f64>,
    along: Vec<f64>,
    /// (across, along), by motion.
    pressure: Vec<Array2<Complex64>>,
}

impl Seen {
    /// What the sounds of all motions look like; `surface` is the part that symmetry leaves.
    pub fn of(
        scene: &DriverScene,
        sounding: &Sounding,
        surface: &QuadraticSurface,
        sounds: &[Sound],
    ) -> Self {
        let mut seen = Self {
            points: surface.points.iter().map(|&point| point.into()).collect(),
            triangles: surface.elements.iter().flat_map(four).collect(),
            patches: surface.patches.iter().flat_map(|patch| [*patch; 4]).collect(),
            pressure: sounds.iter().map(|sound| sound.surface().pressure.clone()).collect(),
            planes: vec![],
        };
        let mirrored = sounding.mirrored;
        for along in (0..2).filter(|&along| mirrored[along]) {
            seen.reflect(along);
        }
        let planes = [0, 1].map(|across| seen.plane(scene, sounds, across, mirrored[across]));
        Self { planes: planes.into(), ..seen }
    }

    /// The picture when the motions have these amplitudes.
    pub fn driven(&self, frequency: f64, amplitudes: &[Complex64]) -> Picture {
        let plane = |plane: &SeenPlane| CutPlane {
            across: plane.across.clone(),
            along: plane.along.clone(),
            pressure: plane
                .pressure
                .iter()
                .zip(amplitudes)
                .fold(Array2::zeros((plane.across.len(), plane.along.len())), |sum, (pressure, q)| {
                    sum + pressure.mapv(|p| p * q)
                }),
        };
        let at = |i: usize| self.pressure.iter().zip(amplitudes).map(|(part, q)| q * part[i]).sum();
        Picture {
            frequency,
            points: self.points.iter().map(|&point| point.into()).collect(),
            triangles: self.triangles.clone(),
            patches: self.patches.clone(),
            pressure: (0..self.points.len()).map(at).collect(),
            planes: [0, 1].map(|across| plane(&self.planes[across])),
        }
    }

    /// Adds the mirror image in the plane through the origin across a coordinate axis.
    fn reflect(&mut self, along: usize) {
        let count = self.points.len() as u32;
        let image = |mut point: [f64; 3]| {
            point[along] = -point[along];
            point
        };
        self.points.extend(self.points.clone().into_iter().map(image));
        self.triangles
            .extend(self.triangles.clone().into_iter().map(|[a, b, c]| [a + count, c + count, b + count]));
        self.patches.extend_from_within(..);
        self.pressure.iter_mut().for_each(|pressure| pressure.extend_from_within(..));
    }

    fn plane(&self, scene: &DriverScene, sounds: &[Sound], axis: usize, mirrored: bool) -> SeenPlane {
        let reach = REACH * self.points.iter().map(|[x, y, _]| x.hypot(*y)).fold(0.0, f64::max);
        let middle = scene.driver.place[2];
        let grid = |from: f64, to: f64| -> Vec<f64> {
            (0..POINTS).map(|i| from + (to - from) * i as f64 / (POINTS - 1) as f64).collect()
        };
        let across = grid(-reach, reach);
        let along = grid(middle - reach, middle + reach);
        let at = |i: usize, j: usize| {
            let mut point = Vector3::new(0.0, 0.0, along[j]);
            point[axis] = across[i];
            point
        };
        let first = if mirrored { POINTS / 2 } else { 0 };
        let grid: Vec<Vector3<f64>> =
            (first..POINTS).flat_map(|i| (0..POINTS).map(move |j| at(i, j))).collect();
        let outside: Vec<bool> = grid.par_iter().map(|point| self.is_outside(scene, *point)).collect();
        let heard: Vec<Vector3<f64>> =
            grid.iter().zip(&outside).filter(|(_, out)| **out).map(|(p, _)| *p).collect();
        let unknown = Complex64::new(f64::NAN, f64::NAN);
        let of = |sound: &Sound| {
            let mut found = sound.at(&heard).into_iter();
            let mut value = |out: &bool| if *out { found.next().unwrap_or(unknown) } else { unknown };
            let values: Vec<Complex64> = outside.iter().map(&mut value).collect();
            Array2::from_shape_fn((POINTS, POINTS), |(i, j)| {
                let row = if i < first { POINTS - 1 - i } else { i } - first;
                values[row * POINTS + j]
            })
        };
        SeenPlane { pressure: sounds.iter().map(of).collect(), across, along }
    }

    /// True where there is air: the solid angle that the body fills is none. On its surface it is not, even at a corner of three right angles.
    fn is_outside(&self, scene: &DriverScene, point: Vector3<f64>) -> bool {
        if scene.behind == Behind::Plane && point.z < 0.0 {
            return false;
        }
        let filled: f64 = self
            .triangles
            .iter()
            .map(|corners| {
                solid_angle(corners.map(|corner| Vector3::from(self.points[corner as usize]) - point))
            })
            .sum();
        filled.abs() < 0.25 * PI
    }
}

/// The four triangles of a six-point one.
fn four(&[a, b, c, ab, bc, ca]: &[u32; 6]) -> [[u32; 3]; 4] {
    [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
}

/// Solid angle [sr] of a triangle seen from the origin (A. van Oosterom & J. Strackee, IEEE Trans. Biomed. Eng. 30, 1983, 125).
fn solid_angle([a, b, c]: [Vector3<f64>; 3]) -> f64 {
    let (la, lb, lc) = (a.norm(), b.norm(), c.norm());
    let below = la * lb * lc + a.dot(&b) * lc + a.dot(&c) * lb + b.dot(&c) * la;
    2.0 * a.dot(&b.cross(&c)).atan2(below)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_octant_fills_an_eighth() {
        let corner = solid_angle([Vector3::x(), Vector3::y(), Vector3::z()]);
        assert!((corner - 0.5 * PI).abs() < 1e-12);
    }
}
