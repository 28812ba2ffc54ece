//! The sound of a body before a board.

use super::Side;
use super::board::Board;
use crate::boundary::{IncidentField, ParallelDipoles, PointField, SurfaceField};
use nalgebra::Vector3;
use ndarray::Array2;
use num_complex::Complex64;
use rayon::prelude::*;
use std::f64::consts::PI;

/// A ball reaches farther than its radius by this share.
const ROUNDING: f64 = 1e-9;

/// Sound of a body before a board at one frequency.
pub struct BoardedField<'a> {
    /// The body's part: pressure on its surface, and everywhere; the board's sound is what arrives.
    pub body: SurfaceField<'a>,
    pub(super) board: &'a Board,
    /// Strength [N RMS] of the dipole at every node of the board, positive when the pressure in front is higher.
    pub strengths: Array2<Complex64>,
    /// How often each of the two scattered the other's sound.
    pub exchanges: usize,
    /// Relative residual of the jump that they left.
    pub residual: f64,
}

impl BoardedField<'_> {
    /// Pressure and gradient at points [m] outside the body, at least a cell away from the board.
    pub fn at(&self, points: &[Vector3<f64>]) -> Vec<PointField> {
        self.body.at(points)
    }

    /// `r p exp(jkr)` [Pa m RMS] of the radiated and scattered field far away in the directions of unit vectors: that of the body and
    /// `jk d_z/(4π) Σ D exp(jk d·y)` of the board's dipoles.
    pub fn far(&self, directions: &[Vector3<f64>]) -> Vec<Complex64> {
        let k = self.body.wavenumber();
        let [x, y] = self.board.nodes();
        let of_board = |d: &Vector3<f64>| -> Complex64 {
            let [wave_x, wave_y] = [(&x, d.x), (&y, d.y)].map(|(nodes, along)| {
                nodes.iter().map(|x| Complex64::cis(k * along * x)).collect::<Vec<_>>()
            });
            let row = |(row, wave): (ndarray::ArrayView1<Complex64>, &Complex64)| -> Complex64 {
                row.iter().zip(&wave_y).map(|(strength, wave)| strength * wave).sum::<Complex64>() * wave
            };
            let sum: Complex64 = self.strengths.rows().into_iter().zip(&wave_x).map(row).sum();
            sum * Complex64::new(0.0, k * d.z / (4.0 * PI))
        };
        let board: Vec<Complex64> = directions.par_iter().map(of_board).collect();
        self.body.far(directions).iter().zip(board).map(|(body, board)| body + board).collect()
    }

    /// Power [W] that the body's surface gives to the air; the board, which does not move, gives none.
    pub fn power(&self) -> f64 {
        self.body.power()
    }
}

/// The sound of a board's dipoles: those at the nodes, and within the balls around the parts of a body the fewer that stand for them there.
pub(super) struct Sound {
    everywhere: ParallelDipoles,
    at_parts: Vec<Heard>,
}

/// Dipoles as they are heard within a ball.
struct Heard {
    middle: Vector3<f64>,
    reach: f64,
    dipoles: ParallelDipoles,
}

impl Sound {
    pub fn new(board: &Board, sides: &[Side], strengths: &Array2<Complex64>) -> Self {
        let dipoles = |places: &[Vector3<f64>], strengths: Vec<Complex64>| {
            ParallelDipoles::new(places.iter().copied().zip(strengths), Vector3::z())
        };
        let heard = |Side { part, patches }: &Side| Heard {
            middle: part.middle,
            reach: part.reach * (1.0 + ROUNDING),
            dipoles: dipoles(&patches.places, patches.gathered(strengths)),
        };
        Self {
            everywhere: dipoles(&board.places(), strengths.iter().copied().collect()),
            at_parts: sides.par_iter().map(heard).collect(),
        }
    }
}

impl IncidentField for Sound {
    fn at(&self, point: Vector3<f64>, k: f64) -> PointField {
        let within = |heard: &&Heard| (point - heard.middle).norm() <= heard.reach;
        self.at_parts.iter().find(within).map_or(&self.everywhere, |heard| &heard.dipoles).at(point, k)
    }
}
