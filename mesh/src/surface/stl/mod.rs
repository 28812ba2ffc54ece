//! STL, the list of facets that slicers and printers read: bytes ⇄ surface.
//!
//! The binary form is a header of 80 bytes, the number of facets (u32, little endian) and 50 bytes per facet: normal and three corners
//! as f32, two bytes that are ignored. The text form is a sequence of `solid … endsolid`. Neither knows its unit.

mod binary;
mod fault;
mod text;

#[cfg(test)]
mod tests;

pub use fault::StlFault;

use super::{Surface, Welded};
use nalgebra::Vector3;

/// Most facets that are read: beyond them the checks take minutes and the solver's own mesh is far coarser anyway.
pub const MOST_FACETS: usize = 2_000_000;
/// Largest coordinate [m] that is taken for one of a body.
pub const FARTHEST: f64 = 1e4;
/// Millimetres, the unit that printers assume.
pub const MILLIMETRE: f64 = 1e-3;

/// One triangle of a file, in its unit, and the solid it belongs to.
struct Facet {
    corners: [[f64; 3]; 3],
    solid: u16,
}

/// Reads binary or text STL whose unit is `unit` metres. Corners that coincide to a millionth of the body's size become one point;
/// every `solid` of a text file becomes a patch, a binary file is patch 0. The normals of the file are ignored: what is outside follows
/// from the order of the corners.
///
/// # Errors
/// [`StlFault`]: what is wrong, where, and what to do.
pub fn read(bytes: &[u8], unit: f64) -> Result<Surface, StlFault> {
    if !(unit > 0.0 && unit.is_finite()) {
        return Err(StlFault::Unit { unit });
    }
    let facets = match form(bytes)? {
        Form::Binary { count } => binary::facets(bytes, count, unit)?,
        Form::Text => text::facets(bytes, unit)?,
    };
    if facets.is_empty() {
        return Err(StlFault::NoFacets);
    }
    Ok(surface(&facets, unit))
}

fn surface(facets: &[Facet], unit: f64) -> Surface {
    let corner = |point: &[f64; 3]| unit * Vector3::from(*point);
    let points = facets.iter().flat_map(|facet| &facet.corners).map(corner).collect();
    let triangles = (0..facets.len() as u32).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect();
    let patches = facets.iter().map(|facet| facet.solid).collect();
    let Welded { surface, .. } = Surface { points, triangles, patches }.welded();
    surface
}

enum Form {
    Binary { count: usize },
    Text,
}

/// Tells the forms apart by length first: there are binary files whose header starts with "solid".
fn form(bytes: &[u8]) -> Result<Form, StlFault> {
    if bytes.is_empty() {
        return Err(StlFault::Empty);
    }
    let count = binary::count(bytes);
    if let Some(count) = count.filter(|&count| binary::length(count) == bytes.len() as u64) {
        return binary::accepted(count).map(|count| Form::Binary { count });
    }
    if text::looks_like_it(bytes) {
        return Ok(Form::Text);
    }
    match count {
        Some(count) if count as usize <= MOST_FACETS && binary::plausible(bytes) => {
            Err(binary::wrong_length(bytes, count))
        }
        _ => Err(StlFault::not_stl(bytes)),
    }
}

/// Binary STL in units of `unit` metres; coordinates are rounded to f32.
pub fn write_binary(surface: &Surface, unit: f64) -> Vec<u8> {
    binary::write(surface, unit)
}

/// Text STL in units of `unit` metres, a `solid` for every patch in the order of patch numbers, coordinates with all their digits.
pub fn write_text(surface: &Surface, unit: f64) -> String {
    text::write(surface, unit)
}

/// Unit normal of a facet, zero if it has no area.
fn normal(surface: &Surface, triangle: usize) -> Vector3<f64> {
    surface.area_vector(triangle).try_normalize(0.0).unwrap_or_default()
}
