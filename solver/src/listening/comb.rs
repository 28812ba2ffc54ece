//! The comb that a reflection makes of a response.
//!
//! A rigid plane throws a source's sound back as from its image. Sound by the way d and by the longer way d′ arrives together as
//! `exp(−jkd)/d + exp(−jkd′)/d′`: opposite, a null, at `f = (2m + 1) c/(2Δ)`, together, a peak, at `f = m c/Δ`, m = 0, 1, …, with Δ = d′ − d.
//! Valid for an infinite plane and a source that sounds alike in both directions; a finite board has the same frequencies where the point of
//! reflection lies well inside it. (Geometry: H. Kuttruff, Room Acoustics, 6th ed. 2016, ch. 4, image sources; worked out here.)

use crate::air::Air;

/// Frequencies at which a sound and its reflection oppose or support each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comb {
    /// How much longer the way of the reflection is, Δ [m].
    pub difference_of_paths: f64,
    sound_speed: f64,
}

/// The comb at `receiver` of a `source` [m] before the rigid plane z = 0.
pub fn comb(source: [f64; 3], receiver: [f64; 3], air: &Air) -> Comb {
    let [x, y, z] = [0, 1, 2].map(|c| receiver[c] - source[c]);
    let rise = receiver[2] + source[2];
    let (direct, image) = (x.hypot(y).hypot(z), x.hypot(y).hypot(rise));
    // image² − direct² = 4 z z′, without the cancellation of a difference of nearly equal lengths.
    let difference =
        if direct + image > 0.0 { 4.0 * receiver[2] * source[2] / (direct + image) } else { 0.0 };
    Comb { difference_of_paths: difference, sound_speed: air.sound_speed }
}

impl Comb {
    /// Nulls [Hz] up to a frequency [Hz], ascending; none where the ways are equally long.
    pub fn nulls(&self, up_to: f64) -> Vec<f64> {
        self.series(0.5, up_to)
    }

    /// Peaks [Hz] up to a frequency [Hz], ascending, that at 0 Hz left out.
    pub fn peaks(&self, up_to: f64) -> Vec<f64> {
        self.series(1.0, up_to)
    }

    fn series(&self, first: f64, up_to: f64) -> Vec<f64> {
        if self.difference_of_paths <= 0.0 {
            return vec![];
        }
        let step = self.sound_speed / self.difference_of_paths;
        (0..).map(|m| (first + f64::from(m)) * step).take_while(|&f| f <= up_to).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_complex::Complex64;
    use std::f64::consts::TAU;

    fn air() -> Air {
        Air { sound_speed: 340.0, ..Air::new(293.15, 0.5, 101_325.0) }
    }

    #[test]
    fn far_in_front_the_way_is_longer_by_twice_the_height() {
        let comb = comb([0.1, 0.2, 0.05], [0.1, 0.2, 9.0], &air());
        assert!((comb.difference_of_paths - 0.1).abs() < 1e-12);
        let close = |found: Vec<f64>, expected: &[f64]| {
            assert_eq!(found.len(), expected.len());
            found.iter().zip(expected).for_each(|(f, e)| assert!((f - e).abs() < 1e-6, "{f} {e}"));
        };
        close(comb.nulls(9000.0), &[1700.0, 5100.0, 8500.0]);
        close(comb.peaks(9000.0), &[3400.0, 6800.0]);
    }

    /// Nulls and peaks are where sound and reflection are opposite and in step.
    #[test]
    fn the_two_ways_differ_by_half_waves() {
        let (source, receiver) = ([0.3, -0.1, 0.06], [1.4, 0.7, 0.9]);
        let comb = comb(source, receiver, &air());
        let length = |z: f64| (1.1f64 * 1.1 + 0.8 * 0.8 + (0.9 - z) * (0.9 - z)).sqrt();
        let turn = |f: f64| Complex64::cis(-TAU * f / 340.0 * (length(-0.06) - length(0.06)));
        assert!(comb.nulls(20e3).len() == 4);
        comb.nulls(20e3).iter().for_each(|&f| assert!((turn(f) + 1.0).norm() < 1e-9, "{f}"));
        comb.peaks(20e3).iter().for_each(|&f| assert!((turn(f) - 1.0).norm() < 1e-9, "{f}"));
    }

    #[test]
    fn in_the_plane_there_is_no_comb() {
        assert!(comb([0.0; 3], [1.0, 0.0, 1.0], &air()).nulls(20e3).is_empty());
        assert!(comb([0.0; 3], [0.0; 3], &air()).peaks(20e3).is_empty());
        assert!(comb([0.0, 0.0, 0.1], [1.0, 0.0, -0.1], &air()).nulls(20e3).is_empty(), "behind it");
    }
}
