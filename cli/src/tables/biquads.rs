//! Biquads as text, to be typed or pasted into a signal processor.

use panelwright_solver::filters::{FilterError, Processor};
use panelwright_solver::scene::Biquad;
use std::fmt::Write;

/// Sample rate [Hz] at which analogue filters are written down.
pub const USUAL_RATE: f64 = 48_000.0;

const CONVENTION: &str = "\
H(z) = (b0 + b1 z^-1 + b2 z^-2) / (1 + a1 z^-1 + a2 z^-2)
y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2]
A processor that adds a1 y[n-1] + a2 y[n-2] instead wants the lines \"negated a\".
The sections of a channel stand in series, in any order. Gain, polarity and delay of the channel are not in them.
Valid at the stated sample rate only.
";

/// The sections of channels, each with its name; 17 significant digits, which give every double-precision number back exactly.
pub fn biquads(channels: &[(&str, Result<Processor, FilterError>)]) -> String {
    let mut text = String::from(CONVENTION);
    for (name, processor) in channels {
        text += &match processor {
            Ok(processor) => sections(name, processor),
            Err(error) => format!("\nchannel {name}: no biquads, {error}\n"),
        };
    }
    text
}

fn sections(name: &str, processor: &Processor) -> String {
    let mut text = format!("\nchannel {name}, sample rate {} Hz\n", processor.sample_rate);
    for (i, biquad) in processor.biquads.iter().enumerate() {
        let written = write!(text, "section {}\n{}", i + 1, lines(biquad));
        debug_assert!(written.is_ok(), "writing to a String cannot fail");
    }
    text
}

fn lines(Biquad { b, a }: &Biquad) -> String {
    let named = |name: &str, value: f64| format!("  {name} = {}\n", exact(value));
    let forward: String = ["b0", "b1", "b2"].iter().zip(b).map(|(name, &value)| named(name, value)).collect();
    let back: String = ["a1", "a2"].iter().zip(a).map(|(name, &value)| named(name, value)).collect();
    format!("{forward}{back}  negated a: {}, {}\n", exact(-a[0]), exact(-a[1]))
}

/// 17 significant digits; no zero is negative.
fn exact(value: f64) -> String {
    format!("{:.16e}", value + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_digit_and_both_signs_are_written() {
        let biquad = Biquad { b: [1.0 / 3.0, -2.0 / 3.0, 0.0], a: [-1.9, 0.1 + 0.2] };
        let processor = Processor { sample_rate: 48e3, biquads: vec![biquad] };
        let text = biquads(&[("left", Ok(processor))]);
        assert!(text.contains("channel left, sample rate 48000 Hz\nsection 1\n"), "{text}");
        let value = |name: &str| -> f64 {
            let line = text.lines().find_map(|line| line.trim().strip_prefix(name)).expect("has the line");
            line.trim_start_matches(" = ").parse().expect("a number")
        };
        assert_eq!([value("b0"), value("b1"), value("b2")], biquad.b);
        assert_eq!([value("a1"), value("a2")], biquad.a);
        assert!(text.contains("negated a: 1.8999999999999999e0, -3.0000000000000004e-1"), "{text}");
        assert!(!text.contains("= -0.0"), "{text}");
    }

    #[test]
    fn what_has_no_biquads_says_why() {
        let error = FilterError::AboveHalfTheRate { frequency: 30e3, sample_rate: 48e3 };
        let text = biquads(&[("left", Err(error))]);
        assert!(
            text.contains("channel left: no biquads, 30000 Hz is not below half the sample rate"),
            "{text}"
        );
    }
}
