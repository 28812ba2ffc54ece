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
