//! Dips and peaks of a response, and where they go when something changes.

use serde::Serialize;

/// A dip or a peak.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Turn {
    /// Lower than both sides.
    Dip,
    /// Higher than both sides.
    Peak,
}

/// A place where a response turns.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Extremum {
    /// Dip or peak.
    pub turn: Turn,
    /// Frequency [Hz], between samples.
    pub frequency: f64,
    /// Level [dB].
    pub level: f64,
    /// How far it stands out [dB]: the way to go back on the easier side before the response is beyond it again.
    pub prominence: f64,
}

/// What became of a dip or peak.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Shift {
    /// As it was; `None` if it is new.
    pub before: Option<Extremum>,
    /// As it is; `None` if it is gone.
    pub after: Option<Extremum>,
}

/// Farthest that a dip or peak may go and still be the same [octaves].
const FARTHEST: f64 = 0.5;
/// A difference of prominence that speaks as much against two being the same as the farthest shift does [dB].
const UNLIKE: f64 = 30.0;

/// All dips and peaks that stand out by `least` [dB] or more, ascending. `levels` [dB] over ascending `frequencies` [Hz]; ends do not count.
///
/// Frequency and level are those of the parabola through three samples over the logarithm of frequency.
pub fn extrema(frequencies: &[f64], levels: &[f64], least: f64) -> Vec<Extremum> {
    let turned: Vec<f64> = levels.iter().map(|level| -level).collect();
    let mut found = peaks(frequencies, levels, least);
    let dips = peaks(frequencies, &turned, least).into_iter();
    found.extend(dips.map(|dip| Extremum { turn: Turn::Dip, level: -dip.level, ..dip }));
    found.sort_by(|a, b| a.frequency.total_cmp(&b.frequency));
    found
}

fn peaks(frequencies: &[f64], levels: &[f64], least: f64) -> Vec<Extremum> {
    let top = |i: &usize| levels[*i] > levels[i - 1] && levels[*i] >= levels[i + 1];
    let peak = |i: usize| {
        let (frequency, level) = vertex(frequencies, levels, i);
        let prominence = prominence(levels, i) + level - levels[i];
        Extremum { turn: Turn::Peak, frequency, level, prominence }
    };
    let inside = 1..levels.len().saturating_sub(1).max(1);
    inside.filter(top).map(peak).filter(|peak| peak.prominence >= least).collect()
}

/// Height over the higher of the two lowest points on the ways to something higher.
fn prominence(levels: &[f64], top: usize) -> f64 {
    let lowest = |side: &mut dyn Iterator<Item = usize>| {
        side.map(|i| levels[i]).take_while(|level| *level <= levels[top]).fold(levels[top], f64::min)
    };
    let left = lowest(&mut (0..top).rev());
    let right = lowest(&mut (top + 1..levels.len()));
    levels[top] - left.max(right)
}

/// Top of the parabola through three samples.
fn vertex(frequencies: &[f64], levels: &[f64], i: usize) -> (f64, f64) {
    let [x0, x1, x2] = [i - 1, i, i + 1].map(|j| frequencies[j].ln());
    let [y0, y1, y2] = [i - 1, i, i + 1].map(|j| levels[j]);
    let (s0, s1) = ((y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1));
    let bend = (s1 - s0) / (x2 - x0);
    // The top of a plateau has no vertex.
    if bend >= 0.0 {
        return (frequencies[i], y1);
    }
    // y(x) = y1 + s (x − x1) + bend (x − x1)², s the slope there.
    let slope = s0 + bend * (x1 - x0);
    let along = (-slope / (2.0 * bend)).clamp(x0 - x1, x2 - x1);
    ((x1 + along).exp(), y1 + slope * along + bend * along * along)
}

/// Which dip or peak became which, in order of frequency: the pairing of like with like that keeps their order and moves them least.
pub fn shifts(before: &[Extremum], after: &[Extremum]) -> Vec<Shift> {
    let mut all: Vec<Shift> = [Turn::Dip, Turn::Peak]
        .into_iter()
        .flat_map(|turn| {
            let of = |list: &[Extremum]| list.iter().copied().filter(|e| e.turn == turn).collect::<Vec<_>>();
            paired(&of(before), &of(after))
        })
        .collect();
    let at = |shift: &Shift| shift.before.or(shift.after).map_or(0.0, |extremum| extremum.frequency);
    all.sort_by(|a, b| at(a).total_cmp(&at(b)));
    all
}

/// Least total cost of pairing the first i of one list with the first j of the other, kept for all i and j.
fn paired(before: &[Extremum], after: &[Extremum]) -> Vec<Shift> {
    let (rows, columns) = (before.len(), after.len());
    let mut cost = vec![vec![0.0; columns + 1]; rows + 1];
    for i in 0..=rows {
        for j in 0..=columns {
            let alone = |i: usize, j: usize| (i + j) as f64;
            cost[i][j] = match (i, j) {
                (0, _) | (_, 0) => alone(i, j),
                _ => {
                    let together = cost[i - 1][j - 1] + unlikeness(&before[i - 1], &after[j - 1]);
                    together.min(cost[i - 1][j] + 1.0).min(cost[i][j - 1] + 1.0)
                }
            };
        }
    }
    let (mut i, mut j, mut shifts) = (rows, columns, vec![]);
    while i > 0 || j > 0 {
        let together =
            i > 0 && j > 0 && cost[i][j] == cost[i - 1][j - 1] + unlikeness(&before[i - 1], &after[j - 1]);
        let gone = !together && i > 0 && (j == 0 || cost[i][j] == cost[i - 1][j] + 1.0);
        let (take_before, take_after) = (together || gone, !gone);
        shifts.push(Shift {
            before: take_before.then(|| before[i - 1]),
            after: take_after.then(|| after[j - 1]),
        });
        (i, j) = (i - usize::from(take_before), j - usize::from(take_after));
    }
    shifts
}

/// Between 0 and 2, where two that go alone cost as much; more when they cannot be the same.
fn unlikeness(a: &Extremum, b: &Extremum) -> f64 {
    let octaves = (b.frequency / a.frequency).log2().abs();
    match octaves <= FARTHEST {
        true => octaves / FARTHEST + ((a.prominence - b.prominence).abs() / UNLIKE).min(1.0),
        false => f64::INFINITY,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid() -> Vec<f64> {
        (0..105).map(|i| 1000.0 * 2f64.powf(f64::from(i) / 24.0)).collect()
    }

    /// A dip of a depth [dB] at a frequency, a tenth of an octave wide, on a gentle slope.
    fn response(features: &[(f64, f64)]) -> Vec<f64> {
        let at = |f: &f64| {
            let bump = |(centre, height): &(f64, f64)| height * (-((f / centre).log2() / 0.12).powi(2)).exp();
            80.0 + 0.2 * (f / 1000.0).log2() + features.iter().map(bump).sum::<f64>()
        };
        grid().iter().map(at).collect()
    }

    #[test]
    fn a_dip_is_found_between_samples_with_its_depth() {
        let found = extrema(&grid(), &response(&[(8500.0, -12.0), (13e3, 5.0)]), 1.0);
        assert_eq!(found.iter().map(|e| e.turn).collect::<Vec<_>>(), [Turn::Dip, Turn::Peak]);
        assert!((found[0].frequency / 8500.0 - 1.0).abs() < 3e-3, "{:?}", found[0]);
        assert!((found[0].prominence - 12.0).abs() < 0.5 && (found[1].prominence - 5.0).abs() < 0.5);
    }

    #[test]
    fn what_does_not_stand_out_is_left_out() {
        assert!(extrema(&grid(), &response(&[(3000.0, 0.8)]), 1.0).is_empty());
        assert!(extrema(&[], &[], 1.0).is_empty() && extrema(&[1.0, 2.0], &[0.0, 1.0], 1.0).is_empty());
        let slope: Vec<f64> = grid().iter().map(|f| f.log2()).collect();
        assert!(extrema(&grid(), &slope, 0.1).is_empty(), "the ends of a slope are no turns");
    }

    #[test]
    fn dips_and_peaks_are_followed_to_where_they_went() {
        let before = extrema(&grid(), &response(&[(8500.0, -8.0), (13e3, 5.0)]), 1.0);
        let after = extrema(&grid(), &response(&[(2000.0, 3.0), (7600.0, -12.0), (11.8e3, 5.0)]), 1.0);
        let moved = shifts(&before, &after);
        let frequencies = |e: Option<Extremum>| e.map_or(0.0, |e| (e.frequency / 100.0).round() * 100.0);
        let told: Vec<_> = moved.iter().map(|s| (frequencies(s.before), frequencies(s.after))).collect();
        assert_eq!(told, [(0.0, 2000.0), (8500.0, 7600.0), (13e3, 11.8e3)]);
    }

    #[test]
    fn nothing_jumps_an_octave() {
        let before = extrema(&grid(), &response(&[(3000.0, -8.0)]), 1.0);
        let after = extrema(&grid(), &response(&[(6500.0, -8.0)]), 1.0);
        let told: Vec<_> =
            shifts(&before, &after).iter().map(|s| (s.before.is_some(), s.after.is_some())).collect();
        assert_eq!(told, [(true, false), (false, true)]);
    }
}
