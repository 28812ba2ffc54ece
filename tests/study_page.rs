//! The page of a study, robust ranking, and the printable surrounds: words, pictures and numbers, from the command to the file.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright::study::{Description, Neighbours, Record, Shard, Study, StudyFolder, VariantResult};
use panelwright_mesh::{check, stl};
use panelwright_tests::{Ran, browser, run};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

const SMALL: &str = include_str!("data/small-study.toml");
const WINGS: &str = include_str!("data/two-wings.toml");

/// What is varied in a study of the wings.
const WINGS_STUDY: &str = "
[study]
method = \"grid\"

[[study.vary]]
name = \"length\"
value = \"surround.\\\"two <wings>\\\".length\"
list = [\"16 mm\", \"20 mm\", \"24 mm\"]

[[study.objective]]
what = \"gain in the top octave\"

[[study.objective]]
what = \"unevenness of the driver\"
";

fn place(text: &str) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), text).unwrap();
    folder
}

fn study(folder: &Path, arguments: &[&str]) -> Ran {
    let ran = run(folder, &[&["study"], arguments].concat());
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    ran
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn ranked(folder: &Path, arguments: &[&str]) -> Vec<Value> {
    let ran = study(folder, &[&["rank", "my.toml", "--json"], arguments].concat());
    serde_json::from_str(&ran.out).unwrap()
}

fn page(folder: &Path) -> PathBuf {
    folder.join("my-study/report.html")
}

fn text(folder: &Path) -> String {
    fs::read_to_string(page(folder)).unwrap()
}

/// The part of the page between the heading of a section and the next section.
fn section<'p>(page: &'p str, id: &str) -> &'p str {
    let start = page.find(&format!("<section id=\"{id}\"")).unwrap_or_else(|| panic!("no section {id}"));
    let end = page[start..].find("</section>").unwrap();
    &page[start..start + end]
}

/// A study whose variants were never computed: their objectives are `made` up from the coordinates of the varied values.
fn made_up(text: &str, made: impl Fn(usize, &[f64]) -> VariantResult) -> TempDir {
    let folder = place(text);
    let study = Study::of(text.into(), &folder.path().join("my.toml")).unwrap();
    let kept = StudyFolder::at(&folder.path().join("my-study"));
    kept.describe(&Description::of(&study, "2026-01-01T00:00:00Z".into())).unwrap();
    let record = |number: usize| Record {
        number: number as u64,
        seconds: 0.5,
        result: made(number, &study.point(number)),
    };
    let records: Vec<Record> = (0..study.count()).map(record).collect();
    kept.hold(Shard::WHOLE, &study.identity.digest(), &mut |_, _| ())
        .unwrap()
        .journal
        .append(&records)
        .unwrap();
    folder
}

fn measured(values: &[f64]) -> VariantResult {
    VariantResult::Measured { values: values.to_vec(), cost: 0.0, levels: vec![], missing: vec![] }
}

/// Unevenness, sensitivity and cost of a made-up variant: evenness pulls to the middle, level to the right, and thickness costs.
fn by_place(point: &[f64]) -> VariantResult {
    let [across, up, thickness] = point[..] else { panic!("three values are varied") };
    let off = (across - 0.5).hypot(up - 0.4);
    measured(&[
        1.2 + 6.0 * off + 0.3 * thickness,
        78.0 + 5.0 * across,
        if thickness < 0.5 { 10.0 } else { 13.0 },
    ])
}

fn without_sensitivity(why: &str) -> VariantResult {
    let values = vec![1.0, f64::NAN, 10.0];
    VariantResult::Measured { values, cost: 0.0, levels: vec![], missing: vec![(1, why.into())] }
}

#[test]
fn a_page_of_few_variants_tells_why_and_every_picture_can_be_read() {
    let folder = made_up(SMALL, |number, point| match number {
        7 => VariantResult::Failed("the foot of \"one\" reaches 12.5 mm over the edge".into()),
        8 => VariantResult::Failed("the foot of \"one\" reaches 3.1 mm over the edge".into()),
        9 => VariantResult::Beyond("mass 2.1 kg is more than 2 kg".into()),
        10 => without_sensitivity("silence below 300 Hz"),
        11 => without_sensitivity("silence below 250 Hz"),
        _ => by_place(point),
    });
    let told = flat(&study(folder.path(), &["rank", "my.toml"]).out);
    let best = ranked(folder.path(), &["--top", "100"]);
    let first = &best[0];
    assert!(told.contains(&format!("No. {} is first: across", first["variant"])), "{told}");
    assert!(told.contains("It is first because of its unevenness at the seats of"), "{told}");
    assert!(
        told.contains("beaten by no other") && told.contains("Open ") && told.contains("report.html"),
        "{told}"
    );

    let text = text(folder.path());
    for address in ["http:", "https:", "src=", "@import", "url("] {
        assert!(!text.contains(address), "the page refers to {address}");
    }
    let failures = section(&text, "failures");
    assert!(
        failures.contains("<th scope=\"row\">2</th><td>the foot of") && failures.contains("more than 2 kg")
    );
    assert!(section(&text, "best").matches("<tr data-place").count() == 15);
    assert!(
        section(&text, "variants").matches("<path d=").count() > 55,
        "one line for each of 55, and a legend"
    );
    // Why a number is missing stands wherever the variant is shown.
    let why = "sensitivity: silence below 300 Hz";
    assert!(failures.contains(&format!("<th scope=\"row\">2</th><td>{why}</td>")), "{failures}");
    let shown = flat(&study(folder.path(), &["show", "my.toml", "11"]).out);
    assert!(shown.contains("does not exist for this variant: silence below 250 Hz"), "{shown}");
    let status = flat(&study(folder.path(), &["status", "my.toml"]).out);
    assert!(status.contains(&format!("without a number - 2 ×, such as: {why}")), "{status}");
    study(folder.path(), &["export", "my.toml"]);
    let table = fs::read_to_string(folder.path().join("my-study/variants.csv")).unwrap();
    assert!(table.lines().nth(11).unwrap().ends_with(&format!(",{why}")), "{table}");
    assert!(
        section(&text, "influence").contains("±")
            && section(&text, "inputs").contains("low discrepancy; 60 variants, seed 5")
    );

    let check = browser::open(&page(folder.path()));
    assert_eq!(check.errors, Vec::<String>::new());
    let drawings = check.dom.matches("class=\"drawing").count() as u64;
    // All at once, the two that count against each other, and each of three against what drives it.
    assert_eq!(drawings, 5, "{drawings} drawings");
    assert_eq!(check.used["readouts"].as_u64().unwrap(), 5 * drawings, "{}", check.used);
    assert_eq!(check.used["silent"].as_array().unwrap().len(), 0, "{}", check.used);
    let chosen = check.dom.matches("class=\"trace chosen\"").count();
    assert_eq!(chosen, 1, "the variant that is pointed at has a line of its own");
}

#[test]
fn the_words_say_what_the_first_gains_what_it_lacks_and_what_the_other_costs() {
    let folder = made_up(SMALL, |number, _| match number {
        17 => measured(&[1.2, 79.0, 10.0]),
        5 => measured(&[4.0, 84.0, 10.0]),
        _ => measured(&[2.3, 80.0, 10.0]),
    });
    let told = flat(&study(folder.path(), &["rank", "my.toml"]).out);
    for sentence in [
        "No. 17 is first: across ",
        "It is first because of its unevenness at the seats of 1.20 dB (the best of all; median 2.30 dB).",
        "It is only 60th of 60 in sensitivity: 79.0 dB. No. 5 is the best there (84.0 dB), but has 2.80 dB more unevenness at the seats (4.00 dB).",
        "60 of 60 variants are beaten by no other",
        "It offers unevenness at the seats from 1.20 to 4.00 dB and sensitivity from 84.0 to 79.0 dB.",
    ] {
        assert!(told.contains(sentence), "{sentence}\n{told}");
    }
}

#[test]
fn thousands_of_variants_are_counted_not_piled_up() {
    let folder = made_up(&SMALL.replace("variants = 60", "variants = 5000"), |_, point| by_place(point));
    study(folder.path(), &["rank", "my.toml"]);
    let text = text(folder.path());
    let variants = section(&text, "variants");
    assert!(variants.contains("data:image/png;base64,") && variants.contains("5,000 lines would be a blot"));
    assert!(text.len() < 2_500_000, "{} bytes", text.len());
    let check = browser::open(&page(folder.path()));
    assert_eq!(check.errors, Vec::<String>::new());
    assert_eq!(check.used["silent"].as_array().unwrap().len(), 0, "{}", check.used);
}

#[test]
fn one_value_of_words_and_one_objective_make_a_page_too() {
    let (head, _) = SMALL.split_once("[study]").unwrap();
    let study_of_words = "[study]\nmethod = \"grid\"\n[[study.vary]]\nname = \"made of <wood>\"\nvalue = \"panel.material\"\n\
        list = [\"poplar plywood\", \"balsa\"]\n[[study.objective]]\nwhat = \"sensitivity\"\n";
    let folder = made_up(&format!("{head}{study_of_words}"), |number, _| measured(&[80.0 + number as f64]));
    let told = flat(&study(folder.path(), &["rank", "my.toml"]).out);
    assert!(told.contains("No. 1 beats every other in all that counts"), "{told}");
    let text = text(folder.path());
    assert!(text.contains("made of &lt;wood&gt;") && !text.contains("made of <wood>"));
    assert!(section(&text, "variants").contains(">balsa</text>"), "words stand along their axis");
    let check = browser::open(&page(folder.path()));
    assert_eq!((check.errors, check.used["silent"].as_array().unwrap().len()), (vec![], 0));
}

/// Light panels, the lightest of which keeps a limit by a hair.
fn on_the_edge() -> String {
    let (head, _) = SMALL.split_once("[study]").unwrap();
    format!(
        "{head}[study]\nmethod = \"grid\"\n[[study.vary]]\nname = \"thickness\"\nvalue = \"panel.thickness\"\nlist = [\"3 mm\", \"3.5 mm\", \"4 mm\"]\ntolerance = \"0.1 mm\"\n\
         [[study.objective]]\nwhat = \"mass\"\n[[study.limit]]\nwhat = \"mass\"\nat_least = \"LEAST\"\n"
    )
}

/// Mass [g] of the lightest of these panels, as the program says.
fn lightest() -> f64 {
    let folder = place(&on_the_edge().replace("LEAST", "1 g"));
    study(folder.path(), &["run", "my.toml"]);
    1e3 * ranked(folder.path(), &[])[0]["objectives"][0][1].as_f64().unwrap()
}

#[test]
fn the_nominal_winner_that_only_just_keeps_a_limit_is_last_when_it_is_built_a_little_off() {
    let folder = place(&on_the_edge().replace("LEAST", &format!("{} g", lightest() - 0.01)));
    study(folder.path(), &["run", "my.toml"]);
    let order = |listed: &[Value]| listed.iter().map(|v| v["variant"].as_u64().unwrap()).collect::<Vec<_>>();
    let nominal = ranked(folder.path(), &[]);
    assert_eq!(order(&nominal), [0, 1, 2]);
    assert_eq!(nominal[0]["robust"], Value::Null);
    let robust = ranked(folder.path(), &["--robust", "3", "--neighbours", "16"]);
    let place = |i: usize| robust[i]["robust"]["place_in_the_mean"].as_u64().unwrap();
    assert_eq!([place(0), place(1), place(2)], [3, 1, 2]);
    // Thickness is off evenly, so half of the ways are too light.
    assert_eq!((&robust[0]["robust"]["lost"], &robust[1]["robust"]["lost"]), (&8.into(), &0.into()));
    assert_eq!(robust[0]["robust"]["mean"], Value::Null);
    let expected = robust[1]["objectives"][0][1].as_f64().unwrap() / 0.1;
    let mean = robust[1]["robust"]["mean"].as_f64().unwrap();
    assert!((mean / expected - 1.0).abs() < 0.01, "errors even out: {mean} {expected}");
    assert!(robust[1]["robust"]["bad_end"].as_f64().unwrap() > mean);

    let told = flat(&study(folder.path(), &["rank", "my.toml"]).out);
    assert!(told.contains("The winner changes: no. 0"), "{told}");
    let text = text(folder.path());
    assert!(
        section(&text, "robust").contains("The winner changes")
            && section(&text, "overview").contains("The winner changes")
    );
    assert!(section(&text, "inputs").contains("±0.1"));
}

#[test]
fn neighbours_are_kept_and_other_tolerances_have_their_own() {
    let folder = place(&on_the_edge().replace("LEAST", "1 g"));
    study(folder.path(), &["run", "my.toml"]);
    let first = study(folder.path(), &["rank", "my.toml", "--robust", "2", "--neighbours", "8"]);
    assert!(first.err.contains("2 variants, each 8 times a little off; 16 to go"), "{}", first.err);
    let again = study(folder.path(), &["rank", "my.toml", "--robust", "2", "--neighbours", "8"]);
    assert!(!again.err.contains("to go") && again.out == first.out, "{}", again.err);
    let more = study(folder.path(), &["rank", "my.toml", "--robust", "3", "--neighbours", "8"]);
    assert!(more.err.contains("8 to go"), "{}", more.err);
    // Another tolerance is the same study, but not the same neighbours.
    let text = fs::read_to_string(folder.path().join("my.toml")).unwrap();
    fs::write(folder.path().join("my.toml"), text.replace("\"0.1 mm\"", "\"0.2 mm\"")).unwrap();
    let other = study(folder.path(), &["rank", "my.toml", "--robust", "2", "--neighbours", "8"]);
    assert!(other.err.contains("16 to go"), "{}", other.err);
    let folders = fs::read_dir(folder.path().join("my-study")).unwrap().flatten();
    assert_eq!(folders.filter(|f| f.file_name().to_string_lossy().starts_with("robust-")).count(), 2);
}

#[test]
fn errors_stay_within_their_tolerance_and_are_the_same_for_every_variant() {
    let folder = place(SMALL);
    let text = SMALL.replace(
        "to = \"85 %\"\n\n[[study.vary]]\nname = \"up\"",
        "to = \"85 %\"\ntolerance = \"0.5 %\"\n\n[[study.vary]]\nname = \"up\"",
    );
    let study = Study::of(text, &folder.path().join("my.toml")).unwrap();
    let neighbours = Neighbours::of(&study, 64).unwrap();
    assert!(!neighbours.has_spread(), "the case asks for no variations");
    let across = |text: &str| -> f64 {
        let (_, rest) = text.split_once("position = [\"").unwrap();
        rest.split_once(" %").unwrap().0.parse().unwrap()
    };
    let errors = |variant: usize| -> Vec<f64> {
        let nominal = across(&study.text(variant));
        (0..64).map(|k| across(&neighbours.text(variant, k)) - nominal).collect()
    };
    let (one, other) = (errors(3), errors(40));
    assert!(one.iter().zip(&other).all(|(a, b)| (a - b).abs() < 1e-9));
    let (low, high) = one.iter().fold((0.0f64, 0.0f64), |(low, high), &e| (low.min(e), high.max(e)));
    assert!((-0.5..-0.45).contains(&low) && (0.45..0.5).contains(&high), "{low} {high}");
    assert!((one.iter().sum::<f64>() / 64.0).abs() < 0.01);
}

#[test]
fn the_spread_of_the_case_joins_in_when_it_asks_for_variations() {
    let folder = place(SMALL);
    let path = folder.path().join("my.toml");
    let spread = SMALL.replace("samples = 0", "samples = 8\nstiffness = \"15 %\"");
    assert!(Neighbours::of(&Study::of(SMALL.into(), &path).unwrap(), 4).is_none(), "nothing may be off");
    let study_of = Study::of(spread.clone(), &path).unwrap();
    assert!(Neighbours::of(&study_of, 4).unwrap().has_spread());
    let folder = place(&spread.replace("variants = 60", "variants = 4"));
    study(folder.path(), &["run", "my.toml"]);
    let robust = ranked(folder.path(), &["--robust", "2", "--neighbours", "4"]);
    let (nominal, found) = (robust[0]["score"].as_f64().unwrap(), &robust[0]["robust"]);
    assert_eq!((&found["neighbours"], &found["lost"]), (&4.into(), &0.into()));
    assert!((found["mean"].as_f64().unwrap() - nominal).abs() > 1e-3, "another stiffness sounds different");
}

#[test]
fn mistakes_of_a_tolerance_stand_in_their_lines() {
    let (thickness, across) =
        ("value = \"panel.thickness\"\n", "value = \"exciter.one.position.from_left\"\n");
    for (at, tolerance, told) in [
        (thickness, "\"-1 mm\"", "not above zero"),
        (thickness, "\"0 mm\"", "not above zero"),
        (thickness, "\"1 kg\"", "write it in the unit of its values: mm"),
        (thickness, "0.1", "write it in the unit of its values: mm"),
        (across, "\"2 mm\"", "write it in the unit of its values: %"),
    ] {
        let folder = place(&SMALL.replacen(at, &format!("{at}tolerance = {tolerance}\n"), 1));
        let ran = run(folder.path(), &["study", "run", "my.toml"]);
        let shown = flat(&ran.err);
        assert_eq!(ran.code, Some(1), "{tolerance}: {shown}");
        assert!(shown.contains(told) && shown.contains("my.toml:"), "{tolerance}: {shown}");
    }
    let folder = place(SMALL);
    study(folder.path(), &["run", "my.toml"]);
    let ran = run(folder.path(), &["study", "rank", "my.toml", "--robust"]);
    assert!(
        ran.code == Some(1) && flat(&ran.err).contains("Give varied values a `tolerance`"),
        "{}",
        ran.err
    );
}

#[test]
fn the_surrounds_of_the_best_are_written_for_a_printer() {
    let folder = place(&format!("{WINGS}{WINGS_STUDY}"));
    study(folder.path(), &["run", "my.toml"]);
    fs::write(folder.path().join("my-study/best-9-variant-9-old.stl"), b"of an earlier ranking").unwrap();
    let told = flat(&study(folder.path(), &["rank", "my.toml"]).out);
    let order: Vec<u64> = ranked(folder.path(), &[]).iter().map(|v| v["variant"].as_u64().unwrap()).collect();
    let page = text(folder.path());
    let mut reach = vec![];
    for (place, variant) in order.iter().enumerate() {
        let name = format!("best-{}-variant-{variant}-two--wings-.stl", place + 1);
        assert!(told.contains(&name) && page.contains(&format!("<a href=\"{name}\">")), "{name}: {told}");
        let bytes = fs::read(folder.path().join("my-study").join(&name)).unwrap();
        let surface = stl::read(&bytes, stl::MILLIMETRE).unwrap();
        let report = check::check(&surface, &check::Limits::default());
        assert!(report.faults.is_empty(), "{name} is not closed: {:?}", report.faults);
        let far = surface.points.iter().map(|p| p.x.hypot(p.y)).fold(0.0, f64::max);
        reach.push((*variant, far));
    }
    reach.sort_by_key(|(variant, _)| *variant);
    assert!(
        reach[0].1 + 2e-3 < reach[1].1 && reach[1].1 + 2e-3 < reach[2].1,
        "longer wings reach farther: {reach:?}"
    );
    assert!(!folder.path().join("my-study/best-9-variant-9-old.stl").exists());
    // `show` writes the one that is asked for, wherever it stands in the ranking.
    let last = order[2];
    let shown = flat(&study(folder.path(), &["show", "my.toml", &last.to_string()]).out);
    let name = format!("variant-{last}-two--wings-.stl");
    assert!(shown.contains(&format!("to be printed (STL, mm): my-study/{name}")), "{shown}");
    let read = |name: &str| fs::read(folder.path().join("my-study").join(name)).unwrap();
    assert!(read(&name) == read(&format!("best-3-variant-{last}-two--wings-.stl")));
}

#[test]
fn the_worked_case_of_wings_does_what_its_comment_promises() {
    let case = panelwright_tests::case("tea-room-surround-study.toml");
    let folder = place(&fs::read_to_string(case).unwrap());
    study(folder.path(), &["run", "my.toml"]);
    let listed = ranked(folder.path(), &[]);
    let of = |length: &str, opening: &str, objective: usize| -> f64 {
        let is = |v: &&Value| v["values"][0][1] == length && v["values"][1][1] == opening;
        listed.iter().find(is).unwrap()["objectives"][objective][1].as_f64().unwrap()
    };
    let lengths = ["12 mm", "20 mm", "28 mm"];
    let (steep, open) =
        (lengths.map(|length| of(length, "40 °", 3)), lengths.map(|length| of(length, "70 °", 3)));
    assert!(
        steep.iter().all(|gain| (1.9..4.1).contains(gain)) && steep[0] < steep[1] && steep[1] < steep[2],
        "{steep:?}"
    );
    assert!(open.iter().all(|gain| *gain < 1.0), "{open:?}");
    let beam: Vec<f64> = listed.iter().map(|v| v["objectives"][2][1].as_f64().unwrap()).collect();
    let ends = beam.iter().fold((f64::MAX, 0.0f64), |(low, high), &b| (low.min(b), high.max(b)));
    assert_eq!(ends, (of("12 mm", "70 °", 2), of("28 mm", "40 °", 2)));
    assert!(listed.iter().filter(|v| v["on_the_front"] == true).count() > 1);
    let stl = fs::read_dir(folder.path().join("my-study")).unwrap().flatten();
    assert_eq!(stl.filter(|f| f.path().extension().is_some_and(|e| e == "stl")).count(), 3);
}
