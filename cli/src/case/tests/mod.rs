//! What a builder sees.

mod cases;
mod demo;
mod docs;
mod drivers;
mod errors;
mod feeds;
mod filters;
mod fuzz;
mod housings;
mod lay_ups;
mod measured;
mod outlines;
mod parts;
mod places;
mod several;
mod surrounds;
mod units;

use super::{Case, CaseErrors, Problems, parse};
use miette::{GraphicalReportHandler, GraphicalTheme};
use std::path::Path;

/// The least that can be driven.
const SMALL: &str = r#"[panel]
width = "760 mm"
height = "520 mm"
thickness = "4 mm"
material = "poplar plywood"

[[exciter]]
name = "one"
position = ["40 %", "210 mm"]
coil_resistance = "3.6 Ω"
force_factor = "3.2 N/A"
moving_mass = "1.6 g"
foot_diameter = "25 mm"
suspension_stiffness = "9 N/mm"
magnet_mass = "62 g"
"#;

fn read(text: &str) -> Result<Case, CaseErrors> {
    parse(text, Path::new("my.toml"))
}

/// As a terminal of 90 columns without colour shows it.
fn shown(problems: &Problems) -> String {
    let handler = GraphicalReportHandler::new_themed(GraphicalTheme::unicode_nocolor())
        .with_width(90)
        .with_links(false);
    let mut text = String::new();
    handler.render_report(&mut text, problems).expect("writing to a String cannot fail");
    text
}

/// What a file that must be refused shows.
fn refused(text: &str) -> String {
    shown(&read(text).map(|_| ()).expect_err("must be refused"))
}
