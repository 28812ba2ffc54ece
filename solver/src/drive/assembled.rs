//! Natural frequencies of the panel with everything that sits on it: what a builder measures with the leads open, without air.
//!
//! The modes q of the panel, and at its ports the displacement that the modes left out add. With their static flexibility
//! `R = V S Vᵀ` and coordinates z of unit stiffness, the displacement at the ports is `u = Φ q + V √S z = B x`, and
//!
//! ```text
//! K = diag(ω_n², 1) + Σ k g gᵀ,      M = diag(1, 0) + Σ m b bᵀ,      K x = ω² M x
//! ```
//!
//! b is the row of B of a port, g the stretch of a spring: b for a hang, b minus the magnet's own coordinate for a suspension. This
//! is the residual flexibility of R. H. MacNeal, Computers & Structures 1 (1971) 581–601, with z instead of `u − Φq = V √S z`:
//! nothing is inverted, so two parts may sit in one place and R may vanish at a held edge.
//!
//! M is singular (z has no mass of its own) and K may be (a floating panel), so the problem is solved as `M x = μ (K + σM) x`,
//! `ω² = 1/μ − σ`, where K + σM is positive definite.

use super::{PanelPorts, Passive};
use crate::linalg::{LapackFailure, cholesky, eigenpairs_up_to, single_threaded_blas, solve_lower};
use crate::plate::PlateError;
use crate::scene::{Exciter, Mount};
use ndarray::{Array1, Array2, ArrayView1, Axis, concatenate, s};
use serde::Serialize;
use std::f64::consts::TAU;

/// Natural frequencies and loss factors of the assembled panel.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct NaturalModes {
    /// Natural frequencies [Hz], ascending; exactly 0 for motion that strains nothing.
    pub frequencies: Vec<f64>,
    /// Loss factor of each, by its share of the strain energy.
    pub loss_factors: Vec<f64>,
}

impl NaturalModes {
    /// Without the motion that strains nothing.
    pub fn elastic(&self) -> Self {
        let rigid = self.frequencies.iter().take_while(|&&f| f == 0.0).count();
        Self {
            frequencies: self.frequencies[rigid..].to_vec(),
            loss_factors: self.loss_factors[rigid..].to_vec(),
        }
    }
}

/// Panel modes that are kept as such; the flexibility of those above is static.
const MODES_KEPT: usize = 600;

/// The lowest `count` natural modes of a panel that carries `exciters` and the passive parts of `ports`; ports as for
/// [`solve`](super::solve). An exciter is its moving mass, its suspension and its magnet; its leads are open.
///
/// # Errors
/// When the eigenvalue solver fails.
pub fn natural_modes(
    exciters: &[Exciter],
    ports: &PanelPorts,
    count: usize,
) -> Result<NaturalModes, PlateError> {
    single_threaded_blas();
    let size = ports.modes().min(MODES_KEPT.max(4 * count));
    let failed = |LapackFailure(code)| PlateError::Eigensolver { code, size };
    let assembly = Assembly::new(exciters, ports, size).map_err(failed)?;
    assembly.natural_modes(count).map_err(failed)
}

/// A spring or a mass along one direction of x.
struct Part {
    along: Array1<f64>,
    stiffness: f64,
    loss_factor: f64,
    mass: f64,
}

struct Assembly {
    /// Stiffness and mass of each coordinate, and stiffness times loss factor.
    stiffness: Array1<f64>,
    mass: Array1<f64>,
    loss: Array1<f64>,
    parts: Vec<Part>,
}

impl Assembly {
    fn new(exciters: &[Exciter], ports: &PanelPorts, kept: usize) -> Result<Self, LapackFailure> {
        let magnets: Vec<usize> = (0..exciters.len()).filter(|&e| floats(&exciters[e])).collect();
        let rows = port_rows(ports, kept)?;
        let coordinates = rows.ncols() + magnets.len();
        let residual = rows.ncols() - kept;
        let ends = |q: ArrayView1<f64>, z: f64, w: f64| -> Array1<f64> {
            let tail = std::iter::repeat_n(z, residual).chain(std::iter::repeat_n(w, magnets.len()));
            q.iter().copied().chain(tail).collect()
        };
        let (stiffness, loss) = ports.stiffness_and_loss();
        let (stiffness, loss) = (ArrayView1::from(&stiffness[..kept]), ArrayView1::from(&loss[..kept]));
        let mut parts = Vec::new();
        for (row, exciter) in rows.outer_iter().zip(exciters) {
            parts.push(Part::at(row, coordinates, Passive::Mass(exciter.moving_mass)));
        }
        for (index, &e) in magnets.iter().enumerate() {
            let suspension = Part::at(rows.row(e), coordinates, suspension(&exciters[e]));
            parts.push(suspension.against(rows.ncols() + index, exciters[e].magnet_mass));
        }
        for (e, exciter) in exciters.iter().enumerate().filter(|(_, e)| e.mount == Mount::Braced) {
            parts.push(Part::at(rows.row(e), coordinates, suspension(exciter)));
        }
        for (row, &passive) in rows.outer_iter().skip(exciters.len()).zip(ports.passive()) {
            parts.push(Part::at(row, coordinates, passive));
        }
        Ok(Self {
            stiffness: ends(stiffness, 1.0, 0.0),
            mass: ends(Array1::ones(kept).view(), 0.0, 1.0),
            loss: ends(loss, ports.residual_loss_factor(), 0.0),
            parts,
        })
    }

    fn natural_modes(&self, count: usize) -> Result<NaturalModes, LapackFailure> {
        let shift = self.shift();
        let mass = self.assembled(&self.mass, |part| part.mass);
        let mut factor = self.assembled(&self.stiffness, |part| part.stiffness) + shift * &mass;
        cholesky(&mut factor)?;
        let mut inverse = Array2::eye(factor.nrows()); // becomes L⁻ᵀ
        solve_lower(&factor, &mut inverse)?;
        let reduced = -inverse.t().dot(&mass).dot(&inverse);
        // The largest μ first; μ = 0 is motion without mass.
        let pairs = eigenpairs_up_to(reduced.as_standard_layout().into_owned(), -f64::MIN_POSITIVE)?;
        let shapes = pairs.vectors.slice(s![..pairs.vectors.nrows().min(count), ..]).dot(&inverse.t());
        let square = |value: f64| {
            let square = -1.0 / value - shift;
            // Rounding leaves some 1e-13 of the shift where nothing is strained.
            if square < 1e-11 * shift { 0.0 } else { square }
        };
        Ok(NaturalModes {
            frequencies: pairs.values.iter().take(count).map(|&v| square(v).sqrt() / TAU).collect(),
            loss_factors: shapes.outer_iter().map(|shape| self.loss_factor(shape)).collect(),
        })
    }

    /// Square of the lowest elastic frequency of the bare panel [rad²/s²].
    fn shift(&self) -> f64 {
        let elastic = self.stiffness.iter().zip(&self.mass).find(|(k, m)| **k > 0.0 && **m > 0.0);
        elastic.map_or((TAU * 100.0).powi(2), |(k, _)| *k)
    }

    fn assembled(&self, diagonal: &Array1<f64>, weight: impl Fn(&Part) -> f64) -> Array2<f64> {
        let mut matrix = Array2::from_diag(diagonal);
        for part in &self.parts {
            let scaled = weight(part) * &part.along;
            for (mut row, &along) in matrix.outer_iter_mut().zip(&part.along) {
                row.scaled_add(along, &scaled);
            }
        }
        matrix
    }

    /// `Σ η · strain energy / Σ strain energy`; 0 where nothing is strained.
    fn loss_factor(&self, shape: ArrayView1<f64>) -> f64 {
        let squares = shape.mapv(|x| x * x);
        let (mut lost, mut stored) = (self.loss.dot(&squares), self.stiffness.dot(&squares));
        for part in &self.parts {
            let energy = part.stiffness * part.along.dot(&shape).powi(2);
            stored += energy;
            lost += part.loss_factor * energy;
        }
        if stored > 0.0 { lost / stored } else { 0.0 }
    }
}

impl Part {
    fn at(row: ArrayView1<f64>, coordinates: usize, passive: Passive) -> Self {
        let mut along = Array1::zeros(coordinates);
        along.slice_mut(s![..row.len()]).assign(&row);
        let (stiffness, mass) = passive.stiffness_and_mass();
        Self { along, stiffness, loss_factor: passive.loss_factor(), mass }
    }

    /// The other end of the spring moves with a `mass` [kg] of its own, whose coordinate has unit mass.
    fn against(mut self, coordinate: usize, mass: f64) -> Self {
        self.along[coordinate] = -mass.sqrt().recip();
        self
    }
}

/// A magnet that moves by itself; without mass it has no motion of its own and its suspension strains nothing.
fn floats(exciter: &Exciter) -> bool {
    exciter.mount == Mount::Floating && exciter.magnet_mass > 0.0
}

fn suspension(exciter: &Exciter) -> Passive {
    Passive::Spring { stiffness: exciter.suspension_stiffness, loss_factor: exciter.suspension_loss_factor }
}

/// B: displacement at every port from the first `kept` modes and from z; the flexibility of the other modes joins R.
fn port_rows(ports: &PanelPorts, kept: usize) -> Result<Array2<f64>, LapackFailure> {
    let (near, far) = ports.shapes().view().split_at(Axis(1), kept);
    let far_stiffness = ArrayView1::from(&ports.stiffness_and_loss().0[kept..]);
    let scaled: Array2<f64> = &far / &far_stiffness;
    let residual = ports.residual() + &scaled.dot(&far.t());
    let pairs = eigenpairs_up_to(residual.as_standard_layout().into_owned(), f64::INFINITY)?;
    // Rounding may leave a direction with less than no flexibility.
    let roots = pairs.values.mapv(|value| value.max(0.0).sqrt());
    let static_part = &pairs.vectors.t() * &roots;
    Ok(concatenate(Axis(1), &[near, static_part.view()]).expect("one row per port"))
}
