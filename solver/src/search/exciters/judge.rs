//! From responses to scores.

use super::SearchError;
use super::scores::Scores;
use crate::listening::{
    REFERENCE_RANGE, band_weights, fractional_octaves, lower_limit, pressure_level, smoothing_weights,
};
use crate::plate::Modes;
use crate::scene::Scene;
use ndarray::{Array2, Array3, ArrayView1, Axis, s};
use num_complex::Complex32;

/// The range that is judged [Hz].
pub(crate) const RANGE: (f64, f64) = (100.0, 10e3);
/// Fewest sixth octaves that evenness is judged by.
const LEAST_BANDS: usize = 6;
/// Drop [dB] that ends the usable band, and the energy ratio that makes a dip.
const DROP: f64 = 10.0;
const DIP: f64 = 0.1;
/// Share of a shape's root mean square from which a mode counts as driven.
const DRIVEN: f64 = 1.0 / 3.0;

/// The yardstick: what scores are read off with.
#[derive(Clone, Debug)]
pub struct Judge {
    frequencies: Vec<f64>,
    /// Adjacent sixth octaves, ascending: index and weight of every sample that counts in each.
    pub(super) cells: Vec<Vec<(usize, f64)>>,
    /// Means over sixth octaves (bands, frequencies).
    sixths: Array2<f64>,
    /// Means over the third octaves of the reference level (bands, frequencies).
    reference: Array2<f64>,
    /// Smoothing over a third octave (frequencies, frequencies).
    smoothing: Array2<f64>,
    /// Weight of each mode in the coverage; they sum to one.
    modes: Vec<f64>,
    /// Shape [kg^−½] from which a mode counts as driven.
    driven: f64,
}

impl Judge {
    /// The yardstick for a panel with `modes` over the frequencies of `scene`.
    ///
    /// # Errors
    /// When the frequencies hold too few bands.
    pub fn new(scene: &Scene, modes: &Modes) -> Result<Self, SearchError> {
        let frequencies = &scene.frequencies;
        let cells: Vec<Vec<(usize, f64)>> = (fractional_octaves(6, RANGE.0, RANGE.1).iter())
            .filter_map(|band| band_weights(frequencies, band))
            .collect();
        if cells.len() < LEAST_BANDS {
            return Err(SearchError::TooFewBands { bands: cells.len(), least: LEAST_BANDS });
        }
        let (from, to) = REFERENCE_RANGE;
        let thirds = |from, to| -> Vec<_> {
            fractional_octaves(3, from, to)
                .iter()
                .filter_map(|band| band_weights(frequencies, band))
                .collect()
        };
        let mut reference = thirds(from, to);
        if reference.is_empty() {
            reference = thirds(RANGE.0, RANGE.1);
        }
        let mass = scene.panel.outline.area() * scene.panel.section.surface_mass;
        Ok(Self {
            sixths: means(&cells, frequencies.len()),
            reference: means(&reference, frequencies.len()),
            smoothing: means(&smoothing_weights(frequencies, 3), frequencies.len()),
            modes: weights_of(modes, frequencies),
            driven: DRIVEN / mass.sqrt(),
            frequencies: frequencies.clone(),
            cells,
        })
    }

    /// Scores of responses [Pa RMS] (frequencies, seats, places), each by feet with the summed `shapes` (places, modes); robustness is not known yet.
    pub fn scores(&self, pressure: &Array3<Complex32>, shapes: ndarray::ArrayView2<f64>) -> Vec<Scores> {
        let (frequencies, seats, places) = pressure.dim();
        let energy = pressure.mapv(|p| f64::from(p.norm_sqr()));
        let flat = energy
            .view()
            .into_shape_with_order((frequencies, seats * places))
            .expect("a fresh array is contiguous");
        let mean = energy.mean_axis(Axis(1)).expect("there is a seat");
        let [sixths, smoothed] = [&self.sixths, &self.smoothing].map(|weights| weights.dot(&flat));
        let [curves, thirds] = [&self.smoothing, &self.reference].map(|weights| weights.dot(&mean));
        let over_seats = |of: &dyn Fn(usize) -> f64, place: usize| {
            (0..seats).map(|seat| of(seat * places + place)).sum::<f64>() / seats as f64
        };
        (0..places)
            .map(|place| {
                let sensitivity = thirds.column(place).iter().map(|&p2| pressure_level(p2)).sum::<f64>()
                    / thirds.nrows() as f64;
                let curve: Vec<f64> = curves.column(place).iter().map(|&p2| pressure_level(p2)).collect();
                Scores {
                    evenness: over_seats(&|column| variance(sixths.column(column)), place).sqrt(),
                    extension: lower_limit(&self.frequencies, &curve, sensitivity, DROP),
                    sensitivity,
                    coverage: self.coverage(shapes.row(place)),
                    dips: over_seats(
                        &|column| dips(flat.column(column), smoothed.column(column)) as f64,
                        place,
                    ),
                    robustness: None,
                }
            })
            .collect()
    }

    fn coverage(&self, shapes: ArrayView1<f64>) -> f64 {
        let driven = shapes.iter().zip(&self.modes).filter(|(phi, _)| phi.abs() >= self.driven);
        driven.map(|(_, weight)| weight).sum()
    }

    /// Highest frequency [Hz].
    pub(crate) fn top(&self) -> f64 {
        self.frequencies.last().copied().unwrap_or(0.0)
    }
}

/// Rows of weights over all samples.
fn means(rows: &[Vec<(usize, f64)>], samples: usize) -> Array2<f64> {
    let mut table = Array2::zeros((rows.len(), samples));
    for (row, terms) in rows.iter().enumerate() {
        terms.iter().for_each(|&(sample, weight)| table[(row, sample)] = weight);
    }
    table
}

/// 1/frequency of the elastic modes within the range, over their sum.
fn weights_of(modes: &Modes, frequencies: &[f64]) -> Vec<f64> {
    let from = frequencies.first().map_or(RANGE.0, |f| f.max(RANGE.0));
    let to = frequencies.last().map_or(RANGE.1, |f| f.min(RANGE.1));
    let weight = |f: &f64| if (from..=to).contains(f) { f.recip() } else { 0.0 };
    let weights: Vec<f64> = modes.frequencies.iter().map(weight).collect();
    let total: f64 = weights.iter().sum();
    weights.iter().map(|weight| weight / total.max(f64::MIN_POSITIVE)).collect()
}

/// Variance of the levels [dB²] of a third octave, from energies in adjacent sixths.
fn variance(sixths: ArrayView1<f64>) -> f64 {
    let thirds = &sixths.slice(s![1..]) + &sixths.slice(s![..-1]);
    let levels = thirds.mapv(|energy| 10.0 * energy.log10());
    let mean = levels.mean().unwrap_or(f64::NAN);
    levels.mapv(|level| (level - mean).powi(2)).mean().unwrap_or(f64::NAN)
}

/// Stretches of samples far below their smoothed curve.
fn dips(energy: ArrayView1<f64>, smoothed: ArrayView1<f64>) -> usize {
    let low: Vec<bool> = energy.iter().zip(&smoothed).map(|(p2, mean)| *p2 < DIP * mean).collect();
    let begins = |i: usize| low[i] && (i == 0 || !low[i - 1]);
    (0..low.len()).filter(|&i| begins(i)).count()
}
