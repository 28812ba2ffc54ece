//! The worked cases load without a doubt, and say what they teach.

use super::shown;
use crate::case::{Case, Loaded, describe, load, load_whole};
use approx::assert_relative_eq;
use panelwright_solver::scene::EdgeCondition;
use std::path::{Path, PathBuf};

/// Files of `cases/`.
pub fn all() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../cases");
    let entries = std::fs::read_dir(folder).expect("is in the repository");
    let mut files: Vec<_> = entries.map(|e| e.expect("reads").path()).collect();
    files.retain(|p| p.extension().is_some_and(|e| e == "toml"));
    files.sort();
    files
}

fn case(name: &str) -> Case {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../cases").join(name);
    load(&path).unwrap_or_else(|e| panic!("{}", shown(&e)))
}

#[test]
fn every_case_loads_without_a_warning_and_teaches() {
    let files = all();
    assert!(files.len() >= 5, "the demo and at least four teaching cases");
    for path in files {
        let loaded = load_whole(&path).unwrap_or_else(|e| panic!("{}", shown(&e)));
        let (source, warnings) = match &loaded {
            Loaded::Panel(case) => (&case.source, &case.warnings),
            Loaded::Driver(case) => (&case.source, &case.warnings),
        };
        assert_eq!(warnings, &[], "{}", path.display());
        let teaches = source.starts_with("# Teaches: ") && source.contains("# Expect:");
        let shows = ["tea-room.toml", "tea-room-driver.toml"].iter().any(|name| path.ends_with(name));
        assert!(teaches || shows, "{}", path.display());
        assert!(source.contains("invented"), "{} must mark its data", path.display());
    }
}

#[test]
fn every_case_is_in_the_list_of_cases() {
    let list = include_str!("../../../../cases/README.md");
    for path in all() {
        let name = path.file_name().expect("a file").to_string_lossy().into_owned();
        assert!(list.contains(&format!("| [{name}]({name}) |")), "{name} is not in cases/README.md");
    }
}

#[test]
fn figures_in_the_comments_of_the_foam_case_are_right() {
    let scene = case("stiff-and-light-foam.toml").scene;
    let section = &scene.panel.section;
    assert_relative_eq!(section.d11, 13.2, max_relative = 2e-3);
    assert_relative_eq!(section.surface_mass, 0.66, max_relative = 1e-9);
    let coincidence =
        scene.air.sound_speed.powi(2) / std::f64::consts::TAU * (section.surface_mass / section.d11).sqrt();
    assert_relative_eq!(coincidence, 4200.0, max_relative = 5e-3);
    assert_relative_eq!(section.surface_mass * scene.panel.outline.area(), 0.178, max_relative = 2e-3);
}

#[test]
fn figures_in_the_comments_of_the_frame_case_are_right() {
    let scene = case("clamped-frame.toml").scene;
    let section = &scene.panel.section;
    let (side, _) = scene.panel.outline.bounding_box();
    let first = |lambda: f64| {
        lambda / (std::f64::consts::TAU * side * side) * (section.d11 / section.surface_mass).sqrt()
    };
    assert_relative_eq!(first(35.985), 83.6, max_relative = 1e-3);
    assert_relative_eq!(first(2.0 * std::f64::consts::PI.powi(2)), 45.9, max_relative = 1e-3);
}

#[test]
fn figures_in_the_comments_of_the_magnet_case_are_right() {
    let exciter = &case("floating-magnet.toml").scene.exciters[0];
    let resonance = (exciter.suspension_stiffness / exciter.magnet_mass).sqrt() / std::f64::consts::TAU;
    assert_relative_eq!(resonance, 61.0, max_relative = 1e-2);
}

#[test]
fn figures_in_the_comments_of_the_tape_case_are_right() {
    let scene = case("foam-sandwich-on-tape.toml").scene;
    let section = &scene.panel.section;
    assert_relative_eq!(section.surface_mass, 0.84, max_relative = 1e-3);
    assert_relative_eq!(section.d11, 93.4, max_relative = 2e-3);
    assert_relative_eq!(section.d22, 41.2, max_relative = 2e-3);
    let [shear, _] = section.shear.expect("known");
    assert_relative_eq!((shear / section.surface_mass).sqrt(), 274.0, max_relative = 5e-3);
    let coincidence =
        scene.air.sound_speed.powi(2) / std::f64::consts::TAU * (section.surface_mass / section.d11).sqrt();
    assert_relative_eq!(coincidence, 1780.0, max_relative = 5e-3);
    let EdgeCondition::Strip(strip) = scene.panel.edges.elsewhere else { panic!("no tape") };
    assert_relative_eq!(strip.stiffness, 450e3, max_relative = 1e-9);
    let mass = section.surface_mass * scene.panel.outline.area();
    let bounce = (strip.stiffness * scene.panel.outline.perimeter() / mass).sqrt() / std::f64::consts::TAU;
    assert_relative_eq!(bounce, 363.0, max_relative = 5e-3);
}

#[test]
fn figures_in_the_comments_of_the_round_case_are_right() {
    let scene = case("honeycomb-disc.toml").scene;
    let section = &scene.panel.section;
    assert_relative_eq!(section.surface_mass, 1.39, max_relative = 1e-9);
    assert_relative_eq!(section.d11, 37.1, max_relative = 2e-3);
    assert_eq!(section.d11, section.d22);
    let radius = 0.5 * scene.panel.outline.bounding_box().0;
    let root = (section.d11 / section.surface_mass).sqrt();
    let frequency = |lambda: f64| lambda / (std::f64::consts::TAU * radius * radius) * root;
    assert_relative_eq!(frequency(5.358), 83.3, max_relative = 1e-3);
    assert_relative_eq!(frequency(9.003), 139.9, max_relative = 1e-3);
    let speeds = section.shear.expect("known").map(|s| (s / section.surface_mass).sqrt());
    assert_relative_eq!(speeds[0], 421.0, max_relative = 5e-3);
    assert_relative_eq!(speeds[1], 317.0, max_relative = 5e-3);
    let weight = 9.81 * section.surface_mass * scene.panel.outline.area();
    let with_exciter = weight + 9.81 * (62e-3 + 1.6e-3);
    assert_relative_eq!(0.5 * with_exciter / 6.0, 0.24, max_relative = 0.02);
}

#[test]
fn a_case_is_described_in_millimetres() {
    let facts: Vec<_> =
        describe(&case("tea-room.toml")).into_iter().map(|f| format!("{}: {}", f.subject, f.text)).collect();
    insta::assert_snapshot!(facts.join("\n"), @r#"
    panel: 760 × 520 mm, 4 mm poplar plywood, grain horizontal, 1.80 kg/m², 0.71 kg, loss factor 0.03
    edges: all free
    back: open: sound goes round the edges
    exciter: "left", 289 mm from the left, 296 mm from the bottom, floating
    exciter: "right", 486 mm from the left, 229 mm from the bottom, floating
    gluing: left and right are the listener's: from behind, where exciters are glued, they are swapped
    channel: "amplifier", 2.83 V: "left", "right" in series
    seat: "counter", 1.20 m in front of the panel's centre, 0.40 m below
    seat: "window table", 2.80 m in front of the panel's centre, 1.50 m to the left, 0.40 m below
    seat: "corner table", 3.40 m in front of the panel's centre, 2.10 m to the right, 0.40 m below
    map: about 49 × 37 microphones, 400 mm in front of the panel
    polar: horizontal and vertical, 37 angles each, levels at 2.00 m
    frequencies: 208 from 50.8 Hz to 19.67 kHz
    spread: 64 variations: stiffness −29 % … +29 % (along x), −68 % … +60 % (along y), mass −11 % … +22 %, thickness −3 % … +3 %, loss −33 % … +50 %, positions ±2.0 mm
    air: 21 °C, 55 % humidity, 101.3 kPa
    "#);
}
