//! Where a comparison of surrounds is not to be trusted.

use super::Comparison;
use crate::Warning;
use crate::scene::{Behind, DiaphragmForm, DriverScene};
use crate::words::{hertz, millimetres, trimmed};
use std::f64::consts::TAU;

/// Errors of interpolation beyond this are told [of the largest value].
const INTERPOLATED: f64 = 0.01;
/// Stiff diaphragms break up about where the wave of sound round their edge closes on itself; paper cones sooner, domes later.
const BREAK_UP: f64 = 2.0;

pub(super) fn doubts(scene: &DriverScene, comparison: &Comparison) -> Vec<Warning> {
    let mut doubts = vec![];
    doubts.extend(break_up(scene));
    doubts.extend(interpolated(comparison));
    doubts.extend(excursion(scene, comparison));
    doubts.extend(plane(scene));
    doubts
}

/// Common practice, no source.
fn break_up(scene: &DriverScene) -> Option<Warning> {
    let diaphragm = &scene.driver.diaphragm;
    let stiff = !matches!(diaphragm.form, DiaphragmForm::BendingDisc { .. });
    let limit = BREAK_UP * scene.air.sound_speed / (TAU * diaphragm.radius);
    let above = comparison_top(scene) > limit;
    (stiff && above).then(|| {
        Warning::new(
            "response",
            format!(
                "The diaphragm ({} across) is taken to be stiff. Real ones break up somewhere above {} (common practice, no source): trust the \
                 differences between surrounds there, less the response itself.",
                millimetres(2.0 * diaphragm.radius),
                hertz(limit)
            ),
        )
    })
}

fn comparison_top(scene: &DriverScene) -> f64 {
    scene.frequencies.last().copied().unwrap_or(0.0)
}

fn interpolated(comparison: &Comparison) -> Option<Warning> {
    let bands = comparison.variants.iter().flat_map(|v| v.computed.iter().map(move |band| (v, band)));
    let (variant, worst) =
        bands.max_by(|a, b| a.1.interpolation_error.total_cmp(&b.1.interpolation_error))?;
    (worst.interpolation_error > INTERPOLATED).then(|| {
        Warning::new(
            "response",
            format!(
                "Between computed frequencies “{}” is interpolated with an error of up to {:.1} % of the largest value from {} to {}: ask for more \
                 frequencies per octave there.",
                variant.name,
                100.0 * worst.interpolation_error,
                hertz(worst.range[0]),
                hertz(worst.range[1])
            ),
        )
    })
}

fn excursion(scene: &DriverScene, comparison: &Comparison) -> Option<Warning> {
    let rated = scene.driver.motor.rated_excursion?;
    let curve =
        comparison.variants.iter().flat_map(|v| v.curves.excursion.iter().zip(&comparison.frequencies));
    let (most, at) = curve.max_by(|a, b| a.0.total_cmp(b.0))?;
    (*most > rated).then(|| {
        Warning::new(
            "driver",
            format!(
                "At {} the coil moves {} mm one way, more than its rated {} mm: keep such frequencies from the driver with a crossover.",
                hertz(*at),
                trimmed(1e3 * most, 2),
                trimmed(1e3 * rated, 2)
            ),
        )
    })
}

fn plane(scene: &DriverScene) -> Option<Warning> {
    (scene.behind == Behind::Plane).then(|| {
        Warning::new(
            "response",
            "The panel is taken as an endless rigid wall behind the driver: a real panel lets sound round its edges, most of all at low frequencies.",
        )
    })
}
