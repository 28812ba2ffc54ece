//! The pressure operator as a full matrix in single precision.

use super::blocks::Point;
use super::body::{Body, POINTS};
use super::far::{Column, FarField, LANES, Tested};
use super::pair::PairOperators;
use super::wave::Wave;
use multiversion::multiversion;
use ndarray::{Array2, Axis};
use num_complex::{Complex32, Complex64};
use rayon::prelude::*;

/// Elements whose rows are made at the same time before they are added to the matrix.
const BATCH: usize = 32;

/// The operator `½ − K − αD + (S + α/2 + αK′) jkβ`, tested by the shape functions.
pub(super) struct DenseOperator {
    /// Real and imaginary part of every entry.
    matrix: Array2<[f32; 2]>,
}

impl DenseOperator {
    /// `absorption` is jkβ of every element [1/m].
    pub fn new(body: &Body, far: &FarField, wave: &Wave, absorption: &[Complex64]) -> Self {
        let count = body.unknowns();
        let mut matrix = Array2::from_elem((count, count), [0.0; 2]);
        let elements: Vec<usize> = (0..body.len()).collect();
        for batch in elements.chunks(BATCH) {
            let rows: Vec<Vec<Column>> =
                batch.par_iter().map(|&tested| element_rows(body, far, tested, wave, absorption)).collect();
            add_rows(body, batch, &rows, &mut matrix);
        }
        Self { matrix }
    }

    /// The operator on values at the points, in single precision.
    pub fn apply(&self, values: &[Complex64]) -> Vec<Complex64> {
        // Rows are real and imaginary parts in turn, so both parts of a product are plain sums.
        let real: Vec<f32> = values.iter().flat_map(|v| [v.re as f32, -v.im as f32]).collect();
        let imaginary: Vec<f32> = values.iter().flat_map(|v| [v.im as f32, v.re as f32]).collect();
        let rows = self.matrix.as_slice().unwrap_or(&[]).par_chunks_exact(values.len().max(1));
        rows.map(|row| row_product(row.as_flattened(), &real, &imaginary)).collect()
    }

    /// An entry.
    pub fn entry(&self, row: usize, column: usize) -> Complex32 {
        let [re, im] = self.matrix[(row, column)];
        Complex32::new(re, im)
    }
}

/// Partial sums of this many terms add up in double precision.
const STRETCH: usize = 1024;
const SUMS: usize = 32;

#[multiversion(targets = "simd")]
fn row_product(row: &[f32], real: &[f32], imaginary: &[f32]) -> Complex64 {
    let mut total = Complex64::ZERO;
    for ((row, real), imaginary) in
        row.chunks(STRETCH).zip(real.chunks(STRETCH)).zip(imaginary.chunks(STRETCH))
    {
        let mut sums = [[0f32; SUMS]; 2];
        let (whole, rest) = row.as_chunks::<SUMS>();
        let ([re, rest_re], [im, rest_im]) = (halves(real), halves(imaginary));
        for ((a, u), w) in whole.iter().zip(re.as_chunks::<SUMS>().0).zip(im.as_chunks::<SUMS>().0) {
            for lane in 0..SUMS {
                sums[0][lane] += a[lane] * u[lane];
                sums[1][lane] += a[lane] * w[lane];
            }
        }
        for ((a, u), w) in rest.iter().zip(rest_re).zip(rest_im) {
            sums[0][0] += a * u;
            sums[1][0] += a * w;
        }
        let [re, im] = sums.map(|lanes| lanes.iter().map(|&v| f64::from(v)).sum::<f64>());
        total += Complex64::new(re, im);
    }
    total
}

/// What whole vectors cover, and the rest.
#[inline(always)]
fn halves(values: &[f32]) -> [&[f32]; 2] {
    let (whole, rest) = values.split_at(values.len() / SUMS * SUMS);
    [whole, rest]
}

/// Rows of a batch into the matrix, in the order of the elements whatever the number of threads.
fn add_rows(body: &Body, batch: &[usize], rows: &[Vec<Column>], matrix: &mut Array2<[f32; 2]>) {
    let mut given = vec![vec![]; matrix.nrows()];
    for (&element, columns) in batch.iter().zip(rows) {
        for (i, &node) in body.nodes[element].iter().enumerate() {
            given[node as usize].push((i, columns));
        }
    }
    matrix.axis_iter_mut(Axis(0)).into_par_iter().zip(given).for_each(|(mut row, given)| {
        for (i, columns) in given {
            row.iter_mut().zip(columns).for_each(|(sum, column)| {
                sum[0] += column[i];
                sum[1] += column[6 + i];
            });
        }
    });
}

fn element_rows(
    body: &Body,
    far: &FarField,
    tested: usize,
    wave: &Wave,
    absorption: &[Complex64],
) -> Vec<Column> {
    let mut rows = vec![[0.0; 12]; body.unknowns()];
    for (index, image) in body.images.iter().enumerate() {
        // The tested element's image from the source is the source's image from the tested element.
        let points: [Point; POINTS] = body.quadrature[tested].map(|point| image.of_point(&point));
        let points = Tested::new(&points);
        let mut skipped = vec![0u32; far.sources.len()];
        for partner in body.partners[tested].iter().filter(|partner| partner.image == index) {
            skipped[partner.element / LANES] |= 1 << (partner.element % LANES);
        }
        for (chunk, skipped) in skipped.into_iter().enumerate() {
            let absorbed = far.absorbed(chunk, absorption);
            far.add_rows(chunk, &points, wave, absorbed.as_ref(), skipped, &mut rows);
        }
    }
    for partner in &body.partners[tested] {
        let PairOperators { pressure, velocity } = PairOperators::near(body, tested, partner, wave);
        for (j, &node) in body.nodes[partner.element].iter().enumerate() {
            let column = &mut rows[node as usize];
            for i in 0..6 {
                let value = pressure[i][j] + absorption[partner.element] * velocity[i][j];
                column[i] += value.re as f32;
                column[6 + i] += value.im as f32;
            }
        }
    }
    rows
}
