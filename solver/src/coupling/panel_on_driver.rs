//! What a panel's sound does to a small driver before it, by reciprocity.
//!
//! # Equations
//!
//! `exp(+jωt)`, velocities positive towards +z. Two states of the same air: in the first a motion φ of the diaphragm (`v_n = φ n_z`, n into the air) moves
//! with unit amplitude and the panel stands still; in the second the panel moves with v and the diaphragm is blocked. `∮ (p₁ v₂ₙ − p₂ v₁ₙ) dS = 0`
//! over both surfaces (Rayleigh; A. D. Pierce, Acoustics, 1989, section 4.9) gives the force of the panel's sound on the blocked motion,
//!
//! ```text
//! F = −∫ p₂ φ n_z dS = −∫ μ v dS,    μ = p₁(z = +0) − p₁(z = −0) on the panel
//! ```
//!
//! or p₁ in place of μ before a plane without end, behind which there is nothing. So the sound that a driver makes on a still panel, which
//! a comparison of surrounds has at hand, says all that the panel does to the driver: no field of the panel's near the driver is computed.
//!
//! # Validity
//!
//! As that of [`board_behind`](super::board_behind). v is the panel's velocity without the driver: the driver's presence and its motion do not push
//! back on the panel. The panel counts as a board with both faces in the open, or with its front in a plane, whatever its back is in its own prediction.
//! The sum over nodes needs more than two of them to the panel's bending wave: with eight to the wave in air, down to a
//! sixteenth of the coincidence frequency.

use super::board_behind::Board;
use super::board_behind::patches::Patches;
use crate::boundary::{Body, Part, PointField, SurfaceField};
use nalgebra::Vector3;
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::{Axis, Lattice, Outline};
use std::num::NonZeroUsize;

/// Quadrature points of curved elements may lie this much farther out than their nodes.
const BULGE: f64 = 1.05;

/// Points on a panel's front, in the panel's own coordinates, and where the driver's axis goes through it.
#[derive(Clone, Debug)]
pub struct Face {
    /// The points [m].
    pub lattice: Lattice,
    axis: [f64; 2],
}

impl Face {
    /// The nodes of a board.
    pub fn of_board(board: &Board, axis: [f64; 2]) -> Self {
        Self { lattice: board.lattice().clone(), axis }
    }

    /// Cells of at most about `step` [m] on a part of an endless plane; [`Board::step`] says what suits.
    pub fn in_plane(outline: &Outline, axis: [f64; 2], step: f64) -> Self {
        let cells = |length: f64| {
            let count = NonZeroUsize::new((length / step).ceil() as usize).unwrap_or(NonZeroUsize::MIN);
            Axis::cells(0.0, length, count)
        };
        let (width, height) = outline.bounding_box();
        Self { lattice: Lattice::over(outline, cells(width), cells(height)), axis }
    }

    /// Points in the driver's own coordinates [m], through whose origin its axis goes.
    pub fn about_the_axis(lattice: Lattice) -> Self {
        Self { lattice, axis: [0.0; 2] }
    }

    /// The points in the driver's coordinates [m], in storage order.
    pub fn places(&self) -> impl Iterator<Item = Vector3<f64>> + '_ {
        let [x, y] = self.axis;
        self.lattice.points().map(move |point| Vector3::new(point[0] - x, point[1] - y, 0.0))
    }

    /// Pressure times area [N RMS] at every point, of a body that radiates before the plane. Read at fewer places where that suffices.
    pub fn strengths(&self, field: &SurfaceField, body: &Body) -> Array2<Complex64> {
        let (whole, nodes) = (whole(body), self.nodes());
        let patches = Patches::between(&nodes, &whole, None, field.wavenumber());
        let pressure = |at: &PointField| at.pressure;
        let values: Vec<Complex64> =
            field.radiated_by(&whole.elements, &patches.places).iter().map(pressure).collect();
        let mut strengths = patches.spread(&values);
        strengths.iter_mut().zip(self.lattice.weights()).for_each(|(strength, weight)| *strength *= weight);
        strengths
    }

    fn nodes(&self) -> [Vec<f64>; 2] {
        let moved = |axis: &Axis, by: f64| axis.nodes.iter().map(|x| x - by).collect();
        [moved(&self.lattice.x, self.axis[0]), moved(&self.lattice.y, self.axis[1])]
    }
}

/// All elements, in a ball about the axis that also holds their images beyond planes through it.
fn whole(body: &Body) -> Part {
    let heights = || body.points().iter().map(|point| point.z);
    let middle =
        0.5 * (heights().fold(f64::INFINITY, f64::min) + heights().fold(f64::NEG_INFINITY, f64::max));
    let middle = Vector3::new(0.0, 0.0, middle);
    let reach = body.points().iter().map(|point| (point - middle).norm()).fold(0.0, f64::max);
    Part { elements: (0..body.len()).collect(), middle, reach: BULGE * reach }
}

/// Force [N RMS] of a panel's sound on a blocked motion: of the jump that the motion makes on the still panel, times area, at points [N RMS per unit
/// amplitude], and the panel's velocity there [m/s RMS].
pub fn blocked_force(strengths: &Array2<Complex64>, velocity: &Array2<Complex64>) -> Complex64 {
    -strengths.iter().zip(velocity).map(|(strength, v)| strength * v).sum::<Complex64>()
}

#[cfg(test)]
mod tests;
