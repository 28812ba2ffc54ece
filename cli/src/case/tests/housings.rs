//! Housings, sites and words of the small driver.

use super::drivers::{ALONE, alone, changed, near, refused, with};
use super::errors::says;
use super::{SMALL, read};
use crate::case::{describe, describe_driver};
use approx::assert_relative_eq;
use panelwright_solver::scene::{DiaphragmForm, HousingBack, HousingFront};

#[test]
fn housings() {
    let box_of =
        changed("housing_diameter = \"40 mm\"", "housing_width = \"50 mm\"\nhousing_height = \"60 mm\"");
    assert_eq!(
        alone(&box_of).scene.driver.housing.front,
        HousingFront::Rectangular { width: 0.05, height: 0.06 }
    );
    let tube = changed("box_volume = \"0.02 l\"", "open_back = true\nhousing_wall = \"2 mm\"");
    assert_eq!(alone(&tube).scene.driver.housing.back, HousingBack::Open { wall: 0.002 });
    let big = alone(&changed("0.02 l", "0.2 l"));
    assert!(big.warnings[0].message.contains("the air inside is more than the housing"));
    assert!(big.warnings[0].label.contains("0.0377 l"), "{}", big.warnings[0].label);
}

/// The lone driver in a ball of 50 mm.
pub fn in_a_ball() -> String {
    changed("housing_diameter = \"40 mm\"\nhousing_depth = \"30 mm\"", "ball_diameter = \"50 mm\"")
}

#[test]
fn a_ball_takes_its_measures_from_two_diameters() {
    // With r = 25 mm and a = 14 mm the middle lies √(25² − 14²) mm = √429 mm behind the cap's edge.
    let (case, middle) = (alone(&in_a_ball()), 1e-3 * 429f64.sqrt());
    let driver = &case.scene.driver;
    assert!(case.warnings.is_empty());
    assert_eq!(driver.housing.front, HousingFront::Ball { radius: 0.025 });
    assert_eq!((driver.housing.rounding, &driver.housing.back), (0.0, &HousingBack::Sealed { volume: 2e-5 }));
    assert_relative_eq!(driver.housing.depth, 0.025 + middle, max_relative = 1e-12);
    let DiaphragmForm::Dome { height } = driver.diaphragm.form else { panic!("a cap") };
    assert_relative_eq!(height, 0.025 - middle, max_relative = 1e-12);
    let told = describe_driver(&case);
    let ball = |fact: &crate::case::Fact| fact.text.contains("in a ball of 50 mm, closed with 0.02 l of air");
    assert!(told.iter().any(ball), "{told:?}");
    let big = alone(&in_a_ball().replace("0.02 l", "0.1 l"));
    assert!(big.warnings[0].label.contains("0.06545 l"), "{}", big.warnings[0].label);
    let behind = alone(&format!("{}behind = \"plane\"\nclearance = \"20 mm\"\n", in_a_ball()));
    assert_relative_eq!(behind.scene.driver.place[2], 0.045 + middle, max_relative = 1e-12);
}

#[test]
fn what_says_nothing_about_a_ball_is_told() {
    for line in [
        "diaphragm = \"dome\"",
        "dome_height = \"5 mm\"",
        "coil_diameter = \"5 mm\"",
        "housing_depth = \"30 mm\"",
        "housing_rounding = \"2 mm\"",
        "open_back = true",
        "housing_wall = \"2 mm\"",
    ] {
        let key = line.split(' ').next().unwrap_or(line);
        says(&refused(&format!("{}{line}\n", in_a_ball())), &[&format!("`{key}` has no effect here")]);
    }
    let with = |line: &str| refused(&format!("{}{line}\n", in_a_ball()));
    says(&with("housing_diameter = \"40 mm\""), &["both `housing_diameter` and `ball_diameter`"]);
    says(&with("housing_height = \"40 mm\""), &["both `housing_height` and `ball_diameter`"]);
    says(
        &with("[[surround]]\nshape = \"round over\"\nrounding = \"5 mm\""),
        &["is a ball, which has no edge"],
    );
    says(&refused(&in_a_ball().replace("28 mm", "50 mm")), &["of 50 mm is too large", "a cap of the ball"]);
    says(&refused(&in_a_ball().replace("box_volume = \"0.02 l\"\n", "")), &["`box_volume` is missing"]);
    says(&refused(&changed("housing_depth = \"30 mm\"\n", "")), &["`housing_depth` is missing"]);
}

#[test]
fn housings_that_do_not_fit() {
    says(
        &refused(&changed("28 mm", "40 mm")),
        &[
            "[my.toml:7:22]",
            "`diaphragm_diameter` of 40 mm is too large",
            "smaller than the housing",
            "less than 40 mm",
        ],
    );
    says(
        &refused(&with("housing_rounding = \"6 mm\"")),
        &["`housing_rounding` of 6 mm is too large", "no room for the diaphragm"],
    );
    says(&refused(&with("housing_width = \"50 mm\"")), &["has both `housing_diameter` and `housing_width`"]);
    says(
        &refused(&changed("housing_diameter = \"40 mm\"", "housing_width = \"50 mm\"")),
        &["`housing_height` is missing"],
    );
    says(
        &refused(&changed("housing_diameter = \"40 mm\"\n", "")),
        &["needs `housing_diameter` or `housing_width`"],
    );
    says(
        &refused(&changed("box_volume = \"0.02 l\"\n", "")),
        &["`box_volume` is missing", "open_back = true"],
    );
    says(&refused(&with("open_back = true\nhousing_wall = \"2 mm\"")), &["`box_volume` has no effect here"]);
    let thick = changed("box_volume = \"0.02 l\"", "open_back = true\nhousing_wall = \"7 mm\"");
    says(
        &refused(&thick),
        &["`housing_wall` of 7 mm is too large", "wider than the diaphragm", "less than 6 mm"],
    );
}

#[test]
fn frequencies_beyond_hearing_and_meshes_beyond_reason() {
    says(
        &refused(&with("to = \"40 kHz\"")),
        &["`to` cannot be \"40 kHz\"", "too large", "hearing ends at 20 kHz"],
    );
    says(&refused(&with("from = \"10 kHz\"\nto = \"2 kHz\"")), &["upside down"]);
    says(
        &refused(&with("elements_per_wavelength = 2")),
        &["`elements_per_wavelength` cannot be 2", "from 3 to 12"],
    );
}

#[test]
fn drivers_in_the_panel() {
    says(
        &refused(&near("[\"50 %\", \"50 %\"]", "-5 mm", "")),
        &[
            "touches or cuts into the panel",
            "5 mm behind the panel's front",
            "`clearance` at least 0.1 mm",
            "760 mm wide and 520 mm high",
        ],
    );
    says(&refused(&near("[\"50 %\", \"535 mm\"]", "0 mm", "")), &["no air is left behind its back"]);
    // The housing's radius is 20 mm.
    assert!(alone(&near("[\"50 %\", \"541 mm\"]", "-5 mm", "")).scene.driver.place[2] > 0.0);
    let box_of = near("[\"50 %\", \"541 mm\"]", "-5 mm", "")
        .replace("housing_diameter = \"40 mm\"", "housing_width = \"40 mm\"\nhousing_height = \"44 mm\"");
    says(&refused(&box_of), &["touches or cuts into the panel"]);
    says(&refused(&with("behind = \"plane\"\nclearance = \"0 mm\"")), &["cuts into the plane behind it"]);
}

#[test]
fn sites_that_make_no_sense() {
    says(
        &refused(&with("behind = \"panel\"")),
        &["there is no panel behind the driver", "behind = \"plane\""],
    );
    says(
        &refused(&with("behind = \"plane\"")),
        &["`clearance` is missing from the driver", "clearance = \"20 mm\""],
    );
    says(&refused(&with("clearance = \"20 mm\"")), &["`clearance` has no effect here", "nothing is behind"]);
    says(
        &refused(&with("position = [\"50 %\", \"50 %\"]")),
        &["`position` has no effect here", "count from the driver itself"],
    );
    let lost = near("[\"50 %\", \"50 %\"]", "20 mm", "").replace("position = [\"50 %\", \"50 %\"]\n", "");
    says(&refused(&lost), &["`position` is missing from the driver", "position = [\"50 %\", \"560 mm\"]"]);
}

#[test]
fn cases_without_what_is_wanted() {
    says(&refused(SMALL), &["the case has no driver", "add a table [driver]"]);
    says(
        &super::refused(ALONE),
        &[
            "[my.toml:1:2]",
            "the case has no panel to compute",
            "`panelwright surround` compares",
            "add a table [panel]",
        ],
    );
    says(&refused("[[surround]]\nshape = \"bare\"\n"), &["there is no driver to put this around"]);
    says(
        &super::refused(&format!("{SMALL}[[surround]]\nshape = \"bare\"\n")),
        &["there is no driver to put this around"],
    );
    let exciter = SMALL
        .split_once("[[exciter]]")
        .expect("has one")
        .1
        .replace("[\"40 %\", \"210 mm\"]", "[\"4 mm\", \"2 mm\"]");
    says(
        &refused(&with(&format!("[[exciter]]{exciter}"))),
        &["`exciter` belongs to a panel, and the case has none"],
    );
    says(&refused(&with("[range]\nto = \"1 kHz\"")), &["the driver's frequencies stand in [driver]"]);
    says(&refused(&with("foo = 1")), &["the driver has no key `foo`", "possible keys are name, position"]);
    says(
        &refused(&changed("force_factor = \"2.4 N/A\"\n", "")),
        &["`force_factor` is missing from the driver"],
    );
    // A prediction of the panel checks the driver, too.
    let wrong = near("[\"50 %\", \"600 mm\"]", "20 mm", "cone_depth = \"8 mm\"");
    says(&super::refused(&wrong), &["`cone_depth` does not belong"]);
}

#[test]
fn drivers_in_words() {
    let text = |facts: &[crate::case::Fact], subject: &str| {
        facts.iter().filter(|f| f.subject == subject).map(|f| f.text.clone()).collect::<Vec<_>>()
    };
    let facts = describe_driver(&alone(ALONE));
    assert_eq!(
        text(&facts, "driver"),
        [
            "\"driver\", flat diaphragm of 28 mm in a round housing of 40 mm, 30 mm deep, closed with 0.02 l of air; \
          5.8 Ω, 2.4 N/A, 0.9 g, 2 N/mm, 0.3 N s/m, at 2.83 V"
        ]
    );
    assert_eq!(text(&facts, "behind"), ["nothing: free space"]);
    assert_eq!(text(&facts, "surround"), ["\"bare driver\", just the driver"]);
    assert_eq!(text(&facts, "seat"), ["\"on axis, 2 m\", 2.00 m in front of the driver"]);
    let facts = describe(&read(&near("[\"50 %\", \"600 mm\"]", "20 mm", "")).expect("sound"));
    assert!(text(&facts, "behind")[0].contains("front lies 50 mm before it, 380 mm from the left"));
}
