//! Unreasonable cases, end to end through the binary: each is computed, or says what is wrong, where, and what to do. None panics, hangs,
//! prints what is no number or loses results.

use panelwright_tests::{Ran, program};
use std::f64::consts::TAU;
use std::fs;
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};
use tempfile::tempdir;

/// Longest time one case may take.
const PATIENCE: Duration = Duration::from_secs(60);

const SHEET: &str = "thickness = \"4 mm\"\nmaterial = \"poplar plywood\"\n";
const RECTANGLE: &str =
    "width = \"300 mm\"\nheight = \"200 mm\"\nthickness = \"4 mm\"\nmaterial = \"poplar plywood\"\n";
const DISC: &str = "shape = \"ellipse\"\nwidth = \"300 mm\"\nheight = \"200 mm\"\nthickness = \"4 mm\"\nmaterial = \"poplar plywood\"\n";

/// A case of the panel `panel`, more tables in `tables`, and one exciter at `place`.
fn text(panel: &str, tables: &str, place: &str) -> String {
    format!(
        r#"[panel]
{panel}{tables}
[[exciter]]
name = "one"
position = [{place}]
coil_resistance = "3.6 Ω"
force_factor = "3.2 N/A"
moving_mass = "1.6 g"
foot_diameter = "15 mm"
suspension_stiffness = "9 N/mm"
magnet_mass = "62 g"

[spread]
samples = 4

[map]
spacing = "40 mm"

[range]
from = "100 Hz"
to = "1 kHz"
per_octave = 6
"#
    )
}

fn case(panel: &str, tables: &str) -> String {
    text(panel, tables, "\"41 %\", \"57 %\"")
}

fn polygon(points: impl IntoIterator<Item = [f64; 2]>) -> String {
    let points: Vec<_> = points.into_iter().map(|[x, y]| format!("[\"{x:.6} mm\", \"{y:.6} mm\"]")).collect();
    format!("shape = \"polygon\"\npoints = [{}]\n{SHEET}", points.join(", "))
}

/// `count` points round a middle at [150, 150] mm, the distance of each by its number [mm].
fn round(count: usize, radius: impl Fn(usize) -> f64) -> String {
    let point = |i: usize| {
        let (sine, cosine) = (TAU * i as f64 / count as f64).sin_cos();
        [150.0 - radius(i) * cosine, 150.0 - radius(i) * sine]
    };
    polygon((0..count).map(point))
}

/// Runs `predict` on the case in `here`; stops it when [`PATIENCE`] runs out.
fn predict(here: &Path, text: &str) -> Ran {
    fs::write(here.join("case.toml"), text).expect("the temporary folder is writable");
    let open = |name: &str| fs::File::create(here.join(name)).expect("the temporary folder is writable");
    let mut child = program(here, &["predict", "case.toml", "--into", "out"])
        .stdout(Stdio::from(open("stdout")))
        .stderr(Stdio::from(open("stderr")))
        .spawn()
        .expect("the built binary starts");
    let start = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().expect("a child can be waited for") {
            break status;
        }
        if start.elapsed() > PATIENCE {
            child.kill().and_then(|()| child.wait().map(drop)).expect("a child can be stopped");
            panic!("not done after {PATIENCE:?}:\n{}", &text[..text.len().min(600)]);
        }
        std::thread::sleep(Duration::from_millis(20));
    };
    let read = |name: &str| fs::read_to_string(here.join(name)).expect("was written");
    Ran { code: status.code(), out: read("stdout"), err: read("stderr") }
}

/// Words that stand for no number.
fn no_numbers(text: &str) -> Vec<&str> {
    let words = text.split(|c: char| !(c.is_alphanumeric() || c == '_'));
    words.filter(|word| ["nan", "NaN", "inf", "Infinity", "infinity"].contains(word)).collect()
}

/// The case is computed in full, every table without gaps that are no answers.
#[track_caller]
fn computed(text: &str) {
    let here = tempdir().expect("a temporary folder");
    let ran = predict(here.path(), text);
    assert_eq!(ran.code, Some(0), "{}\n{}", ran.err, &text[..text.len().min(600)]);
    assert_eq!(no_numbers(&ran.out), Vec::<&str>::new(), "{}", ran.out);
    let out = here.path().join("out");
    let read = |name: &str| fs::read_to_string(out.join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
    assert!(read("report.html").contains("</html>"));
    for entry in fs::read_dir(&out).expect("results were written").flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.ends_with(".csv") || name.ends_with(".json") {
            assert_eq!(no_numbers(&read(&name)), Vec::<&str>::new(), "{name}");
        }
    }
    for name in ["response.csv", "power.csv", "impedance.csv"] {
        let rows = read(name);
        for row in rows.lines().skip(1) {
            let finite = |cell: &str| cell.parse::<f64>().is_ok_and(f64::is_finite);
            assert!(row.split(',').all(finite), "{name}: {row}");
        }
    }
}

/// The case is refused at its place, with all `words` and help.
#[track_caller]
fn refused(text: &str, words: &[&str]) {
    let here = tempdir().expect("a temporary folder");
    let ran = predict(here.path(), text);
    assert_eq!(ran.code, Some(1), "{}\n{}", ran.out, ran.err);
    assert!(!ran.err.contains("panicked"), "{}", ran.err);
    assert!(ran.err.contains("case.toml:") && ran.err.contains("help:"), "{}", ran.err);
    let said = ran.err.split_whitespace().filter(|word| *word != "│").collect::<Vec<_>>().join(" ");
    for word in words {
        assert!(said.contains(word), "`{word}` is not in:\n{}", ran.err);
    }
    let longest = ran.err.lines().map(|line| line.chars().count()).max().unwrap_or(0);
    assert!(
        longest < 400 && ran.err.lines().count() < 400,
        "{longest} columns, {} lines",
        ran.err.lines().count()
    );
    assert!(!here.path().join("out").exists(), "a wrong case must leave nothing behind");
}

#[test]
fn outlines_without_area_are_refused() {
    refused(&case(&polygon([[0.0, 0.0], [300.0, 0.0], [0.0, 0.0]]), ""), &["is given twice", "case.toml:3"]);
    refused(&case(&polygon([[0.0, 0.0], [300.0, 0.0], [150.0, 0.0]]), ""), &["encloses no area"]);
    refused(&case(&polygon([[0.0, 0.0], [300.0, 200.0], [150.0, 100.0], [300.0, 200.0]]), ""), &["no area"]);
}

#[test]
fn ten_thousand_points_are_used_or_explained() {
    computed(&case(&round(10_000, |_| 150.0), ""));
    let star = |depth: f64| move |i: usize| if i.is_multiple_of(2) { 150.0 } else { 150.0 - depth };
    computed(&case(&round(10_000, star(0.1)), ""));
    let deep = case(&round(10_000, star(30.0)), "");
    let here = tempdir().expect("a temporary folder");
    let ran = predict(here.path(), &deep);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(ran.err.contains("case.toml:3"), "{}", ran.err);
}

#[test]
fn one_long_line_is_shown_in_part() {
    // One point twice, far down a line of 300 000 columns.
    let mut text = case(&round(10_000, |_| 150.0), "");
    let points: Vec<&str> = text.matches("[\"299.").collect();
    assert!(points.len() > 10);
    let at = text.rfind("[\"299.").expect("a point");
    let point = text[at..=at + text[at..].find(']').expect("ends")].to_owned() + ", ";
    text.insert_str(at, &point);
    refused(&text, &["is given twice", "[\"299.", "leave one of them out"]);
}

#[test]
fn springs_from_nothing_to_rigid_are_computed() {
    for stiffness in ["0", "1e-300", "1e-9", "1e-3", "1e12"] {
        for strip in [
            format!("stiffness = \"{stiffness} N/m²\""),
            format!("stiffness = \"20 kN/m²\", rotational_stiffness = \"{stiffness} N\""),
        ] {
            computed(&case(&format!("{RECTANGLE}edges = {{ all = {{ {strip} }} }}\n"), ""));
        }
        computed(&case(&format!("{DISC}edges = {{ all = {{ stiffness = \"{stiffness} N/m²\" }} }}\n"), ""));
        computed(&case(
            RECTANGLE,
            &format!("[[hang]]\nposition = [\"20 %\", \"90 %\"]\nstiffness = \"{stiffness} N/m\"\n"),
        ));
    }
    for (stiffness, words) in [
        ("inf", "does not start with a number"),
        ("nan", "does not start"),
        ("1e400", "too large"),
        ("-1", "negative"),
    ] {
        refused(
            &case(&format!("{RECTANGLE}edges = {{ all = {{ stiffness = \"{stiffness} N/m²\" }} }}\n"), ""),
            &[words],
        );
        refused(
            &case(
                RECTANGLE,
                &format!("[[hang]]\nposition = [\"20 %\", \"90 %\"]\nstiffness = \"{stiffness} N/m\"\n"),
            ),
            &[words],
        );
    }
}

#[test]
fn a_strip_too_soft_to_matter_leaves_the_panel_free() {
    let level = |edges: &str| {
        let here = tempdir().expect("a temporary folder");
        let ran = predict(here.path(), &case(&format!("{RECTANGLE}{edges}"), ""));
        assert_eq!(ran.code, Some(0), "{}", ran.err);
        let table = fs::read_to_string(here.path().join("out/response.csv")).expect("was written");
        let level =
            |row: &str| row.split(',').nth(1).and_then(|cell| cell.parse::<f64>().ok()).expect("a level");
        table.lines().skip(1).map(level).collect::<Vec<_>>()
    };
    let free = level("");
    for soft in ["1e-2", "1e-7", "1e-9", "1e-20"] {
        let held = level(&format!("edges = {{ all = {{ stiffness = \"{soft} N/m²\" }} }}\n"));
        let off = free.iter().zip(&held).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        assert!(off < 0.02, "{soft} N/m²: {off} dB");
    }
}

#[test]
fn masses_heavier_than_the_panel_are_computed() {
    for mass in ["1e-300 g", "500 g", "50 kg"] {
        computed(&case(
            RECTANGLE,
            &format!("[[mass]]\nposition = [\"70 %\", \"30 %\"]\nmass = \"{mass}\"\n"),
        ));
    }
    refused(
        &case(RECTANGLE, "[[mass]]\nposition = [\"70 %\", \"30 %\"]\nmass = \"0 g\"\n"),
        &["cannot be", "zero"],
    );
}

#[test]
fn stacks_are_computed_or_said_not_to_match() {
    let layers = |count: usize, thickness: &dyn Fn(usize) -> f64| -> String {
        let layer = |i: usize| {
            let grain = if i.min(count - 1 - i).is_multiple_of(2) { "horizontal" } else { "vertical" };
            format!(
                "[[panel.layer]]\nmaterial = \"birch veneer\"\nthickness = \"{} mm\"\ngrain = \"{grain}\"\n",
                thickness(i)
            )
        };
        (0..count).map(layer).collect()
    };
    let size = "width = \"300 mm\"\nheight = \"200 mm\"\n";
    computed(&case(size, &layers(50, &|_| 0.1)));
    computed(&case(size, &layers(50, &|_| 0.01)));
    refused(
        &case(size, &layers(50, &|i| 0.1 + 0.01 * i as f64)),
        &["layers 1 and 50 do not match", "symmetric"],
    );
    let skin = "[[panel.layer]]\nmaterial = \"birch veneer\"\nthickness = \"0.6 mm\"\n";
    let foam = "[[panel.layer]]\nmaterial = \"XPS foam\"\nthickness = \"5 mm\"\n";
    refused(&case(size, &format!("{skin}{foam}")), &["layers 1 and 2 do not match"]);
}

#[test]
fn long_panels_are_computed_as_far_as_they_may_be_asked_for() {
    computed(&case(
        "width = \"5000 mm\"\nheight = \"20 mm\"\nthickness = \"1 mm\"\nmaterial = \"aluminium\"\n",
        "",
    ));
    let bent = polygon([[0.0, 0.0], [5000.0, 0.0], [5000.0, 20.0], [2500.0, 20.5], [0.0, 20.0]]);
    computed(&case(&bent.replace("4 mm", "1 mm"), ""));
    let thread = "width = \"5000 mm\"\nheight = \"5 mm\"\nthickness = \"0.2 mm\"\nmaterial = \"aluminium\"\n";
    refused(&case(thread, ""), &["`height` cannot be \"5 mm\"", "from 20 mm"]);
}

#[test]
fn holes_that_leave_nothing_are_refused() {
    let hole = |x: &str, size: &str| {
        format!("[[panel.cutout]]\ncentre = [\"{x}\", \"100 mm\"]\ndiameter = \"{size}\"\n")
    };
    refused(
        &text(RECTANGLE, &hole("20 mm", "60 mm"), "\"70 %\", \"50 %\""),
        &["cross or touch at (0.0,", "belongs into the outline"],
    );
    refused(&text(RECTANGLE, &hole("150 mm", "900 mm"), "\"70 %\", \"50 %\""), &["outside the panel"]);
    // Tangent, and a hair away: computed, with a warning at its line.
    for x in ["30 mm", "30.1 mm"] {
        let tangent = text(RECTANGLE, &hole(x, "60 mm"), "\"70 %\", \"50 %\"");
        let here = tempdir().expect("a temporary folder");
        let ran = predict(here.path(), &tangent);
        assert!(
            ran.err.contains("of material are left near (0.") && ran.err.contains("case.toml:6"),
            "{}",
            ran.err
        );
        computed(&tangent);
    }
}

#[test]
fn necks_of_stacks_are_told_too() {
    let hole = "[[panel.cutout]]\ncentre = [\"40 mm\", \"100 mm\"]\ndiameter = \"60 mm\"\n";
    let sandwich = "[panel.sandwich]\nskin = { material = \"kraft paper\", thickness = \"0.25 mm\" }\ncore = { material = \"XPS foam\", thickness = \"10 mm\" }\n";
    let here = tempdir().expect("a temporary folder");
    let size = "width = \"300 mm\"\nheight = \"200 mm\"\n";
    let ran = predict(here.path(), &text(size, &format!("{hole}{sandwich}"), "\"70 %\", \"50 %\""));
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        said.contains("of material are left near (5.") && said.contains("narrower than 31.5 mm"),
        "{}",
        ran.err
    );
}

#[test]
fn what_is_fixed_beside_the_material_is_refused() {
    let hole = "[[panel.cutout]]\ncentre = [\"123 mm\", \"114 mm\"]\ndiameter = \"60 mm\"\n";
    refused(&case(RECTANGLE, hole), &["\"one\" sits in a cut-out", "keep the centre at least"]);
    refused(
        &case(RECTANGLE, &hole.replace("123", "158")),
        &["reaches over the panel's edge", "from every edge"],
    );
    refused(&text(DISC, "", "\"4 %\", \"5 %\""), &["\"one\" is off the panel", "beyond the nearest edge"]);
    refused(&text(DISC, "", "\"2 %\", \"50 %\""), &["reaches over the panel's edge"]);
    refused(&text(RECTANGLE, "", "\"nan %\", \"50 %\""), &["neither a length nor a percentage"]);
    let hang = "[[hang]]\nposition = [\"2 %\", \"98 %\"]\nkind = \"cord\"\n";
    refused(&case(DISC, hang), &["\"hang 1\" is off the panel", "the point must lie on it"]);
    let mass = "[[mass]]\nposition = [\"123 mm\", \"114 mm\"]\nmass = \"10 g\"\n";
    refused(
        &text(RECTANGLE, &format!("{hole}{mass}"), "\"80 %\", \"50 %\""),
        &["\"mass 1\" sits in a cut-out"],
    );
}
