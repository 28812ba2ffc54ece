//! What plays while one driver is moved: the panel, and the other drivers where they hang.

use super::handover::Handover;
use super::options::DriverOptions;
use crate::Watcher;
use crate::blend::{BlendError, Ensemble, Voice, ensemble};
use crate::coupling::blend::{Part, Pressure};
use crate::filters::Chain;
use crate::kept::NothingKept;
use crate::scene::{BlendScene, DriverScene, FedDriver, Measured, MeasuredPart};
use ndarray::Array2;
use num_complex::Complex64;

/// Half the width of the band about a corner in which parts are compared, as a ratio: a third of an octave.
const ABOUT: f64 = 1.26;

/// The parts that stay.
pub(super) struct Company {
    /// Panel and drivers, what was measured in place of what is computed.
    pub ensemble: Ensemble,
    /// All of them through their channels, as one; its flights are those of the part that the driver hands over to.
    pub rest: Part,
    /// Pure delay [s] of that part's channel.
    pub delay: f64,
}

/// A part that stays and what its channel does.
struct Playing<'e> {
    part: &'e Part,
    chain: &'e Chain,
    delay: f64,
}

impl Company {
    /// Everything of `scene` but the driver of this index, each driver with one surround, at `frequencies` [Hz].
    ///
    /// # Errors
    /// When a part cannot be computed, or there are fewer than two frequencies.
    pub fn of(
        scene: &BlendScene,
        moved: usize,
        options: &DriverOptions,
        (frequencies, handover): (&[f64], &Handover),
        watcher: Watcher,
    ) -> Result<Self, BlendError> {
        let ensemble = ensemble(&staying(scene, moved, options, frequencies), &NothingKept, watcher)?;
        let playing = playing(&ensemble);
        let next = handed_to(&playing, frequencies, handover.corners[0]);
        let (flight, delay) = (playing[next].part.flight.clone(), playing[next].delay);
        let rest = Part {
            name: "the rest".into(),
            pressure: Pressure {
                seats: heard(&playing, frequencies),
                horizontal: Array2::zeros((0, 0)),
                vertical: Array2::zeros((0, 0)),
            },
            flight,
            strain: vec![],
        };
        Ok(Self { rest, delay, ensemble })
    }
}

/// The scene without a driver, and the others with the surround that they hang with. What was measured with another surround says nothing here.
fn staying(scene: &BlendScene, moved: usize, options: &DriverOptions, frequencies: &[f64]) -> BlendScene {
    let stays: Vec<usize> = (0..scene.drivers.len()).filter(|&driver| driver != moved).collect();
    let alone = |&driver: &usize| {
        let fed = &scene.drivers[driver];
        let surrounds = options.surround(&fed.scene).cloned().into_iter().collect();
        FedDriver { scene: DriverScene { surrounds, ..fed.scene.clone() }, channel: fed.channel.clone() }
    };
    let renamed = |measured: &Measured| {
        let source = match measured.source {
            MeasuredPart::Panel => MeasuredPart::Panel,
            MeasuredPart::Driver { driver, surround } => {
                let asked = options.surround_index(&scene.drivers.get(driver)?.scene);
                let place = stays.iter().position(|&other| other == driver && asked == Some(surround))?;
                MeasuredPart::Driver { driver: place, surround: 0 }
            }
        };
        Some(Measured { source, ..measured.clone() })
    };
    let mut panel = scene.panel.clone();
    panel.frequencies = frequencies.to_vec();
    BlendScene {
        panel,
        drivers: stays.iter().map(alone).collect(),
        measured: scene.measured.iter().filter_map(renamed).collect(),
    }
}

fn playing(ensemble: &Ensemble) -> Vec<Playing<'_>> {
    let delay = ensemble.panel_delay;
    let panel = Playing { part: &ensemble.panel, chain: &ensemble.panel_chain, delay };
    let drivers = ensemble.drivers.iter().filter_map(|voice: &Voice| {
        let part = &voice.surrounds.first()?.part;
        Some(Playing { part, chain: &voice.chain, delay: delay + voice.later })
    });
    std::iter::once(panel).chain(drivers).collect()
}

/// Pressures of all together, (seats, frequencies).
fn heard(playing: &[Playing], frequencies: &[f64]) -> Vec<Vec<Complex64>> {
    let through = |one: &Playing| one.part.pressure.through(one.chain, frequencies).seats;
    let add = |mut sum: Vec<Vec<Complex64>>, other: Vec<Vec<Complex64>>| {
        sum.iter_mut().flatten().zip(other.into_iter().flatten()).for_each(|(sum, p)| *sum += p);
        sum
    };
    playing.iter().map(through).reduce(add).unwrap_or_default()
}

/// Index of the part that is loudest about a corner [Hz].
fn handed_to(playing: &[Playing], frequencies: &[f64], corner: f64) -> usize {
    let near = |f: &f64| (1.0 / ABOUT..ABOUT).contains(&(f / corner));
    let loud = |one: &Playing| {
        let seats = one.part.pressure.through(one.chain, frequencies).seats;
        let energy = |seat: &Vec<Complex64>| -> f64 {
            seat.iter().zip(frequencies).filter(|(_, f)| near(f)).map(|(p, _)| p.norm_sqr()).sum()
        };
        seats.iter().map(energy).sum::<f64>()
    };
    let levels: Vec<f64> = playing.iter().map(loud).collect();
    (0..levels.len()).max_by(|a, b| levels[*a].total_cmp(&levels[*b])).unwrap_or(0)
}
