//! What shapes a channel's signal on its way to the amplifier: crossover, equaliser, raw biquads.

use serde::Serialize;

/// The filters of one channel, all in series. [`Default`] is none.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Filters {
    /// What they are made of.
    pub made: Realisation,
    /// Takes the bass away.
    pub high_pass: Option<PassFilter>,
    /// Takes the treble away.
    pub low_pass: Option<PassFilter>,
    /// Bands of a parametric equaliser.
    pub equaliser: Vec<EqualiserBand>,
}

/// What filters are made of.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub enum Realisation {
    /// Resistors, coils, capacitors: rational functions of s.
    #[default]
    Analogue,
    /// A signal processor: every filter is its analogue prototype through the bilinear transform, the corner prewarped.
    Digital {
        /// Sample rate [Hz].
        sample_rate: f64,
        /// Further sections given by their coefficients at that rate.
        biquads: Vec<Biquad>,
    },
}

/// A high-pass or low-pass of standard shape.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PassFilter {
    /// Its shape.
    pub alignment: Alignment,
    /// Order, 1 to 8; Linkwitz–Riley even. The slope far from the corner is 6 dB per octave and order.
    pub order: usize,
    /// Corner [Hz]: −3.01 dB for Butterworth and Bessel, −6.02 dB for Linkwitz–Riley.
    pub corner: f64,
}

/// Shape of a high-pass or low-pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Alignment {
    /// Maximally flat level.
    Butterworth,
    /// Maximally flat group delay of the low-pass.
    Bessel,
    /// A Butterworth of half the order twice: high-pass and low-pass are in phase (opposite, when half the order is odd) and add up flat.
    LinkwitzRiley,
}

/// One band of a parametric equaliser.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct EqualiserBand {
    /// Centre of a bell, notch or all-pass; the frequency at which a shelf has half its gain in dB [Hz].
    pub frequency: f64,
    /// What it does there.
    pub shape: BandShape,
}

/// Shape of an equaliser's band.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum BandShape {
    /// A bell.
    Peaking {
        /// Gain at the centre [dB].
        gain_db: f64,
        /// Centre frequency over the width between the frequencies of half the gain in dB.
        q: f64,
    },
    /// A step below the frequency.
    LowShelf {
        /// Gain far below [dB].
        gain_db: f64,
        /// Quality factor; 1/√2 is the steepest without overshoot.
        q: f64,
    },
    /// A step above the frequency.
    HighShelf {
        /// Gain far above [dB].
        gain_db: f64,
        /// Quality factor; 1/√2 is the steepest without overshoot.
        q: f64,
    },
    /// Silence at the centre.
    Notch {
        /// Centre frequency over the width between the −3 dB frequencies.
        q: f64,
    },
    /// Phase alone, from 0 over −180° at the centre to −360°.
    AllPass {
        /// Quality factor: the larger, the more sudden the turn.
        q: f64,
    },
}

/// A digital section `H(z) = (b0 + b1 z⁻¹ + b2 z⁻²) / (1 + a1 z⁻¹ + a2 z⁻²)`, that is
/// `y[n] = b0 x[n] + b1 x[n−1] + b2 x[n−2] − a1 y[n−1] − a2 y[n−2]`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Biquad {
    /// b0, b1, b2.
    pub b: [f64; 3],
    /// a1, a2.
    pub a: [f64; 2],
}
