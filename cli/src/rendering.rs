//! A recording as the seats would hear it, every variant equally loud.
//!
//! ```text
//! Recording, Click ─▶ convolved ─▶ loudness ─▶ one level for all ─▶ heard-*.wav, heard.csv
//! ```

use crate::failure::Failure;
use crate::file_name::{FileNames, file_name};
use crate::recording::Recording;
use crate::results::ResultsFolder;
use crate::wav;
use ebur128::{EbuR128, Mode};
use panelwright_solver::blend::Click;
use panelwright_solver::filters::convolved;
use rayon::prelude::*;

/// Largest sample of all files, over full scale: −3 dB.
const PEAK: f64 = 0.708;

/// One file.
pub struct Heard {
    /// Name of the file.
    pub file: String,
    /// Name of the surround.
    pub surround: String,
    /// Name of the seat.
    pub seat: String,
    /// True with the advised crossover.
    pub advised: bool,
    /// How much louder than the first file it would be at the same voltage, before all were made equally loud [dB].
    pub louder: f64,
}

/// A recording through a click.
struct Sound<'a> {
    click: &'a Click,
    samples: Vec<f64>,
    /// Loudness [dB].
    level: f64,
}

/// Writes a file for every click that there is, all equally loud, the largest sample of all 3 dB below full scale.
///
/// # Errors
/// When nothing can be heard, or a file cannot be written.
pub fn write(folder: &ResultsFolder, recording: &Recording, clicks: &[Click]) -> Result<Vec<Heard>, Failure> {
    let sounds: Vec<Sound> = clicks.par_iter().filter_map(|click| Sound::of(click, recording)).collect();
    let Some(first) = sounds.first() else {
        return Err(Failure::input(
            "nothing of the recording can be heard through the prediction",
            "Choose a recording with sound in the range of the case, or see the doubts about impulse responses.",
        ));
    };
    let common = PEAK / sounds.iter().map(Sound::peak).fold(0.0, f64::max);
    let mut names = FileNames::default();
    let write = |sound: &Sound| {
        let Sound { click, samples, level } = sound;
        let file = names.free(&name(click), "wav");
        let bytes = wav::bytes(samples, recording.sample_rate, common * amplitude(-level));
        folder.write_bytes(&file, &bytes.map_err(Failure::ours)?)?;
        let (surround, seat) = (click.surround.clone(), click.seat.clone());
        Ok(Heard { file, surround, seat, advised: click.advised, louder: level - first.level })
    };
    sounds.iter().map(write).collect()
}

impl<'a> Sound<'a> {
    /// Nothing without an impulse response, or when it is silent.
    fn of(click: &'a Click, recording: &Recording) -> Option<Self> {
        let impulse = click.impulse.as_ref().ok()?;
        let samples = convolved(&recording.samples, &impulse.samples);
        let level = loudness(&samples, recording.sample_rate);
        level.is_finite().then_some(Self { click, samples, level })
    }

    /// The largest sample at a loudness of 0 dB.
    fn peak(&self) -> f64 {
        self.samples.iter().fold(0.0, |most: f64, x| most.max(x.abs())) * amplitude(-self.level)
    }
}

/// What the files are, and how to listen to them.
pub fn words(heard: &[Heard], frequencies: &[f64]) -> String {
    let ends = [frequencies.first(), frequencies.last()]
        .map(|f| f.map_or_else(String::new, |f| format!("{f:.0} Hz")));
    format!(
        "The recording through every impulse response there is, in heard-*.wav ({}): all equally loud (ITU-R BS.1770) though they would not be; heard.csv says by how \
         much. At most {} to {} is in them, the room is not. Turn the volume right down before the first one, then up slowly: peaks come without warning.",
        heard.len(),
        ends[0],
        ends[1]
    )
}

/// Name of a file without its ending.
fn name(click: &Click) -> String {
    let way = if click.advised { "advised" } else { "as-in-the-case" };
    format!("heard-{}-{way}-at-{}", file_name(&click.surround), file_name(&click.seat))
}

fn amplitude(decibels: f64) -> f64 {
    10f64.powf(decibels / 20.0)
}

/// Loudness [dB] by ITU-R BS.1770-4, gated, with silence after what is shorter than a second; only differences count here. Minus infinity for silence.
fn loudness(samples: &[f64], sample_rate: u32) -> f64 {
    // The scale keeps quiet sounds above the absolute gate of the recommendation, −70 dB.
    let largest = samples.iter().fold(0.0, |most: f64, x| most.max(x.abs()));
    if largest == 0.0 {
        return f64::NEG_INFINITY;
    }
    let mut scaled: Vec<f64> = samples.iter().map(|x| x / largest).collect();
    scaled.resize(scaled.len().max(sample_rate as usize), 0.0);
    let measured = || {
        let mut meter = EbuR128::new(1, sample_rate, Mode::I).ok()?;
        meter.add_frames_f64(&scaled).ok()?;
        meter.loudness_global().ok()
    };
    measured().map_or(f64::NEG_INFINITY, |level| level + 20.0 * largest.log10())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A tone of 1 kHz at full scale in one channel has −3.01 LKFS by the recommendation.
    #[test]
    fn a_tone_has_the_loudness_of_the_recommendation() {
        let tone = |scale: f64| -> Vec<f64> {
            (0..96_000).map(|n| scale * (std::f64::consts::TAU * 997.0 * f64::from(n) / 48e3).sin()).collect()
        };
        assert!((loudness(&tone(1.0), 48_000) + 3.01).abs() < 0.02, "{}", loudness(&tone(1.0), 48_000));
        let far_below_the_gate = loudness(&tone(1e-5), 48_000);
        assert!((far_below_the_gate + 103.01).abs() < 0.02, "{far_below_the_gate}");
        let [soft, loud] = [0.1, 1.0].map(|scale| loudness(&tone(scale)[..2000], 48_000));
        assert!(soft.is_finite() && (loud - soft - 20.0).abs() < 1e-6, "{soft} {loud}");
        assert_eq!(loudness(&[0.0; 100], 48_000), f64::NEG_INFINITY);
    }
}
