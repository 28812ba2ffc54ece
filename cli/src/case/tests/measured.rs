//! Measured responses: what files say reaches the scene, and every fault names file, line and text.

use super::drivers::near;
use super::errors::says;
use super::shown;
use crate::case::{BlendCase, CaseErrors, parse_blend};
use panelwright_solver::scene::{Measured, MeasuredPart};
use std::fs;
use tempfile::TempDir;

const TABLE: &str = "Hz dB deg\n100 80 0\n1000 74 90\n4000 74 90\n9000 80 180\n";

/// A panel and a driver with two surrounds, these lines of one measured response, and these files.
fn read(lines: &str, files: &[(&str, &str)]) -> Result<BlendCase, CaseErrors> {
    let folder = TempDir::new().expect("a folder");
    for (name, text) in files {
        fs::write(folder.path().join(name), text).expect("writes");
    }
    let surrounds = "[[surround]]\nname = \"bare\"\nshape = \"bare\"\n[[surround]]\nname = \"wide\"\nshape = \"baffle\"\nwidth = \"90 mm\"\n\
                     height = \"90 mm\"\nthickness = \"3 mm\"\n[[seat]]\nname = \"sofa\"\nin_front = \"2 m\"\n";
    let text = format!("{}{surrounds}\n{lines}", near("[\"50 %\", \"50 %\"]", "5 mm", ""));
    parse_blend(&text, &folder.path().join("my.toml"))
}

fn measured(lines: &str) -> Vec<Measured> {
    read(lines, &[("a.txt", TABLE)]).unwrap_or_else(|e| panic!("{}", shown(&e))).scene.measured
}

#[test]
fn a_table_becomes_pressure_at_the_channels_voltage_after_its_time_zero() {
    let plain = "[[measured]]\npart = \"panel\"\nseat = \"sofa\"\nfile = \"a.txt\"\n";
    let [one] = &measured(plain)[..] else { panic!("one response") };
    assert_eq!((one.source, one.seat, one.file.as_str()), (MeasuredPart::Panel, 0, "a.txt"));
    assert_eq!(one.frequencies, [100.0, 1000.0, 4000.0, 9000.0]);
    assert!(
        (one.pressure[0] - 0.2).norm() < 1e-12 && (one.pressure[1].arg().to_degrees() - 90.0).abs() < 1e-9
    );
    // Half the voltage of the case, a quarter of a period of 1 kHz later.
    let driver = "part = \"driver\"\nsurround = \"wide\"\nvoltage = \"1.415 V\"\ntime_zero = \"0.25 ms\"\nto = \"5 kHz\"\n";
    let [one] = &measured(&plain.replace("part = \"panel\"\n", driver))[..] else { panic!("one response") };
    assert_eq!(one.source, MeasuredPart::Driver { driver: 0, surround: 1 });
    assert_eq!(one.range(), [100.0, 4000.0]);
    assert!((one.pressure[0].norm() - 0.4).abs() < 1e-12);
    assert!(one.pressure[1].arg().abs() < 1e-9, "{}", one.pressure[1]);
}

#[test]
fn faults_are_told_with_file_line_and_text() {
    let panel = "[[measured]]\npart = \"panel\"\nseat = \"sofa\"\nfile = \"a.txt\"\n";
    let refused =
        |lines: &str, text: &str| shown(&read(lines, &[("a.txt", text)]).expect_err("must be refused"));
    says(
        &refused(panel, "100 80 0\n200 8o 0\n"),
        &["a.txt: line 2, “200 8o 0”: “8o” is not a number", "write numbers"],
    );
    says(&refused(panel, "RIFFraff"), &["`full_scale` is missing", "a WAV file alone says no pressure"]);
    let wave = format!("{panel}full_scale = \"1 Pa\"\n");
    says(&refused(&wave, "RIFFraff"), &["a.txt: cannot be read as a WAV file"]);
    says(&refused(&wave, TABLE), &["`full_scale`", "a text table has levels"]);
    says(
        &refused(&panel.replace("a.txt", "b.txt"), TABLE),
        &["b.txt: there is no such file", "folder of the case file"],
    );
    says(
        &refused(&panel.replace("\"panel\"", "\"pannel\""), TABLE),
        &["no part is called \"pannel\"", "did you mean \"panel\"?"],
    );
    says(
        &refused(&panel.replace("\"sofa\"", "\"soda\""), TABLE),
        &["no seat is called \"soda\"", "did you mean \"sofa\"?"],
    );
    says(
        &refused(&panel.replace("\"panel\"", "\"driver\""), TABLE),
        &["which surround was around the driver?", "\"bare\" or \"wide\""],
    );
    says(&refused(&format!("{panel}surround = \"bare\"\n"), TABLE), &["`surround`", "the panel has none"]);
    says(&refused(&format!("{panel}from = \"10 kHz\"\n"), TABLE), &["a.txt: has fewer than two frequencies"]);
    says(&refused(&format!("{panel}{panel}"), TABLE), &["measured twice at this seat"]);
}

#[test]
fn without_a_driver_nothing_is_summed() {
    let lines = "[[measured]]\npart = \"panel\"\nseat = \"on axis, 2 m\"\nfile = \"a.txt\"\n";
    says(&super::refused(&format!("{}{lines}", super::SMALL)), &["nothing is summed", "add a [driver]"]);
}
