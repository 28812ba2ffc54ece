//! A curve from few solutions: rational interpolation, checked where it was not fitted.

use crate::rational::{Rational, Sample, distance, scales};
use num_complex::Complex64;

/// Solutions to begin with.
const FIRST: usize = 5;
/// Solutions in a row that the interpolant must foretell before it is believed; it is not fitted to them.
const CHECKS: usize = 2;
/// Largest error of a foretold value, relative to the largest of its function: 0.03 dB.
const TOLERANCE: f64 = 3e-3;
/// The fit itself is as much closer; less would follow the rounding of the operators.
const FIT: f64 = 0.3;

/// Functions of frequency, all known.
#[derive(Clone, Debug)]
pub(super) struct Swept {
    /// Values of all functions at every place.
    pub values: Vec<Vec<Complex64>>,
    /// How many of the places were solved.
    pub solved: usize,
    /// Largest error at solved places that the interpolant was not fitted to, relative to the largest value of its function; 0 when every
    /// place was solved.
    pub error: f64,
}

/// Values at all `places` (ascending) from as few solutions as suffice. `solve` gives the values at the place of an index; they should vary
/// slowly: the time of flight belongs taken out.
pub(super) fn sweep<E>(
    places: &[f64],
    mut solve: impl FnMut(usize) -> Result<Vec<Complex64>, E>,
) -> Result<Swept, E> {
    let mut known: Vec<Option<Vec<Complex64>>> = vec![None; places.len()];
    for index in first(places.len()) {
        known[index] = Some(solve(index)?);
    }
    let mut fitted: Vec<usize> = (0..places.len()).filter(|&i| known[i].is_some()).collect();
    let mut foretold: Vec<f64> = vec![];
    let mut fit = fit_to(places, &known, &fitted);
    while let Some(next) = loneliest(&known).filter(|_| foretold.len() < CHECKS) {
        let solved = solve(next)?;
        let scales = scales(&samples(places, &known, &fitted));
        foretold.push(distance(&fit.at(places[next]), &solved, &scales));
        known[next] = Some(solved);
        if foretold.last().is_some_and(|error| *error > TOLERANCE) {
            fitted = (0..places.len()).filter(|&i| known[i].is_some()).collect();
            foretold.clear();
            fit = fit_to(places, &known, &fitted);
        }
    }
    let solved = known.iter().flatten().count();
    let error =
        if solved == places.len() { 0.0 } else { foretold.iter().fold(0.0, |most: f64, e| most.max(*e)) };
    let values =
        known.into_iter().zip(places).map(|(value, x)| value.unwrap_or_else(|| fit.at(*x))).collect();
    Ok(Swept { values, solved, error })
}

/// Evenly spread, ends included.
fn first(count: usize) -> Vec<usize> {
    let most = FIRST.min(count);
    let mut spread: Vec<usize> = (0..most).map(|i| i * (count - 1) / (most - 1).max(1)).collect();
    spread.dedup();
    spread
}

fn samples(places: &[f64], known: &[Option<Vec<Complex64>>], chosen: &[usize]) -> Vec<Sample> {
    chosen.iter().filter_map(|&i| Some((places[i], known[i].clone()?))).collect()
}

fn fit_to(places: &[f64], known: &[Option<Vec<Complex64>>], chosen: &[usize]) -> Rational {
    Rational::fit(&samples(places, known, chosen), FIT * TOLERANCE)
}

/// The unknown index farthest from known ones; the last of several, where waves are shorter.
fn loneliest(known: &[Option<Vec<Complex64>>]) -> Option<usize> {
    let alone = |i: usize| {
        let to = |j: &usize| known[*j].is_some();
        let below = (0..i).rev().find(to).map_or(usize::MAX, |j| i - j);
        let above = (i + 1..known.len()).find(to).map_or(usize::MAX, |j| j - i);
        below.min(above)
    };
    (0..known.len()).filter(|&i| known[i].is_none()).max_by_key(|&i| alone(i))
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
        let swept = sweep(places, |i| {
            calls += 1;
            Ok::<_, Infallible>(response(places[i], quality))
        });
        let Ok(swept) = swept;
        (swept, calls)
    }

    #[test]
    fn few_solutions_make_a_curve_whose_error_is_as_stated() {
        let places = frequencies(25);
        let (swept, calls) = swept(&places, 5.0);
        assert!(calls == swept.solved && calls < 20, "{calls} solutions");
        let exact: Vec<Sample> = places.iter().map(|&f| (f, response(f, 5.0))).collect();
        let scales = scales(&exact);
        let worst =
            exact.iter().zip(&swept.values).map(|((_, e), v)| distance(v, e, &scales)).fold(0.0, f64::max);
        assert!(worst < 2.0 * TOLERANCE && swept.error <= TOLERANCE, "{worst} {}", swept.error);
    }

    #[test]
    fn a_resonance_too_sharp_for_the_grid_is_solved_everywhere() {
        let places = frequencies(25);
        let noise = |i: usize| Complex64::cis((i * i * 37 % 101) as f64);
        let Ok(swept) = sweep(&places, |i| Ok::<_, Infallible>(vec![noise(i)]));
        assert_eq!((swept.solved, swept.error), (25, 0.0));
        assert!((0..25).all(|i| swept.values[i] == [noise(i)]));
    }

    #[test]
    fn short_bands_are_solved_whole() {
        for count in [1, 2, 5] {
            let (swept, calls) = swept(&frequencies(count), 5.0);
            assert_eq!((swept.solved, calls, swept.values.len()), (count, count, count));
        }
    }
}
