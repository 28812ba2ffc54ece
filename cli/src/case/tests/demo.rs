//! The demo case and the defaults.

use super::{SMALL, read};
use crate::case::load;
use approx::assert_relative_eq;
use panelwright_solver::scene::{EdgeCondition, Edges, Wiring};
use std::path::Path;

#[test]
fn the_demo_is_read_as_written() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../cases/tea-room.toml");
    let case = load(&path).expect("the demo loads");
    assert_eq!(case.warnings, []);
    let scene = &case.scene;
    assert_eq!(scene.panel.outline.bounding_box(), (0.76, 0.52));
    assert_eq!(scene.panel.edges, Edges::all(EdgeCondition::Free));
    assert_relative_eq!(scene.panel.section.surface_mass, 1.8, max_relative = 1e-12);
    assert_relative_eq!(scene.panel.section.bending_loss.at(1000.0), 0.03);
    assert!(scene.panel.section.d11 > scene.panel.section.d22);
    let exciter = &scene.exciters[0];
    assert_relative_eq!(exciter.position[0], 0.38 * 0.76, max_relative = 1e-12);
    assert_relative_eq!(exciter.coil_inductance, 60e-6, max_relative = 1e-12);
    assert_relative_eq!(exciter.suspension_stiffness, 9000.0, max_relative = 1e-12);
    assert_relative_eq!(exciter.moving_mass, 1.6e-3, max_relative = 1e-12);
    assert_eq!(exciter.rated_power, Some(10.0));
    assert_eq!((scene.channels[0].wiring, &scene.channels[0].exciters[..]), (Wiring::Series, &[0, 1][..]));
    assert_eq!(scene.receivers.seats.len(), 3);
    let window = &scene.receivers.seats[1];
    assert_relative_eq!(window.position[0], 0.38 - 1.5, max_relative = 1e-12);
    assert_relative_eq!(window.position[1], 0.26 - 0.4, max_relative = 1e-12);
    assert_relative_eq!(scene.receivers.arc.step, 5f64.to_radians(), max_relative = 1e-12);
    assert_relative_eq!(scene.air.temperature, 294.15, max_relative = 1e-12);
    assert_relative_eq!(scene.air.humidity, 0.55, max_relative = 1e-12);
}

#[test]
fn defaults_are_the_documented_ones() {
    let case = read(SMALL).expect("loads");
    let scene = &case.scene;
    assert_eq!(scene.title, "Untitled panel");
    assert_eq!(scene.channels.len(), 1);
    assert_relative_eq!(scene.channels[0].voltage, 2.83);
    assert_relative_eq!(scene.channels[0].gain, 1.0);
    assert_eq!(scene.receivers.seats[0].position, [0.38, 0.26, 2.0]);
    assert_relative_eq!(scene.receivers.map.distance, 0.5);
    assert_relative_eq!(scene.air.static_pressure, 101_325.0, max_relative = 1e-12);
    assert_relative_eq!(scene.panel.section.bending_loss.at(1000.0), 0.02);
    assert!(scene.frequencies[0] >= 50.0 && scene.frequencies.last().expect("some") <= &20_000.0);
}

#[test]
fn a_panel_alone_is_a_case() {
    let panel = SMALL.split("[[exciter]]").next().expect("has a head");
    let case = read(panel).expect("loads");
    assert!(case.scene.exciters.is_empty() && case.scene.channels.is_empty());
}

#[test]
fn gain_polarity_and_delay_reach_the_channel() {
    let text = format!(
        "{SMALL}\n[[channel]]\nname = \"a\"\ngain = \"-6 dB\"\npolarity = \"reversed\"\ndelay = \"2 ms\"\n"
    );
    let channel = read(&text).expect("loads").scene.channels[0].clone();
    assert_relative_eq!(channel.gain, -0.501_187_233_6, max_relative = 1e-9);
    assert_relative_eq!(channel.delay, 2e-3);
}
