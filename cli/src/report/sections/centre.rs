//! Where the sound seems to come from, over frequency.

use crate::report::chart::colour;
use crate::report::chart::curves::{self, Curve, Mark, Plot, over_frequency};
use crate::report::chart::plane::{Plane, Word, view_choice};
use crate::report::chart::scale::{Scale, extent};
use crate::report::chart::{WIDTH, path, place};
use crate::report::choice::When;
use crate::report::figure::{self, Figure};
use crate::report::{ReportInput, format};
use maud::{Markup, html};
use panelwright_solver::listening::{AcousticCentre, Findings};
use panelwright_solver::scene::Scene;

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let body = html! {
        @if input.findings.centres.is_empty() { p { "No bands in the computed range." } } @else {
            (on_the_panel(input))
            (over_bands(input.findings))
            (table(input.findings))
        }
    };
    figure::section("centre", "Acoustic centre", &input.findings.warnings, &["centre"], body)
}

fn on_the_panel(input: &ReportInput) -> Markup {
    let (scene, centres) = (input.scene, &input.findings.centres);
    let plane = plane(scene, centres);
    let shapes = html! {
        (plane.outline(&scene.panel.outline))
        @for exciter in &scene.exciters { (plane.ring(exciter.position, exciter.foot_diameter)) }
        @for (i, centre) in centres.iter().enumerate() { (symbols(&plane, centre, &band_colour(i, centres.len()))) }
    };
    let names: Vec<Word> = scene
        .exciters
        .iter()
        .map(|e| Word { position: e.position, text: e.name.clone(), lift: 22.0, when: When::default() })
        .collect();
    Figure {
        title: "On the panel, colour by frequency".into(),
        controls: view_choice().controls("centre"),
        legend: symbol_legend(),
        drawing: plane.draw("Acoustic centres on the panel’s outline", "centres", &shapes, &names, &key(&plane, centres)),
        caption: html! {
            "Discs: centroid of the outgoing active intensity over the panel’s plane. Diamonds: centre of the spherical wave fronts that fit the "
            "pressure over the listening arcs best, drawn fainter the worse they fit. Thin crosses: one standard deviation."
        },
        map: None,
    }
    .render()
}

/// The panel with room for centres outside it.
fn plane(scene: &Scene, centres: &[AcousticCentre]) -> Plane {
    let (width, height) = scene.panel.outline.bounding_box();
    let along = |axis: usize, size: f64| {
        let fronts = centres.iter().filter_map(|c| c.wave_front).map(|w| w.position[axis]);
        let all = centres.iter().map(|c| c.intensity.position[axis]).chain(fronts);
        let (low, high) = extent(all.chain([0.0, size])).unwrap_or((0.0, size));
        (low.max(-size) - 0.06 * size, high.min(2.0 * size) + 0.06 * size)
    };
    Plane::new(along(0, width), along(1, height))
}

fn band_colour(index: usize, count: usize) -> String {
    colour::sequential(0.05 + 0.8 * index as f64 / (count.max(2) - 1) as f64).hex()
}

fn symbols(plane: &Plane, centre: &AcousticCentre, fill: &str) -> Markup {
    let band = format::band(centre.band.nominal);
    let i = &centre.intensity;
    html! {
        @if let Some(w) = centre.wave_front {
            @let (x, y) = plane.at([w.position[0], w.position[1]]);
            g.front opacity=(format!("{:.2}", 0.25 + 0.75 * w.fit.clamp(0.0, 1.0))) data-note={ (band) ": wave fronts from " (at([w.position[0], w.position[1]])) ", fit " (format::fixed(w.fit * 100.0, 0)) " %" } {
                (spread(plane, [w.position[0], w.position[1]], [w.spread[0], w.spread[1]], fill))
                path fill=(fill) d={ "M" (place(x)) " " (place(y - 7.0)) "l7 7-7 7-7-7Z" } {}
            }
        }
        @let (x, y) = plane.at(i.position);
        g.intensity data-note={ (band) ": intensity from " (at(i.position)) " ± " (at(i.spread)) } {
            (spread(plane, i.position, i.spread, fill))
            circle fill=(fill) cx=(place(x)) cy=(place(y)) r="6" {}
        }
    }
}

fn at([x, y]: [f64; 2]) -> String {
    format!("{}, {}", format::fixed(x * 1e3, 0), format::millimetres(y))
}

fn spread(plane: &Plane, [x, y]: [f64; 2], [sx, sy]: [f64; 2], stroke: &str) -> Markup {
    let across = path([plane.at([x - sx, y]), plane.at([x + sx, y])]);
    let along = path([plane.at([x, y - sy]), plane.at([x, y + sy])]);
    html! { path.spread stroke=(stroke) d={ (across) (along) } {} }
}

fn key(plane: &Plane, centres: &[AcousticCentre]) -> Markup {
    let (right, bottom) = plane.far_corner();
    let (x, top) = (right + 26.0, 40.0);
    let height = (bottom - top).min(320.0);
    let count = centres.len();
    let step = height / count as f64;
    html! {
        g.colour-bar {
            text.axis-title.at-right x=(place(WIDTH)) y="26" { "Band, Hz" }
            @for (i, centre) in centres.iter().enumerate() {
                @let y = top + height - (i + 1) as f64 * step;
                rect x=(place(x)) width="16" y=(format!("{y:.2}")) height=(format!("{:.2}", step + 0.3)) fill=(band_colour(i, count)) {}
                @if i % 3 == 0 { text.tick.at-start x=(place(x + 22.0)) y=(place(y + 0.5 * step)) { (format::band_label(centre.band.nominal)) } }
            }
        }
    }
}

fn symbol_legend() -> Markup {
    html! {
        ul.legend {
            li { svg.sample viewBox="0 0 34 16" aria-hidden="true" { circle cx="17" cy="8" r="6" fill="currentColor" {} } "intensity" }
            li { svg.sample viewBox="0 0 34 16" aria-hidden="true" { path d="M17 1l7 7-7 7-7-7Z" fill="currentColor" {} } "wave fronts" }
        }
    }
}

fn over_bands(findings: &Findings) -> Markup {
    let centres = &findings.centres;
    let frequencies: Vec<f64> = centres.iter().map(|c| c.band.centre).collect();
    let plots =
        [plot(centres, 0, "x, mm from the listener’s left"), plot(centres, 1, "y, mm from the lower edge")];
    Figure {
        title: "Over frequency".into(),
        controls: html! {},
        legend: curves::legend(&[(0, "intensity".into()), (1, "wave fronts".into())]),
        drawing: over_frequency("Coordinates of the acoustic centre over frequency", &frequencies, &plots),
        caption: html! { "Lines: the two centres. Shaded: one standard deviation to either side." },
        map: None,
    }
    .render()
}

fn plot(centres: &[AcousticCentre], axis: usize, title: &str) -> Plot<'static> {
    let millimetres =
        |f: &dyn Fn(&AcousticCentre) -> f64| centres.iter().map(|c| f(c) * 1e3).collect::<Vec<f64>>();
    let intensity =
        |side: f64| millimetres(&|c| c.intensity.position[axis] + side * c.intensity.spread[axis]);
    let fronts = |side: f64| {
        millimetres(&|c| c.wave_front.map_or(f64::NAN, |w| w.position[axis] + side * w.spread[axis]))
    };
    let edges: Vec<f64> = [intensity(-1.0), intensity(1.0), fronts(-1.0), fronts(1.0)].concat();
    let (low, high) = extent(edges).unwrap_or((0.0, 1.0));
    let area = |low: Vec<f64>, high: Vec<f64>, colour: usize| Mark::Area {
        low: low.into(),
        high: high.into(),
        colour,
        when: When::default(),
    };
    let curve = |label: &str, values: Vec<f64>, colour: usize| Curve {
        label: format!("{} {label}", ["x", "y"][axis]),
        values: values.into(),
        unit: "mm",
        colour,
        thin: false,
        when: When::default(),
    };
    Plot {
        title: title.into(),
        scale: Scale::linear(low, high),
        height: 170.0,
        curves: vec![curve("intensity", intensity(0.0), 0), curve("wave fronts", fronts(0.0), 1)],
        marks: vec![area(fronts(-1.0), fronts(1.0), 1), area(intensity(-1.0), intensity(1.0), 0)],
    }
}

fn table(findings: &Findings) -> Markup {
    html! {
        details {
            summary { "Centres band by band, mm" }
            div.wide { table.numbers {
                thead { tr { th { "Band" } th { "Intensity x, y" } th { "Spread x, y" } th { "Wave fronts x, y, z" } th { "Spread x, y, z" } th { "Fit" } } }
                tbody { @for c in &findings.centres { tr {
                    th scope="row" { (format::band(c.band.nominal)) }
                    td { (list(&c.intensity.position)) }
                    td { (list(&c.intensity.spread)) }
                    @if let Some(w) = c.wave_front {
                        td { (list(&w.position)) } td { (list(&w.spread)) } td { (format::fixed(w.fit * 100.0, 0)) " %" }
                    } @else { td { "–" } td { "–" } td { "–" } }
                } } }
            } }
        }
    }
}

fn list(values: &[f64]) -> String {
    values.iter().map(|v| format::fixed(v * 1e3, 0)).collect::<Vec<_>>().join(", ")
}
