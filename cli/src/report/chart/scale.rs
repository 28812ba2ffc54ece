//! From values to places on the paper and back to round numbers.

use crate::report::format;

/// One axis: values from `low` to `high` laid out between two places in user units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// True for a logarithmic axis.
    pub logarithmic: bool,
    /// Value at the start.
    pub low: f64,
    /// Value at the end.
    pub high: f64,
    /// Distance of the grid lines of a linear axis, if not simply a round one.
    pub step: Option<f64>,
}

/// A grid line; a label only where there is room for one.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// Value.
    pub value: f64,
    /// Text beside the axis.
    pub label: Option<String>,
}

impl Scale {
    /// Linear from `low` to `high`, widened to round numbers.
    pub fn linear(low: f64, high: f64) -> Self {
        let (low, high) = if high > low { (low, high) } else { (low - 0.5, low + 0.5) };
        let step = nice_step((high - low) / 4.0);
        Self {
            logarithmic: false,
            low: (low / step).floor() * step,
            high: (high / step).ceil() * step,
            step: None,
        }
    }

    /// Levels in decibels: the loudest value rounded up, and at most `span` below it.
    pub fn decibels(values: impl IntoIterator<Item = f64>, span: f64) -> Self {
        let Some((low, high)) = extent(values) else { return Self::linear(0.0, span) };
        let high = ((high + 2.0) / 10.0).ceil() * 10.0;
        let low = (low / 10.0).floor() * 10.0;
        Self { logarithmic: false, low: low.max(high - span), high, step: None }
    }

    /// Phase angles in degrees, in eighths of a turn.
    pub fn degrees(values: impl IntoIterator<Item = f64>) -> Self {
        let (low, high) = extent(values).unwrap_or((0.0, 0.0));
        let (low, high) = ((low / 45.0).floor() * 45.0, (high / 45.0).ceil() * 45.0);
        Self { logarithmic: false, low: low.min(-45.0), high: high.max(45.0), step: Some(45.0) }
    }

    /// Logarithmic, widened to 1, 2 or 5 times a power of ten, at most `decades` deep.
    pub fn log(values: impl IntoIterator<Item = f64>, decades: f64) -> Self {
        let Some((low, high)) = extent(values.into_iter().filter(|v| *v > 0.0)) else {
            return Self { logarithmic: true, low: 1.0, high: 10.0, step: None };
        };
        let low = low.max(high / 10f64.powf(decades));
        let (low, high) = (round_down(low * 0.999), round_up(high * 1.001));
        Self { logarithmic: true, low, high, step: None }
    }

    /// Frequency axis over exactly the computed range.
    pub fn frequency(frequencies: &[f64]) -> Self {
        let (low, high) = extent(frequencies.iter().copied()).unwrap_or((20.0, 20e3));
        let high = if high > low { high } else { low * 2.0 };
        Self { logarithmic: true, low, high, step: None }
    }

    /// Share of the way from `low` to `high`, 0…1 inside the axis.
    pub fn share(&self, value: f64) -> f64 {
        if self.logarithmic {
            (value / self.low).ln() / (self.high / self.low).ln()
        } else {
            (value - self.low) / (self.high - self.low)
        }
    }

    /// Grid lines inside the axis, at most about `count` of them labelled.
    pub fn ticks(&self, count: usize) -> Vec<Tick> {
        if self.logarithmic { self.log_ticks(count) } else { self.linear_ticks(count) }
    }

    fn linear_ticks(&self, count: usize) -> Vec<Tick> {
        let step = self.step.unwrap_or_else(|| nice_step((self.high - self.low) / count as f64));
        let digits = (-step.log10().floor()).max(0.0) as usize;
        let first = (self.low / step - 1e-9).ceil() as i64;
        let last = (self.high / step + 1e-9).floor() as i64;
        let tick = |i: i64| {
            let value = i as f64 * step;
            Tick { value, label: Some(format::fixed(value, digits)) }
        };
        (first..=last).map(tick).collect()
    }

    fn log_ticks(&self, count: usize) -> Vec<Tick> {
        let decades = (self.high / self.low).log10();
        let labelled: &[i32] = match decades / count as f64 {
            d if d <= 1.0 / 6.0 => &[1, 2, 3, 5, 7],
            d if d <= 1.0 / 3.0 => &[1, 2, 5],
            _ => &[1],
        };
        let (first, last) = (self.low.log10().floor() as i32, self.high.log10().ceil() as i32);
        (first..=last)
            .flat_map(|exponent| (1..10).map(move |digit| (digit, exponent)))
            .map(|(digit, exponent)| {
                let label = labelled.contains(&digit).then(|| power_label(digit, exponent));
                Tick { value: f64::from(digit) * 10f64.powi(exponent), label }
            })
            .filter(|tick| (-1e-9..=1.0 + 1e-9).contains(&self.share(tick.value)))
            .collect()
    }
}

/// `5k` for 5000, `0.02` for 0.02, `10⁻⁵` for what is too small to spell out.
fn power_label(digit: i32, exponent: i32) -> String {
    match exponent {
        3..=5 => format!("{digit}{}k", "0".repeat((exponent - 3) as usize)),
        0..=2 => format!("{digit}{}", "0".repeat(exponent as usize)),
        -3..=-1 => format!("0.{}{digit}", "0".repeat((-exponent - 1) as usize)),
        _ if digit == 1 => format!("10{}", format::superscript(exponent)),
        _ => format!("{digit}·10{}", format::superscript(exponent)),
    }
}

/// Smallest and largest finite value.
pub fn extent(values: impl IntoIterator<Item = f64>) -> Option<(f64, f64)> {
    values.into_iter().filter(|v| v.is_finite()).fold(None, |range, v| {
        let (low, high) = range.unwrap_or((v, v));
        Some((low.min(v), high.max(v)))
    })
}

/// 1, 2 or 5 times a power of ten, at least `step`.
fn nice_step(step: f64) -> f64 {
    round_up(step.max(f64::MIN_POSITIVE))
}

fn round_up(value: f64) -> f64 {
    let power = 10f64.powf(value.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|&v| v >= value * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

fn round_down(value: f64) -> f64 {
    let power = 10f64.powf(value.log10().floor());
    [5.0, 2.0, 1.0].into_iter().map(|m| m * power).find(|&v| v <= value * (1.0 + 1e-9)).unwrap_or(power)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn labels(scale: Scale) -> Vec<String> {
        scale.ticks(10).into_iter().filter_map(|t| t.label).collect()
    }

    #[test]
    fn frequency_axis_is_labelled_in_ones_twos_and_fives() {
        let scale = Scale::frequency(&[20.0, 20e3]);
        assert_eq!(labels(scale), ["20", "50", "100", "200", "500", "1k", "2k", "5k", "10k", "20k"]);
    }

    #[test]
    fn linear_axis_ends_on_round_numbers() {
        let scale = Scale::linear(-3.2, 17.0);
        assert_eq!((scale.low, scale.high), (-10.0, 20.0));
        assert_eq!(labels(scale), ["−10", "−5", "0", "5", "10", "15", "20"]);
    }

    #[test]
    fn log_axis_spans_its_values_but_not_more_decades_than_allowed() {
        let scale = Scale::log([3e-9, 0.3, 7.0], 4.0);
        assert_eq!((scale.low, scale.high), (5e-4, 10.0));
        assert_eq!(
            Scale::log([3.1, 48.0], 6.0),
            Scale { logarithmic: true, low: 2.0, high: 50.0, step: None }
        );
    }

    #[test]
    fn shares_run_from_zero_to_one() {
        let scale = Scale::frequency(&[20.0, 20e3]);
        assert_relative_eq!(scale.share(20.0), 0.0);
        assert_relative_eq!(scale.share(200.0), 1.0 / 3.0, max_relative = 1e-12);
        assert_relative_eq!(Scale::linear(0.0, 10.0).share(2.5), 0.25);
    }

    #[test]
    fn nothing_to_show_still_gives_an_axis() {
        assert!(!Scale::decibels([f64::NAN, f64::NEG_INFINITY], 60.0).ticks(5).is_empty());
        assert!(!Scale::log([0.0], 6.0).ticks(5).is_empty());
        assert!(!Scale::linear(2.0, 2.0).ticks(5).is_empty());
    }
}
