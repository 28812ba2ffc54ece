//! The small driver: what the file says reaches the scene, and every mistake is told.

use super::errors::says;
use super::{SMALL, read, shown};
use crate::case::{DriverCase, describe, describe_driver, parse_driver};
use approx::assert_relative_eq;
use panelwright_solver::scene::{
    Behind, DiaphragmForm, DriverMotor, HousingBack, HousingFront, RingMass, SurroundForm,
};
use std::f64::consts::{PI, TAU};
use std::path::Path;

/// The least of a driver that is alone.
pub const ALONE: &str = r#"[driver]
coil_resistance = "5.8 Ω"
force_factor = "2.4 N/A"
moving_mass = "0.9 g"
suspension_stiffness = "2 N/mm"
mechanical_resistance = "0.3 N s/m"
diaphragm_diameter = "28 mm"
housing_diameter = "40 mm"
housing_depth = "30 mm"
box_volume = "0.02 l"
"#;

#[track_caller]
pub fn alone(text: &str) -> DriverCase {
    parse_driver(text, Path::new("my.toml")).unwrap_or_else(|e| panic!("{}", shown(&e)))
}

/// What a case about a driver that must be refused shows.
pub fn refused(text: &str) -> String {
    shown(&parse_driver(text, Path::new("my.toml")).map(|_| ()).expect_err("must be refused"))
}

/// The lone driver with one change.
fn changed(from: &str, to: &str) -> String {
    assert!(ALONE.contains(from), "the driver has no {from}");
    ALONE.replacen(from, to, 1)
}

/// The lone driver with more lines.
fn with(lines: &str) -> String {
    format!("{ALONE}{lines}\n")
}

/// The small case with the driver near its panel.
fn near(position: &str, clearance: &str, more: &str) -> String {
    format!("{SMALL}{ALONE}position = {position}\nclearance = \"{clearance}\"\n{more}\n")
}

fn motor(text: &str) -> DriverMotor {
    alone(text).scene.driver.motor
}

#[test]
fn a_driver_alone_has_defaults() {
    let case = alone(ALONE);
    let scene = &case.scene;
    assert!(case.panel.is_none() && case.warnings.is_empty());
    assert_eq!(scene.driver.place, [0.0; 3]);
    assert_eq!(scene.behind, Behind::Nothing);
    assert_eq!(scene.driver.diaphragm.form, DiaphragmForm::Flat);
    assert_eq!(scene.driver.diaphragm.radius, 0.014);
    assert_eq!(scene.driver.housing.front, HousingFront::Round { radius: 0.02 });
    assert_eq!(scene.driver.housing.back, HousingBack::Sealed { volume: 2e-5 });
    assert_eq!((scene.driver.voltage, scene.driver.source_resistance), (2.83, 0.0));
    assert_eq!((scene.near, scene.elements_per_wavelength), (0.3, 4.0));
    assert_eq!(scene.seats[0].position, [0.0, 0.0, 2.0]);
    assert_eq!(scene.surrounds.len(), 1);
    assert_eq!(scene.surrounds[0].form, SurroundForm::Bare);
    let frequencies = &scene.frequencies;
    assert!(frequencies[0] >= 1000.0 && frequencies[frequencies.len() - 1] <= 20_000.0);
    // 24 in each octave: 10^(3/10) in 24 steps.
    assert_relative_eq!((frequencies[1] / frequencies[0]).powi(24), 10f64.powf(0.3), max_relative = 1e-12);
    let motor = scene.driver.motor;
    assert_eq!((motor.suspension_stiffness, motor.mechanical_resistance), (2000.0, 0.3));
    assert_eq!((motor.force_factor, motor.coil_inductance), (2.4, 0.0));
    assert_relative_eq!(motor.moving_mass, 0.9e-3, max_relative = 1e-12);
}

#[test]
fn seats_count_from_the_driver_without_a_panel_and_from_the_panel_with_one() {
    let seat = "[[seat]]\nin_front = \"1 m\"\nto_the_right = \"200 mm\"\nabove = \"-100 mm\"\n";
    assert_eq!(alone(&with(seat)).scene.seats[0].position, [0.2, -0.1, 1.0]);
    let before_a_wall = with(&format!("behind = \"plane\"\nclearance = \"10 mm\"\n{seat}"));
    let scene = alone(&before_a_wall).scene;
    assert_relative_eq!(scene.driver.place[2], 0.04, max_relative = 1e-12);
    assert_relative_eq!(scene.seats[0].position[2], 1.04, max_relative = 1e-12);
    let case = alone(&near("[\"50 %\", \"600 mm\"]", "20 mm", seat));
    assert_eq!(case.scene.seats, case.panel.expect("driven").receivers.seats);
    assert_relative_eq!(case.scene.seats[0].position[0], 0.58, max_relative = 1e-12);
}

#[test]
fn a_driver_near_a_panel_has_the_panel_behind_it() {
    let text = near("[\"50 %\", \"600 mm\"]", "20 mm", "");
    let case = alone(&text);
    assert_eq!(case.scene.driver.place[..2], [0.38, 0.6]);
    assert_relative_eq!(case.scene.driver.place[2], 0.05, max_relative = 1e-12);
    let panel = case.panel.expect("driven");
    assert_eq!(case.scene.behind, Behind::Board(panel.panel.outline.clone()));
    // The prediction of the panel is the same with the driver and without it.
    let (with, without) = (read(&text).expect("sound"), read(SMALL).expect("sound"));
    assert_eq!(with.scene, without.scene);
    assert_eq!(with.driver.as_ref(), Some(&case.scene));
    assert!(without.driver.is_none());
    let silent = text.split_once("[[exciter]]").expect("has one").0.to_owned()
        + "[driver]"
        + text.split_once("[driver]").expect("has one").1;
    assert!(alone(&silent).panel.is_none());
}

#[test]
fn a_panel_that_is_flush_with_a_wall_is_a_plane() {
    let text = near("[\"50 %\", \"50 %\"]", "20 mm", "");
    let baffled = text.replace("height = \"520 mm\"", "height = \"520 mm\"\nback = \"baffled\"");
    assert_eq!(alone(&baffled).scene.behind, Behind::Plane);
    let closed = text.replace("[[exciter]]", "back = { kind = \"closed\", depth = \"40 mm\" }\n[[exciter]]");
    assert_eq!(alone(&closed).scene.behind, Behind::Plane);
    let wall = text.replace("[[exciter]]", "back = { kind = \"wall\", distance = \"40 mm\" }\n[[exciter]]");
    assert!(matches!(alone(&wall).scene.behind, Behind::Board(_)));
    let said = near("[\"50 %\", \"50 %\"]", "20 mm", "behind = \"nothing\"");
    assert_eq!(alone(&said).scene.behind, Behind::Nothing);
}

#[test]
fn the_suspension_in_three_ways() {
    let compliance = motor(&changed("suspension_stiffness = \"2 N/mm\"", "compliance = \"0.5 mm/N\""));
    assert_relative_eq!(compliance.suspension_stiffness, 2000.0, max_relative = 1e-12);
    // The air of a rigid piston, both sides in a large baffle: 16/3 ρ a³, 0.0176 g here.
    let resonance = changed("suspension_stiffness = \"2 N/mm\"", "resonance = \"230 Hz\"");
    let stiffness = motor(&resonance).suspension_stiffness;
    let air = 16.0 / 3.0 * alone(ALONE).scene.air.density * 0.014f64.powi(3);
    assert_relative_eq!((stiffness / (0.9e-3 + air)).sqrt() / TAU, 230.0, max_relative = 1e-12);
    // 1.199 kg/m³ at 20 °C and 50 % humidity.
    assert_relative_eq!(air, 1.7546e-5, max_relative = 1e-3);
    let quality = motor(&resonance.replace("mechanical_resistance = \"0.3 N s/m\"", "mechanical_q = 4"));
    assert_relative_eq!(
        TAU * 230.0 * (0.9e-3 + air) / quality.mechanical_resistance,
        4.0,
        max_relative = 1e-12
    );
}

#[test]
fn suspensions_that_do_not_fit() {
    let twice = with("compliance = \"0.5 mm/N\"");
    says(
        &refused(&twice),
        &["has both `suspension_stiffness` and `compliance`", "which one holds?", "keep one of"],
    );
    let none = changed("suspension_stiffness = \"2 N/mm\"\n", "");
    says(
        &refused(&none),
        &[
            "needs `suspension_stiffness` or `compliance` or `resonance`",
            "add a line: suspension_stiffness = \"2 N/mm\"",
        ],
    );
    let losses = with("mechanical_q = 3.5");
    says(&refused(&losses), &["has both `mechanical_q` and `mechanical_resistance`"]);
    let lossless = changed("mechanical_resistance = \"0.3 N s/m\"\n", "");
    says(&refused(&lossless), &["needs `mechanical_q` or `mechanical_resistance`", "mechanical_q = 3.5"]);
    let stiffness = changed("suspension_stiffness = \"2 N/mm\"", "compliance = \"2 N/mm\"");
    says(&refused(&stiffness), &["`compliance` needs a compliance, not \"2 N/mm\"", "a unit of a stiffness"]);
}

#[test]
fn diaphragms_of_every_kind() {
    let form = |lines: &str| alone(&with(lines)).scene.driver.diaphragm.form;
    assert_eq!(form("diaphragm = \"cone\"\ncone_depth = \"8 mm\""), DiaphragmForm::Cone { depth: 0.008 });
    assert_eq!(form("diaphragm = \"dome\"\ndome_height = \"14 mm\""), DiaphragmForm::Dome { height: 0.014 });
    assert_eq!(
        form("diaphragm = \"ring\"\nring_inner_diameter = \"6 mm\"\ncoil_diameter = \"20 mm\""),
        DiaphragmForm::Ring { inner_radius: 0.003, coil_radius: 0.01 }
    );
}

const DISC: &str = "diaphragm = \"bending disc\"\ncoil_diameter = \"20 mm\"\n[driver.disc]\n";

#[test]
fn a_bending_disc_is_described_as_a_panel_is() {
    let plain = with(&format!(
        "{DISC}material = \"aluminium\"\nthickness = \"0.5 mm\"\nloss_factor = 0.04\n\
         [[driver.disc.mass]]\ndiameter = \"12 mm\"\nmass = \"0.05 g\"\n"
    ));
    let DiaphragmForm::BendingDisc { section, coil_radius, masses } =
        alone(&plain).scene.driver.diaphragm.form
    else {
        panic!("no disc")
    };
    assert_eq!((coil_radius, section.thickness), (0.01, 0.5e-3));
    assert_eq!(masses, [RingMass { radius: 0.006, mass: 5e-5 }]);
    assert_eq!(section.bending_loss.at(1000.0), 0.04);
    // 2700 kg/m³ in the list.
    assert_relative_eq!(section.surface_mass, 1.35, max_relative = 1e-9);
    let stack = format!(
        "{DISC}symmetric = true\n[[driver.disc.layer]]\nmaterial = \"birch veneer\"\nthickness = \"0.3 mm\"\n"
    );
    assert!(matches!(alone(&with(&stack)).scene.driver.diaphragm.form, DiaphragmForm::BendingDisc { .. }));
    // The whole disc swings at the resonance.
    let tuned = plain.replace("suspension_stiffness = \"2 N/mm\"", "resonance = \"230 Hz\"");
    let air = 16.0 / 3.0 * alone(ALONE).scene.air.density * 0.014f64.powi(3);
    let mass = 0.9e-3 + air + 1.35 * PI * 0.014 * 0.014 + 5e-5;
    assert_relative_eq!(
        motor(&tuned).suspension_stiffness,
        (TAU * 230.0).powi(2) * mass,
        max_relative = 1e-9
    );
}

#[test]
fn diaphragms_that_cannot_be() {
    let ring = |inner: &str, coil: &str| {
        refused(&with(&format!(
            "diaphragm = \"ring\"\nring_inner_diameter = \"{inner}\"\ncoil_diameter = \"{coil}\""
        )))
    };
    says(
        &ring("22 mm", "20 mm"),
        &["`ring_inner_diameter` of 22 mm is too large", "at the coil", "less than 20 mm"],
    );
    says(
        &ring("6 mm", "30 mm"),
        &["`coil_diameter` of 30 mm is too large", "within the diaphragm", "less than 28 mm"],
    );
    says(
        &refused(&with("diaphragm = \"ring\"\ncoil_diameter = \"20 mm\"")),
        &["`ring_inner_diameter` is missing"],
    );
    says(
        &refused(&with("cone_depth = \"8 mm\"")),
        &["`cone_depth` does not belong to diaphragm = \"flat\"", "belongs to \"cone\""],
    );
    says(
        &refused(&with("diaphragm = \"cone\"")),
        &["`cone_depth` is missing from the driver", "cone_depth = \"8 mm\""],
    );
    says(
        &refused(&with("diaphragm = \"dome\"\ndome_height = \"15 mm\"")),
        &["`dome_height` of 15 mm is too large", "half a ball"],
    );
    says(
        &refused(&with("diaphragm = \"cone\"\ncone_depth = \"30 mm\"")),
        &["`cone_depth` of 30 mm is too large", "pierce the housing's back", "less than 30 mm"],
    );
    says(&refused(&with("diaphragm = \"horn\"")), &["`diaphragm` cannot be \"horn\"", "\"bending disc\""]);
    says(
        &refused(&with("diaphragm = \"bending disc\"\ncoil_diameter = \"20 mm\"")),
        &["`disc` is missing from the driver", "add a table [driver.disc]"],
    );
    says(&refused(&with(DISC)), &["what is the disc made of?", "[[driver.disc.layer]]"]);
    let mass =
        "material = \"aluminium\"\nthickness = \"0.5 mm\"\nmass = [{ diameter = \"30 mm\", mass = \"1 g\" }]";
    says(
        &refused(&with(&format!("{DISC}{mass}"))),
        &["`diameter` of 30 mm is too large", "must lie on the disc"],
    );
    let coil = DISC.replace("20 mm", "28 mm") + "material = \"aluminium\"\nthickness = \"0.5 mm\"";
    says(&refused(&with(&coil)), &["`coil_diameter` of 28 mm is too large"]);
}

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
