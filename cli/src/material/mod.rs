//! The built-in list of panel materials: every value with its spread, its basis and its source.

mod figure;
mod list;
mod show;

pub use figure::{Basis, Figure};
pub use list::{find, list, nearest};
pub use show::{detail, overview};

use panelwright_solver::plate::{Solid, Web};
use panelwright_solver::scene::LossCurve;
use serde::Deserialize;

/// A material of the list.
#[derive(Clone, Debug)]
pub struct Material {
    /// The name used in reports.
    pub name: String,
    /// Other names it is found by.
    pub aliases: Vec<String>,
    /// What it is, in a sentence.
    pub about: String,
    /// Fire, breakage, moisture: what a builder must know before using it.
    pub cautions: Vec<String>,
    /// What it is good for.
    pub role: Role,
    /// Of a fluted sheet: what its walls are.
    pub fluted: Option<Walls>,
    /// Its values.
    pub figures: Vec<Figure>,
}

/// What a material is good for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// A sheet, alone or as a layer.
    #[default]
    Sheet,
    /// A core that needs skins.
    Core,
    /// A sheet of skins and webs.
    Fluted,
    /// Paint or paper: mass per area only.
    Coat,
    /// A tape between panel and frame.
    Tape,
    /// A damping sheet.
    Damping,
    /// A cord, foot or standoff.
    Hanger,
}

impl Role {
    /// What such a material is, and where it goes in a case.
    pub fn words(self) -> &'static str {
        match self {
            Self::Sheet => "a sheet: material = … in [panel] or in a layer",
            Self::Core => "a core without stiffness of its own: core = … in [panel.sandwich]",
            Self::Fluted => "a fluted sheet: material = … in [panel]",
            Self::Coat => "a coat that adds only mass: mass_per_area = … in a [[panel.layer]]",
            Self::Tape => "a tape for edges: left = { tape = … } in [panel.edges]",
            Self::Damping => "a damping sheet: sheet = … in a [[patch]]",
            Self::Hanger => "a hang: kind = … in a [[hang]]",
        }
    }

    /// What such a material is, with its article.
    pub fn noun(self) -> &'static str {
        self.words().split_once(':').map_or("", |(noun, _)| noun)
    }

    /// Where it goes in a case.
    pub fn place(self) -> &'static str {
        self.words().split_once(": ").map_or("", |(_, place)| place)
    }
}

/// Walls of a fluted sheet.
#[derive(Clone, Debug)]
pub struct Walls {
    /// Material of the skins.
    pub skin: String,
    /// Material of the webs.
    pub web: String,
    /// How they are joined.
    pub shape: Web,
}

impl Material {
    /// The value called `key`.
    pub fn figure(&self, key: &str) -> Option<&Figure> {
        self.figures.iter().find(|f| f.key == key)
    }

    /// The typical value called `key`, SI.
    pub fn typical(&self, key: &str) -> Option<f64> {
        self.figure(key).map(|f| f.typical)
    }

    /// True if it is equally stiff in all directions of the sheet.
    pub fn is_isotropic(&self) -> bool {
        self.figure("youngs_modulus").is_some()
    }

    /// With its typical values; `None` if it is no solid.
    pub fn solid(&self) -> Option<Solid> {
        self.solid_with("", 0.0)
    }

    /// The same with another value for `key`.
    pub fn solid_with(&self, key: &str, other: f64) -> Option<Solid> {
        if !matches!(self.role, Role::Sheet | Role::Core | Role::Damping) {
            return None;
        }
        let value =
            |wanted: &str| self.typical(wanted).map(|typical| if wanted == key { other } else { typical });
        let (density, loss_factor) = (value("density")?, value("loss_factor")?);
        let through = value("transverse_shear_modulus");
        let across_through = value("transverse_shear_across").or(through);
        let mut solid = Solid {
            density,
            along: 0.0,
            across: 0.0,
            shear: 0.0,
            poisson: 0.0,
            through: through.zip(across_through).map(|(a, b)| [a, b]),
            loss: LossCurve::constant(loss_factor),
        };
        if self.role == Role::Core {
            return solid.through.is_some().then_some(solid);
        }
        solid.along = value("youngs_modulus").or_else(|| value("along_grain"))?;
        solid.across = value("youngs_modulus").or_else(|| value("across_grain"))?;
        solid.poisson = value("poisson_ratio")?;
        let isotropic = self.is_isotropic().then_some(solid.along / (2.0 * (1.0 + solid.poisson)));
        solid.shear = value("shear_modulus").or(isotropic)?;
        solid.through = solid.through.or(isotropic.map(|shear| [shear; 2]));
        Some(solid)
    }
}
