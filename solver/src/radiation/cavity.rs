//! The shallow space behind a closed or vented panel.
//!
//! A box of the panel's width and height and depth D with rigid walls. Over the panel's motion v (towards +z, out of the space) each cosine
//! mode `cos(mπx/W) cos(nπy/H)` carries the pressure
//!
//! ```text
//! p_mn = jωρ cot(k_z D)/k_z v_mn,    k_z² = k_c² − (mπ/W)² − (nπ/H)²,    k_c² = ω²/(c² (1 + jη))
//! ```
//!
//! which for long waves is the spring `−ρc²(1 + jη)/D` per area (A. D. Pierce, Acoustics, 1989, § 7-3, for the duct closed at its end; η as a
//! loss factor of the air's stiffness is common practice). All mode shapes that the cells of the panel can tell apart are taken.
//!
//! A vent is a mass and its radiation into the half space, `Z_v = jωρ l/S_v + ρck²/2π`, joined to the mode of uniform pressure: the vent
//! is small against the wavelength, and the modes with a pattern drive it little (common practice).

use crate::air::Air;
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::{Axis, Lattice};
use std::f64::consts::{PI, TAU};

/// A space may not be loss-free: at its resonances the pressure would be infinite.
const LEAST_LOSS: f64 = 1e-4;

/// Size and loss of the space.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Enclosure {
    /// Depth [m].
    pub depth: f64,
    /// Loss factor of the air in it.
    pub loss_factor: f64,
    /// Area [m²] and effective length [m] of an opening to the room.
    pub vent: Option<[f64; 2]>,
}

/// The space at one frequency, seen from the cells of a panel.
pub struct Cavity {
    /// Cosine tables (modes, cells) of both directions.
    x: Array2<f64>,
    y: Array2<f64>,
    /// Pressure per velocity of each mode, norms included.
    load: Array2<Complex64>,
    /// Flow through the vent per volume velocity of the panel.
    vent: Complex64,
    cell_area: f64,
}

impl Cavity {
    /// The space behind the cells of `lattice` at `frequency` [Hz].
    pub fn new(lattice: &Lattice, enclosure: Enclosure, frequency: f64, air: &Air) -> Self {
        let omega = TAU * frequency;
        let loss = enclosure.loss_factor.max(LEAST_LOSS);
        let square = (omega / air.sound_speed).powi(2) / Complex64::new(1.0, loss);
        let inertia = Complex64::new(0.0, omega * air.density);
        let extent = [&lattice.x, &lattice.y].map(|axis| axis.weights.sum());
        let area = extent[0] * extent[1];
        let norm = |mode: usize| if mode == 0 { 1.0 } else { 2.0 };
        let mut load = Array2::from_shape_fn(lattice.shape(), |(m, n)| {
            let across = (PI * m as f64 / extent[0]).powi(2) + (PI * n as f64 / extent[1]).powi(2);
            inertia * cotangent_over(square - across, enclosure.depth) * (norm(m) * norm(n) / area)
        });
        let vent = enclosure.vent.map_or(Complex64::ZERO, |[area, length]| {
            let k = omega / air.sound_speed;
            let impedance = inertia * length / area + air.impedance() * k * k / TAU;
            // p = Z (Q + U) and U = p / Z_v: the vent relieves the mode of uniform pressure.
            let relief = Complex64::ONE - load[[0, 0]] / impedance;
            load[[0, 0]] /= relief;
            load[[0, 0]] / impedance
        });
        let cell_area = lattice.x.weights[0] * lattice.y.weights[0];
        Self { x: cosines(&lattice.x), y: cosines(&lattice.y), load, vent, cell_area }
    }

    /// Pressure [Pa RMS] on the back of each cell for its `velocity` [m/s RMS, towards +z].
    pub fn pressure(&self, velocity: &Array2<Complex64>) -> Array2<Complex64> {
        let [re, im] = [velocity.mapv(|v| v.re), velocity.mapv(|v| v.im)];
        let analysed = |part: Array2<f64>| self.x.dot(&part.dot(&self.y.t()));
        let (re, im) = (analysed(re), analysed(im));
        let loaded = Array2::from_shape_fn(self.load.dim(), |at| {
            self.load[at] * Complex64::new(re[at], im[at]) * self.cell_area
        });
        let back = |part: Array2<f64>| self.x.t().dot(&part.dot(&self.y));
        let (re, im) = (back(loaded.mapv(|p| p.re)), back(loaded.mapv(|p| p.im)));
        Array2::from_shape_fn(velocity.dim(), |at| Complex64::new(re[at], im[at]))
    }

    /// Volume velocity [m³/s RMS] out of the vent for the `velocity` of the cells.
    pub fn vent_flow(&self, velocity: &Array2<Complex64>) -> Complex64 {
        self.vent * velocity.sum() * self.cell_area
    }
}

/// `cot(k_z D)/k_z`, k_z² = `square` with a negative imaginary part.
fn cotangent_over(square: Complex64, depth: f64) -> Complex64 {
    let kz = square.sqrt();
    // Im k_z < 0: this exponential decays.
    let round_trip = (Complex64::new(0.0, -2.0) * kz * depth).exp();
    Complex64::i() * (1.0 + round_trip) / ((1.0 - round_trip) * kz)
}

fn cosines(axis: &Axis) -> Array2<f64> {
    let extent = axis.weights.sum();
    Array2::from_shape_fn((axis.len(), axis.len()), |(mode, cell)| {
        (PI * mode as f64 * axis.nodes[cell] / extent).cos()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::num::NonZeroUsize;

    fn lattice() -> Lattice {
        let count = |n| NonZeroUsize::new(n).expect("positive");
        Lattice::new(Axis::cells(0.0, 0.6, count(30)), Axis::cells(0.0, 0.4, count(20)))
    }

    fn air() -> Air {
        Air::new(293.15, 0.5, 101_325.0)
    }

    #[test]
    fn at_low_frequencies_it_is_a_spring() {
        let enclosure = Enclosure { depth: 0.05, loss_factor: 0.1, vent: None };
        let cavity = Cavity::new(&lattice(), enclosure, 20.0, &air());
        let pressure = cavity.pressure(&Array2::from_elem((30, 20), Complex64::ONE));
        let stiffness = air().impedance() * air().sound_speed / 0.05 * Complex64::new(1.0, 0.1);
        let expected = -stiffness / Complex64::new(0.0, TAU * 20.0);
        assert!((pressure[[3, 11]] / expected - 1.0).norm() < 1e-3, "{} {expected}", pressure[[3, 11]]);
    }

    #[test]
    fn it_resonates_across_where_half_a_wave_fits() {
        let enclosure = Enclosure { depth: 0.02, loss_factor: 0.01, vent: None };
        let tilting = Array2::from_shape_fn((30, 20), |(i, _)| Complex64::from(14.5 - i as f64));
        let at = |f: f64| Cavity::new(&lattice(), enclosure, f, &air()).pressure(&tilting)[[0, 0]].norm();
        let half_wave = air().sound_speed / 1.2;
        assert!(at(half_wave) > 5.0 * at(0.9 * half_wave) && at(half_wave) > 5.0 * at(1.1 * half_wave));
    }

    #[test]
    fn a_vent_resonates_with_the_volume() {
        let (area, length) = (3e-3, 0.08);
        let enclosure = Enclosure { depth: 0.05, loss_factor: 0.0, vent: Some([area, length]) };
        let helmholtz = air().sound_speed / TAU * (area / (length * 0.6 * 0.4 * 0.05)).sqrt();
        let even = Array2::from_elem((30, 20), Complex64::ONE);
        let flow = |f: f64| Cavity::new(&lattice(), enclosure, f, &air()).vent_flow(&even);
        assert!(flow(helmholtz).norm() > 10.0 * flow(1.3 * helmholtz).norm());
        // Far below, what the panel pushes in comes out of the vent.
        assert!((flow(0.05 * helmholtz) / (-0.24) - 1.0).norm() < 0.01, "{}", flow(0.05 * helmholtz));
    }
}
