//! What a blend says in plain words.

use super::advice::BlendAdvice;
use super::ensemble::Ensemble;
use super::findings::Blended;
use super::measured::MeasuredAt;
use super::voice::Voice;
use crate::Warning;
use crate::listening::{AgreementAt, Heard, InTime, level_words};
use crate::scene::{Alignment, BandShape, PassFilter};
use crate::search::crossover::{Crossover, WORTH_SPLITTING};
use crate::surrounds::stiff_below;
use crate::words::{decibels, hertz, listed, trimmed};

/// Share of an impulse response's energy in the wrong place from which on it is told.
const MISPLACED: f64 = 1e-3;

/// Sentences about every surround: how even, what would be better, one source or two. `parts` are the names of panel and drivers.
pub(super) fn summary(parts: &[String], surrounds: &[Blended]) -> Vec<String> {
    let Some(first) = surrounds.first() else { return vec![] };
    let all = surrounds
        .iter()
        .flat_map(|blended| of_one(parts, blended).into_iter().chain(changes(blended, first)));
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

fn of_one(parts: &[String], blended: &Blended) -> Vec<String> {
    let name = &blended.surround;
    let mut sentences = vec![format!(
        "“{name}”: with the channels of the case the sound averaged over the seats is uneven by {}.",
        decibels(blended.unevenness)
    )];
    if let Some(advice) = &blended.advice {
        sentences.extend(advised(parts, advice).into_iter().map(|sentence| format!("“{name}”: {sentence}")));
        let apart = apart_with_it(&blended.agreement, &advice.agreement);
        sentences.extend(apart.map(|verdict| format!("“{name}”: with the advised crossover, {verdict}")));
        sentences.extend(equalised(name, advice));
    }
    sentences.extend(blended.unadvised.iter().map(|why| format!("“{name}”: {why}.")));
    sentences.extend(blended.agreement.iter().map(|seat| format!("“{name}”, {}", seat.verdict)));
    sentences
}

/// Verdicts of drivers that would be heard apart in more bands than with the channels of the case.
fn apart_with_it<'a>(now: &'a [AgreementAt], advised: &'a [AgreementAt]) -> impl Iterator<Item = &'a str> {
    let apart = |at: &AgreementAt| at.bands.iter().filter(|band| band.heard == Heard::Apart).count();
    let pairs = now.iter().zip(advised);
    pairs.filter(move |(now, advised)| apart(advised) > apart(now)).map(|(_, advised)| &advised.verdict[..])
}

fn advised(parts: &[String], advice: &BlendAdvice) -> Vec<String> {
    let found = &advice.crossover;
    let over = found.limits.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let limit = if over > 0.05 {
        format!("; even so a rating is exceeded by {} at the stated voltage", decibels(over))
    } else {
        String::new()
    };
    let pairs = advice.order.windows(2).zip(&found.crossovers);
    let words: Vec<String> = pairs
        .map(|(pair, crossover)| {
            // Of two parts nobody needs to be told which.
            let between = match parts.len() {
                2 => String::new(),
                _ => format!("between “{}” and “{}” ", parts[pair[0]], parts[pair[1]]),
            };
            between + &crossover_words([&parts[pair[0]], &parts[pair[1]]], crossover)
        })
        .collect();
    let most_even = if words.len() > 1 { "crossovers found are" } else { "crossover found is" };
    let mut sentences = vec![format!(
        "the most even {most_even} {}, uneven by {}{limit}.",
        words.join("; "),
        decibels(found.unevenness)
    )];
    let idle = (0..parts.len()).filter(|part| advice.leads[*part].is_none());
    sentences.extend(idle.map(|part| {
        format!(
            "with it “{}” is the loudest at no frequency: the others play all there is. If that is not what you want, keep a corner by hand.",
            parts[part]
        )
    }));
    if let Some(common) = found.common {
        sentences.push(format!(
            "low-pass and high-pass differ because that is more even by {}, which is more than {}, than the best with one corner and shape.",
            decibels(common - found.cost),
            decibels(WORTH_SPLITTING)
        ));
    }
    let which = |k: usize| match parts.len() {
        2 => String::new(),
        _ => format!(" between “{}” and “{}”", parts[advice.order[k]], parts[advice.order[k + 1]]),
    };
    let told = |flags: &[bool], tell: &dyn Fn(usize) -> String| -> Vec<String> {
        flags.iter().enumerate().filter(|(_, flag)| **flag).map(|(k, _)| tell(k)).collect()
    };
    sentences.extend(told(&advice.at_an_end, &|k| {
        format!(
            "the corner{} lies at an end of what the computed range lets choose: widen the ranges, or take one of the corners listed for the other shapes.",
            which(k)
        )
    }));
    sentences.extend(told(&advice.at_a_bound, &|k| {
        format!(
            "the gain{} is stuck at {}, the bound of what is tried: the levels of both parts do not meet. Change the voltages or the wiring rather than the gain.",
            which(k),
            decibels(found.crossovers[k].gain_db)
        )
    }));
    sentences
}

/// "Linkwitz–Riley of order 4 at 1.8 kHz, “treble” at −3 dB, 0.12 ms later and reversed": gain, delay and polarity of the upper part against the
/// lower one.
fn crossover_words([lower, upper]: [&String; 2], crossover: &Crossover) -> String {
    let delay = match crossover.delay {
        delay if delay.abs() < 5e-7 => String::new(),
        delay if delay > 0.0 => format!(", {} ms later", trimmed(1e3 * delay, 3)),
        delay => format!(", “{lower}” {} ms later", trimmed(-1e3 * delay, 3)),
    };
    let filters = match crossover.is_split() {
        true => format!(
            "a low-pass {} and a high-pass {}",
            pass_words(&crossover.low),
            pass_words(&crossover.high)
        ),
        false => pass_words(&crossover.low),
    };
    format!(
        "{filters}, “{upper}” at {}{delay}{}",
        decibels(crossover.gain_db),
        if crossover.reversed { ", polarity reversed" } else { "" }
    )
}

fn pass_words(filter: &PassFilter) -> String {
    let alignment = match filter.alignment {
        Alignment::Butterworth => "Butterworth",
        Alignment::Bessel => "Bessel",
        Alignment::LinkwitzRiley => "Linkwitz–Riley",
    };
    format!("{alignment} of order {} at {}", filter.order, hertz(filter.corner))
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
            "“{name}”: an equaliser before all channels, {}, brings it in third octaves from {} to {}.",
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

/// Drivers that lead, as set or as advised, where their diaphragm is not stiff any more, unless they were measured at every seat.
fn broken_up(ensemble: &Ensemble, surrounds: &[Blended]) -> Vec<Warning> {
    let top = |part: usize| {
        let as_set = surrounds.iter().map(|blended| &blended.leads);
        let advised =
            surrounds.iter().filter_map(|blended| blended.advice.as_ref()).map(|advice| &advice.leads);
        as_set.chain(advised).filter_map(|leads| leads[part]).map(|[_, high]| high).fold(0.0, f64::max)
    };
    let of_driver = |(d, Voice { driver, .. }): (usize, &Voice)| {
        let limit = stiff_below(driver, ensemble.air.sound_speed).filter(|limit| top(d + 1) > *limit)?;
        let told = format!(
            "“{}” leads up to {}, as set or as advised, but is computed as if its diaphragm were stiff: real ones of its size break up somewhere above {} (common practice, no source). \
             Above that trust its level less: let another part take over, or measure it.",
            driver.name,
            hertz(top(d + 1)),
            hertz(limit)
        );
        Some(Warning::new("blend", told))
    };
    let measured = |(_, Voice { driver, .. }): &(usize, &Voice)| {
        let with = format!("{} with ", driver.name);
        let of_it = |at: &&MeasuredAt| at.part == driver.name || at.part.starts_with(&with);
        ensemble
            .seats
            .iter()
            .all(|seat| ensemble.measured.iter().filter(of_it).any(|at| at.seat == seat.name))
    };
    let drivers = ensemble.drivers.iter().enumerate();
    drivers.filter(|driver| !measured(driver)).filter_map(of_driver).collect()
}

/// What is not believed without reserve.
pub(super) fn doubts(ensemble: &Ensemble, surrounds: &[Blended]) -> Vec<Warning> {
    let mut doubts: Vec<Warning> = ensemble.prediction.findings.warnings.clone();
    doubts.extend(broken_up(ensemble, surrounds));
    let mut add = |message: String| doubts.push(Warning::new("blend", message));
    if ensemble.channels_differ {
        add("The panel's channels differ in filters, gain or delay: they are kept, and the advised low-pass, gain and delay come on top of them.".into());
    }
    if ensemble.floor_left_out {
        add("The floor is not heard here: the driver is computed without one, and a sum must not mix both."
            .into());
    }
    if ensemble.drivers.len() > 1 {
        add("Drivers do not stand in each other's sound here, nor in the panel's: what one's housing does to another's sound is left out.".into());
    }
    let unrated = |voice: &&Voice| voice.driver.motor.rated_excursion.is_none();
    for Voice { driver, .. } in ensemble.drivers.iter().filter(unrated) {
        add(format!(
            "“{}” has no rated excursion: nothing keeps the advised corner from lying lower than it stands. State `rated_excursion` in [driver], or keep the corner well above its resonance.",
            driver.name
        ));
    }
    let (Some(low), Some(high)) = (ensemble.frequencies.first(), ensemble.frequencies.last()) else {
        return doubts;
    };
    add(format!(
        "Everything is judged from {} to {}, where all parts are computed; ratings, too: excursions below are not looked at.",
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
