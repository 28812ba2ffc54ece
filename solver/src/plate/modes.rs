//! The narrow waist between the plate and everything behind it.

use super::Footprint;
use crate::scene::Panel;
use ndarray::{Array1, Array2, Array3, ArrayView2};
use num_complex::Complex64;
use panelwright_mesh::Lattice;
use std::ops::Range;

/// Why a plate has no modes.
#[derive(Debug, thiserror::Error)]
pub enum PlateError {
    /// The eigenvalue solver did not converge.
    #[error("the eigenvalue solver failed with code {code} on a block of {size} unknowns; please report the case")]
    Eigensolver {
        /// LAPACK's info value.
        code: i32,
        /// Unknowns of the block.
        size: usize,
    },
    /// The request needs more unknowns than fit.
    #[error("{unknowns} unknowns are needed up to {frequency:.0} Hz, more than the limit of {limit}; lower the top frequency")]
    TooLarge {
        /// Unknowns needed.
        unknowns: usize,
        /// Top frequency [Hz].
        frequency: f64,
        /// Most unknowns accepted.
        limit: usize,
    },
}

/// Natural frequencies, loss factors and mass-normalised shapes: `∫ m φᵢ φⱼ dS = δᵢⱼ`, so φ has the unit kg^−½.
#[derive(Clone, Debug)]
pub struct Modes {
    /// Natural frequencies [Hz], ascending; rigid-body modes first with exactly 0.
    pub frequencies: Array1<f64>,
    /// Loss factor of each mode.
    pub loss_factors: Array1<f64>,
}

impl Modes {
    /// All modes of `panel` up to the frequency `up_to` [Hz].
    ///
    /// # Errors
    /// When the problem is too large or the eigenvalue solver fails.
    pub fn solve(panel: &Panel, up_to: f64) -> Result<Self, PlateError> {
        let _ = (panel, up_to);
        unimplemented!("skeleton")
    }

    /// Number of modes, rigid ones included.
    pub fn len(&self) -> usize {
        self.frequencies.len()
    }

    /// True when there is none.
    pub fn is_empty(&self) -> bool {
        self.frequencies.is_empty()
    }

    /// Shapes at `points` [m]: (points, modes), kg^−½.
    pub fn at(&self, points: &[[f64; 2]]) -> Array2<f64> {
        let _ = points;
        unimplemented!("skeleton")
    }

    /// Shapes of the modes in `range` on a lattice: (modes, nx, ny), kg^−½.
    pub fn on(&self, lattice: &Lattice, range: Range<usize>) -> Array3<f64> {
        let _ = (lattice, range);
        unimplemented!("skeleton")
    }

    /// Shapes averaged over footprints: (footprints, modes), kg^−½.
    pub fn averaged(&self, footprints: &[Footprint]) -> Array2<f64> {
        let _ = footprints;
        unimplemented!("skeleton")
    }

    /// Static flexibility between footprints of all the modes that are *not* in this set: (footprints, footprints), m/N.
    /// Added to the modal sum it makes drive-point mobilities right although the sum is cut off.
    pub fn residual_flexibility(&self, footprints: &[Footprint]) -> Array2<f64> {
        let _ = footprints;
        unimplemented!("skeleton")
    }

    /// Superposes modes: `amplitudes` (frequencies, modes) → field (frequencies, nx, ny). No array of all mode shapes is
    /// formed; the sum runs in the coefficients of the basis.
    pub fn superpose(&self, amplitudes: ArrayView2<Complex64>, lattice: &Lattice) -> Array3<Complex64> {
        let _ = (amplitudes, lattice);
        unimplemented!("skeleton")
    }

    /// Adjoint of [`superpose`](Self::superpose): `Σ_points field(point) φ(point)` for fields (fields, nx, ny) sampled on a lattice
    /// (quadrature weights already inside) → (fields, modes).
    pub fn project(&self, fields: &Array3<Complex64>, lattice: &Lattice) -> Array2<Complex64> {
        let _ = (fields, lattice);
        unimplemented!("skeleton")
    }
}
