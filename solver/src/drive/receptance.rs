//! The panel as exciters, masses and hangs feel it: mobility between the ports, from modes and the static residual.
//!
//! ```text
//! Y_ij(ω) = Σ_n φ̄_in φ̄_jn h_n(ω) + jω R_ij g(ω) / (1 + jη),      h_n(ω) = jω / (ω_n² (1 + jη_n) − ω²)
//! ```
//!
//! φ̄_in is the mass-normalised shape of mode n averaged over port i [kg^−½], R the static flexibility of all modes that
//! are left out [m/N]. A rigid-body mode has ω_n = 0 and h_n = 1/jω. Proportional (hysteretic) loss: the shapes stay real.
//!
//! The modes left out act as a spring far below the highest mode kept, ω_c. Nearer to it their spring softens. Bending
//! modes of a plate are evenly dense in frequency, so the sum over those beyond ω_c grows as
//!
//! ```text
//! g(ω) = ∫_{ω_c}^∞ dΩ / (Ω² (1 + jη) − ω²) · (1 + jη) ω_c = artanh(x) / x,      x² = ω² / (ω_c² (1 + jη))
//! ```
//!
//! Valid for ω > 0. With modes up to 1.5 times the highest frequency the foot's velocity is within 2 % there, with twice within
//! 1 %; the electrical impedance within 2e-4 (measured on the validation problem of two coupled exciters).
//! Sources: L. Cremer, M. Heckl & B. A. T. Petersson, Structure-Borne Sound, 3rd ed. 2005, ch. 5 (modal mobility);
//! R. H. MacNeal, Computers & Structures 1 (1971) 581–601 (residual flexibility); g(ω) is worked out here.

use super::passive::{self, Passive};
use crate::plate::{Footprint, Modes};
use crate::scene::{Attachments, Exciter};
use multiversion::multiversion;
use ndarray::Array2;
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Panel data at the feet of the exciters, then at the masses and hangs: all that the drive needs to know of the panel.
#[derive(Clone, Debug)]
pub struct PanelPorts {
    /// ω_n² [rad²/s²] of each mode.
    stiffness: Vec<f64>,
    /// ω_n² η_n of each mode.
    loss: Vec<f64>,
    /// φ̄ (ports, modes), rows contiguous.
    shapes: Array2<f64>,
    residual: Array2<f64>,
    residual_loss_factor: f64,
    /// Highest mode kept ω_c [rad/s].
    cut: f64,
    /// What sits at the last ports.
    passive: Vec<Passive>,
}

/// What [`PanelPorts`] is made of.
#[derive(Clone, Copy, Debug)]
pub struct PortData<'a> {
    /// Natural frequencies [Hz]; 0 for rigid-body modes.
    pub frequencies: &'a [f64],
    /// Loss factor of each mode.
    pub loss_factors: &'a [f64],
    /// Mass-normalised shapes averaged over each foot (ports, modes), kg^−½.
    pub shapes: &'a Array2<f64>,
    /// Static flexibility of the modes left out (ports, ports), symmetric, m/N.
    pub residual: &'a Array2<f64>,
    /// Loss factor of that flexibility.
    pub residual_loss_factor: f64,
}

/// How the panel of a variation differs from the nominal one.
#[derive(Clone, Debug)]
pub struct PortChange<'a> {
    /// Factor on ω_n² of each mode.
    pub stiffness: &'a [f64],
    /// Loss factor of each mode, in place of the nominal one.
    pub loss_factors: &'a [f64],
    /// Mass-normalised shapes averaged over each foot (ports, modes), kg^−½, in place of the nominal ones.
    pub shapes: Array2<f64>,
    /// Factor on the static flexibility of the modes left out.
    pub residual: f64,
    /// Factor on its loss factor.
    pub residual_loss: f64,
    /// Factor on the stiffness of hangs.
    pub supports: f64,
}

/// Where an exciter touches the panel: the ring of its foot.
pub fn foot(exciter: &Exciter) -> Footprint {
    Footprint::ring(exciter.position, exciter.foot_diameter)
}

impl PanelPorts {
    /// Ports from plain arrays.
    ///
    /// # Panics
    /// When the lengths do not agree.
    pub fn new(data: PortData) -> Self {
        let (ports, modes) = data.shapes.dim();
        assert_eq!(data.frequencies.len(), modes, "one frequency per mode");
        assert_eq!(data.loss_factors.len(), modes, "one loss factor per mode");
        assert_eq!(data.residual.dim(), (ports, ports), "one residual per pair of ports");
        let stiffness: Vec<f64> = data.frequencies.iter().map(|f| (TAU * f).powi(2)).collect();
        Self {
            loss: stiffness.iter().zip(data.loss_factors).map(|(k, eta)| k * eta).collect(),
            stiffness,
            shapes: data.shapes.as_standard_layout().into_owned(),
            residual: data.residual.clone(),
            residual_loss_factor: data.residual_loss_factor,
            cut: TAU * data.frequencies.iter().copied().fold(0.0, f64::max),
            passive: vec![],
        }
    }

    /// The same ports with a passive part on each of the last ones.
    ///
    /// # Panics
    /// When there are more parts than ports.
    pub fn carrying(self, passive: Vec<Passive>) -> Self {
        assert!(passive.len() <= self.len(), "one port per passive part");
        Self { passive, ..self }
    }

    /// Ports under the feet of `exciters`, then under masses and hangs, on a panel of the given `loss_factor`.
    pub fn under(exciters: &[Exciter], attachments: &Attachments, modes: &Modes, loss_factor: f64) -> Self {
        let (places, passive) = passive::of(attachments);
        let touched: Vec<Footprint> = exciters.iter().map(foot).chain(places).collect();
        let (shapes, residual) =
            rayon::join(|| modes.averaged(&touched), || modes.residual_flexibility(&touched));
        Self::new(PortData {
            frequencies: &modes.frequencies.to_vec(),
            loss_factors: &modes.loss_factors.to_vec(),
            shapes: &shapes,
            residual: &residual,
            residual_loss_factor: loss_factor,
        })
        .carrying(passive)
        .cut_at(modes.bare_frequencies().last().copied().unwrap_or(0.0))
    }

    /// What is left out begins at `frequency` [Hz]: where the bare panel's modes end, not those with patches on it.
    fn cut_at(self, frequency: f64) -> Self {
        Self { cut: TAU * frequency, ..self }
    }

    /// What sits at the last ports, in order.
    pub fn passive(&self) -> &[Passive] {
        &self.passive
    }

    /// ω_n² [rad²/s²] and ω_n² η_n of each mode.
    pub(super) fn stiffness_and_loss(&self) -> (&[f64], &[f64]) {
        (&self.stiffness, &self.loss)
    }

    /// Shapes averaged over the ports (ports, modes).
    pub(super) fn shapes(&self) -> &Array2<f64> {
        &self.shapes
    }

    /// Static flexibility of the modes left out (ports, ports).
    pub(super) fn residual(&self) -> &Array2<f64> {
        &self.residual
    }

    /// Loss factor of [`residual`](Self::residual).
    pub(super) fn residual_loss_factor(&self) -> f64 {
        self.residual_loss_factor
    }

    /// The ports of a panel that differs by `change`.
    ///
    /// # Panics
    /// When the lengths do not agree.
    pub fn varied(&self, change: PortChange) -> Self {
        assert_eq!(change.stiffness.len(), self.modes(), "one factor per mode");
        assert_eq!(change.shapes.dim(), self.shapes.dim(), "one shape per port and mode");
        assert_eq!(change.loss_factors.len(), self.modes(), "one loss factor per mode");
        let product = |(a, b): (&f64, &f64)| a * b;
        let stiffness: Vec<f64> = self.stiffness.iter().zip(change.stiffness).map(product).collect();
        Self {
            loss: stiffness.iter().zip(change.loss_factors).map(product).collect(),
            cut: self.cut * (highest(&stiffness) / highest(&self.stiffness)).sqrt(),
            stiffness,
            passive: self.passive.iter().map(|part| part.stiffened(change.supports)).collect(),
            shapes: change.shapes.as_standard_layout().into_owned(),
            residual: &self.residual * change.residual,
            residual_loss_factor: self.residual_loss_factor * change.residual_loss,
        }
    }

    /// Number of ports.
    pub fn len(&self) -> usize {
        self.shapes.nrows()
    }

    /// True when there is none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Frequency [Hz] of the highest mode kept.
    pub fn highest_mode(&self) -> f64 {
        self.cut / TAU
    }

    /// Number of modes.
    pub fn modes(&self) -> usize {
        self.stiffness.len()
    }

    /// Answers of all modes at `omega` > 0 [rad/s].
    pub(super) fn admittance(&self, omega: f64) -> ModalAdmittance {
        let mut h = ModalAdmittance { re: vec![0.0; self.modes()], im: vec![0.0; self.modes()] };
        modal_admittance(omega, &self.stiffness, &self.loss, &mut h.re, &mut h.im);
        h
    }

    /// Mobility matrix Y (ports, ports) [m/(N·s)], symmetric.
    pub(super) fn mobility(&self, omega: f64, h: &ModalAdmittance) -> Array2<Complex64> {
        let spring = self.residual_admittance(omega);
        let mut y = Array2::zeros((self.len(), self.len()));
        for i in 0..self.len() {
            for j in 0..=i {
                let sum = weighted_dot(&h.re, &h.im, self.shape(i), self.shape(j));
                y[[i, j]] = Complex64::new(sum.0, sum.1) + spring * self.residual[[i, j]];
                y[[j, i]] = y[[i, j]];
            }
        }
        y
    }

    /// Modal velocities `h_n Σ_i φ̄_in F_i` under `forces` [N], written to `velocity`.
    pub(super) fn modal_velocity(
        &self,
        h: &ModalAdmittance,
        forces: &[Complex64],
        velocity: &mut [Complex64],
    ) {
        velocity.fill(Complex64::ZERO);
        for (i, force) in forces.iter().enumerate() {
            velocity.iter_mut().zip(self.shape(i)).for_each(|(v, phi)| *v += force * phi);
        }
        for (v, (re, im)) in velocity.iter_mut().zip(h.re.iter().zip(&h.im)) {
            *v *= Complex64::new(*re, *im);
        }
    }

    /// Modal velocities `h_n (f_n + Σ_i φ̄_in F_i)` under forces on the modes themselves [N kg^−½] and at the ports [N].
    pub(super) fn loaded_velocity(
        &self,
        h: &ModalAdmittance,
        on_modes: &[Complex64],
        at_ports: &[Complex64],
    ) -> Vec<Complex64> {
        let mut velocity = vec![Complex64::ZERO; self.modes()];
        self.modal_velocity(h, at_ports, &mut velocity);
        let own = on_modes.iter().zip(h.re.iter().zip(&h.im));
        velocity.iter_mut().zip(own).for_each(|(v, (f, (re, im)))| *v += f * Complex64::new(*re, *im));
        velocity
    }

    /// Velocities [m/s] of the ports when the modes move with `modal_velocity`, local give left out.
    pub(super) fn at_ports(&self, modal_velocity: &[Complex64]) -> Vec<Complex64> {
        let sum = |port| self.shape(port).iter().zip(modal_velocity).map(|(phi, q)| *phi * q).sum();
        (0..self.len()).map(sum).collect()
    }

    /// Power lost in the panel [W]: `Σ ω_n² η_n |q̇_n|² / ω + Re(jω / (1 + jη)) Fᴴ R F`.
    pub(super) fn dissipated(&self, omega: f64, velocity: &[Complex64], forces: &[Complex64]) -> f64 {
        let modal: f64 = self.loss.iter().zip(velocity).map(|(loss, v)| loss * v.norm_sqr()).sum();
        let mut quadratic = 0.0;
        for (i, a) in forces.iter().enumerate() {
            quadratic += forces
                .iter()
                .enumerate()
                .map(|(j, b)| self.residual[[i, j]] * (a.conj() * b).re)
                .sum::<f64>();
        }
        modal / omega + self.residual_admittance(omega).re * quadratic
    }

    /// jω g / (1 + jη) of the residual.
    pub(super) fn residual_admittance(&self, omega: f64) -> Complex64 {
        let compliance = Complex64::new(1.0, self.residual_loss_factor).inv();
        Complex64::new(0.0, omega) * compliance * softening(omega, self.cut, compliance)
    }

    fn shape(&self, port: usize) -> &[f64] {
        let modes = self.modes();
        &self.shapes.as_slice().expect("stored in standard layout")[port * modes..(port + 1) * modes]
    }
}

fn highest(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::MIN_POSITIVE, f64::max)
}

/// g = artanh(x) / x with x² = ω²/ω_c² · `compliance`; 1 where there is no bending mode to cut behind.
fn softening(omega: f64, cut: f64, compliance: Complex64) -> Complex64 {
    if cut == 0.0 {
        return Complex64::ONE;
    }
    let x = compliance.sqrt() * (omega / cut);
    // Below this the next term of the series x²/3 is lost in rounding, and artanh loses digits.
    if x.norm() < 1e-8 { Complex64::ONE } else { x.atanh() / x }
}

/// h_n(ω) of all modes, parts kept apart so that the loops vectorise.
pub(super) struct ModalAdmittance {
    re: Vec<f64>,
    im: Vec<f64>,
}

impl ModalAdmittance {
    /// One number per mode.
    pub(super) fn values(&self) -> impl Iterator<Item = Complex64> + '_ {
        self.re.iter().zip(&self.im).map(|(&re, &im)| Complex64::new(re, im))
    }
}

/// `jω / (k (1 + jη) − ω²)` with k = ω_n² and loss = k η: real and imaginary parts.
#[multiversion(targets = "simd")]
fn modal_admittance(omega: f64, stiffness: &[f64], loss: &[f64], re: &mut [f64], im: &mut [f64]) {
    for (((k, b), re), im) in stiffness.iter().zip(loss).zip(re).zip(im) {
        let a = k - omega * omega;
        let scale = omega / (a * a + b * b);
        *re = b * scale;
        *im = a * scale;
    }
}

/// `Σ_n (re + j im)_n a_n b_n` in eight fixed lanes: vectorised, and always summed in the same order.
#[multiversion(targets = "simd")]
fn weighted_dot(re: &[f64], im: &[f64], a: &[f64], b: &[f64]) -> (f64, f64) {
    const LANES: usize = 8;
    let (mut sum_re, mut sum_im) = ([0.0; LANES], [0.0; LANES]);
    let blocks = re.chunks(LANES).zip(im.chunks(LANES)).zip(a.chunks(LANES).zip(b.chunks(LANES)));
    for ((re, im), (a, b)) in blocks {
        for lane in 0..re.len() {
            let ab = a[lane] * b[lane];
            sum_re[lane] += re[lane] * ab;
            sum_im[lane] += im[lane] * ab;
        }
    }
    (sum_re.iter().sum(), sum_im.iter().sum())
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::array;

    fn ports(frequency: f64, loss_factor: f64, residual: f64) -> PanelPorts {
        PanelPorts::new(PortData {
            frequencies: &[0.0, frequency],
            loss_factors: &[0.0, loss_factor],
            shapes: &array![[2.0, 1.5], [2.0, -0.5]],
            residual: &array![[residual, 0.1 * residual], [0.1 * residual, residual]],
            residual_loss_factor: 0.03,
        })
    }

    /// The sum written out with complex numbers; artanh as a logarithm.
    fn by_hand(omega: f64, frequency: f64, loss: f64, products: [f64; 2], residual: f64) -> Complex64 {
        let j = Complex64::I;
        let stiffness = (TAU * frequency).powi(2) * (1.0 + j * loss);
        let x = omega / (TAU * frequency) / (1.0 + 0.03 * j).sqrt();
        let growth = ((1.0 + x) / (1.0 - x)).ln() / (2.0 * x);
        products[0] / (j * omega)
            + products[1] * j * omega / (stiffness - omega * omega)
            + j * omega * residual * growth / (1.0 + 0.03 * j)
    }

    #[test]
    fn mobility_is_the_modal_sum_plus_the_residual() {
        let p = ports(120.0, 0.02, 1e-5);
        for f in [3.0, 119.9, 120.0, 4000.0] {
            let omega = TAU * f;
            let y = p.mobility(omega, &p.admittance(omega));
            let expected = by_hand(omega, 120.0, 0.02, [4.0, -0.75], 1e-6);
            approx::assert_relative_eq!(y[[0, 1]].re, expected.re, max_relative = 1e-13);
            approx::assert_relative_eq!(y[[0, 1]].im, expected.im, max_relative = 1e-13);
            assert_eq!(y[[0, 1]], y[[1, 0]]);
        }
    }

    /// Evenly spaced modes from the cut to 2000 times the cut, summed one by one.
    #[test]
    fn modes_left_out_soften_as_evenly_spaced_ones_do() {
        let (cut, spacing, eta) = (TAU * 100.0, TAU * 0.1, 0.03);
        let sum = |omega: f64| -> Complex64 {
            let term = |n: u32| {
                let square = (cut + spacing * (f64::from(n) + 0.5)).powi(2);
                (Complex64::new(square, square * eta) - omega * omega).inv()
            };
            (0..2_000_000).map(term).sum()
        };
        let compliance = Complex64::new(1.0, eta).inv();
        for x in [0.1, 0.5, 0.8, 0.95, 1.3] {
            let expected = sum(x * cut) / sum(0.0);
            let found = softening(x * cut, cut, compliance);
            assert!((found - expected).norm() < 2e-3 * expected.norm(), "{found} at {x}, summed {expected}");
        }
        assert_eq!(softening(1e-7, cut, compliance), Complex64::ONE);
        assert_eq!(softening(100.0, 0.0, compliance), Complex64::ONE);
    }

    #[test]
    fn material_loss_is_the_power_put_in() {
        let p = ports(120.0, 0.02, 1e-5);
        let forces = [Complex64::new(0.7, -0.2), Complex64::new(-0.1, 0.4)];
        for f in [5.0, 121.0, 900.0] {
            let omega = TAU * f;
            let h = p.admittance(omega);
            let mut q = vec![Complex64::ZERO; 2];
            p.modal_velocity(&h, &forces, &mut q);
            let y = p.mobility(omega, &h);
            let velocity = |i: usize| y[[i, 0]] * forces[0] + y[[i, 1]] * forces[1];
            let put_in = (forces[0] * velocity(0).conj() + forces[1] * velocity(1).conj()).re;
            approx::assert_relative_eq!(p.dissipated(omega, &q, &forces), put_in, max_relative = 1e-9);
        }
    }
}
