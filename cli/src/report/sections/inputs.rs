//! What was computed: the scene in workshop units, and the case file.

use crate::case::{filter_words, words};
use crate::report::{ReportInput, figure, format};
use maud::{Markup, html};
use panelwright_mesh::Outline;
use panelwright_solver::scene::{Channel, Exciter, Mount, Panel, Scene, Wiring};

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let scene = input.scene;
    let body = html! {
        div.columns { (panel(&scene.panel, &input.lay_up)) (surroundings(scene)) }
        (fixed(scene))
        (exciters(&scene.exciters, &scene.panel))
        (channels(scene))
        details.case { summary { "The case file, word for word" } pre { code { (input.case_text) } } }
    };
    figure::section("inputs", "What was put in", &[], &[], body)
}

fn facts(title: &str, entries: &[(&str, String)]) -> Markup {
    html! {
        div { h3 { (title) }
            dl.facts { @for (name, value) in entries { div { dt { (name) } dd { (value) } } } }
        }
    }
}

fn panel(panel: &Panel, lay_up: &[String]) -> Markup {
    let s = &panel.section;
    let stiffness = [s.d11, s.d12, s.d22, s.d66].map(|d| format::significant(d, 3)).join(", ");
    let shear = match s.shear {
        Some(shear) => format!("{} kN/m", shear.map(|s| format::significant(s * 1e-3, 3)).join(", ")),
        None => "not known".into(),
    };
    let mut entries = vec![
        ("Size", size(&panel.outline)),
        ("Thickness", format::millimetres_fine(s.thickness, 3)),
        ("Mass per area", format!("{} g/m²", format::fixed(s.surface_mass * 1e3, 0))),
        ("Bending stiffness D11, D12, D22, D66", format!("{stiffness} N·m")),
        ("Shear stiffness S1, S2", shear),
        (
            "Loss factor in bending, in shear (1 kHz)",
            [&s.bending_loss, &s.shear_loss].map(|loss| format::significant(loss.at(1000.0), 2)).join(", "),
        ),
        ("Edges", words::edges(panel)),
        ("Back", words::back(panel.back)),
    ];
    if !lay_up.is_empty() {
        entries.insert(1, ("Layers, front to back", lay_up.join("; ")));
    }
    facts("Panel", &entries)
}

/// Kind and extent of the outline; of all but a plain rectangle the area, its cut-outs taken off.
fn size(outline: &Outline) -> String {
    let (width, height) = outline.bounding_box();
    let extent = format!("{} × {}", format::fixed(width * 1e3, 0), format::millimetres(height));
    format!("{}{extent}{}", words::shape(outline), words::holes(outline))
}

fn fixed(scene: &Scene) -> Markup {
    let fixed = words::attachments(&scene.attachments);
    html! {
        @if !fixed.is_empty() {
            h3 { "Fixed to the panel" }
            ul { @for fact in &fixed { li { (fact.subject) " " (fact.text) } } }
        }
    }
}

fn surroundings(scene: &Scene) -> Markup {
    let (air, map, arc) = (&scene.air, &scene.receivers.map, &scene.receivers.arc);
    let range = match (scene.frequencies.first(), scene.frequencies.last()) {
        (Some(&low), Some(&high)) => {
            format!("{} to {}, {} of them", format::hertz(low), format::hertz(high), scene.frequencies.len())
        }
        _ => "none".into(),
    };
    facts(
        "Air and receivers",
        &[
            (
                "Air",
                format!(
                    "{} °C, {} % humidity, {} hPa",
                    format::fixed(air.temperature - 273.15, 1),
                    format::fixed(air.humidity * 100.0, 0),
                    format::fixed(air.static_pressure / 100.0, 0)
                ),
            ),
            (
                "Density, speed of sound",
                format!(
                    "{} kg/m³, {} m/s",
                    format::significant(air.density, 4),
                    format::fixed(air.sound_speed, 1)
                ),
            ),
            (
                "Map plane",
                format!(
                    "{} in front, {} beyond every edge, positions every {}",
                    format::millimetres(map.distance),
                    format::millimetres(map.margin),
                    format::millimetres(map.spacing)
                ),
            ),
            (
                "Polar arc",
                format!(
                    "levels at {}, every {}°",
                    format::quantity(arc.distance, "m"),
                    format::significant(arc.step.to_degrees(), 2)
                ),
            ),
            ("Frequencies", range),
        ],
    )
}

fn exciters(exciters: &[Exciter], panel: &Panel) -> Markup {
    let (width, _) = panel.outline.bounding_box();
    html! {
        h3 { "Exciters" }
        div.wide { table {
            thead { tr { th { "Name" } th { "x, y" } th { "x from behind" } th { "Coil" } th { "Bl" } th { "Moving mass" } th { "Foot" } th { "Suspension" } th { "Magnet" } th { "Rated" } } }
            tbody { @for e in exciters { tr {
                th scope="row" { (e.name) @if e.reversed { " (leads swapped)" } }
                td { (format::fixed(e.position[0] * 1e3, 0)) ", " (format::millimetres(e.position[1])) }
                td { (format::millimetres(width - e.position[0])) }
                td { (format::quantity(e.coil_resistance, "Ω")) ", " (format::quantity(e.coil_inductance * 1e3, "mH")) }
                td { (format::quantity(e.force_factor, "N/A")) }
                td { (format::mass(e.moving_mass)) }
                td { "⌀ " (format::millimetres_fine(e.foot_diameter, 3)) }
                td { (format::quantity(e.suspension_stiffness * 1e-3, "N/mm")) ", η " (format::significant(e.suspension_loss_factor, 2)) }
                td { (format::mass(e.magnet_mass)) ", " (mount(e.mount)) }
                td { (rated(e)) }
            } } }
        } }
        p.definition { "“x from behind” is measured from the left edge as a builder sees the panel’s back when gluing." }
    }
}

fn mount(mount: Mount) -> &'static str {
    match mount {
        Mount::Floating => "floating",
        Mount::Braced => "braced",
    }
}

fn rated(exciter: &Exciter) -> String {
    let power = exciter.rated_power.map(|p| format::quantity(p, "W"));
    let excursion = exciter.rated_excursion.map(|x| format!("±{}", format::millimetres_fine(x, 2)));
    let stated: Vec<String> = power.into_iter().chain(excursion).collect();
    if stated.is_empty() { "not stated".into() } else { stated.join(", ") }
}

fn channels(scene: &Scene) -> Markup {
    html! {
        h3 { "Amplifier channels" }
        div.wide { table {
            thead { tr { th { "Name" } th { "Voltage" } th { "Gain" } th { "Delay" } th { "Filters" } th { "Source resistance" } th { "Drives" } } }
            tbody { @for c in &scene.channels { tr {
                th scope="row" { (c.name) }
                td { (format::quantity(c.voltage, "V")) }
                td { (format::significant(c.gain, 3)) }
                td { (format::quantity(c.delay * 1e3, "ms")) }
                td { (filter_words::of_channel(c)) }
                td { (format::quantity(c.source_resistance, "Ω")) }
                td { (drives(c, &scene.exciters)) }
            } } }
        } }
    }
}

fn drives(channel: &Channel, exciters: &[Exciter]) -> String {
    let names: Vec<&str> =
        channel.exciters.iter().filter_map(|&i| exciters.get(i)).map(|e| e.name.as_str()).collect();
    match (names.len(), channel.wiring) {
        (0 | 1, _) => names.concat(),
        (_, Wiring::Series) => format!("{} in series", names.join(" + ")),
        (_, Wiring::Parallel) => format!("{} in parallel", names.join(" + ")),
    }
}
