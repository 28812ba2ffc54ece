//! All filters of a channel in series, ready to be evaluated.

use super::section::Section;
use super::{FilterError, equaliser, pass};
use crate::scene::{Biquad, Filters, Realisation};
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Filters in series, with a gain and a delay.
#[derive(Clone, Debug, PartialEq)]
pub struct Chain {
    gain: f64,
    delay: f64,
    stages: Stages,
}

#[derive(Clone, Debug, PartialEq)]
enum Stages {
    Analogue(Vec<Section>),
    Digital(Processor),
}

/// What a signal processor is told.
#[derive(Clone, Debug, PartialEq)]
pub struct Processor {
    /// Sample rate [Hz].
    pub sample_rate: f64,
    /// Its sections, in series.
    pub biquads: Vec<Biquad>,
}

impl Chain {
    /// The chain of `filters` that [`check_pass`](super::check_pass) and its companions accept.
    pub fn new(filters: &Filters) -> Self {
        let sections = sections(filters);
        let stages = match &filters.made {
            Realisation::Analogue => Stages::Analogue(sections),
            Realisation::Digital { sample_rate, biquads } => {
                let transformed = sections.iter().map(|section| section.bilinear(*sample_rate));
                let biquads = transformed.chain(biquads.iter().copied()).collect();
                Stages::Digital(Processor { sample_rate: *sample_rate, biquads })
            }
        };
        Self { gain: 1.0, delay: 0.0, stages }
    }

    /// With a further gain as an amplitude factor; negative turns the polarity round.
    pub fn amplified(self, factor: f64) -> Self {
        Self { gain: self.gain * factor, ..self }
    }

    /// With a further delay [s], exact at any fraction of a sample: `exp(−jωτ)`.
    pub fn delayed(self, seconds: f64) -> Self {
        Self { delay: self.delay + seconds, ..self }
    }

    /// Response at `frequency` [Hz]; of a digital chain below half its sample rate.
    pub fn response(&self, frequency: f64) -> Complex64 {
        let filtered: Complex64 = match &self.stages {
            Stages::Analogue(sections) => sections.iter().map(|s| s.response(frequency)).product(),
            Stages::Digital(Processor { sample_rate, biquads }) => {
                biquads.iter().map(|b| b.response(frequency, *sample_rate)).product()
            }
        };
        filtered * Complex64::from_polar(1.0, -TAU * frequency * self.delay) * self.gain
    }

    /// Group delay −dφ/dω [s] at `frequency` > 0 [Hz], from derivatives, not from differences.
    pub fn group_delay(&self, frequency: f64) -> f64 {
        let filters: f64 = match &self.stages {
            Stages::Analogue(sections) => sections.iter().map(|s| s.group_delay(frequency)).sum(),
            Stages::Digital(Processor { sample_rate, biquads }) => {
                biquads.iter().map(|b| b.group_delay(frequency, *sample_rate)).sum()
            }
        };
        self.delay + filters
    }

    /// Poles: of an analogue chain in s [rad/s], of a digital one in z.
    pub fn poles(&self) -> Vec<Complex64> {
        match &self.stages {
            Stages::Analogue(sections) => sections.iter().flat_map(Section::poles).collect(),
            Stages::Digital(Processor { biquads, .. }) => biquads.iter().flat_map(Biquad::poles).collect(),
        }
    }

    /// True when what is put in dies away.
    pub fn is_stable(&self) -> bool {
        match &self.stages {
            Stages::Analogue(_) => self.poles().iter().all(|pole| pole.re < 0.0),
            Stages::Digital(Processor { biquads, .. }) => biquads.iter().all(Biquad::is_stable),
        }
    }

    /// True when no chain of the same level turns the phase less: no delay, normal polarity, and no zero in the right half-plane or outside
    /// the unit circle. Its phase then follows from its level.
    pub fn is_minimum_phase(&self) -> bool {
        let within = match &self.stages {
            Stages::Analogue(sections) => sections.iter().flat_map(Section::zeros).all(|zero| zero.re <= 0.0),
            Stages::Digital(Processor { biquads, .. }) => {
                let leads = biquads.iter().all(|b| b.b[0] != 0.0);
                leads && biquads.iter().flat_map(Biquad::zeros).all(|zero| zero.norm() <= 1.0 + UNIT_CIRCLE)
            }
        };
        within && self.gain > 0.0 && self.delay == 0.0
    }

    /// The sections as biquads, gain and delay left out: a digital chain's own, at its own rate; an analogue chain's through the bilinear
    /// transform at the `usual` sample rate [Hz].
    ///
    /// # Errors
    /// When a corner of an analogue chain is not below half the usual rate.
    pub fn biquads(&self, usual: f64) -> Result<Processor, FilterError> {
        let sections = match &self.stages {
            Stages::Digital(processor) => return Ok(processor.clone()),
            Stages::Analogue(sections) => sections,
        };
        if let Some(high) = sections.iter().find(|section| section.corner >= 0.5 * usual) {
            return Err(FilterError::AboveHalfTheRate { frequency: high.corner, sample_rate: usual });
        }
        let biquads = sections.iter().map(|section| section.bilinear(usual)).collect();
        Ok(Processor { sample_rate: usual, biquads })
    }
}

/// How far rounding may put a double zero that belongs on the unit circle.
const UNIT_CIRCLE: f64 = 1e-6;

/// The filters that have an analogue prototype, in the order high-pass, low-pass, equaliser.
fn sections(filters: &Filters) -> Vec<Section> {
    let mut sections = Vec::new();
    sections.extend(filters.high_pass.iter().flat_map(pass::high));
    sections.extend(filters.low_pass.iter().flat_map(pass::low));
    sections.extend(filters.equaliser.iter().map(equaliser::section));
    sections
}
