//! The plate.

use panelwright_mesh::{Outline, Side};
use serde::{Deserialize, Serialize};

/// A thin orthotropic plate whose material axes lie along x and y.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Panel {
    /// Outline, lower left corner at the origin.
    pub outline: Outline,
    /// Stiffness, mass and loss of the cross-section.
    pub section: PlateSection,
    /// How each side is held.
    pub edges: Edges,
}

/// Homogenised cross-section of a plate.
///
/// Bending energy per area: `½ (D11 w_xx² + 2 D12 w_xx w_yy + D22 w_yy² + 4 D66 w_xy²)`
/// (J. N. Reddy, Mechanics of Laminated Composite Plates and Shells, 2nd ed. 2004, § 3.3).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
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
    /// Structural loss factor η: stiffness is `D (1 + jη)`.
    pub loss_factor: f64,
    /// Speed of in-plane shear waves through the thickness [m/s], for the thin-plate validity check; `None` if unknown.
    pub shear_speed: Option<f64>,
}

/// Classical condition along one side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EdgeCondition {
    /// Neither held nor turned.
    Free,
    /// Held, free to turn.
    SimplySupported,
    /// Held and kept from turning.
    Clamped,
}

/// Condition of each side of a rectangle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Edges {
    /// x = 0.
    pub left: EdgeCondition,
    /// y = 0.
    pub bottom: EdgeCondition,
    /// x = width.
    pub right: EdgeCondition,
    /// y = height.
    pub top: EdgeCondition,
}

impl Edges {
    /// The same condition all round.
    pub fn all(condition: EdgeCondition) -> Self {
        Self { left: condition, bottom: condition, right: condition, top: condition }
    }

    /// Condition of one side.
    pub fn of(&self, side: Side) -> EdgeCondition {
        match side {
            Side::Left => self.left,
            Side::Bottom => self.bottom,
            Side::Right => self.right,
            Side::Top => self.top,
        }
    }
}

impl PlateSection {
    /// Bending stiffness [N·m] seen by a plane wave travelling at `angle` [rad] to x:
    /// `D11 cos⁴ + 2 (D12 + 2 D66) cos² sin² + D22 sin⁴`.
    pub fn stiffness_at(&self, angle: f64) -> f64 {
        let (s2, c2) = (angle.sin().powi(2), angle.cos().powi(2));
        self.d11 * c2 * c2 + 2.0 * (self.d12 + 2.0 * self.d66) * c2 * s2 + self.d22 * s2 * s2
    }

    /// Wavenumber [rad/m] of free bending waves at `frequency` [Hz] travelling at `angle` [rad] to x:
    /// `k_b = (ω² m / D(angle))^¼` (Cremer, Heckl & Petersson, Structure-Borne Sound, 3rd ed. 2005, § 3.3).
    pub fn bending_wavenumber(&self, frequency: f64, angle: f64) -> f64 {
        let omega = std::f64::consts::TAU * frequency;
        (omega * omega * self.surface_mass / self.stiffness_at(angle)).powf(0.25)
    }
}
