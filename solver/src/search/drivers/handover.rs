//! Where a driver hands over to what plays beside it, and the frequencies about it at which its places are judged.

use super::options::DriverOptions;
use crate::scene::{Channel, FedDriver, Filters, PassFilter};

/// Where a driver hands over.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Handover {
    /// Corners [Hz] of its filters within the frequencies, ascending; else those of the panel's, else the middle of what all play. One at least.
    pub corners: Vec<f64>,
    /// From where to where [Hz] it plays.
    pub plays: [f64; 2],
    /// False where no filter says it.
    pub crossed: bool,
}

impl Handover {
    /// Between a driver and a panel with these channels, of the frequencies [Hz] that all have.
    pub fn of(fed: &FedDriver, panel: &[Channel], frequencies: &[f64]) -> Self {
        let (Some(&least), Some(&most)) = (frequencies.first(), frequencies.last()) else {
            return Self { corners: vec![1000.0], plays: [1000.0, f64::INFINITY], crossed: false };
        };
        // A corner beyond the frequencies, of a high-pass against rumble, say, is no crossover.
        let within = |pass: Option<PassFilter>| {
            pass.map(|pass| pass.corner).filter(|corner| (least..=most).contains(corner))
        };
        let panel = |pass: fn(&Filters) -> Option<PassFilter>| {
            within(panel.iter().find_map(|channel| pass(&channel.filters)))
        };
        let own = &fed.channel.filters;
        let [low, high] = match [own.low_pass, own.high_pass].map(within) {
            [None, None] => [panel(|filters| filters.high_pass), panel(|filters| filters.low_pass)],
            own => own,
        };
        let mut corners: Vec<f64> = [low, high].into_iter().flatten().collect();
        corners.sort_by(f64::total_cmp);
        match corners.is_empty() {
            false => {
                let plays = [high.unwrap_or(0.0), low.unwrap_or(f64::INFINITY)];
                Self { corners, plays, crossed: true }
            }
            true => {
                let middle = (least * most).sqrt();
                Self { corners: vec![middle], plays: [middle, f64::INFINITY], crossed: false }
            }
        }
    }

    /// Lowest and highest corner [Hz].
    pub fn ends(&self) -> [f64; 2] {
        [self.corners[0], self.corners[self.corners.len() - 1]]
    }

    /// Those of `all` [Hz] that places are judged at: no more per octave than needed, and none far from the corners.
    pub fn judged(&self, all: &[f64], options: &DriverOptions) -> Vec<f64> {
        let step = 10f64.powf(0.3 / options.per_octave) * (1.0 - 1e-6);
        let beyond = 2f64.powf(options.octaves + 1e-6);
        let [low, high] = self.ends();
        let mut judged: Vec<f64> = vec![];
        for &f in all.iter().filter(|f| (low / beyond..=high * beyond).contains(*f)) {
            if judged.last().is_none_or(|last| f >= last * step) {
                judged.push(f);
            }
        }
        judged
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{Alignment, Wiring};

    fn pass(corner: f64) -> Option<PassFilter> {
        Some(PassFilter { alignment: Alignment::LinkwitzRiley, order: 4, corner })
    }

    fn handover(filters: Filters, panel: Filters) -> Handover {
        let channel = |filters| Channel {
            name: "one".into(),
            voltage: 2.83,
            gain: 1.0,
            delay: 0.0,
            filters,
            source_resistance: 0.0,
            wiring: Wiring::Series,
            exciters: vec![],
        };
        let scene = super::super::tests::scene(&[1000.0]);
        let all: Vec<f64> = (0..97).map(|n| 100.0 * 2f64.powf(f64::from(n) / 12.0)).collect();
        Handover::of(&FedDriver { scene, channel: channel(filters) }, &[channel(panel)], &all)
    }

    #[test]
    fn corners_are_those_of_the_drivers_own_filters_first() {
        let plain = Filters::default;
        let treble = handover(Filters { high_pass: pass(3e3), ..plain() }, plain());
        assert_eq!((treble.corners, treble.plays), (vec![3e3], [3e3, f64::INFINITY]));
        let middle = handover(Filters { high_pass: pass(300.0), low_pass: pass(2e3), ..plain() }, plain());
        assert_eq!((&middle.corners[..], middle.plays), (&[300.0, 2e3][..], [300.0, 2e3]));
        let bass = handover(Filters { low_pass: pass(300.0), ..plain() }, plain());
        assert_eq!((bass.corners, bass.plays), (vec![300.0], [0.0, 300.0]));
        let bare = handover(plain(), Filters { low_pass: pass(900.0), ..plain() });
        assert!(bare.corners == [900.0] && bare.crossed, "{bare:?}");
        let none = handover(plain(), plain());
        assert!((none.corners[0] - 1600.0).abs() < 1e-6 && !none.crossed, "{none:?}");
        // What takes care of itself below the panel's high-pass is a bass driver.
        let below = handover(plain(), Filters { high_pass: pass(300.0), ..plain() });
        assert_eq!((below.corners, below.plays), (vec![300.0], [0.0, 300.0]));
        // Beyond what all play there is nothing to hand over.
        let rumble = handover(Filters { high_pass: pass(50.0), low_pass: pass(300.0), ..plain() }, plain());
        assert_eq!((rumble.corners, rumble.plays), (vec![300.0], [0.0, 300.0]));
        assert!(!handover(Filters { high_pass: pass(50.0), ..plain() }, plain()).crossed);
    }

    #[test]
    fn frequencies_reach_beyond_both_corners_without_a_gap() {
        let middle = Handover { corners: vec![200.0, 6400.0], plays: [200.0, 6400.0], crossed: true };
        let all: Vec<f64> = (0..481).map(|n| 25.0 * 2f64.powf(f64::from(n) / 48.0)).collect();
        let options = DriverOptions { octaves: 1.0, ..DriverOptions::default() };
        let judged = middle.judged(&all, &options);
        let (first, last) = (judged[0], judged[judged.len() - 1]);
        assert!((first - 100.0).abs() < 1e-6 && (last - 12_800.0).abs() < 1e-6, "{first} {last}");
        assert_eq!(judged.len(), 85, "twelve to the octave");
    }
}
