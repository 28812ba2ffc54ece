//! What the panel is made of: a sheet, a stack, a sandwich or a fluted sheet → plies → cross-section.

use super::keys::{idle, needed};
use super::solid::{self, Found};
use crate::case::problem::Problem;
use crate::case::section::Section;
use crate::material::{self, Material, Role};
use panelwright_solver::plate::{
    Fluted, Grain, Layer, LayupError, Sheet, Web, section_of_fluted, section_of_stack,
};
use panelwright_solver::scene::PlateSection;
use std::ops::Range;

/// What the panel is made of, for reports and for its spread.
#[derive(Clone, Debug)]
#[allow(clippy::large_enum_variant)] // one per case: its size costs nothing
pub enum Makeup {
    /// One sheet or several, from front to back.
    Stack(Vec<Ply>),
    /// Two skins and webs.
    Fluted {
        /// Geometry and solids.
        sheet: Fluted,
        /// Skins and webs.
        walls: [Found; 2],
        /// The sheet's entry in the list, if it was named.
        listed: Option<&'static Material>,
    },
}

/// A layer of a stack.
#[derive(Clone, Debug)]
pub enum Ply {
    /// A sheet.
    Sheet {
        /// What it is made of.
        material: Found,
        /// Thickness [m].
        thickness: f64,
        /// Direction of its grain.
        grain: Grain,
    },
    /// Paint, glue, paper: mass per area [kg/m²].
    Coat(f64),
}

/// Plies and the places in the file where they stand.
struct Placed {
    ply: Ply,
    place: Range<usize>,
}

const SHEETS: [Role; 2] = [Role::Sheet, Role::Core];
const WAYS: [&str; 4] = ["material", "layer", "sandwich", "fluted"];

impl Makeup {
    /// Its cross-section.
    ///
    /// # Errors
    /// A stack that is not symmetric or resists nothing.
    pub fn section(&self) -> Result<PlateSection, LayupError> {
        match self {
            Self::Stack(plies) => section_of_stack(&plies.iter().map(Ply::layer).collect::<Vec<_>>()),
            Self::Fluted { sheet, .. } => Ok(section_of_fluted(sheet)),
        }
    }

    /// Everything it is made of; a material appears as often as it is used.
    pub fn materials(&self) -> Vec<&Found> {
        match self {
            Self::Stack(plies) => plies.iter().filter_map(Ply::material).collect(),
            Self::Fluted { walls, .. } => walls.iter().collect(),
        }
    }
}

impl Ply {
    /// Its material, if it is a sheet.
    pub fn material(&self) -> Option<&Found> {
        match self {
            Self::Sheet { material, .. } => Some(material),
            Self::Coat(_) => None,
        }
    }

    fn layer(&self) -> Layer {
        match self {
            Self::Sheet { material, thickness, grain } => {
                Layer::Sheet(Sheet { solid: material.solid.clone(), thickness: *thickness, grain: *grain })
            }
            Self::Coat(mass) => Layer::Coat(*mass),
        }
    }
}

/// Makeup and cross-section of the panel.
pub fn build(panel: &Section, problems: &mut Vec<Problem>) -> Option<(Makeup, PlateSection)> {
    let makeup = match the_way(panel, problems)? {
        "layer" => stack(panel, layers(panel, problems)?, problems),
        "sandwich" => stack(panel, sandwich(panel.table("sandwich")?, problems)?, problems),
        "fluted" => fluted(panel.table("fluted")?, problems),
        _ => plain(panel, problems),
    }?;
    let section = makeup.section().ok()?;
    Some((makeup, section))
}

/// Which of the four ways the file uses.
fn the_way(panel: &Section, problems: &mut Vec<Problem>) -> Option<&'static str> {
    let ways: Vec<_> = WAYS.into_iter().filter(|way| panel.mentions(way)).collect();
    match ways[..] {
        [way] => {
            follows_from_layers(panel, way, problems);
            Some(way)
        }
        [] => {
            let (name, heading) = (panel.schema.name, heading(panel));
            let problem = Problem::error(panel.span.clone(), format!("what is {name} made of?"));
            let example = panel.schema.key("material").map_or("", |key| key.example);
            let fluted = if heading == "panel" { " or [panel.fluted]" } else { "" };
            let help = format!(
                "add a line: material = {example}, or a table [[{heading}.layer]], [{heading}.sandwich]{fluted}"
            );
            let problem = problem.because(format!("`material` is missing from {name}")).instead(help);
            problems.push(Problem { missing: true, ..problem });
            None
        }
        [first, second, ..] => {
            let message = format!("{} has both `{first}` and `{second}`", panel.schema.name);
            let problem = Problem::error(panel.place(second), message).because("which one holds?");
            problems.push(problem.instead("keep one of `material`, `layer`, `sandwich` and `fluted`"));
            None
        }
    }
}

/// Where the tables of the layers stand.
fn heading(plate: &Section) -> &'static str {
    if plate.schema.name == "the disc" { "driver.disc" } else { "panel" }
}

/// Keys of a plain sheet that say nothing beside layers, and the other way round.
fn follows_from_layers(panel: &Section, way: &str, problems: &mut Vec<Problem>) {
    if way != "material" {
        idle(panel, "thickness", "it follows from the layers", problems);
        idle(panel, "grain", "each layer has its own", problems);
    }
    if way != "layer" {
        idle(panel, "symmetric", "only layers can be mirrored", problems);
    }
}

fn grain_of(section: &Section, key: &str) -> Option<Grain> {
    Some(if section.text(key)? == "vertical" { Grain::Vertical } else { Grain::Horizontal })
}

/// A sheet of one material, or a fluted one from the list.
fn plain(panel: &Section, problems: &mut Vec<Problem>) -> Option<Makeup> {
    let thickness = needed(panel, "thickness", problems);
    let named = panel.text("material").and_then(material::find);
    if let Some(material) = named.filter(|m| m.role == Role::Fluted) {
        return listed_fluted(panel, material, thickness?, problems);
    }
    let material = solid::find(panel, "material", &[Role::Sheet], problems)?;
    let grain = grain_of(panel, "grain")?;
    let ply = Ply::Sheet { material, thickness: thickness?, grain };
    stack(panel, vec![Placed { ply, place: panel.place("material") }], problems)
}

/// The layers of the file, mirrored if it says so.
fn layers(panel: &Section, problems: &mut Vec<Problem>) -> Option<Vec<Placed>> {
    let sections = panel.tables("layer")?;
    let plies: Vec<_> = sections.iter().map(|s| ply(s, problems)).collect();
    let mut order: Vec<usize> = (0..sections.len()).collect();
    if panel.flag("symmetric") {
        order.extend((0..sections.len().saturating_sub(1)).rev());
    }
    let plies = plies.into_iter().collect::<Option<Vec<_>>>()?;
    Some(
        order
            .into_iter()
            .map(|i| Placed { ply: plies[i].clone(), place: sections[i].span.clone() })
            .collect(),
    )
}

fn ply(section: &Section, problems: &mut Vec<Problem>) -> Option<Ply> {
    match (section.mentions("material"), section.mentions("mass_per_area")) {
        (true, false) => {
            let material = solid::find(section, "material", &SHEETS, problems);
            let thickness = needed(section, "thickness", problems);
            let material = material?.with_loss(section.curve("loss_factor"));
            Some(Ply::Sheet { material, thickness: thickness?, grain: grain_of(section, "grain")? })
        }
        (false, true) => section.number("mass_per_area").map(Ply::Coat),
        (true, true) => {
            let message = "the layer has both `material` and `mass_per_area`";
            let problem = Problem::error(section.place("mass_per_area"), message).because("which one holds?");
            problems.push(
                problem.instead(
                    "keep `material` and `thickness` for a sheet, `mass_per_area` for paint or glue",
                ),
            );
            None
        }
        (false, false) => {
            let problem = Problem::error(section.span.clone(), "what is this layer made of?");
            let help = "add material = \"birch veneer\" and thickness = \"0.8 mm\", or mass_per_area = \"80 g/m²\" for paint";
            let problem = problem.because("`material` is missing from the layer").instead(help);
            problems.push(Problem { missing: true, ..problem });
            None
        }
    }
}

/// Paint, skin, glue, core, glue, skin, paint.
fn sandwich(section: &Section, problems: &mut Vec<Problem>) -> Option<Vec<Placed>> {
    let part = |key: &str, problems: &mut Vec<Problem>| {
        let part = section.table(key)?;
        Some(Placed { ply: ply(part, problems)?, place: part.span.clone() })
    };
    let (skin, core) = (part("skin", problems), part("core", problems));
    let coat = |key: &str| Some(Placed { ply: Ply::Coat(section.number(key)?), place: section.place(key) });
    let (skin, core) = (skin?, core?);
    let again = Placed { ply: skin.ply.clone(), place: skin.place.clone() };
    let plies = [coat("paint")?, skin, coat("glue")?, core, coat("glue")?, again, coat("paint")?];
    Some(plies.into_iter().filter(|p| !matches!(p.ply, Ply::Coat(0.0))).collect())
}

/// Checks a stack.
fn stack(panel: &Section, placed: Vec<Placed>, problems: &mut Vec<Problem>) -> Option<Makeup> {
    let (plies, places): (Vec<_>, Vec<_>) = placed.into_iter().map(|p| (p.ply, p.place)).unzip();
    let sheared = plies.len() == 1 || all_have_shear(&plies, &places, problems);
    let makeup = Makeup::Stack(plies);
    let problem = match makeup.section() {
        Ok(_) => return sheared.then_some(makeup),
        Err(LayupError::Unsymmetric { front, back }) => {
            let message =
                format!("layers {} and {} do not match: the stack is not symmetric", front + 1, back + 1);
            let label = format!("unlike layer {}, which lies as deep on the other side", front + 1);
            let help = "make material, thickness and grain the same from the front and from the back, or bending would stretch it; \
                        symmetric = true mirrors the front half";
            Problem::error(places[back].clone(), message).because(label).instead(help)
        }
        Err(LayupError::NoStiffness) => {
            let problem = Problem::error(
                places.first().cloned().unwrap_or_else(|| panel.span.clone()),
                format!("nothing in {} resists bending", panel.schema.name),
            );
            problem.because("no stiffness of its own").instead("put stiff sheets on both faces")
        }
    };
    problems.push(problem);
    None
}

/// A stack bends and shears: every sheet needs its shear modulus through the thickness.
fn all_have_shear(plies: &[Ply], places: &[Range<usize>], problems: &mut Vec<Problem>) -> bool {
    let mut missing: Vec<(&Found, &Range<usize>)> = Vec::new();
    for (ply, place) in plies.iter().zip(places) {
        if let Some(material) = ply.material().filter(|m| m.solid.through.is_none())
            && missing.iter().all(|(_, known)| *known != place)
        {
            missing.push((material, place));
        }
    }
    for (material, place) in &missing {
        let message = format!("in a stack, \"{}\" needs its `transverse_shear_modulus`", material.name);
        let problem = Problem::error((*place).clone(), message).because("how far does it shear?");
        problems.push(
            problem.instead("add it to the layer's material, such as transverse_shear_modulus = \"110 MPa\""),
        );
    }
    missing.is_empty()
}

/// `[panel.fluted]`.
fn fluted(section: &Section, problems: &mut Vec<Problem>) -> Option<Makeup> {
    let skin = solid::find(section, "skin", &[Role::Sheet], problems);
    let web = match section.mentions("web") {
        true => solid::find(section, "web", &[Role::Sheet], problems),
        false => skin.clone(),
    };
    let walls = [skin?, web?];
    let sheet = Fluted {
        skin: walls[0].solid.clone(),
        skin_thickness: section.number("skin_thickness")?,
        web: walls[1].solid.clone(),
        web_thickness: section.number("web_thickness")?,
        pitch: section.number("pitch")?,
        height: section.number("height")?,
        shape: if section.text("webs")? == "wave" { Web::Wave } else { Web::Straight },
        flutes: grain_of(section, "flutes")?,
    };
    fits(section, "height", &sheet, problems)?;
    walls_are_stiff(section, &walls, problems)?;
    Some(Makeup::Fluted { sheet, walls, listed: None })
}

/// A fluted sheet of the list, `height` thick.
fn listed_fluted(
    panel: &Section,
    material: &'static Material,
    height: f64,
    problems: &mut Vec<Problem>,
) -> Option<Makeup> {
    let walls = material.fluted.as_ref()?;
    let wall = |name: &str| {
        let material = material::find(name)?;
        Some(Found {
            name: material.name.clone(),
            solid: material.solid()?,
            listed: Some(material),
            own_loss: false,
        })
    };
    let found = [wall(&walls.skin)?, wall(&walls.web)?];
    let sheet = Fluted {
        skin: found[0].solid.clone(),
        skin_thickness: material.typical("skin_thickness")?,
        web: found[1].solid.clone(),
        web_thickness: material.typical("web_thickness")?,
        pitch: material.typical("pitch")?,
        height,
        shape: walls.shape,
        flutes: grain_of(panel, "grain")?,
    };
    fits(panel, "thickness", &sheet, problems)?;
    Some(Makeup::Fluted { sheet, walls: found, listed: Some(material) })
}

/// Skins and web must find room in the height, and webs in the pitch.
fn fits(section: &Section, height: &str, sheet: &Fluted, problems: &mut Vec<Problem>) -> Option<()> {
    let least = 2.0 * sheet.skin_thickness + sheet.web_thickness;
    if sheet.height <= 1.01 * least {
        let message = "the fluted sheet is too thin for its walls";
        let label = format!("two skins and a web are {} already", super::millimetres_fine(least));
        let help =
            format!("`{height}` is the distance over both outer faces; check it and the walls' thickness");
        problems.push(Problem::error(section.place(height), message).because(label).instead(help));
        return None;
    }
    if sheet.web_thickness > sheet.pitch {
        let problem = Problem::error(section.place("pitch"), "the webs overlap")
            .because(format!("a web alone is {}", super::millimetres_fine(sheet.web_thickness)));
        problems.push(problem.instead("`pitch` is the distance from one web to the same side of the next"));
        return None;
    }
    Some(())
}

fn walls_are_stiff(section: &Section, walls: &[Found; 2], problems: &mut Vec<Problem>) -> Option<()> {
    let limp = |found: &Found| found.solid.carries_nothing() || found.solid.shear <= 0.0;
    let Some(which) = walls.iter().position(limp) else { return Some(()) };
    let key = if which == 0 || !section.mentions("web") { "skin" } else { "web" };
    let message = format!("\"{}\" has no stiffness of its own", walls[which].name);
    let problem = Problem::error(section.place(key), message).because("a wall needs it");
    problems.push(
        problem.instead("give its `youngs_modulus`, or `along_grain`, `across_grain` and `shear_modulus`"),
    );
    None
}
