//! The panel by itself: modal density and overlap, coincidence, and how far thin-plate theory carries.

use super::findings::{ModeShape, PanelFindings};
use crate::drive::NaturalModes;
use crate::scene::{Panel, PlateSection};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Shear correction factor of a homogeneous plate (E. Reissner, J. Appl. Mech. 12 (1945) A69).

/// Findings of the bare panel. `natural_frequencies` [Hz] come without the `rigid` modes; `frequencies` [Hz] ascend.
pub fn panel_findings(
    panel: &Panel,
    natural_frequencies: &[f64],
    rigid: usize,
    first_shapes: Vec<ModeShape>,
    frequencies: &[f64],
    sound_speed: f64,
) -> PanelFindings {
    let (section, area) = (&panel.section, panel.outline.area());
    let modal_density = modal_density(section, area);
    let overlap_one = 1.0 / (modal_density * section.bending_loss.at(1000.0));
    let inside =
        |f: f64| frequencies.first().is_some_and(|&a| a <= f) && frequencies.last().is_some_and(|&b| f <= b);
    PanelFindings {
        mass: section.surface_mass * area,
        natural_frequencies: natural_frequencies.to_vec(),
        bare_frequencies: natural_frequencies.to_vec(),
        assembled: NaturalModes::default(),
        rigid_modes: rigid,
        first_shapes,
        modal_density,
        modal_overlap: frequencies.iter().map(|f| f / overlap_one).collect(),
        overlap_one: inside(overlap_one).then_some(overlap_one),
        coincidence: coincidence(section, sound_speed),
    }
}

/// Modal density [1/Hz] of the bending waves of a large thin orthotropic plate of `area` S [m²]:
/// `n = S √m / 4π ∫₀^2π D(θ)^−½ dθ`, which is `S/2 √(m/D)` when D does not depend on direction.
///
/// Counting modes as lattice points of area π²/S in the wavenumber plane gives `N(f) = S/8π² ∫ k_b²(θ) dθ` with
/// `k_b² = 2πf √(m/D(θ))` (L. Cremer, M. Heckl & B. A. T. Petersson, Structure-Borne Sound, 3rd ed. 2005, ch. 5, for the
/// isotropic plate). The perimeter's share, which depends on the edges, is left out. Constant over frequency.
pub fn modal_density(section: &PlateSection, area: f64) -> f64 {
    // D is even about both axes, so the midpoint rule over a quarter turn is that of a periodic function: exponentially exact.
    const STEPS: u32 = 512;
    let step = FRAC_PI_2 / f64::from(STEPS);
    let compliance = |i: u32| section.stiffness_at((f64::from(i) + 0.5) * step).powf(-0.5);
    let integral = 4.0 * step * (0..STEPS).map(compliance).sum::<f64>();
    area * section.surface_mass.sqrt() / (2.0 * TAU) * integral
}

/// Lowest and highest coincidence frequency [Hz] over the directions θ in the panel, where bending waves are as fast as sound:
/// `f_c(θ) = c²/2π √(m/D(θ))` (Cremer, Heckl & Petersson 2005, ch. 6; C. Hopkins, Sound Insulation, 2007, § 2.8). Thin plate.
pub fn coincidence(section: &PlateSection, sound_speed: f64) -> (f64, f64) {
    let frequency =
        |stiffness: f64| sound_speed * sound_speed / TAU * (section.surface_mass / stiffness).sqrt();
    let (softest, stiffest) = stiffness_range(section);
    (frequency(stiffest), frequency(softest))
}

/// Smallest and largest bending stiffness over direction. With s = sin²θ, D is the quadratic
/// `D11 (1−s)² + 2H s(1−s) + D22 s²`, H = D12 + 2 D66: its extremes are the axes and, if it lies between them, the vertex.
fn stiffness_range(section: &PlateSection) -> (f64, f64) {
    let (d11, h, d22) = (section.d11, section.d12 + 2.0 * section.d66, section.d22);
    let vertex = (d11 - h) / (d11 - 2.0 * h + d22);
    let oblique = (vertex > 0.0 && vertex < 1.0).then(|| section.stiffness_at(vertex.sqrt().asin()));
    [Some(d22), oblique].into_iter().flatten().fold((d11, d11), |(low, high), d| (low.min(d), high.max(d)))
}

/// How much faster thin-plate theory has the bending waves at `frequency` [Hz] than a plate that yields in shear, as a fraction
/// of their phase speed, in the direction where that is most. `None` if the section's shear speed is unknown.
///
/// Dispersion of the shear-deformable plate: `(k² − ω²m/S)(D k² − ω²I) = ω²m` with shear stiffness S and
/// rotary inertia I (R. D. Mindlin, J. Appl. Mech. 18 (1951) 31, eq. for straight-crested waves, from memory, derived
/// again here). Natural frequencies come out too high by about twice this fraction.
pub fn thin_plate_error(section: &PlateSection, frequency: f64) -> Option<f64> {
    let shear_stiffness = section.shear.map(|[xz, yz]| xz.min(yz))?;
    let (_, stiffest) = stiffness_range(section);
    let (m, w2) = (section.surface_mass, (TAU * frequency).powi(2));
    let inertia = section.rotary_inertia;
    // Quadratic in k²: D k⁴ − (ω²I + D ω²m/S) k² + ω²m (ω²I/S − 1) = 0, of which the larger root is the bending wave.
    let half = 0.5 * w2 * (inertia + stiffest * m / shear_stiffness);
    let last = w2 * m * (w2 * inertia / shear_stiffness - 1.0);
    let shear_wavenumber = ((half + (half * half - stiffest * last).sqrt()) / stiffest).sqrt();
    let thin_wavenumber = (w2 * m / stiffest).powf(0.25);
    Some(shear_wavenumber / thin_wavenumber - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{Back, EdgeCondition, Edges, LossCurve};
    use approx::assert_relative_eq;
    use panelwright_mesh::Outline;
    use proptest::prelude::*;

    fn isotropic(d: f64) -> PlateSection {
        PlateSection {
            d11: d,
            d12: 0.3 * d,
            d22: d,
            d66: 0.35 * d,
            surface_mass: 2.0,
            thickness: 4e-3,
            shear: Some([1.35e6; 2]),
            rotary_inertia: 2.0 * 4e-3 * 4e-3 / 12.0,
            bending_loss: LossCurve::constant(0.02),
            shear_loss: LossCurve::constant(0.02),
        }
    }

    fn plywood() -> PlateSection {
        PlateSection { d11: 50.0, d12: 1.0, d22: 8.0, d66: 4.0, ..isotropic(1.0) }
    }

    fn panel(section: PlateSection) -> Panel {
        let outline = Outline::Rectangle { width: 0.76, height: 0.52 };
        Panel { outline, section, edges: Edges::all(EdgeCondition::Free), back: Back::Baffled }
    }

    #[test]
    fn an_isotropic_plate_has_one_coincidence_and_the_textbook_density() {
        let section = isotropic(9.0);
        assert_relative_eq!(modal_density(&section, 0.4), 0.2 * (2.0f64 / 9.0).sqrt(), max_relative = 1e-13);
        let (low, high) = coincidence(&section, 343.0);
        assert_relative_eq!(low, high, max_relative = 1e-12);
    }

    #[test]
    fn coincidence_bounds_every_direction_and_is_reached() {
        for section in [plywood(), PlateSection { d11: 10.0, d12: 0.1, d22: 9.0, d66: 1.0, ..plywood() }] {
            let (low, high) = coincidence(&section, 343.0);
            let all: Vec<f64> = (0..=9000)
                .map(|i| {
                    343f64.powi(2) / TAU
                        * (2.0 / section.stiffness_at(f64::from(i) * FRAC_PI_2 / 9000.0)).sqrt()
                })
                .collect();
            let (least, most) = all.iter().fold((f64::MAX, 0f64), |(l, h), &f| (l.min(f), h.max(f)));
            assert_relative_eq!(low, least, max_relative = 1e-7);
            assert_relative_eq!(high, most, max_relative = 1e-7);
            let k = TAU * low / 343.0;
            assert_relative_eq!(section.bending_wavenumber(low, 0.0), k, max_relative = 1e-6);
        }
    }

    #[test]
    fn overlap_is_one_where_it_says() {
        let f: Vec<f64> = (1..2000).map(|i| 10.0 * f64::from(i)).collect();
        let found = panel_findings(&panel(plywood()), &[30.0, 50.0], 3, vec![], &f, 343.0);
        let at = found.overlap_one.unwrap();
        assert_relative_eq!(found.modal_density * at * 0.02, 1.0, max_relative = 1e-12);
        assert_relative_eq!(found.modal_overlap[9], found.modal_density * 100.0 * 0.02, max_relative = 1e-12);
        assert_relative_eq!(found.mass, 2.0 * 0.76 * 0.52, max_relative = 1e-12);
        assert_eq!(panel_findings(&panel(plywood()), &[], 3, vec![], &f[..20], 343.0).overlap_one, None);
    }

    #[test]
    fn a_lossless_panel_never_overlaps() {
        let lossless = PlateSection { bending_loss: LossCurve::constant(0.0), ..plywood() };
        let found = panel_findings(&panel(lossless), &[], 3, vec![], &[100.0, 1e4], 343.0);
        assert_eq!((found.overlap_one, found.modal_overlap), (None, vec![0.0, 0.0]));
    }

    #[test]
    fn shear_error_follows_the_series_at_low_frequency() {
        // First order in ω: k/k_thin − 1 ≈ ¼ ω √(m/D) (D/S + I/m).
        let section = plywood();
        let (m, d) = (section.surface_mass, section.d11);
        let s = 1.35e6;
        for f in [20.0, 200.0] {
            let first = 0.25 * TAU * f * (m / d).sqrt() * (d / s + section.thickness.powi(2) / 12.0);
            assert_relative_eq!(thin_plate_error(&section, f).unwrap(), first, max_relative = 2.0 * first);
        }
        assert_eq!(thin_plate_error(&PlateSection { shear: None, ..section }, 1e3), None);
    }

    #[test]
    fn bending_waves_never_outrun_shear() {
        let section = plywood();
        let speed = |f: f64| {
            let thin = TAU * f / section.bending_wavenumber(f, 0.0);
            thin / (1.0 + thin_plate_error(&section, f).unwrap())
        };
        let limit = (1.35e6f64 / 2.0).sqrt();
        assert!(speed(1e6) < limit && speed(1e6) > 0.98 * limit, "{} {limit}", speed(1e6));
    }

    proptest! {
        #[test]
        fn turning_the_grain_changes_neither_density_nor_coincidence(d11 in 1.0..100.0f64, d22 in 1.0..100.0f64, d66 in 0.5..20.0f64) {
            let section = PlateSection { d11, d22, d66, ..plywood() };
            let turned = PlateSection { d11: d22, d22: d11, ..section.clone() };
            prop_assert!((modal_density(&section, 1.0) / modal_density(&turned, 1.0) - 1.0).abs() < 1e-12);
            let (a, b) = (coincidence(&section, 340.0), coincidence(&turned, 340.0));
            prop_assert!((a.0 / b.0 - 1.0).abs() < 1e-9 && (a.1 / b.1 - 1.0).abs() < 1e-9);
        }
    }
}
