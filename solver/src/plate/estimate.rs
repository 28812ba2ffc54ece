//! What a modal analysis would cost, without doing it.

use super::basis::BasisPlan;
use super::free_form::Region;
use super::product_basis::WaveCurve;
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
            false => Self::of_plan(&BasisPlan::new(panel, TAU * up_to, accuracy), up_to, modes),
        }
    }

    /// The plan of a basis within the limits.
    ///
    /// # Errors
    /// [`refusal`](Self::refusal), before anything large is made.
    pub(super) fn plan(panel: &Panel, up_to: f64, accuracy: Accuracy) -> Result<BasisPlan<'_>, PlateError> {
        let modes = expected_modes(panel, TAU * up_to);
        if modes > MOST_MODES {
            return Err(too_large(Self::hopeless(up_to, modes).largest_block, up_to));
        }
        let plan = BasisPlan::new(panel, TAU * up_to, accuracy);
        match plan.largest_block() > LARGEST_BLOCK {
            true => Err(too_large(plan.largest_block(), up_to)),
            false => Ok(plan),
        }
    }

    fn of_plan(plan: &BasisPlan, up_to: f64, modes: usize) -> Self {
        let sizes = plan.sizes();
        let (per_cube, per_square) = match plan {
            BasisPlan::Product(_) => (SECONDS_PER_CUBE, BYTES_PER_SQUARE),
            BasisPlan::FreeForm(..) => (FREE_FORM_SECONDS_PER_CUBE, FREE_FORM_BYTES_PER_SQUARE),
        };
        let cubes: f64 = sizes.iter().map(|&n| (n as f64).powi(3)).sum();
        Self {
            up_to,
            modes,
            unknowns: sizes.iter().sum(),
            largest_block: plan.largest_block(),
            seconds: 2e-3 + per_cube * cubes,
            bytes: sizes.iter().map(|n| per_square * n * n).sum(),
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

/// The same for the cosines of a box, which are reduced to independent ones first; measured between 300 and 2200 unknowns.
const FREE_FORM_SECONDS_PER_CUBE: f64 = 5.0e-10;

/// Stiffness, factor of the mass, eigenvectors and workspace.
const FREE_FORM_BYTES_PER_SQUARE: usize = 4 * size_of::<f64>();

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
    let area = panel.outline.area() * WaveCurve::new(section, omega).area() / (4.0 * PI * PI);
    // A strip holds the edge where it is stiffer than the plate's own edge, D k³.
    let shift = |end: EdgeCondition, own: f64| match end {
        EdgeCondition::Strip(strip) if strip.stiffness > own => -0.25,
        EdgeCondition::Free | EdgeCondition::Strip(_) => 0.3,
        EdgeCondition::SimplySupported => -0.25,
        EdgeCondition::Clamped => -0.45,
    };
    let wavenumber = |angle: f64| section.wavenumber(omega / TAU, angle);
    let correction = Region::of(panel).along_rim(|end, angle| {
        let across = angle + FRAC_PI_2;
        let own = section.stiffness_at(across) * wavenumber(across).powi(3);
        shift(end, own) * wavenumber(angle) / PI
    });
    (area + correction).max(0.0).round() as usize
}
