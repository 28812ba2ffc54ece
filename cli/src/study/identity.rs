//! What makes a study the same study: the values of its case, what the case was understood to mean, and the program.

use crate::case::reader_text;
use panelwright_solver::kept::Key;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use toml::de::{DeTable, DeValue};

/// What makes a study the same study.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Identity {
    /// Version of the program.
    pub program: String,
    /// Every value of the case by its path, but for what changes no variant: the title, the weights and the tolerances.
    pub values: BTreeMap<String, String>,
    /// Digest of the case as it was understood: drawings, parts and the list of materials are in it.
    pub meaning: String,
}

impl Identity {
    /// Of a case with this text, which was understood as `scene`.
    pub fn of(document: &DeTable<'_>, scene: &impl Serialize) -> Self {
        let mut values = BTreeMap::new();
        flatten("", document, &mut values);
        values.retain(|path, _| {
            let judged = path.starts_with("study.objective.") && path.ends_with(".weight");
            let built = path.starts_with("study.vary.") && path.ends_with(".tolerance");
            path != "title" && !judged && !built
        });
        let meaning = Key::of("case of a study", scene).to_string();
        Self { program: env!("CARGO_PKG_VERSION").into(), values, meaning }
    }

    /// Its digest.
    pub fn digest(&self) -> [u8; 32] {
        let bytes = postcard::to_stdvec(self).expect("plain data of known length");
        blake3::hash(&bytes).into()
    }

    /// How `other` differs, in sentences; none when it is the same study.
    pub fn differences(&self, other: &Self) -> Vec<String> {
        let mut told = vec![];
        if self.program != other.program {
            told.push(format!("the program was version {}, it is {}", self.program, other.program));
        }
        for (path, was) in &self.values {
            match other.values.get(path) {
                None => told.push(format!("`{path}` was {was}, it is gone")),
                Some(is) if is != was => told.push(format!("`{path}` was {was}, it is {is}")),
                Some(_) => {}
            }
        }
        let new = other.values.iter().filter(|(path, _)| !self.values.contains_key(*path));
        told.extend(new.map(|(path, is)| format!("`{path}` is new: {is}")));
        if told.is_empty() && self.meaning != other.meaning {
            told.push("a drawing, a part or the list of materials has changed".into());
        }
        told
    }
}

fn flatten(heading: &str, table: &DeTable<'_>, values: &mut BTreeMap<String, String>) {
    for (name, value) in table {
        let path = if heading.is_empty() {
            name.get_ref().to_string()
        } else {
            format!("{heading}.{}", name.get_ref())
        };
        flatten_value(path, value.get_ref(), values);
    }
}

fn flatten_value(path: String, value: &DeValue<'_>, values: &mut BTreeMap<String, String>) {
    match value {
        DeValue::Table(table) => flatten(&path, table, values),
        DeValue::Array(list) => {
            for (i, element) in list.iter().enumerate() {
                flatten_value(format!("{path}.{}", i + 1), element.get_ref(), values);
            }
        }
        DeValue::String(text) => drop(values.insert(path, format!("\"{text}\""))),
        DeValue::Boolean(flag) => drop(values.insert(path, flag.to_string())),
        DeValue::Datetime(date) => drop(values.insert(path, date.to_string())),
        number => drop(values.insert(path, reader_text(number))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn identity(text: &str) -> Identity {
        Identity::of(DeTable::parse(text).expect("sound").get_ref(), &1)
    }

    const TEXT: &str =
        "title = \"A\"\n[panel]\nwidth = \"760 mm\"\n[[study.objective]]\nwhat = \"mass\"\nweight = 1\n";

    #[test]
    fn comments_title_and_weights_do_not_make_another_study() {
        let other = TEXT.replace("\"A\"", "\"B\" # b").replace("weight = 1", "weight = 2.5");
        assert_eq!(identity(TEXT).digest(), identity(&other).digest());
        assert!(identity(TEXT).differences(&identity(&other)).is_empty());
    }

    #[test]
    fn what_differs_is_told_value_by_value() {
        let other = TEXT.replace("width = \"760 mm\"", "height = \"5 mm\"").replace("\"mass\"", "\"cost\"");
        let told = identity(TEXT).differences(&identity(&other));
        let expected = [
            "`panel.width` was \"760 mm\", it is gone",
            "`study.objective.1.what` was \"mass\", it is \"cost\"",
            "`panel.height` is new: \"5 mm\"",
        ];
        assert_eq!(told, expected);
        let meant = Identity::of(DeTable::parse(TEXT).expect("sound").get_ref(), &2);
        assert_eq!(identity(TEXT).differences(&meant).len(), 1);
    }
}
