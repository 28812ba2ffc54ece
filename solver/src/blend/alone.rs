//! Each part of a sum by itself, as it is computed.

use super::ensemble::BlendError;
use crate::coupling::blend::{Part, Pressure};
use crate::filters::Chain;
use crate::scene::{BlendScene, Channel, DriverScene, Filters, Scene, Seat, Spread};
use crate::{Prediction, Watcher, predict};
use std::f64::consts::FRAC_PI_2;

/// The panel by itself, as a part of something.
pub(super) struct PanelAlone {
    /// Its scene at the frequencies that were asked for, without floor, variations and, unless its channels differ, filters.
    pub bare: Scene,
    /// Its sound.
    pub prediction: Prediction,
    /// The same as a part.
    pub part: Part,
    /// What its channel does; nothing when its channels differ.
    pub chain: Chain,
    /// Pure delay of its channel [s].
    pub delay: f64,
    /// True when its channels differ.
    pub channels_differ: bool,
}

/// The panel and every driver as they are computed for their sum; `None` where they have fewer than two frequencies in common.
pub(crate) fn parts_alone(scene: &BlendScene) -> Option<(Scene, Vec<DriverScene>)> {
    let frequencies = scene.frequencies_in_common();
    if frequencies.len() < 2 {
        return None;
    }
    let bare = unfiltered(&scene.panel, &frequencies, channels_differ(&scene.panel.channels));
    let drivers = scene.drivers.iter().map(|fed| alike(&fed.scene, &bare)).collect();
    Some((bare, drivers))
}

/// The panel at `frequencies` [Hz], at least two.
///
/// # Errors
/// [`BlendError`].
pub(super) fn panel_alone(
    panel: &Scene,
    frequencies: &[f64],
    watcher: Watcher,
) -> Result<PanelAlone, BlendError> {
    if frequencies.len() < 2 {
        return Err(BlendError::NothingInCommon);
    }
    let channels_differ = channels_differ(&panel.channels);
    let bare = unfiltered(panel, frequencies, channels_differ);
    let prediction = predict(&bare, watcher)?;
    let (chain, delay) = match panel.channels.first().filter(|_| !channels_differ) {
        Some(channel) => (chain(channel), channel.delay),
        None => (Chain::new(&Filters::default()), 0.0),
    };
    Ok(PanelAlone { part: panel_part(&bare, &prediction), bare, prediction, chain, delay, channels_differ })
}

/// True unless one gain, delay and set of filters holds for all channels.
fn channels_differ(channels: &[Channel]) -> bool {
    let set = |channel: &Channel| (channel.gain, channel.delay, channel.filters.clone());
    channels.windows(2).any(|pair| set(&pair[0]) != set(&pair[1]))
}

/// What a channel does to the voltage of its amplifier.
pub(crate) fn chain(channel: &Channel) -> Chain {
    Chain::new(&channel.filters).amplified(channel.gain).delayed(channel.delay)
}

/// The panel at these frequencies, without a floor and without variations; its channels plain unless they differ.
fn unfiltered(panel: &Scene, frequencies: &[f64], differ: bool) -> Scene {
    let mut panel = Scene { frequencies: frequencies.to_vec(), spread: Spread::none(), ..panel.clone() };
    panel.receivers.floor = None;
    if !differ {
        for channel in &mut panel.channels {
            (channel.gain, channel.delay, channel.filters) = (1.0, 0.0, Filters::default());
        }
    }
    panel
}

/// A driver's scene with the panel's frequencies and angles; nothing is pictured.
pub(super) fn alike(driver: &DriverScene, panel: &Scene) -> DriverScene {
    let mut scene =
        DriverScene { frequencies: panel.frequencies.clone(), pictured: vec![], ..driver.clone() };
    // The panel's arcs are fitted to a right angle; so are these.
    scene.arc.step = FRAC_PI_2 / (FRAC_PI_2 / panel.receivers.arc.step).ceil().max(1.0);
    scene
}

fn panel_part(scene: &Scene, prediction: &Prediction) -> Part {
    let findings = &prediction.findings;
    let (width, height) = scene.panel.outline.bounding_box();
    let flight = |seat: &Seat| {
        let [x, y, z] = seat.position;
        let beyond = |at: f64, extent: f64| at - at.clamp(0.0, extent);
        beyond(x, width).hypot(beyond(y, height)).hypot(z) / scene.air.sound_speed
    };
    let share = |used: f64, rated: Option<f64>| rated.map_or(0.0, |rated| used / rated);
    let strain = |i: usize| {
        let of = |exciter: &crate::listening::ExciterFindings| {
            let power = share(exciter.power[i], exciter.rated_power).max(0.0).sqrt();
            share(exciter.excursion[i], exciter.rated_excursion).max(power)
        };
        findings.exciters.iter().map(of).fold(0.0, f64::max)
    };
    Part {
        name: "panel".into(),
        pressure: Pressure {
            seats: findings.seats.iter().map(|seat| seat.pressure.clone()).collect(),
            horizontal: prediction.far.horizontal.clone(),
            vertical: prediction.far.vertical.clone(),
        },
        flight: scene.receivers.seats.iter().map(flight).collect(),
        strain: (0..scene.frequencies.len()).map(strain).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Wiring;
    use num_complex::Complex64;

    #[test]
    fn a_channel_is_its_filters_gain_polarity_and_delay() {
        let channel = Channel {
            name: "one".into(),
            voltage: 2.83,
            gain: -0.5,
            delay: 1e-3,
            filters: Filters::default(),
            source_resistance: 0.0,
            wiring: Wiring::Series,
            exciters: vec![],
        };
        // A quarter of a turn later at 250 Hz.
        let found = chain(&channel).response(250.0);
        assert!((found - Complex64::new(0.0, 0.5)).norm() < 1e-12, "{found}");
    }
}
