//! A curve from few solutions: rational interpolation, checked where it was not fitted.

use crate::rational::{Rational, Sample, distance};
use num_complex::Complex64;
use std::ops::Range;

/// Solutions to begin with.
const FIRST: usize = 5;
/// Solutions in a row that the interpolant must foretell before it is believed; it is not fitted to them.
const CHECKS: usize = 3;
/// Largest error of a foretold value, in units of its function's scale: 0.03 dB.
const TOLERANCE: f64 = 3e-3;
/// The fit itself is as much closer; less would follow the rounding of the operators.
const FIT: f64 = 0.3;
/// Scale of a function that stays small, over the largest of its group: 10 dB less.
const FLOOR: f64 = 0.3;

/// What a place has of solved places, by index.
pub(super) type Shares = Vec<(usize, Complex64)>;

/// Functions of frequency, all known.
#[derive(Clone, Debug)]
pub(super) struct Swept {
    /// Values of all functions at every place.
    pub values: Vec<Vec<Complex64>>,
    /// What a place's values have of those of solved places, by index: functions that were not swept themselves follow alike.
    pub shares: Vec<Shares>,
    /// How many of the places were solved.
    pub solved: usize,
    /// Largest error at solved places that the interpolant was not fitted to, in units of the function's scale; 0 when every place was solved.
    pub error: f64,
}

/// What is swept.
pub(super) struct Sweep<'a> {
    /// Places, ascending.
    pub places: &'a [f64],
    /// Indices of places that must be solved.
    pub wanted: &'a [usize],
    /// Functions of one kind each. The scale of a function is its own largest value, or 10 dB less than the largest of its group.
    pub groups: &'a [Range<usize>],
}

impl Sweep<'_> {
    /// Values at all places from as few solutions as suffice. `solve` gives the values at the place of an index; they should vary slowly: the time of
    /// flight belongs taken out.
    pub fn run<E>(&self, mut solve: impl FnMut(usize) -> Result<Vec<Complex64>, E>) -> Result<Swept, E> {
        let places = self.places;
        let mut known: Vec<Option<Vec<Complex64>>> = vec![None; places.len()];
        for index in first(places.len(), self.wanted) {
            known[index] = Some(solve(index)?);
        }
        let mut fitted = self.fitted(&known);
        let mut foretold: Vec<f64> = vec![];
        while let Some(next) = loneliest(places, &known).filter(|_| foretold.len() < CHECKS) {
            let solved = solve(next)?;
            foretold.push(distance(&fitted.0.at(places[next]), &solved, &fitted.1));
            known[next] = Some(solved);
            if foretold.last().is_some_and(|error| *error > TOLERANCE) {
                foretold.clear();
                fitted = self.fitted(&known);
            }
        }
        let solved = known.iter().flatten().count();
        let error =
            if solved == places.len() { 0.0 } else { foretold.iter().fold(0.0, |most: f64, e| most.max(*e)) };
        let shares = places.iter().map(|x| self.shares(&fitted.0, *x)).collect();
        let filled = known.into_iter().zip(places).map(|(value, x)| value.unwrap_or_else(|| fitted.0.at(*x)));
        Ok(Swept { values: filled.collect(), shares, solved, error })
    }

    fn shares(&self, fitted: &Rational, x: f64) -> Vec<(usize, Complex64)> {
        let index = |node: f64| self.places.partition_point(|&place| place < node);
        fitted.shares(x).into_iter().map(|(node, share)| (index(node), share)).collect()
    }

    /// The interpolant of all that is known, and the scales it was fitted to.
    fn fitted(&self, known: &[Option<Vec<Complex64>>]) -> (Rational, Vec<f64>) {
        let sample = |(x, value): (&f64, &Option<Vec<Complex64>>)| Some((*x, value.clone()?));
        let samples: Vec<Sample> = self.places.iter().zip(known).filter_map(sample).collect();
        let scales = scales(&samples, self.groups);
        (Rational::fit(&samples, &scales, FIT * TOLERANCE), scales)
    }
}

/// Scale of every function; 1 for groups that vanish.
fn scales(samples: &[Sample], groups: &[Range<usize>]) -> Vec<f64> {
    let largest = |i: usize| samples.iter().map(|(_, values)| values[i].norm()).fold(0.0, f64::max);
    let of_group = |group: &Range<usize>| {
        let own: Vec<f64> = group.clone().map(largest).collect();
        let floor = FLOOR * own.iter().copied().fold(0.0, f64::max);
        own.into_iter().map(move |own| if floor > 0.0 { own.max(floor) } else { 1.0 })
    };
    groups.iter().flat_map(of_group).collect()
}

/// Evenly spread, ends included, but those wanted in place of the nearest.
fn first(count: usize, wanted: &[usize]) -> Vec<usize> {
    let most = FIRST.min(count);
    let mut spread: Vec<usize> = (0..most).map(|i| i * (count - 1) / (most - 1).max(1)).collect();
    for &index in wanted {
        let inner = spread.iter_mut().filter(|at| **at > 0 && **at < count - 1 && !wanted.contains(at));
        match inner.min_by_key(|at| at.abs_diff(index)) {
            Some(nearest) => *nearest = index,
            None => spread.push(index),
        }
    }
    spread.sort_unstable();
    spread.dedup();
    spread
}

/// The unknown index farthest from known ones, by difference and by ratio alike: reflections make ripples of even width, resonances such of
/// even ratio.
fn loneliest(places: &[f64], known: &[Option<Vec<Complex64>>]) -> Option<usize> {
    let [first, last] = [places[0], places[places.len() - 1]];
    let (width, ratio) = (last - first, (last / first).ln());
    let apart = |i: usize, j: usize| {
        (places[i] - places[j]).abs() / width + (places[i] / places[j]).ln().abs() / ratio
    };
    let solved: Vec<usize> = (0..known.len()).filter(|&i| known[i].is_some()).collect();
    let alone = |i: usize| solved.iter().map(|&j| apart(i, j)).fold(f64::INFINITY, f64::min);
    let unknown = (0..known.len()).filter(|&i| known[i].is_none());
    unknown.max_by(|&i, &j| alone(i).total_cmp(&alone(j)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::convert::Infallible;

    fn frequencies(count: usize) -> Vec<f64> {
        (0..count).map(|i| 1000.0 * 2f64.powf(i as f64 / 24.0)).collect()
    }

    /// A resonance, its reflection a little later, and something steady.
    fn response(f: f64, quality: f64) -> Vec<Complex64> {
        let peak = Complex64::ONE / Complex64::new(1.0 - (f / 1450.0).powi(2), f / 1450.0 / quality);
        vec![peak, peak * (1.0 + 0.5 * Complex64::cis(-f * 1.2e-3)), Complex64::new(f * 1e-3, 0.2)]
    }

    fn swept(places: &[f64], quality: f64) -> (Swept, usize) {
        let mut calls = 0;
        let Ok(swept) = Sweep { places, wanted: &[], groups: &[0..1, 1..2, 2..3] }.run(|i| {
            calls += 1;
            Ok::<_, Infallible>(response(places[i], quality))
        });
        (swept, calls)
    }

    #[test]
    fn few_solutions_make_a_curve_whose_error_is_as_stated() {
        let places = frequencies(25);
        let (swept, calls) = swept(&places, 5.0);
        assert!(calls == swept.solved && calls < 20, "{calls} solutions");
        let exact: Vec<Sample> = places.iter().map(|&f| (f, response(f, 5.0))).collect();
        let scales = scales(&exact, &[0..1, 1..2, 2..3]);
        let worst =
            exact.iter().zip(&swept.values).map(|((_, e), v)| distance(v, e, &scales)).fold(0.0, f64::max);
        assert!(worst < 2.0 * TOLERANCE && swept.error <= TOLERANCE, "{worst} {}", swept.error);
    }

    #[test]
    fn a_resonance_too_sharp_for_the_grid_is_solved_everywhere() {
        let places = frequencies(25);
        let noise = |i: usize| Complex64::cis((i * i * 37 % 101) as f64);
        let sweep = Sweep { places: &places, wanted: &[], groups: &[0..1, 1..2] };
        let Ok(swept) = sweep.run(|i| Ok::<_, Infallible>(vec![noise(i), noise(i + 7)]));
        assert_eq!((swept.solved, swept.error), (25, 0.0));
        assert!((0..25).all(|i| swept.values[i] == [noise(i), noise(i + 7)]));
    }

    /// A flare before a wall, from 1 to 9.6 kHz: late reflections and a resonance near the top, over more than three octaves.
    #[test]
    fn reflections_over_octaves_are_not_guessed() {
        let places = frequencies(79);
        let wave = |f: f64, late: f64, part: f64| part * Complex64::cis(-f * late * std::f64::consts::TAU);
        let heard = |f: f64| {
            let peak = Complex64::ONE / Complex64::new(1.0 - (f / 8700.0).powi(2), f / 8700.0 / 8.0);
            let reflected = 1.0 + wave(f, 3.2e-4, 0.6) + wave(f, 5.1e-4, -0.3) + wave(f, 6.6e-4, 0.2);
            vec![reflected + 0.1 * peak, reflected * peak * 0.1, wave(f, 1.5e-4, 0.5) + peak * 0.05]
        };
        let groups = [0..1, 1..2, 2..3];
        let Ok(swept) = Sweep { places: &places, wanted: &[], groups: &groups }
            .run(|i| Ok::<_, Infallible>(heard(places[i])));
        let exact: Vec<Sample> = places.iter().map(|&f| (f, heard(f))).collect();
        let scales = scales(&exact, &groups);
        let worst =
            exact.iter().zip(&swept.values).map(|((_, e), v)| distance(v, e, &scales)).fold(0.0, f64::max);
        assert!(worst < 5.0 * TOLERANCE && swept.solved < 70, "{worst} with {} solved", swept.solved);
    }

    #[test]
    fn wanted_places_are_solved() {
        let places = frequencies(25);
        let mut solved = vec![];
        let Ok(_) = Sweep { places: &places, wanted: &[7, 8], groups: &[0..1, 1..2, 2..3] }.run(|i| {
            solved.push(i);
            Ok::<_, Infallible>(response(places[i], 5.0))
        });
        assert!(solved[..FIRST].contains(&7) && solved[..FIRST].contains(&8), "{solved:?}");
        assert_eq!(first(3, &[1, 2]), [0, 1, 2]);
    }

    #[test]
    fn quiet_functions_count_by_their_group() {
        let samples = [(1.0, vec![Complex64::from(2.0), Complex64::from(1e-3), Complex64::ZERO])];
        assert_eq!(scales(&samples, &[0..2, 2..3]), [2.0, 0.6, 1.0]);
    }

    #[test]
    fn short_bands_are_solved_whole() {
        for count in [1, 2, 5] {
            let (swept, calls) = swept(&frequencies(count), 5.0);
            assert_eq!((swept.solved, calls, swept.values.len()), (count, count, count));
        }
    }
}
