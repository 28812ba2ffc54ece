//! What a blend says in plain words.

use super::ensemble::Ensemble;
use super::findings::{BlendAdvice, Blended};
use crate::Warning;
use crate::listening::{InTime, level_words};
use crate::scene::{Alignment, BandShape, SmallDriver};
use crate::search::Crossover;
use crate::words::{decibels, hertz, listed, trimmed};

/// Share of an impulse response's energy in the wrong place from which on it is told.
const MISPLACED: f64 = 1e-3;

/// Sentences about every surround: how even, what would be better, one source or two.
pub(super) fn summary(driver: &str, surrounds: &[Blended]) -> Vec<String> {
    let Some(first) = surrounds.first() else { return vec![] };
    let all = surrounds
        .iter()
        .flat_map(|blended| of_one(driver, blended).into_iter().chain(changes(blended, first)));
    all.collect()
}

/// What a surround does to the sum, seat by seat.
fn changes(blended: &Blended, first: &Blended) -> Vec<String> {
    let heard = blended.gains.iter().zip(&blended.seats);
    let words = heard.map(|(gains, seat)| {
        format!(
            "“{}” in the sum at {}: {}.",
            blended.surround,
            seat.seat,
            level_words(gains, &first.surround)
        )
    });
    words.collect()
}

fn of_one(driver: &str, blended: &Blended) -> Vec<String> {
    let name = &blended.surround;
    let mut sentences = vec![format!(
        "“{name}”: with the channels of the case the sound averaged over the seats is uneven by {}.",
        decibels(blended.unevenness)
    )];
    if let Some(advice) = &blended.advice {
        sentences.push(format!("“{name}”: {}", advised(driver, advice)));
        sentences.extend(equalised(name, advice));
    }
    sentences.extend(blended.agreement.iter().map(|seat| format!("“{name}”, {}", seat.verdict)));
    sentences
}

fn advised(driver: &str, advice: &BlendAdvice) -> String {
    let crossover = &advice.crossover.crossover;
    let over = advice.crossover.limits.first.max(advice.crossover.limits.second);
    let limit = if over > 0.05 {
        format!("; even so a rating is exceeded by {} at the stated voltage", decibels(over))
    } else {
        String::new()
    };
    let end = match advice.at_an_end {
        true => {
            " Its corner lies at an end of what the computed range lets choose: widen the ranges, or take one of the corners listed for the other shapes."
        }
        false => "",
    };
    format!(
        "the most even crossover found is {}, uneven by {}{limit}.{end}",
        crossover_words(driver, crossover),
        decibels(advice.crossover.unevenness)
    )
}

/// "Linkwitz–Riley of order 4 at 1.8 kHz, \"treble\" at −3 dB, 0.12 ms later and reversed".
fn crossover_words(driver: &str, crossover: &Crossover) -> String {
    let alignment = match crossover.shape.alignment {
        Alignment::Butterworth => "Butterworth",
        Alignment::Bessel => "Bessel",
        Alignment::LinkwitzRiley => "Linkwitz–Riley",
    };
    let delay = match crossover.delay {
        delay if delay.abs() < 5e-7 => String::new(),
        delay if delay > 0.0 => format!(", {} ms later", trimmed(1e3 * delay, 3)),
        delay => format!(", the panel {} ms later", trimmed(-1e3 * delay, 3)),
    };
    format!(
        "{alignment} of order {} at {}, “{driver}” at {}{delay}{}",
        crossover.shape.order,
        hertz(crossover.corner),
        decibels(crossover.gain_db),
        if crossover.reversed { ", polarity reversed" } else { "" }
    )
}

fn equalised(name: &str, advice: &BlendAdvice) -> Vec<String> {
    let equaliser = &advice.equaliser;
    let mut sentences = vec![];
    let bell = |band: &crate::scene::EqualiserBand| match band.shape {
        BandShape::Peaking { gain_db, q } => {
            format!("{} at {} (Q {})", decibels(gain_db), hertz(band.frequency), trimmed(q, 1))
        }
        _ => hertz(band.frequency),
    };
    if !equaliser.bands.is_empty() {
        sentences.push(format!(
            "“{name}”: an equaliser before both channels, {}, brings it in third octaves from {} to {}.",
            listed(&equaliser.bands.iter().map(bell).collect::<Vec<_>>()),
            decibels(equaliser.before),
            decibels(equaliser.after)
        ));
    }
    if !equaliser.dips.is_empty() {
        let dips: Vec<String> = equaliser.dips.iter().map(|(frequency, _)| hertz(*frequency)).collect();
        sentences.push(format!(
            "“{name}”: no equaliser mends the dips at {}: there sound cancels at the seats, and power put in is lost there and too much elsewhere.",
            listed(&dips)
        ));
    }
    sentences
}

/// What is not believed without reserve.
pub(super) fn doubts(ensemble: &Ensemble, driver: &SmallDriver, surrounds: &[Blended]) -> Vec<Warning> {
    let mut doubts: Vec<Warning> = ensemble.prediction.findings.warnings.clone();
    let mut add = |message: String| doubts.push(Warning::new("blend", message));
    if ensemble.channels_differ {
        add("The panel's channels differ in filters, gain or delay: they are kept, and the advised low-pass, gain and delay come on top of them.".into());
    }
    if ensemble.floor_left_out {
        add("The floor is not heard here: the driver is computed without one, and a sum must not mix both."
            .into());
    }
    if driver.motor.rated_excursion.is_none() {
        add(format!(
            "“{}” has no rated excursion: nothing keeps the advised corner from lying lower than it stands. State `rated_excursion` in [driver], or keep the corner well above its resonance.",
            driver.name
        ));
    }
    let (Some(low), Some(high)) = (ensemble.frequencies.first(), ensemble.frequencies.last()) else {
        return doubts;
    };
    add(format!(
        "Everything is judged from {} to {}, where both parts are computed; ratings, too: excursions below are not looked at.",
        hertz(*low),
        hertz(*high)
    ));
    for message in super::measured_words::doubts(ensemble) {
        add(message);
    }
    for blended in surrounds {
        for seat in &blended.seats {
            let place = format!("with “{}” at “{}”", blended.surround, seat.seat);
            let doubt = match &seat.in_time {
                InTime::Unknown(why) => format!("No impulse response {place}: {why}."),
                InTime::Heard { misplaced, .. } if *misplaced > MISPLACED => format!(
                    "{} % of the energy of the impulse response {place} comes before it can or later than it holds: resonances are narrower than the step of \
                     the frequencies. Ask for more frequencies per octave.",
                    trimmed(100.0 * misplaced, 1)
                ),
                InTime::Heard { .. } => continue,
            };
            doubts.push(Warning::new("blend", doubt));
        }
    }
    doubts
}
