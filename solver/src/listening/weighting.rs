//! Frequency weightings of sound level meters.
//!
//! IEC 61672-1:2013, annex E: the pole frequencies follow from the reference frequency 1 kHz, the low and high −3 dB points
//! of the C-weighting `10^1.5` and `10^3.9` Hz, and the A-weighting's `10^2.45` Hz. Both weightings are 0 dB at 1 kHz.

const REFERENCE: f64 = 1000.0;

/// Double poles f₁ and f₄ of the C-weighting [Hz] (eq. (E.1)–(E.3) of the annex).
fn outer_poles() -> (f64, f64) {
    let (low, high) = (10f64.powf(1.5), 10f64.powf(3.9));
    let d = 0.5f64.sqrt();
    let (r2, l2, h2) = (REFERENCE.powi(2), low.powi(2), high.powi(2));
    let b = (r2 + l2 * h2 / r2 - d * (l2 + h2)) / (1.0 - d);
    let c = l2 * h2;
    let root = (b * b - 4.0 * c).sqrt();
    (((-b - root) / 2.0).sqrt(), ((-b + root) / 2.0).sqrt())
}

/// Single poles f₂ and f₃ of the A-weighting [Hz] (eq. (E.4)–(E.5)).
fn inner_poles() -> (f64, f64) {
    let (corner, root5) = (10f64.powf(2.45), 5f64.sqrt());
    ((3.0 - root5) / 2.0 * corner, (3.0 + root5) / 2.0 * corner)
}

fn c_gain(frequency: f64) -> f64 {
    let (f1, f4) = outer_poles();
    let f2 = frequency * frequency;
    f4 * f4 * f2 / ((f2 + f1 * f1) * (f2 + f4 * f4))
}

fn a_gain(frequency: f64) -> f64 {
    let (p2, p3) = inner_poles();
    let f2 = frequency * frequency;
    c_gain(frequency) * f2 / ((f2 + p2 * p2).sqrt() * (f2 + p3 * p3).sqrt())
}

/// A-weighting [dB] at `frequency` [Hz] (IEC 61672-1:2013, eq. (E.6)); −∞ at 0 Hz.
pub fn a_weighting(frequency: f64) -> f64 {
    20.0 * (a_gain(frequency) / a_gain(REFERENCE)).log10()
}

/// C-weighting [dB] at `frequency` [Hz] (IEC 61672-1:2013, annex E); −∞ at 0 Hz.
pub fn c_weighting(frequency: f64) -> f64 {
    20.0 * (c_gain(frequency) / c_gain(REFERENCE)).log10()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_poles_are_the_rounded_ones_of_the_standard() {
        let ((f1, f4), (f2, f3)) = (outer_poles(), inner_poles());
        assert!((f1 - 20.60).abs() < 0.005 && (f2 - 107.7).abs() < 0.05);
        assert!((f3 - 737.9).abs() < 0.05 && (f4 - 12194.0).abs() < 0.5);
    }

    #[test]
    fn silence_at_zero_frequency_is_not_a_number_out_of_range() {
        assert_eq!(a_weighting(0.0), f64::NEG_INFINITY);
        assert_eq!(c_weighting(0.0), f64::NEG_INFINITY);
    }
}
