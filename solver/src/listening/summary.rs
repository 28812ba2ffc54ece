//! The findings in plain words.

use super::findings::{DeadSpot, ExciterFindings, Findings, OutputMap, SeatFindings, Stability};
use super::level::ratio;
use crate::words::{decibels, hertz, millimetres, trimmed};
use panelwright_mesh::Outline;

/// Dead spots told one by one.
const TOLD_SPOTS: usize = 3;

/// Plain sentences for a builder, most important first: where it is loud and dead, how loud, what arrives at the seats, where the sound
/// comes from, what the parts suffer, and how far the prediction carries. No markup.
pub fn summary(findings: &Findings, outline: &Outline) -> Vec<String> {
    let mut sentences = vec![];
    sentences.extend(loud_and_quiet(&findings.map, outline));
    sentences.extend(dead(&findings.dead_spots, outline));
    sentences.extend(sensitivity(findings));
    sentences.extend(findings.seats.iter().map(usable_at));
    sentences.extend(wander(findings));
    sentences.extend(findings.exciters.iter().flat_map(overload));
    sentences.extend(trust(findings));
    sentences
}

/// Loudest and quietest ninth of the panel, all bands of the map weighing alike.
fn loud_and_quiet(map: &OutputMap, outline: &Outline) -> Option<String> {
    let levels = ninths(map, outline)?;
    let (loud, highest) = levels.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let (quiet, lowest) = levels.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1))?;
    let range = band_range(map)?;
    if highest - lowest < 1.0 {
        return Some(format!(
            "Averaged over {range}, {} in front, the panel is even: the loudest and the quietest ninth of its face are {} apart.",
            millimetres(map.distance),
            decibels(highest - lowest)
        ));
    }
    Some(format!(
        "Loudest {loud}, quietest {quiet}: {} apart, averaged over {range}, {} in front of the panel.",
        decibels(highest - lowest),
        millimetres(map.distance)
    ))
}

fn band_range(map: &OutputMap) -> Option<String> {
    let (first, last) = (map.bands.first()?.band.nominal, map.bands.last()?.band.nominal);
    Some(format!("the bands from {} to {}", hertz(first), hertz(last)))
}

/// Mean level of each ninth of the panel's face over the bands, each relative to its band's mean; ninths without points are left out.
fn ninths(map: &OutputMap, outline: &Outline) -> Option<Vec<(&'static str, f64)>> {
    const PLACES: [[&str; 3]; 3] = [
        ["at the lower left", "at the left", "at the upper left"],
        ["at the bottom", "in the middle", "at the top"],
        ["at the lower right", "at the right", "at the upper right"],
    ];
    let (width, height) = outline.bounding_box();
    let third = |at: f64, length: f64| {
        let share = at / length;
        (0.0..=1.0).contains(&share).then(|| ((3.0 * share) as usize).min(2))
    };
    let mut sums = [[(0.0, 0usize); 3]; 3];
    for band in map.bands.iter().filter(|b| b.mean.is_finite()) {
        for ((i, j), level) in band.level.indexed_iter() {
            let (Some(a), Some(b)) = (third(map.x[i], width), third(map.y[j], height)) else { continue };
            let (sum, count) = &mut sums[a][b];
            (*sum, *count) = (*sum + ratio(level - band.mean), *count + 1);
        }
    }
    let places = PLACES.iter().flatten().zip(sums.iter().flatten());
    let levels: Vec<_> = places
        .filter(|(_, (_, n))| *n > 0)
        .map(|(place, (sum, n))| (*place, 10.0 * (sum / *n as f64).log10()))
        .collect();
    (!levels.is_empty()).then_some(levels)
}

fn dead(spots: &[DeadSpot], outline: &Outline) -> Vec<String> {
    let (likely, doubtful): (Vec<DeadSpot>, Vec<DeadSpot>) = spots.iter().partition(|spot| is_likely(spot));
    if likely.is_empty() {
        let none = if doubtful.is_empty() { "No dead spots" } else { "No certain dead spots" };
        return std::iter::once(format!("{none} in front of the panel.")).chain(doubted(&doubtful)).collect();
    }
    let (told, rest) = likely.split_at(likely.len().min(TOLD_SPOTS));
    let mut sentences: Vec<String> = told.iter().map(|spot| dead_spot(spot, outline)).collect();
    sentences.extend(not_told(rest));
    sentences.extend(doubted(&doubtful));
    sentences
}

/// True unless the spot is gone in most variations of the panel.
fn is_likely(spot: &DeadSpot) -> bool {
    spot.stability.is_none_or(|stability| stability.likely())
}

/// Spots that the described panel has but most of its variations have not.
fn doubted(spots: &[DeadSpot]) -> Option<String> {
    let variations = spots.first()?.stability?.variations;
    let (count, they) = match spots.len() {
        1 => ("1 dead spot".into(), "it"),
        several => (format!("{several} dead spots"), "they"),
    };
    Some(format!(
        "{count} of the described panel {} gone in more than half of {variations} variations within the spread of material and workmanship: \
         {they} may not be there on yours.",
        if spots.len() == 1 { "is" } else { "are" },
    ))
}

/// A region that reaches over half of the panel's width or height is no spot to its reader but a strip.
fn dead_spot(spot: &DeadSpot, outline: &Outline) -> String {
    let (width, height) = outline.bounding_box();
    let [wide, high] = spot.extent;
    let strip = 2.0 * wide >= width || 2.0 * high >= height;
    format!(
        "{} in the {} band, {} wide and {} high; deepest {} from the left and {} from the bottom, seen from the front, {} below the map's mean{}.",
        if strip { "Quiet strip" } else { "Dead spot" },
        hertz(spot.band.nominal),
        millimetres(wide),
        millimetres(high),
        millimetres(spot.position[0]),
        millimetres(spot.position[1]),
        decibels(spot.depth),
        spot.stability.map_or_else(String::new, found_in)
    )
}

fn found_in(stability: Stability) -> String {
    format!("; found in {} of {} variations", stability.still_there, stability.variations)
}

/// How many spots are left to the table, and in which bands they lie.
fn not_told(spots: &[DeadSpot]) -> Option<String> {
    let bands = || spots.iter().map(|spot| spot.band.nominal);
    let (low, high) = (bands().reduce(f64::min)?, bands().reduce(f64::max)?);
    let (verb, noun) = if spots.len() == 1 { ("is", "spot") } else { ("are", "spots") };
    let range = if low < high {
        format!("in bands from {} to {}", hertz(low), hertz(high))
    } else {
        format!("in the {} band", hertz(low))
    };
    Some(format!("{} smaller or shallower dead {noun} {range} {verb} in the table.", spots.len()))
}

fn sensitivity(findings: &Findings) -> Option<String> {
    let mean = findings.sensitivity.mean;
    let reached =
        |f: f64| findings.frequencies.first() <= Some(&f) && findings.frequencies.last() >= Some(&f);
    let bands = if reached(180.0) && reached(4400.0) { "from 200 Hz to 4 kHz" } else { "that were computed" };
    mean.is_finite().then(|| {
        format!(
            "Sensitivity {} for 2.83 V at 1 m on the axis, mean of the third octaves {bands}{}.",
            decibels(mean),
            sensitivity_range(findings).unwrap_or_default()
        )
    })
}

fn sensitivity_range(findings: &Findings) -> Option<String> {
    let (spread, variations) = (findings.sensitivity.mean_spread?, findings.variations?);
    let tenths = |level: f64| format!("{} dB", trimmed(level, 1));
    Some(format!(
        "; eight in ten of {} variations give {} to {}",
        variations.count,
        tenths(spread.tenth),
        tenths(spread.ninetieth)
    ))
}

fn usable_at(seat: &SeatFindings) -> String {
    let name = &seat.name;
    let Some((usable, lower, upper)) = seat.usable.first().and_then(|u| Some((u, u.lower?, u.upper?))) else {
        return format!(
            "Seat \"{name}\": no usable band, no stretch stays within 6 dB below its mean level."
        );
    };
    let from = if usable.lower_open {
        format!("{} (start of the computed range)", hertz(lower))
    } else {
        hertz(lower)
    };
    let to = if usable.upper_open {
        format!("{} (end of the computed range)", hertz(upper))
    } else {
        hertz(upper)
    };
    format!(
        "Seat \"{name}\": usable from {from} to {to}, nowhere more than {} below its mean level of {}.",
        decibels(usable.drop),
        decibels(usable.reference)
    )
}

/// How far the acoustic centre moves from band to band.
fn wander(findings: &Findings) -> Option<String> {
    let range = |axis: usize| {
        let at = findings.centres.iter().map(|c| c.intensity.position[axis]);
        at.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
    };
    let (first, last) = (findings.centres.first()?, findings.centres.last()?);
    Some(format!(
        "The acoustic centre (by intensity) stays {} from the left and {} from the bottom, in the bands from {} to {}.",
        between(range(0)),
        between(range(1)),
        hertz(first.band.nominal),
        hertz(last.band.nominal)
    ))
}

/// Where lengths from `low` to `high` lie: one of them when they read the same.
fn between((low, high): (f64, f64)) -> String {
    let (low, high) = (millimetres(low), millimetres(high));
    if low == high { format!("at {low}") } else { format!("between {low} and {high}") }
}

/// What exceeds an exciter's ratings.
fn overload(exciter: &ExciterFindings) -> Vec<String> {
    let mut sentences = vec![];
    let (at, excursion) = exciter.worst_excursion;
    if let Some(rated) = exciter.rated_excursion.filter(|&rated| excursion > rated) {
        sentences.push(format!(
            "Exciter \"{}\": its coil would move ±{} mm at {}, its rating is ±{} mm. Lower the voltage or cut the bass.",
            exciter.name,
            trimmed(1e3 * excursion, 2),
            hertz(at),
            trimmed(1e3 * rated, 2)
        ));
    }
    let (at, power) = exciter.worst_power;
    if let Some(rated) = exciter.rated_power.filter(|&rated| power > rated) {
        sentences.push(format!(
            "Exciter \"{}\" would take {} W at {} from a steady tone, its rating is {} W: its coil would overheat.",
            exciter.name,
            trimmed(power, 2),
            hertz(at),
            trimmed(rated, 2)
        ));
    }
    sentences
}

/// Where single peaks stop meaning much, and how far the plate's theory carries.
fn trust(findings: &Findings) -> Vec<String> {
    let mut sentences = vec![];
    if let Some(f) = findings.panel.overlap_one {
        sentences.push(format!(
            "Above {} the panel's modes overlap: trust band averages there more than single peaks, which shift with every sheet of material.",
            hertz(f)
        ));
    }
    sentences.extend(findings.warnings.iter().filter(|w| w.concerns == "modes").map(|w| w.message.clone()));
    sentences
}

#[cfg(test)]
#[path = "summary_tests.rs"]
mod tests;
