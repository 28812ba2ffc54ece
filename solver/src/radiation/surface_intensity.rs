//! Pressure on the face of a baffled surface, and the active intensity leaving it.
//!
//! The Rayleigh integral on the surface itself is a convolution. On a lattice of equal cells h_x × h_y it is summed over the
//! cell centres by fast Fourier transform; only the term in which source and receiver coincide needs care. Its weight makes the
//! lattice sum of 1/R over a large block equal the block's integral of 1/R, known in closed form (the "corrected trapezoidal rule":
//! O. Marin, O. Runborg & A.-K. Tornberg, IMA J. Numer. Anal. 34, 2014), and the rest of the kernel is finite there:
//! `(exp(−jkR) − 1)/R → −jk`. Away from the edges of the surface the error falls with h³, near them with h²; the lattice must
//! resolve both wavelengths: [`intensity_cells`] chooses six cells per wavelength.

use super::SurfaceVelocity;
use super::convolution::{Convolver, Spectrum};
use crate::air::Air;
use ndarray::{Array2, Zip};
use num_complex::Complex64;
use panelwright_mesh::{Axis, Lattice, Outline};
use std::f64::consts::TAU;
use std::num::NonZeroUsize;

/// Cells per wavelength of the shorter of bending and sound waves.
const CELLS_PER_WAVELENGTH: f64 = 6.0;
/// Fewest cells per side.
const FEWEST_CELLS: f64 = 24.0;

/// Active intensity [W/m²] leaving the face of `surface`, `I = Re(p v*)` with RMS phasors (F. J. Fahy, Sound Intensity, 2nd ed.
/// 1995, § 4.3), on its lattice; zero off the panel. Its sum with the lattice's weights is the radiated power.
///
/// The lattice must consist of equal cells ([`Axis::cells`], see [`intensity_cells`]).
pub fn surface_intensity(surface: &SurfaceVelocity<'_>, air: &Air) -> Array2<f64> {
    let mut intensity = Zip::from(&surface_pressure(surface, air))
        .and(&surface.velocity)
        .map_collect(|p, v| (p * v.conj()).re);
    if let Some(share) = &surface.lattice.share {
        Zip::from(&mut intensity).and(share).for_each(|i, &share| *i = if share == 0.0 { 0.0 } else { *i });
    }
    intensity
}

/// Pressure [Pa RMS] on the face of `surface`, on its lattice of equal cells.
pub fn surface_pressure(surface: &SurfaceVelocity<'_>, air: &Air) -> Array2<Complex64> {
    let convolver = Convolver::new(surface.lattice.shape());
    FacePressure::new(&convolver, surface.lattice, surface.frequency, air).of(&surface.velocity)
}

/// Velocity → pressure on the face of a baffled surface at one frequency, for use again and again.
pub struct FacePressure<'a> {
    convolver: &'a Convolver,
    spectrum: Spectrum,
    /// Share of each cell that belongs to the surface.
    share: Option<Array2<f64>>,
    /// jωρ/2π.
    factor: Complex64,
}

impl<'a> FacePressure<'a> {
    /// On a `lattice` of equal cells, at `frequency` [Hz]; `convolver` is one for the lattice's shape.
    pub(crate) fn new(convolver: &'a Convolver, lattice: &Lattice, frequency: f64, air: &Air) -> Self {
        let cell = [lattice.x.weights[0], lattice.y.weights[0]];
        let kernel = green_cells(lattice.shape(), cell, air.wavenumber(frequency));
        Self {
            spectrum: convolver.kernel(kernel.view()),
            share: lattice.share.clone(),
            factor: Complex64::i() * frequency * air.density,
            convolver,
        }
    }

    /// Pressure [Pa RMS] for a `velocity` [m/s RMS] of the cells.
    pub fn of(&self, velocity: &Array2<Complex64>) -> Array2<Complex64> {
        let values: Vec<Complex64> = match &self.share {
            None => velocity.iter().copied().collect(),
            Some(share) => velocity.iter().zip(share).map(|(v, share)| v * share).collect(),
        };
        let sums = self.convolver.apply(&self.spectrum, &values, &mut self.convolver.workspace());
        let sums = Array2::from_shape_vec(velocity.dim(), sums).expect("one sum per cell");
        sums.mapv_into(|sum| self.factor * sum)
    }
}

/// Cells over `outline` for [`surface_pressure`]: `bending` wavenumbers along x and y and `acoustic` wavenumber [rad/m].
pub fn intensity_cells(outline: &Outline, bending: [f64; 2], acoustic: f64) -> Lattice {
    let (width, height) = outline.bounding_box();
    let axis = |length: f64, bending: f64| {
        let count = (CELLS_PER_WAVELENGTH * length * bending.max(acoustic) / TAU).max(FEWEST_CELLS).ceil();
        Axis::cells(0.0, length, NonZeroUsize::new(count as usize).unwrap_or(NonZeroUsize::MIN))
    };
    Lattice::over(outline, axis(width, bending[0]), axis(height, bending[1]))
}

/// `∫_cell exp(−jkR)/R dS` for offsets (0…nx − 1, 0…ny − 1).
fn green_cells(shape: (usize, usize), [hx, hy]: [f64; 2], k: f64) -> Array2<Complex64> {
    Array2::from_shape_fn(shape, |(i, j)| {
        if (i, j) == (0, 0) {
            return Complex64::new(coincident_weight(hx, hy), -k * hx * hy);
        }
        let distance = (i as f64 * hx).hypot(j as f64 * hy);
        Complex64::from_polar(hx * hy / distance, -k * distance)
    })
}

/// What the lattice sum of `hx hy / R` without its coincident term lacks of the integral of 1/R [m].
///
/// The difference over a block of (2M + 1)² cells tends to its limit like 1/M; two block sizes remove that term, leaving 1/M³.
fn coincident_weight(hx: f64, hy: f64) -> f64 {
    let over_block = |m: i32| {
        let sum: f64 = (-m..=m)
            .flat_map(|i| (-m..=m).map(move |j| (i, j)))
            .filter(|&ij| ij != (0, 0))
            .map(|(i, j)| hx * hy / (f64::from(i) * hx).hypot(f64::from(j) * hy))
            .sum();
        let reach = f64::from(m) + 0.5;
        (reach, inverse_distance_integral(reach * hx, reach * hy) - sum)
    };
    let ((near, coarse), (far, fine)) = (over_block(16), over_block(32));
    (far * fine - near * coarse) / (far - near)
}

/// `∬ 1/R dS` from the middle of a rectangle of half sides a and b [m]: `4 [a asinh(b/a) + b asinh(a/b)]`.
fn inverse_distance_integral(a: f64, b: f64) -> f64 {
    4.0 * (a * (b / a).asinh() + b * (a / b).asinh())
}

#[cfg(test)]
mod tests {
    use super::super::invariants::{air, gauss, motion};
    use super::super::{PointSources, radiated_power, rayleigh_integral};
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn coincident_weight_of_a_square_is_the_published_one() {
        // 4 ζ(½) β(½) with opposite sign: the regularised sum of 1/|m| over the square lattice is −3.900264920001956
        // (I. J. Zucker, J. Phys. A 7, 1974; recomputed from ζ(½) = −1.4603545088, β(½) = 0.6676914571896).
        assert_relative_eq!(coincident_weight(0.01, 0.01), 0.039_002_649_2, max_relative = 1e-6);
    }

    fn cells(surface: &Lattice) -> SurfaceVelocity<'_> {
        SurfaceVelocity { frequency: 2500.0, lattice: surface, velocity: motion(surface) }
    }

    #[test]
    fn intensity_adds_up_to_the_power() {
        let outline = Outline::Rectangle { width: 0.76, height: 0.52 };
        let lattice = intensity_cells(&outline, [30.0, 30.0], air().wavenumber(2500.0));
        let intensity = surface_intensity(&cells(&lattice), &air());
        let through_face = intensity.sum() * lattice.x.weights[0] * lattice.y.weights[0];
        let power = radiated_power(&cells(&gauss(60, 50)), &air());
        assert_relative_eq!(through_face, power, max_relative = 0.01);
    }

    #[test]
    fn pressure_on_the_face_converges_with_second_order() {
        let middle = |n: usize| {
            let count = |n| NonZeroUsize::new(n).expect("positive");
            let lattice = Lattice::new(Axis::cells(0.0, 0.76, count(n)), Axis::cells(0.0, 0.52, count(n)));
            surface_pressure(&cells(&lattice), &air())[[n / 2, n / 2]]
        };
        // Odd multiples of one another keep the middle cell in the middle.
        let (coarse, medium, fine) = (middle(27), middle(81), middle(243));
        let order = ((coarse - medium).norm() / (medium - fine).norm()).ln() / 3f64.ln();
        assert!((1.8..3.2).contains(&order), "order {order}");
    }

    #[test]
    fn pressure_on_the_face_continues_the_pressure_in_front() {
        let count = NonZeroUsize::new(151).expect("positive");
        let lattice = Lattice::new(Axis::cells(0.0, 0.76, count), Axis::cells(0.0, 0.52, count));
        let on_face = surface_pressure(&cells(&lattice), &air())[[75, 75]];
        let fine = gauss(1300, 900);
        let in_front = |z: f64| {
            rayleigh_integral(&PointSources::from(&cells(&fine)), 2500.0, &[[0.38, 0.26, z]], &air())[0]
        };
        // Quadratic extrapolation to z = 0.
        let extrapolated = 3.0 * in_front(0.002) - 3.0 * in_front(0.004) + in_front(0.006);
        assert!((on_face / extrapolated - 1.0).norm() < 0.005, "{on_face} {extrapolated}");
    }
}
