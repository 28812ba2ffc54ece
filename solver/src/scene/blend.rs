//! A panel and the small drivers that play with it.

use super::{Channel, DriverScene, Scene};
use num_complex::Complex64;
use serde::Serialize;

/// Parts that are to sound as one source. All are in the panel's coordinates.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BlendScene {
    /// The panel with its exciters and their channels.
    pub panel: Scene,
    /// The drivers.
    pub drivers: Vec<FedDriver>,
    /// What was measured of parts, in place of what would be computed.
    pub measured: Vec<Measured>,
}

impl BlendScene {
    /// The panel's frequencies [Hz] within the range of every driver.
    pub fn frequencies_of_all(&self) -> Vec<f64> {
        let within = |f: f64, range: &[f64]| match (range.first(), range.last()) {
            (Some(low), Some(high)) => between(f, [*low, *high]),
            _ => false,
        };
        let all = |f: &f64| self.drivers.iter().all(|fed| within(*f, &fed.scene.frequencies));
        self.panel.frequencies.iter().copied().filter(all).collect()
    }

    /// Those of [`frequencies_of_all`](Self::frequencies_of_all) that every measured response covers.
    pub fn frequencies_in_common(&self) -> Vec<f64> {
        let covered = |f: &f64| self.measured.iter().all(|measured| measured.covers(*f));
        self.frequencies_of_all().into_iter().filter(covered).collect()
    }
}

/// True for a frequency within a range; ends that are meant to be the same may differ by rounding.
fn between(frequency: f64, [low, high]: [f64; 2]) -> bool {
    frequency >= low * (1.0 - 1e-9) && frequency <= high * (1.0 + 1e-9)
}

/// A small driver and what feeds it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FedDriver {
    /// The driver with its surrounds.
    pub scene: DriverScene,
    /// Its amplifier channel, which drives nothing else: `exciters` is empty. Voltage and source resistance are also the driver's own, which
    /// knows nothing of gain, delay and filters.
    pub channel: Channel,
}

/// What a microphone at a seat heard of one part by itself, without the filters, gain and delay of its channel (with them, of a panel whose
/// channels differ).
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Measured {
    /// What was heard.
    pub source: MeasuredPart,
    /// Index of the seat.
    pub seat: usize,
    /// The file that it came from, for reports.
    pub file: String,
    /// Frequencies [Hz], ascending, at least two.
    pub frequencies: Vec<f64>,
    /// Complex pressure [Pa RMS] at the voltage of the part's channel; the time from the channel's input to the seat is in its phase.
    pub pressure: Vec<Complex64>,
}

/// A part that was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum MeasuredPart {
    /// The panel.
    Panel,
    /// A driver with one of its surrounds, both by index.
    Driver {
        /// Which driver.
        driver: usize,
        /// Which of its surrounds.
        surround: usize,
    },
}

impl Measured {
    /// Lowest and highest frequency [Hz] that it holds for.
    pub fn range(&self) -> [f64; 2] {
        [self.frequencies.first(), self.frequencies.last()].map(|f| f.copied().unwrap_or(f64::NAN))
    }

    /// True for a frequency [Hz] that it holds for.
    pub fn covers(&self, frequency: f64) -> bool {
        between(frequency, self.range())
    }
}
