//! What plays while one driver is moved: the panel, and the other drivers where they hang.

use super::handover::Handover;
use super::options::DriverOptions;
use crate::Watcher;
use crate::blend::{BlendError, Ensemble, Voice, ensemble};
use crate::coupling::blend::{Part, Pressure};
use crate::filters::Chain;
use crate::kept::NothingKept;
use crate::scene::{BlendScene, DriverScene, FedDriver, Measured, MeasuredPart};
use num_complex::Complex64;

/// Half the width of the band about a corner in which parts are compared, as a ratio: a third of an octave.
const ABOUT: f64 = 1.26;

/// The parts that stay.
pub(super) struct Company {
    /// Panel and drivers, what was measured in place of what is computed.
    pub ensemble: Ensemble,
    /// All of them through their channels, as one; its flights are those of the part that the driver hands over to at its lowest corner.
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
    /// Everything of `scene` but the driver of this index, each driver with one surround, at `frequencies` [Hz]. What was measured is of parts as they hang here.
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
        let heard: Vec<Pressure> =
            playing.iter().map(|one| one.part.pressure.through(one.chain, frequencies)).collect();
        let next = &playing[handed_to(&heard, frequencies, handover.corners[0])];
        let rest = Part {
            name: "the rest".into(),
            pressure: Pressure::sum(&heard).expect("the panel plays"),
            flight: next.part.flight.clone(),
            strain: vec![],
        };
        let delay = next.delay;
        Ok(Self { rest, delay, ensemble })
    }
}

/// The scene without a driver, and the others with the surround that they hang with. What was measured is of these.
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
            MeasuredPart::Driver { driver, .. } => {
                MeasuredPart::Driver { driver: stays.iter().position(|&other| other == driver)?, surround: 0 }
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

/// Index of the part that is loudest about a corner [Hz], the first of several.
fn handed_to(heard: &[Pressure], frequencies: &[f64], corner: f64) -> usize {
    let off = |f: f64| (f / corner).ln().abs();
    let nearest = frequencies.iter().map(|f| off(*f)).fold(f64::INFINITY, f64::min);
    let near = |f: f64| off(f) <= nearest.max(ABOUT.ln());
    let loud = |pressure: &Pressure| {
        let energy = |seat: &Vec<Complex64>| -> f64 {
            seat.iter().zip(frequencies).filter(|(_, f)| near(**f)).map(|(p, _)| p.norm_sqr()).sum()
        };
        pressure.seats.iter().map(energy).sum::<f64>()
    };
    let levels: Vec<f64> = heard.iter().map(loud).collect();
    (0..levels.len()).min_by(|a, b| levels[*b].total_cmp(&levels[*a])).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{Alignment, Filters, PassFilter};
    use ndarray::Array2;

    /// Of a loud bass, a panel and a quiet treble a driver hands over to the one that plays at its corner, though the bass is loudest in all.
    #[test]
    fn a_driver_hands_over_to_what_plays_at_its_corner() {
        let frequencies: Vec<f64> = (0..61).map(|n| 125.0 * 2f64.powf(f64::from(n) / 10.0)).collect();
        let part = |level: f64| Pressure {
            seats: vec![vec![level.into(); frequencies.len()]; 2],
            horizontal: Array2::zeros((0, 0)),
            vertical: Array2::zeros((0, 0)),
        };
        let pass = |corner| Some(PassFilter { alignment: Alignment::LinkwitzRiley, order: 4, corner });
        let chain = |high_pass, low_pass| Chain::new(&Filters { high_pass, low_pass, ..Filters::default() });
        let parts = [10.0, 1.0, 0.5].map(part);
        let chains = [chain(None, pass(300.0)), chain(pass(300.0), pass(2500.0)), chain(pass(2500.0), None)];
        let heard: Vec<Pressure> = parts
            .iter()
            .zip(&chains)
            .map(|(part, chain): (&Pressure, &Chain)| part.through(chain, &frequencies))
            .collect();
        let handed = [250.0, 1250.0, 5000.0].map(|corner| handed_to(&heard, &frequencies, corner));
        assert_eq!(handed, [0, 1, 2]);
        assert_eq!(handed_to(&heard, &frequencies, 20.0), 0, "the nearest frequency where none is near");
    }
}
