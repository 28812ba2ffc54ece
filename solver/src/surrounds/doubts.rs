//! Where a comparison of surrounds is not to be trusted.

use super::findings::NEAR;
use super::{Comparison, DriverCurves, VariantSound};
use crate::Warning;
use crate::driver::Moved;
use crate::listening::ComputedBand;
use crate::scene::{Behind, DiaphragmForm, DriverScene, SmallDriver};
use crate::words::{hertz, millimetres, trimmed};
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Errors of interpolation beyond this are told [of the largest value].
const INTERPOLATED: f64 = 0.01;
/// Levels that may be off by more are told [dB].
const SHOWN: f64 = 1.0;
/// Stiff diaphragms break up about where the wave of sound round their edge closes on itself; paper cones sooner, domes later.
const BREAK_UP: f64 = 2.0;

pub(super) fn doubts(scene: &DriverScene, comparison: &Comparison) -> Vec<Warning> {
    let mut doubts = vec![];
    doubts.extend(break_up(scene));
    doubts.extend(interpolated(comparison));
    doubts.extend(uncertain_dip(scene, comparison));
    doubts.extend(disturbed(comparison));
    doubts.extend(excursion(scene, comparison));
    doubts.extend(power(scene, comparison));
    doubts.extend(plane(scene));
    doubts
}

fn break_up(scene: &DriverScene) -> Option<Warning> {
    let limit =
        stiff_below(&scene.driver, scene.air.sound_speed).filter(|limit| comparison_top(scene) > *limit)?;
    Some(Warning::new(
        "response",
        format!(
            "The diaphragm ({} across) is taken to be stiff. Real ones break up somewhere above {} (common practice, no source): trust the \
             differences between surrounds there, less the response itself.",
            millimetres(2.0 * scene.driver.diaphragm.radius),
            hertz(limit)
        ),
    ))
}

/// Frequency [Hz] up to which a diaphragm may be taken to be stiff; `None` for one that is computed as it bends. Common practice, no source.
pub(crate) fn stiff_below(driver: &SmallDriver, sound_speed: f64) -> Option<f64> {
    let stiff = !matches!(driver.diaphragm.form, DiaphragmForm::BendingDisc { .. });
    stiff.then(|| BREAK_UP * sound_speed / (TAU * driver.diaphragm.radius))
}

fn comparison_top(scene: &DriverScene) -> f64 {
    scene.frequencies.last().copied().unwrap_or(0.0)
}

/// The worst band, and how many more are beyond the limit.
fn interpolated(comparison: &Comparison) -> Option<Warning> {
    let bands = comparison.variants.iter().flat_map(|v| v.computed.iter().map(move |band| (v, band)));
    let beyond: Vec<_> = bands.filter(|(_, band)| band.interpolation_error > INTERPOLATED).collect();
    let (variant, worst) =
        beyond.iter().max_by(|a, b| a.1.interpolation_error.total_cmp(&b.1.interpolation_error))?;
    let more = match beyond.len() - 1 {
        0 => String::new(),
        1 => " (and one band more)".into(),
        count => format!(" (and {count} bands more)"),
    };
    Some(Warning::new(
        "response",
        format!(
            "Between computed frequencies “{}” is interpolated with an error of up to {:.1} % of the largest value {}{more}: ask for more \
             frequencies per octave there.",
            variant.name,
            100.0 * worst.interpolation_error,
            between(worst.range),
        ),
    ))
}

/// A curve falls so far that the error of its interpolation, small against its largest value, shows.
struct Uncertain<'a> {
    variant: &'a VariantSound,
    place: String,
    frequency: f64,
    /// How far off the level may be [dB].
    off: f64,
}

/// The place of a dip where the interpolation shows most.
fn uncertain_dip(scene: &DriverScene, comparison: &Comparison) -> Option<Warning> {
    let worst = comparison.variants.iter().flat_map(|variant| uncertain(scene, comparison, variant));
    let worst = worst.max_by(|a, b| a.off.total_cmp(&b.off)).filter(|worst| worst.off > SHOWN)?;
    Some(Warning::new(
        "response",
        format!(
            "In the dip at {} the level of “{}” at {} is small beside the rest of its band: interpolated, it may be off by {} dB there.",
            hertz(worst.frequency),
            worst.variant.name,
            worst.place,
            trimmed(worst.off, 1)
        ),
    ))
}

/// For every place and band of a surround, where its level is least.
fn uncertain<'a>(
    scene: &DriverScene,
    comparison: &'a Comparison,
    variant: &'a VariantSound,
) -> Vec<Uncertain<'a>> {
    let names = std::iter::once(NEAR).chain(scene.seats.iter().map(|seat| seat.name.as_str()));
    let curves: Vec<_> =
        names.zip(std::iter::once(&variant.curves.near).chain(&variant.curves.seats)).collect();
    let in_band = |band: &ComputedBand, curve: &[Complex64]| -> Vec<(f64, f64)> {
        let pairs = comparison.frequencies.iter().zip(curve).map(|(f, p)| (*f, p.norm()));
        pairs.filter(|(f, _)| (band.range[0]..=band.range[1]).contains(f)).collect()
    };
    let least = |band: &ComputedBand, (place, curve): &(&str, &Vec<Complex64>)| {
        let levels = in_band(band, curve);
        let largest = levels.iter().map(|(_, level)| *level).fold(0.0, f64::max);
        let (frequency, least) = levels.into_iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
        let off = 20.0 * (1.0 + band.interpolation_error * largest / least).log10();
        Some(Uncertain { variant, place: (*place).to_owned(), frequency, off })
    };
    let least = &least;
    let of_band = |band| curves.iter().filter_map(move |curve| least(band, curve));
    variant.computed.iter().flat_map(of_band).collect()
}

/// What the driven panel does to the driver is interpolated, too.
fn disturbed(comparison: &Comparison) -> Option<Warning> {
    let known = comparison.variants.iter().filter_map(|v| Some((v, v.disturbed.as_ref()?)));
    let (variant, worst) =
        known.max_by(|a, b| a.1.interpolation_error.total_cmp(&b.1.interpolation_error))?;
    let last = worst.blocked.len().checked_sub(1)?;
    (worst.interpolation_error > INTERPOLATED).then(|| {
        Warning::new(
            "driver",
            format!(
                "What the panel does to the driver with “{}” is interpolated with an error of up to {:.1} % of the largest force in a band, {}: ask for \
                 more frequencies per octave.",
                variant.name,
                100.0 * worst.interpolation_error,
                between([comparison.frequencies[0], comparison.frequencies[last]]),
            ),
        )
    })
}

fn excursion(scene: &DriverScene, comparison: &Comparison) -> Option<Warning> {
    let rated = scene.driver.motor.rated_excursion?;
    let beyond = beyond(comparison, rated, |curves| curves.excursion.clone())?;
    Some(Warning::new(
        "driver",
        format!(
            "With “{}” the coil moves up to {} mm one way {}, more than its rated {} mm: lower the voltage, or keep such frequencies from the driver \
             with a crossover.",
            beyond.variant.name,
            trimmed(1e3 * beyond.most, 3),
            between(beyond.range),
            trimmed(1e3 * rated, 3)
        ),
    ))
}

fn power(scene: &DriverScene, comparison: &Comparison) -> Option<Warning> {
    let rated = scene.driver.motor.rated_power?;
    let beyond = beyond(comparison, rated, taken)?;
    Some(Warning::new(
        "driver",
        format!(
            "With “{}” the driver takes up to {} W {} from a steady tone at {} V, more than its rated {} W: its coil would overheat. Lower the voltage.",
            beyond.variant.name,
            trimmed(beyond.most, 2),
            between(beyond.range),
            trimmed(scene.driver.voltage, 2),
            trimmed(rated, 2)
        ),
    ))
}

/// Real electrical power `|I|² Re Z` [W] that the driver takes.
fn taken(curves: &DriverCurves) -> Vec<f64> {
    let power = |(moved, z): (&Moved, &Complex64)| moved.current.norm_sqr() * z.re;
    curves.moved.iter().zip(&curves.impedance).map(power).collect()
}

/// What exceeds a rating.
struct Beyond<'a> {
    variant: &'a VariantSound,
    most: f64,
    /// Lowest and highest frequency [Hz] at which it does, with that surround.
    range: [f64; 2],
}

/// The surround whose curve exceeds a rating most.
fn beyond<'c>(
    comparison: &'c Comparison,
    rated: f64,
    curve: impl Fn(&DriverCurves) -> Vec<f64>,
) -> Option<Beyond<'c>> {
    let of = |variant: &'c VariantSound| {
        let values = curve(&variant.curves);
        let over: Vec<(f64, f64)> = (comparison.frequencies.iter().copied().zip(values))
            .filter(|(_, value)| *value > rated)
            .collect();
        let most = over.iter().map(|(_, value)| *value).fold(0.0, f64::max);
        Some(Beyond { variant, most, range: [over.first()?.0, over.last()?.0] })
    };
    comparison.variants.iter().filter_map(of).max_by(|a, b| a.most.total_cmp(&b.most))
}

/// "from 1 kHz to 2 kHz", or "at 1 kHz".
fn between([low, high]: [f64; 2]) -> String {
    match low == high {
        true => format!("at {}", hertz(low)),
        false => format!("from {} to {}", hertz(low), hertz(high)),
    }
}

fn plane(scene: &DriverScene) -> Option<Warning> {
    (scene.behind == Behind::Plane).then(|| {
        Warning::new(
            "response",
            "The panel is taken as an endless rigid wall behind the driver: a real panel lets sound round its edges, most of all at low frequencies.",
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::surrounds::Disturbed;
    use crate::surrounds::tests::before;

    /// Ten frequencies from 1 kHz in steps of 100 Hz, all the same but for what a test changes.
    fn comparison(change: impl Fn(&mut VariantSound)) -> Comparison {
        let band = ComputedBand {
            range: [1000.0, 1900.0],
            length: 1e-3,
            elements: 1,
            unknowns: 1,
            held: String::new(),
            bytes: 0,
            frequencies: 10,
            solved: 5,
            interpolation_error: 1e-3,
            steps: 1,
            exchanges: 0,
            residual: 0.0,
        };
        let flat = vec![Complex64::ONE; 10];
        let curves = DriverCurves {
            near: flat.clone(),
            seats: vec![flat],
            impedance: vec![Complex64::new(4.0, 3.0); 10],
            excursion: vec![1e-4; 10],
            moved: vec![Moved { amplitudes: vec![], coil: Complex64::ZERO, current: 0.5.into() }; 10],
            ..DriverCurves::default()
        };
        let mut variant = VariantSound {
            name: "wings".into(),
            curves,
            computed: vec![band],
            taken_over: 0,
            disturbed: None,
            pictures: vec![],
            shape: Default::default(),
        };
        change(&mut variant);
        Comparison {
            frequencies: (10..20).map(|i| 100.0 * f64::from(i)).collect(),
            angles: vec![],
            polar_angles: vec![],
            azimuths: vec![],
            disc_frequencies: vec![],
            variants: vec![variant],
        }
    }

    fn scene() -> DriverScene {
        let mut scene = before(Behind::Nothing);
        scene.driver.motor.rated_excursion = Some(2e-4);
        scene.driver.motor.rated_power = Some(2.0);
        scene
    }

    fn told(change: impl Fn(&mut VariantSound)) -> Vec<String> {
        doubts(&scene(), &comparison(change)).into_iter().map(|warning| warning.message).collect()
    }

    #[test]
    fn nothing_is_told_of_what_is_within_limits() {
        assert_eq!(told(|_| ()), Vec::<String>::new());
    }

    #[test]
    fn ratings_are_judged_with_range_and_surround() {
        let [moves] = &told(|v| v.curves.excursion[2..5].fill(5e-4))[..] else { panic!("one doubt") };
        assert!(
            moves.contains("“wings”") && moves.contains("0.5 mm one way from 1.2 kHz to 1.4 kHz"),
            "{moves}"
        );
        // |I|² Re Z = 1² · 4 W.
        let [takes] = &told(|v| v.curves.moved[3].current = Complex64::I)[..] else { panic!("one doubt") };
        assert!(takes.contains("takes up to 4 W at 1.3 kHz") && takes.contains("rated 2 W"), "{takes}");
    }

    #[test]
    fn errors_of_interpolation_are_told_where_they_show() {
        let [curves] = &told(|v| v.computed[0].interpolation_error = 0.02)[..] else { panic!("one doubt") };
        assert!(curves.contains("2.0 %") && curves.contains("from 1 kHz to 1.9 kHz"), "{curves}");
        // A thousandth of the rest, an error of a thousandth of the rest doubles it.
        let [dip] = &told(|v| v.curves.seats[0][4] = Complex64::from(1e-3))[..] else { panic!("one doubt") };
        assert!(dip.contains("at sofa") && dip.contains("1.4 kHz") && dip.contains("6 dB"), "{dip}");
        let found =
            Disturbed { blocked: vec![Complex64::ONE; 3], interpolation_error: 0.03, ..Disturbed::default() };
        let [panel] = &told(|v| v.disturbed = Some(found.clone()))[..] else { panic!("one doubt") };
        assert!(panel.contains("3.0 %") && panel.contains("from 1 kHz to 1.2 kHz"), "{panel}");
    }
}
