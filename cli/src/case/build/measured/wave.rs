//! Impulse responses from WAV files.

use hound::{SampleFormat, WavReader};
use num_complex::Complex64;
use panelwright_solver::filters::Impulse;
use rayon::prelude::*;
use std::io::Cursor;

/// Sample rates [Hz] that are taken.
const RATES: std::ops::RangeInclusive<u32> = 4_000..=400_000;
/// Most samples.
const SAMPLES: usize = 1 << 21;
/// Highest frequency that is believed, in sample rates.
const HIGHEST: f64 = 0.45;

/// An impulse response of one channel, 1 at full scale.
pub struct Wave {
    samples: Vec<f64>,
    sample_rate: f64,
}

/// The impulse response in the bytes of a WAV file of whole numbers of up to 32 bits or of 32-bit floating-point numbers.
///
/// # Errors
/// What is wrong, and what to do.
pub fn read(bytes: &[u8]) -> Result<Wave, [String; 2]> {
    let wrong = |what: String, help: &str| Err([what, help.to_owned()]);
    let export = "export the impulse response as WAV: one channel, 16 to 32 bits";
    let mut reader = match WavReader::new(Cursor::new(bytes)) {
        Ok(reader) => reader,
        Err(error) => return wrong(format!("cannot be read as a WAV file: {error}"), export),
    };
    let spec = reader.spec();
    if spec.channels != 1 {
        return wrong(
            format!("has {} channels", spec.channels),
            "export the channel of the microphone alone",
        );
    }
    if !RATES.contains(&spec.sample_rate) {
        return wrong(format!("has a sample rate of {} Hz", spec.sample_rate), "4 to 400 kHz are taken");
    }
    let read: Result<Vec<f64>, hound::Error> = match spec.sample_format {
        SampleFormat::Float => reader.samples::<f32>().take(SAMPLES + 1).map(|x| x.map(f64::from)).collect(),
        SampleFormat::Int => {
            let full = 2f64.powi(i32::from(spec.bits_per_sample) - 1);
            reader
                .samples::<i32>()
                .take(SAMPLES + 1)
                .map(|x| x.map(|value| f64::from(value) / full))
                .collect()
        }
    };
    let samples = match read {
        Ok(samples) => samples,
        Err(error) => return wrong(format!("breaks off: {error}"), export),
    };
    if let Some(at) = samples.iter().position(|sample| !sample.is_finite()) {
        return wrong(format!("has no number at sample {}", at + 1), export);
    }
    if samples.len() > SAMPLES {
        return wrong(format!("has more than {SAMPLES} samples"), "cut it behind the decay of the part");
    }
    if samples.iter().all(|sample| *sample == 0.0) {
        return wrong("is silent".into(), export);
    }
    Ok(Wave { samples, sample_rate: f64::from(spec.sample_rate) })
}

impl Wave {
    /// Lowest and highest frequency [Hz] that it tells: one period in its length, and what is well below half the sample rate.
    pub fn range(&self) -> [f64; 2] {
        [self.sample_rate / self.samples.len() as f64, HIGHEST * self.sample_rate]
    }

    /// Its transform at `frequencies` [Hz], time zero at its first sample.
    pub fn at(&self, frequencies: &[f64]) -> Vec<Complex64> {
        let impulse = Impulse {
            sample_rate: self.sample_rate,
            first: 0,
            fraction: 0.0,
            samples: self.samples.clone(),
            early: 0.0,
            late: 0.0,
        };
        frequencies.par_iter().map(|&f| impulse.response(f)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hound::{WavSpec, WavWriter};
    use proptest::prelude::*;

    fn written(bits: u16, channels: u16, samples: &[f64]) -> Vec<u8> {
        let float = bits == 0;
        let sample_format = if float { SampleFormat::Float } else { SampleFormat::Int };
        let bits_per_sample = if float { 32 } else { bits };
        let spec = WavSpec { channels, sample_rate: 44_100, bits_per_sample, sample_format };
        let mut bytes = Cursor::new(vec![]);
        let mut writer = WavWriter::new(&mut bytes, spec).expect("writes");
        for x in samples {
            match float {
                true => writer.write_sample(*x as f32).expect("writes"),
                false => writer.write_sample((x * 2f64.powi(i32::from(bits) - 1)) as i32).expect("writes"),
            }
        }
        writer.finalize().expect("writes");
        bytes.into_inner()
    }

    /// A click of one half after ten samples: ½ at every frequency, turned by ten samples.
    #[test]
    fn a_late_click_is_flat_and_turned_in_every_format() {
        let mut samples = vec![0.0; 441];
        samples[10] = 0.5;
        for bits in [16, 24, 32, 0] {
            let wave = read(&written(bits, 1, &samples)).unwrap_or_else(|wrong| panic!("{wrong:?}"));
            assert_eq!(wave.range(), [100.0, 0.45 * 44_100.0]);
            for (value, f) in wave.at(&[100.0, 777.7, 9000.0]).iter().zip([100.0, 777.7, 9000.0]) {
                let expected = Complex64::from_polar(0.5, -std::f64::consts::TAU * f * 10.0 / 44_100.0);
                assert!((value - expected).norm() < 1e-9, "{bits} bits, {f} Hz: {value}");
            }
        }
    }

    #[test]
    fn what_is_no_impulse_response_is_refused() {
        let said = |bytes: &[u8]| read(bytes).map(|_| ()).expect_err("must be refused")[0].clone();
        assert!(said(&written(16, 2, &[0.5, 0.5])).contains("2 channels"));
        assert!(said(&written(16, 1, &[0.0; 9])).contains("silent"));
        assert!(said(&written(0, 1, &[0.0, f64::NAN])).contains("no number at sample 2"));
        assert!(said(b"RIFF").contains("cannot be read"));
        let whole = written(16, 1, &[0.5; 99]);
        assert!(said(&whole[..whole.len() - 31]).contains("breaks off"));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(3000))]

        #[test]
        fn broken_files_are_answered(bits in prop::sample::select(vec![0u16, 16, 24]), at in 0usize..80, byte in any::<u8>(), cut in 0usize..120) {
            let mut bytes = written(bits, 1, &[0.5; 20]);
            let length = bytes.len();
            bytes[at % length] = byte;
            bytes.truncate(length.saturating_sub(cut));
            let _ = read(&bytes).map(|wave| wave.at(&[100.0]));
        }
    }
}
