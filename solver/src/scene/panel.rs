//! The plate.

use super::LossCurve;
use panelwright_mesh::Outline;
use serde::{Deserialize, Serialize};

/// A plate of one cross-section whose material axes lie along x and y.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Panel {
    /// Outline; the lower left corner of its bounding box is the origin.
    pub outline: Outline,
    /// Stiffness, mass and loss of the cross-section.
    pub section: PlateSection,
    /// How its edges are held.
    pub edges: Edges,
    /// What is behind it.
    pub back: Back,
}

/// Homogenised cross-section of a plate.
///
/// Energy per area, with w the deflection and γ = θ + ∇w the shear angles (θ: rotation of the normal):
/// `½ (D11 κx² + 2 D12 κx κy + D22 κy² + D66 κxy²) + ½ (S1 γx² + S2 γy²)`, κx = ∂θx/∂x, κy = ∂θy/∂y,
/// κxy = ∂θx/∂y + ∂θy/∂x (J. N. Reddy, Mechanics of Laminated Composite Plates and Shells, 2nd ed. 2004, § 3.3, § 3.4).
/// Without shear, θ = −∇w and the bending part is `½ (D11 w_xx² + 2 D12 w_xx w_yy + D22 w_yy² + 4 D66 w_xy²)`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PlateSection {
    /// Bending stiffness along x [N·m].
    pub d11: f64,
    /// Coupling stiffness [N·m].
    pub d12: f64,
    /// Bending stiffness along y [N·m].
    pub d22: f64,
    /// Twisting stiffness [N·m].
    pub d66: f64,
    /// Mass per area [kg/m²].
    pub surface_mass: f64,
    /// Thickness [m].
    pub thickness: f64,
    /// Transverse shear stiffness in the planes xz and yz [N/m], shear correction included; `None` if unknown: then thin-plate
    /// theory is all there is.
    pub shear: Option<[f64; 2]>,
    /// Rotary inertia per area `∫ρz² dz` [kg].
    pub rotary_inertia: f64,
    /// Loss factor of the bending stiffness.
    pub bending_loss: LossCurve,
    /// Loss factor of the shear stiffness.
    pub shear_loss: LossCurve,
}

/// Condition along a stretch of edge.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EdgeCondition {
    /// Neither held nor turned.
    Free,
    /// Held, free to turn.
    SimplySupported,
    /// Held and kept from turning.
    Clamped,
    /// Sits on a compliant strip.
    Strip(Strip),
}

/// A compliant strip between the edge and something that does not move: foam tape, gasket.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Strip {
    /// Stiffness against deflection per length of edge [N/m²].
    pub stiffness: f64,
    /// Stiffness against rotation about the edge per length of edge [N].
    pub rotational: f64,
    /// Loss factor of both.
    pub loss_factor: f64,
}

/// Part of a contour that is held in its own way.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stretch {
    /// Contour of the outline: 0 is the outer one, then the cut-outs.
    pub contour: usize,
    /// Where it starts and ends: length along the contour from its start [m], `from < to`.
    pub from: f64,
    /// See `from`.
    pub to: f64,
    /// How it is held.
    pub condition: EdgeCondition,
}

/// How the edges are held.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Edges {
    /// Holds wherever no stretch says otherwise.
    pub elsewhere: EdgeCondition,
    /// Stretches; the first that covers a point holds there.
    pub stretches: Vec<Stretch>,
}

/// What is behind the panel.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Back {
    /// Nothing: sound goes round the edges.
    Open,
    /// The panel fills an opening of a large wall; both faces look into the open.
    Baffled,
    /// Open, with a wall parallel to the panel behind it.
    Wall {
        /// From the panel's plane to the wall [m].
        distance: f64,
        /// Pressure reflection factor, 1 for a hard wall.
        reflection: f64,
    },
    /// The panel is flush with a large wall; a shallow closed space lies behind it.
    Closed {
        /// Depth of the space [m].
        depth: f64,
        /// Loss factor of the air in it: filling, leaks.
        loss_factor: f64,
    },
    /// As `Closed`, with an opening to the room.
    Vented {
        /// Depth of the space [m].
        depth: f64,
        /// Loss factor of the air in it.
        loss_factor: f64,
        /// Area of the opening [m²].
        vent_area: f64,
        /// Effective length of the opening, end corrections included [m].
        vent_length: f64,
    },
}

impl Edges {
    /// The same condition all round.
    pub fn all(condition: EdgeCondition) -> Self {
        Self { elsewhere: condition, stretches: vec![] }
    }

    /// Conditions of the left, bottom, right and top side of a rectangle.
    pub fn of_rectangle(width: f64, height: f64, [left, bottom, right, top]: [EdgeCondition; 4]) -> Self {
        if left == bottom && bottom == right && right == top {
            return Self::all(left);
        }
        let mut start = 0.0;
        let stretches =
            [(width, bottom), (height, right), (width, top), (height, left)].map(|(length, condition)| {
                let from = start;
                start += length;
                Stretch { contour: 0, from, to: start, condition }
            });
        Self { elsewhere: EdgeCondition::Free, stretches: stretches.to_vec() }
    }

    /// Condition at `along` [m] from the start of `contour`.
    pub fn at(&self, contour: usize, along: f64) -> EdgeCondition {
        let covers = |s: &&Stretch| s.contour == contour && s.from <= along && along <= s.to;
        self.stretches.iter().find(covers).map_or(self.elsewhere, |s| s.condition)
    }

    /// Conditions of the left, bottom, right and top side when each side of a rectangle is held in one way.
    pub fn sides(&self, width: f64, height: f64) -> Option<[EdgeCondition; 4]> {
        let starts = [0.0, width, width + height, 2.0 * width + height, 2.0 * (width + height)];
        let slack = 1e-9 * (width + height);
        let corner = |along: f64| starts.iter().any(|start| (along - start).abs() <= slack);
        let whole = |s: &Stretch| s.contour == 0 && corner(s.from) && corner(s.to);
        self.stretches.iter().all(whole).then(|| {
            let side = |i: usize| self.at(0, 0.5 * (starts[i] + starts[i + 1]));
            [side(3), side(0), side(1), side(2)]
        })
    }
}
