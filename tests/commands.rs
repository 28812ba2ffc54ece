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

/// A driver before a wall with a sound surround, one that cuts into the wall, and a part with a hole.
const DRIVER: &str = r#"
[driver]
coil_resistance = "5.8 Ω"
force_factor = "2.4 N/A"
moving_mass = "0.5 g"
suspension_stiffness = "2 N/mm"
mechanical_resistance = "0.3 N s/m"
diaphragm_diameter = "25 mm"
housing_diameter = "36 mm"
housing_depth = "25 mm"
box_volume = "0.01 l"
behind = "plane"
clearance = "2 mm"
"#;

#[test]
fn bad_surrounds_are_drawn_with_the_place_marked() {
    let here = tempdir().expect("a temporary folder");
    let drawn = |surrounds: &str| {
        let case = format!("{DRIVER}{surrounds}");
        fs::write(here.path().join("case.toml"), case).expect("the temporary folder is writable");
        let ran = run(here.path(), &["check", "case.toml", "--picture", "case.svg"]);
        let picture = fs::read_to_string(here.path().join("case.svg")).expect("the picture was written");
        let marks = picture.matches("<circle").count();
        (ran, marks, picture)
    };
    let (sound, marks, picture) = drawn("[[surround]]\nname = \"bare\"\nshape = \"bare\"\n");
    assert_eq!((sound.code, marks), (Some(0), 0), "{sound:?}");
    assert!(picture.contains(">sound<") && picture.matches("<path").count() > 100);
    let post = "[[surround]]\nname = \"post\"\nshape = \"post\"\ndiameter = \"6 mm\"\nlength = \"80 mm\"\nin_front = \"2 mm\"\n";
    let (crossing, marks, picture) = drawn(post);
    assert_eq!((crossing.code, marks), (Some(1), 1), "{crossing:?}");
    assert!(picture.contains("it reaches the driver") && picture.contains(") mm</text>"));
    let deep = "[[surround]]\nname = \"deep\"\nshape = \"baffle\"\nwidth = \"90 mm\"\nheight = \"90 mm\"\nthickness = \"30 mm\"\n";
    let (cutting, marks, picture) = drawn(deep);
    assert_eq!((cutting.code, marks), (Some(1), 1), "{cutting:?}");
    assert!(picture.contains("cuts into the plane"), "the sentence is in the picture");
    // Two faces of a tetrahedron: no flat lid closes them.
    let corners = [[30.0, 0.0, 0.0], [50.0, 0.0, 0.0], [30.0, 20.0, 0.0], [30.0, 0.0, 20.0]];
    let facet = |ends: [usize; 3]| {
        let vertex =
            |end: usize| format!("vertex {} {} {}\n", corners[end][0], corners[end][1], corners[end][2]);
        format!("facet normal 0 0 0\nouter loop\n{}endloop\nendfacet\n", ends.map(vertex).concat())
    };
    let facets = [[0, 1, 3], [1, 2, 3]].map(facet).concat();
    fs::write(here.path().join("open.stl"), format!("solid open\n{facets}endsolid open\n"))
        .expect("writable");
    let (open, marks, picture) = drawn("[[surround]]\nfile = \"open.stl\"\n");
    assert_eq!((open.code, marks), (Some(1), 1), "{open:?}");
    assert!(picture.contains("the surface is open") && picture.contains("#d62f1f"), "the rim is drawn");
}
