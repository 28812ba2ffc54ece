//! Files that the values of a list name, drawings and parts: what they held, so that no half of a study is computed with another drawing.
//!
//! What the case itself names is in the [`Identity`](super::identity::Identity) by what it means. Every file that a varied value lists is looked at by its bytes, too: one that was not there
//! may come later, for variants that failed without it; one that has changed makes another study.

use super::parameter::{Choice, Parameter};
use crate::case::varied::names_a_file;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Digests of files by their names.
pub type NamedFiles = BTreeMap<String, String>;

/// The files that values of these parameters name, as far as they are there; names count from `folder`.
pub fn named_files(parameters: &[Parameter], folder: &Path) -> NamedFiles {
    let names =
        parameters.iter().filter(|parameter| names_a_file(&parameter.slot.path)).flat_map(|parameter| {
            match &parameter.choice {
                Choice::List(names) => names.as_slice(),
                Choice::Range(_) => &[],
            }
        });
    let digest = |name: &String| {
        let bytes = fs::read(folder.join(name)).ok()?;
        Some((name.clone(), blake3::hash(&bytes).to_hex().to_string()))
    };
    names.filter_map(digest).collect()
}

/// Which of the files have changed, in sentences.
pub fn changed(were: &NamedFiles, are: &NamedFiles) -> Vec<String> {
    let differs = |(name, was): &(&String, &String)| are.get(*name).is_some_and(|is| is != *was);
    were.iter().filter(differs).map(|(name, _)| format!("the file \"{name}\" has changed")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_may_come_and_go_but_not_change() {
        let files = |all: &[(&str, &str)]| -> NamedFiles {
            all.iter().map(|(name, digest)| ((*name).to_owned(), (*digest).to_owned())).collect()
        };
        let were = files(&[("a.svg", "1"), ("b.svg", "2")]);
        assert!(changed(&were, &files(&[("a.svg", "1"), ("c.svg", "3")])).is_empty());
        assert_eq!(changed(&were, &files(&[("b.svg", "9")])), ["the file \"b.svg\" has changed"]);
    }
}
