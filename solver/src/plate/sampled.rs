//! Modes prepared for one lattice.

use super::attached::Mixing;
use super::shapes::Shapes;
use ndarray::{Array2, Zip, s};
use num_complex::Complex64;
use panelwright_mesh::Lattice;
use rayon::prelude::*;
use std::sync::Arc;

/// Modes prepared for one lattice, for fields one at a time. Single-threaded: callers spread frequencies over the cores.
#[derive(Clone, Debug)]
pub struct SampledModes {
    shapes: Arc<Shapes>,
    mixing: Option<Arc<Mixing>>,
    tables: LatticeTables,
}

impl SampledModes {
    pub(super) fn new(shapes: Arc<Shapes>, mixing: Option<Arc<Mixing>>, lattice: &Lattice) -> Self {
        let tables = LatticeTables::new(&shapes, lattice);
        Self { shapes, mixing, tables }
    }

    /// Amplitudes of the lowest modes, as many as are given → field (nx, ny).
    pub fn superpose(&self, amplitudes: &[Complex64]) -> Array2<Complex64> {
        match &self.mixing {
            None => self.superpose_bare(amplitudes),
            Some(mixing) => self.superpose_bare(&mixing.lowest_amplitudes(amplitudes)),
        }
    }

    /// Field (nx, ny) → `Σ field φ` of the `count` lowest modes.
    pub fn project(&self, field: &Array2<Complex64>, count: usize) -> Vec<Complex64> {
        match &self.mixing {
            None => self.project_bare(field, count),
            Some(mixing) => mixing.lowest_values(&self.project_bare(field, self.shapes.count()), count),
        }
    }

    /// Nodes along x and y.
    pub fn shape(&self) -> (usize, usize) {
        (self.tables.x.nrows(), self.tables.y.nrows())
    }

    /// What the middle lines x = W/2 and y = H/2 make of each mode: 1 where it is its own mirror image, −1 where the negative of it, 0 where neither, and
    /// then it is 0 for all modes. The lattice is taken to be its own mirror image.
    pub fn parities(&self) -> Vec<[i8; 2]> {
        match self.mixing {
            Some(_) => vec![[0; 2]; self.shapes.count()],
            None => self.shapes.parities([&self.tables.x, &self.tables.y]),
        }
    }

    /// Shapes of the `count` lowest modes on the first nodes along x and y, as many as `corner` says: (modes, nodes), kg^−½.
    pub fn fields(&self, count: usize, corner: (usize, usize)) -> Array2<f32> {
        let homes = self.shapes.homes();
        let mut fields = Array2::zeros((count, corner.0 * corner.1));
        fields.outer_iter_mut().into_par_iter().enumerate().for_each(|(n, mut row)| {
            let field = match &self.mixing {
                None => self.field(homes[n], corner),
                Some(_) => {
                    let mut alone = vec![Complex64::ZERO; n + 1];
                    alone[n] = Complex64::ONE;
                    self.superpose(&alone).slice(s![..corner.0, ..corner.1]).mapv(|z| z.re)
                }
            };
            row.iter_mut().zip(&field).for_each(|(value, &own)| *value = own as f32);
        });
        fields
    }

    /// Shape of the bare mode in row k of block b, on a corner.
    fn field(&self, (b, k): (usize, usize), corner: (usize, usize)) -> Array2<f64> {
        let block = &self.shapes.blocks()[b];
        let (x, y) = (&self.shapes.x, &self.shapes.y);
        let mut wide = Array2::zeros((x.classes[block.x_class].len(), y.classes[block.y_class].len()));
        block.products.iter().zip(block.coefficients.row(k)).for_each(|(&at, &c)| wide[at] = c);
        let own = |table: &Array2<f64>, nodes: usize, first: usize, count: usize| {
            table.slice(s![..nodes, first..first + count]).to_owned()
        };
        let along_x = own(&self.tables.x, corner.0, x.offset(block.x_class), wide.nrows());
        let along_y = own(&self.tables.y, corner.1, y.offset(block.y_class), wide.ncols());
        along_x.dot(&wide.dot(&along_y.t()))
    }

    fn superpose_bare(&self, amplitudes: &[Complex64]) -> Array2<Complex64> {
        let shapes = &self.shapes;
        let mut wide = [0, 1].map(|_| Array2::zeros((shapes.x.len(), shapes.y.len())));
        for block in shapes.blocks() {
            let own = &block.places()[..block.lowest(amplitudes.len())];
            let factors: Vec<Complex64> = own.iter().map(|&place| amplitudes[place]).collect();
            for (wide, sums) in wide.iter_mut().zip(block.streamed().sum_of_rows(&factors)) {
                block.cells(shapes).zip(sums).for_each(|(cell, sum)| wide[cell] = sum);
            }
        }
        let [re, im] = wide.map(|wide| self.tables.synthesise(&wide));
        Zip::from(&re).and(&im).map_collect(|&re, &im| Complex64::new(re, im))
    }

    fn project_bare(&self, field: &Array2<Complex64>, count: usize) -> Vec<Complex64> {
        let analysed = [field.mapv(|z| z.re), field.mapv(|z| z.im)].map(|part| self.tables.analyse(&part));
        let mut values = vec![Complex64::ZERO; count];
        for block in self.shapes.blocks() {
            let own = &block.places()[..block.lowest(count)];
            let parts: [Vec<f64>; 2] =
                [0, 1].map(|part| block.cells(&self.shapes).map(|cell| analysed[part][cell]).collect());
            let sums = block.streamed().along_rows(parts, own.len());
            own.iter().zip(sums).for_each(|(&place, sum)| values[place] = sum);
        }
        values
    }
}

/// Line functions at the nodes of a lattice.
#[derive(Clone, Debug)]
pub(super) struct LatticeTables {
    /// (nx, x functions).
    x: Array2<f64>,
    /// (ny, y functions).
    y: Array2<f64>,
}

impl LatticeTables {
    pub fn new(shapes: &Shapes, lattice: &Lattice) -> Self {
        Self {
            x: shapes.x.table(&lattice.x.nodes.to_vec(), 0),
            y: shapes.y.table(&lattice.y.nodes.to_vec(), 0),
        }
    }

    /// Coefficients (x functions, y functions) → field (nx, ny).
    pub fn synthesise(&self, wide: &Array2<f64>) -> Array2<f64> {
        self.x.dot(&wide.dot(&self.y.t()))
    }

    /// Adjoint of [`synthesise`](Self::synthesise).
    pub fn analyse(&self, field: &Array2<f64>) -> Array2<f64> {
        self.x.t().dot(&field.dot(&self.y))
    }
}
