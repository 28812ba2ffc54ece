//! The pressure operator in two parts: local ones as a sparse matrix, the smooth one by the grid.

use super::local::LocalOperator;
use super::plan::extent;
use super::smeared::Smeared;
use super::smooth_sum::{Grid, SmoothSum, Stencil, Strength, radius};
use crate::boundary::body::{Body, POINTS};
use crate::boundary::mirrors::mirrored;
use crate::boundary::wave::Wave;
use num_complex::{Complex32, Complex64};
use rayon::prelude::*;

/// The operator `½ − K − αD + (S + α/2 + αK′) jkβ`, tested by the shape functions.
pub(in crate::boundary) struct GridOperator<'a> {
    body: &'a Body,
    wave: Wave,
    absorption: Vec<Complex64>,
    local: LocalOperator,
    sum: SmoothSum,
}

impl<'a> GridOperator<'a> {
    /// With grid points `spacing` [m] apart. `absorption` is jkβ of every element [1/m].
    pub fn new(body: &'a Body, wave: &Wave, absorption: &[Complex64], spacing: f64) -> Self {
        let split = Smeared::new(radius(spacing), wave.k);
        let grid = Grid::around(extent(body), spacing);
        let points = body.quadrature.par_iter().flat_map_iter(|points| points.iter());
        let stencils: Vec<Stencil> = points.map(|point| grid.stencil(point.position, point.area)).collect();
        Self {
            local: LocalOperator::new(body, wave, &split, absorption),
            sum: SmoothSum::new(&grid, &split, stencils, mirrored(&body.images)),
            wave: *wave,
            body,
            absorption: absorption.to_vec(),
        }
    }

    /// The operator on values at the nodes.
    pub fn apply(&self, values: &[Complex64]) -> Vec<Complex64> {
        let single: Vec<Complex32> =
            values.iter().map(|v| Complex32::new(v.re as f32, v.im as f32)).collect();
        let field = self.sum.field(&self.strengths(&single));
        let fields = self.sum.at_sources(&field);
        let mut result = self.local.apply(&single);
        for (element, nodes) in self.body.nodes.iter().enumerate() {
            let tests = self.tests(element, &fields[element * POINTS..][..POINTS]);
            nodes.iter().zip(tests).for_each(|(&node, test)| result[node as usize] += test);
        }
        result
    }

    /// Dipoles of the pressure, monopoles of what it makes absorbing elements do.
    fn strengths(&self, values: &[Complex32]) -> Vec<Strength> {
        let of_element = |element: usize| {
            let (nodes, absorbed) = (&self.body.nodes[element], self.absorption[element]);
            self.body.quadrature[element].iter().map(move |point| {
                let here: Complex32 =
                    (0..6).map(|j| values[nodes[j] as usize] * point.values[j] as f32).sum();
                let absorbed = absorbed * point.weight;
                Strength {
                    monopole: here * Complex32::new(absorbed.re as f32, absorbed.im as f32),
                    dipole: -here,
                }
            })
        };
        (0..self.body.len()).into_par_iter().flat_map_iter(of_element).collect()
    }

    /// What the shape functions of an element see of a field and its slope at the element's points.
    fn tests(&self, element: usize, fields: &[[Complex64; 2]]) -> [Complex64; 6] {
        let mut tests = [Complex64::ZERO; 6];
        for (point, [value, slope]) in self.body.quadrature[element].iter().zip(fields) {
            let seen = value * point.weight + self.wave.alpha() * slope;
            (0..6).for_each(|i| tests[i] += point.values[i] * seen);
        }
        tests
    }

    /// The local part between two nodes, which holds all that is singular.
    pub fn entry(&self, i: usize, j: usize) -> Complex32 {
        self.local.rows[i].value(j as u32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::dense::DenseOperator;
    use crate::boundary::far::FarField;
    use crate::boundary::mirrors::Mirrors;
    use crate::boundary::tests::meshes;

    fn error(body: &Body, k: f64, absorbed: Complex64, spacing: f64) -> f64 {
        let wave = Wave { k, coupling: 1.0 / k };
        let absorption = vec![absorbed; body.len()];
        let dense = DenseOperator::new(body, &FarField::new(body), &wave, &absorption);
        let grid = GridOperator::new(body, &wave, &absorption, spacing);
        let values: Vec<Complex64> =
            body.points.iter().map(|p| Complex64::cis(0.9 * k * p.z + 0.3 * k * p.x)).collect();
        let (exact, found) = (dense.apply(&values), grid.apply(&values));
        let norm =
            |values: &mut dyn Iterator<Item = Complex64>| values.map(|v| v.norm_sqr()).sum::<f64>().sqrt();
        norm(&mut exact.iter().zip(&found).map(|(a, b)| a - b)) / norm(&mut exact.iter().copied())
    }

    #[test]
    fn it_is_the_dense_operator() {
        crate::single_threaded_blas();
        let body = Body::new(&meshes::sphere(6), Mirrors::NONE).expect("closed");
        for (k, absorbed, spacing) in [
            (4.0, Complex64::ZERO, 0.12),
            (4.0, Complex64::ZERO, 0.06),
            (8.0, Complex64::ZERO, 0.12),
            (4.0, Complex64::new(0.0, 2.0), 0.12),
            (0.5, Complex64::ZERO, 0.12),
        ] {
            assert!(error(&body, k, absorbed, spacing) < 1e-3);
        }
    }
    #[test]
    fn images_and_thin_walls_are_on_the_grid_too() {
        crate::single_threaded_blas();
        let quarter = meshes::octasphere(5, [true, true, false]);
        let quarter = Body::new(&quarter, Mirrors([true, true, false])).expect("closed by its images");
        assert!(error(&quarter, 4.0, Complex64::ZERO, 0.12) < 1e-3);
        let sheet = meshes::cuboid([-0.5, -0.3, 0.0], [0.5, 0.3, 0.02], [12, 8, 1]);
        let sheet = Body::new(&sheet, Mirrors::NONE).expect("closed");
        assert!(error(&sheet, 6.0, Complex64::ZERO, 0.06) < 2e-3);
    }
}
