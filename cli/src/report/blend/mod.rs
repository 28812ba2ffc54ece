//! `report.html` of a blend: the look of a prediction's page; parts and sum at every seat.
//!
//! ```text
//! BlendFindings ─▶ sections ─▶ chart/* (SVG) ─▶ document ─▶ report.html
//! ```

mod advice;
mod agreement;
mod directivity;
mod hear;
mod measured;
mod page;
mod response;

use super::ReportError;
use super::choice::{Choice, When};
use crate::case::BlendCase;
use crate::rendering::Heard;
use maud::{Markup, html};
use panelwright_solver::blend::{BlendFindings, Blended};
use std::path::{Path, PathBuf};

/// What a report on a blend is made of.
#[derive(Clone, Copy)]
pub struct BlendInput<'a> {
    /// The case.
    pub case: &'a BlendCase,
    /// What was computed.
    pub findings: &'a BlendFindings,
    /// Name of the case.
    pub case_name: &'a str,
    /// Version of the program.
    pub version: &'a str,
    /// When it was computed, as people read it.
    pub computed_at: &'a str,
    /// How long it took [s].
    pub seconds: f64,
    /// A recording as the seats would hear it, if one was given.
    pub heard: &'a [Heard],
    /// Cautions; words before the first colon are set in bold.
    pub cautions: &'a [&'a str],
}

/// Writes `report.html` into the folder `dir`, which must exist; returns the file's path.
///
/// # Errors
/// When the file cannot be written.
pub fn write(dir: &Path, input: &BlendInput) -> Result<PathBuf, ReportError> {
    super::write_page(dir, &page::document(input).into_string())
}

/// One option per surround.
fn surround_choice(findings: &BlendFindings) -> Choice {
    let names = findings.surrounds.iter().map(|blended| blended.surround.clone()).collect();
    Choice::one("surround", "Driver", names, 0)
}

/// One option per seat.
fn seat_choice(findings: &BlendFindings) -> Choice {
    let seats = findings.surrounds.first().map_or(&[][..], |blended| &blended.seats);
    Choice::one("seat", "Heard at", seats.iter().map(|seat| seat.seat.clone()).collect(), 0)
}

/// What belongs to a surround and a seat, visible while both are chosen.
fn everywhere(findings: &BlendFindings, place: &str, content: impl Fn(&Blended, usize) -> Markup) -> Markup {
    let (surrounds, seats) = (surround_choice(findings), seat_choice(findings));
    let shown = |when: When, inner: Markup| {
        html! { div class=(when.class()) data-when=[when.attribute()] { (inner) } }
    };
    html! {
        (surrounds.controls(place))
        (seats.controls(place))
        @for (i, blended) in findings.surrounds.iter().enumerate() {
            @let inner = html! {
                @for seat in 0..blended.seats.len() { (shown(seats.when(seat), content(blended, seat))) }
            };
            (shown(surrounds.when(i), inner))
        }
    }
}

/// What belongs to a surround.
fn with_every_surround(
    findings: &BlendFindings,
    place: &str,
    content: impl Fn(&Blended) -> Markup,
) -> Markup {
    let surrounds = surround_choice(findings);
    html! {
        (surrounds.controls(place))
        @for (i, blended) in findings.surrounds.iter().enumerate() {
            @let when = surrounds.when(i);
            div class=(when.class()) data-when=[when.attribute()] { (content(blended)) }
        }
    }
}
