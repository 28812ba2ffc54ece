//! The pressure operator as a full matrix in single precision.

use super::blocks::Point;
use super::body::{Body, POINTS};
use super::far::{Column, FarField, LANES, Tested};
use super::pair::PairOperators;
use super::wave::Wave;
use ndarray::{Array2, Axis};
use num_complex::{Complex32, Complex64};
use rayon::prelude::*;

/// Elements whose rows are made at the same time before they are added to the matrix.
const BATCH: usize = 32;

/// The operator `½ − K − αD + (S + α/2 + αK′) jkβ`, tested by the shape functions.
pub(super) struct DenseOperator {
    pub matrix: Array2<Complex32>,
}

impl DenseOperator {
    /// `absorption` is jkβ of every element [1/m].
    pub fn new(body: &Body, far: &FarField, wave: &Wave, absorption: &[Complex64]) -> Self {
        let count = body.unknowns();
        let mut matrix = Array2::zeros((count, count));
        let elements: Vec<usize> = (0..body.len()).collect();
        for batch in elements.chunks(BATCH) {
            let rows: Vec<Vec<Column>> =
                batch.par_iter().map(|&tested| element_rows(body, far, tested, wave, absorption)).collect();
            add_rows(body, batch, &rows, &mut matrix);
        }
        Self { matrix }
    }

    /// The operator on values at the points.
    pub fn apply(&self, values: &[Complex64]) -> Vec<Complex64> {
        let row = |row: ndarray::ArrayView1<Complex32>| -> Complex64 {
            let product = |(a, x): (&Complex32, &Complex64)| Complex64::new(a.re.into(), a.im.into()) * x;
            row.iter().zip(values).map(product).sum()
        };
        self.matrix.axis_iter(Axis(0)).into_par_iter().map(row).collect()
    }
}

/// Rows of a batch into the matrix, in the order of the elements whatever the number of threads.
fn add_rows(body: &Body, batch: &[usize], rows: &[Vec<Column>], matrix: &mut Array2<Complex32>) {
    let mut given = vec![vec![]; matrix.nrows()];
    for (&element, columns) in batch.iter().zip(rows) {
        for (i, &node) in body.nodes[element].iter().enumerate() {
            given[node as usize].push((i, columns));
        }
    }
    matrix.axis_iter_mut(Axis(0)).into_par_iter().zip(given).for_each(|(mut row, given)| {
        for (i, columns) in given {
            row.iter_mut().zip(columns).for_each(|(sum, column)| {
                sum.re += column[i];
                sum.im += column[6 + i];
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
            let absorbed = lanes(absorption, chunk);
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

/// Absorption of a chunk's elements, nothing when it is rigid.
fn lanes(absorption: &[Complex64], chunk: usize) -> Option<[[f32; LANES]; 2]> {
    let own = &absorption[chunk * LANES..absorption.len().min((chunk + 1) * LANES)];
    let value = |lane: usize| own.get(lane).copied().unwrap_or_default();
    own.iter().any(|beta| *beta != Complex64::ZERO).then(|| {
        [std::array::from_fn(|lane| value(lane).re as f32), std::array::from_fn(|lane| value(lane).im as f32)]
    })
}
