//! A homogeneous orthotropic solid and its stiffness in the plane.

use crate::scene::LossCurve;

/// A homogeneous orthotropic solid; "along" is the direction of the grain, of the fibres, or of a honeycomb's ribbon.
#[derive(Clone, Debug, PartialEq)]
pub struct Solid {
    /// Density [kg/m³].
    pub density: f64,
    /// Modulus of elasticity along the grain E₁ [Pa]; 0 for a core that only holds its skins apart.
    pub along: f64,
    /// Modulus of elasticity across the grain E₂ [Pa].
    pub across: f64,
    /// Shear modulus in the plane of the sheet G₁₂ [Pa].
    pub shear: f64,
    /// Poisson's ratio ν₁₂: strain across over strain along, when pulled along.
    pub poisson: f64,
    /// Shear moduli through the thickness G₁₃ (along the grain) and G₂₃ (across it) [Pa], if known.
    pub through: Option<[f64; 2]>,
    /// Structural loss factor.
    pub loss: LossCurve,
}

/// Direction of the grain on the panel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    /// Along x.
    Horizontal,
    /// Along y.
    Vertical,
}

/// Reduced stiffnesses of plane stress [Pa]: `σ₁ = Q₁₁ε₁ + Q₁₂ε₂`, `σ₂ = Q₁₂ε₁ + Q₂₂ε₂`, `τ₁₂ = Q₆₆γ₁₂`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PlaneStress {
    pub(super) q11: f64,
    pub(super) q12: f64,
    pub(super) q22: f64,
    pub(super) q66: f64,
}

impl Grain {
    /// A pair "along, across" as the pair "along x, along y".
    pub(super) fn on_panel(self, [along, across]: [f64; 2]) -> [f64; 2] {
        match self {
            Self::Horizontal => [along, across],
            Self::Vertical => [across, along],
        }
    }
}

impl Solid {
    /// `1 − ν₁₂ ν₂₁` with the reciprocal relation `ν₂₁ = ν₁₂ E₂ / E₁`. The solid stores positive energy only when this is
    /// positive (R. M. Jones, Mechanics of Composite Materials, 2nd ed. 1999, § 2.4.2).
    pub fn poisson_margin(&self) -> f64 {
        if self.carries_nothing() {
            return 1.0;
        }
        1.0 - self.poisson * self.poisson * self.across / self.along
    }

    /// True for a core without stiffness in its plane.
    pub fn carries_nothing(&self) -> bool {
        self.along <= 0.0 || self.across <= 0.0
    }

    /// `Q₁₁ = E₁/m, Q₂₂ = E₂/m, Q₁₂ = ν₁₂ E₂/m, Q₆₆ = G₁₂` with `m` the Poisson margin (R. M. Jones, 1999, § 2.4.2, eq. 2.66).
    pub(super) fn plane_stress(&self) -> PlaneStress {
        if self.carries_nothing() {
            return PlaneStress { q11: 0.0, q12: 0.0, q22: 0.0, q66: self.shear };
        }
        let margin = self.poisson_margin();
        let q22 = self.across / margin;
        PlaneStress { q11: self.along / margin, q12: self.poisson * q22, q22, q66: self.shear }
    }
}

impl PlaneStress {
    /// In panel axes.
    pub(super) fn turned(self, grain: Grain) -> Self {
        let [q11, q22] = grain.on_panel([self.q11, self.q22]);
        Self { q11, q22, ..self }
    }
}
