//! The README keeps its word.

use panelwright::case;
use panelwright_tests::root;
use std::fs;
use std::path::Path;

fn readme() -> String {
    fs::read_to_string(root().join("README.md")).expect("README.md is readable")
}

#[test]
fn its_case_is_a_case() {
    let text = readme();
    let (_, rest) = text.split_once("```toml\n").expect("the README shows a case");
    let (example, _) = rest.split_once("```").expect("the block is closed");
    let lines = example.lines().filter(|line| !line.trim().is_empty()).count();
    assert!(lines <= 10, "the worked example has grown to {lines} lines");
    let case = case::parse(example, Path::new("README.md")).expect("the README's case is valid");
    assert_eq!(case.scene.exciters.len(), 1);
}

#[test]
fn its_links_lead_somewhere() {
    for page in ["README.md", "DEVELOPERS.md", "cases/README.md"] {
        let path = root().join(page);
        let folder = path.parent().expect("a page lies in a folder").to_path_buf();
        let text = fs::read_to_string(&path).expect("the page is readable");
        for link in text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            let target = folder.join(link.split('#').next().unwrap_or_default());
            assert!(target.exists(), "{page} links to {link}, which does not exist");
        }
    }
}

#[test]
fn its_commands_are_in_the_makefile() {
    let makefile = fs::read_to_string(root().join("Makefile")).expect("the Makefile is readable");
    for (_, rest) in readme().match_indices("make ").map(|(at, _)| (at, readme()[at + 5..].to_owned())) {
        let target: String = rest.chars().take_while(char::is_ascii_lowercase).collect();
        assert!(makefile.contains(&format!("\n{target}:")), "`make {target}` is not in the Makefile");
    }
}
