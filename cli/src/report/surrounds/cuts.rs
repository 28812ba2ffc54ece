//! Sound around and on the bodies at single frequencies.

use super::{SurroundInput, bodies};
use crate::report::chart::colour;
use crate::report::chart::cut::Cut;
use crate::report::chart::heat::{self, Shading};
use crate::report::chart::painted::{self, Painted};
use crate::report::chart::polar::Opening;
use crate::report::chart::scale::extent;
use crate::report::chart::solid::rim;
use crate::report::choice::Choice;
use crate::report::figure::{self, Figure};
use crate::report::format;
use maud::{Markup, html};
use ndarray::Array2;
use panelwright_solver::listening::spl;
use panelwright_solver::scene::Behind;
use panelwright_solver::surrounds::{CutPlane, VariantSound};
use serde_json::Value;

/// Colours reach so far below the loudest place [dB].
pub const SPAN: f64 = 40.0;
/// Frequency shown at the start, or the next lower one [Hz].
const FIRST: f64 = 4200.0;
const OPENINGS: [Opening; 2] = [Opening::Down, Opening::Right];

/// The section.
pub fn section(input: &SurroundInput) -> Markup {
    let body = match frequencies(input).is_empty() {
        true => html! { p { "No octave from 1 kHz on lies in the computed range." } },
        false => html! {
            h3 { "In the two planes through the axis" }
            (frequency_choice(input).controls("cuts"))
            (plane_choice().controls("cuts"))
            (legend(input, loudest))
            div.cuts { @for (number, variant) in input.comparison.variants.iter().enumerate() { (both_planes(input, number, variant)) } }
            p.definition {
                "Level of a sine at " (format::quantity(input.findings.voltage, "V")) ", one scale for all. Grey: the bodies, and what lies behind an endless plane. "
                "Horizontal: from above, the listener below. Vertical: from the listener’s left, the listener on the right."
            }
            h3 { "On the bodies" }
            (frequency_choice(input).controls("bodies"))
            (legend(input, bodies::loudest))
            (bodies::on_bodies(input))
        },
    };
    figure::section("pictures", "Pictures of the sound", &input.findings.warnings, &[], body)
}

/// Cells of every plane and frequency as the script needs them.
pub fn data(input: &SurroundInput) -> Vec<(String, Value)> {
    let of_variant =
        |(number, variant)| [0, 1].map(|plane| (key(number, plane), plane_data(input, variant, plane)));
    input.comparison.variants.iter().enumerate().flat_map(of_variant).collect()
}

fn frequencies(input: &SurroundInput) -> Vec<f64> {
    let first = input.comparison.variants.first();
    first.map_or_else(Vec::new, |variant| variant.pictures.iter().map(|picture| picture.frequency).collect())
}

/// The pictured frequencies.
pub fn frequency_choice(input: &SurroundInput) -> Choice {
    let frequencies = frequencies(input);
    let first = frequencies.iter().rposition(|f| *f <= FIRST).unwrap_or(0);
    Choice::one("picture", "Frequency", frequencies.iter().map(|f| format::hertz(*f)).collect(), first)
}

fn plane_choice() -> Choice {
    Choice::one("plane", "Plane", vec!["horizontal".into(), "vertical".into()], 0)
}

fn key(number: usize, plane: usize) -> String {
    format!("cut-{number}-{plane}")
}

fn shading() -> Shading {
    Shading { low: -SPAN, high: 0.0, colours: colour::sequential }
}

/// Colour bar, and the level of its end for every frequency.
fn legend(input: &SurroundInput, loudest: fn(&SurroundInput, usize) -> f64) -> Markup {
    let choice = frequency_choice(input);
    html! {
        div.scale {
            span { "−" (format::fixed(SPAN, 0)) }
            svg viewBox="0 0 64 4" preserveAspectRatio="none" aria-hidden="true" {
                @for (i, fill) in shading().ramp().iter().enumerate() { rect x=(i) width="1.1" height="4" fill=(fill) {} }
            }
            span { "0 dB re loudest" @for (index, frequency) in frequencies(input).into_iter().enumerate() {
                @let when = choice.when(index);
                span class=(when.class()) data-when=[when.attribute()] { " at " (format::hertz(frequency)) ", " (format::decibels(loudest(input, index))) " re 20 µPa" }
            } }
        }
    }
}

fn both_planes(input: &SurroundInput, number: usize, variant: &VariantSound) -> Markup {
    let choice = plane_choice();
    html! {
        @for plane in [0, 1] {
            @let when = choice.when(plane);
            div class=(when.class()) data-when=[when.attribute()] { (picture(input, number, variant, plane)) }
        }
    }
}

fn picture(input: &SurroundInput, number: usize, variant: &VariantSound, plane: usize) -> Markup {
    let first = frequency_choice(input).first();
    let Some(shown) = variant.pictures.get(first) else { return html! {} };
    let cut = cut(&shown.planes[plane], plane);
    let relative = levels(&shown.planes[plane]) - loudest(input, first);
    // What is hidden at the start is only ever seen with the script, which paints it.
    let cells = if plane == 0 {
        cut.cells(cut.turned(relative.view()).view(), &shading())
    } else {
        html! {}
    };
    Figure {
        title: variant.name.clone(),
        controls: html! {},
        legend: html! {},
        drawing: cut.draw(&format!("Level around {}", variant.name), &cells, &solid(input, variant, plane)),
        caption: html! {},
        map: Some((key(number, plane), "picture")),
    }
    .render()
}

fn cut(plane: &CutPlane, number: usize) -> Cut {
    Cut::new(OPENINGS[number], &plane.across, &plane.along)
}

/// Where there is no air: the body, and what lies behind an endless plane.
fn solid(input: &SurroundInput, variant: &VariantSound, plane: usize) -> Vec<Vec<(f64, f64)>> {
    let mut solid = rim(&variant.shape, plane);
    if input.case.scene.behind == Behind::Plane
        && let Some(CutPlane { across, along, .. }) =
            variant.pictures.first().map(|shown| &shown.planes[plane])
        && let (&[left, .., right], &[behind, ..]) = (&across[..], &along[..])
    {
        solid.push(vec![(left, behind), (right, behind), (right, 0.0), (left, 0.0)]);
    }
    solid
}

/// Levels [dB re 20 µPa], (across, along), a cell further than there is air: the solid is drawn over it.
fn levels(plane: &CutPlane) -> Array2<f64> {
    heat::grown(plane.pressure.mapv(spl).view())
}

/// Highest level [dB re 20 µPa] of all surrounds in both planes at a frequency.
fn loudest(input: &SurroundInput, index: usize) -> f64 {
    let pictures = input.comparison.variants.iter().filter_map(|variant| variant.pictures.get(index));
    let planes = pictures.flat_map(|picture| &picture.planes);
    extent(planes.flat_map(|plane| plane.pressure.iter().map(|p| spl(*p)))).map_or(0.0, |(_, high)| high)
}

fn plane_data(input: &SurroundInput, variant: &VariantSound, plane: usize) -> Value {
    let Some(first) = variant.pictures.first() else { return Value::Null };
    let drawn = cut(&first.planes[plane], plane);
    // The planes of one surround reach equally far at all frequencies but for the mesh's rounding of its rim.
    let bands: Vec<Value> = (variant.pictures.iter().enumerate())
        .map(|(index, picture)| {
            let turned = drawn.turned(levels(&picture.planes[plane]).view());
            painted::band(turned.view(), loudest(input, index))
        })
        .collect();
    Painted {
        borders: drawn.borders().into(),
        shading: shading(),
        unit: "dB re 20 µPa",
        factor: drawn.factor(),
        size: drawn.turned(levels(&first.planes[plane]).view()).dim(),
        clipped: false,
        reference: "loudest",
        blank: "no air here",
        bands,
    }
    .json()
}
