//! Values that can be told apart: those of lists, and what rounding leaves of ranges.

use super::design::level;
use super::parameter::{Choice, Continuous, Parameter, Spread};
use puruspe::erfc;
use std::collections::HashSet;
use std::f64::consts::SQRT_2;

/// Largest coordinate below 1.
const LAST: f64 = 1.0 - f64::EPSILON / 2.0;

impl Parameter {
    /// How many values it may have; `None` for a range that is not rounded.
    pub fn distinct(&self) -> Option<usize> {
        match &self.choice {
            Choice::List(values) => Some(values.len()),
            Choice::Range(range) => range.multiples().map(|[low, high]| (high - low) as usize + 1),
        }
    }

    /// Which of its values stands at coordinate `u`, from 0.
    fn place(&self, u: f64) -> usize {
        match &self.choice {
            Choice::List(values) => level(u, values.len()),
            Choice::Range(range) => {
                let low = range.multiples().map_or(0.0, |[low, _]| low);
                range.round_to.map_or(0, |step| ((range.number(u) / step).round() - low) as usize)
            }
        }
    }

    /// A coordinate of the value at this place.
    fn coordinate_of(&self, place: usize) -> f64 {
        match &self.choice {
            Choice::List(values) => (place as f64 + 0.5) / values.len() as f64,
            Choice::Range(range) => {
                let low = range.multiples().map_or(0.0, |[low, _]| low);
                range.spread.coordinate((low + place as f64) * range.round_to.unwrap_or(1.0))
            }
        }
    }

    /// How far from coordinate `u` the value at a place lies; those of lists have no order, so all are far.
    fn distance(&self, u: f64, place: usize) -> f64 {
        if self.is_a_list() { 1.0 } else { (self.coordinate_of(place) - u).abs() }
    }
}

impl Continuous {
    /// The lowest and the highest multiple of what it is rounded to; `None` without rounding.
    fn multiples(&self) -> Option<[f64; 2]> {
        let step = self.round_to?;
        Some([0.0, 1.0].map(|u| (self.number(u) / step).round()))
    }
}

impl Spread {
    /// The coordinate of a number, from 0 to below 1.
    fn coordinate(&self, number: f64) -> f64 {
        let u = match *self {
            Self::Even([from, to]) => (number - from) / (to - from),
            Self::Logarithmic([from, to]) => (number / from).ln() / (to / from).ln(),
            Self::Normal([mean, deviation]) => 0.5 * erfc((mean - number) / (deviation * SQRT_2)),
        };
        u.clamp(0.0, LAST)
    }
}

/// How many combinations of values there are; `None` where a range is not rounded, or there are more than can be counted.
pub fn combinations(parameters: &[Parameter]) -> Option<usize> {
    parameters.iter().try_fold(1usize, |total, parameter| total.checked_mul(parameter.distinct()?))
}

/// Combinations of values that are taken.
#[derive(Debug)]
pub struct Taken<'a> {
    parameters: &'a [Parameter],
    combinations: HashSet<Vec<usize>>,
}

impl<'a> Taken<'a> {
    /// Those of these points; `None` where a range is not rounded, so that no two points are the same.
    pub fn by<'p>(
        parameters: &'a [Parameter],
        points: impl IntoIterator<Item = &'p Vec<f64>>,
    ) -> Option<Self> {
        combinations(parameters)?;
        let mut taken = Self { parameters, combinations: HashSet::new() };
        for point in points {
            taken.combinations.insert(taken.places(point));
        }
        Some(taken)
    }

    /// `point` if its values are not taken, else the nearest point not taken that differs in one value, else the first of all that is not; `point` itself once
    /// all are taken. What is returned is taken from now on.
    pub fn take(&mut self, point: Vec<f64>) -> Vec<f64> {
        let mut places = self.places(&point);
        if self.combinations.insert(places.clone()) {
            return point;
        }
        let Some((value, place)) = self.nearest(&point, &places) else {
            return self.first().unwrap_or(point);
        };
        places[value] = place;
        self.combinations.insert(places);
        let mut point = point;
        point[value] = self.parameters[value].coordinate_of(place);
        point
    }

    fn places(&self, point: &[f64]) -> Vec<usize> {
        self.parameters.iter().zip(point).map(|(parameter, u)| parameter.place(*u)).collect()
    }

    /// The value to change, and to which, for the nearest combination that is not taken.
    fn nearest(&self, point: &[f64], places: &[usize]) -> Option<(usize, usize)> {
        let along = |(v, parameter): (usize, &'a Parameter)| {
            (0..parameter.distinct().unwrap_or(0))
                .map(move |place| (parameter.distance(point[v], place), v, place))
        };
        let free = |(_, v, place): &(f64, usize, usize)| {
            let mut changed = places.to_vec();
            changed[*v] = *place;
            !self.combinations.contains(&changed)
        };
        let near = self.parameters.iter().enumerate().flat_map(along).filter(free);
        near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, v, place)| (v, place))
    }

    /// The first combination that is not taken, the last value changing fastest.
    fn first(&mut self) -> Option<Vec<f64>> {
        let counts: Vec<usize> = self.parameters.iter().filter_map(Parameter::distinct).collect();
        let of = |number: usize| {
            let mut rest = number;
            let mut places: Vec<usize> =
                counts.iter().rev().map(|count| (rest % count, rest /= count).0).collect();
            places.reverse();
            places
        };
        let free = (0..counts.iter().product()).map(of).find(|places| !self.combinations.contains(places))?;
        let point = self.parameters.iter().zip(&free).map(|(p, place)| p.coordinate_of(*place)).collect();
        self.combinations.insert(free);
        Some(point)
    }
}

#[cfg(test)]
mod tests {
    use super::super::plan::Study;
    use super::*;
    use std::path::Path;

    const CASE: &str = include_str!("../../../tests/data/small-study.toml");

    /// The small study as an adaptive search over `count` variants, places rounded to `step`.
    fn study(count: usize, step: &str, spread: &str) -> Study {
        let rounded = format!("to = \"85 %\"\nround_to = \"{step}\"{spread}");
        let text = CASE
            .replace("variants = 60", &format!("method = \"adaptive\"\nvariants = {count}"))
            .replace("to = \"85 %\"", &rounded);
        Study::of(text, Path::new("small.toml")).unwrap_or_else(|_| panic!("a sound case"))
    }

    #[test]
    fn every_place_has_a_coordinate_that_stands_for_it() {
        for (step, spread, count) in [
            ("10 %", "", 7),
            ("5 %", "", 15),
            ("0.7 %", "", 100),
            ("35 %", "", 2),
            ("5 %", "\nspread = \"logarithmic\"", 15),
        ] {
            let study = study(2, step, spread);
            let across = &study.parameters[0];
            assert_eq!(across.distinct(), Some(count), "{step}");
            for place in 0..count {
                let u = across.coordinate_of(place);
                assert!((0.0..1.0).contains(&u) && across.place(u) == place, "{step} {place} {u}");
            }
        }
        let normal = CASE.replacen(
            "from = \"15 %\"\nto = \"85 %\"",
            "mean = \"50 %\"\ndeviation = \"5 %\"\nspread = \"normal\"\nround_to = \"2 %\"",
            1,
        );
        let study = Study::of(normal, Path::new("small.toml")).unwrap_or_else(|_| panic!("a sound case"));
        let across = &study.parameters[0];
        // 4.75 deviations to either side.
        assert_eq!(across.distinct(), Some(25));
        assert!((0..25).all(|place| across.place(across.coordinate_of(place)) == place));
    }

    #[test]
    fn what_is_taken_gives_way_to_the_nearest_that_is_not() {
        let study = study(2, "10 %", "");
        let parameters = &study.parameters;
        let point = vec![0.52, 0.5, 0.25];
        let mut taken = Taken::by(parameters, []).unwrap_or_else(|| panic!("all are rounded"));
        assert_eq!(taken.take(point.clone()), point);
        // 15 to 85 % in steps of 10 %: 0.52 is 51.4 %, so 50 %; 60 % lies nearer to it than 40 %; of "up", 50 % as well, both lie farther.
        let mut values = |point: Vec<f64>| -> Vec<f64> {
            let taken = taken.take(point);
            taken.iter().zip(parameters).map(|(u, parameter)| parameter.number(*u)).collect()
        };
        assert_eq!(values(point.clone()), [60.0, 50.0, 3.0]);
        assert_eq!(values(point.clone())[..2], [50.0, 40.0]);
        assert_eq!(values(point.clone())[..2], [50.0, 60.0]);
        assert_eq!(values(point)[..2], [40.0, 50.0]);
    }

    #[test]
    fn all_combinations_are_taken_once_whatever_is_wanted() {
        let study = study(2, "35 %", "");
        let mut taken = Taken::by(&study.parameters, []).unwrap_or_else(|| panic!("all are rounded"));
        let places = taken.places(&[0.1; 3]);
        for _ in 0..8 {
            taken.take(vec![0.1; 3]);
        }
        assert_eq!((taken.combinations.len(), combinations(&study.parameters)), (8, Some(8)));
        assert_eq!(taken.take(vec![0.1; 3]), [0.1; 3]);
        assert!(taken.combinations.contains(&places));
    }

    /// A search whose best lies at one place, so that it is proposed again and again.
    #[test]
    fn a_search_looks_at_nothing_twice_and_ends_when_all_is_seen() {
        for (count, step, expected) in [(90, "10 %", 90), (200, "10 %", 98), (40, "35 %", 8)] {
            let mut study = study(count, step, "");
            assert_eq!(study.count(), expected);
            while study.chosen() < study.count() {
                let score = |number: usize| {
                    let point = study.point(number);
                    Some((point[0] - 0.5).powi(2) + (point[1] - 0.5).powi(2))
                };
                let scores: Vec<Option<f64>> = (0..study.chosen()).map(score).collect();
                study.choose(&scores);
            }
            let values: HashSet<Vec<String>> = (0..expected).map(|number| study.values(number)).collect();
            assert_eq!(values.len(), expected, "{step}");
        }
    }
}
