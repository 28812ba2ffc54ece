//! The demo as a user runs it: the tea room's panel through the binary, and everything it leaves behind.
#![allow(clippy::print_stdout)] // the run time is printed for whoever runs the test with --nocapture

use panelwright::cautions::CAUTIONS;
use panelwright_tests::{Ran, browser, case, program, python, run};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::sync::LazyLock;
use std::time::Instant;
use tempfile::{TempDir, tempdir};

/// Files the README and the report promise, the tables aside.
const FILES: [&str; 4] = ["report.html", "results.h5", "findings.json", "case.toml"];

/// Tables: every curve and every map.
const TABLES: [&str; 19] = [
    "centres.csv",
    "dead_spots.csv",
    "exciter_power.csv",
    "excursion.csv",
    "impedance.csv",
    "map.csv",
    "modal_overlap.csv",
    "modes.csv",
    "panel_map.csv",
    "polar_horizontal.csv",
    "polar_vertical.csv",
    "power.csv",
    "quiet_places.csv",
    "response.csv",
    "response_smoothed.csv",
    "response_spread.csv",
    "sound_power.csv",
    "third_octaves.csv",
    "usable_bands.csv",
];

/// Words of a heading that are units.
const UNITS: [&str; 11] = ["hz", "mm", "mm2", "db", "degrees", "w", "ohm", "a", "pw", "v", "m"];

/// Headings of pure numbers, names and answers, which have no unit.
const WITHOUT_UNIT: [&str; 9] = [
    "seat",
    "mode",
    "lower_open",
    "upper_open",
    "modal_overlap",
    "wave_front_fit",
    "found_in",
    "variations",
    "assembled_loss_factor",
];

/// One run, shared by the tests.
struct Demo {
    /// Kept until the program ends.
    folder: TempDir,
    ran: Ran,
}

static DEMO: LazyLock<Demo> = LazyLock::new(|| {
    let folder = tempdir().expect("a temporary folder");
    let begun = Instant::now();
    let ran = run(folder.path(), &["predict", &demo_case(), "--into", "tea"]);
    println!("the demo took {:.2} s from start to report", begun.elapsed().as_secs_f64());
    Demo { folder, ran }
});

impl Demo {
    fn file(&self, name: &str) -> PathBuf {
        self.folder.path().join("tea").join(name)
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.file(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }
}

fn demo_case() -> String {
    case("tea-room.toml").to_string_lossy().into_owned()
}

/// Names of a folder's files, sorted.
fn names_in(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("the folder exists").flatten();
    let mut names: Vec<_> = entries.map(|entry| entry.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

#[test]
fn it_ends_well_and_leaves_what_was_promised_and_nothing_else() {
    assert_eq!(DEMO.ran.code, Some(0), "{:?}", DEMO.ran);
    let mut promised: Vec<&str> = FILES.into_iter().chain(TABLES).collect();
    promised.sort_unstable();
    assert_eq!(names_in(&DEMO.folder.path().join("tea")), promised);
    let original = fs::read_to_string(case("tea-room.toml")).expect("the demo exists");
    assert_eq!(DEMO.text("case.toml"), original, "the case is kept word for word");
    assert!(DEMO.ran.out.contains("report.html"), "{}", DEMO.ran.out);
}

#[test]
fn the_report_opens_without_script_errors_and_stays_small() {
    let check = browser::open(&DEMO.file("report.html"));
    assert_eq!(check.errors, Vec::<String>::new());
    assert_eq!(check.used["silent"].as_array().map(Vec::len), Some(0), "{}", check.used);
    let size = DEMO.text("report.html").len();
    assert!(size < 3_000_000, "{size} bytes");
}

#[test]
fn cautions_are_in_the_output_and_in_the_report() {
    let page = DEMO.text("report.html");
    let printed = DEMO.ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for caution in CAUTIONS {
        assert!(printed.contains(caution), "the output lacks: {caution}");
        // The report sets the words before the first colon in bold.
        let rest = caution.split_once(':').map_or(caution, |(_, rest)| rest);
        assert!(page.contains(rest), "the report lacks: {caution}");
    }
}

#[test]
fn every_table_is_rectangular_with_numbers_and_units() {
    for name in TABLES {
        let text = DEMO.text(name);
        let rows: Vec<Vec<&str>> = text.lines().map(|line| line.split(',').collect()).collect();
        let (headings, rows) = rows.split_first().unwrap_or_else(|| panic!("{name} is empty"));
        for heading in headings {
            let has_unit = heading.split('_').any(|word| UNITS.contains(&word));
            assert!(has_unit || WITHOUT_UNIT.contains(heading), "{name}: `{heading}` names no unit");
        }
        assert!(!rows.is_empty(), "{name} has no rows");
        for row in rows {
            assert_eq!(row.len(), headings.len(), "{name} has a ragged line: {row:?}");
            for (heading, cell) in headings.iter().zip(row) {
                let fits = match *heading {
                    "seat" => !cell.is_empty(),
                    "lower_open" | "upper_open" => cell.parse::<bool>().is_ok(),
                    // An empty cell is a place without an answer, such as a centre that fits nowhere.
                    _ => cell.is_empty() || cell.parse::<f64>().is_ok_and(f64::is_finite),
                };
                assert!(fits, "{name}, {heading}: `{cell}`");
            }
        }
    }
}

#[test]
fn a_stranger_reads_the_hdf5_file() {
    let said = python::read_results(&DEMO.file("results.h5"));
    assert!(said.contains("datasets documented"), "{said}");
}

#[test]
fn json_output_is_the_findings_file() {
    let folder = tempdir().expect("a temporary folder");
    let ran = run(folder.path(), &["predict", &demo_case(), "--into", "tea", "--json"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let parse = |text: &str| serde_json::from_str::<serde_json::Value>(text).expect("JSON");
    let file =
        fs::read_to_string(folder.path().join("tea/findings.json")).expect("the findings were written");
    let printed = parse(&ran.out);
    assert!(printed == parse(&file), "standard output and findings.json differ");
    assert_eq!(printed["seats"].as_array().map(Vec::len), Some(3));
    assert!(file == DEMO.text("findings.json"), "two runs of one case differ");
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let folder = tempdir().expect("a temporary folder");
    let mut command = program(folder.path(), &["predict", &demo_case(), "--into", "tea", "--json"]);
    let mut child =
        command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the built binary starts");
    drop(child.stdout.take());
    let ran = Ran::from(child.wait_with_output().expect("a child can be waited for"));
    assert_eq!(ran.code, Some(0), "{ran:?}");
    assert!(!ran.err.contains("panicked") && !ran.err.contains("fault"), "{}", ran.err);
    assert!(folder.path().join("tea/report.html").is_file());
}
