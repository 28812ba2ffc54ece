//! The map of all places, and where the exciters go.

use super::PlaceInput;
use super::map::{self, Layer};
use crate::place_results::exciter_lines;
use crate::report::chart::heat;
use crate::report::chart::plane::{Plane, Word, view_choice};
use crate::report::choice::{Choice, When};
use crate::report::figure::{self, Figure};
use crate::report::format;
use maud::{Markup, html};
use panelwright_solver::place::ExciterPlaces;

/// Key of the map's data.
pub const MAP: &str = "cost";
/// The choice of what is moved.
const GROUP: &str = "moved";

/// The section.
pub fn section(input: &PlaceInput) -> Markup {
    let found = &input.findings.exciters;
    let body = html! {
        (hero(input))
        (table(input))
        h3 { "Lines for the case file" }
        pre { code { (exciter_lines(found)) } }
    };
    figure::section("places", "Where to glue", &found.warnings, &["places"], body)
}

fn hero(input: &PlaceInput) -> Markup {
    let (found, scene) = (&input.findings.exciters, &input.case.scene);
    let layers = map::layers(found);
    let choice = Choice::one("moved", "Move", layers.iter().map(|layer| layer.label.clone()).collect(), 0);
    let (plane, shading) = (map::plane(scene), map::shading(&layers));
    let first: &Layer = &layers[choice.first()];
    let shapes = html! {
        g.cells { (map::cells(found, &plane, &first.values, &shading)) }
        (map::fixed(&plane, scene))
        (map::diamonds(&plane, found))
        (map::marks(&plane, found))
    };
    let side = heat::bar(&plane, &shading, -(shading.low / 6.0).ceil(), "dB above the best");
    Figure {
        title: "What every place costs".into(),
        controls: html! { (choice.controls(MAP)) (view_choice().controls(MAP)) },
        legend: legend(),
        drawing: plane.draw("Cost of every place, heat map", "map", &shapes, &words(found, &plane), &side),
        caption: html! {
            "Light: good places. The cost weighs evenness at the seats, low end, level, modes, dips and robustness against each other, in decibels of evenness; it counts from the best place "
            "found. Blank: no foot fits there, or it may not. "
            @if found.exciters.len() > 1 { "Beside the others the map leaves the robustness out. " }
            "The verdict above is by whole predictions."
        },
        map: Some((MAP.into(), GROUP)),
    }
    .render()
}

/// What the marks mean.
fn legend() -> Markup {
    let rules = html! {
        li { svg.sample viewBox="0 0 34 16" aria-hidden="true" { (Plane::diamond_at(map::SAMPLE)) } "rules of thumb" }
    };
    map::legend("where they are", rules)
}

fn words(found: &ExciterPlaces, plane: &Plane) -> Vec<Word> {
    let named = |positions: &[[f64; 2]], lift: f64, what: &str| -> Vec<Word> {
        let word = |(name, &position): (&String, &[f64; 2])| {
            let (_, y) = plane.at(position);
            // Near the upper edge there is more room below.
            let lift = if y - lift < plane.near_corner().1 + 12.0 { -lift - 10.0 } else { lift };
            Word { position, text: format!("{name}{what}"), lift, when: When::default() }
        };
        found.exciters.iter().zip(positions).map(word).collect()
    };
    let mut words = named(&found.now.positions, 20.0, " now");
    words.extend(named(&found.best.positions, 15.0, ""));
    words
}

/// From where to where, for the bench.
fn table(input: &PlaceInput) -> Markup {
    let found = &input.findings.exciters;
    let (width, height) = input.case.scene.panel.outline.bounding_box();
    let mm = |length: f64| format::fixed(1e3 * length, 0);
    let share =
        |part: f64, whole: f64| format!("{}{}%", format::fixed(100.0 * part / whole, 0), format::NBSP);
    let moves = found.exciters.iter().zip(found.now.positions.iter().zip(&found.best.positions));
    html! {
        div.wide { table.numbers {
            caption { "From where to where, mm" }
            thead { tr {
                th { "Exciter" } th { "Now, from the left" } th { "from below" } th { "Best, from the left" } th { "from behind" } th { "from below" } th { "Width, height" }
            } }
            tbody { @for (name, (now, best)) in moves { tr {
                th scope="row" { (name) }
                td { (mm(now[0])) } td { (mm(now[1])) }
                td { strong { (mm(best[0])) } } td { (mm(width - best[0])) } td { strong { (mm(best[1])) } }
                td { (share(best[0], width)) ", " (share(best[1], height)) }
            } } }
        } }
        p.definition { "“From behind” counts from the left edge as seen from the panel’s back, where exciters are glued." }
    }
}
