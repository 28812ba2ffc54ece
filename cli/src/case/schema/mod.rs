//! The case file described once: the reader checks against it, the reference page and the JSON Schema are printed from it.

mod channel;
mod driver;
mod json;
mod measured;
mod page;
mod place;
mod study;
mod surround;
mod tables;
mod values;

pub use json::json_schema;
pub use page::reference_page;
pub use tables::{CASE, EDGES};

pub use values::{default_number, limits_in_words};

use super::quantity::Quantity;

/// The words for what a study can judge by.
#[cfg(test)]
pub(crate) fn objective_words() -> &'static [&'static str] {
    study::OBJECTIVES
}

/// A table of the file.
#[derive(Debug)]
pub struct Table {
    /// Its name as a builder would say it, with article: "the panel".
    pub name: &'static str,
    /// What it describes.
    pub about: &'static str,
    /// Its keys, in the order of the reference page.
    pub keys: &'static [Key],
}

/// A key of a table.
#[derive(Debug)]
pub struct Key {
    /// As written in the file.
    pub name: &'static str,
    /// What may stand behind it.
    pub kind: Kind,
    /// Whether it may be left out.
    pub need: Need,
    /// As it would be written, right of the equals sign.
    pub example: &'static str,
    /// What it means.
    pub about: &'static str,
}

/// What may stand behind a key.
#[derive(Debug)]
pub enum Kind {
    /// Any text.
    Text,
    /// One of a few words.
    Choice(&'static [&'static str]),
    /// A number with its unit.
    Quantity(&'static Quantity, Limits),
    /// A bare number.
    Number(Limits),
    /// A bare whole number.
    Count(Limits),
    /// A point on the panel: two lengths or percentages.
    Position,
    /// Points on the panel: a list of pairs of lengths.
    Points,
    /// A table.
    Table(&'static Table),
    /// Any number of tables.
    Tables(&'static Table),
    /// One table, or any number of them under double brackets.
    OneOrMore(&'static Table),
    /// A text (a name from a list) or a table.
    TextOrTable(&'static Table),
    /// One of a few words, or a table.
    ChoiceOrTable(&'static [&'static str], &'static Table),
    /// `true` or `false`.
    Flag,
    /// A bare number, or a list of pairs of a frequency and a number.
    Curve(Limits),
    /// Any number of biquads: a list of lists of five bare numbers.
    Biquads,
    /// A text or a bare number: a value of another key, as it would be written there.
    Plain,
    /// A list of those.
    Plains,
}

/// Whether a key may be left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// It may not.
    Required,
    /// It may; what happens then.
    Optional(&'static str),
    /// It may, and then has this value, written as in the file but without quotes.
    Default(&'static str),
}

/// Values that are accepted, in SI units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Smallest.
    pub low: f64,
    /// True when `low` itself is not accepted.
    pub above: bool,
    /// Largest.
    pub high: f64,
    /// Why, if it is not plain; may be empty.
    pub why: &'static str,
}

/// From `low` to `high`, both included.
const fn between(low: f64, high: f64) -> Limits {
    Limits { low, above: false, high, why: "" }
}

/// More than zero and at most `high`.
const fn positive(high: f64) -> Limits {
    Limits { low: 0.0, above: true, high, why: "" }
}

impl Limits {
    /// The same limits with a reason.
    const fn because(self, why: &'static str) -> Self {
        Self { why, ..self }
    }

    /// True for accepted values.
    pub fn contain(&self, value: f64) -> bool {
        value <= self.high && if self.above { value > self.low } else { value >= self.low }
    }
}

impl Table {
    /// The key called `name`.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|k| k.name == name)
    }
}

impl Kind {
    /// The table that may stand there, once or repeatedly.
    pub fn inner(&self) -> Option<&'static Table> {
        match self {
            Self::Table(inner)
            | Self::Tables(inner)
            | Self::OneOrMore(inner)
            | Self::TextOrTable(inner)
            | Self::ChoiceOrTable(_, inner) => Some(inner),
            _ => None,
        }
    }

    /// The heading under which such a table stands.
    pub fn heading(&self, path: &str) -> String {
        if matches!(self, Self::Tables(_)) { format!("[[{path}]]") } else { format!("[{path}]") }
    }
}

impl Key {
    /// What is expected, in words: `a length with its unit, such as "4 mm"`.
    pub fn expected(&self) -> String {
        let example = self.example;
        match &self.kind {
            Kind::Text => format!("text in quotes, such as {example}"),
            Kind::Choice(words) => format!("one of {}", quoted(words)),
            Kind::Quantity(quantity, _) => format!("{} with its unit, such as {example}", quantity.name),
            Kind::Number(_) => format!("a bare number, such as {example}"),
            Kind::Count(_) => format!("a whole number, such as {example}"),
            Kind::Position => {
                format!(
                    "two distances, from the left and from the bottom side of the panel, such as {example}"
                )
            }
            Kind::Points => format!("a list of points, such as {example}"),
            Kind::Table(_) => format!("a table, such as {example}"),
            Kind::Tables(_) => format!("one or more tables, each headed [[{}]]", self.name),
            Kind::OneOrMore(_) => {
                format!("a table headed {example}, or several, each headed [[{}]]", self.name)
            }
            Kind::TextOrTable(_) => format!("a name in quotes, such as {example}, or a table"),
            Kind::ChoiceOrTable(words, _) => format!("one of {}, or a table", quoted(words)),
            Kind::Flag => "true or false".into(),
            Kind::Plain => format!("text in quotes or a bare number, such as {example}"),
            Kind::Plains => format!("a list of texts or bare numbers, such as {example}"),
            Kind::Biquads => format!("a list of lists of five numbers, such as {example}"),
            Kind::Curve(_) => format!("a bare number or a list of pairs, such as {example}"),
        }
    }

    /// The unit its example is written in, for messages.
    pub fn unit(&self) -> &'static str {
        self.example.trim_matches('"').split_once(' ').map_or("", |(_, unit)| unit)
    }
}

/// `"free", "simply supported" or "clamped"`.
pub fn quoted(words: &[&str]) -> String {
    let quoted: Vec<_> = words.iter().map(|w| format!("\"{w}\"")).collect();
    match quoted.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
        None => String::new(),
    }
}
