//! What the search says in plain words.

use super::bench::Bench;
use super::exciters::of_count;
use super::findings::{Arrangement, ExciterPlaces, Mirrored};
use crate::Warning;
use crate::scene::{Channel, Filters, Realisation, Scene};
use crate::search::exciters::{CUSTOMARY, Scores};
use crate::words::{decibels, hertz, listed, millimetres, trimmed};

/// Differences of evenness or cost [dB] that are not worth a hole in the wall.
pub(super) const NOTHING: f64 = 0.1;
/// Mirror images as near as that are equal [dB].
const EQUAL: f64 = 0.05;
/// Deviation [dB] of search and whole prediction that is told.
const APART: f64 = 0.3;
/// Evenness lost 5 mm off [dB] that deserves a word of warning.
const TOUCHY: f64 = 0.7;

/// Sentences, the verdict first.
pub(super) fn summary(found: &ExciterPlaces, scene: &Scene) -> Vec<String> {
    let mut sentences = vec![verdict(found, scene)];
    if found.now.positions != found.best.positions {
        sentences.push(scores(&found.whole.now, &found.whole.best));
    }
    sentences.extend(against_rules(found, scene));
    sentences.extend(by_number(found));
    sentences.extend(found.best.scores.robustness.map(|worse| {
        format!(
            "Gluing a foot 5 mm off costs at most {} of evenness at the best {}.",
            decibels(worse),
            places(found)
        )
    }));
    sentences.extend(images(found));
    sentences
}

fn verdict(found: &ExciterPlaces, scene: &Scene) -> String {
    let top = found.frequencies.last().copied().unwrap_or(0.0);
    let [now, best] = [&found.whole.now, &found.whole.best].map(|scores| found.weights.cost(scores, top));
    let even = within(&found.whole.best, &found.whole.now);
    let moves = found.exciters.iter().zip(found.now.positions.iter().zip(&found.best.positions));
    let moves: Vec<String> = moves
        .filter(|(_, (from, to))| from != to)
        .map(|(name, (from, to))| format!("\"{name}\" from {} to {}", at(*from), in_shares(*to, scene)))
        .collect();
    match now - best {
        _ if moves.is_empty() => format!(
            "{} better than any of the other places that were tried: {}.",
            sit(found),
            if found.exciters.len() == 1 { "leave it there" } else { "leave them there" }
        ),
        gain if gain > NOTHING => format!("Moving {} {even}.", listed(&moves)),
        gain => format!(
            "{} well: the best {} found would gain next to nothing ({}).",
            sit(found),
            places(found),
            decibels(gain.max(0.0))
        ),
    }
}

fn sit(found: &ExciterPlaces) -> String {
    let names: Vec<String> = found.exciters.iter().map(|name| format!("\"{name}\"")).collect();
    format!("{} {}", listed(&names), if names.len() == 1 { "sits" } else { "sit" })
}

fn within(best: &Scores, now: &Scores) -> String {
    let [after, before] = [best.evenness, now.evenness].map(decibels);
    match now.evenness - best.evenness {
        gain if gain > NOTHING => {
            format!("makes the sound at the seats even within {after} instead of {before}")
        }
        gain if gain > -NOTHING => {
            format!(
                "leaves the sound at the seats as even as it is, within {after}; the other scores together get better"
            )
        }
        _ => format!(
            "betters the other scores together by more than it costs: the sound at the seats is then even within {after} instead of {before}"
        ),
    }
}

/// What else changes, by whole predictions.
fn scores(now: &Scores, best: &Scores) -> String {
    let low = |scores: &Scores| scores.extension.map_or_else(|| "nowhere".to_owned(), hertz);
    let percent = |share: f64| format!("{} %", trimmed(100.0 * share, 0));
    let low_end = match [low(best), low(now)] {
        [best, now] if best == now && now == "nowhere" => "cannot be told from this range".to_owned(),
        [best, now] if best == now => format!("begins at {best} as before"),
        [best, now] => format!("then begins at {best} instead of {now}"),
    };
    format!(
        "The low end {low_end}, the mean level at the seats is {} instead of {}, {} of the modes are driven well instead of {}, and a seat has {} dips instead of {}.",
        trimmed(best.sensitivity, 1) + " dB",
        trimmed(now.sensitivity, 1) + " dB",
        percent(best.coverage),
        percent(now.coverage),
        trimmed(best.dips, 1),
        trimmed(now.dips, 1),
    )
}

fn against_rules(found: &ExciterPlaces, scene: &Scene) -> Option<String> {
    let rule = found.by_rule.as_ref()?;
    let where_to: Vec<String> = rule.positions.iter().map(|&place| of_rule(found, place, scene)).collect();
    let gain = rule.scores.evenness - found.best.scores.evenness;
    let verdict = match gain {
        gain if gain > NOTHING => format!("{} less even than the best {}", decibels(gain), places(found)),
        gain if gain > -NOTHING => format!("as even as the best {}", places(found)),
        gain => {
            let others = if rule.cost > found.best.cost {
                ", by their other scores worse"
            } else {
                ": take them, or a finer `step`"
            };
            format!("{} more even than the best {}{others}", decibels(-gain), places(found))
        }
    };
    Some(format!(
        "The best that rules of thumb offer, {}, is even within {} by the search: {verdict}.",
        listed(&where_to),
        decibels(rule.scores.evenness)
    ))
}

/// A place of a rule with its fractions: `2/5 of the width from the left and 4/9 of the height from the bottom (304 mm, 231 mm)`.
fn of_rule(found: &ExciterPlaces, place: [f64; 2], scene: &Scene) -> String {
    let (width, height) = scene.panel.outline.bounding_box();
    let same =
        |image: &Arrangement| image.positions.iter().all(|p| (p[0] - place[0]).hypot(p[1] - place[1]) < 1e-9);
    let rule = found.rules.iter().find(|rule| rule.images.iter().any(same));
    let Some([x, y]) = rule.map(|rule| rule.shares) else { return at(place) };
    let from = |share: f64, place: f64, size: f64, ends: [&str; 2]| {
        ends[usize::from((share * size - place).abs() > 1e-9)].to_owned()
    };
    format!(
        "{} of the width from {} and {} of the height from {} ({})",
        fraction(x),
        from(x, place[0], width, ["the left", "the right"]),
        fraction(y),
        from(y, place[1], height, ["below", "above"]),
        at(place)
    )
}

/// A share of the rules as a fraction.
pub fn fraction(share: f64) -> String {
    let known = CUSTOMARY.iter().flatten().any(|&known| (known - share).abs() < 1e-12);
    let fits = |&bottom: &u32| (share * f64::from(bottom) - (share * f64::from(bottom)).round()).abs() < 1e-9;
    match (2..=20).find(fits).filter(|_| known) {
        Some(bottom) => format!("{}/{bottom}", (share * f64::from(bottom)).round()),
        None => trimmed(share, 3),
    }
}

/// What fewer exciters, or a second one, would do; by the search.
fn by_number(found: &ExciterPlaces) -> Option<String> {
    let (one, two) = (of_count(&found.counts, 1)?, of_count(&found.counts, 2)?);
    let even = |arrangement: &Arrangement| decibels(arrangement.scores.evenness);
    if found.exciters.len() > 1 {
        let all = of_count(&found.counts, found.exciters.len())?;
        return Some(format!(
            "One exciter alone at its best place, {}, would be even within {}; {} together are within {}, by the search.",
            at(one.positions[0]),
            even(one),
            found.exciters.len(),
            even(all)
        ));
    }
    let where_to: Vec<String> = two.positions.iter().map(|&place| at(place)).collect();
    let gain = one.scores.evenness - two.scores.evenness;
    let verdict = if gain > NOTHING { "would make it even within" } else { "would not make it more even:" };
    Some(format!(
        "A second exciter of the kind on the same channel, the two at {}, {verdict} {} instead of {}, and would change the mean level by {}, by the search.",
        listed(&where_to),
        even(two),
        even(one),
        signed(two.scores.sensitivity - one.scores.sensitivity)
    ))
}

fn signed(level: f64) -> String {
    if level > 0.0 { format!("+{}", decibels(level)) } else { decibels(level) }
}

/// Which mirror images are as good, by the search.
fn images(found: &ExciterPlaces) -> Option<String> {
    let own = found.best.scores.evenness;
    let equal = |image: &&Mirrored| {
        (image.arrangement.scores.evenness - own).abs() < EQUAL
            && (image.arrangement.cost - found.best.cost).abs() < EQUAL
    };
    let (alike, different): (Vec<&Mirrored>, Vec<&Mirrored>) = found.mirrored.iter().partition(equal);
    let told = |image: &&Mirrored| {
        let (scores, cost) = (&image.arrangement.scores, image.arrangement.cost - found.best.cost);
        format!("{} {} (all scores together {} worse)", image.how, decibels(scores.evenness), decibels(cost))
    };
    let names: Vec<String> = alike.iter().map(|image| image.how.to_owned()).collect();
    let others: Vec<String> = different.iter().map(told).collect();
    match (names.is_empty(), others.is_empty()) {
        (true, true) => None,
        (false, true) => Some(format!(
            "Mirrored {}, the places are equally good: take whichever is easier to reach.",
            listed(&names)
        )),
        (true, false) => Some(format!(
            "Mirror images are not equal here, because panel, parts or seats are not symmetric: even within {} at the best {}, mirrored {}.",
            decibels(own),
            places(found),
            listed(&others)
        )),
        (false, false) => Some(format!(
            "Mirrored {}, the places are equally good; not so mirrored {} against {}.",
            listed(&names),
            listed(&others),
            decibels(own)
        )),
    }
}

/// `289 mm, 296 mm`.
fn at([x, y]: [f64; 2]) -> String {
    format!("{}, {}", millimetres(x), millimetres(y))
}

/// `289 mm, 296 mm (38 % of the width, 57 % of the height)`.
fn in_shares([x, y]: [f64; 2], scene: &Scene) -> String {
    let (width, height) = scene.panel.outline.bounding_box();
    let [along, up] = [x / width, y / height].map(|share| trimmed(100.0 * share, 0));
    format!("{} ({along} % of the width, {up} % of the height)", at([x, y]))
}

fn places(found: &ExciterPlaces) -> &'static str {
    if found.exciters.len() == 1 { "place" } else { "places" }
}

/// Says that a crossover was left out of the judgement, at the frequencies [Hz] that are left, and that biquads were not.
pub(super) fn crossover_left_out(channel: &Channel, judged: &[f64]) -> Vec<Warning> {
    let Channel { name, filters, .. } = channel;
    let biquads = matches!(&filters.made, Realisation::Digital { biquads, .. } if !biquads.is_empty());
    let kept = biquads.then(|| {
        let message = format!(
            "The biquads of channel \"{name}\" are heard as they are: slopes of a crossover among them count as uneven. State it as `high_pass` or `low_pass` to have it left out."
        );
        Warning::new("places", message)
    });
    left_out(name, filters, judged).into_iter().chain(kept).collect()
}

fn left_out(name: &str, filters: &Filters, judged: &[f64]) -> Option<Warning> {
    let (low, high) = (judged.first()?, judged.last()?);
    (filters.high_pass.is_some() || filters.low_pass.is_some()).then(|| {
        let message = format!(
            "Exciters are judged without the crossover of channel \"{name}\", from {} to {}, where it takes 6 dB or less away: its slopes are meant, not uneven.",
            hertz(*low),
            hertz(*high)
        );
        Warning::new("places", message)
    })
}

/// Doubts about the search.
pub(super) fn doubts(found: &ExciterPlaces, bench: &Bench) -> Vec<Warning> {
    let mut doubts = vec![];
    let mut doubt = |message: String| doubts.push(Warning::new("places", message));
    if let Some(stranger) = bench.group.stranger() {
        doubt(format!(
            "\"{}\" differs from \"{}\"; the search gives all of them the data of \"{}\". The whole predictions take each as it is: trust those, \
             and try which of the two goes where.",
            stranger.name, found.exciters[0], found.exciters[0]
        ));
    }
    if bench.scene.channels.len() > 1 {
        doubt(format!(
            "The exciters of the other channels are left out of the search: neither their sound nor what they weigh on the panel is in the maps. They \
             stay where they are, play along in the whole predictions, and keep their places free. Only \"{}\" is placed; `channel` in [place] picks another one.",
            found.channel
        ));
    }
    if bench.scene.receivers.seats.len() == 1 {
        doubt("The places are judged at a single seat, and may suit nobody beside it: give the seats where people sit, three or more.".into());
    }
    let off = found.whole.best.evenness - found.best.scores.evenness;
    if off.abs() > APART && bench.scene.channels.len() == 1 {
        doubt(format!(
            "At the best places the whole prediction finds an evenness of {} where the search says {}: what the air does under a foot, or exciters of different kinds, are more \
             than the search takes into account. Compare a few of the other arrangements by whole predictions.",
            decibels(found.whole.best.evenness),
            decibels(found.best.scores.evenness)
        ));
    }
    if found.best.scores.robustness.is_some_and(|worse| worse > TOUCHY) {
        doubt("The best places are touchy: mark them to the millimetre, or take one of the other arrangements that forgives more.".into());
    }
    doubts
}
