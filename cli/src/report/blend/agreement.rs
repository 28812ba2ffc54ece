//! Whether panel and drivers are heard as one: angles between their centres beside the blur of hearing.

use super::response::curve;
use super::{BlendInput, everywhere};
use crate::report::chart::curves::{Mark, Plot, legend, over_frequency};
use crate::report::chart::scale::{Scale, extent};
use crate::report::figure::{self, Figure};
use crate::report::format;
use maud::{Markup, html};
use panelwright_solver::blend::Blended;
use panelwright_solver::listening::{AgreementAt, Apart, BandAgreement, Heard, localisation_blur};

/// The section.
pub fn section(input: &BlendInput) -> Markup {
    let blur = input.findings.blur;
    let degrees = |angle: f64| format!("{}°", format::significant(angle.to_degrees(), 2));
    let body = html! {
        (everywhere(input.findings, "agreement", bands))
        p.definition {
            "Angles between the acoustic centres of panel and driver as the seat sees them: to the right and above are positive. Hearing in front does not tell apart what is within about "
            (degrees(blur.horizontal)) " sideways, and up and down within " (degrees(blur.vertical_noise)) " (steady noise) to " (degrees(blur.vertical_speech))
            " (unknown voices): " (blur.source) ". Where one part is 10 dB or more louder there is nothing to hear apart. The verdict goes by the panel’s wave fronts, by its intensity "
            "where those have no single centre."
        }
    };
    figure::section("agreement", "One source or two", &input.findings.warnings, &["centre"], body)
}

fn bands(blended: &Blended, seat: usize) -> Markup {
    let here = blended.agreement.iter().filter(|agreement| agreement.seat == blended.seats[seat].seat);
    html! { @for agreement in here { (of_driver(agreement)) } }
}

/// Angles between the centres over frequency, sideways and upright, beside the blur of hearing.
fn over_bands(agreement: &AgreementAt) -> Markup {
    let frequencies: Vec<f64> = agreement.bands.iter().map(|band| band.band.centre).collect();
    let blur = localisation_blur();
    let sideways = [("blur", blur.horizontal)];
    let upright = [("blur, steady noise", blur.vertical_noise), ("blur, voices", blur.vertical_speech)];
    let plots = [
        plot(agreement, "Sideways, ° to the right of the panel’s centre", &sideways, |apart| {
            apart.horizontal
        }),
        plot(agreement, "Upright, ° above the panel’s centre", &upright, |apart| apart.vertical),
    ];
    let title = format!("Where “{}” sits against the panel, seen from {}", agreement.driver, agreement.seat);
    Figure {
        drawing: over_frequency(&title, &frequencies, &plots),
        title,
        controls: html! {},
        legend: legend(&[(0, "by intensity".into()), (1, "by wave fronts".into())]),
        caption: html! {
            "Where both play (shaded) they are heard apart beyond the blur sideways and beyond that for voices upright, and perhaps apart between the lines for steady noise and for voices. Wave fronts decide, "
            "intensity where they have no single centre. Elsewhere one leads by so much that nothing is heard of the other’s place."
        },
        map: None,
    }
    .render()
}

fn plot<'a>(
    agreement: &AgreementAt,
    title: &str,
    blurs: &[(&str, f64)],
    angle: fn(&Apart) -> f64,
) -> Plot<'a> {
    let of = |apart: fn(&BandAgreement) -> Option<Apart>| -> Vec<f64> {
        let degrees = |band| apart(band).map_or(f64::NAN, |apart| angle(&apart).to_degrees());
        agreement.bands.iter().map(degrees).collect()
    };
    let (intensity, fronts) = (of(|band| band.from_intensity), of(|band| band.from_wave_front));
    let limit = |value: f64, label: &str| Mark::Limit { value, label: label.into(), colour: 3 };
    let marks = blurs.iter().flat_map(|&(label, blur)| {
        let degrees = blur.to_degrees();
        [limit(degrees, label), limit(-degrees, label)]
    });
    let least = blurs.last().map_or(0.0, |(_, blur)| 1.1 * blur.to_degrees());
    let (low, high) =
        extent(intensity.iter().chain(&fronts).copied().chain([-least, least])).unwrap_or((-1.0, 1.0));
    Plot {
        title: title.into(),
        scale: Scale::linear(low, high),
        height: 150.0,
        curves: vec![curve("by intensity", intensity, "°", 0), curve("by wave fronts", fronts, "°", 1)],
        marks: both_play(&agreement.bands).into_iter().chain(marks).collect(),
    }
}

/// Stretches of bands in which neither leads.
fn both_play<'a>(bands: &[BandAgreement]) -> Vec<Mark<'a>> {
    let runs = bands.chunk_by(|a, b| (a.heard == Heard::OneLeads) == (b.heard == Heard::OneLeads));
    let both = runs.filter(|run| run[0].heard != Heard::OneLeads);
    both.map(|run| Mark::Shade {
        from: run[0].band.lower,
        to: run[run.len() - 1].band.upper,
        label: "both play".into(),
    })
    .collect()
}

fn of_driver(agreement: &AgreementAt) -> Markup {
    html! {
        p { strong { (format::bound(&agreement.verdict)) } }
        (over_bands(agreement))
        div.wide { table.numbers {
            thead { tr {
                th { "Hz" } th { "Panel leads, dB" } th { "By wave fronts" } th { "By intensity" } th { "Apart, mm" } th { "Later, ms" } th { "Heard" }
            } }
            tbody { @for band in &agreement.bands { (row(band)) } }
        } }
    }
}

fn row(band: &BandAgreement) -> Markup {
    let degrees = |angle: f64| format!("{}°", format::fixed(angle.to_degrees(), 1));
    let angles = |apart: Option<Apart>| match apart {
        Some(apart) => format!("{}, {}", degrees(apart.horizontal), degrees(apart.vertical)),
        None => "–".to_owned(),
    };
    let either = band.from_wave_front.or(band.from_intensity);
    let number = |value: fn(&Apart) -> f64, digits| {
        either.map_or_else(|| "–".to_owned(), |apart| format::fixed(value(&apart), digits))
    };
    let heard = match band.heard {
        Heard::OneLeads => "one leads",
        Heard::AsOne => "as one",
        Heard::PerhapsApart => "perhaps apart",
        Heard::Apart => "apart",
    };
    html! { tr {
        th scope="row" { (format::band_label(band.band.nominal)) }
        td { (format::fixed(band.panel_leads, 1)) }
        td { (angles(band.from_wave_front)) }
        td { (angles(band.from_intensity)) }
        td { (number(|a| 1e3 * a.distance, 0)) }
        td { (number(|a| 1e3 * a.later, 2)) }
        td { (heard) }
    } }
}
