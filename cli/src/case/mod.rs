//! Case files: read, checked, shown.
//!
//! ```text
//! bytes ─▶ TOML ─▶ sections ─▶ scene
//!          toml    reader      build       every problem on the way is kept and shown in its line
//!                  schema ─▶ reference page, JSON Schema
//! ```

mod around;
mod build;
mod coefficients;
mod describe;
mod drawing;
mod excerpt;
mod file;
pub(crate) mod filter_words;
mod problem;
pub mod quantity;
mod reader;
mod schema;
pub(crate) mod section;
mod starter;
mod suggest;
mod syntax;
pub(crate) mod varied;
pub(crate) mod words;

pub(crate) use build::PANEL;
pub use build::{BodySketch, Makeup, MaterialInUse, Ply, Sketch};
pub use describe::{Fact, describe, describe_driver};
pub(crate) use file::section_of;
pub use file::{
    Loaded, load, load_blend, load_driver, load_whole, parse, parse_blend, parse_driver, parse_whole, sketch,
    text_of,
};
pub use problem::{CaseErrors, Problem, Problems};
pub(crate) use reader::number_text as reader_text;
#[cfg(test)]
pub(crate) use schema::objective_words;
pub(crate) use schema::quoted;
pub use schema::{json_schema, reference_page};
pub use starter::{starter, write_starter};
pub(crate) use suggest::nearest as nearest_word;

use panelwright_solver::place::PlaceOptions;
use panelwright_solver::scene::{BlendScene, DriverScene, FedDriver, Measured, Scene};
use std::path::{Path, PathBuf};

/// A case whose panel can be computed.
#[derive(Clone, Debug)]
pub struct Case {
    /// What the solver needs.
    pub scene: Scene,
    /// What a search for places on the panel goes by.
    pub places: PlaceOptions,
    /// What the panel is made of.
    pub material: MaterialInUse,
    /// The drivers near it with their surrounds, each with what feeds it.
    pub drivers: Vec<FedDriver>,
    /// What was measured of panel and drivers.
    pub measured: Vec<Measured>,
    /// Where it was read from.
    pub path: PathBuf,
    /// The file's text.
    pub source: String,
    /// What is odd about it, though it can be computed.
    pub warnings: Vec<Problem>,
}

/// A case whose driver can be computed.
#[derive(Clone, Debug)]
pub struct DriverCase {
    /// What the solver needs.
    pub scene: DriverScene,
    /// Further drivers of the case.
    pub others: Vec<DriverScene>,
    /// The panel's scene, if the case has one that is driven.
    pub panel: Option<Scene>,
    /// Where it was read from.
    pub path: PathBuf,
    /// The file's text.
    pub source: String,
    /// What is odd about it, though it can be computed.
    pub warnings: Vec<Problem>,
}

/// A case whose panel and driver can play together.
#[derive(Clone, Debug)]
pub struct BlendCase {
    /// What the solver needs.
    pub scene: BlendScene,
    /// Where it was read from.
    pub path: PathBuf,
    /// The file's text.
    pub source: String,
    /// What is odd about it, though it can be computed.
    pub warnings: Vec<Problem>,
}

impl BlendCase {
    /// The warnings, ready to be shown in their lines; `None` if there are none.
    pub fn warnings_to_show(&self) -> Option<Problems> {
        to_show(&self.path, &self.source, &self.warnings)
    }
}

impl Case {
    /// The drivers without what feeds them.
    pub fn driver_scenes(&self) -> impl Iterator<Item = &DriverScene> {
        self.drivers.iter().map(|fed| &fed.scene)
    }

    /// Panel and drivers with what feeds them and what was measured of them, if there is a driver.
    pub fn with_drivers(&self) -> Option<BlendScene> {
        let Self { scene, drivers, measured, .. } = self;
        (!drivers.is_empty()).then(|| BlendScene {
            panel: scene.clone(),
            drivers: drivers.clone(),
            measured: measured.clone(),
        })
    }

    /// The warnings, ready to be shown in their lines; `None` if there are none.
    pub fn warnings_to_show(&self) -> Option<Problems> {
        to_show(&self.path, &self.source, &self.warnings)
    }
}

impl DriverCase {
    /// One case for each driver, in order.
    pub fn each(&self) -> Vec<Self> {
        let alone = |scene: &DriverScene| Self { scene: scene.clone(), others: vec![], ..self.clone() };
        std::iter::once(&self.scene).chain(&self.others).map(alone).collect()
    }

    /// The warnings, ready to be shown in their lines; `None` if there are none.
    pub fn warnings_to_show(&self) -> Option<Problems> {
        to_show(&self.path, &self.source, &self.warnings)
    }
}

fn to_show(path: &Path, source: &str, warnings: &[Problem]) -> Option<Problems> {
    let name = path.display().to_string();
    (!warnings.is_empty()).then(|| Problems::in_text(&name, source, warnings.to_vec()))
}

#[cfg(test)]
mod tests;
