//! A varied value: where it stands, and what it is at every coordinate between 0 and 1.

use super::design::level;
use super::tolerance;
use crate::case::Problem;
use crate::case::section::{Plain, Section};
use crate::case::varied::{Slot, SlotKind, find};
use puruspe::inverfc;
use std::f64::consts::SQRT_2;
use std::ops::Range;
use toml::de::DeTable;

/// A varied value.
#[derive(Clone, Debug)]
pub struct Parameter {
    /// What it is called.
    pub name: String,
    /// Where it stands.
    pub slot: Slot,
    /// What it may be.
    pub choice: Choice,
    /// What each value of a list costs.
    pub prices: Option<Prices>,
    /// Most that what is built may be off, up or down, in the unit of its numbers.
    pub tolerance: Option<f64>,
    /// Where it is described.
    pub span: Range<usize>,
}

/// What a varied value may be.
#[derive(Clone, Debug, PartialEq)]
pub enum Choice {
    /// One of these, as they are written without quotes.
    List(Vec<String>),
    /// A number, in the unit that follows it.
    Range(Continuous),
}

/// A range of numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Continuous {
    /// How numbers lie in it.
    pub spread: Spread,
    /// What follows the number, with the space before it; empty for bare numbers.
    pub unit: String,
    /// Numbers are multiples of this.
    pub round_to: Option<f64>,
    /// How many a grid takes.
    pub levels: Option<usize>,
}

/// How numbers lie in a range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spread {
    /// Evenly between both ends.
    Even([f64; 2]),
    /// Evenly in the logarithm between both ends.
    Logarithmic([f64; 2]),
    /// Normally: mean and standard deviation.
    Normal([f64; 2]),
}

/// What the values of a list cost.
#[derive(Clone, Debug, PartialEq)]
pub struct Prices {
    /// Each of them.
    pub each: Vec<f64>,
    /// True when they are for each square metre of the panel.
    pub per_area: bool,
}

impl Spread {
    /// Both ends; a normal distribution has none.
    fn ends(&self) -> Option<[f64; 2]> {
        match *self {
            Self::Even(ends) | Self::Logarithmic(ends) => Some(ends),
            Self::Normal(_) => None,
        }
    }

    /// The number at coordinate `u` of 0 to 1.
    pub fn at(&self, u: f64) -> f64 {
        match *self {
            Self::Even([from, to]) => from + (to - from) * u,
            Self::Logarithmic([from, to]) => from * (to / from).powf(u),
            // The quantile of the normal distribution; the outermost millionth is cut off.
            Self::Normal([mean, deviation]) => {
                mean - deviation * SQRT_2 * inverfc(2.0 * u.clamp(1e-6, 1.0 - 1e-6))
            }
        }
    }
}

/// Share of a step by which binary fractions may be off.
const TINY: f64 = 1e-9;

impl Parameter {
    /// True when a change moves something or changes what drives it, but not the panel with its air: most of what was computed still holds.
    pub fn moves_only(&self) -> bool {
        ["exciter.", "channel.", "seat."].iter().any(|table| self.slot.path.starts_with(table))
    }

    /// True when its values are listed one by one.
    pub fn is_a_list(&self) -> bool {
        matches!(self.choice, Choice::List(_))
    }

    /// True when its numbers lie evenly in their logarithm.
    pub fn is_logarithmic(&self) -> bool {
        matches!(&self.choice, Choice::Range(Continuous { spread: Spread::Logarithmic(_), .. }))
    }

    /// How many levels a grid takes; `None` for a range without `levels`.
    pub fn levels(&self) -> Option<usize> {
        match &self.choice {
            Choice::List(values) => Some(values.len()),
            Choice::Range(range) => range.levels,
        }
    }

    /// The coordinate that a design's coordinate stands for: on a grid both ends of a range belong to it.
    pub fn coordinate(&self, u: f64, on_a_grid: bool) -> f64 {
        match (&self.choice, self.levels()) {
            (Choice::Range(range), Some(levels))
                if on_a_grid && !matches!(range.spread, Spread::Normal(_)) =>
            {
                level(u, levels) as f64 / (levels - 1) as f64
            }
            _ => u,
        }
    }

    /// The value at coordinate `u`, as it is written without quotes.
    pub fn text(&self, u: f64) -> String {
        match &self.choice {
            Choice::List(values) => values[level(u, values.len())].clone(),
            Choice::Range(range) => format!("{}{}", range.number(u), range.unit),
        }
    }

    /// Unit of its numbers; nothing for words and bare numbers.
    pub fn unit(&self) -> String {
        match &self.choice {
            Choice::Range(range) => range.unit.trim().to_owned(),
            Choice::List(values) => numbers(values).map_or_else(String::new, |(_, unit)| unit),
        }
    }

    /// The value at coordinate `u` as a number in its unit; of words, the place in their list, from 1.
    pub fn number(&self, u: f64) -> f64 {
        match &self.choice {
            Choice::Range(range) => range.number(u),
            Choice::List(values) => {
                let at = level(u, values.len());
                numbers(values).map_or(at as f64 + 1.0, |(numbers, _)| numbers[at])
            }
        }
    }

    /// The words that its numbers stand for; none if it has numbers.
    pub fn words(&self) -> &[String] {
        match &self.choice {
            Choice::List(values) if numbers(values).is_none() => values,
            _ => &[],
        }
    }

    /// What the value at coordinate `u` costs on a panel of `area` [m²].
    pub fn price(&self, u: f64, area: f64) -> f64 {
        let Some(prices) = &self.prices else { return 0.0 };
        let price = prices.each[level(u, prices.each.len())];
        if prices.per_area { price * area } else { price }
    }
}

impl Continuous {
    /// The number at coordinate `u`, rounded.
    pub(super) fn number(&self, u: f64) -> f64 {
        let number = self.spread.at(u);
        // Fifteen digits: what a binary fraction adds beyond them is noise to whoever reads the case.
        let plain = |number: f64| format!("{number:.14e}").parse().unwrap_or(number);
        let Some(step) = self.round_to else { return plain(number) };
        let multiple = (number / step).round();
        // Rounding does not lead out of the range.
        plain(
            step * self.spread.ends().map_or(multiple, |[from, to]| {
                multiple.clamp((from / step - TINY).ceil(), (to / step + TINY).floor())
            }),
        )
    }
}

/// The varied value described by `section`, or `None` with its problems told.
pub fn build(section: &Section, document: &DeTable<'_>, problems: &mut Vec<Problem>) -> Option<Parameter> {
    let path = section.text("value")?;
    let slot = match find(document, path) {
        Ok(slot) => slot,
        Err(reason) => {
            let problem =
                Problem::error(section.place("value"), format!("`{path}` leads to no value of the case"));
            problems.push(problem.because("varied is this").instead(reason));
            return None;
        }
    };
    let choice = choice(section, &slot, problems)?;
    let prices = prices(section, &choice, problems)?;
    let name = section.text("name").unwrap_or(path).to_owned();
    let mut parameter = Parameter { name, slot, choice, prices, tolerance: None, span: section.span.clone() };
    parameter.tolerance = tolerance::of(section, &parameter, problems)?;
    Some(parameter)
}

fn choice(section: &Section, slot: &Slot, problems: &mut Vec<Problem>) -> Option<Choice> {
    let normal = section.text("spread")? == "normal";
    let given: Vec<&str> =
        ["list", "from", "to", "mean", "deviation"].into_iter().filter(|key| section.mentions(key)).collect();
    match (&given[..], normal) {
        (["list"], false) => list(section, slot, problems),
        (["from", "to"], false) | (["mean", "deviation"], true) => range(section, slot, normal, problems),
        _ => {
            let help = "write `list`, or `from` and `to`, or `mean` and `deviation` with spread = \"normal\"";
            let message = format!("it is not clear what `{}` is varied over", slot.path);
            let label = if given.is_empty() {
                "nothing is said".into()
            } else {
                format!("given are {}", given.join(", "))
            };
            problems.push(Problem::error(section.span.clone(), message).because(label).instead(help));
            None
        }
    }
}

fn list(section: &Section, slot: &Slot, problems: &mut Vec<Problem>) -> Option<Choice> {
    let values = section.plains("list")?;
    let read: Vec<Option<f64>> =
        values.iter().map(|value| amount(slot, value, problems)).collect::<Option<_>>()?;
    if let Some(again) =
        (1..values.len()).find(|&i| values[..i].iter().any(|earlier| earlier.text == values[i].text))
    {
        let problem =
            Problem::error(values[again].span.clone(), format!("\"{}\" stands twice", values[again].text));
        problems.push(problem.because("the second of two").instead("take one of them out"));
        return None;
    }
    debug_assert_eq!(read.len(), values.len());
    Some(Choice::List(values.iter().map(|value| value.text.clone()).collect()))
}

fn range(section: &Section, slot: &Slot, normal: bool, problems: &mut Vec<Problem>) -> Option<Choice> {
    if !slot.kind.is_number() {
        let problem =
            Problem::error(section.span.clone(), format!("`{}` is not a number and has no range", slot.path));
        problems.push(problem.because("a range needs numbers").instead("write a `list` of its values"));
        return None;
    }
    let keys = if normal { ["mean", "deviation"] } else { ["from", "to"] };
    let [first, second] = keys.map(|key| section.plain(key));
    let (first, second) = (first?, second?);
    amount(slot, first, problems)?;
    if !normal {
        amount(slot, second, problems)?;
    }
    let (low, unit) = split(&first.text);
    let high = in_unit(second, &unit, problems)?;
    let round_to = match section.plain("round_to") {
        Some(step) => Some(in_unit(step, &unit, problems)?),
        None if section.mentions("round_to") => return None,
        None => matches!(slot.kind, SlotKind::Count(_)).then_some(1.0),
    };
    let wrong = match section.text("spread")? {
        _ if round_to.is_some_and(|step| step <= 0.0) => Some("`round_to` is more than zero"),
        "normal" if high <= 0.0 => Some("a deviation is more than zero"),
        "normal" => None,
        _ if high <= low => Some("`to` is more than `from`"),
        _ if round_to.is_some_and(|step| (low / step - TINY).ceil() > (high / step + TINY).floor()) => {
            Some("no multiple of `round_to` lies between `from` and `to`")
        }
        "logarithmic" if low <= 0.0 => Some("a logarithmic range starts above zero"),
        _ => None,
    };
    if let Some(wrong) = wrong {
        let problem =
            Problem::error(section.span.clone(), format!("`{}` cannot be varied like this", slot.path));
        problems.push(problem.because("this range").instead(wrong));
        return None;
    }
    let spread = match section.text("spread")? {
        "normal" => Spread::Normal([low, high]),
        "logarithmic" => Spread::Logarithmic([low, high]),
        _ => Spread::Even([low, high]),
    };
    let levels = section.number("levels").map(|levels| levels as usize);
    Some(Choice::Range(Continuous { spread, unit, round_to, levels }))
}

/// What `value` amounts to in the slot; `Some(None)` for words.
fn amount(slot: &Slot, value: &Plain, problems: &mut Vec<Problem>) -> Option<Option<f64>> {
    match slot.read(&value.text) {
        Ok(amount) => Some(amount),
        Err(reason) => {
            let message = format!("`{}` cannot be \"{}\"", slot.path, value.text);
            let help = format!("write it as it stands there: \"{}\"", slot.now);
            problems.push(Problem::error(value.span.clone(), message).because(reason).instead(help));
            None
        }
    }
}

/// The number of `value`, whose unit must be `unit`.
fn in_unit(value: &Plain, unit: &str, problems: &mut Vec<Problem>) -> Option<f64> {
    let (number, own) = split(&value.text);
    if own.trim() == unit.trim() && number.is_finite() {
        return Some(number);
    }
    let message = format!("\"{}\" is not written like the start of its range", value.text);
    let help = match unit.trim() {
        "" => "write a bare number".into(),
        unit => format!("write both with the same unit: {unit}"),
    };
    problems.push(Problem::error(value.span.clone(), message).because("another unit").instead(help));
    None
}

/// Numbers of a list and their unit, if all are numbers of one unit.
fn numbers(values: &[String]) -> Option<(Vec<f64>, String)> {
    let (numbers, units): (Vec<f64>, Vec<String>) = values.iter().map(|value| split(value)).unzip();
    let unit = units.first()?.trim().to_owned();
    let alike =
        numbers.iter().all(|number| number.is_finite()) && units.iter().all(|other| other.trim() == unit);
    alike.then_some((numbers, unit))
}

/// Number and what follows it.
pub(super) fn split(text: &str) -> (f64, String) {
    let text = text.replace('−', "-");
    let end = (1..=text.len())
        .rev()
        .find(|&end| text.is_char_boundary(end) && text[..end].trim().parse::<f64>().is_ok())
        .unwrap_or(0);
    (text[..end].trim().parse().unwrap_or(f64::NAN), text[text[..end].trim_end().len()..].to_owned())
}

/// `Some(None)` without prices.
fn prices(section: &Section, choice: &Choice, problems: &mut Vec<Problem>) -> Option<Option<Prices>> {
    if !section.mentions("prices") {
        return Some(None);
    }
    let prices = section.plains("prices")?;
    let each: Option<Vec<f64>> =
        prices.iter().map(|price| price.text.parse().ok().filter(|price: &f64| price.is_finite())).collect();
    let of_a_list = matches!(choice, Choice::List(values) if values.len() == prices.len());
    match each.filter(|_| of_a_list) {
        Some(each) => Some(Some(Prices { each, per_area: section.text("priced_per")? == "square metre" })),
        None => {
            let problem = Problem::error(
                section.place("prices"),
                "each value of `list` needs one price, a bare number",
            );
            problems.push(
                problem.because("these are others").instead("write as many numbers as the list has values"),
            );
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_units_part_where_the_unit_begins() {
        for (text, number, unit) in
            [("3 mm", 3.0, " mm"), ("-2.5e-1mm", -0.25, "mm"), ("0.03", 0.03, ""), ("−4 °", -4.0, " °")]
        {
            assert_eq!(split(text), (number, unit.to_owned()));
        }
        assert!(split("mm").0.is_nan());
    }

    #[test]
    fn spreads_have_their_quantiles() {
        approx::assert_relative_eq!(Spread::Even([2.0, 4.0]).at(0.25), 2.5);
        approx::assert_relative_eq!(Spread::Logarithmic([1.0, 100.0]).at(0.5), 10.0, max_relative = 1e-14);
        // The normal distribution's 97.5 % quantile, 1.959964 (Abramowitz and Stegun, table 26.5); recomputed with scipy.stats.norm.ppf.
        approx::assert_relative_eq!(
            Spread::Normal([10.0, 2.0]).at(0.975),
            10.0 + 2.0 * 1.959963984540054,
            max_relative = 1e-9
        );
        assert!(Spread::Normal([0.0, 1.0]).at(0.0).is_finite());
    }

    #[test]
    fn rounded_numbers_read_as_they_are_cut() {
        let range = Continuous {
            spread: Spread::Even([500.0, 800.0]),
            unit: " mm".into(),
            round_to: Some(0.1),
            levels: None,
        };
        assert_eq!(range.number(0.123456), 537.0);
        assert_eq!(range.number(1.0 / 3.0 + 1e-4), 600.0);
        // Rounding stays within the range: 652 to 849 mm in steps of 5 mm are 655 to 845 mm.
        let inside =
            Continuous { spread: Spread::Even([652.0, 849.0]), round_to: Some(5.0), ..range.clone() };
        assert_eq!([0.0, 0.5, 1.0].map(|u| inside.number(u)), [655.0, 750.0, 845.0]);
        let fine = Continuous { round_to: None, ..range };
        assert_eq!(format!("{}", fine.number(0.1)), "530");
    }
}
