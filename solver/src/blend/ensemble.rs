//! Panel and drivers computed at the same frequencies and places, each by itself.

use super::centres::driver_centre;
use super::measured::{self, MeasuredAt};
use crate::air::Air;
use crate::coupling::blend::{Part, Pressure};
use crate::filters::Chain;
use crate::kept::KeptWork;
use crate::listening::{Band, Centred, fractional_octaves};
use crate::scene::{
    BlendScene, Channel, DriverScene, FedDriver, Filters, MeasuredPart, Scene, Seat, SmallDriver, Spread,
};
use crate::surrounds::{Bodies, CompareError, Comparison, VariantSound, compare};
use crate::{PredictError, Prediction, Watcher, predict};
use ndarray::Array2;
use num_complex::Complex64;
use std::f64::consts::FRAC_PI_2;
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

/// A driver with all its surrounds.
#[derive(Clone, Debug)]
pub struct Voice {
    /// The driver.
    pub driver: SmallDriver,
    /// What its channel does.
    pub chain: Chain,
    /// Filters of its channel.
    pub filters: Filters,
    /// Pure delay of its channel minus that of the panel's [s].
    pub later: f64,
    /// With every surround, in the case's order.
    pub surrounds: Vec<Surrounded>,
}

/// A driver with one surround.
#[derive(Clone, Debug)]
pub struct Surrounded {
    /// Its sound.
    pub part: Part,
    /// Its centre beside the panel's, band by band.
    pub centres: Vec<Centred>,
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
    let frequencies = in_common(scene);
    let alone = panel_alone(&scene.panel, &frequencies, watcher)?;
    let PanelAlone { bare, prediction, part, chain, delay, channels_differ } = alone;
    let mut solutions = [0; 2];
    let drivers = scene.drivers.iter().map(|fed| {
        let alike = alike(&fed.scene, &bare, &frequencies);
        let comparison = compare(&Bodies::of(&alike)?, None, kept, watcher)?;
        let [solved, taken_over] = comparison.solutions();
        solutions = [solutions[0] + solved, solutions[1] + taken_over];
        Ok(voice(fed, &bare, (&prediction, &comparison), delay))
    });
    let mut drivers = drivers.collect::<Result<Vec<_>, CompareError>>()?;
    let mut part = part;
    let measured = put_in_measured(scene, &frequencies, &mut part, &mut drivers);
    let computed: Vec<f64> =
        scene.panel.frequencies.iter().copied().filter(|f| all_computed(scene, *f)).collect();
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
        channels_differ,
        drivers,
        solutions,
        floor_left_out: scene.panel.receivers.floor.is_some(),
        prediction,
        frequencies,
    })
}

/// The panel by itself, as a part of something.
pub(crate) struct PanelAlone {
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
    let frequencies = in_common(scene);
    if frequencies.len() < 2 {
        return None;
    }
    let bare = unfiltered(&scene.panel, &frequencies, channels_differ(&scene.panel.channels));
    let drivers = scene.drivers.iter().map(|fed| alike(&fed.scene, &bare, &frequencies)).collect();
    Some((bare, drivers))
}

/// The panel at `frequencies` [Hz], at least two.
///
/// # Errors
/// [`BlendError`].
pub(crate) fn panel_alone(
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

/// The panel's frequencies [Hz] within the range of every driver and of every measured response.
pub(crate) fn in_common(scene: &BlendScene) -> Vec<f64> {
    let heard =
        |f: &f64| all_computed(scene, *f) && scene.measured.iter().all(|measured| measured.covers(*f));
    scene.panel.frequencies.iter().copied().filter(heard).collect()
}

/// True for a frequency [Hz] within the range of every driver.
fn all_computed(scene: &BlendScene, f: f64) -> bool {
    let within = |range: &[f64]| match (range.first(), range.last()) {
        // Both ends may be meant to be the same and differ by rounding.
        (Some(low), Some(high)) => f >= low * (1.0 - 1e-9) && f <= high * (1.0 + 1e-9),
        _ => false,
    };
    scene.drivers.iter().all(|fed| within(&fed.scene.frequencies))
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
fn alike(driver: &DriverScene, panel: &Scene, frequencies: &[f64]) -> DriverScene {
    let mut scene = DriverScene { frequencies: frequencies.to_vec(), pictured: vec![], ..driver.clone() };
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

fn voice(
    fed: &FedDriver,
    panel: &Scene,
    (prediction, comparison): (&Prediction, &Comparison),
    panel_delay: f64,
) -> Voice {
    let later = fed.channel.delay - panel_delay;
    let heard =
        Heard { driver: &fed.scene.driver, panel, angles: (&prediction.far.angles, &comparison.angles) };
    let surrounded = |variant: &VariantSound| Surrounded {
        part: heard.part(variant),
        centres: heard.centres(prediction, variant, later),
    };
    Voice {
        driver: fed.scene.driver.clone(),
        chain: chain(&fed.channel),
        filters: fed.channel.filters.clone(),
        later,
        surrounds: comparison.variants.iter().map(surrounded).collect(),
    }
}

/// A driver heard in the panel's coordinates.
struct Heard<'a> {
    driver: &'a SmallDriver,
    /// The panel's scene: air, frequencies, middle of its arcs.
    panel: &'a Scene,
    /// Angles of the panel's arcs, a part of those of the driver's.
    angles: (&'a [f64], &'a [f64]),
}

impl Heard<'_> {
    fn part(&self, variant: &VariantSound) -> Part {
        let (curves, scene) = (&variant.curves, self.panel);
        let flown = |distance: f64, seat: &[Complex64]| -> Vec<Complex64> {
            let late = |f: f64| Complex64::cis(-scene.air.wavenumber(f) * distance);
            seat.iter().zip(&scene.frequencies).map(|(p, &f)| p * late(f)).collect()
        };
        let motor = &self.driver.motor;
        let share = |used: f64, rated: Option<f64>| rated.map_or(0.0, |rated| used / rated);
        let strain = |i: usize| {
            let power = curves.moved[i].current.norm_sqr() * curves.impedance[i].re;
            share(curves.excursion[i], motor.rated_excursion)
                .max(share(power, motor.rated_power).max(0.0).sqrt())
        };
        let distances = &curves.distances[1..];
        Part {
            name: variant.name.clone(),
            pressure: Pressure {
                seats: distances.iter().zip(&curves.seats).map(|(d, seat)| flown(*d, seat)).collect(),
                horizontal: self.about_the_panel(&curves.horizontal, 0),
                vertical: self.about_the_panel(&curves.vertical, 1),
            },
            flight: distances.iter().map(|distance| distance / scene.air.sound_speed).collect(),
            strain: (0..scene.frequencies.len()).map(strain).collect(),
        }
    }

    /// A far field about the driver's front becomes one about the panel's middle: `exp(jk u·d)`, d from the middle to the front, over the arc
    /// that turns towards this coordinate.
    fn about_the_panel(&self, far: &Array2<Complex64>, across: usize) -> Array2<Complex64> {
        let (wanted, given) = self.angles;
        let [x, y] = self.panel.panel.outline.centre();
        let [px, py, pz] = self.driver.place;
        let sideways = [px - x, py - y][across];
        let nearest = |angle: &f64| {
            let closer =
                |a: &usize, b: &usize| (given[*a] - angle).abs().total_cmp(&(given[*b] - angle).abs());
            (0..given.len()).min_by(closer).unwrap_or(0)
        };
        let columns: Vec<usize> = wanted.iter().map(nearest).collect();
        Array2::from_shape_fn((far.nrows(), wanted.len()), |(i, j)| {
            let k = self.panel.air.wavenumber(self.panel.frequencies[i]);
            let ahead = wanted[j].sin() * sideways + wanted[j].cos() * pz;
            far[[i, columns[j]]] * Complex64::cis(k * ahead)
        })
    }

    /// Centres of panel and driver in the third octaves that the frequencies cover.
    fn centres(&self, prediction: &Prediction, variant: &VariantSound, later: f64) -> Vec<Centred> {
        let f = &self.panel.frequencies;
        let centred = |band: Band| {
            let same =
                |c: &&crate::listening::AcousticCentre| (c.band.centre / band.centre - 1.0).abs() < 1e-6;
            let panel = prediction.findings.centres.iter().find(same)?;
            let [x, y] = panel.intensity.position;
            Some(Centred {
                band,
                intensity: Some([x, y, 0.0]),
                wave_front: panel.wave_front.map(|centre| centre.position),
                driver: driver_centre(self.driver, variant, (self.angles.1, f), &band, &self.panel.air)
                    .unwrap_or(self.driver.place),
                later,
            })
        };
        fractional_octaves(3, f[0], f[f.len() - 1]).into_iter().filter_map(centred).collect()
    }
}
