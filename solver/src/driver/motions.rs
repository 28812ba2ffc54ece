//! What the diaphragm can do.

use super::disc::Disc;
use crate::plate::PlateError;
use crate::scene::{Diaphragm, DiaphragmForm};
use ndarray::Array2;
use num_complex::Complex64;
use std::f64::consts::{PI, TAU};

/// Steps along the radius for swept areas: errors below 1e-5.
const STEPS: usize = 400;

/// The motions that a diaphragm's velocity is a sum of; all are the same all round.
#[derive(Clone, Debug)]
pub struct Motions {
    kind: Kind,
    radius: f64,
    at_coil: Vec<f64>,
    swept: Vec<f64>,
}

#[derive(Clone, Debug)]
enum Kind {
    Stiff,
    Ring { inner: f64, coil: f64 },
    Bending(Disc),
}

impl Motions {
    /// The motions of a diaphragm that matter up to the frequency `up_to` [Hz].
    ///
    /// # Errors
    /// When the modes of a bending disc cannot be computed.
    pub fn of(diaphragm: &Diaphragm, up_to: f64) -> Result<Self, PlateError> {
        let radius = diaphragm.radius;
        let (kind, coil) = match &diaphragm.form {
            DiaphragmForm::Flat | DiaphragmForm::Cone { .. } | DiaphragmForm::Dome { .. } => {
                (Kind::Stiff, 0.0)
            }
            &DiaphragmForm::Ring { inner_radius: inner, coil_radius: coil } => {
                (Kind::Ring { inner, coil }, coil)
            }
            DiaphragmForm::BendingDisc { section, coil_radius, masses } => {
                let disc = Disc::new(section, radius, *coil_radius, masses, up_to)?;
                (Kind::Bending(disc), *coil_radius)
            }
        };
        let mut motions = Self { kind, radius, at_coil: vec![], swept: vec![] };
        motions.at_coil = motions.at(coil);
        motions.swept = motions.areas();
        Ok(motions)
    }

    /// How many.
    pub fn count(&self) -> usize {
        match &self.kind {
            Kind::Stiff | Kind::Ring { .. } => 1,
            Kind::Bending(disc) => disc.count(),
        }
    }

    /// Axial velocity of every motion of unit amplitude at a distance [m] from the axis; 0 beyond the edge.
    pub fn at(&self, from_axis: f64) -> Vec<f64> {
        (0..self.count()).map(|motion| self.of_one(motion, from_axis)).collect()
    }

    /// The same of one motion.
    pub fn of_one(&self, motion: usize, from_axis: f64) -> f64 {
        // A mesh's points may lie a rounding error beyond the edge.
        if from_axis > self.radius * (1.0 + 1e-9) {
            return 0.0;
        }
        match &self.kind {
            Kind::Stiff => 1.0,
            &Kind::Ring { inner, coil } => {
                let outside = (self.radius - from_axis) / (self.radius - coil);
                let inside = (from_axis - inner) / (coil - inner);
                outside.min(inside).max(0.0)
            }
            Kind::Bending(disc) => disc.at(motion, from_axis),
        }
    }

    /// Values at the coil.
    pub fn at_coil(&self) -> &[f64] {
        &self.at_coil
    }

    /// Area [m²] times unit velocity that every motion sweeps.
    pub fn swept(&self) -> &[f64] {
        &self.swept
    }

    /// Natural frequencies [Hz] of the plate alone with its masses left out; empty for stiff diaphragms.
    pub fn natural_frequencies(&self) -> Vec<f64> {
        match &self.kind {
            Kind::Bending(disc) => disc.frequencies(),
            _ => vec![],
        }
    }

    /// Mechanical impedance [N s/m] of the plate at angular frequency `omega` [rad/s], between amplitudes of motions; zero for stiff
    /// diaphragms, whose mass is the motor's.
    pub fn impedance(&self, omega: f64) -> Array2<Complex64> {
        match &self.kind {
            Kind::Bending(disc) => disc.impedance(omega),
            _ => Array2::zeros((self.count(), self.count())),
        }
    }

    fn areas(&self) -> Vec<f64> {
        let step = self.radius / STEPS as f64;
        let ring = |motion: usize, i: usize| {
            let r = (i as f64 + 0.5) * step;
            TAU * r * step * self.of_one(motion, r)
        };
        match &self.kind {
            Kind::Stiff => vec![PI * self.radius * self.radius],
            _ => (0..self.count()).map(|m| (0..STEPS).map(|i| ring(m, i)).sum()).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn motions(form: DiaphragmForm) -> Motions {
        Motions::of(&Diaphragm { radius: 0.02, form }, 20e3).expect("no plate to solve")
    }

    #[test]
    fn a_stiff_diaphragm_sweeps_its_circle() {
        let dome = motions(DiaphragmForm::Dome { height: 0.005 });
        assert_eq!((dome.count(), dome.at_coil()), (1, &[1.0][..]));
        assert!((dome.swept()[0] - PI * 4e-4).abs() < 1e-12);
        assert_eq!(dome.at(0.0201), [0.0]);
    }

    #[test]
    fn a_ring_stands_still_at_its_rims_and_sweeps_a_truncated_cone() {
        let ring = motions(DiaphragmForm::Ring { inner_radius: 0.008, coil_radius: 0.014 });
        assert_eq!([0.004, 0.008, 0.014, 0.02].map(|r| ring.of_one(0, r)), [0.0, 0.0, 1.0, 0.0]);
        // Two frusta of cones: 2π ∫ r φ dr over both ramps.
        let ramp = |foot: f64, top: f64| TAU * (top - foot) * (foot / 6.0 + top / 3.0);
        let area = ramp(0.008, 0.014) - ramp(0.02, 0.014);
        assert!((ring.swept()[0] / area - 1.0).abs() < 1e-5, "{} {area}", ring.swept()[0]);
    }
}
