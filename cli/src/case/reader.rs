//! Walks a parsed file along the schema and collects every problem on the way.

use super::problem::Problem;
use super::quantity::{FREQUENCY, Quantity, SHARE};
use super::schema::{Key, Kind, Limits, Need, Table, quoted};
use super::section::{Coordinate, Plain, Point, Section, Value};
use super::suggest;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Frequency [Hz] of the single point of a curve that is a bare number; without effect.
const ANYWHERE: f64 = 1000.0;

pub(super) type Found<'a> = &'a Spanned<DeValue<'a>>;

/// Reads tables; what it could not read is in `problems` and absent from the sections it returns.
#[derive(Debug, Default)]
pub struct Reader {
    /// Everything found wrong so far.
    pub problems: Vec<Problem>,
}

impl Reader {
    /// Reads `table`, which is described by `schema` and headed at `span`.
    pub fn table(&mut self, schema: &'static Table, table: &DeTable<'_>, span: Range<usize>) -> Section {
        let mut section = Section::new(schema, span);
        for (name, value) in table {
            match schema.key(name.get_ref()) {
                Some(key) => {
                    let place = match value.get_ref() {
                        DeValue::Table(_) => name.span(),
                        _ => value.span(),
                    };
                    let found = self.value(key, name, value);
                    section.insert(key.name, place, found);
                }
                None => self.problems.push(suggest::unknown_key(schema, name)),
            }
        }
        self.missing_keys(&section);
        section
    }

    fn missing_keys(&mut self, section: &Section) {
        for key in
            section.schema.keys.iter().filter(|k| k.need == Need::Required && !section.mentions(k.name))
        {
            let message = format!("`{}` is missing from {}", key.name, section.schema.name);
            let line = match key.kind {
                Kind::Table(_) => format!("add a table {}", key.example),
                _ => format!("add a line: {} = {}", key.name, key.example),
            };
            let problem =
                Problem::error(section.span.clone(), message).because("this table needs it").instead(line);
            self.problems.push(Problem { missing: true, ..problem });
        }
    }

    fn value(
        &mut self,
        key: &'static Key,
        name: &Spanned<std::borrow::Cow<'_, str>>,
        value: Found,
    ) -> Option<Value> {
        match (&key.kind, value.get_ref()) {
            (Kind::Text | Kind::TextOrTable(_), DeValue::String(text)) => self.text(key, text, value.span()),
            (Kind::Choice(words) | Kind::ChoiceOrTable(words, _), DeValue::String(text)) => {
                self.choice(key, words, text, value.span())
            }
            (Kind::Quantity(quantity, limits), DeValue::String(text)) => {
                self.quantity(key, quantity, *limits, text, value.span()).map(Value::Number)
            }
            (Kind::Number(limits), DeValue::Float(_) | DeValue::Integer(_)) => {
                self.number(key, *limits, value)
            }
            (Kind::Count(limits), DeValue::Integer(_)) => self.number(key, *limits, value),
            (Kind::Position, DeValue::Array(pair)) => self.position(key, pair, value.span()),
            (Kind::Points, DeValue::Array(list)) => self.points(key, list),
            (
                Kind::Table(schema) | Kind::TextOrTable(schema) | Kind::ChoiceOrTable(_, schema),
                DeValue::Table(table),
            ) => Some(Value::Table(self.table(schema, table, name.span()))),
            (Kind::Flag, DeValue::Boolean(flag)) => Some(Value::Flag(*flag)),
            (Kind::Curve(limits), DeValue::Float(_) | DeValue::Integer(_)) => {
                self.plain_number(key, *limits, value).map(|number| Value::Curve(vec![(ANYWHERE, number)]))
            }
            (Kind::Curve(limits), DeValue::Array(pairs)) => self.curve(key, *limits, pairs, value.span()),
            (
                Kind::Plain,
                DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_) | DeValue::Boolean(_),
            ) => Some(Value::Plain(plain(value))),
            (Kind::Plains, DeValue::Array(list)) => self.plains(key, list, value.span()),
            (Kind::Biquads, DeValue::Array(list)) => self.biquads(key, list, value.span()),
            (Kind::OneOrMore(schema), DeValue::Table(table)) => {
                Some(Value::Tables(vec![self.table(schema, table, name.span())]))
            }
            (Kind::Tables(schema) | Kind::OneOrMore(schema), DeValue::Array(list)) => {
                Some(Value::Tables(self.tables(key, schema, list)))
            }
            _ => {
                self.problems.push(suggest::wrong_type(key, name.span(), value));
                None
            }
        }
    }

    fn tables(
        &mut self,
        key: &'static Key,
        schema: &'static Table,
        list: &[Spanned<DeValue<'_>>],
    ) -> Vec<Section> {
        let mut sections = Vec::with_capacity(list.len());
        for element in list {
            match element.get_ref() {
                DeValue::Table(table) => sections.push(self.table(schema, table, element.span())),
                _ => self.problems.push(suggest::wrong_type(key, element.span(), element)),
            }
        }
        sections
    }

    /// Values of another key, at least one.
    fn plains(&mut self, key: &Key, list: &[Spanned<DeValue<'_>>], span: Range<usize>) -> Option<Value> {
        let nested = |value: &&Spanned<DeValue<'_>>| {
            matches!(value.get_ref(), DeValue::Array(_) | DeValue::Table(_) | DeValue::Datetime(_))
        };
        if let Some(value) = list.iter().find(nested) {
            self.problems.push(suggest::wrong_type(key, value.span(), value));
            return None;
        }
        if list.is_empty() {
            let problem = Problem::error(span, format!("`{}` is an empty list", key.name));
            self.problems.push(
                problem.because("no value in it").instead(format!("write {} = {}", key.name, key.example)),
            );
            return None;
        }
        Some(Value::Plains(list.iter().map(plain).collect()))
    }

    fn text(&mut self, key: &Key, text: &str, span: Range<usize>) -> Option<Value> {
        let trimmed = text.trim();
        if trimmed.is_empty() {
            let problem = Problem::error(span, format!("`{}` is empty", key.name))
                .because("nothing between the quotes");
            self.problems.push(problem.instead(format!("write {} = {}", key.name, key.example)));
            return None;
        }
        Some(Value::Text(trimmed.to_owned()))
    }

    fn choice(&mut self, key: &Key, words: &[&'static str], text: &str, span: Range<usize>) -> Option<Value> {
        let plain = text.trim().to_lowercase().replace(['-', '_'], " ");
        if let Some(word) = words.iter().find(|w| **w == plain) {
            return Some(Value::Choice(word));
        }
        let near = suggest::nearest(&plain, words.iter().copied());
        let help = match near {
            Some(word) => format!("did you mean \"{word}\"? Possible are {}", quoted(words)),
            None => format!("write {}", quoted(words)),
        };
        let table = match key.kind {
            Kind::ChoiceOrTable(..) => {
                format!(
                    "; or a table: {} = {{ kind = …, … }}, see `panelwright reference case-file`",
                    key.name
                )
            }
            _ => String::new(),
        };
        let help = help + &table;
        let problem = Problem::error(span, format!("`{}` cannot be \"{text}\"", key.name))
            .because("not one of the choices");
        self.problems.push(problem.instead(help));
        None
    }

    fn quantity(
        &mut self,
        key: &Key,
        quantity: &Quantity,
        limits: Limits,
        text: &str,
        span: Range<usize>,
    ) -> Option<f64> {
        match quantity.parse(text) {
            Ok(amount) if limits.contain(amount.si) => Some(amount.si),
            Ok(amount) => {
                self.problems.push(suggest::out_of_limits(key, Some(quantity), limits, amount, text, span));
                None
            }
            Err(reason) => {
                self.problems.push(suggest::not_a_quantity(key, quantity, text, &reason, span));
                None
            }
        }
    }

    fn number(&mut self, key: &Key, limits: Limits, value: Found) -> Option<Value> {
        self.plain_number(key, limits, value).map(Value::Number)
    }

    fn plain_number(&mut self, key: &Key, limits: Limits, value: Found) -> Option<f64> {
        let text = number_text(value.get_ref());
        let amount = text.parse::<f64>().ok().filter(|n| limits.contain(*n));
        if amount.is_none() {
            self.problems.push(suggest::number_out_of_limits(key, limits, &text, value.span()));
        }
        amount
    }

    /// Pairs of a frequency and a number, in any order, no frequency twice.
    fn curve(
        &mut self,
        key: &Key,
        limits: Limits,
        pairs: &[Spanned<DeValue<'_>>],
        span: Range<usize>,
    ) -> Option<Value> {
        // All pairs are read before any can fail, so that every problem is shown.
        let points: Vec<_> = pairs.iter().map(|pair| self.curve_point(key, limits, pair)).collect();
        let mut points = points.into_iter().collect::<Option<Vec<_>>>()?;
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let twice = points.windows(2).any(|w| w[0].0 == w[1].0);
        if points.is_empty() || twice {
            let message = format!("`{}` needs pairs of different frequencies", key.name);
            let label = if twice { "a frequency stands twice" } else { "no pair in it" };
            let help = format!("write {} = [[\"100 Hz\", 0.03], [\"2 kHz\", 0.05]]", key.name);
            self.problems.push(Problem::error(span, message).because(label).instead(help));
            return None;
        }
        Some(Value::Curve(points))
    }

    fn curve_point(&mut self, key: &Key, limits: Limits, pair: Found) -> Option<(f64, f64)> {
        if let DeValue::Array(entries) = pair.get_ref()
            && let [frequency, number] = &entries[..]
            && let DeValue::String(text) = frequency.get_ref()
            && let Some(hertz) = FREQUENCY.parse(text).ok().map(|amount| amount.si).filter(|f| *f > 0.0)
            && matches!(number.get_ref(), DeValue::Float(_) | DeValue::Integer(_))
        {
            return self.plain_number(key, limits, number).map(|number| (hertz, number));
        }
        let message = format!("`{}` needs pairs of a frequency and a number", key.name);
        let help = format!("write {} = [[\"100 Hz\", 0.03], [\"2 kHz\", 0.05]]", key.name);
        self.problems.push(Problem::error(pair.span(), message).because("not such a pair").instead(help));
        None
    }

    fn position(&mut self, key: &Key, pair: &[Spanned<DeValue<'_>>], span: Range<usize>) -> Option<Value> {
        let [x, y] = pair else {
            let problem =
                Problem::error(span, format!("`{}` has {} entries instead of two", key.name, pair.len()));
            let help = format!("write {}: from the left, from the bottom", key.example);
            self.problems.push(problem.because("from the left, from the bottom").instead(help));
            return None;
        };
        // Both are read before either can fail, so that both problems are shown.
        let (x, y) = (self.coordinate(key, x), self.coordinate(key, y));
        Some(Value::Position([x?, y?]))
    }

    /// All points, or none if one of them cannot be read.
    fn points(&mut self, key: &Key, list: &[Spanned<DeValue<'_>>]) -> Option<Value> {
        let points: Vec<_> = list.iter().map(|element| self.point(key, element)).collect();
        points.into_iter().collect::<Option<Vec<_>>>().map(Value::Points)
    }

    fn point(&mut self, key: &Key, element: Found) -> Option<Point> {
        let span = element.span();
        let pair = match element.get_ref() {
            DeValue::Array(pair) if pair.len() == 2 => pair,
            _ => {
                let problem = Problem::error(span, "a point is a pair of lengths").because("this is none");
                self.problems
                    .push(problem.instead("write [\"120 mm\", \"80 mm\"]: from the left, from the bottom"));
                return None;
            }
        };
        let (x, y) = (self.length(key, &pair[0]), self.length(key, &pair[1]));
        Some(Point { span, position: [x?, y?] })
    }

    /// A coordinate that must be a length: the panel's size is not known before its points are.
    fn length(&mut self, key: &Key, value: Found) -> Option<f64> {
        match self.coordinate(key, value)? {
            Coordinate::Length(metres) => Some(metres),
            Coordinate::Share(_) => {
                let problem = Problem::error(value.span(), "a point of an outline cannot be a percentage");
                let reason = "of what? the points give the size";
                self.problems.push(problem.because(reason).instead("write lengths: [\"120 mm\", \"80 mm\"]"));
                None
            }
        }
    }

    fn coordinate(&mut self, key: &Key, value: Found) -> Option<Coordinate> {
        let DeValue::String(text) = value.get_ref() else {
            self.problems.push(suggest::bare_coordinate(key, value));
            return None;
        };
        let percent = text.trim_end().ends_with('%');
        let quantity = if percent { &SHARE } else { &super::quantity::LENGTH };
        match quantity.parse(text) {
            Ok(amount) if percent => Some(Coordinate::Share(amount.si)),
            Ok(amount) => Some(Coordinate::Length(amount.si)),
            Err(reason) => {
                self.problems.push(suggest::not_a_coordinate(key, text, &reason, value.span()));
                None
            }
        }
    }
}

/// A bare value of any type, as text.
fn plain(value: Found) -> Plain {
    let text = match value.get_ref() {
        DeValue::String(text) => text.trim().to_owned(),
        DeValue::Boolean(flag) => flag.to_string(),
        number => number_text(number),
    };
    Plain { span: value.span(), text }
}

/// A TOML number as Rust reads it.
pub(crate) fn number_text(value: &DeValue<'_>) -> String {
    match value {
        DeValue::Integer(i) if i.radix() != 10 => i64::from_str_radix(i.as_str(), i.radix())
            .map_or_else(|_| i.as_str().to_owned(), |n| n.to_string()),
        DeValue::Integer(i) => i.as_str().to_owned(),
        DeValue::Float(f) => f.as_str().to_owned(),
        _ => String::new(),
    }
}
