//! Third-octave gains as coloured cells.

use crate::report::chart::colour;
use crate::report::format;
use maud::{Markup, html};
use panelwright_solver::listening::BandGain;

/// Gain [dB] of the strongest colours.
const STRONGEST: f64 = 12.0;
/// Cells darker than this have white figures.
const DARK: f64 = 0.6;

/// A row of gains at a place over `reference` for every name; nothing when there are none.
pub fn table(place: &str, reference: &str, rows: &[(&str, &[BandGain])]) -> Markup {
    let Some((_, bands)) = rows.first().filter(|(_, bands)| !bands.is_empty()) else { return html! {} };
    html! {
        h3 { "Gain in third octaves at " (place) ", dB" }
        div.wide { table.gains {
            thead { tr { th { "Hz" } @for gain in *bands { th { (format::band_label(gain.band.nominal)) } } } }
            tbody { @for (name, gains) in rows { tr { th scope="row" { (name) } @for gain in *gains { (cell(gain)) } } } }
        } }
        p.definition { "Band level minus that of “" (reference) "”, energy means. Blue: quieter, rust: louder." }
    }
}

fn cell(gain: &BandGain) -> Markup {
    let colour = colour::diverging(0.5 + 0.5 * gain.gain / STRONGEST);
    let sign = if gain.gain >= 0.05 { "+" } else { "" };
    html! {
        td.dark[colour.lightness < DARK] style={ "background:" (colour.hex()) } { (sign) (format::fixed(gain.gain, 1)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gains_are_blue_below_nothing_and_rust_above() {
        let shown = |gain: f64| {
            let band = panelwright_solver::listening::Band {
                centre: 1e3,
                lower: 891.0,
                upper: 1122.0,
                nominal: 1e3,
            };
            cell(&BandGain { band, gain }).into_string()
        };
        assert!(
            shown(0.01).contains(">0.0<") && shown(12.0).contains("+12.0") && shown(-3.0).contains("−3.0")
        );
        assert!(shown(12.0).contains("dark") && !shown(1.0).contains("dark"));
        assert_ne!(shown(6.0).split('>').next(), shown(-6.0).split('>').next());
    }
}
