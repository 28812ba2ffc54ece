//! The cut sheet: where everything is fixed to the panel, seen from the front and from behind.

use crate::report::chart::plane::{Plane, Word, view_choice};
use crate::report::choice::When;
use crate::report::figure::{self, Figure};
use crate::report::{ReportInput, format};
use maud::{Markup, html};
use panelwright_mesh::{Contour, Outline};
use panelwright_solver::scene::Scene;

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let places = places(input.scene);
    let body = html! { (sketch(input.scene, &places)) (table(input.scene, &places)) };
    figure::section("fixing", "What goes where", &input.findings.warnings, &["fixing"], body)
}

/// Something fixed to the panel.
struct Fixed {
    name: String,
    kind: &'static str,
    /// Where it is measured to [m]; the second end of a bar.
    position: [f64; 2],
    end: Option<[f64; 2]>,
    size: String,
}

fn places(scene: &Scene) -> Vec<Fixed> {
    let attached = &scene.attachments;
    let point =
        |name: &str, kind, position, size| Fixed { name: name.into(), kind, position, end: None, size };
    let exciters = scene.exciters.iter().map(|e| {
        point(&e.name, "exciter", e.position, format!("foot {}", format::millimetres(e.foot_diameter)))
    });
    let masses = (attached.masses.iter()).map(|m| point(&m.name, "mass", m.position, format::mass(m.mass)));
    let hangs = attached
        .hangs
        .iter()
        .map(|h| point(&h.name, "hang", h.position, format::quantity(h.stiffness * 1e-3, "N/mm")));
    let patches = attached.patches.iter().map(|p| {
        let middle = [0, 1].map(|i| p.corner[i] + 0.5 * p.size[i]);
        let [wide, high] = p.size.map(|side| format::fixed(side * 1e3, 0));
        point(&p.name, "patch, its middle", middle, format!("{wide} × {high}{}mm", format::NBSP))
    });
    let bars = attached.bars.iter().map(|b| {
        let length = (b.ends[1][0] - b.ends[0][0]).hypot(b.ends[1][1] - b.ends[0][1]);
        let size = format!("{} long", format::millimetres(length));
        Fixed { end: Some(b.ends[1]), ..point(&b.name, "bar, its ends", b.ends[0], size) }
    });
    exciters
        .chain(masses)
        .chain(hangs)
        .chain(patches)
        .chain(bars)
        .chain(cutouts(&scene.panel.outline))
        .collect()
}

fn cutouts(outline: &Outline) -> Vec<Fixed> {
    let curves = outline.curves();
    let cutout = |(number, curve): (usize, &Contour)| {
        let (low, high) = curve.bounds();
        Fixed {
            name: format!("cut-out {number}"),
            kind: "hole, its middle",
            position: [0, 1].map(|i| 0.5 * (low[i] + high[i])),
            end: None,
            size: format!(
                "{} × {} over all",
                format::fixed((high[0] - low[0]) * 1e3, 0),
                format::millimetres(high[1] - low[1])
            ),
        }
    };
    curves.iter().enumerate().skip(1).map(cutout).collect()
}

fn sketch(scene: &Scene, places: &[Fixed]) -> Markup {
    let (width, height) = scene.panel.outline.bounding_box();
    let plane = Plane::new((0.0, width), (0.0, height));
    let attached = &scene.attachments;
    let shapes = html! {
        (plane.outline(&scene.panel.outline))
        @for p in &attached.patches { (plane.patch(p.corner, p.size)) }
        @for b in &attached.bars { (plane.bar(b.ends)) }
        @for e in &scene.exciters { (plane.ring(e.position, e.foot_diameter)) }
        @for m in &attached.masses { (plane.mass(m.position, m.diameter)) }
        @for h in &attached.hangs { (plane.hang(h.position)) }
    };
    let word = |fixed: &Fixed| Word {
        position: middle(fixed),
        text: fixed.name.clone(),
        lift: 16.0,
        when: When::default(),
    };
    let words: Vec<Word> = places.iter().map(word).collect();
    Figure {
        title: "The panel with all that is fixed to it".into(),
        controls: view_choice().controls("fixing"),
        legend: html! {},
        drawing: plane.draw("Panel with exciters and fixings", "centres", &shapes, &words, &html! {}),
        caption: html! {
            "To scale. Rings: exciters. Black discs: masses. Triangles: hangs, tip on the panel’s point. Shaded: patches. Thick lines: bars."
        },
        map: None,
    }
    .render()
}

fn middle(fixed: &Fixed) -> [f64; 2] {
    fixed.end.map_or(fixed.position, |end| [0, 1].map(|i| 0.5 * (fixed.position[i] + end[i])))
}

fn table(scene: &Scene, places: &[Fixed]) -> Markup {
    let (width, _) = scene.panel.outline.bounding_box();
    let across = |fixed: &Fixed, from: &dyn Fn(f64) -> f64| {
        let ends = std::iter::once(fixed.position).chain(fixed.end);
        ends.map(|[x, _]| format::fixed(from(x) * 1e3, 0)).collect::<Vec<_>>().join(" and ")
    };
    let up = |fixed: &Fixed| {
        let ends = std::iter::once(fixed.position).chain(fixed.end);
        ends.map(|[_, y]| format::fixed(y * 1e3, 0)).collect::<Vec<_>>().join(" and ")
    };
    html! {
        div.wide { table.roomy {
            caption { "Where to cut, drill and glue, mm" }
            thead { tr { th { "Part" } th { "What" } th { "From the left, seen from the front" } th { "From the left, seen from behind" } th { "From the bottom" } th { "Size" } } }
            tbody { @for fixed in places { tr {
                th scope="row" { (fixed.name) }
                td { (fixed.kind) }
                td { (across(fixed, &|x| x)) }
                td { (across(fixed, &|x| width - x)) }
                td { (up(fixed)) }
                td { (fixed.size) }
            } } }
        } }
    }
}
