//! Crossover and equaliser of a channel.

use super::errors::says;
use super::{SMALL, read, refused};
use crate::case::describe;
use panelwright_solver::scene::{Alignment, BandShape, Filters, PassFilter, Realisation};

/// The small case on one channel with these lines.
fn with(lines: &str) -> String {
    format!("{SMALL}\n[[channel]]\nname = \"a\"\n{lines}\n")
}

fn filters(lines: &str) -> Filters {
    read(&with(lines)).unwrap_or_else(|e| panic!("{}", super::shown(&e))).scene.channels[0].filters.clone()
}

#[test]
fn every_way_of_writing_a_pass_is_read() {
    for (text, alignment, order, corner) in [
        ("Linkwitz-Riley 4 at 2 kHz", Alignment::LinkwitzRiley, 4, 2000.0),
        ("linkwitz riley 2 at 800 Hz", Alignment::LinkwitzRiley, 2, 800.0),
        ("LR4 at 2.5kHz", Alignment::LinkwitzRiley, 4, 2500.0),
        ("Bessel 3 at 90 Hz", Alignment::Bessel, 3, 90.0),
        ("butterworth  8 at 1 kHz", Alignment::Butterworth, 8, 1000.0),
    ] {
        let expected = Some(PassFilter { alignment, order, corner });
        assert_eq!(filters(&format!("low_pass = \"{text}\"")).low_pass, expected, "{text}");
        assert_eq!(filters(&format!("high_pass = \"{text}\"")).high_pass, expected, "{text}");
    }
    assert_eq!(filters(""), Filters::default());
}

#[test]
fn bands_and_biquads_reach_the_channel() {
    let found = filters(
        "sample_rate = \"96 kHz\"\nbiquads = [[1, 0, 0, 0, 0], [0.5, 0.5, 0.0, -0.25, 0.1]]\n\
         [[channel.equaliser]]\nfrequency = \"1.2 kHz\"\ngain = \"-3 dB\"\nq = 1.4\n\
         [[channel.equaliser]]\nkind = \"low shelf\"\nfrequency = \"80 Hz\"\ngain = \"4 dB\"\n\
         [[channel.equaliser]]\nkind = \"high-shelf\"\nfrequency = \"8 kHz\"\ngain = \"1 dB\"\n\
         [[channel.equaliser]]\nkind = \"notch\"\nfrequency = \"50 Hz\"\nq = 8\n\
         [[channel.equaliser]]\nkind = \"all pass\"\nfrequency = \"2 kHz\"",
    );
    let Realisation::Digital { sample_rate, biquads } = found.made else { panic!("{:?}", found.made) };
    assert_eq!((sample_rate, biquads.len()), (96e3, 2));
    assert_eq!((biquads[1].b, biquads[1].a), ([0.5, 0.5, 0.0], [-0.25, 0.1]));
    let shapes: Vec<_> = found.equaliser.iter().map(|band| (band.frequency, band.shape)).collect();
    #[allow(clippy::approx_constant, reason = "the default as the schema writes it")]
    let q = 0.7071;
    assert_eq!(
        shapes,
        [
            (1200.0, BandShape::Peaking { gain_db: -3.0, q: 1.4 }),
            (80.0, BandShape::LowShelf { gain_db: 4.0, q }),
            (8000.0, BandShape::HighShelf { gain_db: 1.0, q }),
            (50.0, BandShape::Notch { q: 8.0 }),
            (2000.0, BandShape::AllPass { q }),
        ]
    );
}

#[test]
fn check_says_what_the_channel_does() {
    let text = with(
        "sample_rate = \"48 kHz\"\nhigh_pass = \"LR4 at 80 Hz\"\nbiquads = [[1, 0, 0, 0, 0]]\n\
         [[channel.equaliser]]\nfrequency = \"1.2 kHz\"\ngain = \"-3 dB\"",
    );
    let facts = describe(&read(&text).expect("loads"));
    let channel = facts.iter().find(|fact| fact.subject == "channel").expect("has one");
    let expected = "\"a\", 2.83 V, high-pass Linkwitz-Riley 4 at 80 Hz, bell -3 dB at 1.2 kHz (Q 0.7071), one biquad, in a processor at 48 kHz: \"one\"";
    assert_eq!(channel.text, expected);
}

#[test]
fn passes_that_cannot_be_read_say_what_is_missing() {
    let low = |text: &str| refused(&with(&format!("low_pass = \"{text}\"")));
    says(
        &low("Butterworth 4"),
        &["[my.toml:19:12]", "`low_pass` cannot be \"Butterworth 4\"", "the word \"at\" between"],
    );
    says(&low("Butterworth at 2 kHz"), &["the order is missing", "Linkwitz-Riley 4 at 2 kHz"]);
    says(
        &low("Elliptic 4 at 2 kHz"),
        &["no filter is called \"Elliptic\"", "Butterworth, Bessel or Linkwitz-Riley"],
    );
    says(&low("Bessel 4 at 2"), &["the corner: the unit is missing"]);
    says(&low("Bessel 4 at 2 mm"), &["the corner:", "a unit of a length"]);
}

#[test]
fn orders_and_corners_that_cannot_be_made() {
    let low = |text: &str, more: &str| refused(&with(&format!("low_pass = \"{text}\"\n{more}")));
    says(&low("Bessel 9 at 2 kHz", ""), &["order 9 is not offered", "write an order from 1 to 8"]);
    says(&low("Bessel 0 at 2 kHz", ""), &["order 0 is not offered"]);
    says(&low("LR3 at 2 kHz", ""), &["its order is even, not 3", "write Linkwitz-Riley 4, or Butterworth 3"]);
    says(&low("Bessel 2 at 0 Hz", ""), &["corner must be more than 0"]);
    let high = low("Bessel 2 at 30 kHz", "sample_rate = \"48 kHz\"");
    says(
        &high,
        &["[my.toml:19:12]", "30 kHz is not below half the sample rate of 48 kHz", "nothing above 24 kHz"],
    );
    let band = "[[channel.equaliser]]\nfrequency = \"24 kHz\"\ngain = \"1 dB\"";
    says(
        &refused(&with(&format!("sample_rate = \"48 kHz\"\n{band}"))),
        &["[my.toml:21:13]", "24 kHz is not below"],
    );
}

#[test]
fn biquads_that_cannot_be_used() {
    let biquads = |list: &str| refused(&with(&format!("sample_rate = \"48 kHz\"\nbiquads = {list}")));
    let growing = biquads("[[1, 0, 0, 0, 0], [1, 0, 0, 1.96, -0.9604]]");
    says(&growing, &["[my.toml:20:29]", "is unstable", "it would howl"]);
    let turned = biquads("[[1, -2, 1, 1.8, -0.9]]");
    says(&turned, &["with the signs of a1 and a2 turned round it is stable: [1, -2, 1, -1.8, 0.9]"]);
    says(&biquads("[[1, 0, 0, 0]]"), &["a biquad is a list of five numbers", "4 in it", "divide all by a0"]);
    says(&biquads("[[1, 0, 0, 0, 0], 3]"), &["this is something else"]);
    says(&biquads("[[1, 0, 0, \"0\", 0]]"), &["a biquad is a list of five numbers"]);
    says(&biquads("[]"), &["`biquads` is empty"]);
    says(
        &refused(&with("biquads = [[1, 0, 0, 0, 0]]")),
        &["without their sample rate", "add a line: sample_rate"],
    );
    says(&refused(&with("sample_rate = \"8 kHz\"")), &["`sample_rate` cannot be", "44.1 kHz"]);
}

#[test]
fn bands_that_miss_something_or_have_too_much() {
    let band =
        |lines: &str| refused(&with(&format!("[[channel.equaliser]]\nfrequency = \"1 kHz\"\n{lines}")));
    says(&band(""), &["which gain has this band of the kind \"peaking\"?", "gain = \"-3 dB\""]);
    says(
        &band("kind = \"notch\"\ngain = \"3 dB\""),
        &["a band of the kind \"notch\" has no gain", "leave this line out"],
    );
    says(&band("gain = \"3 dB\"\nkind = \"bell\""), &["`kind` cannot be \"bell\""]);
    says(&band("gain = \"3 dB\"\nq = 0"), &["`q` cannot be 0"]);
}

#[test]
fn a_high_pass_above_the_low_pass_is_remarked_on() {
    let text = with("high_pass = \"LR4 at 2 kHz\"\nlow_pass = \"LR4 at 500 Hz\"");
    let warnings = read(&text).expect("loads").warnings;
    assert_eq!(warnings.len(), 1);
    assert_eq!(warnings[0].message, "the low-pass at 500 Hz lies below the high-pass at 2 kHz");
    let fine = with("high_pass = \"LR4 at 200 Hz\"\nlow_pass = \"LR4 at 500 Hz\"");
    assert_eq!(read(&fine).expect("loads").warnings, []);
}
