//! What a modal analysis would cost, without doing it.

use super::basis::{BasisPlan, is_product};
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
    /// Most unknowns of one symmetry block that are accepted.
    pub largest_accepted: usize,
}

impl Estimate {
    pub(super) fn new(panel: &Panel, up_to: f64, accuracy: Accuracy) -> Self {
        let (price, modes) = (Price::of(panel), expected_modes(panel, TAU * up_to));
        match modes > MOST_MODES {
            true => Self::hopeless(price, up_to, modes),
            false => Self::of_plan(&BasisPlan::new(panel, TAU * up_to, accuracy), price, up_to, modes),
        }
    }

    /// The plan of a basis within the limits.
    ///
    /// # Errors
    /// [`refusal`](Self::refusal), before anything large is made.
    pub(super) fn plan(panel: &Panel, up_to: f64, accuracy: Accuracy) -> Result<BasisPlan<'_>, PlateError> {
        let (price, modes) = (Price::of(panel), expected_modes(panel, TAU * up_to));
        if modes > MOST_MODES {
            return Err(Self::hopeless(price, up_to, modes).too_large());
        }
        let plan = BasisPlan::new(panel, TAU * up_to, accuracy);
        match Self::of_plan(&plan, price, up_to, modes).refusal() {
            Some(refusal) => Err(refusal),
            None => Ok(plan),
        }
    }

    fn of_plan(plan: &BasisPlan, price: &Price, up_to: f64, modes: usize) -> Self {
        let sizes = plan.sizes();
        let cubes: f64 = sizes.iter().map(|&n| (n as f64).powi(3)).sum();
        Self {
            up_to,
            modes,
            unknowns: sizes.iter().sum(),
            largest_block: plan.largest_block(),
            seconds: 2e-3 + price.seconds_per_cube * cubes,
            bytes: sizes.iter().map(|n| price.bytes_per_square * n * n).sum(),
            largest_accepted: price.largest_block,
        }
    }

    /// Why [`Modes::solve`](super::Modes::solve) would refuse; `None` if it would not.
    pub fn refusal(&self) -> Option<PlateError> {
        (self.largest_block > self.largest_accepted).then(|| self.too_large())
    }

    fn too_large(&self) -> PlateError {
        let (unknowns, limit) = (self.largest_block, self.largest_accepted);
        PlateError::TooLarge { unknowns, frequency: self.up_to, limit }
    }

    /// Beyond every limit: as if four equal blocks held just the modes.
    fn hopeless(price: &Price, up_to: f64, modes: usize) -> Self {
        let block = modes as f64 / 4.0;
        Self {
            up_to,
            modes,
            unknowns: modes,
            largest_block: modes / 4,
            seconds: 4.0 * price.seconds_per_cube * block.powi(3),
            bytes: (4.0 * price.bytes_per_square as f64 * block * block) as usize,
            largest_accepted: price.largest_block,
        }
    }
}

/// Most modes for which a basis is planned at all.
const MOST_MODES: usize = 200_000;

/// What a block of n unknowns costs.
struct Price {
    /// Processor time per n³ [s].
    seconds_per_cube: f64,
    /// Memory per n².
    bytes_per_square: usize,
    /// Most unknowns accepted.
    largest_block: usize,
}

/// The eigenproblem: stiffness, eigenvectors and workspace. Time measured between 350 and 2300 unknowns; the largest
/// block takes about two minutes and 1.5 GB.
const THIN: Price =
    Price { seconds_per_cube: 2.5e-10, bytes_per_square: 3 * size_of::<f64>(), largest_block: 8000 };

/// Twice as many shear angles are condensed first. Time measured between 300 and 800 unknowns.
const SHEAR_DEFORMABLE: Price =
    Price { seconds_per_cube: 1.2e-9, bytes_per_square: 16 * size_of::<f64>(), largest_block: 4000 };

/// The cosines of a box are reduced to independent ones first; measured between 300 and 2200 unknowns.
const FREE_FORM: Price =
    Price { seconds_per_cube: 5.0e-10, bytes_per_square: 4 * size_of::<f64>(), largest_block: 8000 };

/// Shear angles of the box's cosines are made independent and condensed too; measured between 600 and 1100 unknowns on a busy
/// machine, so rather too much.
const FREE_FORM_SHEAR_DEFORMABLE: Price =
    Price { seconds_per_cube: 3.0e-9, bytes_per_square: 20 * size_of::<f64>(), largest_block: 4000 };

impl Price {
    fn of(panel: &Panel) -> &'static Self {
        match (is_product(panel), panel.section.shear.is_some()) {
            (true, true) => &SHEAR_DEFORMABLE,
            (false, true) => &FREE_FORM_SHEAR_DEFORMABLE,
            (true, false) => &THIN,
            (false, false) => &FREE_FORM,
        }
    }
}

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
