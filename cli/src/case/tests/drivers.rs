//! The small driver: what the file says reaches the scene, and every mistake is told.

use super::errors::says;
use super::{SMALL, read, shown};
use crate::case::{DriverCase, parse_driver};
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
pub fn changed(from: &str, to: &str) -> String {
    assert!(ALONE.contains(from), "the driver has no {from}");
    ALONE.replacen(from, to, 1)
}

/// The lone driver with more lines.
pub fn with(lines: &str) -> String {
    format!("{ALONE}{lines}\n")
}

/// The small case with the driver near its panel.
pub fn near(position: &str, clearance: &str, more: &str) -> String {
    format!("{SMALL}{ALONE}position = {position}\nclearance = \"{clearance}\"\n{more}\n")
}

pub fn motor(text: &str) -> DriverMotor {
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
    assert_eq!(with.drivers.first().map(|fed| &fed.scene), Some(&case.scene));
    assert!(without.drivers.is_empty());
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
