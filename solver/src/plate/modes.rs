//! The narrow waist between the plate and everything behind it.

use super::product_basis::Plan;
use super::shapes::{Block, SampledModes, Shapes};
use super::static_flexibility::StaticFlexibility;
use super::{Accuracy, Estimate, Footprint};
use crate::linalg::{LapackFailure, eigenpairs_up_to, single_threaded_blas};
use crate::scene::Panel;
use ndarray::{Array1, Array2, Array3, ArrayView2, s};
use num_complex::Complex64;
use panelwright_mesh::Lattice;
use rayon::prelude::*;
use std::f64::consts::TAU;
use std::ops::Range;
use std::sync::{Arc, OnceLock};

/// Why a plate has no modes.
#[derive(Debug, thiserror::Error)]
pub enum PlateError {
    /// The eigenvalue solver did not converge.
    #[error(
        "the eigenvalue solver failed with code {code} on a block of {size} unknowns; please report the case"
    )]
    Eigensolver {
        /// LAPACK's info value.
        code: i32,
        /// Unknowns of the block.
        size: usize,
    },
    /// The request needs more unknowns than fit.
    #[error(
        "one block of {unknowns} unknowns is needed up to {frequency:.0} Hz, more than the limit of {limit}; about {:.0} Hz would do",
        .frequency * *.limit as f64 / *.unknowns as f64
    )]
    TooLarge {
        /// Unknowns needed in the largest block.
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
    shapes: Arc<Shapes>,
    panel: Arc<Panel>,
    /// Highest frequency asked for [Hz].
    up_to: f64,
    /// Built at the first question for it.
    statics: Arc<OnceLock<StaticFlexibility>>,
}

impl Modes {
    /// All modes of `panel` up to the frequency `up_to` [Hz], each within 1 % at the top and far closer below.
    ///
    /// # Errors
    /// When the problem is too large or the eigenvalue solver fails.
    pub fn solve(panel: &Panel, up_to: f64) -> Result<Self, PlateError> {
        Self::solve_with(panel, up_to, Accuracy::PREDICTION)
    }

    /// [`solve`](Self::solve) with a basis of chosen richness.
    ///
    /// # Errors
    /// When the problem is too large or the eigenvalue solver fails.
    pub fn solve_with(panel: &Panel, up_to: f64, accuracy: Accuracy) -> Result<Self, PlateError> {
        single_threaded_blas();
        let plan = Estimate::plan(panel, up_to, accuracy)?;
        let (eigenvalues, shapes) = solve_blocks(plan, panel, up_to)?;
        let frequencies: Array1<f64> = eigenvalues.iter().map(|lambda| lambda.sqrt() / TAU).collect();
        Ok(Self {
            loss_factors: frequencies.mapv(|f| panel.section.bending_loss.at(f)),
            frequencies,
            shapes: Arc::new(shapes),
            panel: Arc::new(panel.clone()),
            up_to,
            statics: Arc::default(),
        })
    }

    /// What [`solve`](Self::solve) would have to do, without doing it.
    pub fn estimate(panel: &Panel, up_to: f64) -> Estimate {
        Estimate::new(panel, up_to, Accuracy::PREDICTION)
    }

    /// Number of modes, rigid ones included.
    pub fn len(&self) -> usize {
        self.frequencies.len()
    }

    /// Number of rigid-body modes, which come first.
    pub fn rigid_body_count(&self) -> usize {
        self.frequencies.iter().take_while(|frequency| **frequency == 0.0).count()
    }

    /// True when there is none.
    pub fn is_empty(&self) -> bool {
        self.frequencies.is_empty()
    }

    /// Shapes at `points` [m]: (points, modes), kg^−½.
    pub fn at(&self, points: &[[f64; 2]]) -> Array2<f64> {
        let probes: Vec<Footprint> = points.iter().map(|&point| Footprint::point(point)).collect();
        self.averaged(&probes)
    }

    /// Shapes of the modes in `range` on a lattice: (modes, nx, ny), kg^−½.
    pub fn on(&self, lattice: &Lattice, range: Range<usize>) -> Array3<f64> {
        self.shapes.on(lattice, range)
    }

    /// Shapes averaged over footprints: (footprints, modes), kg^−½.
    pub fn averaged(&self, footprints: &[Footprint]) -> Array2<f64> {
        self.shapes.averaged(footprints)
    }

    /// Static flexibility between footprints of all the modes that are *not* in this set: (footprints, footprints), m/N.
    /// Added to the modal sum it makes drive-point mobilities right although the sum is cut off.
    ///
    /// The first call factorises a stiffness matrix over a wider range of wavenumbers and keeps it; later calls cost two
    /// triangular solves. What lies beyond that range is added for interior points from the infinite plate.
    pub fn residual_flexibility(&self, footprints: &[Footprint]) -> Array2<f64> {
        let statics = self.statics.get_or_init(|| StaticFlexibility::new(&self.panel, self.up_to));
        let stiffness = self.frequencies.mapv(|f| (TAU * f).powi(2));
        let kept = self.averaged(footprints);
        statics.between(footprints, self.panel.section.surface_mass) - flexibility_of(&kept, &stiffness)
    }

    /// Superposes modes: `amplitudes` (frequencies, modes) → field (frequencies, nx, ny). No array of all mode shapes is
    /// formed; the sum runs in the coefficients of the basis.
    pub fn superpose(&self, amplitudes: ArrayView2<Complex64>, lattice: &Lattice) -> Array3<Complex64> {
        self.shapes.superpose(amplitudes, lattice)
    }

    /// The modes prepared for a lattice, to superpose and project many times.
    pub fn sampled(&self, lattice: &Lattice) -> SampledModes {
        SampledModes::new(Arc::clone(&self.shapes), lattice)
    }

    /// Adjoint of [`superpose`](Self::superpose): `Σ_points field(point) φ(point)` for fields (fields, nx, ny) sampled on a lattice
    /// (quadrature weights already inside) → (fields, modes).
    pub fn project(&self, fields: &Array3<Complex64>, lattice: &Lattice) -> Array2<Complex64> {
        self.shapes.project(fields.view(), lattice)
    }
}

/// `Σ φ φᵀ / ω²` over the elastic modes.
fn flexibility_of(shapes: &Array2<f64>, stiffness: &Array1<f64>) -> Array2<f64> {
    let elastic = shapes.slice(s![.., stiffness.iter().take_while(|&&k| k == 0.0).count()..]);
    let stiffness = stiffness.slice(s![stiffness.len() - elastic.ncols()..]);
    (&elastic / &stiffness).dot(&elastic.t())
}

/// Eigenvalues ω² of all blocks in ascending order, and the shapes in the same order.
fn solve_blocks(plan: Plan, panel: &Panel, up_to: f64) -> Result<(Vec<f64>, Shapes), PlateError> {
    let failed = |size: usize| move |LapackFailure(code)| PlateError::Eigensolver { code, size };
    let (x, y) = plan.lines().map_err(failed(plan.x[0].wavenumbers().len()))?;
    let limit = (TAU * up_to).powi(2);
    let scale = panel.section.surface_mass.sqrt().recip();
    let solved: Vec<(Vec<f64>, Block)> = (plan.blocks.into_par_iter())
        .map(|block| {
            let stiffness = block.stiffness(&x[block.x_class].1, &y[block.y_class].1, &panel.section);
            let size = stiffness.nrows();
            let pairs = eigenpairs_up_to(stiffness, limit).map_err(failed(size))?;
            let floor = f64::EPSILON * limit; // rounding must not make an elastic mode rigid
            let elastic = pairs.values.iter().map(|lambda| lambda.max(floor));
            let values = std::iter::repeat_n(0.0, usize::from(block.rigid)).chain(elastic).collect();
            Ok((values, Block::new(block, &pairs.vectors, scale)))
        })
        .collect::<Result<_, PlateError>>()?;
    let lines = |lines: Vec<super::product_basis::Line>| lines.into_iter().map(|line| line.0).collect();
    Ok(Shapes::in_order(lines(x), lines(y), solved))
}
