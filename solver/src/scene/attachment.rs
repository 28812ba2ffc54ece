//! What is fixed to the panel besides exciters, and what it hangs from.

use serde::Serialize;

/// A small mass glued to the panel.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PointMass {
    /// Name in reports.
    pub name: String,
    /// Where [m].
    pub position: [f64; 2],
    /// Mass [kg].
    pub mass: f64,
    /// Diameter of the ring over which it touches the panel [m]; 0 for a point.
    pub diameter: f64,
}

/// A cord, standoff or foot: a spring between a point of the panel and something that does not move.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hang {
    /// Name in reports.
    pub name: String,
    /// Where [m].
    pub position: [f64; 2],
    /// Stiffness across the panel [N/m].
    pub stiffness: f64,
    /// Its loss factor: `k (1 + jη)`.
    pub loss_factor: f64,
    /// Diameter of the ring over which it touches the panel [m]; 0 for a point.
    pub diameter: f64,
}

/// A rectangular damping patch with its sides along x and y.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Patch {
    /// Name in reports.
    pub name: String,
    /// Lower left corner [m].
    pub corner: [f64; 2],
    /// Width and height [m].
    pub size: [f64; 2],
    /// Mass per area [kg/m²].
    pub surface_mass: f64,
    /// Bending stiffness it adds to the panel, the same in all directions [N·m].
    pub stiffness: f64,
    /// Loss factor of that stiffness.
    pub loss_factor: f64,
}

/// A bar glued to the panel along a straight line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bar {
    /// Name in reports.
    pub name: String,
    /// Both ends [m].
    pub ends: [[f64; 2]; 2],
    /// Mass per length [kg/m].
    pub line_mass: f64,
    /// Bending stiffness about the panel's mid-plane [N·m²].
    pub stiffness: f64,
    /// Torsional stiffness [N·m²].
    pub torsional_stiffness: f64,
    /// Loss factor of both.
    pub loss_factor: f64,
}

/// Everything fixed to the panel besides exciters.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Attachments {
    /// Small masses.
    pub masses: Vec<PointMass>,
    /// Cords, standoffs, feet.
    pub hangs: Vec<Hang>,
    /// Damping patches.
    pub patches: Vec<Patch>,
    /// Stiffeners.
    pub bars: Vec<Bar>,
}

impl Attachments {
    /// True when there is nothing.
    pub fn is_empty(&self) -> bool {
        self.masses.is_empty() && self.hangs.is_empty() && self.patches.is_empty() && self.bars.is_empty()
    }
}
