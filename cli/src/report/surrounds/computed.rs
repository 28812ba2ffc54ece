//! How every band was computed.

use super::SurroundInput;
use crate::report::{figure, format};
use maud::{Markup, html};
use panelwright_solver::listening::ComputedBand;

/// The section.
pub fn section(input: &SurroundInput) -> Markup {
    let findings = input.findings;
    let body = html! {
        div.wide { table.numbers {
            thead { tr {
                th { "Surround" } th { "From" } th { "To" } th { "Sides" } th { "Elements" } th { "Unknowns" } th { "Held as" } th { "Memory" } th { "Solved" }
                th { "Steps" } th { "Residual" } th { "Interpolation" }
            } }
            tbody { @for surround in &findings.surrounds {
                @for (row, band) in surround.computed.iter().enumerate() { (band_row(&surround.name, row == 0, band)) }
            } }
        } }
        p.definition {
            "Boundary elements in bands of frequencies, each with its own mesh of curved triangles. Elements and unknowns count the part that symmetry leaves. Solved: "
            "of so many frequencies, the rest interpolated; interpolation: largest error at solved frequencies that it was not fitted to, of the largest value in the band."
        }
        (modes(&input.comparison.disc_frequencies))
    };
    figure::section("computed", "How it was computed", &findings.warnings, &[], body)
}

fn band_row(name: &str, first: bool, band: &ComputedBand) -> Markup {
    html! {
        tr {
            th scope="row" { @if first { (name) } }
            td { (format::hertz(band.range[0])) }
            td { (format::hertz(band.range[1])) }
            td { (format::millimetres_fine(band.length, 2)) }
            td { (band.elements) }
            td { (band.unknowns) }
            td { (band.held) }
            td { (format::quantity(band.bytes as f64 / 1e6, "MB")) }
            td { (band.solved) " of " (band.frequencies) }
            td { (band.steps) }
            td { (format::significant(band.residual, 2)) }
            td { (format::significant(100.0 * band.interpolation_error, 2)) (format::NBSP) "%" }
        }
    }
}

fn modes(frequencies: &[f64]) -> Markup {
    let listed: Vec<String> = frequencies.iter().map(|f| format::hertz(*f)).collect();
    html! { @if !listed.is_empty() { p { "Natural frequencies of the bending disc, free and without air: " (listed.join(", ")) "." } } }
}
