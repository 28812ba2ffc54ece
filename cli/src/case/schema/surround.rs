//! The table of what is put around the small driver.

use super::Need::{Default, Optional};
use super::driver::MEASURE;
use super::tables::{key, quantity};
use super::{Kind, Limits, Need, Table, between, positive};
use crate::case::quantity::{ANGLE, LENGTH};
use std::f64::consts::FRAC_PI_2;

/// Narrowest air between two parts.
const GAP: Limits = between(1e-4, 0.05)
    .because("parts that touch are one part, and a slit narrower than 0.1 mm is one that nobody can build");
const AFTER: Need = Optional("as its shape needs");

/// The words of `shape`.
const SHAPES: &[&str] = &[
    "bare",
    "wings",
    "conical flare",
    "exponential flare",
    "elliptic flare",
    "round over",
    "baffle",
    "post",
    "bracket",
];

/// Something around the driver.
pub static SURROUND: Table = Table {
    name: "the surround",
    about: "Something put around, beside or before the driver, rigid unless it is lined; surrounds of a driver are compared one at a time, with its first bare one or, without \
            a bare one, with the first of the list; other drivers keep their first meanwhile. A key that does not belong to the shape is a mistake. A part from a file has its origin in the middle of the driver's \
            front, x to the listener's right, y up, z towards the listener.",
    keys: &[
        key(
            "name",
            Kind::Text,
            Optional("numbered: \"surround 1\", \"surround 2\" …"),
            "\"wide wings\"",
            "For the report.",
        ),
        key(
            "driver",
            Kind::Text,
            Optional("needed if there are several drivers"),
            "\"treble\"",
            "Name of the driver that it is put around.",
        ),
        key(
            "shape",
            Kind::Choice(SHAPES),
            Optional("`file` is needed"),
            "\"wings\"",
            "`bare`: just the driver. `wings`: flat plates that stand around it. The flares widen from the housing to a mouth: in proportion to the distance, by a constant factor \
             for each distance, or as a quarter of an ellipse. `round over`: the round housing itself, wider and rounded. `baffle`: a plate flush with the front. `post` and `bracket` \
             stand before it, in its way.",
        ),
        key(
            "file",
            Kind::Text,
            Optional("`shape` is needed"),
            "\"my-part.stl\"",
            "A closed body of your own, an STL file beside the case file, text or binary. It is checked, and mended where that is safe.",
        ),
        key(
            "file_unit",
            Kind::Choice(&["mm", "cm", "m", "inch"]),
            Optional("mm, as printers assume"),
            "\"mm\"",
            "Length of one unit of the file.",
        ),
        key(
            "count",
            Kind::Count(between(1.0, 12.0)),
            AFTER,
            "2",
            "Of wings: how many, evenly around the driver.",
        ),
        key(
            "length",
            quantity(&LENGTH, MEASURE),
            AFTER,
            "\"60 mm\"",
            "Of wings: away from the driver. Of a flare: along its axis. Of a post: from end to end.",
        ),
        key(
            "width",
            quantity(&LENGTH, positive(5.0)),
            AFTER,
            "\"200 mm\"",
            "Of a baffle: from left to right.",
        ),
        key(
            "height",
            quantity(&LENGTH, positive(5.0)),
            AFTER,
            "\"70 mm\"",
            "Of wings: around the driver. Of a baffle: from bottom to top.",
        ),
        key(
            "opening",
            quantity(&ANGLE, Limits { low: 0.0, above: true, high: FRAC_PI_2, why: "" }),
            AFTER,
            "\"60 °\"",
            "Of wings: angle between the driver's axis and a wing; 90 ° makes a flat baffle.",
        ),
        key(
            "mouth_diameter",
            quantity(&LENGTH, MEASURE),
            AFTER,
            "\"120 mm\"",
            "Of a flare: inside, where it ends.",
        ),
        key("diameter", quantity(&LENGTH, MEASURE), AFTER, "\"8 mm\"", "Of a post."),
        key(
            "horizontal_leg",
            quantity(&LENGTH, MEASURE),
            AFTER,
            "\"30 mm\"",
            "Of a bracket: from its corner to the listener's right.",
        ),
        key(
            "vertical_leg",
            quantity(&LENGTH, MEASURE),
            AFTER,
            "\"40 mm\"",
            "Of a bracket: from its corner upwards.",
        ),
        key("depth", quantity(&LENGTH, MEASURE), AFTER, "\"15 mm\"", "Of a bracket: from front to back."),
        key(
            "thickness",
            quantity(&LENGTH, between(1e-4, 0.2)),
            AFTER,
            "\"3 mm\"",
            "Of wings, of the wall of a flare, of a baffle, of both legs of a bracket.",
        ),
        key(
            "gap",
            quantity(&LENGTH, GAP),
            Default("0.5 mm"),
            "\"0.5 mm\"",
            "Of wings, flares and baffles: air between the housing and them, what a printed part needs to slide on.",
        ),
        key(
            "rounding",
            quantity(&LENGTH, between(0.0, 0.5)),
            Optional("0 mm, sharp; needed by `round over`"),
            "\"1 mm\"",
            "Radius of the round-over: of all edges of wings, of the front's edges of a baffle, of the housing itself.",
        ),
        key(
            "turned",
            quantity(&ANGLE, between(-std::f64::consts::PI, std::f64::consts::PI)),
            Default("0 °"),
            "\"45 °\"",
            "Of wings: how far the first one is turned from the listener's right towards the top. Of a post: its slope, 0 ° lies level.",
        ),
        key(
            "to_the_right",
            quantity(&LENGTH, between(-1.0, 1.0)),
            Default("0 mm"),
            "\"-10 mm\"",
            "Of a post: its middle. Of a bracket: the corner of its angle. From the driver's axis, as the listener sees it; negative to the left.",
        ),
        key(
            "above",
            quantity(&LENGTH, between(-1.0, 1.0)),
            Default("0 mm"),
            "\"5 mm\"",
            "Of a post or bracket: the same point, above the driver's axis; negative below.",
        ),
        key(
            "in_front",
            quantity(&LENGTH, MEASURE),
            AFTER,
            "\"25 mm\"",
            "Of a post: its middle, of a bracket: its side towards the listener, before the driver's front.",
        ),
        key(
            "absorption",
            Kind::Number(between(0.0, 0.95)),
            Default("0"),
            "0.6",
            "Share of the energy that its surface absorbs at normal incidence: felt or foam on it; 0 is rigid. Not for `bare`.",
        ),
    ],
};
