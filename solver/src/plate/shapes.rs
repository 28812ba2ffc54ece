//! Mode shapes kept as coefficients, and everything that is evaluated from them by small matrix products.

use super::Footprint;
use super::line_basis::LineBasis;
use super::probes::Probes;
use super::product_basis::BlockPlan;
use super::sampled::LatticeTables;
use super::streamed::Streamed;
use ndarray::{Array2, Array3, ArrayView2, ArrayView3, Axis as Along, Zip, concatenate, s};
use num_complex::Complex64;
use panelwright_mesh::Lattice;
use rayon::prelude::*;
use std::ops::Range;
use std::sync::OnceLock;

/// Modes of one symmetry block.
#[derive(Clone, Debug)]
pub(super) struct Block {
    pub x_class: usize,
    pub y_class: usize,
    /// Functions along x and y within their classes.
    pub products: Vec<(usize, usize)>,
    /// (modes of this block, products), mass-normalised.
    pub coefficients: Array2<f64>,
    /// The coefficients for products with one vector, made at the first of them.
    streamed: OnceLock<Streamed>,
    /// Place of each mode among all modes.
    places: Vec<usize>,
}

/// All modes in terms of the line functions.
#[derive(Clone, Debug)]
pub(super) struct Shapes {
    pub x: Directions,
    pub y: Directions,
    blocks: Vec<Block>,
    count: usize,
}

/// The classes of one direction laid side by side.
#[derive(Clone, Debug)]
pub(super) struct Directions {
    pub classes: Vec<LineBasis>,
    /// First column of each class.
    offsets: Vec<usize>,
}

impl Directions {
    pub fn new(classes: Vec<LineBasis>) -> Self {
        let offsets =
            classes.iter().scan(0, |next, class| Some(std::mem::replace(next, *next + class.len())));
        Self { offsets: offsets.collect(), classes }
    }

    pub fn len(&self) -> usize {
        self.classes.iter().map(LineBasis::len).sum()
    }

    /// Derivatives of `order` 0, 1 or 2 (points, functions of all classes) at coordinates [m].
    pub fn table(&self, coordinates: &[f64], order: usize) -> Array2<f64> {
        let tables: Vec<_> = self.classes.iter().map(|class| class.table(coordinates, order)).collect();
        let views: Vec<_> = tables.iter().map(|table| table.view()).collect();
        concatenate(Along(1), &views).expect("all tables have one row per point")
    }

    pub fn offset(&self, class: usize) -> usize {
        self.offsets[class]
    }

    /// Parity of a class about the middle between the first and the last node of `table` (nodes, functions), 0 where there is but one class.
    fn parity(&self, class: usize, table: &Array2<f64>) -> i8 {
        if self.classes.len() < 2 {
            return 0;
        }
        let first = self.offset(class);
        let ends = (first..first + self.classes[class].len())
            .map(|column| (table[(0, column)], table[(table.nrows() - 1, column)]));
        let product: f64 = ends.map(|(near, far)| near * far).sum();
        if product > 0.0 { 1 } else { -1 }
    }
}

impl Block {
    /// From coefficients (modes, products).
    pub fn new(plan: BlockPlan, coefficients: Array2<f64>) -> Self {
        let BlockPlan { x_class, y_class, products, .. } = plan;
        Self::of_products([x_class, y_class], products, coefficients)
    }

    /// From products of the functions of two classes and coefficients (modes, products).
    pub fn of_products(
        [x_class, y_class]: [usize; 2],
        products: Vec<(usize, usize)>,
        coefficients: Array2<f64>,
    ) -> Self {
        Self { x_class, y_class, products, coefficients, streamed: OnceLock::new(), places: vec![] }
    }

    /// Place of each mode among all modes.
    pub fn places(&self) -> &[usize] {
        &self.places
    }

    pub fn streamed(&self) -> &Streamed {
        self.streamed.get_or_init(|| Streamed::new(&self.coefficients))
    }

    /// How many of this block's modes are among the `count` lowest of all.
    pub fn lowest(&self, count: usize) -> usize {
        self.places.partition_point(|&place| place < count)
    }

    /// Columns of the wide coefficient matrix (all x functions, all y functions) that belong to each product.
    pub fn cells<'a>(&'a self, shapes: &'a Shapes) -> impl Iterator<Item = (usize, usize)> + 'a {
        let (x0, y0) = (shapes.x.offset(self.x_class), shapes.y.offset(self.y_class));
        self.products.iter().map(move |&(i, j)| (x0 + i, y0 + j))
    }
}

impl Shapes {
    /// Merges the solved blocks (eigenvalues and modes): ascending eigenvalues, ties in the order of the blocks.
    pub fn in_order(
        x: Vec<LineBasis>,
        y: Vec<LineBasis>,
        solved: Vec<(Vec<f64>, Block)>,
    ) -> (Vec<f64>, Self) {
        let mut order: Vec<(f64, usize, usize)> = (solved.iter().enumerate())
            .flat_map(|(b, (values, _))| values.iter().enumerate().map(move |(k, &value)| (value, b, k)))
            .collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0)); // stable
        let mut blocks: Vec<Block> = solved.into_iter().map(|(_, block)| block).collect();
        for block in &mut blocks {
            block.places = vec![0; block.coefficients.nrows()];
        }
        for (place, &(_, b, k)) in order.iter().enumerate() {
            blocks[b].places[k] = place;
        }
        let values: Vec<f64> = order.into_iter().map(|(value, ..)| value).collect();
        let count = values.len();
        (values, Self { x: Directions::new(x), y: Directions::new(y), blocks, count })
    }

    /// The solved blocks.
    pub fn blocks(&self) -> &[Block] {
        &self.blocks
    }

    /// Shapes averaged over footprints: (footprints, modes).
    pub fn averaged(&self, footprints: &[Footprint]) -> Array2<f64> {
        self.at_probes(&Probes::new(&self.x, &self.y, footprints))
    }

    /// Second derivatives ∂²/∂x², ∂²/∂y², ∂²/∂x∂y of the shapes at points: (points, modes) each, kg^−½ m⁻².
    pub fn curvatures(&self, points: &[[f64; 2]]) -> [Array2<f64>; 3] {
        let points: Vec<Footprint> = points.iter().map(|&point| Footprint::point(point)).collect();
        [[2, 0], [0, 2], [1, 1]]
            .map(|orders| self.at_probes(&Probes::derived(&self.x, &self.y, &points, orders)))
    }

    /// What the middle lines of the panel make of each mode: 1 where it is its own mirror image, −1 where the negative of it, 0 where the panel is no mirror
    /// image of itself. `tables` are the line functions along x and y at nodes of which the first and the last mirror each other.
    pub fn parities(&self, [x, y]: [&Array2<f64>; 2]) -> Vec<[i8; 2]> {
        let mut parities = vec![[0; 2]; self.count];
        for block in &self.blocks {
            let own = [self.x.parity(block.x_class, x), self.y.parity(block.y_class, y)];
            block.places.iter().for_each(|&place| parities[place] = own);
        }
        parities
    }

    /// Memory [bytes], with the coefficients for products with one vector.
    pub fn bytes(&self) -> usize {
        self.blocks.iter().map(|block| 12 * block.coefficients.len() + 16 * block.products.len()).sum()
    }

    /// Number of modes.
    pub fn count(&self) -> usize {
        self.count
    }

    fn at_probes(&self, probes: &Probes) -> Array2<f64> {
        let mut values = Array2::zeros((probes.len(), self.count));
        let of_block =
            |block: &Block| probes.rows(block.cells(self), block.products.len()).dot(&block.coefficients.t());
        let parts: Vec<Array2<f64>> = self.blocks.par_iter().map(of_block).collect();
        for (block, columns) in self.blocks.iter().zip(parts) {
            for (column, &place) in columns.axis_iter(Along(1)).zip(&block.places) {
                values.column_mut(place).assign(&column);
            }
        }
        values
    }

    /// Shapes of some modes on a lattice: (modes, nx, ny).
    pub fn on(&self, lattice: &Lattice, range: Range<usize>) -> Array3<f64> {
        let tables = LatticeTables::new(self, lattice);
        let (nx, ny) = lattice.shape();
        let mut fields = Array3::zeros((range.len(), nx, ny));
        let homes = self.homes();
        fields.axis_iter_mut(Along(0)).into_par_iter().zip(range).for_each(|(mut field, place)| {
            let (b, k) = homes[place];
            let block = &self.blocks[b];
            let wide =
                self.wide(block.cells(self).zip(block.coefficients.row(k)).map(|(cell, &c)| (cell, c)));
            field.assign(&tables.synthesise(&wide));
        });
        fields
    }

    /// Amplitudes (frequencies, modes) → fields (frequencies, nx, ny).
    pub fn superpose(&self, amplitudes: ArrayView2<Complex64>, lattice: &Lattice) -> Array3<Complex64> {
        let tables = LatticeTables::new(self, lattice);
        let (nx, ny) = lattice.shape();
        let sums: Vec<[Array2<f64>; 2]> =
            self.blocks.par_iter().map(|block| block.coefficient_sums(amplitudes)).collect();
        let mut fields = Array3::zeros((amplitudes.nrows(), nx, ny));
        fields.axis_iter_mut(Along(0)).into_par_iter().enumerate().for_each(|(f, mut field)| {
            let [re, im] = [0, 1].map(|part| {
                let cells = self.blocks.iter().zip(&sums).flat_map(|(block, sums)| {
                    block.cells(self).zip(sums[part].row(f)).map(|(cell, &c)| (cell, c))
                });
                tables.synthesise(&self.wide(cells))
            });
            Zip::from(&mut field).and(&re).and(&im).for_each(|z, &re, &im| *z = Complex64::new(re, im));
        });
        fields
    }

    /// Fields (fields, nx, ny) → `Σ field φ` of the `count` lowest modes (fields, modes).
    pub fn project(
        &self,
        fields: ArrayView3<Complex64>,
        lattice: &Lattice,
        count: usize,
    ) -> Array2<Complex64> {
        let tables = LatticeTables::new(self, lattice);
        let analysed: Vec<[Array2<f64>; 2]> = (fields.axis_iter(Along(0)).into_par_iter())
            .map(|field| [field.mapv(|z| z.re), field.mapv(|z| z.im)].map(|part| tables.analyse(&part)))
            .collect();
        let parts: Vec<Array2<f64>> =
            self.blocks.par_iter().map(|block| block.modal_sums(self, &analysed, count)).collect();
        let mut values = Array2::zeros((fields.dim().0, count));
        for (block, part) in self.blocks.iter().zip(&parts) {
            let (re, im) = part.view().split_at(Along(0), analysed.len());
            for (k, &place) in block.places[..block.lowest(count)].iter().enumerate() {
                Zip::from(values.column_mut(place))
                    .and(re.column(k))
                    .and(im.column(k))
                    .for_each(|z, &re, &im| *z = Complex64::new(re, im));
            }
        }
        values
    }

    /// Block and row of every mode.
    pub fn homes(&self) -> Vec<(usize, usize)> {
        let mut homes = vec![(0, 0); self.count];
        for (b, block) in self.blocks.iter().enumerate() {
            for (k, &place) in block.places.iter().enumerate() {
                homes[place] = (b, k);
            }
        }
        homes
    }

    /// Coefficients laid out over all x functions by all y functions.
    pub fn wide(&self, cells: impl Iterator<Item = ((usize, usize), f64)>) -> Array2<f64> {
        let mut wide = Array2::zeros((self.x.len(), self.y.len()));
        for (cell, value) in cells {
            wide[cell] = value;
        }
        wide
    }
}

impl Block {
    /// Real and imaginary part of the sums over this block's modes: (frequencies, products) each.
    fn coefficient_sums(&self, amplitudes: ArrayView2<Complex64>) -> [Array2<f64>; 2] {
        let own = amplitudes.select(Along(1), &self.places);
        [own.mapv(|z| z.re), own.mapv(|z| z.im)].map(|part| part.dot(&self.coefficients))
    }

    /// Projections on those of this block's modes that are among the `count` lowest of all: (fields, modes), real parts above the imaginary ones.
    fn modal_sums(&self, shapes: &Shapes, analysed: &[[Array2<f64>; 2]], count: usize) -> Array2<f64> {
        let mut rows = Array2::zeros((2 * analysed.len(), self.products.len()));
        let parts = [0, 1].into_iter().flat_map(|part| analysed.iter().map(move |wide| &wide[part]));
        for (mut row, wide) in rows.axis_iter_mut(Along(0)).zip(parts) {
            row.iter_mut().zip(self.cells(shapes)).for_each(|(value, cell)| *value = wide[cell]);
        }
        // One product: the coefficients are laid out for it only once.
        rows.dot(&self.coefficients.slice(s![..self.lowest(count), ..]).t())
    }
}
