//! Whether panel and drivers are heard as one: angles between their centres beside the blur of hearing.

use super::{BlendInput, everywhere};
use crate::report::figure;
use crate::report::format;
use maud::{Markup, html};
use panelwright_solver::blend::Blended;
use panelwright_solver::listening::{AgreementAt, Apart, BandAgreement, Heard};

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

fn of_driver(agreement: &AgreementAt) -> Markup {
    html! {
        p { strong { (format::bound(&agreement.verdict)) } }
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
