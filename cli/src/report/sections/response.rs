//! Levels at the seats.

use super::overview::band_text;
use crate::case::words;
use crate::report::chart::curves::{self, Curve, Mark, Plot, over_frequency};
use crate::report::chart::scale::Scale;
use crate::report::choice::{Choice, When};
use crate::report::figure::{self, Figure};
use crate::report::format::NBSP;
use crate::report::{ReportInput, format};
use maud::{Markup, html};
use panelwright_solver::listening::{Findings, SeatFindings, UsableBand};

/// Lowest level shown under the loudest [dB].
const SPAN: f64 = 70.0;
/// Octave fraction shown at the start, where it is among the findings.
const FIRST_SMOOTHING: u32 = 6;

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let findings = input.findings;
    let body = html! {
        @if !findings.seats.is_empty() {
            (chart(input))
            (usable_table(findings))
            (third_octave_table(findings))
        } @else { p { "The case names no seats." } }
    };
    figure::section("response", "Response at the seats", &findings.warnings, &["response"], body)
}

fn chart(input: &ReportInput) -> Markup {
    let findings = input.findings;
    let (seats, smoothing) = (seat_choice(findings), smoothing_choice(findings));
    let levels = findings.seats.iter().flat_map(|s| s.level.iter().copied());
    let plot = Plot {
        title: "Sound pressure level, dB re 20 µPa".into(),
        scale: Scale::decibels(levels, SPAN),
        height: 340.0,
        curves: curves(findings, &seats, &smoothing),
        marks: spread_marks(findings, &seats, &smoothing)
            .into_iter()
            .chain(usable_marks(findings, &seats))
            .collect(),
    };
    let label = "Sound pressure level at the seats over frequency";
    Figure {
        title: "Level over frequency".into(),
        controls: html! { (seats.controls("response")) (smoothing.controls("response")) },
        legend: legend(findings, &seats),
        drawing: over_frequency(label, &findings.frequencies, &[plot]),
        caption: html! {
            "Sine at the drive voltage. Pale thin line: unsmoothed. Strong line: mean square over the chosen fraction of an octave. "
            "Bars: the stretch that falls nowhere more than 6 or 10 dB below the mean third-octave level from 200 Hz to 4 kHz."
            @if findings.variations.is_some() {
                " Shading: how far the curve moves when material and workmanship vary. Dark: eight in ten variations of the panel. Pale: all "
                "of them. Drawn were " (words::spread(&input.scene.spread)) "."
            }
        },
        map: None,
    }
    .render()
}

/// Names of the seats whose curves are visible.
fn legend(findings: &Findings, seats: &Choice) -> Markup {
    let count = findings.seats.len();
    html! {
        ul.legend { @for (i, seat) in findings.seats.iter().enumerate() {
            (curves::legend_entry(i, &seat.name, &seats.when_any(&[i, count])))
            @if findings.variations.is_some() {
                (curves::area_entry(i, "eight in ten variations", &seats.when(i)))
            }
        } }
    }
}

/// One option per seat and, with several seats, all of them together.
fn seat_choice(findings: &Findings) -> Choice {
    let mut labels: Vec<String> = findings.seats.iter().map(|s| s.name.clone()).collect();
    if labels.len() > 1 {
        labels.push("all together".into());
    }
    Choice::one("seat", "Seat", labels, 0)
}

fn smoothing_choice(findings: &Findings) -> Choice {
    let fractions: Vec<u32> = findings.seats[0].smoothed.iter().map(|s| s.fraction).collect();
    let chosen = fractions.iter().position(|f| *f == FIRST_SMOOTHING).map_or(0, |place| place + 1);
    let labels =
        std::iter::once("none".to_string()).chain(fractions.iter().map(|f| format!("1/{f}"))).collect();
    Choice::one("smoothing", "Smoothing, octaves", labels, chosen)
}

fn curves<'a>(findings: &'a Findings, seats: &Choice, smoothing: &Choice) -> Vec<Curve<'a>> {
    let count = findings.seats.len();
    let of_seat = |(i, seat): (usize, &'a SeatFindings)| {
        let raw = curve(seat, i, &seat.level, seats.when(i), true);
        let alone = curve(seat, i, &seat.level, seats.when_any(&[i, count]).and(smoothing.when(0)), false);
        let smoothed = seat.smoothed.iter().enumerate().map(move |(k, smooth)| {
            curve(seat, i, &smooth.level, seats.when_any(&[i, count]).and(smoothing.when(k + 1)), false)
        });
        [raw, alone].into_iter().chain(smoothed).collect::<Vec<_>>()
    };
    findings.seats.iter().enumerate().flat_map(of_seat).collect()
}

fn curve<'a>(seat: &SeatFindings, colour: usize, level: &'a [f64], when: When, thin: bool) -> Curve<'a> {
    let label = if thin { format!("{}, unsmoothed", seat.name) } else { seat.name.clone() };
    Curve { label, values: level.into(), unit: "dB", colour, thin, when }
}

/// Bands of uncertainty behind the curve of a single seat: all variations, and the inner eight tenths on top.
fn spread_marks<'a>(findings: &'a Findings, seats: &Choice, smoothing: &Choice) -> Vec<Mark<'a>> {
    let of_seat = |(i, seat): (usize, &'a SeatFindings)| {
        let smoothed = seat.smoothed.iter().map(|smoothed| &smoothed.band);
        let bands = std::iter::once(&seat.band).chain(smoothed).enumerate();
        let shown =
            bands.filter_map(|(k, band)| Some((seats.when(i).and(smoothing.when(k)), band.as_ref()?)));
        let areas = shown.flat_map(|(when, band)| {
            let area = |low: &'a [f64], high: &'a [f64], when: When| Mark::Area {
                low: low.into(),
                high: high.into(),
                colour: i,
                when,
            };
            [area(&band.lowest, &band.highest, when.clone()), area(&band.tenth, &band.ninetieth, when)]
        });
        areas.collect::<Vec<_>>()
    };
    findings.seats.iter().enumerate().flat_map(of_seat).collect()
}

fn usable_marks<'a>(findings: &'a Findings, seats: &Choice) -> Vec<Mark<'a>> {
    let of_seat = |(i, seat): (usize, &'a SeatFindings)| {
        let bars = seat.usable.iter().enumerate().filter_map(|(row, usable)| {
            let (from, to) = (usable.lower?, usable.upper?);
            let label = format!("−{} dB: {}", format::fixed(usable.drop, 0), band_text(usable));
            Some(Mark::Bar { from, to, label, row, colour: i, when: seats.when(i) })
        });
        bars.collect::<Vec<_>>()
    };
    findings.seats.iter().enumerate().flat_map(of_seat).collect()
}

fn usable_table(findings: &Findings) -> Markup {
    html! {
        div.wide { table.roomy {
            caption { "Usable band and loudness" }
            thead { tr { th { "Seat" } th { "Place x, y, z, mm" } th { "Reference" }
                @for usable in &findings.seats[0].usable { th { "−" (format::fixed(usable.drop, 0)) " dB band" } }
                @if findings.variations.is_some() { @for usable in &findings.seats[0].usable {
                    th { "Its lower limit, −" (format::fixed(usable.drop, 0)) " dB, in eight of ten variations" }
                } }
                th { "Pink noise" } } }
            tbody { @for seat in &findings.seats { tr {
                th scope="row" { (seat.name) }
                td { (place(seat.position)) }
                td { (seat.usable.first().map_or_else(|| "–".into(), |u| format::decibels(u.reference))) }
                @for usable in &seat.usable { td { (band_text(usable)) } }
                @if findings.variations.is_some() { @for usable in &seat.usable { td { (limit_spread(usable, findings.frequencies[0])) } } }
                td { (format::fixed(seat.a_weighted, 1)) (NBSP) "dB(A)" }
            } } }
        } }
    }
}

/// Between which frequencies the lower limit lies in eight of ten variations; the range starts at `start` [Hz].
fn limit_spread(usable: &UsableBand, start: f64) -> String {
    let limit = |f: f64| format!("{}{}", if f <= start { "below " } else { "" }, format::hertz(f));
    usable.lower_spread.map_or_else(
        || "–".into(),
        |spread| {
            let [from, to] = [spread.tenth, spread.ninetieth].map(limit);
            if from == to { from } else { format!("{from} to {to}") }
        },
    )
}

fn place(position: [f64; 3]) -> String {
    position.map(|v| format::fixed(v * 1e3, 0)).join(", ")
}

fn third_octave_table(findings: &Findings) -> Markup {
    html! {
        details {
            summary { "Third-octave levels at the seats, dB re 20 µPa" }
            div.wide { table.numbers {
                thead { tr { th { "Band" } @for seat in &findings.seats { th { (seat.name) } } } }
                tbody { @for (row, band) in findings.seats[0].third_octaves.iter().enumerate() { tr {
                    th scope="row" { (format::band(band.band.nominal)) }
                    @for seat in &findings.seats {
                        td { (seat.third_octaves.get(row).map_or_else(String::new, |b| format::fixed(b.level, 1))) }
                    }
                } } }
            } }
            p.definition { "Pink noise with the drive voltage’s power in every band: the mean square of the response in the band." }
        }
    }
}
