//! Where a prediction samples the panel and the sound.

use crate::scene::Scene;
use ndarray::Array1;
use panelwright_mesh::{Axis, Lattice};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_3};
use std::num::NonZeroUsize;

/// Distance of the sensitivity microphone on the panel's axis [m].
const SENSITIVITY_DISTANCE: f64 = 1.0;
/// Angles between points of the listening arcs [rad].
const ARC_STEP: f64 = 5.0 * std::f64::consts::PI / 180.0;
/// Cell size of the panel's own velocity map [m].
const PANEL_CELL: f64 = 0.010;

/// Sampling points of a prediction, in panel coordinates [m].
pub(crate) struct Places {
    /// Microphones of the output map.
    pub map: Lattice,
    /// Cells of the panel's own velocity map.
    pub panel: Lattice,
    /// Polar angles [rad], −π/2…π/2.
    pub angles: Vec<f64>,
    /// Points of the listening arcs, horizontal then vertical, out to ±60°: where people sit, and where wave fronts are judged.
    pub arc: Vec<[f64; 3]>,
    /// Single microphones: seats, then the sensitivity microphone.
    pub microphones: Vec<[f64; 3]>,
}

impl Places {
    pub fn of(scene: &Scene) -> Self {
        let [cx, cy] = scene.panel.outline.centre();
        let seats = scene.receivers.seats.iter().map(|seat| seat.position);
        Self {
            map: map_lattice(scene),
            panel: panel_cells(scene),
            angles: symmetric_angles(FRAC_PI_2, scene.receivers.arc.step),
            arc: listening_arcs([cx, cy], scene.receivers.arc.distance),
            microphones: seats.chain([[cx, cy, SENSITIVITY_DISTANCE]]).collect(),
        }
    }

    /// Nothing but these microphones matters; map, arcs and the panel's own map have a point each, or none.
    pub fn only(scene: &Scene, microphones: Vec<[f64; 3]>) -> Self {
        let (width, height) = scene.panel.outline.bounding_box();
        let one = cells(width, height, width.max(height));
        Self { map: one.clone(), panel: one, angles: vec![0.0], arc: vec![], microphones }
    }

    /// Every microphone of the map, in storage order.
    pub fn map_points(&self, distance: f64) -> Vec<[f64; 3]> {
        self.map.points().map(|[x, y]| [x, y, distance]).collect()
    }
}

fn map_lattice(scene: &Scene) -> Lattice {
    let (width, height) = scene.panel.outline.bounding_box();
    let map = scene.receivers.map;
    let axis = |extent: f64| nodes(-map.margin, extent + map.margin, map.spacing);
    Lattice::new(axis(width), axis(height))
}

/// Evenly spaced nodes from `start` to `end`, at most `spacing` apart, trapezoidal weights.
fn nodes(start: f64, end: f64, spacing: f64) -> Axis {
    let steps = ((end - start) / spacing).ceil().max(1.0) as usize;
    let step = (end - start) / steps as f64;
    let mut weights = Array1::from_elem(steps + 1, step);
    weights[0] *= 0.5;
    weights[steps] *= 0.5;
    Axis { nodes: (0..=steps).map(|i| start + i as f64 * step).collect(), weights }
}

fn panel_cells(scene: &Scene) -> Lattice {
    let (width, height) = scene.panel.outline.bounding_box();
    cells(width, height, PANEL_CELL)
}

/// Equal cells over `width` × `height`, none larger than `size` [m].
fn cells(width: f64, height: f64, size: f64) -> Lattice {
    let count = |extent: f64| NonZeroUsize::new((extent / size).ceil() as usize).unwrap_or(NonZeroUsize::MIN);
    Lattice::new(Axis::cells(0.0, width, count(width)), Axis::cells(0.0, height, count(height)))
}

/// Angles from −`limit` to `limit` at most `step` apart, symmetric about 0 and containing it.
fn symmetric_angles(limit: f64, step: f64) -> Vec<f64> {
    let half = (limit / step).ceil().max(1.0) as i32;
    (-half..=half).map(|i| limit * f64::from(i) / f64::from(half)).collect()
}

fn listening_arcs([cx, cy]: [f64; 2], distance: f64) -> Vec<[f64; 3]> {
    let angles = symmetric_angles(FRAC_PI_3, ARC_STEP);
    let horizontal = angles.iter().map(|a| [cx + distance * a.sin(), cy, distance * a.cos()]);
    let vertical = angles.iter().map(|a| [cx, cy + distance * a.sin(), distance * a.cos()]);
    horizontal.chain(vertical).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn map_nodes_end_on_the_margin() {
        let axis = nodes(-0.1, 0.86, 0.025);
        assert_relative_eq!(axis.nodes[0], -0.1);
        assert_relative_eq!(axis.nodes[axis.len() - 1], 0.86, max_relative = 1e-14);
        assert!(axis.nodes[1] - axis.nodes[0] <= 0.025);
        assert_relative_eq!(axis.weights.sum(), 0.96, max_relative = 1e-14);
    }

    #[test]
    fn angles_are_symmetric_and_contain_the_axis() {
        let angles = symmetric_angles(FRAC_PI_2, 0.07);
        assert_eq!(angles[angles.len() / 2], 0.0);
        assert_eq!(angles[0], -angles[angles.len() - 1]);
    }
}
