//! The panel by itself: shapes of the first modes, modal density and overlap, coincidence.

use crate::report::chart::curves::{Curve, Mark, Plot, over_frequency};
use crate::report::chart::scale::Scale;
use crate::report::chart::{clip, heat};
use crate::report::choice::When;
use crate::report::figure::{self, Figure};
use crate::report::{ReportInput, format};
use maud::{Markup, html};
use ndarray::Array1;
use panelwright_mesh::Outline;
use panelwright_solver::listening::{Findings, ModeShape, PanelFindings};

/// Width of a small picture in user units.
const PICTURE: f64 = 160.0;

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let findings = input.findings;
    let body = html! { (facts(&findings.panel)) (shapes(&findings.panel, &input.scene.panel.outline)) (table(&findings.panel)) (overlap(findings)) };
    figure::section("modes", "The panel’s modes", &findings.warnings, &["modes"], body)
}

fn facts(panel: &PanelFindings) -> Markup {
    let (low, high) = panel.coincidence;
    let coincidence = match (low.is_finite(), high.is_finite()) {
        (false, _) => "none: bending waves stay slower than sound".into(),
        (true, false) => format!("from {}; in some directions none", format::hertz(low)),
        (true, true) if (high - low) < 0.01 * high => format::hertz(low),
        (true, true) => format!("{} to {}", format::hertz(low), format::hertz(high)),
    };
    html! {
        dl.facts {
            div { dt { "Natural frequencies" } dd { (panel.natural_frequencies.len()) " computed, " (panel.rigid_modes) " rigid-body modes besides" } }
            div { dt { "Modal density" } dd { "one mode every " (format::hertz(1.0 / panel.modal_density)) } }
            div { dt { "Modal overlap reaches 1" } dd { (panel.overlap_one.map_or_else(|| "not in the computed range".into(), format::hertz)) } }
            div { dt { "Coincidence frequency" } dd { (coincidence) } }
        }
    }
}

fn shapes(panel: &PanelFindings, outline: &Outline) -> Markup {
    html! {
        @if !panel.first_shapes.is_empty() {
            figure {
                h3 { "Shapes of the first modes" }
                div.multiples { @for (index, mode) in panel.first_shapes.iter().enumerate() {
                    div { (picture(mode, outline, index == 0)) p { strong { (index + 1) } " · " (format::hertz(mode.frequency)) } }
                } }
                figcaption { "Blue and rust move against each other; the pale seam between them is the nodal line, where the panel stands still. Seen from the listener." }
            }
        }
    }
}

/// Name of the outline that clips the pictures; the first one brings it along.
const EDGE: &str = "edge-of-shapes";

fn picture(mode: &ModeShape, outline: &Outline, first: bool) -> Markup {
    let factor = heat::refinement(mode.x.len() * 3 / 2);
    let fine = |nodes: &Array1<f64>| heat::borders(&heat::refined_nodes(&nodes.to_vec(), factor));
    let (x, y) = (fine(&mode.x), fine(&mode.y));
    let (Some((&left, &right)), Some((&bottom, &top))) = (x.first().zip(x.last()), y.first().zip(y.last()))
    else {
        return html! {};
    };
    let scale = PICTURE / (right - left);
    let height = (top - bottom) * scale;
    let (along_x, along_y) = (|v: f64| (v - left) * scale, |v: f64| (top - v) * scale);
    let [x, y] = [x.into_iter().map(along_x).collect(), y.into_iter().map(along_y).collect::<Vec<_>>()];
    let values = heat::refined(heat::filled(mode.shape.view()).view(), factor);
    html! {
        svg.shape viewBox={ "0 0 " (PICTURE) " " (format!("{height:.1}")) } role="img" aria-label={ "Mode at " (format::hertz(mode.frequency)) } {
            @if first { (clip::edge(EDGE, outline, 0.1 / scale, |[x, y]| (along_x(x), along_y(y)))) }
            g.cells clip-path=[clip::to(EDGE, outline)] { (heat::cells(&x, &y, values.view(), &heat::minus_to_plus())) }
        }
    }
}

/// Modes listed; all of them lie in the CSV file.
const LISTED: usize = 20;

/// The bare panel beside the assembled one.
fn table(panel: &PanelFindings) -> Markup {
    let (bare, dressed, assembled) =
        (&panel.bare_frequencies, &panel.natural_frequencies, &panel.assembled.frequencies);
    let bonded = bare != dressed;
    let cell = |values: &[f64], i: usize| values.get(i).map_or_else(String::new, |&f| format::hertz(f));
    let loss =
        |i: usize| panel.assembled.loss_factors.get(i).map_or_else(String::new, |&eta| format::fixed(eta, 3));
    html! {
        @if !assembled.is_empty() {
            div.wide { table.roomy {
                caption { "The first natural frequencies" }
                thead { tr {
                    th { "No." } th { "Bare panel" } @if bonded { th { "With patches and bars" } } th { "With everything on it" } th { "Its loss factor" }
                } }
                tbody { @for i in 0..assembled.len().min(LISTED) { tr {
                    th scope="row" { (i + 1) }
                    td { (cell(bare, i)) } @if bonded { td { (cell(dressed, i)) } } td { (cell(assembled, i)) } td { (loss(i)) }
                } } }
            } }
            p.quiet-line {
                "With everything on it: exciters, masses, hangs, patches and bars, the exciters’ leads open, no air. This is what a tap test "
                "on the finished panel finds, a little lower with the air on it. A magnet on its own suspension adds a frequency of its "
                "own, so that the rows need not be the same mode."
            }
        }
    }
}

fn overlap(findings: &Findings) -> Markup {
    let panel = &findings.panel;
    let values = &panel.modal_overlap;
    let (from, to) = panel.coincidence;
    let mut marks = vec![Mark::Limit { value: 1.0, label: "1".into(), colour: 5 }];
    let top = findings.frequencies.last().copied().unwrap_or(0.0);
    if from.is_finite() {
        marks.push(Mark::Shade { from, to: to.min(top.max(from)), label: "coincidence".into() });
    }
    if let Some(frequency) = panel.overlap_one {
        marks.push(Mark::At { frequency, label: format!("overlap 1 at {}", format::hertz(frequency)) });
    }
    let plot = Plot {
        title: "Modal overlap".into(),
        scale: Scale::log(values.iter().copied(), 6.0),
        height: 180.0,
        curves: vec![Curve {
            label: "overlap".into(),
            values: values.into(),
            unit: "",
            colour: 0,
            thin: false,
            when: When::default(),
        }],
        marks,
    };
    Figure {
        title: "Where single modes end".into(),
        controls: html! {},
        legend: html! {},
        drawing: over_frequency("Modal overlap over frequency", &findings.frequencies, &[plot]),
        caption: html! {
            "Modal density × loss factor × frequency. Below 1, single resonances stand out; above, the panel behaves evenly. "
            "Above coincidence the bending waves outrun sound in air and radiate freely, at an angle."
        },
        map: None,
    }
    .render()
}
