//! Rules about keys that the schema cannot state: what is needed beside what, and what excludes what.

use super::millimetres_fine;
use crate::case::problem::Problem;
use crate::case::quantity::short;
use crate::case::schema::{Kind, quoted};
use crate::case::section::Section;

/// A number that is needed although the schema cannot know it.
pub fn needed(section: &Section, key: &str, problems: &mut Vec<Problem>) -> Option<f64> {
    if !section.mentions(key) {
        problems.push(missing(section, key));
    }
    section.number(key)
}

/// As [`needed`], with its own advice on the line to add, right of the equals sign.
pub fn needed_as(section: &Section, key: &str, line: &str, problems: &mut Vec<Problem>) -> Option<f64> {
    if !section.mentions(key) {
        let problem = missing(section, key);
        problems.push(problem.instead(format!("add a line: {key} = {line}")));
    }
    section.number(key)
}

/// Numbers that are all needed; every one that is missing is told.
pub fn all_needed<const N: usize>(
    section: &Section,
    keys: [&str; N],
    problems: &mut Vec<Problem>,
) -> Option<[f64; N]> {
    let numbers = keys.map(|key| needed(section, key, problems));
    numbers.iter().all(Option::is_some).then(|| numbers.map(Option::unwrap_or_default))
}

/// The problem of a key that is missing.
pub fn missing(section: &Section, name: &str) -> Problem {
    let example = section.schema.key(name).map_or("", |key| key.example);
    let message = format!("`{name}` is missing from {}", section.schema.name);
    let problem = Problem::error(section.span.clone(), message).because("this table needs it");
    let line = match section.schema.key(name).map(|key| &key.kind) {
        Some(Kind::Table(_)) => format!("add a table {example}"),
        _ => format!("add a line: {name} = {example}"),
    };
    Problem { missing: true, ..problem.instead(line) }
}

/// The one of `keys` that the section has; none or several are a problem.
pub fn one_of<'k>(section: &Section, keys: &[&'k str], problems: &mut Vec<Problem>) -> Option<&'k str> {
    let names = keys.iter().map(|key| format!("`{key}`")).collect::<Vec<_>>();
    let found: Vec<_> = keys.iter().copied().filter(|key| section.mentions(key)).collect();
    match found[..] {
        [only] => Some(only),
        [] => {
            let message = format!("{} needs {}", section.schema.name, names.join(" or "));
            let example = keys.first().map(|key| missing(section, key).help).unwrap_or_default();
            let problem = Problem::error(section.span.clone(), message).because("none of them is here");
            problems.push(Problem { missing: true, ..problem.instead(example) });
            None
        }
        [first, second, ..] => {
            let message = format!("{} has both `{first}` and `{second}`", section.schema.name);
            let problem = Problem::error(section.place(second), message).because("which one holds?");
            problems.push(problem.instead(format!("keep one of {}", names.join(", "))));
            None
        }
    }
}

/// Keys and the words of another key that they belong to.
pub type Belongings = [(&'static str, &'static [&'static str])];

/// Every key that stands there although it does not belong to `word`, which `chosen` names in full: `shape = "wings"`.
pub fn strangers(
    section: &Section,
    (chosen, word): (&str, &str),
    belongings: &Belongings,
    problems: &mut Vec<Problem>,
) -> Option<()> {
    let strange = |(key, words): &&(&str, &[&str])| section.mentions(key) && !words.contains(&word);
    let strange: Vec<_> = belongings.iter().filter(strange).collect();
    for (key, words) in &strange {
        let message = format!("`{key}` does not belong to {chosen}");
        let help = format!("take this line out; `{key}` belongs to {}", quoted(words));
        problems.push(Problem::error(section.place(key), message).because("without effect").instead(help));
    }
    strange.is_empty().then_some(())
}

/// A key that says nothing here, and why.
pub fn idle(section: &Section, key: &str, reason: &str, problems: &mut Vec<Problem>) -> Option<()> {
    if !section.mentions(key) {
        return Some(());
    }
    let problem = Problem::error(section.place(key), format!("`{key}` has no effect here")).because(reason);
    problems.push(problem.instead("take this line out"));
    None
}

/// The length behind `key` must be less than `most` [m]; otherwise `why`.
pub fn below(section: &Section, key: &str, most: f64, why: &str, problems: &mut Vec<Problem>) -> Option<()> {
    let value = section.number(key)?;
    if value < most {
        return Some(());
    }
    let message = format!("`{key}` of {} is too large: {why}", millimetres_fine(value));
    let help = match most > 0.0 {
        true => format!("make it less than {}, or change the other one", millimetres_fine(most)),
        false => "make the other one larger".into(),
    };
    let label = format!("{} mm", short((value * 1e5).round() / 1e2));
    problems.push(Problem::error(section.place(key), message).because(label).instead(help));
    None
}
