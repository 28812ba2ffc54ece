//! Slips in the TOML itself, said in a builder's words.

use super::problem::Problem;
use std::ops::Range;
use toml::de::Error;

/// The parser's errors, one for each line.
pub fn problems(text: &str, errors: &[Error]) -> Vec<Problem> {
    let mut problems: Vec<Problem> = Vec::new();
    for error in errors {
        let span = inside(text, error.span());
        let line = line_around(text, span.start);
        if problems.iter().any(|p| line_around(text, p.span.start) == line) {
            continue;
        }
        let problem = Problem::error(span, "this line is not TOML").because(error.message().to_owned());
        problems.push(problem.instead(advice(&text[line], error.message())));
    }
    problems
}

/// Of the problems found in what could be read of a broken file, those that the breakage cannot have caused.
pub fn worth_showing(text: &str, errors: &[Error], found: Vec<Problem>) -> Vec<Problem> {
    if errors.is_empty() {
        return found;
    }
    let broken: Vec<_> = errors.iter().map(|e| line_around(text, inside(text, e.span()).start)).collect();
    // After a broken heading, keys land in the wrong table: nothing said about them can be trusted.
    if broken.iter().any(|line| text[line.clone()].trim_start().starts_with('[')) {
        return Vec::new();
    }
    let clear = |p: &Problem| !p.missing && !broken.contains(&line_around(text, p.span.start));
    found.into_iter().filter(clear).collect()
}

/// A span that lies in the text, on character boundaries.
fn inside(text: &str, span: Option<Range<usize>>) -> Range<usize> {
    let span = span.unwrap_or(0..0);
    let start = text.floor_char_boundary(span.start);
    start..text.floor_char_boundary(span.end).max(start)
}

fn line_around(text: &str, at: usize) -> Range<usize> {
    let at = text.floor_char_boundary(at);
    let start = text[..at].rfind('\n').map_or(0, |i| i + 1);
    start..text[at..].find('\n').map_or(text.len(), |i| at + i)
}

fn advice(line: &str, message: &str) -> String {
    if message.contains("duplicate key") {
        return "each key and each [table] may stand once; exciters, channels and seats have double brackets, [[exciter]]".into();
    }
    let bare = |key: &str| key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    let Some((key, value)) = line.split_once('=').map(|(k, v)| (k.trim(), v)).filter(|(k, _)| bare(k)) else {
        return "lines are `key = value`, `[table]` or `[[table]]`; a comment starts with #".into();
    };
    let value = value.split('#').next().unwrap_or_default().trim();
    let quoted = value.starts_with(['"', '\'', '[', '{']);
    if !quoted && !value.is_empty() && !value.contains(['"', '\'']) {
        return format!("values with a unit and names stand in quotes: {key} = \"{value}\"");
    }
    if value.matches('"').count() % 2 == 1 {
        return "a quote is missing: text and values with a unit start and end with \"".into();
    }
    "lines are `key = value`; values with a unit and names stand in quotes".into()
}
