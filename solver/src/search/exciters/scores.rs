//! What a place is worth, in numbers.

use serde::Serialize;

/// Scores of one place, or of several driven together.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Scores {
    /// Unevenness of the response [dB]: standard deviation of the level smoothed over 1/3 octave, taken in steps of 1/6 octave from 100 Hz to
    /// 10 kHz (the part of it that was computed); root mean square over the seats. Less is better.
    pub evenness: f64,
    /// Where the low end begins [Hz]: the lower limit of the usable band, on which the smoothed level of the seats' mean energy stays no more
    /// than 10 dB below its reference level. `None` where there is no such band.
    pub extension: Option<f64>,
    /// Sensitivity [dB re 20 µPa] at the channel's voltage: mean of the third-octave levels of the seats' mean energy from 200 Hz to 4 kHz.
    pub sensitivity: f64,
    /// Share of the elastic modes in the computed range, 100 Hz to 10 kHz, whose shape under the foot is at least a third of its root mean
    /// square over the panel, each mode weighted by 1/frequency so that every octave counts alike. A third is 10 dB less than average: what
    /// is driven less is a dip of the size that counts as one.
    pub coverage: f64,
    /// Dips per seat: stretches on which the level is more than 10 dB below its own third-octave smoothed curve.
    pub dips: f64,
    /// How much worse the evenness gets [dB] when the foot sits 5 mm off, in the worst of eight directions; between the places
    /// of the grid it is taken as straight. Nothing where the neighbours are not known.
    pub robustness: Option<f64>,
}

/// What the scores count against each other: everything in decibels of evenness. The balance is a matter of taste, so it is data.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Weights {
    /// Per decibel of unevenness.
    pub evenness: f64,
    /// Per octave that the low end begins higher.
    pub extension: f64,
    /// Per decibel of sensitivity less.
    pub sensitivity: f64,
    /// For all of the coverage.
    pub coverage: f64,
    /// Per dip at a seat.
    pub dips: f64,
    /// Per decibel that 5 mm cost.
    pub robustness: f64,
}

impl Default for Weights {
    /// Our own balance, no source: an octave of bass is worth one decibel of evenness, and so are four decibels of sensitivity, which an
    /// amplifier can make up; half of the modes, twenty dips, and two decibels lost by 5 mm likewise.
    fn default() -> Self {
        Self { evenness: 1.0, extension: 1.0, sensitivity: 0.25, coverage: 2.0, dips: 0.05, robustness: 0.5 }
    }
}

/// Frequency [Hz] that extensions are counted from; the ranking does not depend on it.
const EXTENSION_FROM: f64 = 100.0;

impl Weights {
    /// Cost of a place [dB], less is better; `top` [Hz] stands for a low end that does not exist.
    pub fn cost(&self, scores: &Scores, top: f64) -> f64 {
        let octaves = (scores.extension.unwrap_or(top) / EXTENSION_FROM).log2();
        self.evenness * scores.evenness + self.extension * octaves
            - self.sensitivity * scores.sensitivity
            - self.coverage * scores.coverage
            + self.dips * scores.dips
            + self.robustness * scores.robustness.unwrap_or(0.0)
    }
}
