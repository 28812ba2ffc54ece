//! One symmetry block: its matrices, its modes, and where they store their energy.

use super::Integrals;
use super::plan::{BlockPlan, Rigid};
use super::supports::SupportTable;
use crate::linalg::{
    LapackFailure, Selection, congruent, eigenpairs_up_to, independent, solve_lower, solve_lower_transposed,
};
use crate::plate::EnergyPart;
use nalgebra::DMatrix;
use ndarray::{Array1, Array2, Axis as Along, s};
use rayon::prelude::*;

/// A cosine is left out when less than this share of its own square norm is new. Rounding of the integrals is 1e-13; the
/// field is then met within the root of it, eigenvalues within about the share itself.
const NEW: f64 = 1e-11;

/// Weight of rigid motions in the pivoting, so that they come first whatever the outline is.
const FIRST: f64 = 1e6;

/// Unknowns of a block with all their integrals.
pub(super) struct BlockMatrices<'a> {
    integrals: &'a Integrals<'a>,
    block: &'a BlockPlan,
    /// Wavenumbers [rad/m] of the waves.
    wavenumbers: Vec<[f64; 2]>,
    /// Factor that gives every function a unit norm (rigid motions a larger one).
    scale: Vec<f64>,
}

/// One unknown.
#[derive(Clone, Copy)]
enum Function {
    Rigid(Rigid),
    Wave([usize; 2], [f64; 2]),
}

/// Modes of one block.
pub(super) struct BlockModes {
    /// Eigenvalues ω² [rad²/s²].
    pub values: Vec<f64>,
    /// (modes, products), orthonormal over the area.
    pub coefficients: Array2<f64>,
    /// Shares of the strain energy (modes, parts).
    pub energy: Array2<f64>,
    /// Share of the supports times their loss factor.
    pub support_loss: Vec<f64>,
}

/// Independent functions and the stiffness between their orthonormal combinations.
#[derive(Debug)]
pub(super) struct Reduced {
    /// Picked unknowns and their factor.
    pub selection: Selection,
    /// Orthonormal rigid motions come first, turned by this matrix so that those that nothing resists lead.
    turn: DMatrix<f64>,
    /// How many nothing resists; they are left out of the stiffness.
    pub loose: usize,
    /// Stiffness over surface mass [s⁻²], lower triangle.
    pub stiffness: Array2<f64>,
}

impl<'a> BlockMatrices<'a> {
    pub fn new(integrals: &'a Integrals<'a>, block: &'a BlockPlan) -> Self {
        let spans = &integrals.plan.spans;
        let wavenumbers =
            block.waves.iter().map(|&[n, m]| [spans[0].wavenumber(n), spans[1].wavenumber(m)]).collect();
        let mut matrices = Self { integrals, block, wavenumbers, scale: vec![] };
        let scale = |i: usize| {
            let weight = if i < block.rigid.len() { FIRST } else { 1.0 };
            let square = matrices.mass(i, i);
            if square > 0.0 { weight / square.sqrt() } else { 0.0 }
        };
        matrices.scale = (0..block.len()).map(scale).collect();
        matrices
    }

    fn function(&self, i: usize) -> Function {
        match i.checked_sub(self.block.rigid.len()) {
            Some(wave) => Function::Wave(self.block.waves[wave], self.wavenumbers[wave]),
            None => Function::Rigid(self.block.rigid[i]),
        }
    }

    /// `∫ φ φ′ dS`.
    fn mass(&self, i: usize, j: usize) -> f64 {
        let Integrals { area, rigid, .. } = self.integrals;
        match (self.function(i), self.function(j)) {
            (Function::Wave(p, _), Function::Wave(q, _)) => area.pair(p, q).cosines(),
            (Function::Rigid(a), Function::Wave(p, _)) | (Function::Wave(p, _), Function::Rigid(a)) => {
                rigid.with_wave(area, a, p)
            }
            (Function::Rigid(a), Function::Rigid(b)) => rigid.between(a, b),
        }
    }

    /// Energy of bending along x (with half of D12) and of twisting between two unknowns, over surface mass.
    fn bending_parts(&self, i: usize, j: usize) -> [f64; 3] {
        let (Function::Wave(p, [a, b]), Function::Wave(q, [c, d])) = (self.function(i), self.function(j))
        else {
            return [0.0; 3];
        };
        let section = self.integrals.region.section;
        let pair = self.integrals.area.pair(p, q);
        let (straight, twisted) =
            (pair.cosines() / section.surface_mass, pair.sines() / section.surface_mass);
        let coupled = 0.5 * section.d12 * (a * a * d * d + b * b * c * c);
        [
            straight * (section.d11 * a * a * c * c + coupled),
            straight * (section.d22 * b * b * d * d + coupled),
            4.0 * section.d66 * twisted * a * b * c * d,
        ]
    }

    fn support(&self, table: &SupportTable, i: usize, j: usize) -> f64 {
        match (self.function(i), self.function(j)) {
            (Function::Wave(p, _), Function::Wave(q, _)) => table.between_waves(p, q),
            (Function::Rigid(a), Function::Wave(p, _)) | (Function::Wave(p, _), Function::Rigid(a)) => {
                table.with_wave(a, p)
            }
            (Function::Rigid(a), Function::Rigid(b)) => table.between_rigid(a, b),
        }
    }

    fn stiffness(&self, i: usize, j: usize) -> f64 {
        let supports = self.integrals.supports.elastic().map(|table| self.support(table, i, j));
        self.bending_parts(i, j).iter().sum::<f64>() + supports.sum::<f64>()
    }

    /// Picks the independent functions and expresses the stiffness in their orthonormal combinations.
    pub fn reduced(&self) -> Result<Reduced, LapackFailure> {
        let scaled = |value: f64, i: usize, j: usize| self.scale[i] * self.scale[j] * value;
        let gram = lower_triangle(self.block.len(), |i, j| scaled(self.mass(i, j), i, j));
        let selection = independent(gram, NEW)?;
        let picked = &selection.picked;
        let mut stiffness = lower_triangle(picked.len(), |i, j| {
            scaled(self.stiffness(picked[i], picked[j]), picked[i], picked[j])
        });
        congruent(&mut stiffness, &selection.factor)?;
        let rigid = picked.iter().take_while(|&&i| i < self.block.rigid.len()).count();
        let omega = self.integrals.plan.omega;
        let (turn, loose) = loosened(&mut stiffness, rigid, f64::EPSILON * omega * omega);
        let stiffness = stiffness.slice(s![loose.., loose..]).as_standard_layout().into_owned();
        Ok(Reduced { selection, turn, loose, stiffness })
    }

    /// Modes with eigenvalues up to `limit`, rigid ones first.
    pub fn modes(&self, limit: f64) -> Result<BlockModes, LapackFailure> {
        let reduced = self.reduced()?;
        let pairs = eigenpairs_up_to(reduced.stiffness.clone(), limit)?;
        let (rigid, selection) = (reduced.loose, &reduced.selection);
        let (count, size) = (pairs.values.len() + rigid, selection.picked.len());
        let mut vectors = Array2::zeros((count, size));
        (0..rigid).for_each(|i| vectors[(i, i)] = 1.0);
        vectors.slice_mut(s![rigid.., rigid..]).assign(&pairs.vectors);
        turned_back(&reduced.turn, &mut vectors);
        solve_lower_transposed(&selection.factor, &mut vectors)?;
        let mut coefficients = Array2::zeros((count, self.block.len()));
        for (column, &i) in vectors.axis_iter(Along(1)).zip(&selection.picked) {
            coefficients.column_mut(i).assign(&(&column * self.scale[i]));
        }
        Ok(self.with_energies(pairs.values, rigid, coefficients, limit))
    }

    /// Corrects the eigenvalues for the compliance of ideal supports and shares out the energy.
    fn with_energies(
        &self,
        values: Array1<f64>,
        rigid: usize,
        coefficients: Array2<f64>,
        limit: f64,
    ) -> BlockModes {
        let supports = &self.integrals.supports;
        let elastic = coefficients.slice(s![rigid.., ..]).t().as_standard_layout().into_owned();
        let of_table = |table: &Option<SupportTable>| match table {
            Some(table) => self.energies(&elastic, |i, j| self.support(table, i, j)),
            None => Array1::zeros(elastic.ncols()),
        };
        let [ideal, strips, lost] = [&supports.ideal, &supports.strips, &supports.strip_losses].map(of_table);
        let along_x = self.energies(&elastic, |i, j| self.bending_parts(i, j)[0]);
        let twist = self.energies(&elastic, |i, j| self.bending_parts(i, j)[2]);
        let along_y = &values - &along_x - &twist - &ideal - &strips;
        let mut energy = Array2::zeros((coefficients.nrows(), EnergyPart::COUNT));
        let mut support_loss = vec![0.0; coefficients.nrows()];
        for k in 0..values.len() {
            let total = (values[k] - ideal[k]).max(f64::MIN_POSITIVE);
            let mut row = energy.row_mut(rigid + k);
            row[EnergyPart::BendingX.column()] = along_x[k] / total;
            row[EnergyPart::BendingY.column()] = along_y[k] / total;
            row[EnergyPart::Twisting.column()] = twist[k] / total;
            row[EnergyPart::Supports.column()] = strips[k] / total;
            support_loss[rigid + k] = lost[k] / total;
        }
        let floor = f64::EPSILON * limit; // rounding must not make an elastic mode rigid
        let corrected = values.iter().zip(&ideal).map(|(value, ideal)| (value + ideal).max(floor));
        let values = std::iter::repeat_n(0.0, rigid).chain(corrected).collect();
        BlockModes { values, coefficients, energy, support_loss }
    }

    /// `cᵀ A c` of every column c of `vectors` (products, modes), A built in stripes.
    fn energies(&self, vectors: &Array2<f64>, entry: impl Fn(usize, usize) -> f64 + Sync) -> Array1<f64> {
        const STRIPE: usize = 64;
        let size = self.block.len();
        let starts: Vec<usize> = (0..size).step_by(STRIPE).collect();
        let parts: Vec<Array1<f64>> = (starts.into_par_iter())
            .map(|start| {
                let end = (start + STRIPE).min(size);
                // Left of its diagonal block the stripe counts twice, for the part above the diagonal.
                let stripe = Array2::from_shape_fn((end - start, end), |(i, j)| {
                    let twice = if j < start { 2.0 } else { 1.0 };
                    twice * entry(start + i, j)
                });
                let image = stripe.dot(&vectors.slice(s![..end, ..]));
                (&image * &vectors.slice(s![start..end, ..])).sum_axis(Along(0))
            })
            .collect();
        parts.into_iter().fold(Array1::zeros(vectors.ncols()), |sum, part| sum + part)
    }

    pub fn scale(&self) -> &[f64] {
        &self.scale
    }
}

impl Reduced {
    /// Takes values of the picked functions (points, functions) to the combinations that the stiffness is written in.
    pub fn combined(&self, rows: &mut Array2<f64>) -> Result<Array2<f64>, LapackFailure> {
        solve_lower(&self.selection.factor, rows)?;
        turned_back(&self.turn.transpose(), rows);
        Ok(rows.slice(s![.., self.loose..]).as_standard_layout().into_owned())
    }
}

/// Turns the first `rigid` unknowns of a stiffness (lower triangle) so that motions without energy come first; the matrix of
/// the turn and the number of those motions. Energies up to `nothing`, or up to rounding of the largest, count as none.
fn loosened(stiffness: &mut Array2<f64>, rigid: usize, nothing: f64) -> (DMatrix<f64>, usize) {
    const ROUNDING: f64 = 1e-13;
    if rigid == 0 {
        return (DMatrix::zeros(0, 0), 0);
    }
    let among = DMatrix::from_fn(rigid, rigid, |i, j| stiffness[(i.max(j), i.min(j))]);
    let eigen = among.symmetric_eigen();
    let mut order: Vec<usize> = (0..rigid).collect();
    order.sort_by(|&a, &b| eigen.eigenvalues[a].total_cmp(&eigen.eigenvalues[b]));
    let turn = DMatrix::from_fn(rigid, rigid, |i, j| eigen.eigenvectors[(i, order[j])]);
    let energies: Vec<f64> = order.iter().map(|&k| eigen.eigenvalues[k]).collect();
    let limit = nothing.max(ROUNDING * energies[rigid - 1]);
    let mut columns = stiffness.slice(s![rigid.., ..rigid]).to_owned();
    turned_back(&turn.transpose(), &mut columns);
    stiffness.slice_mut(s![rigid.., ..rigid]).assign(&columns);
    for (i, j) in (0..rigid).flat_map(|i| (0..=i).map(move |j| (i, j))) {
        stiffness[(i, j)] = if i == j { energies[i] } else { 0.0 };
    }
    (turn, energies.iter().take_while(|&&energy| energy <= limit).count())
}

/// Replaces the first values z of every row by `turn z`.
fn turned_back(turn: &DMatrix<f64>, rows: &mut Array2<f64>) {
    let size = turn.nrows();
    for mut row in rows.rows_mut() {
        let before: Vec<f64> = row.iter().take(size).copied().collect();
        for i in 0..size {
            row[i] = (0..size).map(|j| turn[(i, j)] * before[j]).sum();
        }
    }
}

/// A symmetric matrix of which only the lower triangle is filled, row by row in parallel.
fn lower_triangle(size: usize, entry: impl Fn(usize, usize) -> f64 + Sync) -> Array2<f64> {
    let mut matrix = Array2::zeros((size, size));
    matrix.axis_iter_mut(Along(0)).into_par_iter().enumerate().for_each(|(i, mut row)| {
        row.iter_mut().take(i + 1).enumerate().for_each(|(j, value)| *value = entry(i, j));
    });
    matrix
}
