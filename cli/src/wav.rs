//! Sound files: one channel, 32-bit floating-point samples.

use hound::{SampleFormat, WavSpec, WavWriter};
use std::io::Cursor;

/// The bytes of a WAV file of `samples` at a sample rate [Hz], scaled so that the largest is ½: −6 dB of full scale.
///
/// # Errors
/// When there are more samples than such a file holds.
pub fn scaled(samples: &[f64], sample_rate: u32) -> Result<Vec<u8>, hound::Error> {
    let full = full_scale(samples);
    bytes(samples, sample_rate, if full > 0.0 { 1.0 / full } else { 0.0 })
}

/// The bytes of a WAV file of `samples` times `scale`.
///
/// # Errors
/// When there are more samples than such a file holds.
pub fn bytes(samples: &[f64], sample_rate: u32, scale: f64) -> Result<Vec<u8>, hound::Error> {
    let spec = WavSpec { channels: 1, sample_rate, bits_per_sample: 32, sample_format: SampleFormat::Float };
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = WavWriter::new(&mut bytes, spec)?;
    for sample in samples {
        writer.write_sample((scale * sample) as f32)?;
    }
    writer.finalize()?;
    Ok(bytes.into_inner())
}

/// The value of a sample at full scale of that file: twice the largest.
pub fn full_scale(samples: &[f64]) -> f64 {
    2.0 * samples.iter().fold(0.0, |most: f64, x| most.max(x.abs()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn samples_come_back_scaled() {
        let bytes = scaled(&[0.0, 3.0, -6.0], 48_000).expect("few samples");
        let mut reader = hound::WavReader::new(Cursor::new(bytes)).expect("a WAV file");
        assert_eq!((reader.spec().sample_rate, reader.spec().channels), (48_000, 1));
        let back: Vec<f32> = reader.samples().collect::<Result<_, _>>().expect("samples");
        assert_eq!(back, [0.0, 0.25, -0.5]);
        assert!(scaled(&[], 48_000).is_ok() && scaled(&[0.0], 48_000).is_ok());
    }
}
