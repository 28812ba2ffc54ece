//! `exciter.left.position.from_left` → the place in the file where that value stands.
//!
//! Steps are separated by points; a name with points or spaces stands in quotes: `seat."window table".in_front`. One of several tables
//! is called by its name or by its number, from 1; the coordinates of a place are `from_left` and `from_bottom`; elements of a
//! list have numbers from 1.

use super::slot::{Slot, SlotKind};
use crate::case::schema::{CASE, Key, Kind, Table, quoted};
use crate::case::suggest;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// What the coordinates of a place are called.
const COORDINATES: [&str; 2] = ["from_left", "from_bottom"];

/// Tables of the case that stay as they are in a study, and why.
const FIXED: [(&str, &str); 5] = [
    ("title", "it changes nothing"),
    ("study", "it describes the study itself"),
    ("place", "a study does not search for places"),
    ("range", "variants are compared at the same frequencies"),
    ("measured", "variants are computed"),
];

type Found<'a> = &'a Spanned<DeValue<'a>>;

/// The slot that `path` leads to.
///
/// # Errors
/// Says at which step it goes astray, and what would go on.
pub fn find(document: &DeTable<'_>, path: &str) -> Result<Slot, String> {
    let steps = steps(path)?;
    let [first, rest @ ..] = &steps[..] else { return Err("the path is empty".into()) };
    if let Some((_, why)) = FIXED.iter().find(|(table, _)| table == first) {
        return Err(format!("`{first}` cannot be varied: {why}"));
    }
    let walk = Walk { path };
    walk.table(&CASE, document, first, rest)
}

struct Walk<'p> {
    path: &'p str,
}

impl Walk<'_> {
    fn table(
        &self,
        schema: &'static Table,
        table: &DeTable<'_>,
        step: &str,
        rest: &[String],
    ) -> Result<Slot, String> {
        let Some(key) = schema.key(step) else {
            let near = suggest::nearest(step, schema.keys.iter().map(|key| key.name));
            let help = near.map_or(String::new(), |near| format!("; did you mean `{near}`?"));
            return Err(format!("{} has no key `{step}`{help}", schema.name));
        };
        match table.iter().find(|(name, _)| name.get_ref() == step) {
            Some((_, value)) => self.value(key, value, rest),
            None => Err(format!(
                "`{step}` does not stand in {}: write it there, with its usual value, so that it can be varied",
                schema.name
            )),
        }
    }

    fn value(&self, key: &'static Key, value: Found, rest: &[String]) -> Result<Slot, String> {
        match (value.get_ref(), rest) {
            (DeValue::Table(table), [step, rest @ ..]) => match key.kind.inner() {
                Some(inner) => self.table(inner, table, step, rest),
                None => Err(format!("`{}` cannot be a table", key.name)),
            },
            (DeValue::Table(_), []) => {
                Err(format!("`{}` is a table: go on with one of its keys, as in `{}.…`", key.name, self.path))
            }
            (DeValue::Array(tables), [step, rest @ ..]) if key.kind.inner().is_some() => {
                self.one_of(key, tables, step, rest)
            }
            (DeValue::Array(list), [step, rest @ ..]) => self.element(key, list, step, rest),
            (DeValue::Array(_), []) => {
                Err(format!("`{}` has several values: go on with {}", key.name, elements(key)))
            }
            (found, []) => match SlotKind::of(&key.kind, found) {
                Some(kind) => Ok(Slot::new(self.path, (key, kind), value)),
                None => Err(format!("`{}` must be {}", key.name, key.expected())),
            },
            (_, [step, ..]) => Err(format!("`{}` is one value: nothing called `{step}` is in it", key.name)),
        }
    }

    /// One of several tables, by its name or its number.
    fn one_of(
        &self,
        key: &'static Key,
        tables: &[Spanned<DeValue<'_>>],
        step: &str,
        rest: &[String],
    ) -> Result<Slot, String> {
        let tables: Vec<&DeTable<'_>> =
            tables.iter().filter_map(|table| table.get_ref().as_table()).collect();
        let name = |table: &&DeTable<'_>| {
            let (_, value) = table.iter().find(|(name, _)| name.get_ref() == "name")?;
            value.get_ref().as_str().map(str::to_owned)
        };
        let names: Vec<Option<String>> = tables.iter().map(name).collect();
        let called = names.iter().position(|name| name.as_deref() == Some(step));
        let number = || {
            step.parse::<usize>().ok().and_then(|number| number.checked_sub(1)).filter(|&i| i < tables.len())
        };
        let (Some(index), Some(inner)) = (called.or_else(number), key.kind.inner()) else {
            let known: Vec<&str> = names.iter().flatten().map(String::as_str).collect();
            let help = match known.is_empty() {
                true => format!("there are {}, called by their numbers from 1", tables.len()),
                false => format!("there are {}", quoted(&known)),
            };
            return Err(format!("no {} is called `{step}`: {help}", key.name));
        };
        match rest {
            [step, rest @ ..] => self.table(inner, tables[index], step, rest),
            [] => Err(format!(
                "`{}` is a table: go on with one of its keys, as in `{}.…`",
                self.path, self.path
            )),
        }
    }

    /// An element of a list of bare values.
    fn element(
        &self,
        key: &'static Key,
        list: &[Spanned<DeValue<'_>>],
        step: &str,
        rest: &[String],
    ) -> Result<Slot, String> {
        let index = match key.kind {
            Kind::Position => COORDINATES.iter().position(|word| *word == step),
            _ => step.parse::<usize>().ok().and_then(|number| number.checked_sub(1)),
        };
        let value = index.and_then(|index| list.get(index));
        let value =
            value.ok_or_else(|| format!("`{}` has no `{step}`: go on with {}", key.name, elements(key)))?;
        match (&key.kind, value.get_ref(), rest) {
            (Kind::Position, DeValue::String(_), []) => {
                Ok(Slot::new(self.path, (key, SlotKind::Coordinate), value))
            }
            (Kind::Points, DeValue::Array(pair), [step]) => {
                let coordinate =
                    COORDINATES.iter().position(|word| word == step).and_then(|index| pair.get(index));
                let value = coordinate
                    .ok_or_else(|| format!("a point has {} and {}", COORDINATES[0], COORDINATES[1]))?;
                Ok(Slot::new(self.path, (key, SlotKind::Coordinate), value))
            }
            _ => Err(format!("`{}` cannot be varied element by element", key.name)),
        }
    }
}

fn elements(key: &Key) -> String {
    match key.kind {
        Kind::Position => format!("`{}` or `{}`", COORDINATES[0], COORDINATES[1]),
        Kind::Points => format!("a number from 1, then `{}` or `{}`", COORDINATES[0], COORDINATES[1]),
        _ if key.kind.inner().is_some() => "the name or the number of one of them".into(),
        _ => "nothing: it cannot be varied".into(),
    }
}

/// The steps of a path.
pub(super) fn steps(path: &str) -> Result<Vec<String>, String> {
    let mut steps = vec![];
    let mut rest = path.trim();
    while !rest.is_empty() {
        let (step, after) = match rest.strip_prefix('"') {
            Some(quoted) => quoted.split_once('"').ok_or("a quote is not closed")?,
            None => rest.split_at(rest.find('.').unwrap_or(rest.len())),
        };
        if step.trim().is_empty() {
            return Err("a step of the path is empty".into());
        }
        steps.push(step.trim().to_owned());
        rest = match after.strip_prefix('.') {
            Some("") => return Err("the path ends with a point".into()),
            Some(next) => next,
            None if after.is_empty() => after,
            None => return Err(format!("`{after}` follows a quoted name: a point is missing")),
        };
    }
    Ok(steps)
}
