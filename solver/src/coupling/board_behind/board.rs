//! The board, and how its cells must be for a body near it.

use super::error::BoardError;
use crate::boundary::Body;
use crate::radiation::screen::ScreenGrid;
use nalgebra::Vector3;
use panelwright_mesh::{Lattice, Outline};
use std::ops::Range;

/// Cells to the wavelength that [`Board::step`] asks for.
pub(crate) const CELLS_PER_WAVELENGTH: f64 = 8.0;
/// Cells to the shorter side at least.
const CELLS_PER_SIDE: f64 = 24.0;
/// Cells over the radius of the body at least, unless the gap is larger than such a cell.
const CELLS_PER_RADIUS: f64 = 4.0;
/// The sum over dipoles this many steps away is as good as an integral: it is off by about `exp(−2π · 1.5)`, 1e-4.
const STEPS_AWAY: f64 = 1.5;
/// Cells on every side of a node that a polynomial through its neighbours reaches to.
pub(super) const REACH: usize = 3;
/// Divisions of a cell at most.
const FINEST: usize = 16;

/// A rigid thin board in the plane z = 0.
#[derive(Clone, Debug)]
pub struct Board {
    outline: Outline,
    axis: [f64; 2],
    pub(super) grid: ScreenGrid,
}

/// Nodes so close to a body that it sees the single dipoles.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::coupling) struct Close {
    pub nodes: [Range<usize>; 2],
    /// Divisions of a cell that make them look like a sheet.
    pub divisions: usize,
    /// How far [m] from the board this is seen.
    pub away: f64,
}

impl Board {
    /// The board with cells of at most about `step` [m]. The z axis of the body's coordinates goes through the board's own point `axis` [m],
    /// counted from the lower left corner of its bounding box.
    pub fn new(outline: &Outline, axis: [f64; 2], step: f64) -> Self {
        Self { outline: outline.clone(), axis, grid: ScreenGrid::new(outline, step) }
    }

    /// Cells [m] that suit waves of this `wavelength` [m] and this body: eight to the wavelength, 24 to the shorter side, and no larger than
    /// the gap or a quarter of the body's radius. A body closer to the edge than that wants cells no larger than its distance.
    pub fn step(outline: &Outline, axis: [f64; 2], body: &Body, wavelength: f64) -> f64 {
        let (width, height) = outline.bounding_box();
        let places =
            || body.points().iter().map(|point| (outline.distance_inside(onto(axis, point)), point.z.abs()));
        let gap = places().map(|(inside, z)| (-inside).max(0.0).hypot(z)).fold(f64::INFINITY, f64::min);
        let from_edge = places().map(|(inside, z)| inside.hypot(z)).fold(f64::INFINITY, f64::min);
        let near = gap.max(body.radius() / CELLS_PER_RADIUS).min(from_edge);
        (wavelength / CELLS_PER_WAVELENGTH).min(width.min(height) / CELLS_PER_SIDE).min(near)
    }

    /// Its nodes in its own coordinates [m].
    pub fn lattice(&self) -> &Lattice {
        &self.grid.lattice
    }

    /// Where its nodes are in the body's coordinates [m], along x and along y.
    pub(super) fn nodes(&self) -> [Vec<f64>; 2] {
        let lattice = &self.grid.lattice;
        let moved = |axis: &panelwright_mesh::Axis, by: f64| axis.nodes.iter().map(|x| x - by).collect();
        [moved(&lattice.x, self.axis[0]), moved(&lattice.y, self.axis[1])]
    }

    /// All nodes in the body's coordinates [m], in storage order.
    pub(super) fn places(&self) -> Vec<Vector3<f64>> {
        let [x, y] = self.axis;
        self.grid.lattice.points().map(|point| Vector3::new(point[0] - x, point[1] - y, 0.0)).collect()
    }

    /// Refuses bodies that go on beyond mirror planes or through the board.
    pub(super) fn check(&self, body: &Body) -> Result<(), BoardError> {
        if body.is_mirrored() {
            return Err(BoardError::Mirrored);
        }
        let side = |points: &[Vector3<f64>; 6], sign: f64| points.iter().any(|point| sign * point.z >= 0.0);
        let through = |points: &[Vector3<f64>; 6]| {
            let inside = || points.iter().map(|point| self.outline.distance_inside(onto(self.axis, point)));
            side(points, 1.0) && side(points, -1.0) && inside().all(|distance| distance > 0.0)
        };
        match body.elements().find(through) {
            Some(points) => Err(BoardError::Meets { at: onto(self.axis, &points[0]) }),
            None => Ok(()),
        }
    }

    /// What lies close to a body; nothing when all of the body is far enough, or where polynomials would reach beyond the edge.
    pub(super) fn close(&self, body: &Body) -> Option<Close> {
        let cell = self.grid.cell();
        let away = STEPS_AWAY * cell[0].max(cell[1]);
        let low: Vec<&Vector3<f64>> = body
            .points()
            .iter()
            .filter(|point| {
                point.z.abs() < away && self.outline.distance_inside(onto(self.axis, point)) > 0.0
            })
            .collect();
        let gap = low.iter().map(|point| point.z.abs()).fold(away, f64::min);
        let divisions = ((away / gap).ceil() as usize).min(FINEST);
        let nodes = self.nodes();
        let range = |along: usize| {
            let margin = 2.0 * cell[along];
            let [least, most] =
                [f64::min, f64::max].map(|pick| low.iter().map(|point| point[along]).reduce(pick));
            let (least, most) = (least? - margin, most? + margin);
            let start = nodes[along].partition_point(|&x| x < least).max(REACH);
            let end =
                nodes[along].partition_point(|&x| x <= most).min(nodes[along].len().saturating_sub(REACH));
            (start < end).then_some(start..end)
        };
        let close = Close { nodes: [range(0)?, range(1)?], divisions, away };
        (divisions > 1 && self.holds(&close)).then_some(close)
    }

    /// True when all of these nodes and their neighbours are on the board.
    fn holds(&self, close: &Close) -> bool {
        let lattice = &self.grid.lattice;
        let [x, y] = close.nodes.clone().map(|range| range.start - REACH..range.end + REACH);
        x.into_iter().all(|i| {
            y.clone().all(|j| self.outline.distance_inside([lattice.x.nodes[i], lattice.y.nodes[j]]) > 0.0)
        })
    }
}

/// A point seen along z, in the board's own coordinates [m].
fn onto(axis: [f64; 2], point: &Vector3<f64>) -> [f64; 2] {
    [point.x + axis[0], point.y + axis[1]]
}
