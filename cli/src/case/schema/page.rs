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
    section(&mut page, "The top of the file", &CASE);
    inner_tables(&mut page, &CASE, "");
    page
}

fn inner_tables(page: &mut String, table: &Table, path: &str) {
    for key in table.keys {
        let full = if path.is_empty() { key.name.to_owned() } else { format!("{path}.{}", key.name) };
        let (heading, inner) = match key.kind {
            Kind::Tables(inner) => (format!("`[[{full}]]`"), inner),
            Kind::Table(inner) | Kind::TextOrTable(inner) => (format!("`[{full}]`"), inner),
            _ => continue,
        };
        section(page, &heading, inner);
        inner_tables(page, inner, &full);
    }
}

fn section(page: &mut String, heading: &str, table: &Table) {
    let rows: String = table.keys.iter().map(row).collect();
    let written = write!(
        page,
        "\n## {heading}\n\n{}\n\n| key | value | if left out | meaning |\n|---|---|---|---|\n{rows}",
        table.about
    );
    debug_assert!(written.is_ok(), "writing to a String cannot fail");
}

fn row(key: &Key) -> String {
    format!("| `{}` | {} | {} | {} |\n", key.name, value(key), left_out(key), key.about)
}

fn value(key: &Key) -> String {
    let example = key.example;
    match &key.kind {
        Kind::Text => format!("text, `{example}`"),
        Kind::Choice(words) => format!("`{}`", quoted(words).replace(", ", "`, `").replace(" or ", "` or `")),
        Kind::Quantity(quantity, limits) => {
            format!("{}, `{example}`; {}", quantity.name, limits_in_words(key, Some(quantity), *limits))
        }
        Kind::Number(limits) => format!("number, `{example}`; {}", limits_in_words(key, None, *limits)),
        Kind::Count(limits) => format!("whole number, `{example}`; {}", limits_in_words(key, None, *limits)),
        Kind::Position => format!("two lengths or percentages, `{example}`"),
        Kind::Points => format!("points, `{example}`"),
        Kind::Table(_) | Kind::Tables(_) => format!("table, `{example}`"),
        Kind::TextOrTable(_) => format!("name, `{example}`, or table"),
    }
}

fn left_out(key: &Key) -> String {
    match key.need {
        Need::Required => "**needed**".into(),
        Need::Optional(then) => then.into(),
        Need::Default(text) if matches!(key.kind, Kind::Number(_) | Kind::Count(_)) => format!("`{text}`"),
        Need::Default(text) => format!("`\"{text}\"`"),
    }
}
