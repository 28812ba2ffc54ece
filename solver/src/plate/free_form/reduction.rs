//! A symmetry block in orthonormal functions of its deflection.

use super::Integrals;
use super::picked::{NEW_ANGLE, NEW_DEFLECTION, Picked};
use super::plan::BlockPlan;
use super::unknowns::{Unknown, deflections, shear_angles};
use crate::linalg::{LapackFailure, cholesky, solve_lower, solve_lower_transposed};
use crate::plate::reduced::{Reduced, Uncondensed, below, beside};
use nalgebra::DMatrix;
use ndarray::{Array2, Axis as Along, Slice, s};

/// Independent functions of a block and its matrices between their orthonormal combinations.
#[derive(Debug)]
pub(super) struct Reduction {
    pub functions: Functions,
    /// Rows and columns of what nothing resists come first; in the stiffness they are zero.
    pub matrices: Reduced,
}

/// Independent functions of a block.
#[derive(Debug)]
pub(super) struct Functions {
    pub deflection: Picked,
    /// Shear angles along x and y; `None` for a thin plate.
    pub angles: Option<[Picked; 2]>,
    /// Orthonormal rigid motions come first, turned by this matrix so that those that nothing resists lead.
    turn: DMatrix<f64>,
    /// How many nothing resists.
    pub loose: usize,
}

impl Reduction {
    pub fn new(integrals: &Integrals, block: &BlockPlan) -> Result<Self, LapackFailure> {
        let spans = &integrals.plan.spans;
        let deflection =
            Picked::new(deflections(block, spans), NEW_DEFLECTION, |a, b| integrals.deflected(a, b))?;
        let mut stiffness = deflection.matrix(|a, b| integrals.stiffness(a, b))?;
        let omega = integrals.plan.omega;
        let (turn, loose) = loosened(&mut stiffness, deflection.rigid(), f64::EPSILON * omega * omega);
        let Some(shear) = integrals.region.section.shear else {
            let matrices = Reduced { stiffness, shear: None };
            return Ok(Self { functions: Functions { deflection, angles: None, turn, loose }, matrices });
        };
        let along =
            |axis| Picked::new(shear_angles(block, spans, axis), NEW_ANGLE, |a, b| integrals.turned(a, b));
        let angles = [along(0)?, along(1)?];
        let sheared = Sheared { integrals, deflection: &deflection, angles: &angles, turn: &turn };
        let matrices = Reduced::condensed(sheared.matrices(stiffness, loose, shear)?)?;
        Ok(Self { functions: Functions { deflection, angles: Some(angles), turn, loose }, matrices })
    }

    /// Takes values of the picked deflections (points, functions) to the combinations that the elastic stiffness is written
    /// in, free of what nothing resists.
    pub fn elastic(&self, rows: &mut Array2<f64>) -> Result<Array2<f64>, LapackFailure> {
        let Functions { deflection, turn, loose, .. } = &self.functions;
        deflection.combined(rows)?;
        turned_back(&turn.transpose(), rows);
        let elastic = rows.slice(s![.., *loose..]).as_standard_layout().into_owned();
        let Some(shear) = self.matrices.shear.as_ref().filter(|_| *loose > 0) else {
            return Ok(elastic);
        };
        // Rotary inertia couples the two.
        let mut own = shear.mass.slice(s![..*loose, ..*loose]).as_standard_layout().into_owned();
        cholesky(&mut own)?;
        let mut shares = shear.mass.slice(s![*loose.., ..*loose]).as_standard_layout().into_owned();
        solve_lower(&own, &mut shares)?;
        solve_lower_transposed(&own, &mut shares)?;
        Ok(elastic - rows.slice(s![.., ..*loose]).dot(&shares.t()))
    }

    /// Stiffness of what something resists.
    pub fn elastic_stiffness(&self) -> Array2<f64> {
        let loose = self.functions.loose;
        self.matrices.stiffness.slice(s![loose.., loose..]).as_standard_layout().into_owned()
    }
}

impl Functions {
    /// Coefficients of all deflections (modes, unknowns) from those of the orthonormal functions.
    pub fn spread(&self, mut rows: Array2<f64>) -> Result<Array2<f64>, LapackFailure> {
        turned_back(&self.turn, &mut rows);
        self.deflection.spread(rows)
    }

    /// Coefficients of the shear angles along x and y (modes, unknowns) from those of the orthonormal functions of both.
    pub fn spread_angles(&self, rows: &Array2<f64>) -> Result<Option<[Array2<f64>; 2]>, LapackFailure> {
        let Some([x, y]) = &self.angles else { return Ok(None) };
        let part = |columns: Slice| rows.slice_axis(Along(1), columns).as_standard_layout().into_owned();
        Ok(Some([x.spread(part((..x.len()).into()))?, y.spread(part((x.len()..).into()))?]))
    }
}

/// What the matrices with shear angles are made of.
struct Sheared<'a> {
    integrals: &'a Integrals<'a>,
    deflection: &'a Picked,
    angles: &'a [Picked; 2],
    turn: &'a DMatrix<f64>,
}

impl Sheared<'_> {
    fn matrices(
        &self,
        stiffness: Array2<f64>,
        loose: usize,
        shear: [f64; 2],
    ) -> Result<Uncondensed, LapackFailure> {
        let section = self.integrals.region.section;
        let own = section.rotary_inertia / section.surface_mass;
        let mut coupling = self.coupling(|a, b| self.integrals.stiffness(a, b))?;
        coupling.slice_mut(s![..loose, ..]).fill(0.0); // what nothing resists strains nothing
        let inertia = self.coupling(|a, b| own * self.integrals.turned(a, b))?;
        let mut mass = self.deflection.matrix(|a, b| own * self.integrals.turned(a, b))?;
        turned_both_ways(self.turn, &mut mass);
        let angles = self.between_angles(shear.map(|stiffness| stiffness / section.surface_mass))?;
        Ok(Uncondensed { stiffness, coupling, angles, mass, inertia, own })
    }

    /// Between deflections and both shear angles.
    fn coupling(
        &self,
        entry: impl Fn(&Unknown, &Unknown) -> f64 + Sync,
    ) -> Result<Array2<f64>, LapackFailure> {
        let [x, y] = self.angles;
        let whole = beside([self.deflection.coupling(x, &entry)?, self.deflection.coupling(y, &entry)?]);
        let mut across = whole.t().as_standard_layout().into_owned();
        turned_back(&self.turn.transpose(), &mut across);
        Ok(across.t().as_standard_layout().into_owned())
    }

    /// Among the shear angles; `shear` is the shear stiffness over surface mass. Lower triangle.
    fn between_angles(&self, shear: [f64; 2]) -> Result<Array2<f64>, LapackFailure> {
        let [x, y] = self.angles;
        let entry = |a: &Unknown, b: &Unknown| self.integrals.stiffness(a, b);
        let own = |angles: &Picked, shear: f64| {
            let mut matrix = angles.matrix(entry)?;
            matrix.diag_mut().map_inplace(|value| *value += shear);
            Ok::<_, LapackFailure>(matrix)
        };
        let above = beside([own(x, shear[0])?, Array2::zeros((x.len(), y.len()))]);
        Ok(below([above, beside([y.coupling(x, entry)?, own(y, shear[1])?])]))
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
    turned_both_ways(&turn, stiffness);
    let largest = eigen.eigenvalues[order[rigid - 1]];
    let limit = nothing.max(ROUNDING * largest);
    let loose = order.iter().take_while(|&&k| eigen.eigenvalues[k] <= limit).count();
    for (i, &k) in order.iter().enumerate() {
        stiffness.slice_mut(s![i, ..i]).fill(0.0);
        stiffness[(i, i)] = eigen.eigenvalues[k];
    }
    stiffness.slice_mut(s![.., ..loose]).fill(0.0);
    (turn, loose)
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
