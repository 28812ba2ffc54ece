//! Schema, reference page and starter say the same as the reader.

use super::{SMALL, read};
use crate::case::schema::{CASE, Key, Kind, Need, Table, default_number};
use crate::case::{json_schema, reference_page, starter, write_starter};
use serde_json::Value;
use std::path::{Path, PathBuf};

fn every_key() -> Vec<&'static Key> {
    fn walk(table: &'static Table, keys: &mut Vec<&'static Key>) {
        for key in table.keys {
            keys.push(key);
            if let Some(inner) = key.kind.inner() {
                walk(inner, keys);
            }
        }
    }
    let mut keys = Vec::new();
    walk(&CASE, &mut keys);
    keys
}

#[test]
fn defaults_and_examples_of_the_schema_are_accepted_by_it() {
    for key in every_key() {
        let example = key.example.trim_matches('"');
        let texts = match key.need {
            Need::Default(default) => vec![default, example],
            _ => vec![example],
        };
        for text in texts {
            match &key.kind {
                Kind::Curve(_) if text.starts_with('[') => {}
                Kind::Quantity(_, limits)
                | Kind::Number(limits)
                | Kind::Count(limits)
                | Kind::Curve(limits) => {
                    assert!(limits.contain(default_number(key, text)), "{} = {text}", key.name);
                }
                Kind::Choice(words) | Kind::ChoiceOrTable(words, _) => {
                    assert!(words.contains(&text), "{} = {text}", key.name)
                }
                _ => {}
            }
        }
        assert!(key.about.ends_with('.'), "{}", key.name);
    }
}

fn repository(file: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(file)
}

/// Compares a generated file with the one in the repository; `PANELWRIGHT_WRITE_DOCS=1` writes it instead.
fn up_to_date(file: &str, text: &str) {
    let path = repository(file);
    if std::env::var_os("PANELWRIGHT_WRITE_DOCS").is_some() {
        std::fs::write(&path, text).expect("the repository can be written");
    }
    let stored = std::fs::read_to_string(&path).expect("is in the repository");
    assert!(stored == text, "{file} is out of date: run the tests once with PANELWRIGHT_WRITE_DOCS=1");
}

#[test]
fn the_generated_files_are_up_to_date() {
    up_to_date("cases/case-file.md", &reference_page());
    up_to_date("cases/case.schema.json", &json_schema());
}

#[test]
fn the_reference_page_names_every_key_and_table() {
    let page = reference_page();
    for key in every_key() {
        assert!(page.contains(&format!("| `{}` |", key.name)), "{}", key.name);
    }
    for heading in [
        "## `[panel.edges]`",
        "## `[panel.material]`",
        "## `[[panel.layer]]`",
        "## `[[hang]]`",
        "## `[[exciter]]`",
        "## `[range]`",
    ] {
        assert_eq!(page.matches(heading).count(), 1, "{heading}");
    }
}

/// The part of JSON Schema that is emitted.
fn conforms(schema: &Value, value: &Value) -> Result<(), String> {
    if let Some(options) = schema["anyOf"].as_array() {
        return if options.iter().any(|o| conforms(o, value).is_ok()) {
            Ok(())
        } else {
            Err(format!("{value}: no option"))
        };
    }
    if let Some(words) = schema["enum"].as_array() {
        return if words.contains(value) { Ok(()) } else { Err(format!("{value} is none of {words:?}")) };
    }
    match (schema["type"].as_str(), value) {
        (Some("string"), Value::String(_))
        | (Some("number"), Value::Number(_))
        | (Some("boolean"), Value::Bool(_)) => Ok(()),
        (Some("integer"), Value::Number(number)) if number.is_i64() => Ok(()),
        (Some("array"), Value::Array(items)) if schema["items"].is_null() => {
            if items.len() == 2 {
                Ok(())
            } else {
                Err(format!("{value} is no pair"))
            }
        }
        (Some("array"), Value::Array(items)) => {
            items.iter().try_for_each(|item| conforms(&schema["items"], item))
        }
        (Some("object"), Value::Object(entries)) => {
            let missing = schema["required"]
                .as_array()
                .into_iter()
                .flatten()
                .find(|k| !entries.contains_key(k.as_str().unwrap_or("")));
            missing.map_or(Ok(()), |key| Err(format!("{key} is missing")))?;
            entries.iter().try_for_each(|(key, inner)| match schema["properties"].get(key) {
                Some(property) => conforms(property, inner),
                None => Err(format!("{key} is unknown")),
            })
        }
        (kind, _) => Err(format!("{value} is not {kind:?}")),
    }
}

fn against_the_schema(text: &str) -> Result<(), String> {
    let schema: Value = serde_json::from_str(&json_schema()).expect("the schema is JSON");
    let case: Value = toml::from_str(text).expect("the case is TOML");
    conforms(&schema, &case)
}

#[test]
fn cases_that_load_conform_to_the_json_schema_and_broken_ones_do_not() {
    for path in super::cases::all() {
        let text = std::fs::read_to_string(&path).expect("reads");
        assert_eq!(against_the_schema(&text), Ok(()), "{}", path.display());
    }
    assert!(
        against_the_schema(&SMALL.replace("thickness", "thikness"))
            .expect_err("unknown key")
            .contains("thikness")
    );
    assert!(against_the_schema(&SMALL.replace("\"760 mm\"", "760")).is_err());
    assert!(against_the_schema(&SMALL.replace("magnet_mass", "mass")).is_err());
    assert!(against_the_schema(&SMALL.replace("\"one\"", "\"one\"\nmount = \"glued\"")).is_err());
}

/// Turns the options of the starter, which are comments, into lines.
fn with_all_options(text: &str) -> String {
    let bare = |key: &str| key.chars().all(|c| c.is_ascii_lowercase() || c == '_');
    let option = |line: &&str| {
        let text = line.strip_prefix("# ").unwrap_or_default();
        text.starts_with('[') || text.split_once(" = ").is_some_and(|(key, _)| bare(key))
    };
    text.lines().map(|line| if option(&line) { &line[2..] } else { line }).collect::<Vec<_>>().join("\n")
}

#[test]
fn the_starter_loads_as_it_is_and_with_every_option() {
    let text = starter("My \"first\"\npanel");
    let case = read(&text).expect("loads");
    assert_eq!(case.scene.title, "My firstpanel");
    assert_eq!(case.warnings, []);
    let full = with_all_options(&text);
    let case = read(&full).unwrap_or_else(|e| panic!("{}\n{full}", super::shown(&e)));
    assert_eq!(case.scene.channels[0].name, "amplifier");
    // Whatever can be said in a case stands in the starter, except a material's own figures.
    let own_figures =
        ["youngs_modulus", "along_grain", "across_grain", "shear_modulus", "poisson_ratio", "density"];
    for key in every_key()
        .iter()
        .filter(|k| !own_figures.contains(&k.name) && !k.name.starts_with("transverse_shear"))
    {
        assert!(text.contains(key.name), "the starter does not mention {}", key.name);
    }
}

#[test]
fn the_starter_is_written_once() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let path = folder.path().join("two-panels.toml");
    let next = write_starter(&path).expect("writes");
    assert!(next.iter().any(|line| line.contains("panelwright check")));
    let text = std::fs::read_to_string(&path).expect("is there");
    assert!(text.contains("title = \"two panels\""));
    std::fs::write(&path, "mine").expect("writes");
    let refused = write_starter(&path).expect_err("must not overwrite");
    assert!(refused.to_string().contains("exists already and was left as it is"));
    assert_eq!(std::fs::read_to_string(&path).expect("is there"), "mine");
    assert!(
        write_starter(&folder.path().join("no/such.toml"))
            .expect_err("no folder")
            .to_string()
            .contains("folder")
    );
}
