//! Files that a case names, which count from the folder of the case.

use super::path::steps;
use std::ops::Range;
use std::path::{Path, absolute};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Keys that name a file, by the table they stand in.
const NAMED: [(&str, &str); 3] = [("panel", "drawing"), ("surround", "file"), ("measured", "file")];

/// True for the path of a value that names a file: `panel.drawing`, `surround.flare.file`.
pub fn names_a_file(path: &str) -> bool {
    let steps = steps(path).unwrap_or_default();
    let ends = steps.first().zip(steps.last());
    ends.is_some_and(|(first, last)| NAMED.contains(&(first.as_str(), last.as_str())))
}

/// The text of a case that stood in the folder `from`, with the files it names written so that they are found from anywhere.
pub fn found_from_anywhere(text: &str, from: &Path) -> String {
    let (document, _) = DeTable::parse_recoverable(text);
    let mut pieces: Vec<(Range<usize>, String)> =
        NAMED.iter().flat_map(|&(table, key)| named(document.get_ref(), table, key)).collect();
    pieces.sort_by_key(|(span, _)| span.start);
    let mut made = text.to_owned();
    for (span, name) in pieces.into_iter().rev() {
        if let Ok(whole) = absolute(from.join(&name)) {
            made.replace_range(span, &toml::Value::String(whole.display().to_string()).to_string());
        }
    }
    made
}

/// Where the key of a table, or of several of one name, stands, and what it says.
fn named(document: &DeTable<'_>, table: &str, key: &str) -> Vec<(Range<usize>, String)> {
    let of = |found: &Spanned<DeValue<'_>>| {
        let name = value(found.get_ref().as_table()?, key)?;
        Some((name.span(), name.get_ref().as_str()?.to_owned()))
    };
    match value(document, table) {
        Some(found) => match found.get_ref() {
            DeValue::Array(all) => all.iter().filter_map(of).collect(),
            _ => of(found).into_iter().collect(),
        },
        None => vec![],
    }
}

fn value<'d, 't>(table: &'d DeTable<'t>, key: &str) -> Option<&'d Spanned<DeValue<'t>>> {
    table.iter().find(|(name, _)| name.get_ref() == key).map(|(_, value)| value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_of_files_are_known() {
        assert!(
            ["panel.drawing", "surround.flare.file", "surround.\"a.b\".file", "panel.\"drawing\""]
                .map(names_a_file)
                == [true; 4]
        );
        assert!(
            ["panel.thickness", "panel.drawings", "seat.file", "surround.profile", "surround.x.profile"]
                .map(names_a_file)
                == [false; 5]
        );
    }

    #[test]
    fn every_file_is_found_from_anywhere_and_nothing_else_changes() {
        let text = "[panel]\ndrawing = \"a.dxf\" # mine\nfile = \"x\"\n[[surround]]\nname = \"bare\"\n[[surround]]\nfile = 'parts/b.stl'\n\
            [[measured]]\nfile = \"/there/c.txt\"\n";
        let expected = "[panel]\ndrawing = \"/case/a.dxf\" # mine\nfile = \"x\"\n[[surround]]\nname = \"bare\"\n[[surround]]\nfile = \"/case/parts/b.stl\"\n\
            [[measured]]\nfile = \"/there/c.txt\"\n";
        assert_eq!(found_from_anywhere(text, Path::new("/case")), expected);
    }
}
