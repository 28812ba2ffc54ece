//! Where the panel is listened to.

use serde::Serialize;

/// A listening point.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Seat {
    /// Name in reports.
    pub name: String,
    /// Position [m] in panel coordinates (origin at the panel's lower left corner, z towards the listener).
    pub position: [f64; 3],
}

/// The plane of the output map, parallel to the panel in front of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MapPlane {
    /// Distance from the panel [m].
    pub distance: f64,
    /// How far the plane reaches beyond the panel's bounding box on every side [m].
    pub margin: f64,
    /// Microphone spacing [m]; the grid is fitted so that it ends on the margin.
    pub spacing: f64,
}

/// Angles of a polar pattern about the panel's centre.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PolarArc {
    /// Distance from the panel's centre [m] at which levels are stated; the pattern itself is the far field's.
    pub distance: f64,
    /// Step between angles [rad]; the arcs run from −90° to +90°.
    pub step: f64,
}

/// A floor below the panel, at right angles to it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Floor {
    /// Height of the floor in panel coordinates [m]; negative: below the panel's lower edge.
    pub y: f64,
    /// Pressure reflection factor, 1 for a hard floor.
    pub reflection: f64,
}

/// All receivers of a scene.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Receivers {
    /// Listening points.
    pub seats: Vec<Seat>,
    /// Output map.
    pub map: MapPlane,
    /// Horizontal and vertical arcs.
    pub arc: PolarArc,
    /// The floor they stand on, if it is to be heard.
    pub floor: Option<Floor>,
}

impl Receivers {
    /// The mirror images of `points` in the floor and its reflection factor; `None` without a floor.
    ///
    /// What a point hears of the panel's image in the floor, its image hears of the panel.
    pub fn in_the_floor(&self, points: &[[f64; 3]]) -> Option<(Vec<[f64; 3]>, f64)> {
        let floor = self.floor?;
        let mirrored = points.iter().map(|&[x, y, z]| [x, 2.0 * floor.y - y, z]).collect();
        Some((mirrored, floor.reflection))
    }
}
