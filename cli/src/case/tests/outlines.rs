//! Panels of other shapes: what is understood, and what is said of faults.

use super::{SMALL, shown};
use crate::case::{Case, parse};
use approx::assert_relative_eq;
use panelwright_mesh::Outline;
use std::f64::consts::PI;
use std::path::Path;

/// The small case with another outline; drawings lie in the test data.
fn case(panel: &str, cutouts: &str) -> Result<Case, String> {
    let text = SMALL
        .replace("width = \"760 mm\"\nheight = \"520 mm\"", panel)
        .replace("[[exciter]]", &format!("{cutouts}\n[[exciter]]"));
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/data/drawings");
    parse(&text, &folder.join("my.toml")).map_err(|problems| {
        shown(&problems).split_whitespace().filter(|w| *w != "│").collect::<Vec<_>>().join(" ")
    })
}

#[track_caller]
fn outline(panel: &str, cutouts: &str) -> Outline {
    case(panel, cutouts).unwrap_or_else(|shown| panic!("refused: {shown}")).scene.panel.outline
}

#[track_caller]
fn refused(panel: &str, cutouts: &str, parts: &[&str]) {
    let shown = case(panel, cutouts).expect_err("at fault");
    for part in parts {
        assert!(shown.contains(part), "\"{part}\" is not in:\n{shown}");
    }
}

const SIZE: &str = "width = \"760 mm\"\nheight = \"520 mm\"";

#[test]
fn plain_shapes() {
    let ellipse = outline(&format!("shape = \"ellipse\"\n{SIZE}"), "");
    assert_eq!(ellipse, Outline::Ellipse { width: 0.76, height: 0.52 });
    let rounded = outline(&format!("shape = \"rounded rectangle\"\n{SIZE}\ncorner_radius = \"40 mm\""), "");
    assert_eq!(rounded, Outline::RoundedRectangle { width: 0.76, height: 0.52, radius: 0.04 });
    let points = "points = [[\"0 mm\", \"0 mm\"], [\"80 cm\", \"0 mm\"], [\"400 mm\", \"600 mm\"]]";
    assert_relative_eq!(outline(points, "").area(), 0.24, max_relative = 1e-12);
}

#[test]
fn cutouts_are_taken_out() {
    let cutouts = "[[panel.cutout]]\ncentre = [\"75 %\", \"50 %\"]\ndiameter = \"100 mm\"\n\n\
                   [[panel.cutout]]\nshape = \"rounded rectangle\"\ncentre = [\"100 mm\", \"260 mm\"]\n\
                   width = \"80 mm\"\nheight = \"60 mm\"\ncorner_radius = \"10 mm\"\n";
    let panel = outline(SIZE, cutouts);
    assert_eq!((panel.contours(), panel.bounding_box()), (3, (0.76, 0.52)));
    let holes = PI * 0.0025 + 0.0048 - (4.0 - PI) * 1e-4;
    assert_relative_eq!(panel.area(), 0.3952 - holes, max_relative = 1e-12);
    assert!(!panel.contains([0.57, 0.26]) && panel.contains([0.57, 0.315]));
}

#[test]
fn drawings_are_read() {
    let svg = outline("drawing = \"shield.svg\"", "");
    let (width, height) = svg.bounding_box();
    assert!((width - 0.6).abs() < 1e-6 && (height - 0.4).abs() < 1e-6, "{width} {height}");
    // A rectangle less a corner, the bay on the left (∫ x dy of its Bézier curve: 10,500 mm²) and a hole. SVG arcs come as Bézier curves,
    // true to a few parts in ten thousand.
    let expected = 0.24 - (1.0 - PI / 4.0) * 0.01 - 0.0105 - PI * 0.0016;
    assert_relative_eq!(svg.area(), expected, max_relative = 1e-4);
    assert_eq!(svg.contours(), 2);
    // y runs down in an SVG: the hole, 120 mm from the top, lies in the upper half.
    assert!(!svg.contains([0.48, 0.28]) && svg.contains([0.48, 0.12]));
    let dxf = outline("drawing = \"plate.dxf\"", "");
    // The spline's loop has 36,000 ∫ t(1−t)(1−2t)² dt = 1200 mm²; the upper side is askew by 0.01 mm.
    let holes = PI * (0.0016 + 0.000_625 + 0.05 * 0.025) + 0.0012;
    let expected = 0.24 - (1.0 - PI / 4.0) * 0.01 - holes + 2.5e-6;
    assert_eq!(dxf.contours(), 5);
    assert_relative_eq!(dxf.area(), expected, max_relative = 1e-9);
    let told = outline("drawing = \"plate_without_unit.dxf\"\ndrawing_unit = \"mm\"\n", "");
    assert_relative_eq!(told.area(), dxf.area(), max_relative = 1e-12);
    let large = "drawing = \"without_unit.svg\"\ndrawing_unit = \"m\"\n";
    refused(large, "", &["would be 600000 mm wide and 400000 mm high", "check the drawing's unit"]);
}

#[test]
fn faulty_drawings_say_what_to_do() {
    refused(
        "drawing = \"open.svg\"",
        "",
        &["not closed", "stops at (0.00, -5.00 mm), 5.00 mm from the next end"],
    );
    refused("drawing = \"without_unit.svg\"", "", &["how long its units are", "drawing_unit = \"mm\""]);
    refused("drawing = \"plate_without_unit.dxf\"", "", &["$INSUNITS", "drawing_unit = \"mm\""]);
    refused(
        "drawing = \"plate_open.dxf\"",
        "",
        &["not closed", "stops at (0.00, 400.01 mm), 316.24 mm from the next end"],
    );
    refused("drawing = \"cut_off.svg\"", "", &["the drawing cannot be read"]);
    refused("drawing = \"none.svg\"", "", &["there is no file", "the folder of the case file"]);
    refused("drawing = \"my.toml\"", "", &["there is no file"]);
}

#[test]
fn faults_are_told_with_their_coordinates() {
    let bow = "points = [[\"0 mm\", \"0 mm\"], [\"600 mm\", \"400 mm\"], [\"600 mm\", \"0 mm\"], [\"0 mm\", \"500 mm\"]]";
    refused(bow, "", &["the outline crosses or touches itself at (333.3, 222.2) mm", "--picture"]);
    let twice = "points = [[\"0 mm\", \"0 mm\"], [\"600 mm\", \"0 mm\"], [\"600 mm\", \"0 mm\"], [\"0 mm\", \"500 mm\"]]";
    refused(twice, "", &["point 2 of the outline is given twice", "(600.0, 0.0) mm"]);
    let off = "points = [[\"100 mm\", \"0 mm\"], [\"600 mm\", \"0 mm\"], [\"300 mm\", \"500 mm\"]]";
    refused(
        off,
        "",
        &["the leftmost point lies at 100 mm instead of 0 mm", "take 100 mm off the first number"],
    );
    let hole = |x: &str, size: &str| {
        format!("[[panel.cutout]]\ncentre = [\"{x}\", \"50 %\"]\ndiameter = \"{size}\"\n")
    };
    refused(SIZE, &hole("740 mm", "100 mm"), &["the outline and cut-out 1 cross or touch at (760.0,"]);
    refused(SIZE, &hole("900 mm", "100 mm"), &["cut-out 1 lies outside the panel"]);
    refused(SIZE, &hole("40 %", "200 mm"), &["\"one\" sits in a cut-out", "beyond the nearest edge"]);
    let thin = case(SIZE, &hole("705 mm", "100 mm")).expect("thin but sound");
    assert!(
        thin.warnings.iter().any(|w| w.message.contains("only 5 mm of material are left near (757.5,")),
        "{:?}",
        thin.warnings
    );
}

#[test]
fn keys_that_do_not_go_together() {
    refused("shape = \"polygon\"", "", &["`points` is missing", "add a line: points ="]);
    refused("shape = \"ellipse\"\nwidth = \"500 mm\"", "", &["`height` is missing from the panel"]);
    refused(&format!("drawing = \"shield.svg\"\n{SIZE}"), "", &["both `drawing` and `width`"]);
    refused(
        &format!("{SIZE}\ncorner_radius = \"40 mm\""),
        "",
        &["has no `corner_radius`", "rounded rectangle"],
    );
    refused(
        &format!("shape = \"rounded rectangle\"\n{SIZE}\ncorner_radius = \"400 mm\""),
        "",
        &["at most 260 mm"],
    );
    refused(
        "points = [[\"0 mm\", \"0 %\"], [\"1 m\", \"0 mm\"], [\"1 m\", \"1 m\"]]",
        "",
        &["cannot be a percentage"],
    );
    refused(
        "points = [[\"0 mm\"], [\"1 m\", \"0 mm\"], [\"1 m\", \"1 m\"]]",
        "",
        &["a point is a pair of lengths"],
    );
}
