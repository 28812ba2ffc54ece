//! The table of a parameter study.

use super::Need::{Default, Optional, Required};
use super::tables::{key, quantity};
use super::{Kind, Limits, Table, between};
use crate::case::quantity::FREQUENCY;

const METHODS: &[&str] = &["grid", "random", "low discrepancy", "adaptive", "sensitivity"];
const SPREADS: &[&str] = &["even", "logarithmic", "normal"];
const PRICED_PER: &[&str] = &["panel", "square metre"];
/// What can be told of a variant before it is computed.
const BEFOREHAND: &[&str] = &["mass", "cost", "width", "height"];
/// Everything that can be asked for.
pub(crate) const OBJECTIVES: &[&str] = &[
    "unevenness at the seats",
    "unevenness at the worst seat",
    "low end",
    "deepest dead spot",
    "dead area",
    "sensitivity",
    "beamwidth",
    "upright beamwidth",
    "change of beamwidth",
    "change of upright beamwidth",
    "wander of the centre",
    "excursion",
    "lowest impedance",
    "mass",
    "area",
    "centres apart",
    "unevenness of the sum",
    "unevenness of the sum at the worst seat",
    "gain in the top octave",
    "ripple of the driver",
    "unevenness of the driver",
    "unevenness of the driver at the worst seat",
    "top end of the driver",
    "driver's beamwidth",
    "driver's upright beamwidth",
    "change of driver's beamwidth",
    "change of driver's upright beamwidth",
    "cost",
];
/// Beyond this a weight counts for nothing else.
const ANY_WEIGHT: Limits = between(0.0, 1e6);
const ANY_PRICE: Limits = between(0.0, 1e9);

/// What is varied, how, and what counts.
pub(super) static STUDY: Table = Table {
    name: "the study",
    about: "What `panelwright study` varies, how many variants it computes, and what it judges them by. Any value that stands in the case can be varied.",
    keys: &[
        key(
            "method",
            Kind::Choice(METHODS),
            Default("low discrepancy"),
            "\"grid\"",
            "How variants are chosen: every combination of levels; at random; spread evenly over all ranges at once (Sobol's sequence); \
             sixteen at a time where the results so far make better ones likely (a tree-structured Parzen estimator: the quickest way to a good one, but it tells \
             little about the rest); or in the pattern from which `panelwright study rank` tells how much each varied value matters, alone and together with others (Saltelli's).",
        ),
        key(
            "variants",
            Kind::Count(between(1.0, 1e7)),
            Optional("1000; a grid has as many as its levels make"),
            "10000",
            "How many variants. With \"sensitivity\" the next smaller number that makes whole groups of as many as there are varied values, and two more.",
        ),
        key(
            "seed",
            Kind::Count(between(0.0, 4_294_967_295.0)),
            Default("1"),
            "7",
            "The same seed makes the same variants; another one makes others. Without effect on a grid.",
        ),
        key(
            "vary",
            Kind::Tables(&VARY),
            Required,
            "[[study.vary]]",
            "One table for each value that is varied.",
        ),
        key(
            "objective",
            Kind::Tables(&OBJECTIVE),
            Required,
            "[[study.objective]]",
            "One table for each thing that counts.",
        ),
        key(
            "limit",
            Kind::Tables(&LIMIT),
            Optional("none"),
            "[[study.limit]]",
            "One table for each limit. A variant beyond one is not computed.",
        ),
        key(
            "prices",
            Kind::Table(&PRICES),
            Optional("the panel costs nothing but what the varied values cost"),
            "[study.prices]",
            "What a panel costs, in your currency.",
        ),
    ],
};

/// One varied value.
static VARY: Table = Table {
    name: "the varied value",
    about: "A value of the case and what it is varied over: a `list`, or a range `from` … `to`, or, with `spread = \"normal\"`, a `mean` and a `deviation`. \
            Values are written as they would be at their own place, with their unit.",
    keys: &[
        key(
            "value",
            Kind::Text,
            Required,
            "\"panel.thickness\"",
            "Which value: the heads of its tables and its key with points between. One of several tables is called by its name or number, the coordinates of a \
             place are `from_left` and `from_bottom`: `exciter.left.position.from_left`, `seat.\"window table\".in_front`. The value must stand in the case.",
        ),
        key(
            "name",
            Kind::Text,
            Optional("as `value`"),
            "\"thickness\"",
            "What it is called in tables and pictures.",
        ),
        key(
            "list",
            Kind::Plains,
            Optional("a range"),
            "[\"3 mm\", \"4 mm\", \"6 mm\"]",
            "The values, one by one.",
        ),
        key("from", Kind::Plain, Optional("a list"), "\"500 mm\"", "Lower end of the range, included."),
        key(
            "to",
            Kind::Plain,
            Optional("a list"),
            "\"800 mm\"",
            "Upper end of the range, in the unit of the lower one.",
        ),
        key(
            "levels",
            Kind::Count(between(2.0, 100_000.0)),
            Optional("a grid needs it"),
            "7",
            "How many values of the range a grid takes, both ends among them.",
        ),
        key(
            "spread",
            Kind::Choice(SPREADS),
            Default("even"),
            "\"logarithmic\"",
            "How values lie within the range: evenly, evenly in their logarithm, or normally about a mean.",
        ),
        key("mean", Kind::Plain, Optional("a range"), "\"4 mm\"", "Middle of a normal distribution."),
        key(
            "deviation",
            Kind::Plain,
            Optional("a range"),
            "\"0.1 mm\"",
            "Standard deviation of a normal distribution, in the same unit.",
        ),
        key(
            "round_to",
            Kind::Plain,
            Optional("as fine as numbers are"),
            "\"1 mm\"",
            "Values are multiples of this: what you can cut and measure.",
        ),
        key(
            "tolerance",
            Kind::Plain,
            Optional("built as it is written"),
            "\"1 mm\"",
            "Most that the built value may be off, up or down, in the unit of its values: `panelwright study rank --robust` computes what it does to the best variants. It may be \
             added and changed at any time: nothing else is computed again.",
        ),
        key(
            "prices",
            Kind::Plains,
            Optional("nothing"),
            "[9.5, 12, 16]",
            "What each value of the list costs, in your currency.",
        ),
        key(
            "priced_per",
            Kind::Choice(PRICED_PER),
            Default("panel"),
            "\"square metre\"",
            "What these prices are for.",
        ),
    ],
};

/// One thing that counts.
static OBJECTIVE: Table = Table {
    name: "the objective",
    about: "Something that is told of every variant, and that makes variants better or worse.",
    keys: &[
        key("what", Kind::Choice(OBJECTIVES), Required, "\"unevenness at the seats\"", "What counts."),
        key(
            "from",
            quantity(&FREQUENCY, between(10.0, 40_000.0)),
            Optional("the lower end of the range"),
            "\"200 Hz\"",
            "Lower end of the band in which it counts.",
        ),
        key(
            "to",
            quantity(&FREQUENCY, between(10.0, 40_000.0)),
            Optional("the upper end of the range"),
            "\"5 kHz\"",
            "Upper end of that band.",
        ),
        key(
            "weight",
            Kind::Number(ANY_WEIGHT),
            Default("1"),
            "2",
            "What it counts against the others: see `panelwright study rank --help`. 0 only tells it.",
        ),
    ],
};

/// One limit.
static LIMIT: Table = Table {
    name: "the limit",
    about: "Something that must hold. It is looked at before a variant is computed.",
    keys: &[
        key("what", Kind::Choice(BEFOREHAND), Required, "\"mass\"", "What is limited."),
        key(
            "at_most",
            Kind::Plain,
            Optional("no upper limit"),
            "\"2 kg\"",
            "Upper limit: a mass, a length, or a bare number for the cost.",
        ),
        key("at_least", Kind::Plain, Optional("no lower limit"), "\"300 mm\"", "Lower limit."),
    ],
};

/// What a panel costs.
static PRICES: Table = Table {
    name: "the prices",
    about: "What a variant costs, on top of the prices of varied values. Bare numbers, in your currency.",
    keys: &[
        key(
            "per_square_metre",
            Kind::Number(ANY_PRICE),
            Default("0"),
            "18.5",
            "For each square metre of the panel's bounding box: material is bought in rectangles.",
        ),
        key("per_exciter", Kind::Number(ANY_PRICE), Default("0"), "9", "For each exciter."),
        key("fixed", Kind::Number(ANY_PRICE), Default("0"), "25", "For everything else."),
    ],
};
