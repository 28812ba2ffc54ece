//! The built-in list of panel materials: every value with its spread, its basis and its source.

mod figure;
mod list;
mod show;

pub use figure::{Basis, Figure};
pub use list::{find, list, nearest};
pub use show::{detail, overview};

use panelwright_solver::plate::SingleLayer;

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
    /// Why it cannot be computed as one homogeneous layer; `None` for those that can.
    pub needs_layup: Option<String>,
    /// Its values.
    pub figures: Vec<Figure>,
}

impl Material {
    /// The value called `key`.
    pub fn figure(&self, key: &str) -> Option<&Figure> {
        self.figures.iter().find(|f| f.key == key)
    }

    /// True if it is equally stiff in all directions of the sheet.
    pub fn is_isotropic(&self) -> bool {
        self.figure("youngs_modulus").is_some()
    }

    /// Its typical values; `None` if it needs a lay-up.
    pub fn layer(&self) -> Option<SingleLayer> {
        if self.needs_layup.is_some() {
            return None;
        }
        let value = |key: &str| self.figure(key).map(|f| f.typical);
        let along = value("youngs_modulus").or_else(|| value("along_grain"))?;
        let across = value("youngs_modulus").or_else(|| value("across_grain"))?;
        let poisson = value("poisson_ratio")?;
        let isotropic_shear = self.is_isotropic().then_some(along / (2.0 * (1.0 + poisson)));
        let shear = value("shear_modulus").or(isotropic_shear)?;
        Some(SingleLayer {
            density: value("density")?,
            along,
            across,
            shear,
            poisson,
            transverse_shear: value("transverse_shear_modulus").or(isotropic_shear),
            loss_factor: value("loss_factor")?,
        })
    }
}
