//! Panel and drivers computed at the same frequencies and places, each by itself.

use super::alone::{PanelAlone, alike, panel_alone};
use super::measured::{self, MeasuredAt};
use super::voice::{Voice, voice};
use crate::air::Air;
use crate::coupling::blend::Part;
use crate::filters::Chain;
use crate::kept::KeptWork;
use crate::scene::{BlendScene, Filters, MeasuredPart, Seat};
use crate::surrounds::{Bodies, CompareError, compare};
use crate::{PredictError, Prediction, Watcher};
use thiserror::Error;

/// Why parts could not be put together.
#[derive(Debug, Error)]
pub enum BlendError {
    /// The panel cannot be predicted.
    #[error(transparent)]
    Panel(#[from] PredictError),
    /// A driver cannot be computed.
    #[error(transparent)]
    Driver(#[from] CompareError),
    /// The ranges do not overlap.
    #[error(
        "panel, drivers and measured responses have fewer than two frequencies in common: let [range], the range of [driver] and what [[measured]] files cover overlap"
    )]
    NothingInCommon,
}

/// Panel and drivers, ready to be summed in any way.
#[derive(Clone, Debug)]
pub struct Ensemble {
    /// The frequencies [Hz] that all have.
    pub frequencies: Vec<f64>,
    /// Angles [rad] of the arcs about the middle of the panel.
    pub angles: Vec<f64>,
    /// Seats.
    pub seats: Vec<Seat>,
    /// State of the air.
    pub air: Air,
    /// The panel.
    pub panel: Part,
    /// What its channel does; nothing when its channels differ and their filters, gains and delays are in `panel` already.
    pub panel_chain: Chain,
    /// Filters of that channel, by which parts are ordered from low to high.
    pub panel_filters: Filters,
    /// Pure delay of that channel [s].
    pub panel_delay: f64,
    /// True when the panel's channels differ.
    pub channels_differ: bool,
    /// The panel's sound without the filters of the case.
    pub prediction: Prediction,
    /// The drivers.
    pub drivers: Vec<Voice>,
    /// Frequencies of drivers that were solved, and how many of them earlier.
    pub solutions: [usize; 2],
    /// True when the case has a floor, which is not heard here.
    pub floor_left_out: bool,
    /// What was measured, beside what it replaced.
    pub measured: Vec<MeasuredAt>,
    /// Lowest and highest frequency [Hz] that panel and drivers would be computed at without measured responses.
    pub without_measured: [f64; 2],
}

impl Ensemble {
    /// Filters of the channels of the case: the panel's, then the drivers'.
    pub(super) fn filters(&self) -> Vec<&Filters> {
        std::iter::once(&self.panel_filters).chain(self.drivers.iter().map(|voice| &voice.filters)).collect()
    }
}

/// Computes the panel and every driver of `scene` at the frequencies that all have; of drivers what is in `kept` is not solved again.
///
/// # Errors
/// [`BlendError`].
pub fn ensemble(scene: &BlendScene, kept: &dyn KeptWork, watcher: Watcher) -> Result<Ensemble, BlendError> {
    let frequencies = scene.frequencies_in_common();
    let alone = panel_alone(&scene.panel, &frequencies, watcher)?;
    let PanelAlone { bare, prediction, part, chain, delay, channels_differ } = alone;
    let mut solutions = [0; 2];
    let drivers = scene.drivers.iter().map(|fed| {
        let alike = alike(&fed.scene, &bare);
        let comparison = compare(&Bodies::of(&alike)?, None, kept, watcher)?;
        let [solved, taken_over] = comparison.solutions();
        solutions = [solutions[0] + solved, solutions[1] + taken_over];
        Ok(voice(fed, &bare, (&prediction, &comparison), delay))
    });
    let mut drivers = drivers.collect::<Result<Vec<_>, CompareError>>()?;
    let mut part = part;
    let measured = put_in_measured(scene, &frequencies, &mut part, &mut drivers);
    let computed = scene.frequencies_of_all();
    Ok(Ensemble {
        measured,
        without_measured: [computed[0], computed[computed.len() - 1]],
        angles: prediction.far.angles.clone(),
        seats: bare.receivers.seats.clone(),
        panel: part,
        air: bare.air,
        panel_chain: chain,
        panel_filters: scene
            .panel
            .channels
            .first()
            .map(|channel| channel.filters.clone())
            .unwrap_or_default(),
        panel_delay: delay,
        channels_differ,
        drivers,
        solutions,
        floor_left_out: scene.panel.receivers.floor.is_some(),
        prediction,
        frequencies,
    })
}

/// Puts every measured response in the place of what was computed; those of parts or seats that are not there say nothing.
fn put_in_measured(
    scene: &BlendScene,
    frequencies: &[f64],
    panel: &mut Part,
    drivers: &mut [Voice],
) -> Vec<MeasuredAt> {
    let one = |measured: &crate::scene::Measured| {
        let (part, name) = match measured.source {
            MeasuredPart::Panel => (&mut *panel, "panel".to_owned()),
            MeasuredPart::Driver { driver, surround } => {
                let voice = drivers.get_mut(driver)?;
                let several = voice.surrounds.len() > 1;
                let part = &mut voice.surrounds.get_mut(surround)?.part;
                let with = if several { format!(" with “{}”", part.name) } else { String::new() };
                (part, voice.driver.name.clone() + &with)
            }
        };
        let seat = scene.panel.receivers.seats.get(measured.seat)?;
        Some(measured::put_in(measured, (part, &name), &seat.name, frequencies))
    };
    scene.measured.iter().filter_map(one).collect()
}
