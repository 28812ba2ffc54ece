//! Products of one complex vector with a large real matrix.
//!
//! They are bound by reading the matrix. A general matrix product would first copy it into blocks; here it is read from memory once, in single
//! precision: 6e-8 of a coefficient, the same in both directions, so that the pair stays adjoint. Sums run in double precision and in a fixed order.

use multiversion::multiversion;
use ndarray::Array2;
use num_complex::Complex64;

/// Values that are summed side by side; rows are filled up with zeros to a multiple of it.
const LANES: usize = 16;
/// Sums that a row's product with a vector is made of; a divisor of [`LANES`].
const SUMS: usize = 8;

/// A matrix kept for such products.
#[derive(Clone, Debug)]
pub(super) struct Streamed {
    /// Rows one after the other, each filled up.
    values: Vec<f32>,
    columns: usize,
}

impl Streamed {
    pub fn new(matrix: &Array2<f64>) -> Self {
        let columns = matrix.ncols();
        let mut values = vec![0.0; matrix.nrows() * filled(columns)];
        for (row, own) in values.chunks_exact_mut(filled(columns)).zip(matrix.rows()) {
            row.iter_mut().zip(own).for_each(|(value, &own)| *value = own as f32);
        }
        Self { values, columns }
    }

    /// `Σ factorsᵣ rowᵣ` over the first rows, as many as there are factors: real and imaginary parts.
    pub fn sum_of_rows(&self, factors: &[Complex64]) -> [Vec<f64>; 2] {
        assert!(factors.len() <= self.rows().len(), "no more factors than rows");
        let mut sums = [0, 1].map(|_| vec![0.0; filled(self.columns)]);
        let mut rows = self.rows();
        for factors in factors.chunks(4) {
            // What the last chunk lacks are empty rows with the factor 0.
            let empty = vec![0.0; if factors.len() < 4 { filled(self.columns) } else { 0 }];
            let four =
                std::array::from_fn(
                    |r| if r < factors.len() { rows.next().unwrap_or(&empty) } else { &empty },
                );
            let factors = std::array::from_fn(|r| factors.get(r).copied().unwrap_or_default());
            let [re, im] = &mut sums;
            add_rows(four, factors, re, im);
        }
        sums.map(|mut sum| {
            sum.truncate(self.columns);
            sum
        })
    }

    /// `row · (re, im)` of the first `count` rows.
    pub fn along_rows(&self, parts: [Vec<f64>; 2], count: usize) -> Vec<Complex64> {
        let [re, im] = parts.map(|mut part| {
            part.resize(filled(self.columns), 0.0);
            part
        });
        let mut sums = Vec::with_capacity(count.next_multiple_of(4));
        let mut rows = self.rows().take(count);
        while sums.len() < count {
            let first = rows.next().unwrap_or_default();
            // What the last four lack is the first of them again.
            let four = [
                first,
                rows.next().unwrap_or(first),
                rows.next().unwrap_or(first),
                rows.next().unwrap_or(first),
            ];
            sums.extend(along(four, &re, &im));
        }
        sums.truncate(count);
        sums
    }

    fn rows(&self) -> std::slice::ChunksExact<'_, f32> {
        self.values.chunks_exact(filled(self.columns))
    }
}

/// Length of a row with so many columns once it is filled up.
fn filled(columns: usize) -> usize {
    columns.max(1).next_multiple_of(LANES)
}

#[multiversion(targets = "simd")]
fn add_rows([a, b, c, d]: [&[f32]; 4], factors: [Complex64; 4], re: &mut [f64], im: &mut [f64]) {
    let ([ar, br, cr, dr], [ai, bi, ci, di]) = (factors.map(|f| f.re), factors.map(|f| f.im));
    let rows = a.iter().zip(b).zip(c.iter().zip(d));
    for ((re, im), ((&a, &b), (&c, &d))) in re.iter_mut().zip(im).zip(rows) {
        let (a, b, c, d) = (f64::from(a), f64::from(b), f64::from(c), f64::from(d));
        *re += (ar * a + br * b) + (cr * c + dr * d);
        *im += (ai * a + bi * b) + (ci * c + di * d);
    }
}

/// `row · (re, im)` of four rows, which share what is read of the vector.
#[multiversion(targets = "simd")]
fn along(four: [&[f32]; 4], re: &[f64], im: &[f64]) -> [Complex64; 4] {
    let [a, b, c, d] = four.map(|row| row.as_chunks::<SUMS>().0);
    let mut sums = [[[0.0; SUMS]; 2]; 4];
    let parts = re.as_chunks::<SUMS>().0.iter().zip(im.as_chunks::<SUMS>().0);
    for (((a, b), (c, d)), (re, im)) in a.iter().zip(b).zip(c.iter().zip(d)).zip(parts) {
        let [of_a, of_b, of_c, of_d] = &mut sums;
        for (sums, row) in [(of_a, a), (of_b, b), (of_c, c), (of_d, d)] {
            add_products(sums, row, [re, im]);
        }
    }
    sums.map(|[re, im]| Complex64::new(re.iter().sum(), im.iter().sum()))
}

#[inline(always)]
fn add_products(sums: &mut [[f64; SUMS]; 2], row: &[f32; SUMS], parts: [&[f64; SUMS]; 2]) {
    let row = row.map(f64::from);
    for (sums, part) in sums.iter_mut().zip(parts) {
        for ((sum, value), other) in sums.iter_mut().zip(&row).zip(part) {
            *sum += value * other;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values that single precision holds exactly.
    fn matrix(rows: usize, columns: usize) -> Array2<f64> {
        Array2::from_shape_fn((rows, columns), |(i, j)| ((7 * i + 3 * j) % 11) as f64 - 4.5)
    }

    fn vector(length: usize) -> Vec<Complex64> {
        (0..length).map(|i| Complex64::cis(i as f64) * (1.0 + i as f64)).collect()
    }

    #[test]
    fn both_products_are_those_of_the_matrix() {
        for (rows, columns, count) in [(9, 37, 9), (9, 37, 6), (4, 16, 1), (3, 5, 0), (2, 0, 2)] {
            let matrix = matrix(rows, columns);
            let streamed = Streamed::new(&matrix);
            let factors = vector(count);
            let [re, im] = streamed.sum_of_rows(&factors);
            for j in 0..columns {
                let wanted: Complex64 = (0..count).map(|i| factors[i] * matrix[(i, j)]).sum();
                assert!((Complex64::new(re[j], im[j]) - wanted).norm() < 1e-12 * (1.0 + wanted.norm()));
            }
            let field = vector(columns);
            let [re, im] =
                [field.iter().map(|z| z.re).collect::<Vec<_>>(), field.iter().map(|z| z.im).collect()];
            let along = streamed.along_rows([re, im], count);
            assert_eq!(along.len(), count);
            for (i, value) in along.iter().enumerate() {
                let wanted: Complex64 = (0..columns).map(|j| field[j] * matrix[(i, j)]).sum();
                assert!((value - wanted).norm() < 1e-12 * (1.0 + wanted.norm()));
            }
        }
    }
}
