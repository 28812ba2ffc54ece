//! Points that nearly coincide become one.

use super::Surface;
use nalgebra::Vector3;
use std::collections::HashMap;

/// Points closer than this share of the surface's diagonal are one: the step of single precision far from the origin, and of text
/// with six digits.
const TOLERANCE: f64 = 1e-6;

/// A surface without doubled points.
#[derive(Clone, Debug, PartialEq)]
pub struct Welded {
    /// The surface; triangles keep their order, and may have lost their area.
    pub surface: Surface,
    /// Points that were merged into others.
    pub merged: usize,
}

impl Surface {
    /// The same surface with points that coincide, to a millionth of its diagonal, made one: the first of them. Points that no
    /// triangle uses are dropped.
    pub fn welded(&self) -> Welded {
        let mut grid = Grid::new(TOLERANCE * self.diagonal());
        let mut points = vec![];
        let mut known: HashMap<u32, u32> = HashMap::new();
        let mut place = |old: u32| {
            *known.entry(old).or_insert_with(|| grid.place(self.points[old as usize], &mut points))
        };
        let triangles = self.triangles.iter().map(|corners| corners.map(&mut place)).collect();
        let merged = known.len() - points.len();
        Welded { surface: Surface { points, triangles, patches: self.patches.clone() }, merged }
    }

    /// Lower and upper corner [m] of the smallest box around all points; both at the origin if there are none.
    pub fn bounds(&self) -> [Vector3<f64>; 2] {
        let Some(&first) = self.points.first() else { return [Vector3::zeros(); 2] };
        self.points.iter().fold([first; 2], |[low, high], point| [low.inf(point), high.sup(point)])
    }

    /// Diagonal [m] of the smallest box around all points.
    pub fn diagonal(&self) -> f64 {
        let [low, high] = self.bounds();
        (high - low).norm()
    }
}

/// Cells twice as wide as the tolerance: whatever is near a point lies in the eight cells around the corner nearest to it.
struct Grid {
    tolerance: f64,
    cells: HashMap<[i64; 3], Vec<u32>>,
    exact: HashMap<[u64; 3], u32>,
}

impl Grid {
    fn new(tolerance: f64) -> Self {
        let tolerance = tolerance.max(f64::MIN_POSITIVE);
        Self { tolerance, cells: HashMap::new(), exact: HashMap::new() }
    }

    fn cell(&self, point: Vector3<f64>, corner: usize) -> [i64; 3] {
        [0, 1, 2].map(|k| {
            let shift = if corner >> k & 1 == 0 { -0.5 } else { 0.5 };
            (point[k] / (2.0 * self.tolerance) + shift).floor() as i64
        })
    }

    /// Index of the point, a new one if none is near.
    fn place(&mut self, point: Vector3<f64>, points: &mut Vec<Vector3<f64>>) -> u32 {
        let bits = [point.x, point.y, point.z].map(|value| (value + 0.0).to_bits());
        if let Some(&index) = self.exact.get(&bits) {
            return index;
        }
        let index = self.near(point, points).unwrap_or_else(|| {
            points.push(point);
            let home = [0, 1, 2].map(|k| (point[k] / (2.0 * self.tolerance)).floor() as i64);
            let index = points.len() as u32 - 1;
            self.cells.entry(home).or_default().push(index);
            index
        });
        self.exact.insert(bits, index);
        index
    }

    fn near(&self, point: Vector3<f64>, points: &[Vector3<f64>]) -> Option<u32> {
        let found = (0..8).filter_map(|corner| self.cells.get(&self.cell(point, corner))).flatten();
        let close = |&&index: &&u32| (points[index as usize] - point).norm() <= self.tolerance;
        found.filter(close).min().copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_points_become_one_on_both_sides_of_a_cell_wall() {
        for shift in [0.0, 0.3, 1.1, 1.7, 1.99] {
            let at = |x: f64| Vector3::new(x * 1e-6, 0.0, 0.0);
            let far = [Vector3::y(), Vector3::zeros(), Vector3::y() * 0.5];
            let points = [at(shift), at(shift + 0.9), at(shift + 3.0), far[0], far[1], far[2]].to_vec();
            let triangles = vec![[0, 1, 3], [2, 3, 4], [5, 3, 0]];
            let welded = Surface { points, triangles, patches: vec![0; 3] }.welded();
            let merged = if shift < 1.0 { 2 } else { 1 }; // the origin is the sixth point
            assert_eq!(welded.merged, merged, "{shift}");
            assert_eq!(welded.surface.triangles[0][0], welded.surface.triangles[0][1]);
            assert_ne!(welded.surface.triangles[0][0], welded.surface.triangles[1][0]);
        }
    }
}
