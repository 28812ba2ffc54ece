//! Lay-up → cross-section. One layer for now.

use crate::scene::{LossCurve, PlateSection};

/// A homogeneous orthotropic sheet; "along" is the direction of the face grain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SingleLayer {
    /// Density [kg/m³].
    pub density: f64,
    /// Modulus of elasticity along the grain E₁ [Pa].
    pub along: f64,
    /// Modulus of elasticity across the grain E₂ [Pa].
    pub across: f64,
    /// Shear modulus in the plane of the sheet G₁₂ [Pa].
    pub shear: f64,
    /// Poisson's ratio ν₁₂: strain across over strain along, when pulled along.
    pub poisson: f64,
    /// Shear modulus through the thickness [Pa], the smaller of the two, if known.
    pub transverse_shear: Option<f64>,
    /// Structural loss factor.
    pub loss_factor: f64,
}

/// Direction of the face grain on the panel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    /// Along x.
    Horizontal,
    /// Along y.
    Vertical,
}

/// Shear correction factor of a homogeneous section (E. Reissner, The effect of transverse shear deformation on the bending
/// of elastic plates, J. Appl. Mech. 12 (1945) A69–A77).
const SHEAR_CORRECTION: f64 = 5.0 / 6.0;

impl SingleLayer {
    /// `1 − ν₁₂ ν₂₁` with the reciprocal relation `ν₂₁ = ν₁₂ E₂ / E₁`. The sheet stores positive energy only when this is
    /// positive (R. M. Jones, Mechanics of Composite Materials, 2nd ed. 1999, § 2.4.2).
    pub fn poisson_margin(&self) -> f64 {
        1.0 - self.poisson * self.poisson * self.across / self.along
    }
}

/// Bending stiffnesses of one orthotropic layer of thickness h whose axes lie along the sides:
///
/// ```text
/// D₁₁ = E₁ h³ / 12 (1 − ν₁₂ν₂₁)    D₂₂ = E₂ h³ / 12 (1 − ν₁₂ν₂₁)    D₁₂ = ν₁₂ D₂₂    D₆₆ = G₁₂ h³ / 12
/// ```
///
/// Surface mass is ρh, shear speed `√(κ G / ρ)` with κ = 5/6. Valid while `poisson_margin` is positive.
/// Source: S. P. Timoshenko & S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, ch. 11 (bending of anisotropic plates).
pub fn section_of_single_layer(layer: &SingleLayer, thickness: f64, grain: Grain) -> PlateSection {
    let cubic = thickness.powi(3) / 12.0;
    let (along, across) =
        (layer.along / layer.poisson_margin() * cubic, layer.across / layer.poisson_margin() * cubic);
    let (d11, d22) = match grain {
        Grain::Horizontal => (along, across),
        Grain::Vertical => (across, along),
    };
    PlateSection {
        d11,
        d12: layer.poisson * across,
        d22,
        d66: layer.shear * cubic,
        surface_mass: layer.density * thickness,
        thickness,
        shear: layer.transverse_shear.map(|g| [SHEAR_CORRECTION * g * thickness; 2]),
        rotary_inertia: layer.density * cubic,
        bending_loss: LossCurve::constant(layer.loss_factor),
        shear_loss: LossCurve::constant(layer.loss_factor),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const PLY: SingleLayer = SingleLayer {
        density: 450.0,
        along: 7e9,
        across: 2.5e9,
        shear: 0.45e9,
        poisson: 0.05,
        transverse_shear: Some(110e6),
        loss_factor: 0.02,
    };

    #[test]
    fn an_isotropic_sheet_has_the_textbook_stiffness() {
        let (e, nu, h) = (70e9, 0.33, 2e-3);
        let shear = e / (2.0 * (1.0 + nu));
        let sheet = SingleLayer { along: e, across: e, shear, poisson: nu, ..PLY };
        let section = section_of_single_layer(&sheet, h, Grain::Vertical);
        // D = E h³ / 12 (1 − ν²) in every direction, D₆₆ = (1 − ν) D / 2.
        let d = e * h.powi(3) / (12.0 * (1.0 - nu * nu));
        for angle in [0.0, 0.4, 1.1, 1.5] {
            assert_relative_eq!(section.stiffness_at(angle), d, max_relative = 1e-12);
        }
        assert_relative_eq!(section.d66, 0.5 * (1.0 - nu) * d, max_relative = 1e-12);
        assert_relative_eq!(section.d12, nu * d, max_relative = 1e-12);
    }

    #[test]
    fn turning_the_grain_swaps_the_axes() {
        let horizontal = section_of_single_layer(&PLY, 4e-3, Grain::Horizontal);
        let vertical = section_of_single_layer(&PLY, 4e-3, Grain::Vertical);
        assert_eq!((horizontal.d11, horizontal.d22), (vertical.d22, vertical.d11));
        assert_eq!((horizontal.d12, horizontal.d66), (vertical.d12, vertical.d66));
        assert!(horizontal.d11 > 2.0 * horizontal.d22);
    }

    #[test]
    fn figures_of_a_plywood_sheet() {
        let section = section_of_single_layer(&PLY, 4e-3, Grain::Horizontal);
        // By hand: 7e9 · 64e-9 / 12 / (1 − 0.0025 · 2.5/7).
        assert_relative_eq!(section.d11, 37.366_69, max_relative = 1e-6);
        assert_relative_eq!(section.surface_mass, 1.8, max_relative = 1e-12);
        assert_relative_eq!(
            (section.shear.expect("given")[0] / section.surface_mass).sqrt(),
            451.335,
            max_relative = 1e-5
        );
    }

    #[test]
    fn the_poisson_margin_is_that_of_the_compliance_matrix() {
        // Determinant of [[1/E₁, −ν₁₂/E₁], [−ν₁₂/E₁, 1/E₂]] times E₁E₂.
        let s = [1.0 / PLY.along, -PLY.poisson / PLY.along, 1.0 / PLY.across];
        let determinant = (s[0] * s[2] - s[1] * s[1]) * PLY.along * PLY.across;
        assert_relative_eq!(PLY.poisson_margin(), determinant, max_relative = 1e-12);
        assert!(SingleLayer { poisson: 2.0, ..PLY }.poisson_margin() < 0.0);
    }
}
