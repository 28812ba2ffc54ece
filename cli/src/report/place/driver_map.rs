//! The panel with what is around it as a grid of a driver's places, and the marks on it.

use crate::report::chart::heat::{self, Shading};
use crate::report::chart::painted::{self, Painted};
use crate::report::chart::plane::{Plane, Word};
use crate::report::choice::When;
use maud::{Markup, html};
use ndarray::Array2;
use panelwright_solver::scene::Scene;
use panelwright_solver::search::drivers::{DriverPlaces, DriverScores};
use serde_json::Value;

/// Colours reach to the value that so many places in ten do not exceed, at least and at most [dB].
const COLOURED: f64 = 0.9;
const RANGE: (f64, f64) = (1.0, 12.0);
/// Diameter of the ring that stands for a driver [m].
const RING: f64 = 0.04;
/// How far words stand from marks, in user units.
const LIFT: f64 = 18.0;

/// A map that can be chosen.
pub struct Layer {
    /// What it shows.
    pub label: &'static str,
    /// The values [dB].
    pub values: Array2<f64>,
    /// The least of them [dB], from which colours count.
    pub least: f64,
}

/// All of them.
pub fn layers(found: &DriverPlaces) -> Vec<Layer> {
    let of = |label, value: fn(&DriverScores) -> f64| {
        let values = found.scored(value);
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        Layer { label, values, least }
    };
    vec![
        of("everything together", |scores| scores.cost),
        of("evenness, best matched", |scores| scores.matched.unevenness),
        of("evenness, channels as they are", |scores| scores.as_set),
    ]
}

/// Light is good: colours from the best on, as far as all layers need.
pub fn shading(layers: &[Layer]) -> Shading {
    let reach = |layer: &Layer| {
        let above = layer.values.iter().map(|value| value - layer.least);
        let mut values: Vec<f64> = above.filter(|value| value.is_finite()).collect();
        values.sort_by(f64::total_cmp);
        values.get((COLOURED * values.len() as f64) as usize).copied().unwrap_or(RANGE.0)
    };
    let most = layers.iter().map(reach).fold(RANGE.0, f64::max).ceil().min(RANGE.1);
    heat::quiet_to_loud(most, 0.0)
}

/// The plane of all places, the present one and the whole panel, half a step more on every side.
pub fn plane(found: &DriverPlaces, scene: &Scene) -> Plane {
    let (width, height) = scene.panel.outline.bounding_box();
    let stretch = |nodes: &[f64], side: f64, now: f64| {
        let borders = heat::borders(nodes);
        let [low, high] = [borders.first(), borders.last()].map(|end| end.copied().unwrap_or(0.0));
        (low.min(0.0).min(now - RING), high.max(side).max(now + RING))
    };
    let [x, y] = found.now.position;
    Plane::new(stretch(&found.x, width, x), stretch(&found.y, height, y))
}

fn refinement(found: &DriverPlaces) -> usize {
    heat::refinement(found.x.len().max(found.y.len()))
}

/// Borders of the drawn cells in user units.
fn borders(found: &DriverPlaces, plane: &Plane) -> (Vec<f64>, Vec<f64>) {
    let fine = |nodes: &[f64]| heat::refined_nodes(nodes, refinement(found));
    heat::plane_borders(plane, &fine(&found.x), &fine(&found.y))
}

/// The coloured cells of `values`.
pub fn cells(found: &DriverPlaces, plane: &Plane, values: &Array2<f64>, shading: &Shading) -> Markup {
    let (x, y) = borders(found, plane);
    heat::cells(&x, &y, heat::refined(values.view(), refinement(found)).view(), shading)
}

/// The panel's rim, where the driver hangs and where it should.
pub fn marks(found: &DriverPlaces, plane: &Plane, scene: &Scene) -> Markup {
    html! {
        (plane.outline(&scene.panel.outline))
        (plane.ring(found.now.position, RING))
        (plane.star(found.best.position))
    }
}

/// Their names, above them unless there is no room.
pub fn words(found: &DriverPlaces, plane: &Plane) -> Vec<Word> {
    let word = |position: [f64; 2], text: &str| {
        let (_, y) = plane.at(position);
        let lift = if y - LIFT < plane.near_corner().1 + 12.0 { -LIFT - 8.0 } else { LIFT };
        Word { position, text: text.into(), lift, when: When::default() }
    };
    vec![word(found.best.position, "best"), word(found.now.position, "now")]
}

/// The layers as the script needs them.
pub fn data(found: &DriverPlaces, scene: &Scene) -> Value {
    let layers = layers(found);
    Painted {
        borders: borders(found, &plane(found, scene)),
        shading: shading(&layers),
        unit: "dB",
        factor: refinement(found),
        size: (found.x.len(), found.y.len()),
        clipped: false,
        reference: "the best",
        blank: "another driver is there",
        bands: layers.iter().map(|layer| painted::band(layer.values.view(), layer.least)).collect(),
    }
    .json()
}
