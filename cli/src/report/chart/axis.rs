//! One axis of a picture of many things at once: numbers, or words at even distances.

use super::scale::{Scale, Tick, extent};

/// Room beyond the outermost values of a logarithmic axis, as a share of what lies between.
const MARGIN: f64 = 0.04;
/// From this many octaves on a logarithmic axis is marked at round powers.
const WIDE: f64 = 3.0;

/// An axis with the value of every thing on it.
pub struct Axis<'a> {
    /// What is laid out, and in which unit.
    pub title: String,
    /// From values to shares of the way.
    pub scale: Scale,
    /// What the numbers from 1 on stand for; none for plain numbers.
    pub words: &'a [String],
    /// Value of every thing; not a number where there is none.
    pub values: &'a [f64],
}

impl<'a> Axis<'a> {
    /// An axis wide enough for all values.
    pub fn of(title: String, words: &'a [String], logarithmic: bool, values: &'a [f64]) -> Self {
        let (low, high) = extent(values.iter().copied()).unwrap_or((0.0, 1.0));
        let scale = match words.len() {
            0 if logarithmic && low > 0.0 && high > low => ratios(low, high),
            0 => Scale::linear(low, high),
            count => Scale { logarithmic: false, low: 0.5, high: count as f64 + 0.5, step: Some(1.0) },
        };
        Self { title, scale, words, values }
    }

    /// Share of the way of thing `index`.
    pub fn share(&self, index: usize) -> f64 {
        self.scale.share(self.values[index])
    }

    /// Marks along the axis, about `count` of them with words; words are cut to `letters`.
    pub fn ticks(&self, count: usize, letters: usize) -> Vec<Tick> {
        if self.words.is_empty() {
            return self.numbers(count);
        }
        let tick = |(i, word): (usize, &String)| Tick {
            value: i as f64 + 1.0,
            label: Some(cut(word, letters / self.words.len())),
        };
        self.words.iter().enumerate().map(tick).collect()
    }

    /// Over few octaves even steps tell more than powers of ten.
    fn numbers(&self, count: usize) -> Vec<Tick> {
        let Scale { logarithmic, low, high, .. } = self.scale;
        if !logarithmic || (high / low).log2() > WIDE {
            return self.scale.ticks(count);
        }
        let even = Scale { logarithmic: false, ..self.scale };
        let within = |tick: &Tick| (-1e-9..=1.0 + 1e-9).contains(&self.scale.share(tick.value));
        even.ticks(count).into_iter().filter(within).collect()
    }
}

/// A logarithmic scale that is a little wider than its values: round ends would leave half of it empty.
fn ratios(low: f64, high: f64) -> Scale {
    let margin = (high / low).powf(MARGIN);
    Scale { logarithmic: true, low: low / margin, high: high * margin, step: None }
}

/// At most so many letters of a word.
fn cut(word: &str, letters: usize) -> String {
    match word.chars().count() {
        long if long > letters.max(3) => {
            word.chars().take(letters.max(3) - 1).chain(std::iter::once('…')).collect()
        }
        _ => word.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_lie_at_even_distances_and_are_cut_to_their_room() {
        let words = ["poplar plywood", "foam"].map(String::from);
        let axis = Axis::of("material".into(), &words, false, &[2.0, 1.0, 1.0]);
        assert_eq!([axis.share(0), axis.share(1)], [0.75, 0.25]);
        let labels: Vec<_> = axis.ticks(4, 20).into_iter().filter_map(|tick| tick.label).collect();
        assert_eq!(labels, ["poplar pl…", "foam"]);
    }

    #[test]
    fn a_narrow_logarithmic_axis_has_labels_all_the_same() {
        let axis = Axis::of("low end, Hz".into(), &[], true, &[61.0, 88.0, 72.0]);
        let labelled = axis.ticks(5, 0).iter().filter(|tick| tick.label.is_some()).count();
        assert!(labelled >= 2, "{labelled}");
        assert!(axis.scale.logarithmic && (0.0..=1.0).contains(&axis.share(0)));
    }

    #[test]
    fn one_value_makes_an_axis() {
        let axis = Axis::of("thickness, mm".into(), &[], false, &[4.0]);
        assert_eq!(axis.share(0), 0.5);
    }
}
