//! Where the parts' ratings, or the model, are left behind.

use super::Motion;
use crate::Warning;
use crate::scene::{Exciter, Filters, PlateSection, Scene};
use crate::words::{hertz, listed, millimetres};
use std::f64::consts::{PI, TAU};

/// First zero of the Bessel function J₀: the ring then averages a bending wave to nothing
/// (F. W. J. Olver et al., NIST Handbook of Mathematical Functions, 2010, § 10.21).
const J0_FIRST_ZERO: f64 = 2.404_825_557_695_773;

/// Modes should reach this many times the highest frequency; at 1.2 times the foot's velocity is off by 5 % there, at 1.5
/// times by 2 % (measured on two coupled exciters, see the validation).
const REACH_WANTED: f64 = 1.5;
/// Highest frequency that can be asked for [Hz].
const HIGHEST: f64 = 20e3;
/// Below this reach the motion near the top is called doubtful.
const REACH_NEEDED: f64 = 1.15;

/// All doubts about the motion of a scene whose modes end at `highest_mode` [Hz].
pub(super) fn of(scene: &Scene, motion: &Motion, highest_mode: f64) -> Vec<Warning> {
    let mut doubts: Vec<Warning> = no_answer(motion).into_iter().collect();
    doubts.extend(short_of_modes(&scene.frequencies, highest_mode));
    for index in 0..scene.exciters.len() {
        doubts.extend(too_much_power(scene, motion, index));
        doubts.extend(too_much_excursion(scene, motion, index));
    }
    doubts.extend(wide_rings(&scene.exciters, &scene.panel.section, &scene.frequencies));
    doubts
}

/// Frequency and value of the largest finite entry.
fn worst(frequencies: &[f64], values: &[f64]) -> Option<(f64, f64)> {
    let pairs = frequencies.iter().copied().zip(values.iter().copied());
    pairs.filter(|(_, v)| v.is_finite()).max_by(|a, b| a.1.total_cmp(&b.1))
}

fn too_much_power(scene: &Scene, motion: &Motion, index: usize) -> Option<Warning> {
    let (exciter, rated) = (&scene.exciters[index], scene.exciters[index].rated_power?);
    let (frequency, power) = worst(&motion.frequencies, &motion.exciters[index].power)?;
    (power > rated).then(|| {
        let message = format!(
            "Exciter \"{}\" takes {power:.2} W at {} from a sine at the drive voltage, its rating is {rated:.2} W: {}.",
            exciter.name,
            hertz(frequency),
            safe_voltage(scene, index, (rated / power).sqrt())
        );
        Warning::new("power", message)
    })
}

fn too_much_excursion(scene: &Scene, motion: &Motion, index: usize) -> Option<Warning> {
    let (exciter, rated) = (&scene.exciters[index], scene.exciters[index].rated_excursion?);
    let (frequency, excursion) = worst(&motion.frequencies, &motion.exciters[index].excursion)?;
    (excursion > rated).then(|| {
        let message = format!(
            "The coil of exciter \"{}\" moves ±{:.2} mm against its magnet at {}, its rating is ±{:.2} mm: {}.",
            exciter.name,
            excursion * 1e3,
            hertz(frequency),
            rated * 1e3,
            safe_voltage(scene, index, rated / excursion)
        );
        Warning::new("exciter", message)
    })
}

/// The advice to turn down by `factor` < 1, in volts of the exciter's channel.
fn safe_voltage(scene: &Scene, exciter: usize, factor: f64) -> String {
    let mut feeding = scene.channels.iter().filter(|c| c.exciters.contains(&exciter));
    let Some(channel) = feeding.next() else { return "turn the drive down".into() };
    let together = if scene.channels.len() > 1 { ", the other channels turned down alike" } else { "" };
    // Rounded down, so that the printed voltage is itself safe.
    let volts = (channel.voltage * factor * 100.0).floor() / 100.0;
    let before = if channel.filters == Filters::default() { "" } else { ", before its filters," };
    format!("a sine of at most {volts:.2} V on channel \"{}\"{before} keeps it safe{together}", channel.name)
}

/// The averaging rings against the shortest bending wave: one doubt for each diameter.
fn wide_rings(exciters: &[Exciter], section: &PlateSection, frequencies: &[f64]) -> Vec<Warning> {
    let Some(&top) = frequencies.last() else { return vec![] };
    let half_wave = PI / shortest_wave_number(section, top);
    let mut diameters: Vec<f64> =
        exciters.iter().map(|e| e.foot_diameter).filter(|&d| d > half_wave).collect();
    diameters.sort_by(f64::total_cmp);
    diameters.dedup();
    let names = |diameter: f64| -> Vec<String> {
        exciters.iter().filter(|e| e.foot_diameter == diameter).map(|e| format!("\"{}\"", e.name)).collect()
    };
    let reached = |k: f64| frequency_of(section, k, top);
    diameters.into_iter().map(|d| wide_ring(d, &names(d), (half_wave, top), reached)).collect()
}

/// `frequency` [Hz] tells where the shortest bending wave reaches a wavenumber [rad/m].
fn wide_ring(
    diameter: f64,
    exciters: &[String],
    (half_wave, top): (f64, f64),
    frequency: impl Fn(f64) -> f64,
) -> Warning {
    let reached = |argument: f64| frequency(2.0 * argument / diameter);
    let (of, are) = match exciters.len() {
        1 => ("foot of exciter", "is"),
        _ => ("feet of exciters", "are"),
    };
    let message = format!(
        "The {} {of} {} {are} wider than half a bending wave ({} at {}): above {} the ring averages the wave away (first null \
         near {}), and the result depends on how evenly the foot really pushes.",
        millimetres(diameter),
        listed(exciters),
        millimetres(half_wave),
        hertz(top),
        hertz(reached(0.5 * PI)),
        hertz(reached(J0_FIRST_ZERO)),
    );
    Warning::new("exciter", message)
}

/// Largest bending wavenumber [rad/m] over the directions in the panel.
fn shortest_wave_number(section: &PlateSection, frequency: f64) -> f64 {
    const STEPS: usize = 90;
    let along = |i: usize| section.wavenumber(frequency, 0.25 * TAU * i as f64 / STEPS as f64);
    (0..=STEPS).map(along).fold(0.0, f64::max)
}

/// Frequency [Hz] at which the shortest bending wave has the wavenumber `k` [rad/m], which it has below `near` [Hz] or not far above.
fn frequency_of(section: &PlateSection, k: f64, near: f64) -> f64 {
    const OCTAVES: f64 = 20.0;
    let (mut low, mut high) = (near * (-OCTAVES).exp2(), near * OCTAVES.exp2());
    while high / low > 1.0 + 1e-6 {
        let middle = (low * high).sqrt();
        if shortest_wave_number(section, middle) < k { low = middle } else { high = middle }
    }
    high
}

fn short_of_modes(frequencies: &[f64], highest_mode: f64) -> Option<Warning> {
    let top = *frequencies.last()?;
    (highest_mode < REACH_NEEDED * top).then(|| {
        let message = format!(
            "The panel's modes were computed up to {}; more would take too long. From {} up to the highest frequency of {} levels are \
             less sure for it: third octaves were off by up to 0.2 dB (plywood) or 1.1 dB (foam) where that was measured, in the last tenth \
             of the range by up to 0.7 dB or 2.4 dB. If its end matters, {}.",
            hertz(highest_mode),
            hertz(highest_mode / REACH_WANTED),
            hertz(top),
            remedy(top)
        );
        Warning::new("response", message)
    })
}

/// What makes the sound near `top` [Hz] surer: more range, since modes go with it.
fn remedy(top: f64) -> String {
    let wanted = REACH_WANTED / REACH_NEEDED * top;
    if wanted <= HIGHEST {
        format!("ask for frequencies up to {} and leave out the last ones", hertz(wanted))
    } else {
        format!("compare two lay-ups there rather than trust one: frequencies end at {}", hertz(HIGHEST))
    }
}

fn no_answer(motion: &Motion) -> Option<Warning> {
    let undefined = |(_, p): &(&f64, &f64)| !p.is_finite();
    let mut lost = motion.frequencies.iter().zip(&motion.balance.electrical).filter(undefined);
    let first = *lost.next()?.0;
    let message = format!(
        "At {} of the frequencies, first at {}, currents or motion are unlimited and left out: give the coil a \
         resistance, the magnet a mass, and the panel a loss factor above zero.",
        1 + lost.count(),
        hertz(first)
    );
    Some(Warning::new("response", message))
}
