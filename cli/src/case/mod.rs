//! Case files: read, checked, shown.
//!
//! ```text
//! bytes ─▶ TOML ─▶ sections ─▶ scene
//!          toml    reader      build       every problem on the way is kept and shown in its line
//!                  schema ─▶ reference page, JSON Schema
//! ```

mod build;
mod describe;
mod drawing;
mod excerpt;
mod file;
mod problem;
pub mod quantity;
mod reader;
mod schema;
mod section;
mod starter;
mod suggest;
mod syntax;
pub(crate) mod words;

pub use build::{Makeup, MaterialInUse, Ply, Sketch};
pub use describe::{Fact, describe};
pub use file::{load, parse, sketch};
pub use problem::{CaseErrors, Problem, Problems};
pub use schema::{json_schema, reference_page};
pub use starter::{starter, write_starter};
pub(crate) use suggest::nearest as nearest_word;

use panelwright_solver::scene::Scene;
use std::path::PathBuf;

/// A case that can be computed.
#[derive(Clone, Debug)]
pub struct Case {
    /// What the solver needs.
    pub scene: Scene,
    /// What the panel is made of.
    pub material: MaterialInUse,
    /// Where it was read from.
    pub path: PathBuf,
    /// The file's text.
    pub source: String,
    /// What is odd about it, though it can be computed.
    pub warnings: Vec<Problem>,
}

impl Case {
    /// The warnings, ready to be shown in their lines; `None` if there are none.
    pub fn warnings_to_show(&self) -> Option<Problems> {
        let name = self.path.display().to_string();
        (!self.warnings.is_empty()).then(|| Problems::in_text(&name, &self.source, self.warnings.clone()))
    }
}

#[cfg(test)]
mod tests;
