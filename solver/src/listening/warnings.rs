//! Doubts about what is listened to, with their numbers.

use super::findings::{AcousticCentre, Band};
use crate::Warning;
use crate::scene::Panel;
use crate::words::{hertz, listed, millimetres, trimmed};
use std::f64::consts::TAU;

/// Share of the pressure's energy a spherical wave should explain before its centre is trusted; common practice, no source.
const TRUSTED_FIT: f64 = 0.5;

/// Doubt about thin-plate theory at the `top` frequency [Hz] when the shear stiffness is unknown: a
/// bending wavelength below six thicknesses (L. Cremer, M. Heckl & B. A. T. Petersson, Structure-Borne Sound, 3rd ed. 2005,
/// § 3.3: about 10 % there). With shear data the solver chooses the theory that holds, see [`plate_theory`].
pub fn thin_plate_validity(panel: &Panel, top: f64) -> Option<Warning> {
    match panel.section.shear {
        Some(_) => None,
        None => thickness_rule(panel, top),
    }
}

/// Which theory of the plate was used and why, when it was not the thin plate's: how far that would be off at `top` [Hz].
pub fn plate_theory(panel: &Panel, shear_deformable: bool, top: f64) -> Option<Warning> {
    let error = panel.section.thin_plate_error(top).filter(|_| shear_deformable)?;
    let message = format!(
        "The panel yields in shear: at {} thin-plate theory would have its natural frequencies about {} % too high. They are computed with \
         shear deformation and rotary inertia instead.",
        hertz(top),
        percent((1.0 + error).powi(2) - 1.0)
    );
    Some(Warning::new("modes", message))
}

/// Doubt when the `top` frequency [Hz] lies above the cut-on of thickness-shear waves, where first-order shear theory ends.
pub fn thickness_shear(panel: &Panel, top: f64) -> Option<Warning> {
    let cut_on = panel.section.thickness_shear_cut_on().filter(|&cut_on| cut_on < top)?;
    let message = format!(
        "From {} up the panel also vibrates in shear through its thickness, its faces against each other. These vibrations are left out: read \
         the curves above that as a trend, not peak by peak.",
        hertz(cut_on)
    );
    Some(Warning::new("modes", message))
}

/// A share in per cent, two digits.
fn percent(share: f64) -> String {
    match share {
        s if s < 0.0995 => trimmed(100.0 * s, 1),
        s if s < 0.995 => trimmed(100.0 * s, 0),
        s => trimmed(10.0 * (10.0 * s).round(), 0),
    }
}

fn thickness_rule(panel: &Panel, top: f64) -> Option<Warning> {
    let section = &panel.section;
    let wavelength =
        |f: f64| TAU / section.bending_wavenumber(f, 0.0).max(section.bending_wavenumber(f, TAU / 4.0));
    let shortest = 6.0 * section.thickness;
    (wavelength(top) < shortest).then(|| {
        let limit = crossing(top, |f| shortest - wavelength(f));
        Warning::new(
            "modes",
            format!(
                "Above {} the bending wavelength is less than six thicknesses ({}), where thin-plate theory is off by 10 % or more. \
                 Give the material's shear modulus to get a figure.",
                hertz(limit),
                millimetres(shortest)
            ),
        )
    })
}

/// Frequency at which a rising `excess` crosses zero below `top`, to a thousandth of an octave.
fn crossing(top: f64, excess: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (top * 1e-4, top);
    while high / low > 1.0007 {
        let middle = (low * high).sqrt();
        if excess(middle) > 0.0 { high = middle } else { low = middle }
    }
    high
}

/// Doubt about the spacing of `frequencies` [Hz]: where modes do not overlap yet (below `overlap_one` [Hz]), peaks narrower than
/// the spacing, i.e. with a half-power bandwidth `η f` below it, can be missed or cut short by more than 3 dB.
pub fn frequency_resolution(
    frequencies: &[f64],
    natural_frequencies: &[f64],
    loss_factor: f64,
    overlap_one: Option<f64>,
) -> Option<Warning> {
    if loss_factor <= 0.0 {
        return Some(Warning::new(
            "response",
            "The panel has no losses of its own, so its resonances have no true height. Give the material a loss factor.",
        ));
    }
    let limit = overlap_one.unwrap_or(f64::INFINITY);
    let coarse = |f: f64| {
        let next = frequencies.partition_point(|&g| g <= f);
        let inside = next > 0 && next < frequencies.len();
        inside && f <= limit && frequencies[next] - frequencies[next - 1] > loss_factor * f
    };
    let missed = natural_frequencies.iter().filter(|&&f| coarse(f)).count();
    let first = natural_frequencies.iter().copied().find(|&f| coarse(f))?;
    let next = frequencies.partition_point(|&g| g <= first);
    let ratio = frequencies[next] / frequencies[next - 1];
    let advice = (1.0 / (1.0 + loss_factor).log2()).ceil();
    Some(Warning::new(
        "response",
        format!(
            "{missed} of the resonances are narrower than the spacing of the computed frequencies (the first at {}: {} wide, {} apart), \
             so peaks may be too low or missing. Ask for {advice:.0} frequencies per octave or more (now {:.0}).",
            hertz(first),
            hertz(loss_factor * first),
            hertz(frequencies[next] - frequencies[next - 1]),
            1.0 / ratio.log2()
        ),
    ))
}

/// Doubt about the microphone spacing [m] of an output map shown in `bands`.
///
/// Sound of wavelength λ crosses a plane in waves no shorter than λ, so its mean square, their interference, varies no faster than
/// with the period λ/2. Two points per period, a spacing of λ/4, hold all of it (sampling theorem: C. E. Shannon, Proc. IRE 37 (1949)
/// 10–21); with fewer, a dead spot between points goes unseen. A band is judged by its upper edge.
pub fn map_spacing(spacing: f64, bands: &[Band], sound_speed: f64) -> Option<Warning> {
    let limit = sound_speed / (4.0 * spacing);
    let first = bands.iter().find(|band| band.upper > limit)?;
    Some(Warning::new(
        "map",
        format!(
            "The map's points are {} apart, a quarter of a wavelength at {}. In the bands from {} up, a narrow dead spot can fall \
             between points. Half the spacing doubles that limit, and takes four times as many points.",
            millimetres(spacing),
            hertz(limit),
            hertz(first.nominal),
        ),
    ))
}

/// Doubt about the wave-front centres: bands in which the best spherical wave explains less than half of the sound's energy,
/// or none could be fitted.
pub fn centre_fit(centres: &[AcousticCentre]) -> Option<Warning> {
    let doubtful = |c: &&AcousticCentre| c.wave_front.is_none_or(|w| w.fit < TRUSTED_FIT);
    let bands: Vec<String> = centres.iter().filter(doubtful).map(|c| hertz(c.band.nominal)).collect();
    (!bands.is_empty()).then(|| {
        let list = if bands.len() > 4 { format!("{} bands, the lowest at {},", bands.len(), bands[0]) } else { listed(&bands) };
        Warning::new(
            "centre",
            format!(
                "In {list} the sound does not spread from one point: a single spherical wave explains less than half of its energy. \
                 Read the centre there as an average, with its spread."
            ),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::listening::{Centre, WaveFrontCentre, fractional_octaves};
    use crate::scene::{Back, EdgeCondition, Edges, LossCurve, PlateSection};
    use panelwright_mesh::Outline;

    fn foam(shear_speed: Option<f64>) -> Panel {
        let section = PlateSection {
            d11: 20.0,
            d12: 6.0,
            d22: 20.0,
            d66: 7.0,
            surface_mass: 0.6,
            thickness: 10e-3,
            shear: shear_speed.map(|c: f64| [0.6 * c * c; 2]),
            rotary_inertia: 0.6 * 10e-3 * 10e-3 / 12.0,
            bending_loss: LossCurve::constant(0.02),
            shear_loss: LossCurve::constant(0.02),
        };
        Panel {
            outline: Outline::Rectangle { width: 0.6, height: 0.4 },
            section,
            edges: Edges::all(EdgeCondition::Free),
            back: Back::Baffled,
        }
    }

    #[test]
    fn soft_cores_are_named_with_the_error_that_was_avoided() {
        let panel = foam(Some(300.0));
        assert_eq!(thin_plate_validity(&panel, 16e3), None);
        assert_eq!(plate_theory(&panel, false, 16e3), None);
        assert_eq!(plate_theory(&foam(None), true, 16e3), None);
        let message = plate_theory(&panel, true, 16e3).unwrap().message;
        let error = (1.0 + panel.section.thin_plate_error(16e3).unwrap()).powi(2) - 1.0;
        assert!(
            message.contains(&format!("about {} %", percent(error))) && message.contains("16 kHz"),
            "{message}"
        );
    }

    #[test]
    fn thickness_shear_is_a_doubt_from_its_cut_on() {
        let panel = foam(Some(300.0));
        // √(S/I)/2π with S = m c², I = m h²/12: c √12 / (2π h).
        let cut_on = 300.0 * 12f64.sqrt() / (TAU * 10e-3);
        assert_eq!(thickness_shear(&panel, 0.99 * cut_on), None);
        assert!(thickness_shear(&panel, 1.01 * cut_on).unwrap().message.contains("From 16.5 kHz"));
    }

    #[test]
    fn unknown_shear_falls_back_to_the_thickness_rule() {
        let panel = foam(None);
        assert!(thin_plate_validity(&panel, 100.0).is_none());
        assert!(thin_plate_validity(&panel, 16e3).unwrap().message.contains("six thicknesses (60 mm)"));
    }

    #[test]
    fn coarse_frequencies_are_warned_about_only_where_modes_stand_alone() {
        let f: Vec<f64> = (0..=100).map(|i| 50.0 * 2f64.powf(f64::from(i) / 12.0)).collect();
        let message = frequency_resolution(&f, &[100.0, 3000.0], 0.02, Some(500.0)).unwrap().message;
        assert!(
            message.starts_with("1 of the resonances")
                && message.contains("36 frequencies per octave")
                && message.contains("now 12"),
            "{message}"
        );
        assert_eq!(frequency_resolution(&f, &[3000.0], 0.02, Some(500.0)), None);
        assert_eq!(frequency_resolution(&f, &[100.0], 0.1, None), None);
        assert_eq!(frequency_resolution(&f, &[10.0, 1e6], 0.001, None), None);
        assert!(frequency_resolution(&f, &[], 0.0, None).unwrap().message.contains("no losses"));
    }

    #[test]
    fn map_spacing_is_held_against_a_quarter_of_the_wavelength() {
        // 20 mm are λ/4 at 4287.5 Hz: the 3.15 kHz band ends below, the 4 kHz band above.
        let bands = fractional_octaves(3, 500.0, 8e3);
        assert_eq!(map_spacing(0.02, &bands[..bands.len() - 4], 343.0), None);
        let message = map_spacing(0.02, &bands, 343.0).unwrap().message;
        assert!(message.contains("20 mm apart") && message.contains("from 4 kHz up"), "{message}");
    }

    #[test]
    fn poor_fits_are_named_by_band() {
        let centre = Centre { position: [0.0; 2], spread: [0.0; 2] };
        let fitted = |fit| Some(WaveFrontCentre { position: [0.0; 3], spread: [0.0; 3], fit });
        let bands = fractional_octaves(1, 500.0, 2e3);
        let fits = [fitted(0.9), fitted(0.3), None];
        let all: Vec<AcousticCentre> = (bands.iter().zip(fits))
            .map(|(&band, wave_front)| AcousticCentre { band, intensity: centre, wave_front })
            .collect();
        assert!(centre_fit(&all).unwrap().message.starts_with("In 1 kHz and 2 kHz the"));
        assert_eq!(centre_fit(&all[..1]), None);
    }
}
