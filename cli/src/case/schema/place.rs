//! The table of a search for places.

use super::Need::{Default, Optional, Required};
use super::tables::{key, quantity};
use super::{Kind, Limits, Table, between, positive};
use crate::case::quantity::LENGTH;

/// Beyond this a score counts for nothing else.
const ANY_WEIGHT: Limits = between(0.0, 100.0);

/// Where exciters may go and what counts.
pub(super) static PLACE: Table = Table {
    name: "the search for places",
    about: "What `panelwright place` goes by when it looks for the best places to glue the exciters to.",
    keys: &[
        key(
            "channel",
            Kind::Text,
            Optional("the channel with the most exciters, the first of several"),
            "\"left\"",
            "Name of the channel whose exciters are placed.",
        ),
        key(
            "step",
            quantity(&LENGTH, between(2e-3, 0.2)),
            Optional("10 mm, more on panels larger than 1 m²"),
            "\"10 mm\"",
            "Distance between neighbouring places.",
        ),
        key(
            "clearance",
            quantity(&LENGTH, between(0.0, 0.5)),
            Default("5 mm"),
            "\"15 mm\"",
            "Least distance of the foot's ring from the panel's edge, cut-outs and everything else fixed to the panel: room for the magnet, a frame, or glue.",
        ),
        key(
            "apart",
            quantity(&LENGTH, between(0.0, 2.0)),
            Optional("two diameters of the foot"),
            "\"80 mm\"",
            "Least distance between the centres of two exciters.",
        ),
        key(
            "region",
            Kind::Tables(&REGION),
            Optional("anywhere on the panel"),
            "[[place.region]]",
            "One table for each rectangle in which exciters may be glued.",
        ),
        key(
            "keep_out",
            Kind::Tables(&KEEP_OUT),
            Optional("none"),
            "[[place.keep_out]]",
            "One table for each rectangle in which nothing may be glued: a picture, a window, a brace.",
        ),
        key(
            "weights",
            Kind::Table(&WEIGHTS),
            Optional("the defaults below"),
            "[place.weights]",
            "What the scores count against each other.",
        ),
        key(
            "driver",
            Kind::Table(&DRIVER),
            Optional("the defaults below"),
            "[place.driver]",
            "Where the small drivers of the case, if it has any, may hang, and what counts there.",
        ),
    ],
};

/// The small driver's places.
static DRIVER: Table = Table {
    name: "the driver's places",
    about: "The region in which `panelwright place` tries the small driver of the case, over and around the panel, with its housing as far before the panel's plane as `clearance` \
            in [driver] says; of several drivers one after the other, while the others hang and play where they are; and what its scores count against each other, in decibels of evenness. The defaults are a matter of taste, not of science. 0 takes a score out.",
    keys: &[
        key(
            "margin",
            quantity(&LENGTH, between(0.0, 2.0)),
            Default("120 mm"),
            "\"200 mm\"",
            "How far beyond the panel's edges the driver's middle may hang.",
        ),
        key(
            "step",
            quantity(&LENGTH, between(5e-3, 0.5)),
            Optional("as many as make about 400 places"),
            "\"25 mm\"",
            "Distance between neighbouring places.",
        ),
        key(
            "surround",
            Kind::Text,
            Optional("its first"),
            "\"wings\"",
            "Name of the surround that it hangs with; a driver that has none of that name hangs with its first.",
        ),
        key(
            "evenness",
            Kind::Number(ANY_WEIGHT),
            Default("1"),
            "1",
            "Per decibel of unevenness at the seats, delay, gain and polarity best matched.",
        ),
        key(
            "apart",
            Kind::Number(ANY_WEIGHT),
            Default("0.5"),
            "1",
            "Per blur of hearing that the centres of panel and driver are apart, beyond the first.",
        ),
        key(
            "comb",
            Kind::Number(ANY_WEIGHT),
            Default("0.1"),
            "0.3",
            "Per decibel of ripple that the panel's echo makes in the driver's own response.",
        ),
        key(
            "shadow",
            Kind::Number(ANY_WEIGHT),
            Default("0.5"),
            "1",
            "Per decibel by which the driver's housing changes the panel's own sound.",
        ),
    ],
};

/// A rectangle that is allowed.
static REGION: Table = Table {
    name: "the region",
    about: "A rectangle in which exciters may be glued; the whole ring of the foot stays inside.",
    keys: RECTANGLE,
};

/// A rectangle that is not.
static KEEP_OUT: Table = Table {
    name: "the place to keep out of",
    about: "A rectangle in which nothing may be glued; the ring of the foot stays outside.",
    keys: RECTANGLE,
};

const RECTANGLE: &[super::Key] = &[
    key(
        "corner",
        Kind::Position,
        Required,
        "[\"30 %\", \"25 %\"]",
        "Lower left corner: from the left side, from the bottom side.",
    ),
    key("width", quantity(&LENGTH, positive(5.0)), Required, "\"150 mm\"", "From left to right."),
    key("height", quantity(&LENGTH, positive(5.0)), Required, "\"100 mm\"", "From bottom to top."),
];

/// What the scores count.
static WEIGHTS: Table = Table {
    name: "the weights",
    about: "What the scores of a place count against each other, all in decibels of evenness: the place of the least cost is the best. The defaults are a matter of taste, not of science. 0 takes a score out.",
    keys: &[
        key("evenness", Kind::Number(ANY_WEIGHT), Default("1"), "1", "Per decibel of unevenness."),
        key(
            "extension",
            Kind::Number(ANY_WEIGHT),
            Default("1"),
            "2",
            "Per octave that the low end begins higher.",
        ),
        key(
            "sensitivity",
            Kind::Number(ANY_WEIGHT),
            Default("0.25"),
            "0.5",
            "Per decibel of mean level less.",
        ),
        key(
            "coverage",
            Kind::Number(ANY_WEIGHT),
            Default("2"),
            "2",
            "For all of the modes together that are not driven well.",
        ),
        key("dips", Kind::Number(ANY_WEIGHT), Default("0.05"), "0.1", "Per dip at a seat."),
        key(
            "robustness",
            Kind::Number(ANY_WEIGHT),
            Default("0.5"),
            "1",
            "Per decibel of evenness that 5 mm cost.",
        ),
    ],
};
