//! A table of the file after reading: values by key, defaults filled in, places remembered.

use super::schema::{Key, Kind, Need, Table, default_number};
use panelwright_solver::scene::LossCurve;
use std::collections::BTreeMap;
use std::ops::Range;

/// A value that was read.
#[derive(Clone, Debug)]
pub enum Value {
    /// In SI units.
    Number(f64),
    /// Any text.
    Text(String),
    /// One of the schema's words.
    Choice(&'static str),
    /// From the left, from the bottom.
    Position([Coordinate; 2]),
    /// Points in order.
    Points(Vec<Point>),
    /// True or false.
    Flag(bool),
    /// (frequency [Hz], number), at least one; a bare number is one point.
    Curve(Vec<(f64, f64)>),
    /// Sections of a signal processor in order, at least one.
    Biquads(Vec<Coefficients>),
    /// A value of another key.
    Plain(Plain),
    /// Values of another key in order, at least one.
    Plains(Vec<Plain>),
    /// A table.
    Table(Section),
    /// Any number of tables.
    Tables(Vec<Section>),
}

/// A value of another key as it would be written there, without quotes.
#[derive(Clone, Debug, PartialEq)]
pub struct Plain {
    /// Where it stands.
    pub span: Range<usize>,
    /// The text.
    pub text: String,
}

/// A point of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Where it stands.
    pub span: Range<usize>,
    /// From the left, from the bottom [m].
    pub position: [f64; 2],
}

/// A biquad of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Coefficients {
    /// Where it stands.
    pub span: Range<usize>,
    /// b0, b1, b2, a1, a2.
    pub values: [f64; 5],
}

/// One coordinate of a position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Coordinate {
    /// Metres.
    Length(f64),
    /// Share of the side, 0…1.
    Share(f64),
}

impl Coordinate {
    /// Metres from the start of a side of `length` [m].
    pub fn along(self, length: f64) -> f64 {
        match self {
            Self::Length(metres) => metres,
            Self::Share(share) => share * length,
        }
    }
}

/// A table that was read. A key that stood in the file but could not be read has no value, although it has a place.
#[derive(Clone, Debug)]
pub struct Section {
    /// What the table may hold.
    pub schema: &'static Table,
    /// Its heading.
    pub span: Range<usize>,
    values: BTreeMap<&'static str, (Range<usize>, Option<Value>)>,
}

impl Section {
    /// An empty table headed at `span`.
    pub fn new(schema: &'static Table, span: Range<usize>) -> Self {
        Self { schema, span, values: BTreeMap::new() }
    }

    /// Puts in what was found behind `key`.
    pub fn insert(&mut self, key: &'static str, span: Range<usize>, value: Option<Value>) {
        self.values.insert(key, (span, value));
    }

    /// True when the file has this key, readable or not.
    pub fn mentions(&self, key: &str) -> bool {
        self.values.contains_key(key)
    }

    /// True when the file has this key but its value could not be read.
    pub fn unreadable(&self, key: &str) -> bool {
        self.mentions(key) && self.value(key).is_none()
    }

    /// Where the value of `key` stands; the table's heading if it does not.
    pub fn place(&self, key: &str) -> Range<usize> {
        self.values.get(key).map_or_else(|| self.span.clone(), |(span, _)| span.clone())
    }

    /// The number behind `key` in SI units, its default if it is absent.
    pub fn number(&self, key: &str) -> Option<f64> {
        match self.value(key) {
            Some(Value::Number(number)) => Some(*number),
            _ => self.default(key).map(|text| default_number(self.key(key), text)),
        }
    }

    /// The text behind `key`, its default if it is absent.
    pub fn text(&self, key: &str) -> Option<&str> {
        match self.value(key) {
            Some(Value::Text(text)) => Some(text),
            Some(Value::Choice(word)) => Some(word),
            _ => self.default(key),
        }
    }

    /// True when `key` says so.
    pub fn flag(&self, key: &str) -> bool {
        match self.value(key) {
            Some(Value::Flag(flag)) => *flag,
            _ => self.default(key) == Some("true"),
        }
    }

    /// The loss factors behind `key`, its default if it is absent.
    pub fn curve(&self, key: &str) -> Option<LossCurve> {
        match self.value(key) {
            Some(Value::Curve(points)) => Some(LossCurve::new(points.clone())),
            _ => self.default(key).map(|text| LossCurve::constant(default_number(self.key(key), text))),
        }
    }

    /// The position behind `key`.
    pub fn position(&self, key: &str) -> Option<[Coordinate; 2]> {
        match self.value(key) {
            Some(Value::Position(position)) => Some(*position),
            _ => None,
        }
    }

    /// The points behind `key`.
    pub fn points(&self, key: &str) -> Option<&[Point]> {
        match self.value(key) {
            Some(Value::Points(points)) => Some(points),
            _ => None,
        }
    }

    /// The value of another key behind `key`.
    pub fn plain(&self, key: &str) -> Option<&Plain> {
        match self.value(key) {
            Some(Value::Plain(plain)) => Some(plain),
            _ => None,
        }
    }

    /// The values of another key behind `key`.
    pub fn plains(&self, key: &str) -> Option<&[Plain]> {
        match self.value(key) {
            Some(Value::Plains(plains)) => Some(plains),
            _ => None,
        }
    }

    /// The biquads behind `key`, none if it is absent; `None` if it could not be read.
    pub fn biquads(&self, key: &str) -> Option<&[Coefficients]> {
        match self.values.get(key) {
            None => Some(&[]),
            Some((_, Some(Value::Biquads(biquads)))) => Some(biquads),
            Some(_) => None,
        }
    }

    /// The table behind `key`; `None` if it is absent or something else.
    pub fn table(&self, key: &str) -> Option<&Section> {
        match self.value(key) {
            Some(Value::Table(section)) => Some(section),
            _ => None,
        }
    }

    /// The table behind `key`, an empty one if it is absent.
    pub fn table_or_defaults(&self, key: &str) -> Section {
        let Kind::Table(schema) = self.key(key).kind else {
            unreachable!("`{key}` is a table in the schema");
        };
        self.table(key).cloned().unwrap_or_else(|| Section::new(schema, self.span.clone()))
    }

    /// The tables headed `[[key]]`, none if it is absent; `None` if it could not be read.
    pub fn tables(&self, key: &str) -> Option<&[Section]> {
        match self.values.get(key) {
            None => Some(&[]),
            Some((_, Some(Value::Tables(sections)))) => Some(sections),
            Some(_) => None,
        }
    }

    fn value(&self, key: &str) -> Option<&Value> {
        self.values.get(key).and_then(|(_, value)| value.as_ref())
    }

    fn default(&self, key: &str) -> Option<&'static str> {
        match self.key(key).need {
            Need::Default(text) => Some(text),
            _ => None,
        }
    }

    fn key(&self, name: &str) -> &'static Key {
        self.schema
            .key(name)
            .expect("the builders ask only for keys of the schema; every one is asked for in the tests")
    }
}
