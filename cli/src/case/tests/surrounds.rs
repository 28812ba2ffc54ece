//! Surrounds: every shape, parts from files, and every mistake.

use super::SMALL;
use super::drivers::{ALONE, alone, refused};
use super::errors::says;
use crate::case::{describe_driver, parse_driver};
use panelwright_solver::scene::{FlareProfile, SurroundForm};
use std::f64::consts::PI;
use std::path::Path;

const WINGS: &str = "shape = \"wings\"\ncount = 2\nlength = \"60 mm\"\nheight = \"40 mm\"\nopening = \"60 °\"\nthickness = \"3 mm\"\n";
const FLARE: &str = "mouth_diameter = \"120 mm\"\nlength = \"50 mm\"\nthickness = \"2 mm\"\n";
const BAFFLE: &str = "shape = \"baffle\"\nwidth = \"200 mm\"\nheight = \"150 mm\"\nthickness = \"4 mm\"\n";
const POST: &str = "shape = \"post\"\ndiameter = \"8 mm\"\nlength = \"300 mm\"\nin_front = \"25 mm\"\n";
const BRACKET: &str = "shape = \"bracket\"\nhorizontal_leg = \"30 mm\"\nvertical_leg = \"40 mm\"\nthickness = \"2 mm\"\n\
                       depth = \"15 mm\"\nin_front = \"25 mm\"\n";

/// A lone driver with this surround.
pub fn around(lines: &str) -> String {
    format!("{ALONE}[[surround]]\n{lines}\n")
}

#[track_caller]
pub fn form(lines: &str) -> SurroundForm {
    alone(&around(lines)).scene.surrounds[0].form.clone()
}

#[test]
fn every_shape_reaches_the_scene() {
    assert_eq!(form("shape = \"bare\""), SurroundForm::Bare);
    let wings = SurroundForm::Wings {
        count: 2,
        length: 0.06,
        height: 0.04,
        opening: 60.0 * (PI / 180.0),
        thickness: 0.003,
        gap: 5e-4,
        rounding: 0.001,
        turned: 0.0,
    };
    assert_eq!(form(&format!("{WINGS}rounding = \"1 mm\"")), wings);
    let flares = [
        ("conical flare", FlareProfile::Conical),
        ("Exponential-Flare", FlareProfile::Exponential),
        ("elliptic flare", FlareProfile::Elliptic),
    ];
    for (word, profile) in flares {
        let flare =
            SurroundForm::Flare { profile, mouth_radius: 0.06, length: 0.05, wall: 0.002, gap: 0.001 };
        assert_eq!(form(&format!("shape = \"{word}\"\n{FLARE}gap = \"1 mm\"")), flare);
    }
    assert_eq!(
        form("shape = \"round-over\"\nrounding = \"20 mm\""),
        SurroundForm::RoundOver { radius: 0.02 }
    );
    let baffle =
        SurroundForm::Baffle { width: 0.2, height: 0.15, thickness: 0.004, gap: 5e-4, rounding: 0.0 };
    assert_eq!(form(BAFFLE), baffle);
    let post = SurroundForm::Post { diameter: 0.008, length: 0.3, middle: [0.01, -0.02, 0.025], turned: 0.0 };
    assert_eq!(form(&format!("{POST}to_the_right = \"10 mm\"\nabove = \"-20 mm\"")), post);
    let corner = [0.0, 0.0, 0.025];
    let bracket = SurroundForm::Bracket { legs: [0.03, 0.04], thickness: 0.002, width: 0.015, corner };
    assert_eq!(form(BRACKET), bracket);
}

#[test]
fn the_bare_driver_comes_first_and_otherwise_the_order_stays() {
    let list = format!("{ALONE}[[surround]]\nname = \"a\"\n{WINGS}[[surround]]\n{BAFFLE}absorption = 0.4\n");
    let names = |text: &str| {
        alone(text).scene.surrounds.iter().map(|s| (s.name.clone(), s.absorption)).collect::<Vec<_>>()
    };
    assert_eq!(names(&list), [("a".to_owned(), 0.0), ("surround 2".to_owned(), 0.4)]);
    let bare = format!("{list}[[surround]]\nname = \"b\"\nshape = \"bare\"\n");
    let order = names(&bare).into_iter().map(|(name, _)| name).collect::<Vec<_>>();
    assert_eq!(order, ["b", "a", "surround 2"]);
    let facts = describe_driver(&alone(&bare));
    let facts: Vec<_> = facts.iter().filter(|f| f.subject == "surround").map(|f| f.text.as_str()).collect();
    assert_eq!(
        facts,
        [
            "\"b\", just the driver; the others are compared with it",
            "\"a\", 2 wings of 60 mm × 40 mm, 3 mm thick, opening 60°, gap 0.5 mm",
            "\"surround 2\", baffle of 200 mm × 150 mm, 4 mm thick, gap 0.5 mm, absorbs 40 %",
        ]
    );
}

#[test]
fn keys_of_other_shapes() {
    says(
        &refused(&around(
            "shape = \"baffle\"\nwidth = \"200 mm\"\nheight = \"150 mm\"\nthickness = \"4 mm\"\nmouth_diameter = \"9 mm\"",
        )),
        &[
            "[my.toml:16:18]",
            "`mouth_diameter` does not belong to shape = \"baffle\"",
            "belongs to \"conical flare\", \"exponential flare\" or \"elliptic flare\"",
        ],
    );
    says(
        &refused(&around("shape = \"bare\"\nabsorption = 0.5")),
        &["`absorption` does not belong to shape = \"bare\""],
    );
    says(&refused(&around(&format!("{POST}gap = \"1 mm\""))), &["`gap` does not belong to shape = \"post\""]);
    says(
        &refused(&around("file = \"x.stl\"\nlength = \"9 mm\"")),
        &["`length` does not belong to a part from a `file`"],
    );
    says(
        &refused(&around(&format!("{WINGS}file_unit = \"m\""))),
        &["`file_unit` does not belong to shape = \"wings\""],
    );
}

#[test]
fn shapes_that_are_not_said_clearly() {
    says(&refused(&around("shape = \"wing\"")), &["`shape` cannot be \"wing\"", "did you mean \"wings\"?"]);
    says(&refused(&around("name = \"x\"")), &["the surround needs `shape` or `file`", "shape = \"wings\""]);
    says(
        &refused(&around("shape = \"bare\"\nfile = \"x.stl\"")),
        &["has both `shape` and `file`", "which one holds?"],
    );
    says(&refused(&around("shape = \"round over\"")), &["`rounding` is missing from the surround"]);
    says(&refused(&around(&WINGS.replace("count = 2\n", ""))), &["`count` is missing", "count = 2"]);
    let two = "[[surround]]\nname = \"a\"\nshape = \"bare\"\n".repeat(2);
    says(&refused(&format!("{ALONE}{two}")), &["two surrounds are called \"a\""]);
}

#[test]
fn measures_that_cannot_be() {
    let wings = |from: &str, to: &str| refused(&around(&WINGS.replace(from, to)));
    says(
        &refused(&around(&format!("{WINGS}gap = \"0 mm\""))),
        &["`gap` cannot be \"0 mm\"", "parts that touch are one part"],
    );
    says(&wings("60 °", "120 °"), &["`opening` cannot be \"120 °\"", "at most 90 °"]);
    says(&wings("count = 2", "count = 13"), &["`count` cannot be 13", "from 1 to 12"]);
    says(
        &wings("count = 2", "count = 8"),
        &[
            "[my.toml:15:10]",
            "neighbouring wings would cross",
            "make it less than 16.98",
            "with the other measures",
        ],
    );
    says(
        &refused(&around(&format!("{WINGS}rounding = \"2 mm\""))),
        &["[my.toml:18:12]", "both roundings do not fit"],
    );
    let flare = |from: &str, to: &str| {
        refused(&around(&format!("shape = \"elliptic flare\"\n{}", FLARE.replace(from, to))))
    };
    says(&flare("120 mm", "39 mm"), &["[my.toml:13:18]", "a flare widens", "make it more than 20.5"]);
    says(&flare("2 mm", "60 mm"), &["[my.toml:15:13]", "wall thickness", "make it less than"]);
    says(
        &refused(&around("shape = \"round over\"\nrounding = \"30 mm\"")),
        &["`rounding` of 30 mm is too large", "less than 29.4 mm"],
    );
    says(
        &refused(&around(&BAFFLE.replace("150 mm", "41 mm"))),
        &["`height` of 41 mm leaves nothing", "more than 41 mm"],
    );
    says(&refused(&around(&POST.replace("25 mm", "4 mm"))), &["it reaches the driver", "at least 4.1 mm"]);
    says(&refused(&around(&BRACKET.replace("25 mm", "10 mm"))), &["it reaches the driver", "5 mm before"]);
    says(&refused(&around(&BRACKET.replace("40 mm", "2 mm"))), &["leg of the bracket"]);
    let box_of = ALONE
        .replace("housing_diameter = \"40 mm\"", "housing_width = \"40 mm\"\nhousing_height = \"40 mm\"");
    let round = format!("{box_of}[[surround]]\nshape = \"round over\"\nrounding = \"9 mm\"\n");
    says(&refused(&round), &["only a round housing can be rounded over", "`housing_diameter`"]);
    says(
        &refused(&around(&format!("{WINGS}absorption = 1"))),
        &["`absorption` cannot be 1", "from 0 to 0.95"],
    );
}

#[test]
fn a_dome_keeps_obstacles_at_a_distance() {
    let dome = ALONE.to_owned() + "diaphragm = \"dome\"\ndome_height = \"7 mm\"\n";
    let with = |front: &str| format!("{dome}[[surround]]\n{}", POST.replace("25 mm", front));
    assert!(parse_driver(&with("12 mm"), Path::new("my.toml")).is_ok());
    says(&refused(&with("11 mm")), &["it reaches the driver", "at least 11.1 mm"]);
}

#[test]
fn surrounds_keep_clear_of_the_panel() {
    let near = |clearance: &str, surround: &str| {
        format!(
            "{SMALL}{ALONE}position = [\"50 %\", \"560 mm\"]\nclearance = \"{clearance}\"\n[[surround]]\n{surround}"
        )
    };
    assert!(parse_driver(&near("-20 mm", "shape = \"bare\""), Path::new("my.toml")).is_ok());
    // The front lies 2 mm before the panel, the plate is 4 mm thick and reaches 35 mm over the panel.
    says(
        &refused(&near("-28 mm", BAFFLE)),
        &["the surround touches or cuts into the panel", "from the bottom", "more `clearance`"],
    );
    assert!(parse_driver(&near("-25 mm", BAFFLE), Path::new("my.toml")).is_ok());
    says(
        &refused(
            &near(
                "0.5 mm",
                "shape = \"baffle\"\nwidth = \"200 mm\"\nheight = \"150 mm\"\nthickness = \"31 mm\"\n",
            )
            .replace("560 mm", "50 %"),
        ),
        &["touches or cuts into the panel"],
    );
}

#[test]
fn names_of_one_file_are_refused() {
    let named = |names: [&str; 3]| -> String {
        names.map(|name| format!("[[surround]]\nname = \"{name}\"\nshape = \"bare\"\n")).concat()
    };
    let twins = format!("{ALONE}{}", named(["a b", "c", "A-b"]));
    says(&refused(&twins), &["\"A-b\" and \"a b\" differ only in signs or capitals", "called a-b"]);
    alone(&format!("{ALONE}{}", named(["a b", "a  b", "ab"])));
}
