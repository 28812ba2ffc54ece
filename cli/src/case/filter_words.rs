//! Filters in words.

use super::quantity::{FREQUENCY, short};
use panelwright_solver::scene::{
    Alignment, BandShape, Channel, EqualiserBand, Filters, PassFilter, Realisation,
};

/// What the filters are and do, one phrase each; empty without any.
pub(crate) fn filters(filters: &Filters) -> Vec<String> {
    let mut phrases = Vec::new();
    phrases.extend(filters.high_pass.iter().map(|f| format!("high-pass {}", pass(f))));
    phrases.extend(filters.low_pass.iter().map(|f| format!("low-pass {}", pass(f))));
    phrases.extend(filters.equaliser.iter().map(band));
    if let Realisation::Digital { sample_rate, biquads } = &filters.made {
        match biquads.len() {
            0 => {}
            1 => phrases.push("one biquad".into()),
            count => phrases.push(format!("{count} biquads")),
        }
        if !phrases.is_empty() {
            phrases.push(format!("in a processor at {}", hertz(*sample_rate)));
        }
    }
    phrases
}

/// The same of a channel, as one text; "none" without any.
pub(crate) fn of_channel(channel: &Channel) -> String {
    let phrases = filters(&channel.filters);
    if phrases.is_empty() { "none".into() } else { phrases.join(", ") }
}

pub(crate) fn pass(filter: &PassFilter) -> String {
    let name = match filter.alignment {
        Alignment::Butterworth => "Butterworth",
        Alignment::Bessel => "Bessel",
        Alignment::LinkwitzRiley => "Linkwitz-Riley",
    };
    format!("{name} {} at {}", filter.order, hertz(filter.corner))
}

fn band(band: &EqualiserBand) -> String {
    let (kind, gain, q) = match band.shape {
        BandShape::Peaking { gain_db, q } => ("bell", Some(gain_db), q),
        BandShape::LowShelf { gain_db, q } => ("low shelf", Some(gain_db), q),
        BandShape::HighShelf { gain_db, q } => ("high shelf", Some(gain_db), q),
        BandShape::Notch { q } => ("notch", None, q),
        BandShape::AllPass { q } => ("all-pass", None, q),
    };
    let gain = gain.map_or_else(String::new, |gain| format!("{} dB ", short(gain)));
    format!("{kind} {gain}at {} (Q {})", hertz(band.frequency), short(q))
}

/// A frequency: Hz below one kilohertz.
pub(crate) fn hertz(frequency: f64) -> String {
    FREQUENCY.show(frequency, if frequency < 1000.0 { "Hz" } else { "kHz" })
}
