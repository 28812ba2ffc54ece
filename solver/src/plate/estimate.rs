//! What a modal analysis would cost, without doing it.

use super::product_basis::{Plan, WaveCurve};
use super::{Accuracy, PlateError};
use crate::scene::{EdgeCondition, Panel};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Size and cost of a modal analysis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Highest frequency asked for [Hz].
    pub up_to: f64,
    /// Expected number of modes, from the modal density and the edges.
    pub modes: usize,
    /// Unknowns of all symmetry blocks.
    pub unknowns: usize,
    /// Unknowns of the largest block.
    pub largest_block: usize,
    /// Expected time [s] on one core of a current desktop processor.
    pub seconds: f64,
    /// Peak memory [bytes].
    pub bytes: usize,
}

impl Estimate {
    pub(super) fn new(panel: &Panel, up_to: f64, accuracy: Accuracy) -> Self {
        let modes = expected_modes(panel, TAU * up_to);
        match modes > MOST_MODES {
            true => Self::hopeless(up_to, modes),
            false => Self::of_plan(&Plan::new(panel, TAU * up_to, accuracy), up_to, modes),
        }
    }

    /// The plan of a basis within the limits.
    ///
    /// # Errors
    /// [`refusal`](Self::refusal), before anything large is made.
    pub(super) fn plan(panel: &Panel, up_to: f64, accuracy: Accuracy) -> Result<Plan, PlateError> {
        let modes = expected_modes(panel, TAU * up_to);
        if modes > MOST_MODES {
            return Err(too_large(Self::hopeless(up_to, modes).largest_block, up_to));
        }
        let plan = Plan::new(panel, TAU * up_to, accuracy);
        match plan.largest_block() > LARGEST_BLOCK {
            true => Err(too_large(plan.largest_block(), up_to)),
            false => Ok(plan),
        }
    }

    fn of_plan(plan: &Plan, up_to: f64, modes: usize) -> Self {
        let sizes = || plan.blocks.iter().map(|block| block.products.len());
        let cubes: f64 = sizes().map(|n| (n as f64).powi(3)).sum();
        Self {
            up_to,
            modes,
            unknowns: sizes().sum(),
            largest_block: plan.largest_block(),
            seconds: 2e-3 + SECONDS_PER_CUBE * cubes,
            bytes: sizes().map(|n| BYTES_PER_SQUARE * n * n).sum(),
        }
    }

    /// Why [`Modes::solve`](super::Modes::solve) would refuse; `None` if it would not.
    pub fn refusal(&self) -> Option<PlateError> {
        (self.largest_block > LARGEST_BLOCK).then(|| too_large(self.largest_block, self.up_to))
    }

    /// Beyond every limit: as if four equal blocks held just the modes.
    fn hopeless(up_to: f64, modes: usize) -> Self {
        let block = modes as f64 / 4.0;
        Self {
            up_to,
            modes,
            unknowns: modes,
            largest_block: modes / 4,
            seconds: 4.0 * SECONDS_PER_CUBE * block.powi(3),
            bytes: (4.0 * BYTES_PER_SQUARE as f64 * block * block) as usize,
        }
    }
}

/// Most unknowns of one symmetry block: a dense eigenproblem of this size takes about two minutes and 1.5 GB.
const LARGEST_BLOCK: usize = 8000;

fn too_large(unknowns: usize, frequency: f64) -> PlateError {
    PlateError::TooLarge { unknowns, frequency, limit: LARGEST_BLOCK }
}

/// Most modes for which a basis is planned at all.
const MOST_MODES: usize = 200_000;

/// Processor time of the eigenproblem per cube of its size, measured between 350 and 2300 unknowns.
const SECONDS_PER_CUBE: f64 = 2.5e-10;

/// Stiffness, eigenvectors and workspace.
const BYTES_PER_SQUARE: usize = 3 * size_of::<f64>();

/// Area term of Weyl's law with a linear correction for the edges.
///
/// Area: `S/(4π²)` times the area inside the wave curve (R. Courant & D. Hilbert, Methods of Mathematical
/// Physics I, 1953, ch. VI § 4). Edges: each end shifts the count along its direction by the phase of reflection. A beam has
/// +½, −¼ and −½ modes per free, simply supported and clamped end; averaged over the angles of a plate the values
/// below were fitted to this solver's own counts.
fn expected_modes(panel: &Panel, omega: f64) -> usize {
    let section = &panel.section;
    let (width, height) = panel.outline.bounding_box();
    let [left, bottom, right, top] = panel.edges.sides(width, height).unwrap_or([EdgeCondition::Free; 4]);
    let area = panel.outline.area() * WaveCurve::new(section, omega).area() / (4.0 * PI * PI);
    let [kx, ky] = [0.0, FRAC_PI_2].map(|angle| section.wavenumber(omega / TAU, angle));
    // A strip holds the edge where it is stiffer than the plate's own edge, D k³.
    let shift = |end: EdgeCondition, own: f64| match end {
        EdgeCondition::Strip(strip) if strip.stiffness > own => -0.25,
        EdgeCondition::Free | EdgeCondition::Strip(_) => 0.3,
        EdgeCondition::SimplySupported => -0.25,
        EdgeCondition::Clamped => -0.45,
    };
    let across = |ends: [EdgeCondition; 2], k: f64, d: f64| -> f64 {
        ends.map(|end| shift(end, d * k.powi(3))).iter().sum()
    };
    let correction = (height * ky * across([left, right], kx, section.d11)
        + width * kx * across([bottom, top], ky, section.d22))
        / PI;
    (area + correction).max(0.0).round() as usize
}
