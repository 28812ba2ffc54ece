//! The report in a real browser, and as text.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright::report::{self, ReportInput};
use panelwright_mesh::{Contour, Outline};
use panelwright_solver::Warning;
use panelwright_solver::listening::Findings;
use panelwright_solver::scene::Scene;
use panelwright_tests::{browser, specimen};
use std::path::PathBuf;
use tempfile::TempDir;

fn page(findings: &Findings) -> (TempDir, PathBuf) {
    page_of(findings, &specimen::scene())
}

fn page_of(findings: &Findings, scene: &Scene) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let input = ReportInput {
        findings,
        scene,
        lay_up: vec![],
        case_text: specimen::CASE_TEXT,
        case_name: "specimen",
        version: "0.0.0-specimen",
        computed_at: "25 November 2026".into(),
        seconds: 1.0,
        cautions: &specimen::CAUTIONS,
    };
    let path = report::write(folder.path(), &input).unwrap();
    (folder, path)
}

fn text(findings: &Findings) -> String {
    std::fs::read_to_string(page(findings).1).unwrap()
}

/// The part of the page between the heading of a section and the next section.
fn section<'p>(page: &'p str, id: &str) -> &'p str {
    let start = page.find(&format!("<section id=\"{id}\"")).unwrap_or_else(|| panic!("no section {id}"));
    let end = page[start..].find("</section>").unwrap();
    &page[start..start + end]
}

#[test]
fn every_control_works_in_a_browser_without_script_errors() {
    let (_folder, path) = page(&specimen::findings());
    let check = browser::open(&path);
    assert_eq!(check.errors, Vec::<String>::new());
    let drawings = check.dom.matches("class=\"drawing").count() as u64;
    assert!(drawings >= 11, "only {drawings} drawings");
    assert!(check.used["controls"].as_u64().unwrap() > 80, "{}", check.used);
    assert_eq!(check.used["readouts"].as_u64().unwrap(), 5 * drawings, "{}", check.used);
    assert_eq!(check.used["silent"].as_array().unwrap().len(), 0, "{}", check.used);
}

#[test]
fn a_script_error_is_caught() {
    let (_folder, path) = page(&specimen::findings());
    let broken = std::fs::read_to_string(&path)
        .unwrap()
        .replace("const inputs = ", "noSuchFunction(); const inputs = ");
    std::fs::write(&path, broken).unwrap();
    let errors = browser::open(&path).errors.join("\n");
    assert!(errors.contains("noSuchFunction") && errors.contains("self-test did not finish"), "{errors}");
}

#[test]
fn the_last_band_paints_another_map_and_the_view_turns() {
    let (_folder, path) = page(&specimen::findings());
    let before = std::fs::read_to_string(&path).unwrap();
    let check = browser::open(&path);
    let cells = |page: &str| page.split("<g class=\"cells\">").nth(1).unwrap()[..2000].to_string();
    assert!(cells(&check.dom).contains("<path") && cells(&check.dom) != cells(&before));
    assert!(check.dom.contains("data-view=\"1\""), "the self-test ends with the view from behind");
}

#[test]
fn it_can_be_photographed_and_printed() {
    let (_folder, path) = page(&specimen::findings());
    let (wide, narrow) = (browser::screenshot(&path, 1200, 900), browser::screenshot(&path, 390, 844));
    for (picture, width) in [(&wide, 1200_u32), (&narrow, 390)] {
        assert!(picture.starts_with(b"\x89PNG") && picture.len() > 10_000);
        assert_eq!(picture[16..20], width.to_be_bytes());
    }
    assert!(browser::print(&path).starts_with(b"%PDF"));
}

#[test]
fn nothing_is_fetched_and_the_file_stays_small() {
    let page = text(&specimen::findings());
    for address in ["http:", "https:", "src=", "@import", "url("] {
        assert!(!page.contains(address), "the page refers to {address}");
    }
    assert!(page.len() < 3_000_000, "{} bytes", page.len());
}

#[test]
fn warnings_stand_beside_what_they_concern_and_none_is_lost() {
    let places = [
        ("modes", "modes"),
        ("response", "response"),
        ("map", "map"),
        ("centre", "centre"),
        ("exciter", "exciters"),
        ("power", "balance"),
        ("radiation", "polar"),
        ("never heard of", "overview"),
    ];
    let mut findings = specimen::findings();
    findings.warnings =
        places.iter().map(|(key, _)| Warning::new(key, format!("doubt about {key} & more"))).collect();
    let page = text(&findings);
    for (key, id) in places {
        let sentence = format!("doubt about {key} &amp; more");
        assert!(section(&page, id).contains(&sentence), "{key} is not in section {id}");
    }
}

#[test]
fn the_users_words_cannot_become_markup() {
    let mut findings = specimen::findings();
    findings.seats[0].name = "</script><b>bold</b>".into();
    let page = text(&findings);
    assert!(!page.contains("<b>bold"));
    assert!(page.contains("&lt;poplar&gt; &amp; paint"), "the case file is echoed word for word");
}

#[test]
fn findings_without_seats_bands_or_ratings_still_make_a_page() {
    let mut findings = specimen::findings();
    findings.seats.clear();
    findings.centres.clear();
    findings.map.bands.clear();
    findings.panel_map.bands.clear();
    findings.dead_spots.clear();
    findings.quiet_places.clear();
    findings.polar.bands.clear();
    findings.panel.first_shapes.clear();
    findings.panel.overlap_one = None;
    findings.sensitivity.level.fill(f64::NEG_INFINITY);
    for exciter in &mut findings.exciters {
        (exciter.rated_power, exciter.rated_excursion) = (None, None);
    }
    let (_folder, path) = page(&findings);
    assert_eq!(browser::open(&path).errors, Vec::<String>::new());
    let page = std::fs::read_to_string(&path).unwrap();
    let page = &page[..page.rfind("<script>").unwrap()];
    assert!(!page.contains("NaN") && !page.contains("inf "), "numbers that are none reached the page");
}

#[test]
fn a_folder_that_is_not_there_is_an_error_with_its_name() {
    let findings = specimen::findings();
    let scene = specimen::scene();
    let input = ReportInput {
        findings: &findings,
        scene: &scene,
        lay_up: vec![],
        case_text: "",
        case_name: "",
        version: "",
        computed_at: String::new(),
        seconds: 0.0,
        cautions: &[],
    };
    let error = report::write(std::path::Path::new("no/such/folder"), &input).unwrap_err().to_string();
    assert!(error.contains("no/such/folder/report.html"), "{error}");
}

#[test]
fn the_cut_sheet_measures_from_both_sides() {
    let page = text(&specimen::findings());
    let sheet = section(&page, "fixing");
    for part in ["left", "right", "lead disc", "left cord", "right cord", "felt &amp; foil", "batten"] {
        assert!(sheet.contains(part), "no {part}");
    }
    // The panel is 760 mm wide; the disc sits at x = 620 mm.
    let row = &sheet[sheet.find("scope=\"row\">lead disc").unwrap()..];
    assert!(row.find("<td>620</td><td>140</td><td>100</td>").unwrap() < 60, "{}", &row[..120]);
    let listed = section(&page, "modes");
    assert!(listed.contains("With everything on it") && listed.contains("Bare panel"));
}

#[test]
fn maps_of_shapes_are_cut_along_the_rim() {
    let mut scene = specimen::scene();
    let (width, height) = scene.panel.outline.bounding_box();
    assert!(!text(&specimen::findings()).contains("clip-path"), "a rectangle fills its box");
    let hole = Contour::ellipse([0.5 * width, 0.75 * height], 0.08, 0.06);
    let disc = Contour::ellipse([0.5 * width, 0.5 * height], width, height);
    scene.panel.outline = Outline::of_contours(disc, vec![hole]).unwrap();
    let (_folder, path) = page_of(&specimen::findings(), &scene);
    let page = std::fs::read_to_string(&path).unwrap();
    for edge in ["edge-of-panel", "edge-of-shapes"] {
        assert_eq!(page.matches(&format!("<clipPath id=\"{edge}\"")).count(), 1, "{edge}");
    }
    assert_eq!(page.matches("url(#edge-of-panel)").count(), 1, "the map in front is not cut");
    let shapes = page.matches("class=\"shape\"").count();
    assert_eq!(page.matches("url(#edge-of-shapes)").count(), shapes);
    let inputs = section(&page, "inputs");
    assert!(inputs.contains("with one cut-out, ") && inputs.contains(" m²"), "{inputs}");
    let fixing = section(&page, "fixing");
    assert!(fixing.contains("cut-out 1") && fixing.contains("80 × 60"), "{fixing}");
    let check = browser::open(&path);
    assert_eq!(check.errors, Vec::<String>::new());
}
