//! Drawings: the closed curves of an SVG or DXF file, in metres, y up.

mod chain;
mod dxf;
mod spline;
mod svg;

use panelwright_mesh::Contour;
use std::fs;
use std::path::Path;

/// Largest file that is taken for a drawing of a panel.
const LARGEST: u64 = 20 << 20;

/// Why a drawing cannot be used.
#[derive(Debug, PartialEq)]
pub struct Unusable {
    /// The problem in one sentence.
    pub message: String,
    /// The reason, shown at the pointer.
    pub reason: String,
    /// What to do.
    pub help: String,
}

impl Unusable {
    fn new(message: impl Into<String>, reason: impl Into<String>, help: impl Into<String>) -> Self {
        Self { message: message.into(), reason: reason.into(), help: help.into() }
    }
}

/// Closed curves of the drawing at `path` [m], the largest first; `unit` [m] is the length of one drawing unit if the case says so.
///
/// # Errors
/// When the file cannot be read, does not say its unit, or holds a curve that does not close.
pub fn read(path: &Path, unit: Option<f64>) -> Result<Vec<Contour>, Unusable> {
    let bytes = bytes(path)?;
    let kind = path.extension().map(|e| e.to_string_lossy().to_lowercase());
    let pieces = match kind.as_deref() {
        Some("svg") => svg::pieces(&bytes, unit)?,
        Some("dxf") => dxf::pieces(&bytes, unit)?,
        _ => {
            let message = format!("{} is neither an SVG nor a DXF drawing", path.display());
            let help = "save the outline as .svg or .dxf in your drawing program";
            return Err(Unusable::new(message, "the name must end in .svg or .dxf", help));
        }
    };
    let mut contours = chain::closed(pieces)?;
    if contours.is_empty() {
        let help = "draw the outline as a closed path, its cut-outs as closed paths inside it";
        return Err(Unusable::new("the drawing holds no closed curve", "nothing to cut out", help));
    }
    contours.sort_by(|a, b| b.signed_area().abs().total_cmp(&a.signed_area().abs()));
    Ok(contours)
}

fn bytes(path: &Path) -> Result<Vec<u8>, Unusable> {
    let name = path.display();
    let about = fs::metadata(path).map_err(|error| {
        let help = "the path counts from the folder of the case file";
        match error.kind() {
            std::io::ErrorKind::NotFound => {
                Unusable::new(format!("there is no file {name}"), "not found", help)
            }
            _ => Unusable::new(format!("{name} cannot be read"), error.to_string(), help),
        }
    })?;
    if !about.is_file() || about.len() > LARGEST {
        let help = "a panel's outline is a small drawing; leave out pictures and hatching";
        return Err(Unusable::new(
            format!("{name} is no drawing of a panel"),
            "not a file of at most 20 MB",
            help,
        ));
    }
    fs::read(path).map_err(|error| {
        Unusable::new(format!("{name} cannot be read"), error.to_string(), "check the file's permissions")
    })
}
