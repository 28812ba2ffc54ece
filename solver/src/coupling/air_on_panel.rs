//! Air and panel moving together.
//!
//! The air's pressure difference μ pushes back on every mode, across all of them: with Φ the mode shapes, H the panel's admittance with all its
//! exciters ([`DriveAt`]) and v₀ its motion in a vacuum,
//!
//! ```text
//! v = v₀ − Φ H Φᵀ μ
//! ```
//!
//! Open back: μ solves the screen's equation under v, so `(A + jωρ Φ H Φᵀ) μ = jωρ v₀` is one system on the grid, solved once per channel.
//! Resonances are a few outliers to the iteration. Back in a baffle or a closed space: μ follows from v directly, and the system is one for the
//! modal velocities, `q + H Φᵀ μ(Φ q) = q₀`. No mode is cut off from another anywhere.
//! (F. J. Fahy & P. Gardonio, Sound and Structural Vibration, 2nd ed. 2007, ch. 4, for the coupled problem.)

use super::carried::Carried;
use crate::air::Air;
use crate::drive::{Drive, DriveAt, Settled};
use crate::gmres::{Solved, Stop, gmres};
use crate::plate::{Modes, SampledModes};
use crate::radiation::FacePressure;
use crate::radiation::cavity::{Cavity, Enclosure};
use crate::radiation::convolution::Convolver;
use crate::radiation::screen::{Jump, ParallelWall, Screen, ScreenGrid};
use crate::scene::{Back, PlateSection};
use ndarray::{Array2, Zip};
use num_complex::Complex64;
use panelwright_mesh::Lattice;
use std::f64::consts::{FRAC_PI_2, TAU};

/// Error of the modal velocities at which the iteration stops, relative.
const STOP: Stop = Stop { residual: 1e-6, steps: 200 };

/// The same for a search: a tenth of a decibel in a dip of 40 dB.
const SEARCHED: Stop = Stop { residual: 1e-4, steps: 200 };

/// Modes above this many times the frequency at hand do not feel the air.
pub(crate) const FELT: f64 = 1.5;

/// This many modes always feel it: low down the air is heavy, and so few cost nothing.
pub(crate) const FEW: usize = 300;

/// An open-backed panel with everything that moves it.
pub struct OpenPanel<'a> {
    /// Exciters and panel.
    pub drive: &'a Drive<'a>,
    /// Grid of the screen.
    pub grid: &'a ScreenGrid,
    /// Mode shapes on that grid.
    pub modes: &'a SampledModes,
    /// How many of the lowest modes the air pushes on, see [`felt_modes`].
    pub felt: usize,
    /// The wall behind it, if any.
    pub wall: Option<ParallelWall>,
    /// The medium.
    pub air: &'a Air,
}

/// An open-backed panel at one frequency.
pub struct OpenState {
    /// Motion.
    pub settled: Settled,
    /// Pressure jump under the scene's drive.
    pub jump: Jump,
}

impl OpenPanel<'_> {
    /// Motion and pressure jump at `frequency` [Hz].
    pub fn at(&self, frequency: f64) -> OpenState {
        let drive = self.drive.at(frequency);
        let screen = Screen::new(self.grid, frequency, self.air, self.wall);
        let answer = |forces: &Array2<Complex64>| {
            self.modes.superpose(&drive.answer(&self.modes.project(forces, self.felt))[..self.felt])
        };
        let per_volt = |channel| {
            let free = self.modes.superpose(&drive.free(channel));
            screen.jump_giving_way(&free, answer)
        };
        let jumps: Vec<Jump> = (0..drive.sources().len()).map(per_volt).collect();
        let on_modes: Vec<Vec<Complex64>> =
            jumps.iter().map(|jump| self.modes.project(&screen.forces_of(jump), self.felt)).collect();
        let jump = Jump::superposed(&jumps, drive.sources());
        OpenState { settled: drive.settle(&on_modes), jump }
    }
}

/// A panel in a baffle with everything that moves it.
pub struct BaffledPanel<'a> {
    /// Exciters and panel.
    pub drive: &'a Drive<'a>,
    /// Cells of the panel's faces.
    pub cells: &'a Lattice,
    /// Convolutions on those cells.
    pub(crate) convolver: &'a Convolver,
    /// Mode shapes on those cells.
    pub modes: &'a SampledModes,
    /// How many of the lowest modes the air pushes on, see [`felt_modes`].
    pub felt: usize,
    /// The space behind it; none when its back looks into the open as its front does.
    pub enclosure: Option<Enclosure>,
    /// What each mode carries by itself: the first guess of the iteration.
    pub(crate) carried: &'a Carried,
    /// The medium.
    pub air: &'a Air,
}

/// A panel in a baffle at one frequency.
pub struct BaffledState {
    /// Motion.
    pub settled: Settled,
    /// Volume velocity out of the vent [m³/s RMS].
    pub vent_flow: Complex64,
    /// Relative residual where the iteration stopped short of what was sought; nothing where it got there.
    pub shortfall: Option<f64>,
}

/// The air on the faces of a panel in a baffle at one frequency.
pub(crate) struct BaffledAir<'a> {
    panel: &'a BaffledPanel<'a>,
    frequency: f64,
    front: FacePressure<'a>,
    back: Option<Cavity>,
}

impl BaffledAir<'_> {
    /// Forces [N kg^−½] on the modes that feel the air, from the `modal_velocity` [kg^½ m/s] of the lowest modes, as many as are given.
    pub fn push(&self, modal_velocity: &[Complex64]) -> Vec<Complex64> {
        self.forces(modal_velocity, self.panel.felt)
    }

    /// Forces on the `count` lowest modes.
    fn forces(&self, modal_velocity: &[Complex64], count: usize) -> Vec<Complex64> {
        let modes = self.panel.modes;
        modes.project(&self.force_of(&modes.superpose(modal_velocity)), count)
    }

    /// Force [N] of the air on every cell, from the cells' `velocity` [m/s]; of a cell on the rim, what is of the panel moves and is pushed.
    pub fn force_of(&self, velocity: &Array2<Complex64>) -> Array2<Complex64> {
        let cells = self.panel.cells;
        let mut difference = self.front.of(velocity);
        match &self.back {
            Some(cavity) => difference -= &cavity.pressure(&covered(cells, velocity.clone())),
            None => difference *= Complex64::from(2.0),
        }
        let area = cells.x.weights[0] * cells.y.weights[0];
        covered(cells, difference).mapv_into(|p| -area * p)
    }

    /// Modal velocities with the air pushing back of what moves with `free` in a vacuum.
    fn slowed(&self, drive: &DriveAt, free: Vec<Complex64>) -> Solved {
        let alone = self.alone(drive);
        let ease = |v: Vec<Complex64>| v.iter().zip(&alone).map(|(v, a)| a * v).collect();
        with_air((drive, STOP), free, ease, |q| self.push(q))
    }

    /// The transpose of what [`slowed`](Self::slowed) does, for reciprocity: only the modes that feel the air push on it, and all are pushed.
    /// `ease` multiplies by what is near the inverse of `1 + HZ`.
    pub fn slowed_transposed(
        &self,
        drive: &DriveAt,
        free: Vec<Complex64>,
        ease: impl Fn(Vec<Complex64>) -> Vec<Complex64>,
    ) -> Vec<Complex64> {
        with_air((drive, SEARCHED), free, ease, |q| self.forces(&q[..self.panel.felt], q.len())).x
    }

    /// What the air leaves of each mode's motion when no other moves: `1/(1 + hz)`.
    fn alone(&self, drive: &DriveAt) -> Vec<Complex64> {
        let (h, _) = drive.alone();
        (h.iter().zip(self.carried()).enumerate())
            .map(|(n, (h, z))| if n < self.panel.felt { (1.0 + h * z).inv() } else { Complex64::ONE })
            .collect()
    }

    /// Impedance of the air that each mode carries when no other moves.
    pub fn carried(&self) -> Vec<Complex64> {
        let back = |gamma: Complex64| {
            self.panel.enclosure.map_or(Complex64::ONE, |space| (gamma * space.depth).tanh().inv())
        };
        self.panel.carried.impedances(self.panel.air, self.frequency, back)
    }
}

/// Solves `q − H push(q) = free`, both sides eased by what is near the inverse of `1 + HZ`.
fn with_air(
    (drive, stop): (&DriveAt, Stop),
    free: Vec<Complex64>,
    ease: impl Fn(Vec<Complex64>) -> Vec<Complex64>,
    push: impl Fn(&[Complex64]) -> Vec<Complex64>,
) -> Solved {
    let system =
        |q: &[Complex64]| ease(q.iter().zip(drive.answer(&push(q))).map(|(q, answer)| q - answer).collect());
    gmres(system, ease(free), stop)
}

impl BaffledPanel<'_> {
    /// The air at `frequency` [Hz].
    pub(crate) fn air_at(&self, frequency: f64) -> BaffledAir<'_> {
        BaffledAir {
            panel: self,
            frequency,
            front: FacePressure::new(self.convolver, self.cells, frequency, self.air),
            back: self.enclosure.map(|space| Cavity::new(self.cells, space, frequency, self.air)),
        }
    }

    /// Motion at `frequency` [Hz].
    pub fn at(&self, frequency: f64) -> BaffledState {
        let drive = self.drive.at(frequency);
        let air = self.air_at(frequency);
        let per_volt: Vec<Solved> =
            (0..drive.sources().len()).map(|c| air.slowed(&drive, drive.free(c))).collect();
        let on_modes: Vec<Vec<Complex64>> = per_volt.iter().map(|solved| air.push(&solved.x)).collect();
        let settled = drive.settle(&on_modes);
        let flow = |cavity: &Cavity| {
            cavity.vent_flow(&covered(self.cells, self.modes.superpose(&settled.modal_velocity)))
        };
        let worst = per_volt.iter().map(|solved| solved.residual).fold(0.0, f64::max);
        let shortfall = (worst > STOP.residual).then_some(worst);
        BaffledState { vent_flow: air.back.as_ref().map_or(Complex64::ZERO, flow), settled, shortfall }
    }
}

/// What a `field` on the `cells` is where the panel is.
fn covered(cells: &Lattice, mut field: Array2<Complex64>) -> Array2<Complex64> {
    if let Some(share) = &cells.share {
        Zip::from(&mut field).and(share).for_each(|value, &share| *value *= share);
    }
    field
}

/// How many of the lowest modes the air pushes on, on a grid with cells of `step` [m] and up to the frequency `top` [Hz]: those of at
/// least four cells to the bending wave and of natural frequencies up to [`FELT`] times the top, or among the [`FEW`] lowest.
///
/// What lies above is held by its stiffness. A mode of wavenumber κ that far up answers the air with `(2ρ/mκ) (f/f_n)²` of the air's
/// motion, ρ/m the air's density over the panel's surface mass: 0.2 % for plywood, 2 % for a foam panel.
pub fn felt_modes(modes: &Modes, section: &PlateSection, step: f64, top: f64) -> usize {
    let shortest = |f: f64| [0.0, FRAC_PI_2].map(|angle| section.wavenumber(f, angle));
    let limit = TAU / (4.0 * step);
    let resolved = |f: f64| shortest(f)[0].max(shortest(f)[1]) <= limit;
    let felt = |&(n, &f): &(usize, &f64)| resolved(f) && (n < FEW || f <= FELT * top);
    modes.frequencies.iter().enumerate().take_while(felt).count()
}

/// The wall behind an open panel; `None` in free space.
pub fn wall_of(back: Back) -> Option<ParallelWall> {
    match back {
        Back::Wall { distance, reflection } => Some(ParallelWall { distance, reflection }),
        Back::Open | Back::Baffled | Back::Closed { .. } | Back::Vented { .. } => None,
    }
}

/// The space behind a panel in a baffle; `None` when there is none.
pub fn enclosure_of(back: Back) -> Option<Enclosure> {
    match back {
        Back::Closed { depth, loss_factor } => Some(Enclosure { depth, loss_factor, vent: None }),
        Back::Vented { depth, loss_factor, vent_area, vent_length } => {
            Some(Enclosure { depth, loss_factor, vent: Some([vent_area, vent_length]) })
        }
        Back::Open | Back::Baffled | Back::Wall { .. } => None,
    }
}
