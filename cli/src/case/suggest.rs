//! What to write instead.

use super::problem::Problem;
use super::quantity::{Amount, NotAQuantity, Quantity};
use super::schema::{CASE, Key, Kind, Limits, Table, limits_in_words, quoted};
use std::borrow::Cow;
use std::ops::Range;
use toml::Spanned;
use toml::de::DeValue;

/// Similarity (Jaro–Winkler, 0…1) above which two words count as a slip of the pen.
const SIMILAR: f64 = 0.8;

/// The word most like `word`, if any is like it.
pub fn nearest<'a>(word: &str, words: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let scored = words.map(|w| (strsim::jaro_winkler(word, w), w)).filter(|(score, _)| *score > SIMILAR);
    scored.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, w)| w)
}

/// A key that the table does not have.
pub fn unknown_key(schema: &'static Table, name: &Spanned<Cow<'_, str>>) -> Problem {
    let word = name.get_ref();
    let plain = word.to_lowercase().replace(['-', ' '], "_");
    let problem = Problem::error(name.span(), format!("{} has no key `{word}`", schema.name));
    let help = if let Some(near) = nearest(&plain, schema.keys.iter().map(|k| k.name)) {
        format!("did you mean `{near}`?")
    } else if let Some(home) = home_of(&plain, &CASE, "") {
        format!("`{plain}` belongs in {home}")
    } else {
        let names: Vec<_> = schema.keys.iter().map(|k| k.name).collect();
        format!("possible keys are {}", names.join(", "))
    };
    problem.because("unknown key").instead(help)
}

/// Heading of the table that has a key called `name`.
fn home_of(name: &str, table: &'static Table, heading: &str) -> Option<String> {
    if table.key(name).is_some() {
        return Some(if heading.is_empty() {
            "the top of the file, before any [table]".into()
        } else {
            heading.to_owned()
        });
    }
    table.keys.iter().find_map(|key| {
        let path = heading.trim_matches(['[', ']']);
        let path = if path.is_empty() { key.name.to_owned() } else { format!("{path}.{}", key.name) };
        key.kind.inner().and_then(|inner| home_of(name, inner, &key.kind.heading(&path)))
    })
}

/// A value of the wrong TOML type.
pub fn wrong_type(key: &Key, heading: Range<usize>, value: &Spanned<DeValue<'_>>) -> Problem {
    let found = value.get_ref();
    if let (Kind::Quantity(quantity, _), DeValue::Integer(_) | DeValue::Float(_)) = (&key.kind, found) {
        return unit_missing(key, quantity, &number_as_written(found), value.span());
    }
    let span = if found.is_table() { heading } else { value.span() };
    let problem = Problem::error(span, format!("`{}` must be {}", key.name, key.expected()));
    let help = match (&key.kind, found) {
        (Kind::Tables(_), DeValue::Table(_)) => {
            format!("write double brackets, [[{0}]]: there may be several", key.name)
        }
        (Kind::Table(_) | Kind::TextOrTable(_) | Kind::ChoiceOrTable(..), DeValue::Array(_)) => {
            format!("write single brackets, [{}]: there is only one", key.name)
        }
        (Kind::Number(_) | Kind::Count(_) | Kind::Curve(_), DeValue::String(_)) => {
            format!("write the bare number, without quotes or unit: {} = {}", key.name, key.example)
        }
        (Kind::Table(_), DeValue::String(text)) => format!("write {}", with_text(key.example, text)),
        (Kind::Table(_), _) => format!("write {}", key.example),
        (Kind::Choice(words), _) => format!("write {}", quoted(words)),
        _ => format!("write {} = {}", key.name, key.example),
    };
    problem.because(format!("this is {}", type_in_words(found))).instead(help)
}

/// The example with its text in quotes replaced by what was written.
fn with_text(example: &str, text: &str) -> String {
    let mut parts = example.splitn(3, '"');
    match (parts.next(), parts.next(), parts.next()) {
        (Some(before), Some(_), Some(after)) => format!("{before}\"{text}\"{after}"),
        _ => example.to_owned(),
    }
}

fn type_in_words(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

fn number_as_written(value: &DeValue<'_>) -> String {
    match value {
        DeValue::Integer(i) => i.to_string(),
        DeValue::Float(f) => f.to_string(),
        _ => String::new(),
    }
}

fn unit_missing(key: &Key, quantity: &Quantity, number: &str, span: Range<usize>) -> Problem {
    let problem = Problem::error(span, format!("`{}` has no unit", key.name));
    let help = format!("write number and unit in quotes: {} = \"{number} {}\"", key.name, key.unit());
    problem.because(format!("{} of which unit?", quantity.name)).instead(help)
}

/// A bare number where a coordinate is needed.
pub fn bare_coordinate(key: &Key, value: &Spanned<DeValue<'_>>) -> Problem {
    let found = value.get_ref();
    let problem = Problem::error(value.span(), format!("`{}` needs a length or a percentage", key.name));
    let help = match found {
        DeValue::Integer(_) | DeValue::Float(_) => length_or_share(&number_as_written(found)),
        _ => format!("write {} = {}", key.name, key.example),
    };
    problem.because(format!("this is {}", type_in_words(found))).instead(help)
}

fn length_or_share(number: &str) -> String {
    if number.parse::<f64>().is_ok_and(|n| (0.0..=100.0).contains(&n)) {
        format!("write \"{number} mm\", or \"{number} %\" of the panel's side")
    } else {
        format!("write \"{number} mm\"")
    }
}

/// A text that is neither a length nor a percentage.
pub fn not_a_coordinate(key: &Key, text: &str, reason: &NotAQuantity, span: Range<usize>) -> Problem {
    let problem = Problem::error(span, format!("\"{text}\" is neither a length nor a percentage: {reason}"));
    let help = match reason {
        NotAQuantity::NoUnit(number) => {
            format!("write \"{number} mm\", or \"{number} %\" of the panel's side")
        }
        NotAQuantity::DecimalComma(fixed) => format!("write \"{fixed}\""),
        _ => format!("write {} = {}", key.name, key.example),
    };
    problem.because(format!("in `{}`", key.name)).instead(help)
}

/// A text that is not the quantity needed.
pub fn not_a_quantity(
    key: &Key,
    quantity: &Quantity,
    text: &str,
    reason: &NotAQuantity,
    span: Range<usize>,
) -> Problem {
    let (name, unit) = (key.name, key.unit());
    let problem = Problem::error(span, format!("`{name}` needs {}, not \"{text}\"", quantity.name));
    let help = match reason {
        NotAQuantity::NoUnit(number) => format!("write {name} = \"{number} {unit}\""),
        NotAQuantity::DecimalComma(fixed) => {
            format!("numbers have a decimal point and no other marks: {name} = \"{fixed}\"")
        }
        NotAQuantity::SplitNumber => format!("write the number without spaces, such as {}", key.example),
        NotAQuantity::UnknownUnit(number, _, Some(near)) => format!("did you mean \"{number} {near}\"?"),
        NotAQuantity::OtherQuantity(_, _, "a compliance") => {
            format!("stiffness is one over compliance: 0.1 mm/N is {name} = \"10 N/mm\"")
        }
        _ => format!("write for example {name} = {}; units are {}", key.example, quantity.symbols()),
    };
    problem.because(reason.to_string()).instead(help)
}

/// A quantity nobody would mean.
pub fn out_of_limits(
    key: &Key,
    quantity: Option<&Quantity>,
    limits: Limits,
    amount: Amount,
    text: &str,
    span: Range<usize>,
) -> Problem {
    let accepted = limits_in_words(key, quantity, limits);
    let problem = Problem::error(span, format!("`{}` cannot be \"{text}\"", key.name))
        .because(reason(limits, amount.si));
    // The commonest slip is the right number with the wrong prefix.
    let with_usual_unit = quantity.and_then(|q| {
        let guess = q.parse(&format!("{} {}", amount.number, key.unit())).ok()?;
        (limits.contain(guess.si) && guess.si != amount.si)
            .then(|| format!("{} {}", amount.number, key.unit()))
    });
    let why = if limits.why.is_empty() { String::new() } else { format!("; {}", limits.why) };
    problem.instead(match with_usual_unit {
        Some(guess) => format!("did you mean \"{guess}\"? Accepted is {accepted}{why}"),
        None => format!("write {accepted}, such as {}{why}", key.example),
    })
}

/// A bare number nobody would mean.
pub fn number_out_of_limits(key: &Key, limits: Limits, text: &str, span: Range<usize>) -> Problem {
    let si = text.parse().unwrap_or(f64::NAN);
    let problem =
        Problem::error(span, format!("`{}` cannot be {text}", key.name)).because(reason(limits, si));
    problem.instead(format!("write {}, such as {}", limits_in_words(key, None, limits), key.example))
}

fn reason(limits: Limits, value: f64) -> &'static str {
    if value.is_nan() {
        "not a number"
    } else if value > limits.high {
        "too large"
    } else if value < 0.0 && limits.low >= 0.0 {
        "negative"
    } else if value == 0.0 {
        "zero"
    } else {
        "too small"
    }
}
