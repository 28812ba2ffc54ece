//! A rigid thin board behind a body: each scatters what the other radiates.
//!
//! # Equations
//!
//! `exp(+jωt)`, `G = exp(−jkr)/(4πr)`. The board lies in the plane z = 0; its pressure jump μ = p(z = +0) − p(z = −0) is a layer of dipoles.
//! With u the field that the [body](crate::boundary) radiates and scatters, and p_inc what arrives from elsewhere,
//!
//! ```text
//! p = u + ∫ μ ∂G/∂z′ dS + p_inc,    A μ = ∂(u + p_inc)/∂z on the board,    A = −∂/∂z ∫ · ∂G/∂z′ dS
//! ```
//!
//! says that the air on the board stands still along z (A: [screen](crate::radiation::screen)), while u solves the body's equations with
//! `p_inc + ∫ μ ∂G/∂z′ dS` for the field that arrives. With S the derivative ∂u/∂z on the board of what the body scatters of a jump's field,
//! all this is one equation for the jump,
//!
//! ```text
//! (1 − A⁻¹ S) μ = A⁻¹ ∂(u₀ + p_inc)/∂z
//! ```
//!
//! u₀ being the body's field without the board. It is solved by [`gmres`](crate::gmres): one exchange (the body scatters, the board
//! scatters) per step, and no matter how strong the air between the two resonates, which would let a plain repetition diverge.
//!
//! # Discretisation
//!
//! Both parts keep their own: hats on a regular grid, curved elements. The body sees the hats as dipoles at the nodes, and the hats see
//! the body's field at the nodes, both by the same weights. [`Patches`](patches) replace
//! nodes far from the body by fewer places, nodes close to it by more.
//!
//! # Validity
//!
//! Homogeneous air at rest, without absorption; a board thin against its size and the wave; monopoles that arrive at least a cell away from
//! the board, and what is asked for, too. With the cells of [`Board::step`] halving both cells and elements changes the level in front by less than
//! 0.01 dB from 500 Hz to 8 kHz (50 mm driver 2 or 20 mm before a 0.9 × 0.6 m board). In the shadow behind, where only the edges sound, eight cells to
//! the wavelength are right to 0.15 dB. A body in a cut-out or beside the edge, 5 mm from it, is right to 0.01 dB with cells of that size.
//! Gaps of 2 mm and more are tested; smaller ones take more exchanges, and elements that follow the gap.
//!
//! # Flow
//!
//! [`Board`] (geometry) + [`System`] (a body at one frequency) → [`BoardedSystem`] → [`BoardedField`] (one [`Drive`]).

mod board;
mod error;
mod field;
pub(super) mod patches;

#[cfg(test)]
mod tests;

pub use board::Board;
pub(crate) use board::CELLS_PER_WAVELENGTH;
pub use error::BoardError;
pub use field::BoardedField;

use crate::boundary::{Drive, Part, PointField, SurfaceField, System};
use crate::gmres::{Solved, Stop, gmres};
use crate::radiation::screen::{Dipoles, Jump, Screen};
use field::Sound;
use ndarray::Array2;
use num_complex::Complex64;
use patches::Patches;
use rayon::prelude::*;
use std::f64::consts::TAU;

/// kR of the balls that the parts of the body fit into.
const PART: f64 = 6.0;
/// Relative error of the jump at which the exchanges stop: above what the iterations within one leave.
const STOP: Stop = Stop { residual: 3e-4, steps: 60 };

/// A body before a board at one frequency, for any number of drives.
pub struct BoardedSystem<'s, 'a> {
    system: &'s System<'a>,
    board: &'a Board,
    screen: Screen<'a>,
    sides: Vec<Side>,
}

/// A part of the body, and the board as it sees it.
struct Side {
    part: Part,
    patches: Patches,
}

impl<'s, 'a> BoardedSystem<'s, 'a> {
    /// The body of `system` before `board`.
    ///
    /// # Errors
    /// When the body meets the board, or goes on beyond mirror planes.
    pub fn new(system: &'s System<'a>, board: &'a Board) -> Result<Self, BoardError> {
        board.check(system.body())?;
        let (frequency, air) = (system.frequency(), system.air());
        let (k, close) = (air.wavenumber(frequency), board.close(system.body()));
        let side = |part| Side { patches: Patches::new(board, &part, close.as_ref(), k), part };
        Ok(Self {
            system,
            board,
            screen: Screen::new(&board.grid, frequency, air, None),
            sides: system.body().parts(PART / k).into_par_iter().map(side).collect(),
        })
    }

    /// Pairs of a node and an element, and of the places and elements that an exchange takes instead.
    pub fn pairs(&self) -> [usize; 2] {
        let pairs = |side: &Side| side.part.elements.len() * side.patches.places.len();
        [self.board.grid.lattice.len() * self.system.body().len(), self.sides.iter().map(pairs).sum()]
    }

    /// The sound of a drive.
    ///
    /// # Errors
    /// When an iteration does not converge.
    pub fn solve(&self, drive: Drive) -> Result<BoardedField<'a>, BoardError> {
        let alone = self.system.solve(drive)?;
        let first = self.jump(self.radiated_slopes(&alone) + self.arriving_slopes(&alone))?;
        let Solved { x, steps, residual } = self.settled(first)?;
        if residual > STOP.residual {
            return Err(BoardError::NotSettled { exchanges: steps, residual, sought: STOP.residual });
        }
        let strengths = self.strengths(&x);
        let body = alone.plus(self.scattered(&strengths)?);
        Ok(BoardedField { body, board: self.board, strengths, exchanges: steps, residual })
    }

    /// The jump that obeys the whole equation, from that under the sound of the body alone.
    fn settled(&self, first: Vec<Complex64>) -> Result<Solved, BoardError> {
        let mut fault = None;
        let operator = |jump: &[Complex64]| {
            let thrown_back = self.exchanged(jump).unwrap_or_else(|error| {
                fault = Some(error);
                vec![Complex64::ZERO; jump.len()]
            });
            jump.iter().zip(thrown_back).map(|(jump, back)| jump - back).collect()
        };
        let solved = gmres(operator, first, STOP);
        fault.map_or(Ok(solved), Err)
    }

    /// `A⁻¹ S μ`.
    fn exchanged(&self, jump: &[Complex64]) -> Result<Vec<Complex64>, BoardError> {
        let scattered = self.scattered(&self.strengths(jump))?;
        self.jump(self.radiated_slopes(&scattered))
    }

    /// What the body makes of the sound of dipoles at the nodes [N RMS].
    fn scattered(&self, strengths: &Array2<Complex64>) -> Result<SurfaceField<'a>, BoardError> {
        let sound = Sound::new(self.board, &self.sides, strengths);
        Ok(self.system.solve(Drive::arriving(sound))?)
    }

    /// `A⁻¹` of a derivative by z at the nodes.
    fn jump(&self, slopes: Array2<Complex64>) -> Result<Vec<Complex64>, BoardError> {
        let inertia = Complex64::new(0.0, TAU * self.system.frequency() * self.system.air().density);
        let jump = self.screen.jump(&slopes.mapv_into(|slope| slope / inertia));
        match jump.shortfall() {
            Some(residual) => Err(BoardError::Board { residual, sought: jump.sought }),
            None => Ok(jump.hats.iter().copied().collect()),
        }
    }

    /// ∂/∂z at the nodes of what a body radiates and scatters.
    fn radiated_slopes(&self, field: &SurfaceField) -> Array2<Complex64> {
        let of = |Side { part, patches }: &Side| {
            patches.spread(&along_z(&field.radiated_by(&part.elements, &patches.places)))
        };
        let zero = Array2::zeros(self.board.grid.lattice.shape());
        self.sides.iter().map(of).fold(zero, |sum, side| sum + side)
    }

    /// ∂/∂z at the nodes of what arrives.
    fn arriving_slopes(&self, field: &SurfaceField) -> Array2<Complex64> {
        let slopes = along_z(&field.arriving_at(&self.board.places()));
        Array2::from_shape_vec(self.board.grid.lattice.shape(), slopes).expect("one value per node")
    }

    /// Dipoles at the nodes [N RMS] that stand for a jump.
    fn strengths(&self, hats: &[Complex64]) -> Array2<Complex64> {
        let hats = Array2::from_shape_vec(self.board.grid.lattice.shape(), hats.to_vec())
            .expect("one value per node");
        let jump = Jump { hats, steps: 0, residual: 0.0, sought: 0.0 };
        Dipoles::new(&self.board.grid, self.system.frequency(), None, &jump).strengths
    }
}

fn along_z(field: &[PointField]) -> Vec<Complex64> {
    field.iter().map(|field| field.gradient[2]).collect()
}
