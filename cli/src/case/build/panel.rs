//! `[panel]` → outline, cross-section, edges.

use crate::case::problem::Problem;
use crate::case::schema::EDGES;
use crate::case::section::Section;
use crate::material::{self, Material};
use panelwright_mesh::Outline;
use panelwright_solver::plate::{Grain, SingleLayer, section_of_single_layer};
use panelwright_solver::scene::{Back, EdgeCondition, Edges, Panel, Stretch};

/// What the panel is made of, for reports.
#[derive(Clone, Debug)]
pub struct MaterialInUse {
    /// Its name.
    pub name: String,
    /// Its figures, the panel's loss factor included.
    pub layer: SingleLayer,
    /// Direction of the face grain.
    pub grain: Grain,
    /// Its entry in the built-in list, with sources, spread and cautions.
    pub listed: Option<&'static Material>,
}

/// The panel and its material.
pub fn build(
    panel: &Section,
    outline: Option<&Outline>,
    problems: &mut Vec<Problem>,
) -> Option<(Panel, MaterialInUse)> {
    let material = match panel.table("material") {
        Some(figures) => own_material(figures, problems),
        None => listed_material(panel, problems),
    };
    thick_for_its_size(panel, outline, problems);
    let (name, layer, listed) = material?;
    let layer =
        SingleLayer { loss_factor: panel.number("loss_factor").unwrap_or(layer.loss_factor), ..layer };
    let grain = if panel.text("grain")? == "vertical" { Grain::Vertical } else { Grain::Horizontal };
    let section = section_of_single_layer(&layer, panel.number("thickness")?, grain);
    let outline = outline?.clone();
    let edges = edges(panel.table("edges"), &outline, problems);
    Some((
        Panel { outline, section, edges, back: Back::Baffled },
        MaterialInUse { name, layer, grain, listed },
    ))
}

type Found = (String, SingleLayer, Option<&'static Material>);

fn listed_material(panel: &Section, problems: &mut Vec<Problem>) -> Option<Found> {
    let name = panel.text("material")?;
    let Some(material) = material::find(name) else {
        let problem = Problem::error(panel.place("material"), format!("no material is called \"{name}\""));
        let help = match material::nearest(name) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => {
                "`panelwright materials` lists them; your own figures go into a table [panel.material]".into()
            }
        };
        problems.push(problem.because("not in the list").instead(help));
        return None;
    };
    let Some(layer) = material.layer() else {
        let problem =
            Problem::error(panel.place("material"), format!("\"{}\" cannot be computed yet", material.name));
        let reason = material.needs_layup.as_deref().unwrap_or_default();
        problems.push(problem.because("not one homogeneous layer").instead(reason));
        return None;
    };
    Some((material.name.clone(), layer, Some(material)))
}

fn own_material(figures: &Section, problems: &mut Vec<Problem>) -> Option<Found> {
    let moduli = moduli(figures, problems);
    let poisson = figures.number("poisson_ratio")?;
    let (along, across) = moduli?;
    let isotropic = figures.mentions("youngs_modulus");
    if isotropic && !(poisson > -1.0 && poisson < 0.5) {
        let message =
            format!("no material that is equally stiff both ways has a Poisson's ratio of {poisson}");
        let problem =
            Problem::error(figures.place("poisson_ratio"), message).because("must lie between −1 and 0.5");
        problems.push(problem.instead("most solids lie between 0.2 and 0.4, foams near 0.1"));
        return None;
    }
    let shear = match figures.number("shear_modulus") {
        Some(shear) => shear,
        None if isotropic => along / (2.0 * (1.0 + poisson)),
        None => {
            needs_shear(figures, problems);
            return None;
        }
    };
    let through = figures.number("transverse_shear_modulus").or(isotropic.then_some(shear));
    let (density, loss_factor) = (figures.number("density")?, figures.number("loss_factor")?);
    let layer =
        SingleLayer { density, along, across, shear, poisson, transverse_shear: through, loss_factor };
    holds_energy(figures, &layer, problems)?;
    Some((figures.text("name")?.to_owned(), layer, None))
}

/// Moduli along and across the grain.
fn moduli(figures: &Section, problems: &mut Vec<Problem>) -> Option<(f64, f64)> {
    let (both, along, across) = (
        figures.mentions("youngs_modulus"),
        figures.mentions("along_grain"),
        figures.mentions("across_grain"),
    );
    if both && (along || across) {
        let other = figures.place(if along { "along_grain" } else { "across_grain" });
        let problem =
            Problem::error(other, "the material has both `youngs_modulus` and a modulus with a grain");
        problems.push(
            problem
                .because("which one holds?")
                .instead("keep `youngs_modulus`, or `along_grain` and `across_grain`"),
        );
        return None;
    }
    if both {
        return figures.number("youngs_modulus").map(|e| (e, e));
    }
    if along && across {
        return figures.number("along_grain").zip(figures.number("across_grain"));
    }
    let problem = Problem::error(figures.span.clone(), "the material's stiffness is missing")
        .because("this table needs it");
    let help = match (along, across) {
        (false, false) => {
            "add a line youngs_modulus = \"70 GPa\", or along_grain and across_grain for wood and plywood"
        }
        (true, _) => "add a line across_grain = \"2.5 GPa\"",
        (_, true) => "add a line along_grain = \"7 GPa\"",
    };
    problems.push(Problem { missing: true, ..problem.instead(help) });
    None
}

fn needs_shear(figures: &Section, problems: &mut Vec<Problem>) {
    if figures.mentions("shear_modulus") {
        return;
    }
    let problem = Problem::error(figures.span.clone(), "a material with a grain needs its `shear_modulus`");
    let problem = problem.because("this table needs it").instead("add a line: shear_modulus = \"450 MPa\"");
    problems.push(Problem { missing: true, ..problem });
}

/// Bending must cost energy, or the panel would fly apart.
fn holds_energy(figures: &Section, layer: &SingleLayer, problems: &mut Vec<Problem>) -> Option<()> {
    if layer.poisson_margin() > 0.0 {
        return Some(());
    }
    let limit = (layer.along / layer.across).sqrt();
    let message = format!("a Poisson's ratio of {} makes the stiffness indefinite", layer.poisson);
    let label = format!("1 − ν₁₂ν₂₁ = {:.3}, must be positive", layer.poisson_margin());
    let help = format!(
        "with these moduli it must stay below √(along / across) = {limit:.3}; plywood has about 0.05. \
         Perhaps along and across are swapped?"
    );
    problems.push(Problem::error(figures.place("poisson_ratio"), message).because(label).instead(help));
    None
}

fn thick_for_its_size(panel: &Section, outline: Option<&Outline>, problems: &mut Vec<Problem>) {
    let (Some(outline), Some(thickness)) = (outline, panel.number("thickness")) else { return };
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

fn edges(section: Option<&Section>, outline: &Outline, problems: &mut Vec<Problem>) -> Edges {
    let free = Section::new(&EDGES, 0..0);
    let section = section.unwrap_or(&free);
    let of = |side: &str| match section.text(side).or(section.text("all")) {
        Some("clamped") => EdgeCondition::Clamped,
        Some("simply supported") => EdgeCondition::SimplySupported,
        _ => EdgeCondition::Free,
    };
    let Outline::Rectangle { width, height } = *outline else {
        sides_without_name(section, problems);
        return round_the_outside(outline, of("all"));
    };
    Edges::of_rectangle(width, height, ["left", "bottom", "right", "top"].map(of))
}

/// The outer contour held in one way; nobody clamps a hole.
fn round_the_outside(outline: &Outline, condition: EdgeCondition) -> Edges {
    if outline.contours() == 1 || condition == EdgeCondition::Free {
        return Edges::all(condition);
    }
    let length = outline.curves()[0].length();
    let stretch = Stretch { contour: 0, from: 0.0, to: length, condition };
    Edges { elsewhere: EdgeCondition::Free, stretches: vec![stretch] }
}

/// Only a rectangle has a left side.
fn sides_without_name(edges: &Section, problems: &mut Vec<Problem>) {
    let Some(side) = ["left", "bottom", "right", "top"].into_iter().find(|side| edges.mentions(side)) else {
        return;
    };
    let problem = Problem::error(edges.place(side), format!("this panel has no {side} side"));
    problems.push(
        problem
            .because("only a rectangle without cut-outs has")
            .instead("say how the whole edge is held: all = \"free\""),
    );
}
