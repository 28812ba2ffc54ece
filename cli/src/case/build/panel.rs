//! `[panel]` → outline, cross-section, edges, back.

use super::makeup::Makeup;
use super::supports::SupportRange;
use super::{back, edges, makeup};
use crate::case::problem::Problem;
use crate::case::section::Section;
use panelwright_mesh::Outline;
use panelwright_solver::scene::Panel;

/// What the panel is made of, for reports and for its spread.
#[derive(Clone, Debug)]
pub struct MaterialInUse {
    /// Its layers or walls.
    pub makeup: Makeup,
    /// True when the case gives the loss factor of the finished panel.
    pub own_loss: bool,
}

/// A panel that was built.
pub struct Built {
    /// For the solver.
    pub panel: Panel,
    /// For reports.
    pub material: MaterialInUse,
    /// Spread of its edge strips.
    pub supports: SupportRange,
}

/// The panel and what it is made of.
pub fn build(panel: &Section, outline: Option<&Outline>, problems: &mut Vec<Problem>) -> Option<Built> {
    let made = makeup::build(panel, problems);
    let back = back::build(panel, problems);
    let held = outline.and_then(|outline| edges::build(panel.table("edges"), outline, problems));
    let (outline, (makeup, mut section)) = (outline?, made?);
    thick_for_its_size(panel, outline, section.thickness, problems);
    let own_loss = panel.curve("loss_factor");
    if let Some(loss) = &own_loss {
        section.bending_loss = loss.clone();
        section.shear_loss = loss.clone();
    }
    let (edges, supports) = held?;
    Some(Built {
        panel: Panel { outline: outline.clone(), section, edges, back: back? },
        material: MaterialInUse { makeup, own_loss: own_loss.is_some() },
        supports,
    })
}

/// Shear-deformable theory is good for thick panels, too, but a panel that is nearly a block is a slip of the pen.
fn thick_for_its_size(panel: &Section, outline: &Outline, thickness: f64, problems: &mut Vec<Problem>) {
    let (width, height) = outline.bounding_box();
    let ratio = width.min(height) / thickness;
    if ratio < 20.0 {
        let message =
            format!("the panel is thick for its size: its shorter side is {ratio:.0} times its thickness");
        let problem = Problem::warning(panel.place("thickness"), message)
            .because("thin-plate theory wants 20 times or more");
        problems.push(problem.instead(
            "check the unit; if the panel is meant so, expect natural frequencies that are too high",
        ));
    }
}
