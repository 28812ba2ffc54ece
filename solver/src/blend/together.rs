//! Which parts play together: the panel and every driver, each with one of its surrounds.

use super::ensemble::Ensemble;
use super::voice::{Surrounded, Voice};
use crate::coupling::blend::{Part, Pressure};
use crate::filters::Chain;
use crate::listening::{
    AgreementAt, Centred, Loudness, agreement_at, band_mean_square, band_weights, pressure_level,
};
use crate::scene::Seat;

/// Name of drivers that have one surround each.
const ALL: &str = "all drivers";

/// The panel and every driver with one of its surrounds.
pub(super) struct Together<'e> {
    ensemble: &'e Ensemble,
    /// Name in reports.
    pub name: String,
    /// Index of the surround of every driver.
    pub around: Vec<usize>,
}

/// Every set that is summed: all drivers with their first surrounds, then one driver after the other with each further surround of its own.
pub(super) fn sets(ensemble: &Ensemble) -> Vec<Together<'_>> {
    let first = vec![0; ensemble.drivers.len()];
    let further = ensemble.drivers.iter().enumerate().flat_map(|(d, voice)| {
        let first = &first;
        (1..voice.surrounds.len()).map(move |s| {
            let mut around = first.clone();
            around[d] = s;
            around
        })
    });
    let sets: Vec<Vec<usize>> = std::iter::once(first.clone()).chain(further).collect();
    sets.into_iter().map(|around| Together { ensemble, name: name(ensemble, &around), around }).collect()
}

/// The surround of the only driver; of several those of drivers that have a choice.
fn name(ensemble: &Ensemble, around: &[usize]) -> String {
    let surround =
        |voice: &Voice, s: usize| voice.surrounds.get(s).map_or_else(String::new, |s| s.part.name.clone());
    if let [voice] = &ensemble.drivers[..] {
        return surround(voice, around[0]);
    }
    let choices = ensemble.drivers.iter().zip(around).filter(|(voice, _)| voice.surrounds.len() > 1);
    let names: Vec<String> =
        choices.map(|(voice, s)| format!("{} {}", voice.driver.name, surround(voice, *s))).collect();
    if names.is_empty() { ALL.into() } else { names.join(", ") }
}

impl<'e> Together<'e> {
    /// The drivers with their surrounds.
    pub fn drivers(&self) -> impl Iterator<Item = (&'e Voice, &'e Surrounded)> {
        let pairs = self.ensemble.drivers.iter().zip(&self.around);
        pairs.map(|(voice, s)| (voice, &voice.surrounds[*s]))
    }

    /// The panel, then the drivers.
    pub fn parts(&self) -> Vec<&'e Part> {
        std::iter::once(&self.ensemble.panel)
            .chain(self.drivers().map(|(_, surrounded)| &surrounded.part))
            .collect()
    }

    /// Their channels as in the case.
    pub fn chains(&self) -> Vec<&'e Chain> {
        let drivers = self.ensemble.drivers.iter().map(|voice| &voice.chain);
        std::iter::once(&self.ensemble.panel_chain).chain(drivers).collect()
    }

    /// When the first sound of any part arrives at a seat [s].
    pub fn flight(&self, seat: usize) -> f64 {
        self.parts().iter().map(|part| part.flight[seat]).fold(f64::INFINITY, f64::min)
    }

    /// Whether the panel and each driver sound as one at all seats, heard as they are `through` their channels, the drivers fed so much `later` [s] than
    /// the panel.
    pub fn agreement(&self, through: &[Pressure], later: &[f64]) -> Vec<AgreementAt> {
        let drivers = self.drivers().zip(later).enumerate();
        drivers
            .flat_map(|(d, (driver, &later))| of_driver(self.ensemble, driver, (through, d), later))
            .collect()
    }
}

/// Panel and driver d, fed so much later [s] than the panel, at every seat, among all parts.
fn of_driver(
    ensemble: &Ensemble,
    (voice, surrounded): (&Voice, &Surrounded),
    (through, d): (&[Pressure], usize),
    later: f64,
) -> Vec<AgreementAt> {
    let f = &ensemble.frequencies;
    let covered = |centred: &&Centred| band_weights(f, &centred.band).is_some();
    let centres: Vec<Centred> =
        (surrounded.centres.iter()).filter(covered).map(|centred| Centred { later, ..*centred }).collect();
    let at = |(s, seat): (usize, &Seat)| {
        let energies: Vec<Vec<f64>> =
            through.iter().map(|part| part.seats[s].iter().map(|p| p.norm_sqr()).collect()).collect();
        let loud = |centred: &Centred| {
            let level =
                |energy: &Vec<f64>| pressure_level(band_mean_square(f, energy, &centred.band).unwrap_or(0.0));
            let levels: Vec<f64> = energies.iter().map(level).collect();
            let loudest = levels.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            Loudness::of(levels[0], levels[d + 1], loudest)
        };
        let loud: Vec<Loudness> = centres.iter().map(loud).collect();
        agreement_at(seat, &voice.driver.name, &centres, &loud, ensemble.air.sound_speed)
    };
    ensemble.seats.iter().enumerate().map(at).collect()
}
