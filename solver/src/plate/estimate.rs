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
    /// Half waves of the plate along the side that holds most.
    pub half_waves: usize,
}

impl Estimate {
    pub(super) fn new(panel: &Panel, up_to: f64, accuracy: Accuracy) -> Self {
        let hopeless = Self::hopeless(panel, up_to);
        match hopeless.modes > MOST_MODES || hopeless.half_waves > MOST_HALF_WAVES {
            true => hopeless,
            false => hopeless.with_plan(&BasisPlan::new(panel, TAU * up_to, accuracy), Price::of(panel)),
        }
    }

    /// The plan of a basis within the limits.
    ///
    /// # Errors
    /// [`refusal`](Self::refusal), before anything large is made.
    pub(super) fn plan(panel: &Panel, up_to: f64, accuracy: Accuracy) -> Result<BasisPlan<'_>, PlateError> {
        if let Some(refusal) = too_thick(panel) {
            return Err(refusal);
        }
        let hopeless = Self::hopeless(panel, up_to);
        if hopeless.modes > MOST_MODES {
            return Err(hopeless.too_large());
        }
        if let Some(refusal) = hopeless.too_long() {
            return Err(refusal);
        }
        let plan = BasisPlan::new(panel, TAU * up_to, accuracy);
        match hopeless.with_plan(&plan, Price::of(panel)).refusal() {
            Some(refusal) => Err(refusal),
            None => Ok(plan),
        }
    }

    fn with_plan(self, plan: &BasisPlan, price: &Price) -> Self {
        let sizes = plan.sizes();
        let powers = |power: i32| sizes.iter().map(|&n| (n as f64).powi(power)).sum::<f64>();
        let blocks = price.seconds_per_cube * powers(3) + price.seconds_per_square * powers(2);
        let lines = price.seconds_per_line_cube * (self.half_waves as f64).powi(3);
        Self {
            unknowns: sizes.iter().sum(),
            largest_block: plan.largest_block(),
            seconds: 2e-3 + blocks + lines,
            bytes: sizes.iter().map(|n| price.bytes_per_square * n * n).sum(),
            ..self
        }
    }

    /// Why [`Modes::solve`](super::Modes::solve) would refuse; `None` if it would not.
    pub fn refusal(&self) -> Option<PlateError> {
        self.too_long().or_else(|| (self.largest_block > self.largest_accepted).then(|| self.too_large()))
    }

    fn too_long(&self) -> Option<PlateError> {
        let (half_waves, frequency) = (self.half_waves, self.up_to);
        let refusal = PlateError::TooLong { half_waves, frequency, limit: MOST_HALF_WAVES };
        (half_waves > MOST_HALF_WAVES).then_some(refusal)
    }

    fn too_large(&self) -> PlateError {
        let (unknowns, limit) = (self.largest_block, self.largest_accepted);
        PlateError::TooLarge { unknowns, frequency: self.up_to, limit }
    }

    /// Without a plan: as if four equal blocks held just the modes.
    fn hopeless(panel: &Panel, up_to: f64) -> Self {
        let (price, modes) = (Price::of(panel), expected_modes(panel, TAU * up_to));
        let block = modes as f64 / 4.0;
        Self {
            up_to,
            modes,
            unknowns: modes,
            largest_block: modes / 4,
            seconds: 4.0 * price.seconds_per_cube * block.powi(3),
            bytes: (4.0 * price.bytes_per_square as f64 * block * block) as usize,
            largest_accepted: price.largest_block,
            half_waves: half_waves(panel, TAU * up_to),
        }
    }
}

/// Half waves along the side of a rectangle that holds most; 0 for other outlines, which have no functions along sides.
fn half_waves(panel: &Panel, omega: f64) -> usize {
    if !is_product(panel) {
        return 0;
    }
    let (width, height) = panel.outline.bounding_box();
    let [kx, ky] = WaveCurve::new(&panel.section, omega).extent();
    ((kx * width).max(ky * height) / PI).ceil() as usize
}

/// Refuses what is no plate. Thin-plate theory has no opinion, as its section may have any thickness.
fn too_thick(panel: &Panel) -> Option<PlateError> {
    let (width, height) = panel.outline.bounding_box();
    let (thickness, width) = (panel.section.thickness, width.min(height));
    (panel.section.shear.is_some() && 2.0 * thickness > width)
        .then_some(PlateError::TooThick { thickness, width })
}

/// Most half waves along a side: their functions are made orthonormal, which takes time with the cube of their number.
const MOST_HALF_WAVES: usize = 1000;

/// Most modes for which a basis is planned at all.
const MOST_MODES: usize = 200_000;

/// What a block of n unknowns costs.
struct Price {
    /// Processor time per n³ [s].
    seconds_per_cube: f64,
    /// Processor time per n² [s], where it counts.
    seconds_per_square: f64,
    /// Processor time per cube of the half waves along a side [s].
    seconds_per_line_cube: f64,
    /// Memory per n².
    bytes_per_square: usize,
    /// Most unknowns accepted.
    largest_block: usize,
}

/// The eigenproblem: stiffness, eigenvectors and workspace. Time measured between 350 and 2300 unknowns; the largest
/// block takes about two minutes and 1.5 GB.
const THIN: Price = Price {
    seconds_per_cube: 2.5e-10,
    seconds_per_square: 0.0,
    seconds_per_line_cube: 3e-9,
    bytes_per_square: 3 * size_of::<f64>(),
    largest_block: 8000,
};

/// Twice as many shear angles are condensed first. Processor time and memory measured between 110 and 1270 unknowns (foam of 20 mm,
/// four blocks and two); a block at the limit takes about two minutes and 3 GB.
const SHEAR_DEFORMABLE: Price = Price {
    seconds_per_cube: 1.8e-9,
    seconds_per_square: 0.0,
    seconds_per_line_cube: 3e-9,
    bytes_per_square: 24 * size_of::<f64>(),
    largest_block: 4000,
};

/// The cosines of a box are reduced to independent ones first; measured between 300 and 2200 unknowns.
const FREE_FORM: Price = Price {
    seconds_per_cube: 5.0e-10,
    seconds_per_square: 0.0,
    seconds_per_line_cube: 0.0,
    bytes_per_square: 4 * size_of::<f64>(),
    largest_block: 8000,
};

/// Rotations in the box's cosines are made independent and follow the deflection. Processor time measured between 380 and 2700
/// unknowns, one block and four.
const FREE_FORM_SHEAR_DEFORMABLE: Price = Price {
    seconds_per_cube: 6.4e-10,
    seconds_per_square: 3.3e-7,
    bytes_per_square: 20 * size_of::<f64>(),
    largest_block: 4000,
    ..FREE_FORM
};

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
