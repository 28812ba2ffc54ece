//! Several drivers in one case.

use super::drivers::{ALONE, near};
use super::errors::says;
use super::shown;
use crate::case::{BlendCase, CaseErrors, parse_blend, parse_driver};
use std::path::Path;

/// A panel with two drivers, each with a channel, and more lines.
fn two(more: &str) -> String {
    let first = near("[\"50 %\", \"560 mm\"]", "5 mm", "name = \"treble\"\nchannel = \"high\"")
        .replace("[driver]", "[[driver]]");
    let second = format!(
        "{}name = \"super\"\nchannel = \"top\"\nposition = [\"60 %\", \"560 mm\"]\nclearance = \"5 mm\"\n",
        ALONE.replace("[driver]", "[[driver]]")
    );
    let channels: String =
        ["bass", "high", "top"].map(|name| format!("[[channel]]\nname = \"{name}\"\n")).concat();
    format!("{first}{second}{channels}{more}").replacen(
        "name = \"one\"\n",
        "name = \"one\"\nchannel = \"bass\"\n",
        1,
    )
}

fn read(text: &str) -> Result<BlendCase, CaseErrors> {
    parse_blend(text, Path::new("my.toml"))
}

fn refused(text: &str) -> String {
    shown(&read(text).map(|_| ()).expect_err("must be refused"))
}

const SURROUNDS: &str = "[[surround]]\nname = \"bare\"\nshape = \"bare\"\ndriver = \"treble\"\n\
                         [[surround]]\nname = \"wide\"\nshape = \"baffle\"\ndriver = \"super\"\nwidth = \"90 mm\"\nheight = \"90 mm\"\nthickness = \"3 mm\"\n\
                         [[surround]]\nname = \"bare\"\nshape = \"bare\"\ndriver = \"super\"\n";

#[test]
fn each_driver_has_its_channel_and_its_surrounds() {
    let case = read(&two(SURROUNDS)).unwrap_or_else(|e| panic!("{}", shown(&e)));
    let [treble, top] = &case.scene.drivers[..] else { panic!("two drivers") };
    assert_eq!((treble.channel.name.as_str(), top.channel.name.as_str()), ("high", "top"));
    assert_eq!(case.scene.panel.channels.len(), 1, "those of drivers are not the panel's");
    let names = |fed: &panelwright_solver::scene::FedDriver| -> Vec<String> {
        fed.scene.surrounds.iter().map(|surround| surround.name.clone()).collect()
    };
    assert_eq!(
        (names(treble), names(top)),
        (vec!["bare".to_owned()], vec!["bare".to_owned(), "wide".to_owned()])
    );
    assert!(top.scene.driver.place[0] > treble.scene.driver.place[0]);
    let alone =
        parse_driver(&two(SURROUNDS), Path::new("my.toml")).unwrap_or_else(|e| panic!("{}", shown(&e)));
    let each: Vec<String> = alone.each().iter().map(|case| case.scene.driver.name.clone()).collect();
    assert_eq!(each, ["treble", "super"]);
}

#[test]
fn drivers_that_cannot_be_told_apart_are_refused() {
    let surround = "[[surround]]\nname = \"bare\"\nshape = \"bare\"\n";
    says(&refused(&two(surround)), &["which driver is this around?", "driver = \"treble\" or \"super\""]);
    says(&refused(&two(&format!("{surround}driver = \"tremble\"\n"))), &["no driver is called \"tremble\""]);
    says(&refused(&two("").replace("\"super\"", "\"treble\"")), &["two drivers are called \"treble\""]);
    says(&refused(&two("").replace("\"super\"", "\"panel\"")), &["a driver cannot be called \"panel\""]);
    says(
        &refused(&two("").replace("\"60 %\"", "\"52 %\"")),
        &["“super” stands in “treble”", "move one of them"],
    );
}

#[test]
fn without_a_panel_seats_are_measured_from_each_driver() {
    let deep = ALONE.replace("[driver]", "[[driver]]").replace("\"30 mm\"", "\"50 mm\"");
    let text = format!(
        "{}name = \"a\"\nbehind = \"plane\"\nclearance = \"9 mm\"\n{deep}name = \"b\"\nbehind = \"plane\"\nclearance = \"9 mm\"\n",
        ALONE.replace("[driver]", "[[driver]]")
    );
    let case = parse_driver(&text, Path::new("my.toml")).unwrap_or_else(|e| panic!("{}", shown(&e)));
    for case in case.each() {
        let before = case.scene.seats[0].position[2] - case.scene.driver.place[2];
        assert!((before - 2.0).abs() < 1e-12, "{before}");
    }
}
