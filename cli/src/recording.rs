//! A recording of the user's.

use crate::failure::Failure;
use hound::{SampleFormat, WavReader};
use std::path::Path;

/// Sample rates [Hz] that are taken.
const RATES: std::ops::RangeInclusive<u32> = 8_000..=192_000;
/// Longest recording [s].
const LONGEST: f64 = 1200.0;

/// Its channels added up.
pub struct Recording {
    /// Samples, 1 at full scale.
    pub samples: Vec<f64>,
    /// Sample rate [Hz].
    pub sample_rate: u32,
}

/// Reads a WAV file: whole numbers of up to 32 bits, or floating-point numbers.
///
/// # Errors
/// When it cannot be read, is silent or broken, or its rate or length is out of what is taken.
pub fn read(path: &Path) -> Result<Recording, Failure> {
    let wrong = |what: String, help: &str| Failure::input(format!("{}: {what}", path.display()), help);
    let mut reader = WavReader::open(path).map_err(|error| {
        wrong(format!("cannot be read as a WAV file: {error}"), "Export the recording as WAV, 16 or 24 bits.")
    })?;
    let spec = reader.spec();
    if !RATES.contains(&spec.sample_rate) {
        let what = format!("has a sample rate of {} Hz", spec.sample_rate);
        return Err(wrong(what, "Export it with 44.1 or 48 kHz; 8 to 192 kHz are taken."));
    }
    let seconds = f64::from(reader.duration()) / f64::from(spec.sample_rate);
    if seconds > LONGEST {
        return Err(wrong(
            format!("is {:.0} minutes long", seconds / 60.0),
            "Cut out a passage; 20 minutes are taken at most.",
        ));
    }
    let all: Result<Vec<f64>, hound::Error> = match spec.sample_format {
        SampleFormat::Float => reader.samples::<f32>().map(|sample| sample.map(f64::from)).collect(),
        SampleFormat::Int => {
            let full = 2f64.powi(i32::from(spec.bits_per_sample) - 1);
            reader.samples::<i32>().map(|sample| sample.map(|value| f64::from(value) / full)).collect()
        }
    };
    let all = all.map_err(|error| wrong(format!("breaks off: {error}"), "Export the recording anew."))?;
    let samples: Vec<f64> =
        all.chunks_exact(usize::from(spec.channels.max(1))).map(|frame| frame.iter().sum()).collect();
    match samples.iter().all(|sample| sample.is_finite()) && samples.iter().any(|sample| *sample != 0.0) {
        true => Ok(Recording { samples, sample_rate: spec.sample_rate }),
        false => Err(wrong("has nothing to hear in it".into(), "Choose a recording with sound.")),
    }
}
