//! A symmetry block in orthonormal functions of its deflection.

use super::Integrals;
use super::picked::{NEW_DEFLECTION, Picked, new_rotation};
use super::plan::BlockPlan;
use super::rotations::{Rotating, Rotations};
use super::unknowns::{deflections, rotations};
use crate::dense;
use crate::linalg::{LapackFailure, cholesky, nearly_cholesky, solve_lower, solve_lower_transposed};
use crate::plate::block_modes::Solved;
use crate::plate::reduced::Reduced;
use nalgebra::DMatrix;
use ndarray::{Array2, Axis as Along, Slice, s};

/// Independent functions of a block and its matrices between their orthonormal combinations.
#[derive(Debug)]
pub(super) struct Reduction {
    pub functions: Functions,
    /// Over surface mass [s⁻²], lower triangle. Rows and columns of what nothing resists come first and are zero.
    stiffness: Array2<f64>,
    /// `None` for a thin plate, whose mass matrix is one.
    rotations: Option<Rotations>,
}

/// Independent functions of a block.
#[derive(Debug)]
pub(super) struct Functions {
    pub deflection: Picked,
    /// Rotations along x and y; `None` for a thin plate.
    along: Option<[Picked; 2]>,
    /// Orthonormal rigid motions come first, turned by this matrix so that those that nothing resists lead.
    turn: DMatrix<f64>,
    /// How many nothing resists.
    pub loose: usize,
}

impl Reduction {
    pub fn new(integrals: &Integrals, block: &BlockPlan) -> Result<Self, LapackFailure> {
        let (deflection, along) = picked(integrals, block)?;
        let omega = integrals.plan.omega;
        let among = deflection.rigid_matrix(|a, b| integrals.stiffness(a, b))?;
        let Loosened { turn, energies, loose } = Loosened::of(&among, f64::EPSILON * omega * omega);
        let (Some(along), Some(shear)) = (along, integrals.region.section.shear) else {
            let mut stiffness = deflection.matrix(|a, b| integrals.stiffness(a, b))?;
            turned_both_ways(&turn, &mut stiffness);
            for (i, energy) in energies.into_iter().enumerate() {
                stiffness.slice_mut(s![i, ..i]).fill(0.0);
                stiffness[(i, i)] = energy;
            }
            stiffness.slice_mut(s![.., ..loose]).fill(0.0);
            let functions = Functions { deflection, along: None, turn, loose };
            return Ok(Self { functions, stiffness, rotations: None });
        };
        let rotating = Rotating {
            integrals,
            deflection: &deflection,
            along: &along,
            rigid: &block.rigid,
            turn: &turn,
            shear: shear.map(|stiffness| stiffness / integrals.region.section.surface_mass),
        };
        let (mut stiffness, rotations) = rotating.condensed(loose)?;
        if integrals.supports.elastic().next().is_some() {
            let mut held = deflection.matrix(|a, b| integrals.held(a, b))?;
            turned_both_ways(&turn, &mut held);
            stiffness += &held;
        }
        stiffness.slice_mut(s![.., ..loose]).fill(0.0);
        let functions = Functions { deflection, along: Some(along), turn, loose };
        Ok(Self { functions, stiffness, rotations: Some(rotations) })
    }

    /// Modes with eigenvalues up to somewhat more than `limit`, made of the functions. The `angles` of the modes are whole
    /// rotations.
    pub fn modes(&self, limit: f64) -> Result<Solved, LapackFailure> {
        let Self { functions, stiffness, rotations } = self;
        match rotations {
            None => {
                let reduced = Reduced { stiffness: stiffness.clone(), shear: None };
                Solved::of(reduced, functions.loose, limit)
            }
            Some(rotations) => rotations.modes(stiffness.view(), functions.loose, limit),
        }
    }

    /// The stiffness of what something resists, factorised.
    pub fn held(&self, omega: f64) -> Result<Held, LapackFailure> {
        let Functions { deflection, turn, loose, .. } = &self.functions;
        let stiffness = self.stiffness.slice(s![*loose.., *loose..]);
        // A motion held so softly that it cannot be told from a free one, or a sliver, leaves it indefinite.
        let stiffness = stiffness.as_standard_layout().into_owned();
        let factor = nearly_cholesky(&stiffness, omega * omega, dense::cholesky)?;
        let coupled = self.rotations.as_ref().filter(|_| *loose > 0);
        let shares = coupled.map(|rotations| shares_of_loose(&rotations.mass, *loose)).transpose()?;
        Ok(Held { deflection: deflection.clone(), turn: turn.clone(), loose: *loose, shares, factor })
    }
}

/// Factorised stiffness of what something resists in a block.
#[derive(Debug)]
pub(super) struct Held {
    pub deflection: Picked,
    turn: DMatrix<f64>,
    loose: usize,
    /// Shares of what nothing resists in each other function, where rotary inertia couples the two.
    shares: Option<Array2<f64>>,
    /// Lower Cholesky factor of stiffness over surface mass.
    pub factor: Array2<f64>,
}

impl Held {
    /// Takes values of the picked deflections (points, functions) to the combinations that the factor is written in, free of
    /// what nothing resists.
    pub fn elastic(&self, rows: &mut Array2<f64>) -> Result<Array2<f64>, LapackFailure> {
        self.deflection.combined(rows)?;
        turned_back(&self.turn.transpose(), rows);
        let elastic = rows.slice(s![.., self.loose..]).as_standard_layout().into_owned();
        Ok(match &self.shares {
            Some(shares) => elastic - rows.slice(s![.., ..self.loose]).dot(&shares.t()),
            None => elastic,
        })
    }
}

/// From a mass matrix (lower triangle): (other functions, loose ones).
fn shares_of_loose(mass: &Array2<f64>, loose: usize) -> Result<Array2<f64>, LapackFailure> {
    let mut own = mass.slice(s![..loose, ..loose]).as_standard_layout().into_owned();
    cholesky(&mut own)?;
    let mut shares = mass.slice(s![loose.., ..loose]).as_standard_layout().into_owned();
    solve_lower(&own, &mut shares)?;
    solve_lower_transposed(&own, &mut shares)?;
    Ok(shares)
}

/// Independent deflections, and rotations along x and y unless the plate is thin.
fn picked(integrals: &Integrals, block: &BlockPlan) -> Result<(Picked, Option<[Picked; 2]>), LapackFailure> {
    let spans = &integrals.plan.spans;
    let deflection =
        || Picked::new(deflections(block, spans), NEW_DEFLECTION, |a, b| integrals.deflected(a, b));
    if integrals.region.section.shear.is_none() {
        return Ok((deflection()?, None));
    }
    let along = |axis| {
        let new = new_rotation(integrals.softness(axis));
        Picked::new(rotations(block, spans, axis), new, |a, b| integrals.turned(a, b))
    };
    let (deflection, (x, y)) = rayon::join(deflection, || rayon::join(|| along(0), || along(1)));
    Ok((deflection?, Some([x?, y?])))
}

impl Functions {
    /// Coefficients of all deflections (modes, unknowns) from those of the orthonormal functions.
    pub fn spread(&self, mut rows: Array2<f64>) -> Result<Array2<f64>, LapackFailure> {
        turned_back(&self.turn, &mut rows);
        self.deflection.spread(rows)
    }

    /// Coefficients of the rotations along x and y (modes, unknowns) from those of the orthonormal functions of both.
    pub fn spread_rotations(&self, rows: &Array2<f64>) -> Result<Option<[Array2<f64>; 2]>, LapackFailure> {
        let Some([x, y]) = &self.along else { return Ok(None) };
        let part = |columns: Slice| rows.slice_axis(Along(1), columns).as_standard_layout().into_owned();
        Ok(Some([x.spread(part((..x.len()).into()))?, y.spread(part((x.len()..).into()))?]))
    }
}

/// Rigid motions, those without energy first.
struct Loosened {
    /// Takes the turned motions to the orthonormal ones.
    turn: DMatrix<f64>,
    /// Energy of each.
    energies: Vec<f64>,
    /// How many have none.
    loose: usize,
}

impl Loosened {
    /// From their stiffness (lower triangle). Energies up to `nothing`, or up to rounding of the largest, count as none.
    fn of(stiffness: &Array2<f64>, nothing: f64) -> Self {
        const ROUNDING: f64 = 1e-13;
        let rigid = stiffness.nrows();
        if rigid == 0 {
            return Self { turn: DMatrix::zeros(0, 0), energies: vec![], loose: 0 };
        }
        let eigen = DMatrix::from_fn(rigid, rigid, |i, j| stiffness[(i.max(j), i.min(j))]).symmetric_eigen();
        let mut order: Vec<usize> = (0..rigid).collect();
        order.sort_by(|&a, &b| eigen.eigenvalues[a].total_cmp(&eigen.eigenvalues[b]));
        let turn = DMatrix::from_fn(rigid, rigid, |i, j| eigen.eigenvectors[(i, order[j])]);
        let energies: Vec<f64> = order.iter().map(|&k| eigen.eigenvalues[k]).collect();
        let limit = nothing.max(ROUNDING * energies[rigid - 1]);
        let loose = energies.iter().take_while(|&&energy| energy <= limit).count();
        Self { turn, energies, loose }
    }
}

/// Expresses a symmetric matrix (lower triangle) in the turned first unknowns.
fn turned_both_ways(turn: &DMatrix<f64>, matrix: &mut Array2<f64>) {
    let size = turn.nrows();
    let among = DMatrix::from_fn(size, size, |i, j| matrix[(i.max(j), i.min(j))]);
    let among = turn.transpose() * among * turn;
    let mut columns = matrix.slice(s![size.., ..size]).to_owned();
    turned_back(&turn.transpose(), &mut columns);
    matrix.slice_mut(s![size.., ..size]).assign(&columns);
    for (i, j) in (0..size).flat_map(|i| (0..=i).map(move |j| (i, j))) {
        matrix[(i, j)] = among[(i, j)];
    }
}

/// Expresses the first rows in the turned unknowns.
pub(super) fn turned_rows(turn: &DMatrix<f64>, matrix: &mut Array2<f64>) {
    let size = turn.nrows();
    let before = matrix.slice(s![..size, ..]).to_owned();
    for i in 0..size {
        let mut row = matrix.row_mut(i);
        row.fill(0.0);
        (0..size).for_each(|j| row.scaled_add(turn[(j, i)], &before.row(j)));
    }
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
