//! A material, by its name in the list or in figures → a solid.

use crate::case::problem::Problem;
use crate::case::section::Section;
use crate::material::{self, Material, Role};
use panelwright_solver::plate::Solid;
use panelwright_solver::scene::LossCurve;

/// A solid and where its figures come from.
#[derive(Clone, Debug)]
pub struct Found {
    /// Its name in reports.
    pub name: String,
    /// Its figures.
    pub solid: Solid,
    /// Its entry in the built-in list, with sources, spread and cautions.
    pub listed: Option<&'static Material>,
    /// True when the case gives its loss factor.
    pub own_loss: bool,
}

impl Found {
    /// With the loss factor behind `key`, if the section gives one.
    pub fn with_loss(mut self, loss: Option<LossCurve>) -> Self {
        if let Some(loss) = loss {
            self.solid.loss = loss;
            self.own_loss = true;
        }
        self
    }
}

/// The solid behind `key`, whose material in the list must have one of `roles`.
pub fn find(section: &Section, key: &str, roles: &[Role], problems: &mut Vec<Problem>) -> Option<Found> {
    if let Some(figures) = section.table(key) {
        return own(figures, problems);
    }
    let material = listed(section, key, roles, problems)?;
    let solid = material.solid()?;
    Some(Found { name: material.name.clone(), solid, listed: Some(material), own_loss: false })
}

/// The entry of the list that `key` names, which must have one of `roles`.
pub fn listed(
    section: &Section,
    key: &str,
    roles: &[Role],
    problems: &mut Vec<Problem>,
) -> Option<&'static Material> {
    let name = section.text(key)?;
    let Some(material) = material::find(name) else {
        let problem = Problem::error(section.place(key), format!("no material is called \"{name}\""));
        let help = match material::nearest(name) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("`panelwright materials` lists them; {}", instead_of_a_name(section, key)),
        };
        problems.push(problem.because("not in the list").instead(help));
        return None;
    };
    if roles.contains(&material.role) {
        return Some(material);
    }
    let message = format!("\"{}\" does not fit `{key}` of {}", material.name, section.schema.name);
    let label = format!("this is {}", material.role.noun());
    let help = format!("it goes here: {}", material.role.place());
    problems.push(Problem::error(section.place(key), message).because(label).instead(help));
    None
}

fn instead_of_a_name(section: &Section, key: &str) -> String {
    match key {
        "material" if section.schema.name == "the panel" => {
            "your own figures go into a table [panel.material]".into()
        }
        "tape" | "kind" => "or leave this line out and give `stiffness`".into(),
        _ => format!("your own figures go into a table, {key} = {{ density = …, youngs_modulus = … }}"),
    }
}

/// A material in figures.
fn own(figures: &Section, problems: &mut Vec<Problem>) -> Option<Found> {
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
        None if along == 0.0 => 0.0,
        None => {
            needs_shear(figures, problems);
            return None;
        }
    };
    let through = figures.number("transverse_shear_modulus").or(isotropic.then_some(shear));
    let across_through = figures.number("transverse_shear_across").or(through);
    let solid = Solid {
        density: figures.number("density")?,
        along,
        across,
        shear,
        poisson,
        through: through.zip(across_through).map(|(a, b)| [a, b]),
        loss: figures.curve("loss_factor")?,
    };
    holds_energy(figures, &solid, problems)?;
    Some(Found { name: figures.text("name")?.to_owned(), solid, listed: None, own_loss: true })
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
    if !along && !across && figures.mentions("transverse_shear_modulus") {
        return Some((0.0, 0.0));
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
fn holds_energy(figures: &Section, solid: &Solid, problems: &mut Vec<Problem>) -> Option<()> {
    if solid.poisson_margin() > 0.0 {
        return Some(());
    }
    let limit = (solid.along / solid.across).sqrt();
    let message = format!("a Poisson's ratio of {} makes the stiffness indefinite", solid.poisson);
    let label = format!("1 − ν₁₂ν₂₁ = {:.3}, must be positive", solid.poisson_margin());
    let help = format!(
        "with these moduli it must stay below √(along / across) = {limit:.3}; plywood has about 0.05. \
         Perhaps along and across are swapped?"
    );
    problems.push(Problem::error(figures.place("poisson_ratio"), message).because(label).instead(help));
    None
}
