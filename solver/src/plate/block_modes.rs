//! Modes of one symmetry block.

use super::line_tables::LineTables;
use super::product_basis::BlockPlan;
use super::reduced::{Lag, PlateEnergy, Reduced, Sheared, angles_of};
use super::strain::{Frame, Products};
use crate::dense;
use crate::linalg::{Eigenpairs, LapackFailure, eigenpairs_up_to};
use ndarray::{Array1, Array2, ArrayView2, Axis, concatenate, s};

/// Modes of a block, rigid ones first, ascending.
pub(super) struct BlockModes {
    /// Eigenvalues ω² [s⁻²].
    pub values: Vec<f64>,
    /// Coefficients of the deflection (modes, products), with unit kinetic energy `½ ω²` per surface mass.
    pub coefficients: Array2<f64>,
    /// Twice the strain energy of each mode by terms: (modes, terms); 0 for rigid modes.
    pub energies: Array2<f64>,
}

/// Eigenvalues below this share of the largest are taken again from the energies of their modes: rounding of the eigensolver is
/// relative to the largest one, and soft supports and long, narrow or very orthotropic plates lie far below it. What is not taken
/// again is good to about 1e-8.
const SMALL: f64 = 1e-7;

/// How far above the limit modes are sought before the shear angles' lag lowers them.
pub(super) const LAG_MARGIN: f64 = 1.3;

impl BlockModes {
    /// All modes of `block` with eigenvalues up to `limit` [s⁻²].
    pub fn solve(
        block: &BlockPlan,
        (x, y): (&LineTables, &LineTables),
        energy: &PlateEnergy,
        reduced: Reduced,
        limit: f64,
    ) -> Result<Self, LapackFailure> {
        let loose = block.loose.len().max(usize::from(block.rigid));
        let Solved { values, coefficients, angles } =
            Solved::of(reduced, usize::from(block.rigid), limit)?.up_to(limit, loose);
        let kept = values.len();
        let mut parts: Vec<(Products, Array2<f64>)> = vec![(block.deflection(), coefficients.clone())];
        let cells = angles.as_ref().map(|_| block.shear_cells(x, y)).unwrap_or_default();
        if let Some(angles) = angles {
            let cut = cells[0].len();
            let halves = [angles.slice(s![.., ..cut]).to_owned(), angles.slice(s![.., cut..]).to_owned()];
            parts.extend(angles_of(&cells).into_iter().zip(halves));
        }
        let borrowed: Vec<(Products, &Array2<f64>)> = parts.iter().map(|(p, c)| (*p, c)).collect();
        let mut energies = Frame { x, y }.energies(&energy.strain, &borrowed);
        energies.slice_mut(s![..loose.min(kept), ..]).fill(0.0);
        Ok(Self { values: values.to_vec(), coefficients, energies })
    }
}

/// Modes in orthonormal functions.
pub(super) struct Solved {
    /// Eigenvalues ω² [s⁻²].
    pub values: Array1<f64>,
    /// Coefficients of the deflection (modes, functions), with unit kinetic energy `½ ω²` per surface mass.
    pub coefficients: Array2<f64>,
    /// Shear angles of each mode (modes, functions); `None` for a thin plate.
    pub angles: Option<Array2<f64>>,
}

impl Solved {
    /// Modes of a block whose first `rigid` functions store no energy. Some lie above the limit.
    pub fn of(reduced: Reduced, rigid: usize, limit: f64) -> Result<Self, LapackFailure> {
        match &reduced.shear {
            None => thin(reduced.stiffness, rigid, limit),
            Some(shear) => sheared(reduced.stiffness, shear, rigid, limit),
        }
    }

    /// Parts of one list of modes, in order; all have angles or none has.
    pub fn gathered(parts: &[Self]) -> Self {
        let values = parts.iter().flat_map(|part| part.values.iter().copied()).collect();
        let stacked = |rows: Vec<ArrayView2<f64>>| concatenate(Axis(0), &rows).expect("rows of one length");
        let coefficients = stacked(parts.iter().map(|part| part.coefficients.view()).collect());
        let angles: Option<Vec<ArrayView2<f64>>> =
            parts.iter().map(|part| part.angles.as_ref().map(|angles| angles.view())).collect();
        Self { values, coefficients, angles: angles.map(stacked) }
    }

    /// Those up to the limit, ascending; the first `loose` have the eigenvalue 0.
    pub fn up_to(self, limit: f64, loose: usize) -> Self {
        let floor = f64::EPSILON * limit; // rounding must not make an elastic mode rigid
        let value = |n: usize| if n < loose { 0.0 } else { self.values[n].max(floor) };
        let mut kept: Vec<usize> = (0..self.values.len()).filter(|&n| value(n) <= limit).collect();
        // The lag of the shear angles may let one mode fall below another. Stable: loose ones stay in front.
        kept.sort_by(|&a, &b| value(a).total_cmp(&value(b)));
        let (cut, cut_angles) = rayon::join(
            || self.coefficients.select(Axis(0), &kept),
            || self.angles.as_ref().map(|angles| angles.select(Axis(0), &kept)),
        );
        Self { values: kept.iter().map(|&n| value(n)).collect(), coefficients: cut, angles: cut_angles }
    }
}

/// M = 1; a rigid product is its own mode.
fn thin(stiffness: Array2<f64>, rigid: usize, limit: f64) -> Result<Solved, LapackFailure> {
    let elastic = stiffness.slice_move(s![rigid.., rigid..]).as_standard_layout().into_owned();
    let pairs = refined_pairs(elastic, limit)?;
    let mut coefficients = Array2::zeros((pairs.vectors.nrows() + rigid, pairs.vectors.ncols() + rigid));
    coefficients.slice_mut(s![rigid.., rigid..]).assign(&pairs.vectors);
    for r in 0..rigid {
        coefficients[(r, r)] = 1.0;
    }
    let values = std::iter::repeat_n(0.0, rigid).chain(pairs.values).collect();
    Ok(Solved { values, coefficients, angles: None })
}

/// `K φ = Λ M φ` with `M = L Lᵀ`: in `y = Lᵀ φ` the first product stays a mode of its own if it is rigid.
fn sheared(
    stiffness: Array2<f64>,
    shear: &Sheared,
    rigid: usize,
    limit: f64,
) -> Result<Solved, LapackFailure> {
    let mut factor = shear.mass.clone();
    dense::cholesky(&mut factor)?;
    let mut elastic = dense::symmetric(&stiffness.slice(s![rigid.., rigid..]));
    dense::congruent(factor.slice(s![rigid.., rigid..]), &mut elastic)?;
    let pairs = refined_pairs(elastic, LAG_MARGIN * limit)?;
    let mut modes = Array2::zeros((pairs.vectors.nrows() + rigid, factor.nrows()));
    modes.slice_mut(s![rigid.., rigid..]).assign(&pairs.vectors);
    for r in 0..rigid {
        modes[(r, r)] = 1.0;
    }
    dense::solve_lower_transposed(factor.view(), &mut modes)?;
    let values: Array1<f64> = std::iter::repeat_n(0.0, rigid).chain(pairs.values).collect();
    let Lag { values, kinetic, mut modes, mut angles } = shear.lag(&values, modes, limit)?;
    let norm = kinetic.mapv(|kinetic| kinetic.sqrt().recip()).insert_axis(Axis(1));
    modes *= &norm;
    angles *= &norm;
    Ok(Solved { values, coefficients: modes, angles: Some(angles) })
}

/// Eigenpairs up to `limit`, the smallest of them taken again from a Rayleigh–Ritz step among themselves.
pub(super) fn refined_pairs(matrix: Array2<f64>, limit: f64) -> Result<Eigenpairs, LapackFailure> {
    let mut pairs = eigenpairs_up_to(matrix.clone(), limit)?;
    // The largest eigenvalue is no smaller than the largest value of the diagonal.
    let largest = matrix.diag().iter().copied().fold(0.0, f64::max);
    let small = pairs.values.iter().take_while(|&&value| value < SMALL * largest).count();
    if small > 0 {
        let vectors = pairs.vectors.slice(s![..small, ..]).to_owned();
        let energy = vectors
            .dot(&dense::symmetric(&matrix.view()))
            .dot(&vectors.t())
            .as_standard_layout()
            .into_owned();
        let own = eigenpairs_up_to(energy, f64::INFINITY)?;
        pairs.vectors.slice_mut(s![..small, ..]).assign(&own.vectors.dot(&vectors));
        pairs.values.slice_mut(s![..small]).assign(&own.values);
    }
    Ok(pairs)
}
