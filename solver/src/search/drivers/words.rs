//! What the places of a driver come to, in plain words.

use super::matched::BOUNDS;
use super::places::{DriverPlace, DriverPlaces};
use super::scores::DriverScores;
use crate::Warning;
use crate::scene::{Back, Behind, BlendScene, MeasuredPart, Scene};
use crate::words::{decibels, hertz, listed, millimetres, trimmed};
use panelwright_mesh::Outline;

/// Differences of cost [dB] that are not worth a hole.
const NOTHING: f64 = 0.1;
/// Delays [s] and gains [dB] that are not told.
const SMALL: [f64; 2] = [5e-6, 0.05];
/// Deviation from whole computations, of the sound without a board, from which on it is told as a doubt.
const FAR_OFF: f64 = 0.05;

/// Where a place lies as the listener sees the panel: "60 mm below the upper edge, 40 mm to the right of the middle".
pub fn where_it_is([x, y]: [f64; 2], (width, height): (f64, f64)) -> String {
    let upright = match y {
        y if y > height => format!("{} above the upper edge", millimetres(y - height)),
        y if y > 0.5 * height => format!("{} below the upper edge", millimetres(height - y)),
        y if y >= 0.0 => format!("{} above the lower edge", millimetres(y)),
        y => format!("{} below the lower edge", millimetres(-y)),
    };
    let sideways = x - 0.5 * width;
    let side = if sideways > 0.0 { "right" } else { "left" };
    let across = match sideways.abs() {
        beyond if beyond > 0.5 * width => {
            format!("{} beyond the {side} edge", millimetres(beyond - 0.5 * width))
        }
        off if off < 0.5e-3 => "in the middle".into(),
        off => format!("{} to the {side} of the middle", millimetres(off)),
    };
    format!("{upright}, {across}")
}

/// Sentences, the verdict first.
pub(super) fn summary(found: &DriverPlaces, size: (f64, f64)) -> Vec<String> {
    let name = &found.driver[0];
    let [best, now] = [&found.best, &found.now].map(|place| where_it_is(place.position, size));
    let gain = found.now.scores.cost - found.best.scores.cost;
    let verdict = match gain {
        gain if gain > NOTHING => {
            format!("Hang \"{name}\" {best}; where it is now, {now}, costs {} more.", decibels(gain))
        }
        gain if gain > -NOTHING => {
            format!(
                "\"{name}\" hangs well where it is, {now}: the best place found, {best}, would gain next to nothing ({}).",
                decibels(gain.max(0.0))
            )
        }
        loss => format!(
            "\"{name}\" hangs better where it is, {now}, than anywhere on the grid: by {} better than {best}.",
            decibels(-loss)
        ),
    };
    let mut sentences = vec![verdict, compared(&found.best.scores, &found.now.scores)];
    let there = if gain > NOTHING { &found.best } else { &found.now };
    sentences.push(settings(found, there));
    sentences.push(reflected(found));
    if !found.others.is_empty() {
        let others: Vec<String> = found.others.iter().map(|other| format!("\"{other}\"")).collect();
        let (stay, hang) = if others.len() > 1 { ("stay", "they hang") } else { ("stays", "it hangs") };
        sentences.push(format!(
            "For this {} {stay} where {hang}: after moving \"{name}\", search again.",
            listed(&others)
        ));
    }
    sentences
}

fn compared(best: &DriverScores, now: &DriverScores) -> String {
    let times = |scores: &DriverScores| match (scores.apart, scores.heard_apart) {
        (Some(apart), Some(heard)) => format!(
            "apart by {} times the blur of hearing, heard apart in {} % of the bands where both play",
            trimmed(apart, 1),
            trimmed(100.0 * heard, 0)
        ),
        _ => "not compared, as one part leads in every band".into(),
    };
    format!(
        "At the best place, and now: with delay, gain and polarity matched the sound at the seats is even within {} ({}); the centres are {} \
         ({}); the housing changes the panel's own sound by {} ({}).",
        decibels(best.matched.unevenness),
        decibels(now.matched.unevenness),
        times(best),
        times(now),
        decibels(best.shadow),
        decibels(now.shadow),
    )
}

/// What to set at a place, on top of the channels of the case.
fn settings(found: &DriverPlaces, place: &DriverPlace) -> String {
    let (name, matched) = (&found.driver[0], &place.scores.matched);
    let rest = if found.others.is_empty() { "the panel" } else { "everything else" };
    let mut parts = vec![];
    if matched.delay.abs() > SMALL[0] {
        let who = if matched.delay > 0.0 { format!("\"{name}\"") } else { rest.into() };
        parts.push(format!("{who} {} ms later", trimmed(1e3 * matched.delay.abs(), 2)));
    }
    if matched.gain_db.abs() > SMALL[1] {
        parts.push(format!(
            "\"{name}\" by {} {}",
            decibels(matched.gain_db.abs()),
            if matched.gain_db > 0.0 { "louder" } else { "quieter" }
        ));
    }
    if matched.reversed {
        parts.push("its polarity turned round".into());
    }
    let set = if parts.is_empty() { "nothing needs changing".into() } else { parts.join(", ") };
    let end = if matched.at_the_end() { stuck(rest) } else { String::new() };
    format!(
        "There, on top of the channels of the case: {set}.{end} As the channels are, the sound is even within {}.",
        decibels(place.scores.as_set)
    )
}

/// What a gain at the end of its range says.
fn stuck(rest: &str) -> String {
    let [least, most] = BOUNDS.map(|bound| trimmed(bound.abs(), 0));
    format!(
        " The gain stands at the end of what is tried, {least} dB quieter to {most} dB louder: the levels of the driver and {rest} are too far apart to be matched. Set `gain` of its \
         channel first, and search again."
    )
}

fn reflected(found: &DriverPlaces) -> String {
    let of = |scores: &DriverScores| {
        format!("{} (lowest at {}, {})", decibels(scores.comb), hertz(scores.dip[0]), decibels(scores.dip[1]))
    };
    format!(
        "What the panel throws back of \"{}\" ripples its own response by {} at the best place, by {} now.",
        found.driver[0],
        of(&found.best.scores),
        of(&found.now.scores)
    )
}

/// True when the panel stands in a wall without end, as its own sound is predicted.
pub(super) fn walled(panel: &Scene) -> bool {
    matches!(panel.panel.back, Back::Baffled | Back::Closed { .. } | Back::Vented { .. })
}

/// What is not believed without reserve.
pub(super) fn doubts(found: &DriverPlaces, scene: &BlendScene, driver: usize) -> Vec<Warning> {
    let (panel, behind) = (&scene.panel, &scene.drivers[driver].scene.behind);
    let mut doubts = vec![];
    // With several drivers a doubt says whose it is.
    let whose = if found.others.is_empty() { String::new() } else { format!("\"{}\": ", found.driver[0]) };
    let mut add = |message: String| doubts.push(Warning::new("driver-places", format!("{whose}{message}")));
    let worst = found.checked.iter().map(|check| check.deviation).fold(0.0, f64::max);
    if worst > FAR_OFF {
        add(format!(
            "At the places checked the map is up to {} % of the driver's own sound off the whole computation: run `panelwright blend` with the driver at the place before \
             you trust differences of a few tenths of a decibel.",
            trimmed(100.0 * worst, 0)
        ));
    }
    let [x, y] = found.best.position;
    let ends = |nodes: &[f64], at: f64| nodes.first() == Some(&at) || nodes.last() == Some(&at);
    if ends(&found.x, x) || ends(&found.y, y) {
        add("The best place lies at the border of the region: beyond it there may be a better one. Widen `margin` in [place.driver].".into());
    }
    if !walled(panel) && !matches!(panel.panel.outline, Outline::Rectangle { .. }) {
        add("The panel is no rectangle: near corners and cut-outs smaller than the driver the echo on its housing is that of a straight edge.".into());
    }
    let there = match behind {
        Behind::Board(_) => true,
        Behind::Plane => walled(panel),
        Behind::Nothing => false,
    };
    if !there {
        add("The panel stands behind the driver here, whatever `behind` in [driver] says; `panelwright blend` goes by that key.".into());
    }
    let of_it = |source| matches!(source, MeasuredPart::Driver { driver: one, .. } if one == driver);
    if scene.measured.iter().any(|measured| of_it(measured.source)) {
        add(format!(
            "What was measured of \"{}\" holds where it hung: here it is computed at every place, the present one, too.",
            found.driver[0]
        ));
    }
    if scene.measured.iter().any(|measured| measured.source == MeasuredPart::Panel) {
        add("What was measured of the panel holds with its exciters where they were: measure again after moving them.".into());
    }
    if panel.receivers.floor.is_some() {
        add("The floor is not heard here.".into());
    }
    doubts
}
