//! What a comparison will take, before it is begun.

use super::CompareError;
use super::bodies::{Bodies, Embodied};
use crate::coupling::board_behind::CELLS_PER_WAVELENGTH;
use crate::scene::{Behind, DriverScene};

/// Memory of an element: moments of its near pairs, and its share of the grid or, on small bodies, the matrix (measured on spheres of 980 to 50,000 elements).
const PER_ELEMENT: f64 = 130e3;
/// Memory of a node of the board's grid, what it exchanges with the body included (measured at 8 and 16 kHz).
const PER_NODE: f64 = 10e3;

/// The largest of what a surround takes.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Outlook {
    /// Name of the surround.
    pub name: String,
    /// Elements on the finest mesh, of the part that symmetry leaves.
    pub elements: usize,
    /// Memory [bytes], within a factor of two.
    pub bytes: f64,
}

impl Bodies<'_> {
    /// Meshes every surround as finely as its highest frequency asks for, and estimates the memory.
    ///
    /// # Errors
    /// [`CompareError`], for the first surround that cannot be meshed.
    pub fn outlook(&self) -> Result<Vec<Outlook>, CompareError> {
        let Some((finest, rung)) = self.ladder.iter().enumerate().next_back() else { return Ok(vec![]) };
        let of = |body: &Embodied| {
            let elements = body.meshed(finest, rung)?.elements.len();
            Ok(Outlook { name: body.surround.name.clone(), elements, bytes: memory(self.scene, elements) })
        };
        self.all.iter().map(of).collect()
    }
}

/// Memory [bytes] of a surround with so many elements on its finest mesh.
pub(super) fn memory(scene: &DriverScene, elements: usize) -> f64 {
    PER_ELEMENT * elements as f64 + PER_NODE * nodes(scene)
}

/// Nodes of the board's grid at the highest frequency.
fn nodes(scene: &DriverScene) -> f64 {
    let (Behind::Board(outline), Some(top)) = (&scene.behind, scene.frequencies.last()) else { return 0.0 };
    let cell = scene.air.sound_speed / (CELLS_PER_WAVELENGTH * top);
    outline.area() / (cell * cell)
}
