//! Meshes that follow the wavelength, band by band.

use std::ops::Range;

/// A band of frequencies that share one mesh.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Rung {
    /// Indices of its frequencies.
    pub range: Range<usize>,
    /// Length [m] of the elements' sides.
    pub length: f64,
}

/// One octave from the top down to a rung: half as many elements along a side make a quarter of the work, so what is below the top costs a
/// third of it at most.
const WIDTH: f64 = 2.0;

/// Rungs for ascending `frequencies` [Hz], lowest first. At the top of each an element is 1/`per_wavelength` of the wavelength; meshes coarser than
/// `coarsest` [m] would not follow the body, so all below shares that one.
pub(super) fn ladder(frequencies: &[f64], sound_speed: f64, per_wavelength: f64, coarsest: f64) -> Vec<Rung> {
    let mut rungs = vec![];
    let mut end = frequencies.len();
    while end > 0 {
        let top = frequencies[end - 1];
        let length = sound_speed / (top * per_wavelength);
        let start = match length < coarsest {
            true => frequencies.partition_point(|f| *f <= top / WIDTH * (1.0 + 1e-9)).min(end - 1),
            false => 0,
        };
        rungs.push(Rung { range: start..end, length: length.min(coarsest) });
        end = start;
    }
    rungs.reverse();
    rungs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_frequency_has_one_rung_and_enough_elements() {
        let frequencies: Vec<f64> = (0..104).map(|i| 1000.0 * 2f64.powf(f64::from(i) / 24.0)).collect();
        let rungs = ladder(&frequencies, 343.0, 6.0, 8e-3);
        assert_eq!(
            rungs.iter().flat_map(|rung| rung.range.clone()).collect::<Vec<_>>(),
            (0..104).collect::<Vec<_>>()
        );
        for rung in &rungs {
            let top = frequencies[rung.range.end - 1];
            assert!(343.0 / top >= 6.0 * rung.length * (1.0 - 1e-9), "{rung:?}");
        }
        assert_eq!(rungs.len(), 3, "two octaves and the rest: {rungs:?}");
    }

    #[test]
    fn one_frequency_has_one_rung() {
        assert_eq!(ladder(&[500.0], 343.0, 6.0, 8e-3), [Rung { range: 0..1, length: 8e-3 }]);
        assert_eq!(ladder(&[20e3], 343.0, 6.0, 8e-3), [Rung { range: 0..1, length: 343.0 / 120e3 }]);
    }
}
