//! Which plate theory a panel needs.

use super::basis::is_product;
use super::reduced::{PlateEnergy, Rotary};
use super::strain::{rotary_energy, strain_energy};
use crate::scene::{EdgeCondition, Edges, Panel, PlateSection, Stretch, Strip};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Theory of the plate's bending.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlateModel {
    /// Thin: the normal stays normal (Kirchhoff & Love).
    Thin,
    /// Shear-deformable, with rotary inertia (Reissner & Mindlin).
    ShearDeformable,
}

/// Error of thin-plate theory's natural frequencies that is not accepted.
const ACCEPTED: f64 = 0.01;

/// A strip this many times stiffer than the plate's own edge, `D k³` and `D k` at the top frequency, holds as if it were rigid. What
/// is cut off changes natural frequencies by less than 1e-5; a larger ratio would only cost digits.
const RIGID_STRIP: f64 = 1e5;

/// A strip on which the panel as a whole would swing below this frequency [Hz] is none. The panel's motion at the lowest frequency that can
/// be asked for, 5 Hz, then changes by less than 1e-5; a softer strip would only cost digits, until nothing is left of them.
const VOID_STRIP: f64 = 0.01;

impl PlateModel {
    /// Shear-deformable when thin-plate theory is off by more than 1 % at `up_to` [Hz] and the section knows its shear stiffness.
    pub fn of(section: &PlateSection, up_to: f64) -> Self {
        let error = section.thin_plate_error(up_to).unwrap_or(0.0);
        // Natural frequencies go with the square of the wavenumber.
        if (1.0 + error).powi(2) - 1.0 > ACCEPTED { Self::ShearDeformable } else { Self::Thin }
    }

    /// The theory that a section's data stand for.
    pub(super) fn within(section: &PlateSection) -> Self {
        if section.shear.is_some() { Self::ShearDeformable } else { Self::Thin }
    }

    /// The panel as this theory sees it: a thin plate has no shear data. Very stiff strips are made as stiff as they can matter, very
    /// soft ones are left out.
    pub(super) fn applied_to(self, panel: &Panel, up_to: f64) -> Panel {
        let section = match self {
            Self::Thin => PlateSection { shear: None, rotary_inertia: 0.0, ..panel.section.clone() },
            Self::ShearDeformable => panel.section.clone(),
        };
        let (width, height) = panel.outline.bounding_box();
        let edges = without_void_strips(panel);
        let mut panel = Panel { section, edges, ..panel.clone() };
        if let Some(sides) = panel.edges.sides(width, height).filter(|_| is_product(&panel)) {
            panel.edges =
                Edges::of_rectangle(width, height, with_bounded_strips(sides, &panel.section, up_to));
        }
        panel
    }
}

/// The edges of `panel`, each strip's stiffness 0 where the panel would swing below [`VOID_STRIP`] if it went round all of its contours.
fn without_void_strips(panel: &Panel) -> Edges {
    let outline = &panel.outline;
    let (width, height) = outline.bounding_box();
    let mass = panel.section.surface_mass * outline.area();
    // Per length, of the panel's swinging up and down; in rocking, turned strips have its half width as their lever.
    let least = mass * (TAU * VOID_STRIP).powi(2) / outline.perimeter();
    let least_turning = least * (0.5 * width.min(height)).powi(2);
    let held = |condition: EdgeCondition| match condition {
        EdgeCondition::Strip(strip) => {
            let kept = |stiffness: f64, least: f64| if stiffness < least { 0.0 } else { stiffness };
            let (stiffness, rotational) =
                (kept(strip.stiffness, least), kept(strip.rotational, least_turning));
            EdgeCondition::Strip(Strip { stiffness, rotational, ..strip })
        }
        other => other,
    };
    Edges {
        elsewhere: held(panel.edges.elsewhere),
        stretches: (panel.edges.stretches.iter())
            .map(|stretch| Stretch { condition: held(stretch.condition), ..*stretch })
            .collect(),
    }
}

fn with_bounded_strips(sides: [EdgeCondition; 4], section: &PlateSection, up_to: f64) -> [EdgeCondition; 4] {
    let across = [(0.0, section.d11), (FRAC_PI_2, section.d22)];
    let mut side = 0;
    sides.map(|condition| {
        let (angle, stiffness) = across[side % 2];
        side += 1;
        let EdgeCondition::Strip(strip) = condition else { return condition };
        let k = section.wavenumber(up_to, angle);
        EdgeCondition::Strip(Strip {
            stiffness: strip.stiffness.min(RIGID_STRIP * stiffness * k.powi(3)),
            rotational: strip.rotational.min(RIGID_STRIP * stiffness * k),
            ..strip
        })
    })
}

/// Everything that stores energy in `panel`.
pub(super) fn plate_energy(panel: &Panel) -> PlateEnergy {
    let section = &panel.section;
    let rotary = section.shear.map(|[s1, s2]| Rotary {
        terms: rotary_energy(panel),
        own: section.rotary_inertia / section.surface_mass,
        softest: section.surface_mass / s1.min(s2),
    });
    PlateEnergy { strain: strain_energy(panel), rotary }
}
