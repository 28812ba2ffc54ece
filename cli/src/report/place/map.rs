//! The panel as a grid of places, and the marks on it.

use super::PlaceInput;
use crate::report::chart::clip;
use crate::report::chart::heat::{self, Shading};
use crate::report::chart::painted::{self, Painted};
use crate::report::chart::plane::Plane;
use maud::{Markup, html};
use ndarray::Array2;
use panelwright_solver::place::{Arrangement, ExciterPlaces};
use panelwright_solver::scene::Scene;
use serde_json::Value;

/// Colours reach to the cost that so many places in ten do not exceed, at least and at most [dB].
const COLOURED: f64 = 0.9;
const RANGE: (f64, f64) = (2.0, 12.0);

/// Middle of a mark in a legend.
pub const SAMPLE: [f64; 2] = [17.0, 8.0];

/// What the marks of a map mean: the best place, where what is placed is `now`, and `more`.
pub fn legend(now: &str, more: Markup) -> Markup {
    html! {
        ul.legend.marks {
            li { svg.sample viewBox="0 0 34 16" aria-hidden="true" { (Plane::star_at(SAMPLE)) } "the best" }
            li { svg.sample viewBox="0 0 34 16" aria-hidden="true" { circle.exciter cx="17" cy="8" r="6" {} path.exciter d="M14 8h6m-3-3v6" {} } (now) }
            (more)
        }
    }
}

/// Values of all places on the grid; not a number where there is none.
pub fn gridded(found: &ExciterPlaces, values: impl Fn(usize) -> f64) -> Array2<f64> {
    let mut grid = Array2::from_elem((found.x.len(), found.y.len()), f64::NAN);
    for (index, place) in found.places.iter().enumerate() {
        grid[place.cell] = values(index);
    }
    grid
}

/// A map that can be chosen, its values in decibels above the best.
pub struct Layer {
    /// What is moved.
    pub label: String,
    /// The values.
    pub values: Array2<f64>,
}

/// The costs: each exciter beside the others, and one alone.
pub fn layers(found: &ExciterPlaces) -> Vec<Layer> {
    let beside = found.exciters.iter().zip(&found.partners).map(|(name, costs)| Layer {
        label: if found.exciters.len() == 2 {
            format!("{name}, the other at its best place")
        } else {
            format!("{name}, the others at their best places")
        },
        values: above_least(gridded(found, |place| costs[place])),
    });
    let alone = Layer {
        label: "one exciter alone".into(),
        values: above_least(gridded(found, |place| found.places[place].cost)),
    };
    beside.chain([alone]).collect()
}

fn above_least(values: Array2<f64>) -> Array2<f64> {
    let least = values.iter().copied().fold(f64::INFINITY, f64::min);
    values.mapv_into(|value| value - least)
}

/// Light is good: colours from the best on, as far as all layers need.
pub fn shading(layers: &[Layer]) -> Shading {
    let reach = |layer: &Layer| {
        let mut values: Vec<f64> = layer.values.iter().copied().filter(|value| value.is_finite()).collect();
        values.sort_by(f64::total_cmp);
        values.get((COLOURED * values.len() as f64) as usize).copied().unwrap_or(RANGE.0)
    };
    let most = layers.iter().map(reach).fold(RANGE.0, f64::max).ceil().min(RANGE.1);
    heat::quiet_to_loud(most, 0.0)
}

/// The plane of the whole panel.
pub fn plane(scene: &Scene) -> Plane {
    let (width, height) = scene.panel.outline.bounding_box();
    Plane::new((0.0, width), (0.0, height))
}

fn refinement(found: &ExciterPlaces) -> usize {
    heat::refinement(found.x.len().max(found.y.len()))
}

/// Borders of the drawn cells in user units.
pub fn borders(found: &ExciterPlaces, plane: &Plane) -> (Vec<f64>, Vec<f64>) {
    let fine = |nodes: &[f64]| heat::refined_nodes(nodes, refinement(found));
    heat::plane_borders(plane, &fine(&found.x), &fine(&found.y))
}

/// The coloured cells of `values`.
pub fn cells(found: &ExciterPlaces, plane: &Plane, values: &Array2<f64>, shading: &Shading) -> Markup {
    let (x, y) = borders(found, plane);
    heat::cells(&x, &y, heat::refined(values.view(), refinement(found)).view(), shading)
}

/// What is on the panel besides: rim and parts.
pub fn fixed(plane: &Plane, scene: &Scene) -> Markup {
    let attached = &scene.attachments;
    html! {
        (plane.outline(&scene.panel.outline))
        @for p in &attached.patches { (plane.patch(p.corner, p.size)) }
        @for b in &attached.bars { (plane.bar(b.ends)) }
    }
}

/// Where the exciters are, and stars where they should be.
pub fn marks(plane: &Plane, found: &ExciterPlaces) -> Markup {
    html! {
        @for &position in &found.now.positions { (plane.ring(position, found.foot)) }
        @for &position in &found.best.positions { (plane.star(position)) }
    }
}

/// Diamonds at the places of the rules of thumb.
pub fn diamonds(plane: &Plane, found: &ExciterPlaces) -> Markup {
    let images = found.rules.iter().flat_map(|rule| &rule.images);
    let places = images.flat_map(|Arrangement { positions, .. }| positions);
    html! { @for &position in places { (plane.diamond(position)) } }
}

/// The layers as the script needs them.
pub fn data(input: &PlaceInput) -> Value {
    let found = &input.findings.exciters;
    let layers = layers(found);
    Painted {
        borders: borders(found, &plane(&input.case.scene)),
        shading: shading(&layers),
        unit: "dB of cost",
        factor: refinement(found),
        size: (found.x.len(), found.y.len()),
        clipped: !clip::is_rectangle(&input.case.scene.panel.outline),
        reference: "the best",
        blank: "no foot fits here",
        bands: layers.iter().map(|layer| painted::band(layer.values.view(), 0.0)).collect(),
    }
    .json()
}
