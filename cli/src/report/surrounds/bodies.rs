//! The bodies, drawn obliquely: what they are, and how loud it is on them.

use super::{SurroundInput, cuts};
use crate::case::describe_driver;
use crate::report::chart::body::tint;
use crate::report::chart::colour;
use crate::report::chart::heat::{SHADES, Shading};
use crate::report::chart::scale::extent;
use crate::report::chart::solid::{Facet, View, Window};
use crate::report::figure;
use maud::{Markup, html};
use panelwright_mesh::Surface;
use panelwright_solver::listening::spl;
use panelwright_solver::surrounds::{Picture, VariantSound};
use rayon::prelude::*;
use serde_json::{Value, json};

/// Width of a drawing in user units.
const WIDTH: f64 = 260.0;
/// Normals [cosine] that belong to the same side of a thin part.
const SAME_SIDE: f64 = 0.3;
/// Code of the letter for the first shade.
const FIRST_LETTER: u8 = b'0';

/// The section on what was compared.
pub fn geometry(input: &SurroundInput) -> Markup {
    let seen = facets(input);
    let window = Window::around(seen.iter().flatten(), WIDTH);
    let words = describe_driver(input.case);
    let words: Vec<&str> =
        words.iter().filter(|f| f.subject == "surround").map(|f| f.text.as_str()).collect();
    let body = html! {
        div.bodies { @for (number, (variant, facets)) in input.comparison.variants.iter().zip(&seen).enumerate() {
            figure {
                (window.draw(&shape(number), &format!("{}, from the front right above", variant.name), facets, &tinted(&variant.shape, facets)))
                p { b { (variant.name) } br; (words.get(number).and_then(|text| text.split_once("\", ")).map_or("", |(_, text)| text)) }
            }
        } }
        p.definition { "All to the same scale, from the listener’s right and from above. Amber: diaphragm; blue: what surrounds the driver; grey: housing." }
    };
    figure::section("geometry", "Geometry", &input.findings.warnings, &[], body)
}

/// Visible triangles of every body.
fn facets(input: &SurroundInput) -> Vec<Vec<Facet>> {
    input.comparison.variants.iter().map(|variant| View::oblique().facets(&variant.shape)).collect()
}

fn tinted(surface: &Surface, facets: &[Facet]) -> Vec<String> {
    facets.iter().map(|facet| tint(surface.patches[facet.triangle]).lit(facet.brightness).hex()).collect()
}

/// Levels on the bodies at the chosen frequency, which the script puts on the drawings above.
pub fn on_bodies(input: &SurroundInput) -> Markup {
    let seen = facets(input);
    let window = Window::around(seen.iter().flatten(), WIDTH);
    html! {
        div.bodies { @for (number, variant) in input.comparison.variants.iter().enumerate() {
            figure data-map=(key(number)) data-band="picture" {
                (window.again(&shape(number), &format!("Level on {}", variant.name)))
                p { b { (variant.name) } }
            }
        } }
    }
}

/// Shades of every body and frequency as the script needs them.
pub fn data(input: &SurroundInput) -> Vec<(String, Value)> {
    let ramp = shading(0.0).ramp();
    let entry = |(number, (variant, facets)): (usize, (&VariantSound, &Vec<Facet>))| {
        let bands: Vec<String> =
            (0..variant.pictures.len()).map(|index| shades(input, variant, facets, index)).collect();
        (key(number), json!({ "ramp": ramp, "bands": bands }))
    };
    input.comparison.variants.iter().zip(&facets(input)).enumerate().map(entry).collect()
}

/// Name of a drawing.
fn shape(number: usize) -> String {
    format!("shape-{number}")
}

fn key(number: usize) -> String {
    format!("body-{number}")
}

fn shading(loudest: f64) -> Shading {
    Shading { low: loudest - cuts::SPAN, high: loudest, colours: colour::sequential }
}

/// One letter per facet; nothing without a picture of that number.
fn shades(input: &SurroundInput, variant: &VariantSound, facets: &[Facet], index: usize) -> String {
    let Some(picture) = variant.pictures.get(index) else { return String::new() };
    let shading = shading(loudest(input, index));
    let levels = levels(picture, &variant.shape, facets);
    let letter =
        |level: &f64| (FIRST_LETTER + shading.shade(*level).unwrap_or(0).min(SHADES - 1) as u8) as char;
    levels.iter().map(letter).collect()
}

/// Highest level [dB re 20 µPa] on any body at a frequency.
pub fn loudest(input: &SurroundInput, index: usize) -> f64 {
    let pictures = input.comparison.variants.iter().filter_map(|variant| variant.pictures.get(index));
    let levels = pictures.flat_map(|picture| picture.pressure.iter().map(|p| spl(*p)));
    extent(levels).map_or(0.0, |(_, high)| high)
}

/// Level [dB re 20 µPa] on every facet: that of the nearest computed triangle on the same side.
fn levels(picture: &Picture, shape: &Surface, facets: &[Facet]) -> Vec<f64> {
    let computed = Surface {
        points: picture.points.clone(),
        triangles: picture.triangles.clone(),
        patches: picture.patches.clone(),
    };
    let sides: Vec<Side> =
        (0..computed.triangles.len()).map(|triangle| Side::of(&computed, triangle)).collect();
    let level = |facet: &Facet| {
        let place = Side::of(shape, facet.triangle);
        let nearest = sides.iter().enumerate().min_by(|a, b| place.apart(a.1).total_cmp(&place.apart(b.1)));
        nearest.map_or(f64::NAN, |(triangle, _)| mean_level(picture, triangle))
    };
    facets.par_iter().map(level).collect()
}

fn mean_level(picture: &Picture, triangle: usize) -> f64 {
    let corners = picture.triangles[triangle].map(|corner| picture.pressure[corner as usize]);
    spl((corners[0] + corners[1] + corners[2]) / 3.0)
}

/// Middle and normal of a triangle.
struct Side {
    middle: [f64; 3],
    normal: [f64; 3],
}

impl Side {
    fn of(surface: &Surface, triangle: usize) -> Self {
        let [a, b, c] = surface.corners(triangle);
        let area = surface.area_vector(triangle);
        Self {
            middle: ((a + b + c) / 3.0).into(),
            normal: (area / area.norm().max(f64::MIN_POSITIVE)).into(),
        }
    }

    /// Squared distance [m²]; without end where the other looks elsewhere.
    fn apart(&self, other: &Self) -> f64 {
        let along: f64 = (0..3).map(|k| self.normal[k] * other.normal[k]).sum();
        let distance = (0..3).map(|k| (self.middle[k] - other.middle[k]).powi(2)).sum();
        if along > SAME_SIDE { distance } else { f64::INFINITY }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_complex::Complex64;
    use panelwright_solver::driver::{SURROUND, assembly::DIAPHRAGM};
    use panelwright_solver::surrounds::CutPlane;

    /// A thin sheet, loud in front and quiet behind, as one triangle on each side.
    fn sheet() -> (Picture, Surface) {
        let points: Vec<[f64; 3]> =
            [0.0, -0.001].iter().flat_map(|&z| [[0.0, 0.0, z], [0.1, 0.0, z], [0.0, 0.1, z]]).collect();
        let surface = Surface {
            points: points.iter().map(|p| (*p).into()).collect(),
            triangles: vec![[0, 1, 2], [3, 5, 4]],
            patches: vec![0, 0],
        };
        let nowhere = || CutPlane { across: vec![], along: vec![], pressure: ndarray::Array2::zeros((0, 0)) };
        let picture = Picture {
            frequency: 1e3,
            points: surface.points.clone(),
            triangles: surface.triangles.clone(),
            patches: surface.patches.clone(),
            pressure: [2.0; 3].into_iter().chain([0.02; 3]).map(|p| Complex64::new(0.0, p)).collect(),
            planes: [nowhere(), nowhere()],
        };
        (picture, surface)
    }

    #[test]
    fn the_two_sides_of_a_thin_part_keep_their_levels() {
        let (picture, surface) = sheet();
        let front = View::oblique().facets(&surface);
        assert_eq!(front.len(), 1);
        assert!((levels(&picture, &surface, &front)[0] - 100.0).abs() < 1e-9);
        // Nearer to the back, but looking to the front.
        let moved =
            Surface { points: surface.points.iter().map(|p| p - p.map(|_| 0.0009)).collect(), ..surface };
        assert!((levels(&picture, &moved, &front)[0] - 100.0).abs() < 1e-9);
    }

    #[test]
    fn patches_have_their_own_tints_and_light_makes_them_bright() {
        let lightness = |patch, brightness| tint(patch).lit(brightness).lightness;
        assert!(lightness(DIAPHRAGM, 0.4) < lightness(DIAPHRAGM, 1.0));
        assert!(tint(DIAPHRAGM) != tint(SURROUND) && tint(SURROUND) != tint(0));
    }
}
