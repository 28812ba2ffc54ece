//! The schema as a page to read.

use super::limits_in_words;
use super::{CASE, Key, Kind, Need, Table, quoted};
use std::fmt::Write;

const HEAD: &str = "# The case file

A case file is TOML: lines `key = value` under headings `[table]`; a heading in double brackets, `[[exciter]]`, may be repeated.
Text stands in quotes, and so does every value with a unit: `\"4 mm\"`, `\"8.5 GPa\"`, `\"3.4 Ω\"`. Numbers have a decimal point. Ratios, loss
factors and counts are bare numbers. A comment starts with `#`.

Coordinates are those of the listener: left and right, top and bottom as seen from the front. Exciters are glued from the back,
where left and right are swapped.

`panelwright check CASE` reads a case, shows every mistake in its line and says what would be computed.

(This page is printed by the program from the table it checks with. Do not edit it by hand.)
";

/// The reference page of the case file, Markdown.
pub fn reference_page() -> String {
    let mut page = String::from(HEAD);
    let mut printed = Vec::new();
    section(&mut page, "The top of the file", &CASE, &mut printed, "");
    page
}

/// Tables printed so far, with their headings.
type Printed = Vec<(&'static Table, String)>;

/// Prints `table` and the tables in it that have not been printed yet.
fn section(page: &mut String, heading: &str, table: &'static Table, printed: &mut Printed, path: &str) {
    let mut later = Vec::new();
    for key in table.keys {
        let Some(inner) = key.kind.inner() else { continue };
        let full = if path.is_empty() { key.name.to_owned() } else { format!("{path}.{}", key.name) };
        if printed.iter().all(|(known, _)| !std::ptr::eq(*known, inner)) {
            printed.push((inner, key.kind.heading(&full)));
            later.push((inner, full));
        }
    }
    let rows: String = table.keys.iter().map(|key| row(key, printed)).collect();
    let written = write!(
        page,
        "\n## {heading}\n\n{}\n\n| key | value | if left out | meaning |\n|---|---|---|---|\n{rows}",
        table.about
    );
    debug_assert!(written.is_ok(), "writing to a String cannot fail");
    for (inner, full) in later {
        section(page, &format!("`{}`", home(inner, printed)), inner, printed, &full);
    }
}

/// Heading under which a table is described.
fn home<'a>(table: &'static Table, printed: &'a Printed) -> &'a str {
    printed.iter().find(|(known, _)| std::ptr::eq(*known, table)).map_or("", |(_, heading)| heading)
}

fn row(key: &Key, printed: &Printed) -> String {
    format!("| `{}` | {} | {} | {} |\n", key.name, value(key, printed), left_out(key), key.about)
}

fn value(key: &Key, printed: &Printed) -> String {
    let example = key.example;
    let words_of = |words| format!("`{}`", quoted(words).replace(", ", "`, `").replace(" or ", "` or `"));
    match &key.kind {
        Kind::Text => format!("text, `{example}`"),
        Kind::Choice(words) => words_of(words),
        Kind::Quantity(quantity, limits) => {
            format!("{}, `{example}`; {}", quantity.name, limits_in_words(key, Some(quantity), *limits))
        }
        Kind::Number(limits) => format!("number, `{example}`; {}", limits_in_words(key, None, *limits)),
        Kind::Count(limits) => format!("whole number, `{example}`; {}", limits_in_words(key, None, *limits)),
        Kind::Position => format!("two lengths or percentages, `{example}`"),
        Kind::Points => format!("points, `{example}`"),
        Kind::Table(inner) | Kind::Tables(inner) => format!("table, as `{}`", home(inner, printed)),
        Kind::OneOrMore(inner) => {
            format!("table, as `{}`, or several as `[[{}]]`", home(inner, printed), key.name)
        }
        Kind::TextOrTable(inner) => format!("name, `{example}`, or table as `{}`", home(inner, printed)),
        Kind::ChoiceOrTable(words, inner) => {
            format!("{}, or table as `{}`", words_of(words), home(inner, printed))
        }
        Kind::Flag => "`true` or `false`".into(),
        Kind::Plain => format!("as the value itself, `{example}`"),
        Kind::Plains => format!("list of values, `{example}`"),
        Kind::Biquads => format!("lists of five numbers, `{example}`"),
        Kind::Curve(limits) => {
            format!(
                "number, or pairs of frequency and number, `{example}`; {}",
                limits_in_words(key, None, *limits)
            )
        }
    }
}

fn left_out(key: &Key) -> String {
    match key.need {
        Need::Required => "**needed**".into(),
        Need::Optional(then) => then.into(),
        Need::Default(text) if bare(&key.kind) => format!("`{text}`"),
        Need::Default(text) => format!("`\"{text}\"`"),
    }
}

fn bare(kind: &Kind) -> bool {
    matches!(kind, Kind::Number(_) | Kind::Count(_) | Kind::Curve(_) | Kind::Flag)
}
