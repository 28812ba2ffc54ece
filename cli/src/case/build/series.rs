//! `[range]` → frequencies.

use crate::case::problem::Problem;
use crate::case::quantity::FREQUENCY;
use crate::case::section::Section;

/// Frequencies of the range; `None` with a problem if there is none.
pub fn build(range: &Section, problems: &mut Vec<Problem>) -> Option<Vec<f64>> {
    let (from, to) = (range.number("from")?, range.number("to")?);
    if from >= to {
        let at = if range.mentions("from") { "from" } else { "to" };
        let problem = Problem::error(range.place(at), "the frequency range is upside down");
        let (low, high) = (FREQUENCY.show(to, "Hz"), FREQUENCY.show(from, "Hz"));
        let help = if from > to {
            format!("write from = \"{low}\", to = \"{high}\"")
        } else {
            "`to` must be higher than `from`".into()
        };
        problems.push(problem.because(format!("from {high} to {low}")).instead(help));
        return None;
    }
    let series = midband_frequencies(from, to, range.number("per_octave")?);
    if series.is_empty() {
        let problem = Problem::error(range.place("to"), "no frequency lies in the range");
        problems.push(problem.because("too narrow").instead("widen the range or raise `per_octave`"));
        return None;
    }
    Some(series)
}

/// Exact mid-band frequencies [Hz] of 1/b-octave bands from `from` to `to` [Hz]:
/// `f = 1000 G^(x/b)` for odd b, `f = 1000 G^((2x+1)/2b)` for even b, with `G = 10^(3/10)`
/// (IEC 61260-1:2014, equations 1 to 3). For b a multiple of 3 none of them lies on the edge of an octave or third-octave band.
pub fn midband_frequencies(from: f64, to: f64, per_octave: f64) -> Vec<f64> {
    let octave = 10f64.powf(0.3);
    let shift = if per_octave % 2.0 == 0.0 { 0.5 } else { 0.0 };
    let index = |frequency: f64| per_octave * (frequency / 1000.0).ln() / octave.ln() - shift;
    // A limit that is itself a mid-band frequency belongs in, rounding or not.
    let (first, last) = ((index(from) - 1e-9).ceil() as i64, (index(to) + 1e-9).floor() as i64);
    (first..=last).map(|x| 1000.0 * octave.powf((x as f64 + shift) / per_octave)).collect()
}

#[cfg(test)]
mod tests {
    use super::midband_frequencies;
    use approx::assert_relative_eq;

    #[test]
    fn octaves_and_thirds_are_those_of_the_standard() {
        // Nominal 31.5 … 16000 Hz; exact ones from IEC 61260-1:2014, annex E: 1000 · 10^(3x/10).
        let octaves = midband_frequencies(31.0, 16_000.0, 1.0);
        assert_eq!(octaves.len(), 10);
        assert_relative_eq!(octaves[0], 31.622_776_6, max_relative = 1e-9);
        assert_relative_eq!(octaves[9], 15_848.931_92, max_relative = 1e-9);
        let thirds = midband_frequencies(1000.0, 2000.0, 3.0);
        assert_eq!(thirds.len(), 4);
        assert_relative_eq!(thirds[1], 1_258.925_412, max_relative = 1e-9);
    }

    #[test]
    fn even_fractions_are_shifted_by_half_a_step() {
        let half = midband_frequencies(900.0, 1500.0, 2.0);
        assert_relative_eq!(half[0], 1000.0 * 10f64.powf(0.3 / 4.0), max_relative = 1e-12);
    }

    #[test]
    fn no_frequency_lies_on_the_edge_of_a_third_of_an_octave() {
        let step = 10f64.powf(0.3 / 48.0);
        let lines = midband_frequencies(20.0, 20_000.0, 48.0);
        for x in -17..=13 {
            let edge = 1000.0 * 10f64.powf(0.1 * (f64::from(x) + 0.5));
            let nearest = lines.iter().map(|f| (f / edge).ln().abs()).fold(f64::INFINITY, f64::min);
            assert!(nearest > 0.49 * step.ln(), "edge at {edge} Hz");
        }
        assert!(lines.windows(2).all(|f| ((f[1] / f[0]) / step - 1.0).abs() < 1e-12));
    }
}
