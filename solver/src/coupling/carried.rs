//! The air that each mode carries by itself: near enough to guess by, and cheap.

use crate::air::Air;
use crate::plate::{EnergyPart, Modes};
use crate::scene::{Panel, PlateSection};
use ndarray::ArrayView1;
use num_complex::Complex64;
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI, TAU};

/// Share of bending in a mode's energy from which it has a direction.
const LEAST_BENDING: f64 = 1e-3;

/// The air that a mode carries when no other moves, as a wave of the mode's wavenumber κ does on an infinite panel:
///
/// ```text
/// z = jωρ (1/γ + b)/m,    γ = √(κ² − k²),    b = 1/γ behind a panel open to both sides, coth(γD)/γ before a space of depth D,
///                                            (2/(1 − R exp(−2γd)) − 1)/γ for one hung at d before a wall
/// ```
///
/// (F. J. Fahy & P. Gardonio, Sound and Structural Vibration, 2nd ed. 2007, ch. 3, for 1/γ; the space as in
/// [`cavity`](crate::radiation::cavity), the wall as in [`screen`](crate::radiation::screen).) The panel's finite size ℓ blunts what
/// happens at κ = k: the air gets a loss of 1/kℓ.
pub struct Carried {
    /// κ of each mode [rad/m].
    wavenumbers: Vec<f64>,
    /// ℓ [m].
    size: f64,
    surface_mass: f64,
}

impl Carried {
    /// What the `modes` of a `panel` carry, each with the wavenumber of the direction in which its energy says that it runs.
    pub fn new(panel: &Panel, modes: &Modes) -> Self {
        let section = &panel.section;
        let shares = modes.energy.rows();
        let of = |(&f, shares)| section.wavenumber(f, direction(section, shares));
        Self::of(panel, modes.frequencies.iter().zip(shares).map(of))
    }

    /// The same with the mean wavenumber of the two directions: nearer to what the air does between the faces of an open panel, where that was measured.
    pub fn of_both_directions(panel: &Panel, modes: &Modes) -> Self {
        let along = |f: f64| [0.0, FRAC_PI_2].map(|angle| panel.section.wavenumber(f, angle));
        Self::of(panel, modes.frequencies.iter().map(|&f| along(f).iter().product::<f64>().sqrt()))
    }

    fn of(panel: &Panel, wavenumbers: impl Iterator<Item = f64>) -> Self {
        let size = panel.outline.area().sqrt();
        Self {
            wavenumbers: wavenumbers.map(|kappa| kappa.max(PI / size)).collect(),
            size,
            surface_mass: panel.section.surface_mass,
        }
    }

    /// z of each mode at `frequency` [Hz]; `back` is `γ b`.
    pub fn impedances(
        &self,
        air: &Air,
        frequency: f64,
        back: impl Fn(Complex64) -> Complex64,
    ) -> Vec<Complex64> {
        let k = air.wavenumber(frequency);
        let square = k * k * Complex64::new(1.0, -1.0 / (k * self.size));
        let inertia = Complex64::new(0.0, TAU * frequency * air.density / self.surface_mass);
        let of = |kappa: &f64| {
            let gamma = (kappa * kappa - square).sqrt();
            inertia * (1.0 + back(gamma)) / gamma
        };
        self.wavenumbers.iter().map(of).collect()
    }
}

/// Direction [rad] to x in which a mode's waves run, from the shares of its strain energy.
///
/// Bending along x stores `D11 κx⁴ + D12 κx²κy²`, along y `D22 κy⁴ + D12 κx²κy²`, which has one positive solution for `(κy/κx)²`. A
/// mode that only twists runs both ways.
fn direction(section: &PlateSection, shares: ArrayView1<f64>) -> f64 {
    let [x, y] = [EnergyPart::BendingX, EnergyPart::BendingY].map(|part| shares[part.column()].max(0.0));
    if x + y < LEAST_BENDING {
        return FRAC_PI_4;
    }
    let PlateSection { d11, d12, d22, .. } = *section;
    let half = 0.5 * d12 * (y - x);
    let square = half + (half * half + d11 * d22 * x * y).sqrt();
    square.max(0.0).sqrt().atan2((d22 * x).sqrt())
}
