//! The narrow waist between the plate and everything behind it.

use super::attached::Mixing;
use super::basis::{BasisPlan, is_product};
use super::energy::{loss_factors, shares};
use super::free_form::{self, FreeFormStatics};
use super::model::{PlateModel, plate_energy};
use super::product_modes;
use super::sampled::SampledModes;
use super::shapes::{Directions, Shapes};
use super::static_flexibility::{StaticFlexibility, reaches_wider};
use super::{Accuracy, EnergyPart, Estimate, Footprint};
use crate::linalg::single_threaded_blas;
use crate::scene::{Panel, PlateSection};
use ndarray::{Array1, Array2, Array3, ArrayView1, ArrayView2, s};
use num_complex::Complex64;
use panelwright_mesh::Lattice;
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
    /// A side holds too many waves.
    #[error(
        "the longest side holds {half_waves} half waves at {frequency:.0} Hz, more than the limit of {limit}; about {:.0} Hz would do",
        .frequency * (*.limit as f64 / *.half_waves as f64).powi(2)
    )]
    TooLong {
        /// Half waves of the plate along the side that holds most.
        half_waves: usize,
        /// Top frequency [Hz].
        frequency: f64,
        /// Most half waves accepted.
        limit: usize,
    },
    /// No plate theory holds.
    #[error(
        "the panel is {:.1} mm thick but its shorter side only {:.1} mm: that is a beam or a block, not a plate; \
         give a panel at least twice as wide as it is thick",
        1e3 * .thickness,
        1e3 * .width
    )]
    TooThick {
        /// Thickness [m].
        thickness: f64,
        /// The shorter side [m].
        width: f64,
    },
}

/// Natural frequencies, loss factors and mass-normalised shapes, so φ has the unit kg^−½.
///
/// `∫ m φᵢ φⱼ dS = δᵢⱼ` for a thin plate. A shear-deformable one also moves by rotation: there each mode's whole kinetic energy is
/// `½ ω²`, and `∫ m φᵢ² dS` a little less than one.
#[derive(Clone, Debug)]
pub struct Modes {
    /// Natural frequencies [Hz], ascending; rigid-body modes first with exactly 0.
    pub frequencies: Array1<f64>,
    /// Loss factor of each mode: those of the parts of its strain energy at its frequency, weighted by their shares.
    pub loss_factors: Array1<f64>,
    /// Shares of each mode's strain energy, (modes, [`EnergyPart`](super::EnergyPart)); a row sums to 1, or to 0 for a rigid mode.
    pub energy: Array2<f64>,
    /// The theory used.
    pub model: PlateModel,
    /// Shapes of the bare panel.
    pub(super) shapes: Arc<Shapes>,
    /// Mixes the shapes of the bare panel when something is bonded to it.
    pub(super) mixing: Option<Arc<Mixing>>,
    pub(super) panel: Arc<Panel>,
    /// Highest frequency asked for [Hz].
    up_to: f64,
    /// Built at the first question for it.
    statics: Arc<OnceLock<Statics>>,
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
        let model = PlateModel::of(&panel.section, up_to);
        Self::solve_by(model, panel, up_to, accuracy)
    }

    /// [`solve_with`](Self::solve_with) by a given theory. [`PlateModel::ShearDeformable`] needs a section with shear stiffness and
    /// falls back to thin-plate theory without.
    ///
    /// # Errors
    /// When the problem is too large or the eigenvalue solver fails.
    pub fn solve_by(
        model: PlateModel,
        panel: &Panel,
        up_to: f64,
        accuracy: Accuracy,
    ) -> Result<Self, PlateError> {
        single_threaded_blas();
        let panel = model.applied_to(panel, up_to);
        let omega = TAU * up_to;
        let frequencies_of = |eigenvalues: Vec<f64>| -> Array1<f64> {
            eigenvalues.iter().map(|lambda| lambda.sqrt() / TAU).collect()
        };
        let (frequencies, energy, loss_factors, shapes, statics) =
            match Estimate::plan(&panel, up_to, accuracy)? {
                BasisPlan::Product(plan) => {
                    let energy = plate_energy(&panel);
                    // Where the static flexibility could not reach further than the modes do, it comes with them.
                    let with_statics = accuracy == Accuracy::PREDICTION && !reaches_wider(&panel, up_to);
                    let solved = product_modes::solve(plan, &energy, &panel, (omega * omega, with_statics))?;
                    let frequencies = frequencies_of(solved.eigenvalues);
                    let losses = loss_factors(&solved.energies, &energy.strain, &frequencies);
                    let statics = solved.statics.map(Statics::Product);
                    (frequencies, shares(&solved.energies, &energy.strain), losses, solved.shapes, statics)
                }
                BasisPlan::FreeForm(region, plan) => {
                    let solved = free_form::solve(&region, &plan, omega * omega)?;
                    let frequencies = frequencies_of(solved.eigenvalues);
                    let losses = (frequencies.iter().zip(&solved.support_loss))
                        .zip(solved.energy.rows())
                        .map(|((&f, support), shares)| loss_of_shares(&panel.section, f, shares) + support)
                        .collect();
                    let statics = solved.statics.map(Statics::FreeForm);
                    (frequencies, solved.energy, losses, solved.shapes, statics)
                }
            };
        Ok(Self {
            loss_factors,
            energy,
            model: PlateModel::within(&panel.section),
            frequencies,
            shapes: Arc::new(shapes),
            mixing: None,
            panel: Arc::new(panel),
            up_to,
            statics: Arc::new(statics.map_or_else(OnceLock::new, OnceLock::from)),
        })
    }

    /// What [`solve`](Self::solve) would have to do, without doing it.
    pub fn estimate(panel: &Panel, up_to: f64) -> Estimate {
        let panel = PlateModel::of(&panel.section, up_to).applied_to(panel, up_to);
        Estimate::new(&panel, up_to, Accuracy::PREDICTION)
    }

    /// Memory [bytes], with the static flexibility of what is left out, which this makes if it has not been asked for.
    pub(crate) fn bytes(&self) -> usize {
        let statics = self.statics.get_or_init(|| Statics::new(&self.panel, self.up_to));
        let mixing = self.mixing.as_ref().map_or(0, |mixing| mixing.bytes());
        self.shapes.bytes() + statics.bytes() + mixing
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

    /// Natural frequencies [Hz] of the bare panel, ascending, without what is bonded to it.
    pub fn bare_frequencies(&self) -> &Array1<f64> {
        self.mixing.as_ref().map_or(&self.frequencies, |mixing| &mixing.bare)
    }

    /// Shapes at `points` [m]: (points, modes), kg^−½.
    pub fn at(&self, points: &[[f64; 2]]) -> Array2<f64> {
        let probes: Vec<Footprint> = points.iter().map(|&point| Footprint::point(point)).collect();
        self.averaged(&probes)
    }

    /// Shapes of the modes in `range` on a lattice: (modes, nx, ny), kg^−½.
    pub fn on(&self, lattice: &Lattice, range: Range<usize>) -> Array3<f64> {
        match &self.mixing {
            None => self.shapes.on(lattice, range),
            Some(mixing) => self.shapes.superpose(mixing.rows(range).view(), lattice).mapv(|z| z.re),
        }
    }

    /// Shapes averaged over footprints: (footprints, modes), kg^−½.
    pub fn averaged(&self, footprints: &[Footprint]) -> Array2<f64> {
        self.from_bare(self.shapes.averaged(footprints))
    }

    /// Static flexibility between footprints of all the modes that are *not* in this set: (footprints, footprints), m/N.
    /// Added to the modal sum it makes drive-point mobilities right although the sum is cut off.
    ///
    /// The first call factorises a stiffness matrix over a wider range of wavenumbers and keeps it, unless the panel is so large that the
    /// one of its modes has to do; later calls cost two triangular solves. What lies beyond that range is added for interior points from the infinite plate.
    pub fn residual_flexibility(&self, footprints: &[Footprint]) -> Array2<f64> {
        let statics = self.statics.get_or_init(|| Statics::new(&self.panel, self.up_to));
        // What is bonded to the panel rotates the modes kept among themselves and leaves the others as they are.
        let stiffness = self.bare_frequencies().mapv(|f| (TAU * f).powi(2));
        let kept = self.shapes.averaged(footprints);
        statics.between(footprints, self.panel.section.surface_mass) - flexibility_of(&kept, &stiffness)
    }

    /// Shapes of the bare panel averaged over footprints (footprints, modes), kg^−½, and the [`residual_flexibility`](Self::residual_flexibility) [m/N] of each
    /// footprint by itself; its points are distinct.
    pub fn bare_with_residual(&self, footprints: &[Footprint]) -> (Array2<f64>, Vec<f64>) {
        let statics = self.statics.get_or_init(|| Statics::new(&self.panel, self.up_to));
        let bare = self.shapes.averaged(footprints);
        let give = self.bare_frequencies().mapv(|f| if f == 0.0 { 0.0 } else { (TAU * f).powi(-2) });
        let kept =
            |row: ArrayView1<f64>| row.iter().zip(&give).map(|(phi, give)| phi * phi * give).sum::<f64>();
        let all = statics.own(footprints, self.panel.section.surface_mass);
        let residual = all.into_iter().zip(bare.rows()).map(|(all, row)| all - kept(row)).collect();
        (bare, residual)
    }

    /// What the middle lines make of each mode of the bare panel: 1 where it is its own mirror image, −1 where the negative of it, 0 where the panel is no
    /// mirror image of itself.
    pub fn bare_parities(&self) -> Vec<[i8; 2]> {
        let (width, height) = self.panel.outline.bounding_box();
        // Any two places that mirror each other will do, if not all functions are zero there.
        let table = |along: &Directions, size: f64| along.table(&[0.19 * size, 0.81 * size], 0);
        self.shapes.parities([&table(&self.shapes.x, width), &table(&self.shapes.y, height)])
    }

    /// Shapes of these modes from those of the bare panel's modes: (places, modes).
    pub fn from_bare(&self, bare: Array2<f64>) -> Array2<f64> {
        match &self.mixing {
            None => bare,
            Some(mixing) => mixing.of(&bare),
        }
    }

    /// The middle lines x and y [m] in which the bare panel is its own mirror image.
    pub fn mirrors(&self) -> [Option<f64>; 2] {
        let (width, height) = self.panel.outline.bounding_box();
        let middle = |classes: usize, size: f64| (classes == 2).then_some(0.5 * size);
        [middle(self.shapes.x.classes.len(), width), middle(self.shapes.y.classes.len(), height)]
    }

    /// Superposes modes: `amplitudes` (frequencies, modes) → field (frequencies, nx, ny). No array of all mode shapes is
    /// formed; the sum runs in the coefficients of the basis.
    pub fn superpose(&self, amplitudes: ArrayView2<Complex64>, lattice: &Lattice) -> Array3<Complex64> {
        match &self.mixing {
            None => self.shapes.superpose(amplitudes, lattice),
            Some(mixing) => self.shapes.superpose(mixing.amplitudes(amplitudes).view(), lattice),
        }
    }

    /// The modes prepared for a lattice, to superpose and project many times.
    pub fn sampled(&self, lattice: &Lattice) -> SampledModes {
        SampledModes::new(Arc::clone(&self.shapes), self.mixing.clone(), lattice)
    }

    /// Adjoint of [`superpose`](Self::superpose): `Σ_points field(point) φ(point)` for fields (fields, nx, ny) sampled on a lattice
    /// (quadrature weights already inside) → (fields, modes).
    pub fn project(&self, fields: &Array3<Complex64>, lattice: &Lattice) -> Array2<Complex64> {
        self.project_lowest(fields, lattice, self.len())
    }

    /// [`project`](Self::project) on the `count` lowest modes only: (fields, count).
    pub fn project_lowest(
        &self,
        fields: &Array3<Complex64>,
        lattice: &Lattice,
        count: usize,
    ) -> Array2<Complex64> {
        match &self.mixing {
            None => self.shapes.project(fields.view(), lattice, count),
            Some(mixing) => {
                let bare = self.shapes.project(fields.view(), lattice, self.len());
                mixing.of_complex(bare.view()).slice_move(s![.., ..count])
            }
        }
    }
}

/// Loss factor of bending and shear at `frequency` [Hz], weighted by the shares of the energy.
fn loss_of_shares(section: &PlateSection, frequency: f64, shares: ArrayView1<f64>) -> f64 {
    let [shear, supports] = [EnergyPart::Shear, EnergyPart::Supports].map(|part| shares[part.column()]);
    (1.0 - shear - supports) * section.bending_loss.at(frequency) + shear * section.shear_loss.at(frequency)
}

/// Static flexibility in either basis.
#[derive(Debug)]
enum Statics {
    Product(StaticFlexibility),
    FreeForm(FreeFormStatics),
}

impl Statics {
    fn new(panel: &Panel, up_to: f64) -> Self {
        match is_product(panel) {
            true => Self::Product(StaticFlexibility::new(panel, up_to)),
            false => Self::FreeForm(
                FreeFormStatics::new(panel, up_to).expect("the modes were solved in the same kind of basis"),
            ),
        }
    }

    fn bytes(&self) -> usize {
        match self {
            Self::Product(statics) => statics.bytes(),
            Self::FreeForm(statics) => statics.bytes(),
        }
    }

    fn own(&self, footprints: &[Footprint], surface_mass: f64) -> Vec<f64> {
        match self {
            Self::Product(statics) => statics.own(footprints, surface_mass),
            Self::FreeForm(statics) => statics.own(footprints),
        }
    }

    fn between(&self, footprints: &[Footprint], surface_mass: f64) -> Array2<f64> {
        match self {
            Self::Product(statics) => statics.between(footprints, surface_mass),
            Self::FreeForm(statics) => statics.between(footprints),
        }
    }
}

/// `Σ φ φᵀ / ω²` over the elastic modes.
fn flexibility_of(shapes: &Array2<f64>, stiffness: &Array1<f64>) -> Array2<f64> {
    let elastic = shapes.slice(s![.., stiffness.iter().take_while(|&&k| k == 0.0).count()..]);
    let stiffness = stiffness.slice(s![stiffness.len() - elastic.ncols()..]);
    (&elastic / &stiffness).dot(&elastic.t())
}
