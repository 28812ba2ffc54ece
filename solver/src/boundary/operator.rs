//! The pressure operator in either representation.

use super::body::Body;
use super::dense::DenseOperator;
use super::far::FarField;
use super::grid::{GridOperator, GridPlan};
use super::wave::Wave;
use num_complex::{Complex32, Complex64};

/// How the operator is held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Representation {
    /// As a full matrix in single precision: every pair of points.
    Full,
    /// Neighbours as a sparse matrix, all else by transforms on a grid with this distance [m] between its points.
    Grid {
        /// Distance [m] of the grid's points.
        spacing: f64,
    },
}

/// Pairs of elements, all images counted, up to which the full matrix is made: beyond, it takes longer than the grid, and grows with the square.
const FULL: usize = 1_000_000;

impl Representation {
    /// The quicker one for a body at wavenumber `k` [rad/m].
    pub fn quicker(body: &Body, k: f64) -> Self {
        if body.len().pow(2) * body.images.len() <= FULL {
            return Self::Full;
        }
        Self::grid(body, k)
    }

    /// The grid that takes least time at wavenumber `k` [rad/m].
    pub(super) fn grid(body: &Body, k: f64) -> Self {
        Self::Grid { spacing: GridPlan::cheapest(body, k).spacing }
    }

    /// What it is, for reports.
    pub fn label(self) -> &'static str {
        match self {
            Self::Full => "full matrix",
            Self::Grid { .. } => "grid",
        }
    }

    /// Memory [bytes] that the operator takes.
    pub fn bytes(self, body: &Body) -> usize {
        match self {
            Self::Full => body.unknowns().pow(2) * size_of::<Complex32>(),
            Self::Grid { spacing } => GridPlan::new(body, spacing).bytes(),
        }
    }
}

/// The operator `½ − K − αD + (S + α/2 + αK′) jkβ`, tested by the shape functions.
pub(super) enum Operator<'a> {
    Full(DenseOperator),
    Grid(Box<GridOperator<'a>>),
}

impl<'a> Operator<'a> {
    /// `absorption` is jkβ of every element [1/m].
    pub fn new(
        body: &'a Body,
        wave: &Wave,
        absorption: &[Complex64],
        representation: Representation,
    ) -> Self {
        match representation {
            Representation::Full => {
                Self::Full(DenseOperator::new(body, &FarField::new(body), wave, absorption))
            }
            Representation::Grid { spacing } => {
                Self::Grid(Box::new(GridOperator::new(body, wave, absorption, spacing)))
            }
        }
    }

    /// The operator on values at the points.
    pub fn apply(&self, values: &[Complex64]) -> Vec<Complex64> {
        match self {
            Self::Full(matrix) => matrix.apply(values),
            Self::Grid(operator) => operator.apply(values),
        }
    }

    /// What two points have to do with each other; for a grid, its local part.
    pub fn entry(&self, i: usize, j: usize) -> Complex32 {
        match self {
            Self::Full(matrix) => matrix.entry(i, j),
            Self::Grid(operator) => operator.entry(i, j),
        }
    }
}
