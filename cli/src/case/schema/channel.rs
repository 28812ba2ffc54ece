//! The table of an amplifier channel and its filters.

use super::Need::{Default, Optional, Required};
use super::tables::{POLARITIES, key, quantity};
use super::{Kind, Table, between, positive};
use crate::case::quantity::{FREQUENCY, LEVEL, RESISTANCE, TIME, VOLTAGE};

/// The words of `kind`.
const BANDS: &[&str] = &["peaking", "low shelf", "high shelf", "notch", "all pass"];
const AUDIBLE: &str =
    "a processor passes nothing above half its sample rate, and the range may go up to 20 kHz";

/// An amplifier output.
pub(super) static CHANNEL: Table = Table {
    name: "the channel",
    about: "An amplifier output: a voltage behind a resistance. Gain, delay and filters belong to a channel; an exciter that needs its own gets its own channel. Without `sample_rate` filters are analogue: exact functions of s. With it they are those of a signal processor at that rate: each analogue filter through the bilinear transform, its corner kept.",
    keys: &[
        key("name", Kind::Text, Required, "\"left\"", "Exciters and the driver name their channel by it."),
        key(
            "voltage",
            quantity(&VOLTAGE, positive(200.0)),
            Default("2.83 V"),
            "\"2.83 V\"",
            "RMS voltage at every frequency, before gain and filters.",
        ),
        key("gain", quantity(&LEVEL, between(-80.0, 40.0)), Default("0 dB"), "\"-3 dB\"", "Change of level."),
        key("delay", quantity(&TIME, between(0.0, 1.0)), Default("0 ms"), "\"2 ms\"", "Delay of the signal."),
        key(
            "source_resistance",
            quantity(&RESISTANCE, between(0.0, 1000.0)),
            Default("0 Ω"),
            "\"0.2 Ω\"",
            "Of amplifier output and cable together.",
        ),
        key(
            "wiring",
            Kind::Choice(&["parallel", "series"]),
            Default("parallel"),
            "\"series\"",
            "How the exciters of this channel are joined.",
        ),
        key(
            "polarity",
            Kind::Choice(POLARITIES),
            Default("normal"),
            "\"reversed\"",
            "`reversed`: turns all its exciters round.",
        ),
        key(
            "high_pass",
            Kind::Text,
            Optional("none"),
            "\"Butterworth 2 at 80 Hz\"",
            "Takes the bass away: Butterworth, Bessel or Linkwitz-Riley, its order (1 to 8, Linkwitz-Riley even; 6 dB per octave each), its corner. At the corner Butterworth and Bessel \
             are 3 dB down, Linkwitz-Riley 6 dB.",
        ),
        key(
            "low_pass",
            Kind::Text,
            Optional("none"),
            "\"Linkwitz-Riley 4 at 3 kHz\"",
            "Takes the treble away; written as `high_pass`. A Linkwitz-Riley pair at one corner adds up flat, with orders 2 and 6 if one of both is reversed.",
        ),
        key(
            "equaliser",
            Kind::Tables(&BAND),
            Optional("none"),
            "[[channel.equaliser]]",
            "One table for each band of a parametric equaliser.",
        ),
        key(
            "sample_rate",
            quantity(&FREQUENCY, between(44_100.0, 768_000.0).because(AUDIBLE)),
            Optional("the filters are analogue"),
            "\"48 kHz\"",
            "Of the signal processor whose filters these are.",
        ),
        key(
            "biquads",
            Kind::Biquads,
            Optional("none"),
            "[[0.98, -1.96, 0.98, -1.96, 0.9604]]",
            "Further sections of the signal processor at `sample_rate`, each b0, b1, b2, a1, a2 of H(z) = (b0 + b1 z⁻¹ + b2 z⁻²) / (1 + a1 z⁻¹ + a2 z⁻²). Where a tool writes the \
             recursion with + a1 y[n−1], turn the signs of its a1 and a2 round.",
        ),
    ],
};

/// A band of an equaliser.
static BAND: Table = Table {
    name: "the equaliser's band",
    about: "One band of a channel's parametric equaliser, under the [[channel]] it belongs to.",
    keys: &[
        key(
            "kind",
            Kind::Choice(BANDS),
            Default("peaking"),
            "\"low shelf\"",
            "`peaking`: a bell. `low shelf`, `high shelf`: a step below or above the frequency. `notch`: silence at it. `all pass`: turns the phase alone.",
        ),
        key(
            "frequency",
            quantity(&FREQUENCY, between(1.0, 100_000.0)),
            Required,
            "\"1.2 kHz\"",
            "Centre of a bell, notch or all-pass; where a shelf has half its gain in dB.",
        ),
        key(
            "gain",
            quantity(&LEVEL, between(-40.0, 40.0)),
            Optional("needed unless the band is a notch or an all-pass"),
            "\"-3 dB\"",
            "Of a bell at its centre, of a shelf far from its frequency.",
        ),
        key(
            "q",
            Kind::Number(between(0.1, 100.0)),
            Default("0.7071"),
            "1.4",
            "Quality factor. Of a bell: centre over the width between the frequencies of half the gain in dB; of a notch: over the width between the −3 dB frequencies. Shelves \
             overshoot above 0.7071.",
        ),
    ],
};
