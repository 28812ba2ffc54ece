//! The panel by itself: modal density and overlap, coincidence, and how far thin-plate theory carries.

use super::findings::{ModeShape, PanelFindings};
use crate::drive::NaturalModes;
use crate::scene::{Panel, PlateSection};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Where the one figure of modal density is taken [Hz]; with shear it grows with frequency.
const DENSITY_AT: f64 = 1000.0;

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
    let overlap = |f: f64| modal_overlap(section, area, f);
    PanelFindings {
        mass: section.surface_mass * area,
        natural_frequencies: natural_frequencies.to_vec(),
        bare_frequencies: natural_frequencies.to_vec(),
        assembled: NaturalModes::default(),
        rigid_modes: rigid,
        first_shapes,
        modal_density: modal_density(section, area, DENSITY_AT),
        modal_overlap: frequencies.iter().map(|&f| overlap(f)).collect(),
        overlap_one: reaches_one(overlap, frequencies),
        coincidence: coincidence(section, sound_speed),
    }
}

/// Modes of a plate of `area` [m²] within the half-power bandwidth of one, at `frequency` [Hz]: density × loss factor × frequency.
pub fn modal_overlap(section: &PlateSection, area: f64, frequency: f64) -> f64 {
    modal_density(section, area, frequency) * wave_loss(section, frequency) * frequency
}

/// Mean loss factor of waves along both axes.
fn wave_loss(section: &PlateSection, frequency: f64) -> f64 {
    0.5 * (section.wave_loss(frequency, 0.0) + section.wave_loss(frequency, FRAC_PI_2))
}

/// Frequency [Hz] at which a rising `overlap` reaches 1 inside the range of `frequencies` [Hz].
fn reaches_one(overlap: impl Fn(f64) -> f64, frequencies: &[f64]) -> Option<f64> {
    let (mut low, mut high) = (*frequencies.first()?, *frequencies.last()?);
    if overlap(low) > 1.0 || overlap(high) < 1.0 {
        return None;
    }
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if overlap(middle) < 1.0 { low = middle } else { high = middle }
    }
    Some(0.5 * (low + high))
}

/// Modal density [1/Hz] at `frequency` [Hz] of the bending waves of a large orthotropic plate of `area` S [m²].
///
/// Counting modes as lattice points of area π²/S in the wavenumber plane gives `N(f) = S/8π² ∫ k²(θ) dθ` over a full turn,
/// here differentiated by f. For a thin plate `k² = 2πf √(m/D(θ))`, so that `n = S √m / 4π ∫ D(θ)^−½ dθ` at all
/// frequencies, which is `S/2 √(m/D)` when D does not depend on direction (L. Cremer, M. Heckl & B. A. T. Petersson, Structure-Borne
/// Sound, 3rd ed. 2005, ch. 5, for the isotropic plate). The perimeter's share, which depends on the edges, is left out.
pub fn modal_density(section: &PlateSection, area: f64, frequency: f64) -> f64 {
    // k is even about both axes, so the midpoint rule over a quarter turn is that of a periodic function: exponentially exact.
    const STEPS: u32 = 64;
    const SPAN: f64 = 1e-3;
    let step = FRAC_PI_2 / f64::from(STEPS);
    let square = |angle: f64| {
        let k = |f: f64| section.wavenumber(f, angle);
        (k(frequency * (1.0 + SPAN)).powi(2) - k(frequency * (1.0 - SPAN)).powi(2)) / (2.0 * SPAN * frequency)
    };
    let integral = 4.0 * step * (0..STEPS).map(|i| square((f64::from(i) + 0.5) * step)).sum::<f64>();
    area / (2.0 * TAU * TAU) * integral
}

/// Lowest and highest coincidence frequency [Hz] over the directions θ in the panel, where bending waves are as fast as sound;
/// infinite where they never are.
///
/// Thin plate: `f_c(θ) = c²/2π √(m/D(θ))` (Cremer, Heckl & Petersson 2005, ch. 6; C. Hopkins, Sound Insulation, 2007, § 2.8). With
/// shear the waves stay slower than `√(S/m)`: where that is less than the speed of sound there is no coincidence.
pub fn coincidence(section: &PlateSection, sound_speed: f64) -> (f64, f64) {
    const STEPS: u32 = 90;
    let (softest, stiffest) = stiffest_directions(section);
    let even = (0..=STEPS).map(|i| FRAC_PI_2 * f64::from(i) / f64::from(STEPS));
    even.chain([softest, stiffest])
        .map(|angle| coincidence_at(section, sound_speed, angle))
        .fold((f64::INFINITY, 0.0), |(low, high), f| (low.min(f), high.max(f)))
}

/// Coincidence frequency [Hz] of waves at `angle` [rad] to x.
fn coincidence_at(section: &PlateSection, sound_speed: f64, angle: f64) -> f64 {
    const OCTAVES: f64 = 20.0;
    let thin = sound_speed * sound_speed / TAU * (section.surface_mass / section.stiffness_at(angle)).sqrt();
    if section.shear.is_none() {
        return thin;
    }
    let slower = |f: f64| section.wavenumber(f, angle) > TAU * f / sound_speed;
    let (mut low, mut high) = (thin, thin * OCTAVES.exp2());
    if slower(high) {
        return f64::INFINITY;
    }
    while high / low > 1.0 + 1e-9 {
        let middle = (low * high).sqrt();
        if slower(middle) { low = middle } else { high = middle }
    }
    high
}

/// Directions of the smallest and largest bending stiffness. With s = sin²θ, D is the quadratic
/// `D11 (1−s)² + 2H s(1−s) + D22 s²`, H = D12 + 2 D66: its extremes are the axes and, if it lies between them, the vertex.
fn stiffest_directions(section: &PlateSection) -> (f64, f64) {
    let (d11, h, d22) = (section.d11, section.d12 + 2.0 * section.d66, section.d22);
    let vertex = (d11 - h) / (d11 - 2.0 * h + d22);
    let oblique = (vertex > 0.0 && vertex < 1.0).then(|| vertex.sqrt().asin());
    let stiffness = |angle: &f64| section.stiffness_at(*angle);
    let angles = || [0.0, FRAC_PI_2].into_iter().chain(oblique);
    let by_stiffness = |a: &f64, b: &f64| stiffness(a).total_cmp(&stiffness(b));
    (angles().min_by(by_stiffness).unwrap_or(0.0), angles().max_by(by_stiffness).unwrap_or(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{Back, EdgeCondition, Edges, LossCurve};
    use approx::{assert_relative_eq, relative_eq};
    use panelwright_mesh::Outline;
    use proptest::prelude::*;

    fn thin(section: PlateSection) -> PlateSection {
        PlateSection { shear: None, ..section }
    }

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
        let section = thin(isotropic(9.0));
        let density = modal_density(&section, 0.4, 700.0);
        assert_relative_eq!(density, 0.2 * (2.0f64 / 9.0).sqrt(), max_relative = 1e-10);
        let (low, high) = coincidence(&section, 343.0);
        assert_relative_eq!(low, high, max_relative = 1e-12);
    }

    #[test]
    fn coincidence_bounds_every_direction_and_is_reached() {
        for section in
            [plywood(), PlateSection { d11: 10.0, d12: 0.1, d22: 9.0, d66: 1.0, ..plywood() }].map(thin)
        {
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
        let found = panel_findings(&panel(thin(plywood())), &[30.0, 50.0], 3, vec![], &f, 343.0);
        let at = found.overlap_one.unwrap();
        assert_relative_eq!(found.modal_density * at * 0.02, 1.0, max_relative = 1e-9);
        assert_relative_eq!(found.modal_overlap[9], found.modal_density * 100.0 * 0.02, max_relative = 1e-9);
        assert_relative_eq!(found.mass, 2.0 * 0.76 * 0.52, max_relative = 1e-12);
        assert_eq!(panel_findings(&panel(plywood()), &[], 3, vec![], &f[..20], 343.0).overlap_one, None);
    }

    #[test]
    fn shear_packs_modes_and_puts_off_coincidence() {
        let (section, stiff) = (plywood(), thin(plywood()));
        let density = |f: f64| modal_density(&section, 0.4, f) / modal_density(&stiff, 0.4, f);
        assert!(density(100.0) < 1.05 && density(16e3) > 1.3, "{} {}", density(100.0), density(16e3));
        // Far up N = S ω² m / (4π S_shear), as for a membrane.
        let soft = PlateSection { rotary_inertia: 1e-12, shear: Some([2e3; 2]), ..plywood() };
        let membrane = 0.4 * TAU * TAU * 2.0 / (TAU * 2e3) * 20e3;
        assert_relative_eq!(modal_density(&soft, 0.4, 20e3), membrane, max_relative = 0.02);
        let (low, high) = coincidence(&section, 343.0);
        assert!(low > coincidence(&stiff, 343.0).0 && high.is_finite());
        assert_relative_eq!(section.wavenumber(low, 0.0), TAU * low / 343.0, max_relative = 1e-6);
        assert_eq!(coincidence(&PlateSection { shear: Some([2e5; 2]), ..section }, 343.0).0, f64::INFINITY);
    }

    #[test]
    fn a_lossless_panel_never_overlaps() {
        let lossless = PlateSection { bending_loss: LossCurve::constant(0.0), ..thin(plywood()) };
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
            assert_relative_eq!(section.thin_plate_error(f).unwrap(), first, max_relative = 2.0 * first);
        }
        assert_eq!(thin(section).thin_plate_error(1e3), None);
    }

    #[test]
    fn bending_waves_never_outrun_shear() {
        let section = plywood();
        let speed = |f: f64| {
            let thin = TAU * f / section.bending_wavenumber(f, 0.0);
            thin / (1.0 + section.thin_plate_error(f).unwrap())
        };
        let limit = (1.35e6f64 / 2.0).sqrt();
        assert!(speed(1e6) < limit && speed(1e6) > 0.98 * limit, "{} {limit}", speed(1e6));
    }

    /// A plate on the verge of folding along its diagonals (D12² = D11 D22) has a wave there that no frequency makes as fast as sound.
    #[test]
    fn a_plate_that_hardly_resists_along_its_diagonal_has_no_upper_coincidence() {
        let section = PlateSection { d11: 1.0, d22: 1.0, d66: 0.5, ..plywood() };
        let (low, high) = coincidence(&section, 340.0);
        assert!(low.is_finite() && high.is_infinite(), "{low} {high}");
    }

    proptest! {
        #[test]
        fn turning_the_grain_changes_neither_density_nor_coincidence(
            d11 in 1.0..100.0f64,
            d22 in 1.0..100.0f64,
            poisson in 0.0..0.99f64,
            d66 in 0.5..20.0f64,
        ) {
            let section = PlateSection { d11, d12: poisson * (d11 * d22).sqrt(), d22, d66, ..plywood() };
            let turned = PlateSection { d11: d22, d22: d11, ..section.clone() };
            prop_assert!((modal_density(&section, 1.0, 500.0) / modal_density(&turned, 1.0, 500.0) - 1.0).abs() < 1e-9);
            let (a, b) = (coincidence(&section, 340.0), coincidence(&turned, 340.0));
            // Infinite for both, or alike.
            prop_assert!(relative_eq!(a.0, b.0, max_relative = 1e-9) && relative_eq!(a.1, b.1, max_relative = 1e-9), "{a:?} {b:?}");
        }
    }
}
