//! The table of a measured response.

use super::Need::{Default, Optional, Required};
use super::tables::{key, quantity};
use super::{Kind, Table, between, positive};
use crate::case::quantity::{FREQUENCY, PRESSURE, TIME, VOLTAGE};

/// What a microphone heard of one part.
pub static MEASURED: Table = Table {
    name: "the measured response",
    about: "What a microphone at a seat heard of the panel or of a driver by itself; `panelwright blend` sums it in place of what it would compute. Measure without crossover, gain and \
            delay: those of the case come on top. (Where the panel's channels differ, measure it with them.) Far fields, acoustic centres, ratings and seats without a measurement stay \
            computed. The file is a text table or a WAV file beside the case file. A table has lines of frequency in Hz, level in dB re 20 µPa and phase in degrees, in columns parted by \
            spaces, tabs, semicolons or commas, with decimal points or commas; heading lines start with a letter or sign. A WAV file is an impulse response of one channel. Frequencies that a \
            file does not cover are left out of everything; nothing is guessed.",
    keys: &[
        key("part", Kind::Text, Required, "\"panel\"", "`panel`, or the name of a driver."),
        key(
            "surround",
            Kind::Text,
            Optional("needed if the driver has several surrounds"),
            "\"bare\"",
            "The surround that the driver was measured with; with others it stays computed.",
        ),
        key("seat", Kind::Text, Required, "\"counter\"", "Name of the seat where the microphone was."),
        key("file", Kind::Text, Required, "\"panel-at-the-counter.txt\"", "The text table or WAV file."),
        key(
            "voltage",
            quantity(&VOLTAGE, positive(200.0)),
            Optional("the voltage of the part's channel"),
            "\"1 V\"",
            "RMS voltage across the part while it was measured, or that its levels are for.",
        ),
        key(
            "time_zero",
            quantity(&TIME, between(-10.0, 10.0)),
            Default("0 ms"),
            "\"3.5 ms\"",
            "How long after the signal enters the channel time zero of the file is: its phase, or its first sample, counts from then. Where a time of flight was taken out of the phase, \
             that time. Negative where the recording starts before the signal.",
        ),
        key(
            "full_scale",
            quantity(&PRESSURE, positive(1e6)),
            Optional("needed with a WAV file"),
            "\"0.021 Pa\"",
            "Of a WAV file: the pressure that a sample at full scale stands for in the impulse response, per sample: pressure at any frequency is the sum of all samples, each turned by its phase, at \
             `voltage`. `impulses.csv` beside the WAV files of `blend` states it.",
        ),
        key(
            "from",
            quantity(&FREQUENCY, positive(100_000.0)),
            Optional("the lowest of the file; of a WAV file one over its length"),
            "\"300 Hz\"",
            "The measurement is trusted from here, above what room and window let it tell.",
        ),
        key(
            "to",
            quantity(&FREQUENCY, positive(100_000.0)),
            Optional("the highest of the file; of a WAV file 0.45 times its sample rate"),
            "\"12 kHz\"",
            "The measurement is trusted to here.",
        ),
    ],
};
