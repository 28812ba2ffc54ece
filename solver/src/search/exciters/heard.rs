//! What places hear of the modes at one frequency, with as few numbers as that takes.
//!
//! Places that are less than a wave apart hear nearly the same. Of the matrix A of what each place hears of each mode, real and imaginary parts as rows
//! of their own and every place scaled to one, the singular directions are kept that hold all but [`LOST`] of its norm: `A ≈ W V` with few rows in V.
//! A place of an exciter then costs V times its shapes, instead of A.
//! (G. H. Golub & C. F. Van Loan, Matrix Computations, 4th ed. 2013, § 2.4, for the truncated decomposition and its error.)

use super::few;
use crate::linalg::eigenpairs_up_to;
use ndarray::{Array2, ArrayView2, Axis, Zip, concatenate};
use num_complex::Complex64;

/// Share of the norm that is left out: a tenth of a decibel in a dip of 50 dB.
const LOST: f64 = 3e-5;
/// Fewest rows that are worth looking at.
const MANY: usize = 64;
/// Share of the rows beyond which nothing is won.
const WORTH: f64 = 0.7;

/// Single precision: sums are right to about 1e-6 of the largest term, a hundredth of a decibel 60 dB down.
#[derive(Clone, Debug)]
pub(super) struct Heard {
    /// V, or A itself [Pa/N kg^½]: (directions, modes).
    directions: Array2<f32>,
    /// W (places × 2, directions).
    places: Option<Array2<f32>>,
}

impl Heard {
    /// From what is `heard` (places, modes).
    pub fn new(heard: &Array2<Complex64>) -> Self {
        let parts = parts_of(heard);
        let (directions, places) = match parts.nrows() {
            few if few < MANY => (parts, None),
            _ => decomposed(parts),
        };
        Self { directions: single(&directions), places: places.map(|places| single(&places)) }
    }

    /// Real and imaginary parts (places × 2, feet) for one newton under each of the feet whose `shapes` (feet, modes) these are.
    pub fn of(&self, shapes: ArrayView2<f32>) -> Array2<f32> {
        let along = few::times(&self.directions, shapes);
        match &self.places {
            None => along,
            Some(places) => places.dot(&along),
        }
    }

    /// Memory [bytes].
    fn bytes(&self) -> usize {
        4 * (self.directions.len() + self.places.as_ref().map_or(0, Array2::len))
    }
}

/// What places hear of the modes at all frequencies.
#[derive(Clone, Debug)]
pub(super) enum Heards {
    /// A of every frequency, one below the other: one large product copies the shapes but once.
    Stacked { rows: Array2<f32>, each: usize },
    /// Frequency by frequency.
    Apart(Vec<Heard>),
}

impl Heards {
    /// Of all frequencies.
    pub fn new(each: Vec<Heard>) -> Self {
        if each.is_empty() || each.iter().any(|heard| heard.places.is_some()) {
            return Self::Apart(each);
        }
        let views: Vec<_> = each.iter().map(|heard| heard.directions.view()).collect();
        let rows = concatenate(Axis(0), &views).expect("each has all modes");
        Self::Stacked { rows, each: each[0].directions.nrows() }
    }

    /// Gives `take` the real and imaginary parts (places × 2, feet) at each frequency, see [`Heard::of`].
    pub fn of(&self, shapes: ArrayView2<f32>, mut take: impl FnMut(usize, ArrayView2<f32>)) {
        match self {
            Self::Stacked { rows, each } => {
                let all = few::times(rows, shapes);
                all.axis_chunks_iter(Axis(0), *each)
                    .enumerate()
                    .for_each(|(index, parts)| take(index, parts));
            }
            Self::Apart(each) => {
                each.iter().enumerate().for_each(|(index, heard)| take(index, heard.of(shapes).view()));
            }
        }
    }

    /// Memory [bytes].
    pub fn bytes(&self) -> usize {
        match self {
            Self::Stacked { rows, .. } => 4 * rows.len(),
            Self::Apart(each) => each.iter().map(Heard::bytes).sum(),
        }
    }
}

/// Real and imaginary parts as rows: (places × 2, modes).
fn parts_of(heard: &Array2<Complex64>) -> Array2<f64> {
    let mut parts = Array2::zeros((2 * heard.nrows(), heard.ncols()));
    for (place, row) in heard.rows().into_iter().enumerate() {
        Zip::from(parts.row_mut(2 * place)).and(row).for_each(|value, a| *value = a.re);
        Zip::from(parts.row_mut(2 * place + 1)).and(row).for_each(|value, a| *value = a.im);
    }
    parts
}

/// V and W; A itself where that is not worth it.
fn decomposed(parts: Array2<f64>) -> (Array2<f64>, Option<Array2<f64>>) {
    let sizes: Vec<f64> = (parts.axis_chunks_iter(Axis(0), 2))
        .map(|place| place.iter().map(|value| value * value).sum::<f64>().sqrt().max(f64::MIN_POSITIVE))
        .collect();
    let mut scaled = parts.clone();
    scaled.axis_chunks_iter_mut(Axis(0), 2).zip(&sizes).for_each(|(mut place, size)| place /= *size);
    let products = scaled.dot(&scaled.t());
    let least = LOST * LOST * products.diag().mean().unwrap_or(0.0);
    // The largest first.
    let Ok(found) = eigenpairs_up_to(-products, -least) else { return (parts, None) };
    if found.values.len() as f64 > WORTH * parts.nrows() as f64 {
        return (parts, None);
    }
    let directions = found.vectors.dot(&scaled);
    let mut places = found.vectors.t().as_standard_layout().into_owned();
    places.axis_chunks_iter_mut(Axis(0), 2).zip(&sizes).for_each(|(mut place, size)| place *= *size);
    (directions, Some(places))
}

fn single(values: &Array2<f64>) -> Array2<f32> {
    values.mapv(|value| value as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Waves of random directions heard on a plane of which neighbours are close together.
    fn heard(places: usize, step: f64) -> Array2<Complex64> {
        let mode =
            |n: usize| ((0.618_034 * n as f64).fract() * 2.0 - 1.0, 1.0 + (0.754_878 * n as f64).fract());
        Array2::from_shape_fn((places, 400), |(place, n)| {
            let (slope, phase) = mode(n);
            // A place is far off, and hears less.
            let far = if place == 3 { 1e-3 } else { 1.0 };
            far * Complex64::cis(slope * step * place as f64 + phase)
        })
    }

    fn worst_error(heard: &Array2<Complex64>) -> (f64, usize) {
        crate::single_threaded_blas();
        let kept = Heard::new(heard);
        let shapes =
            Array2::from_shape_fn((3, heard.ncols()), |(foot, n)| (1.7 * (foot + 2) as f64 * n as f64).sin());
        let found = kept.of(single(&shapes).view());
        let exact = heard.dot(&shapes.t().mapv(Complex64::from));
        let mut worst = 0.0f64;
        for (place, row) in exact.rows().into_iter().enumerate() {
            let size = heard.row(place).iter().map(Complex64::norm_sqr).sum::<f64>().sqrt();
            for (foot, p) in row.iter().enumerate() {
                let part = |n: usize| f64::from(found[(2 * place + n, foot)]);
                worst = worst.max((Complex64::new(part(0), part(1)) - p).norm() / size);
            }
        }
        (worst, kept.directions.nrows())
    }

    #[test]
    fn neighbours_share_directions_and_far_places_stay_exact() {
        let (error, directions) = worst_error(&heard(60, 0.2));
        assert!(error < 3e-4 && directions < 40, "{error:e}, {directions} directions for 60 places");
    }

    #[test]
    fn where_nothing_is_won_nothing_is_lost() {
        for (places, step) in [(60, 40.0), (10, 0.2)] {
            let (error, directions) = worst_error(&heard(places, step));
            assert!(
                error < 1e-5 && directions == 2 * places,
                "{error:e}, {directions} directions for {places} places"
            );
        }
    }
}
