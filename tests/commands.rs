//! The commands as a user meets them, through the binary.

use panelwright_tests::{case, run};
use std::fs;
use tempfile::tempdir;

#[test]
fn help_teaches_by_example_and_ends_well() {
    let here = tempdir().expect("a temporary folder");
    for command in ["predict", "modes", "check", "materials", "new", "reference"] {
        let ran = run(here.path(), &[command, "--help"]);
        assert_eq!(ran.code, Some(0), "{ran:?}");
        assert!(
            ran.out.contains("Example") && ran.out.contains("panelwright "),
            "{command} --help shows no example"
        );
    }
    assert!(run(here.path(), &["--help"]).out.contains("Exit codes"));
}

#[test]
fn new_writes_a_case_that_checks_and_never_overwrites() {
    let here = tempdir().expect("a temporary folder");
    assert_eq!(run(here.path(), &["new", "mine.toml"]).code, Some(0));
    let checked = run(here.path(), &["check", "mine.toml"]);
    assert_eq!(checked.code, Some(0), "{checked:?}");
    let before = fs::read_to_string(here.path().join("mine.toml")).expect("the case was written");
    let again = run(here.path(), &["new", "mine.toml"]);
    assert_eq!(again.code, Some(1));
    assert!(again.err.contains("exists already and was left as it is"), "{}", again.err);
    assert_eq!(before, fs::read_to_string(here.path().join("mine.toml")).expect("the case is still there"));
}

#[test]
fn a_users_mistake_is_exit_code_1_with_its_line() {
    let here = tempdir().expect("a temporary folder");
    let text = fs::read_to_string(case("tea-room.toml"))
        .expect("the demo exists")
        .replace("\"760 mm\"", "\"760 V\"");
    fs::write(here.path().join("wrong.toml"), text).expect("the temporary folder is writable");
    for command in ["check", "predict", "modes"] {
        let ran = run(here.path(), &[command, "wrong.toml"]);
        assert_eq!(ran.code, Some(1), "{ran:?}");
        assert!(ran.err.contains("wrong.toml:") && ran.err.contains("760 V"), "{}", ran.err);
    }
    assert!(!here.path().join("wrong-results").exists(), "a wrong case must leave nothing behind");
}

#[test]
fn unknown_arguments_and_missing_files_are_exit_code_1() {
    let here = tempdir().expect("a temporary folder");
    assert_eq!(run(here.path(), &["predict", "nowhere.toml"]).code, Some(1));
    assert_eq!(run(here.path(), &["predict", "--sideways"]).code, Some(1));
    assert_eq!(run(here.path(), &["polish"]).code, Some(1));
}

#[test]
fn an_unwritable_results_folder_is_refused_before_computing() {
    let here = tempdir().expect("a temporary folder");
    fs::write(here.path().join("taken"), "a file, not a folder").expect("the temporary folder is writable");
    let demo = case("tea-room.toml");
    let ran = run(here.path(), &["predict", &demo.to_string_lossy(), "--into", "taken"]);
    assert_eq!(ran.code, Some(1), "{ran:?}");
    assert!(ran.err.contains("--into"), "{}", ran.err);
    assert!(!ran.err.contains("modes of the panel"), "it computed first: {}", ran.err);
}

#[test]
fn check_says_what_a_prediction_costs() {
    let here = tempdir().expect("a temporary folder");
    let ran = run(here.path(), &["check", &case("tea-room.toml").to_string_lossy()]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    for word in ["modes", "frequencies", "memory", "time"] {
        assert!(ran.out.contains(word), "`{word}` is missing:\n{}", ran.out);
    }
}

#[test]
fn materials_are_listed_with_sources() {
    let here = tempdir().expect("a temporary folder");
    assert!(run(here.path(), &["materials"]).out.contains("poplar plywood"));
    let one = run(here.path(), &["materials", "poplar plywood"]);
    assert_eq!(one.code, Some(0));
    assert!(one.out.contains("kg/m³") && one.out.contains("Wood Handbook"), "{}", one.out);
    assert_eq!(run(here.path(), &["materials", "unobtainium"]).code, Some(1));
}

#[test]
fn modes_can_be_read_by_programs() {
    let here = tempdir().expect("a temporary folder");
    let ran =
        run(here.path(), &["modes", &case("tea-room.toml").to_string_lossy(), "--up-to", "500 Hz", "--json"]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    let table: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON on standard output");
    let frequencies = table["natural_frequencies_hz"].as_array().expect("a list of frequencies");
    assert!(
        frequencies.len() > 5
            && frequencies.iter().all(|f| f.as_f64().is_some_and(|f| f > 0.0 && f <= 500.0))
    );
}

#[test]
fn reference_texts_are_made() {
    let here = tempdir().expect("a temporary folder");
    let schema = run(here.path(), &["reference", "schema"]);
    let schema: serde_json::Value = serde_json::from_str(&schema.out).expect("the schema is JSON");
    assert!(schema["properties"]["panel"].is_object());
    assert!(run(here.path(), &["reference", "man"]).out.contains(".TH"));
    for shell in ["bash", "fish", "zsh"] {
        assert!(run(here.path(), &["reference", shell]).out.contains("predict"), "{shell}");
    }
    assert!(run(here.path(), &["reference", "case-file"]).out.contains("force_factor"));
}

#[test]
fn a_panel_too_large_to_compute_is_refused_by_check_as_by_predict() {
    let here = tempdir().expect("a temporary folder");
    let text = fs::read_to_string(case("tea-room.toml")).expect("the demo exists");
    let huge = text.replace("\"760 mm\"", "\"3 m\"").replace("\"520 mm\"", "\"3 m\"");
    fs::write(here.path().join("huge.toml"), huge).expect("the temporary folder is writable");
    for command in ["check", "predict"] {
        let ran = run(here.path(), &[command, "huge.toml"]);
        assert_eq!(ran.code, Some(1), "{ran:?}");
        assert!(ran.err.contains("would do"), "{}", ran.err);
    }
}
