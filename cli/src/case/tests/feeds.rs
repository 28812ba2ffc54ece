//! What feeds the driver.

use super::drivers::{ALONE, alone, near, refused, with};
use super::errors::says;
use crate::case::{parse, parse_blend, parse_driver};
use panelwright_solver::scene::{Alignment, PassFilter};
use std::path::Path;

const TREBLE: &str = "[[channel]]\nname = \"treble\"\nvoltage = \"4 V\"\nsource_resistance = \"0.5 Ω\"\ngain = \"-6 dB\"\npolarity = \"reversed\"\n\
                      delay = \"0.2 ms\"\nhigh_pass = \"Linkwitz-Riley 4 at 2 kHz\"";

/// The driver near its panel, a channel for each.
fn blended() -> String {
    let more = format!("channel = \"treble\"\n{TREBLE}\n[[channel]]\nname = \"bass\"");
    near("[\"50 %\", \"50 %\"]", "5 mm", &more)
}

#[test]
fn the_channel_of_the_driver_is_not_one_of_the_panel() {
    let read = parse_blend(&blended(), Path::new("my.toml"));
    let case = read.unwrap_or_else(|e| panic!("{}", super::shown(&e)));
    let names: Vec<_> = case.scene.panel.channels.iter().map(|c| c.name.as_str()).collect();
    assert_eq!(names, ["bass"]);
    assert_eq!(case.scene.panel.channels[0].exciters, [0]);
    let [fed] = &case.scene.drivers[..] else { panic!("one driver") };
    let low = PassFilter { alignment: Alignment::LinkwitzRiley, order: 4, corner: 2000.0 };
    assert_eq!((fed.channel.voltage, fed.channel.delay), (4.0, 2e-4));
    assert!((fed.channel.gain + 10f64.powf(-0.3)).abs() < 1e-12);
    assert_eq!((fed.channel.filters.high_pass, fed.channel.exciters.len()), (Some(low), 0));
    assert_eq!((fed.scene.driver.voltage, fed.scene.driver.source_resistance), (4.0, 0.5));
}

#[test]
fn a_driver_alone_has_a_channel_too() {
    let case = alone(&format!("{}{TREBLE}", with("channel = \"treble\"")));
    assert_eq!(case.scene.driver.voltage, 4.0);
    says(
        &refused(&format!("{}{TREBLE}\n[[channel]]\nname = \"spare\"", with("channel = \"treble\""))),
        &["channel \"spare\" drives no exciter"],
    );
}

#[test]
fn a_voltage_beside_a_channel_is_refused_in_its_line() {
    let text = format!("{}{TREBLE}", with("channel = \"treble\"\nvoltage = \"2 V\""));
    says(
        &refused(&text),
        &["a `channel` and a `voltage` of its own", "voltage = \"2 V\"", "which one holds?"],
    );
}

#[test]
fn an_unknown_channel_and_a_shared_one_are_refused() {
    let text = format!("{}{TREBLE}", with("channel = \"trebel\""));
    says(&refused(&text), &["no channel is called \"trebel\"", "did you mean \"treble\"?"]);
    let shared = blended().replace("[[exciter]]", "[[exciter]]\nchannel = \"treble\"");
    let shown = super::shown(&parse(&shared, Path::new("my.toml")).map(|_| ()).expect_err("must be refused"));
    says(&shown, &["channel \"treble\" feeds a driver"]);
    assert!(parse_driver(ALONE, Path::new("my.toml")).is_ok());
}
