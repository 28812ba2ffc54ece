//! `results.h5`, `surrounds.h5`, `blend.h5` and `places.h5`: every finding as a named, unit-carrying, documented HDF5 dataset that any reader can open.
//!
//! Each dataset carries the attributes `unit`, `description` and `dimensions` (what each of its axes runs over, as
//! paths of the datasets that label them). Complex numbers are a compound of `r` and `i`. Values a finding does not
//! have (a centre that no spherical wave fits) are NaN.
//!
//! [`KeptFolder`] holds finished work for later runs; its files are nobody else's business.

mod blend;
mod driver_places;
mod kept;
mod layout;
mod listened;
mod node;
mod place;
mod study;
mod surrounds;
mod whole_file;

pub use kept::KeptFolder;
pub use study::{Column, StudyFile, StudyLayout, Variation};
pub(crate) use whole_file::{fill_whole, write_whole};

use node::Node;
use panelwright_solver::blend::BlendFindings;
use panelwright_solver::listening::{Findings, SurroundFindings};
use panelwright_solver::place::PlaceFindings;
use panelwright_solver::scene::{BlendScene, DriverScene, Scene};
use panelwright_solver::surrounds::Comparison;
use std::path::{Path, PathBuf};

/// Where results come from.
#[derive(Clone, Copy, Debug)]
pub struct Provenance<'a> {
    /// Version of the program.
    pub version: &'a str,
    /// Name of the case.
    pub case_name: &'a str,
    /// The case file, word for word.
    pub case_text: &'a str,
    /// When the prediction was computed, as people read it.
    pub computed_at: &'a str,
}

/// Why results could not be stored.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The HDF5 library refused.
    #[error("could not write {path}: {source}. Is the disk full or the folder read-only?")]
    Hdf5 {
        /// The file.
        path: PathBuf,
        /// What the library said.
        source: hdf5::Error,
    },
    /// The finished file could not be put in its place.
    #[error(
        "could not move the finished results to {path}: {source}. Close programs that hold the file open and try again"
    )]
    Rename {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
}

/// Writes the findings of a prediction to `path`.
///
/// The file appears whole or not at all: it is written beside its place and moved there when finished, so an interruption never damages
/// an earlier one.
///
/// # Errors
/// [`StoreError`], with the file's path.
pub fn write(
    path: &Path,
    findings: &Findings,
    scene: &Scene,
    provenance: &Provenance,
) -> Result<(), StoreError> {
    whole(path, |root| {
        let origin = "at the panel's lower left corner";
        layout::provenance(root, &scene.title, scene, provenance, origin)?;
        layout::findings(root, findings)
    })
}

/// Writes the findings of a comparison of surrounds and the complex pressures behind them to `path`, whole or not at all.
///
/// # Errors
/// [`StoreError`], with the file's path.
pub fn write_surrounds(
    path: &Path,
    findings: &SurroundFindings,
    comparison: &Comparison,
    scene: &DriverScene,
    provenance: &Provenance,
) -> Result<(), StoreError> {
    whole(path, |root| {
        let origin = "at the panel's lower left corner, without a panel where the case puts it";
        layout::provenance(root, &scene.title, scene, provenance, origin)?;
        surrounds::findings(root, findings, comparison)
    })
}

/// Writes the findings of a blend to `path`, whole or not at all.
///
/// # Errors
/// [`StoreError`], with the file's path.
pub fn write_blend(
    path: &Path,
    findings: &BlendFindings,
    scene: &BlendScene,
    provenance: &Provenance,
) -> Result<(), StoreError> {
    whole(path, |root| {
        let origin = "at the panel's lower left corner";
        layout::provenance(root, &scene.panel.title, scene, provenance, origin)?;
        blend::findings(root, findings)
    })
}

/// Writes the findings of a search for places to `path`, whole or not at all.
///
/// # Errors
/// [`StoreError`], with the file's path.
pub fn write_places(
    path: &Path,
    findings: &PlaceFindings,
    scene: &Scene,
    provenance: &Provenance,
) -> Result<(), StoreError> {
    whole(path, |root| {
        let origin = "at the panel's lower left corner";
        layout::provenance(root, &scene.title, scene, provenance, origin)?;
        place::exciters(&root.child("exciters", "Where to glue the exciters.")?, &findings.exciters)?;
        driver_places::drivers(root, &findings.drivers)
    })
}

fn whole(path: &Path, content: impl Fn(&Node) -> hdf5::Result<()>) -> Result<(), StoreError> {
    let partial = partial_path(path);
    write_file(&partial, content).map_err(|source| {
        // A failed write leaves nothing behind; if even that fails, the first error is the one to report.
        let _ = std::fs::remove_file(&partial);
        StoreError::Hdf5 { path: path.into(), source }
    })?;
    std::fs::rename(&partial, path).map_err(|source| {
        let _ = std::fs::remove_file(&partial);
        StoreError::Rename { path: path.into(), source }
    })
}

fn partial_path(path: &Path) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_os_string();
    name.push(format!(".{}.partial", std::process::id()));
    path.with_file_name(name)
}

fn write_file(path: &Path, content: impl Fn(&Node) -> hdf5::Result<()>) -> hdf5::Result<()> {
    let file = hdf5::File::create(path)?;
    content(&Node::new(&file))?;
    file.flush()?;
    file.close()
}
