//! The tables of the small driver.

use super::Need::{Default, Optional, Required};
use super::tables::{GRAINS, ITS_OWN, LAYER, MATERIAL, SANDWICH, key, quantity};
use super::{Kind, Limits, Need, Table, between, positive};
use crate::case::quantity::{
    COMPLIANCE, FORCE_FACTOR, FREQUENCY, INDUCTANCE, LENGTH, MASS, MECHANICAL_RESISTANCE, POWER, RESISTANCE,
    SPRING, VOLTAGE, VOLUME,
};

const TOP: &str = "hearing ends at 20 kHz, and higher up the meshes would outgrow the machine";
const ONE_LOSS: Need = Optional("the other one of `mechanical_resistance` and `mechanical_q` is needed");
const ONE_SUSPENSION: Need =
    Optional("another one of `suspension_stiffness`, `compliance` and `resonance` is needed");
/// Measures of a small part.
pub(super) const MEASURE: Limits = positive(1.0);

/// The words of `diaphragm`.
const DIAPHRAGMS: &[&str] = &["flat", "cone", "dome", "ring", "bending disc"];

/// The small driver.
pub static DRIVER: Table = Table {
    name: "the driver",
    about: "A small electrodynamic driver that faces the listener, in front of the panel, beside it or alone. Its front is where diaphragm and housing end. \
            `panelwright surround` compares what is put around it. Figures of the part stand on its data sheet.",
    keys: &[
        key("name", Kind::Text, Default("driver"), "\"treble\"", "For the report."),
        key(
            "position",
            Kind::Position,
            Optional("needed with a [panel]; without one places count from the driver itself"),
            "[\"50 %\", \"560 mm\"]",
            "Its axis: from the panel's left side, from its bottom side; it may lie outside the panel, above its top for example.",
        ),
        key(
            "clearance",
            quantity(&LENGTH, between(-1.0, 1.0)),
            Optional("needed unless `behind` is \"nothing\" and there is no [panel]"),
            "\"20 mm\"",
            "Air between the panel's front and the housing's back. Negative for a driver beside the panel that starts behind its front.",
        ),
        key(
            "behind",
            Kind::Choice(&["panel", "plane", "nothing"]),
            Optional(
                "`panel` with a [panel], `plane` if that panel is flush with a large wall, otherwise `nothing`",
            ),
            "\"plane\"",
            "What reflects behind it. `panel`: a rigid thin board of the panel's outline. `plane`: a rigid plane without end at the panel's front. `nothing`: free space.",
        ),
        key(
            "coil_resistance",
            quantity(&RESISTANCE, between(0.1, 1000.0)),
            Required,
            "\"5.8 Ω\"",
            "DC resistance of the voice coil, R_e.",
        ),
        key(
            "coil_inductance",
            quantity(&INDUCTANCE, between(0.0, 0.1)),
            Default("0 mH"),
            "\"0.03 mH\"",
            "Inductance of the voice coil, L_e.",
        ),
        key(
            "force_factor",
            quantity(&FORCE_FACTOR, positive(100.0)),
            Required,
            "\"2.4 N/A\"",
            "Force for each ampere, Bl. N/A and T·m are the same unit.",
        ),
        key(
            "moving_mass",
            quantity(&MASS, positive(0.5)),
            Required,
            "\"0.9 g\"",
            "Diaphragm and coil without air, M_md; coil and former alone for a bending disc. A data sheet's M_ms holds the air on both sides, too: take 2 · 8/3 ρ a³ off, a the \
             diaphragm's radius.",
        ),
        key(
            "suspension_stiffness",
            quantity(&SPRING, positive(1e7)),
            ONE_SUSPENSION,
            "\"2 N/mm\"",
            "Of the suspension, without the air of a box.",
        ),
        key(
            "compliance",
            quantity(&COMPLIANCE, positive(1.0)),
            ONE_SUSPENSION,
            "\"0.5 mm/N\"",
            "Of the suspension, C_ms: one over its stiffness.",
        ),
        key(
            "resonance",
            quantity(&FREQUENCY, between(5.0, 20_000.0)),
            ONE_SUSPENSION,
            "\"230 Hz\"",
            "Of the driver without its box, f_s. The stiffness is (2π f_s)² times moving mass and air, the latter 8/3 ρ a³ on each side as in a large baffle; a bending disc \
             counts with its whole mass, a ring with the disc that moves as much air.",
        ),
        key(
            "mechanical_resistance",
            quantity(&MECHANICAL_RESISTANCE, positive(1000.0)),
            ONE_LOSS,
            "\"0.3 N s/m\"",
            "Of the suspension, R_ms.",
        ),
        key(
            "mechanical_q",
            Kind::Number(between(0.05, 100.0)),
            ONE_LOSS,
            "3.5",
            "Mechanical quality factor Q_ms at the resonance without a box: R_ms is √(stiffness · mass) / Q_ms, the mass that of `resonance`.",
        ),
        key(
            "diaphragm",
            Kind::Choice(DIAPHRAGMS),
            Default("flat"),
            "\"dome\"",
            "What moves the air. `flat`, `cone` and `dome` are stiff. `ring`: held in the middle, too, and driven between. `bending disc`: a free plate driven at the coil's ring.",
        ),
        key(
            "diaphragm_diameter",
            quantity(&LENGTH, between(2e-3, 0.5)),
            Required,
            "\"28 mm\"",
            "Of what moves; with a surround of its own, to the middle of that.",
        ),
        key(
            "cone_depth",
            quantity(&LENGTH, MEASURE),
            Optional("needed by a cone"),
            "\"8 mm\"",
            "Of a cone: how far its apex lies behind the front.",
        ),
        key(
            "dome_height",
            quantity(&LENGTH, MEASURE),
            Optional("needed by a dome"),
            "\"7 mm\"",
            "Of a dome: how far its top lies before the front.",
        ),
        key(
            "ring_inner_diameter",
            quantity(&LENGTH, MEASURE),
            Optional("needed by a ring"),
            "\"6 mm\"",
            "Of a ring: the part in the middle that does not move.",
        ),
        key(
            "coil_diameter",
            quantity(&LENGTH, MEASURE),
            Optional("needed by a ring and a bending disc"),
            "\"20 mm\"",
            "Of a ring or a bending disc: where the coil pushes.",
        ),
        key(
            "disc",
            Kind::Table(&DISC),
            Optional("needed by a bending disc"),
            "[driver.disc]",
            "Of a bending disc: what it is made of.",
        ),
        key(
            "housing_diameter",
            quantity(&LENGTH, MEASURE),
            Optional("`housing_width` and `housing_height`, or `ball_diameter`, are needed"),
            "\"40 mm\"",
            "Of a round housing.",
        ),
        key(
            "housing_width",
            quantity(&LENGTH, MEASURE),
            Optional("the housing is round, or a ball"),
            "\"60 mm\"",
            "Of a rectangular housing, from left to right.",
        ),
        key(
            "housing_height",
            quantity(&LENGTH, MEASURE),
            Optional("the housing is round, or a ball"),
            "\"50 mm\"",
            "Of a rectangular housing, from bottom to top.",
        ),
        key(
            "ball_diameter",
            quantity(&LENGTH, MEASURE),
            Optional("the housing is round or rectangular"),
            "\"60 mm\"",
            "Of a closed ball as housing: its cap of `diaphragm_diameter` is the diaphragm, a stiff dome of the ball's own curvature. The front is the plane of the cap's edge.",
        ),
        key(
            "housing_depth",
            quantity(&LENGTH, MEASURE),
            Optional("needed unless the housing is a ball"),
            "\"30 mm\"",
            "From front to back.",
        ),
        key(
            "housing_rounding",
            quantity(&LENGTH, between(0.0, 0.5)),
            Default("0 mm"),
            "\"3 mm\"",
            "Radius of the round-over of the front's edge.",
        ),
        key(
            "box_volume",
            quantity(&VOLUME, between(1e-8, 0.1)),
            Optional("`open_back = true` is needed"),
            "\"0.02 l\"",
            "Air behind the diaphragm in a closed housing.",
        ),
        key(
            "open_back",
            Kind::Flag,
            Default("false"),
            "true",
            "`true`: the housing is a tube without a back, and the diaphragm sounds backwards, too.",
        ),
        key(
            "housing_wall",
            quantity(&LENGTH, MEASURE),
            Optional("needed by a housing without a back"),
            "\"2 mm\"",
            "Thickness of the wall of a housing without a back.",
        ),
        key(
            "channel",
            Kind::Text,
            Optional("an amplifier of its own, without filters"),
            "\"treble\"",
            "Name of the [[channel]] that feeds it and no exciter. Voltage and source resistance stand there, with gain, polarity, delay and filters, which `blend` counts; \
             `surround` compares at the plain voltage.",
        ),
        key(
            "voltage",
            quantity(&VOLTAGE, positive(200.0)),
            Default("2.83 V"),
            "\"2.83 V\"",
            "RMS voltage of its amplifier at every frequency: 1 W into 8 Ω.",
        ),
        key(
            "source_resistance",
            quantity(&RESISTANCE, between(0.0, 1000.0)),
            Default("0 Ω"),
            "\"0.2 Ω\"",
            "Of amplifier output and cable together.",
        ),
        key(
            "rated_power",
            quantity(&POWER, positive(1000.0)),
            Optional("power is not judged"),
            "\"5 W\"",
            "Electrical power the coil stands.",
        ),
        key(
            "rated_excursion",
            quantity(&LENGTH, positive(0.05)),
            Optional("excursion is not judged"),
            "\"0.5 mm\"",
            "Largest peak excursion, one way.",
        ),
        key(
            "near",
            quantity(&LENGTH, between(0.02, 10.0)),
            Default("300 mm"),
            "\"300 mm\"",
            "Distance of the near microphone on its axis, from its front.",
        ),
        key(
            "from",
            quantity(&FREQUENCY, between(20.0, 20_000.0)),
            Default("1 kHz"),
            "\"1 kHz\"",
            "Lowest frequency of its curves.",
        ),
        key(
            "to",
            quantity(&FREQUENCY, between(20.0, 20_000.0).because(TOP)),
            Default("20 kHz"),
            "\"16 kHz\"",
            "Highest frequency of its curves, at most 20 kHz.",
        ),
        key(
            "per_octave",
            Kind::Count(between(3.0, 96.0)),
            Default("24"),
            "24",
            "Frequencies in each octave. 24 follow what edges do to a curve, a few waves in an octave.",
        ),
        key(
            "elements_per_wavelength",
            Kind::Number(between(3.0, 12.0)),
            Default("4"),
            "6",
            "Mesh of driver and surround: curved six-point elements in each wavelength at the top of every band; 4 are right within about 0.1 dB, more take longer.",
        ),
    ],
};

/// A diaphragm that bends.
static DISC: Table = Table {
    name: "the disc",
    about: "The plate of a bending disc, described as a panel is: `material` and `thickness`, `[[driver.disc.layer]]` or `[driver.disc.sandwich]`.",
    keys: &[
        key(
            "thickness",
            quantity(&LENGTH, between(1e-5, 0.02)),
            Optional("needed with `material`; otherwise it follows from the layers"),
            "\"0.5 mm\"",
            "Of a plain sheet.",
        ),
        key(
            "material",
            Kind::TextOrTable(&MATERIAL),
            Optional("`[[driver.disc.layer]]` or `[driver.disc.sandwich]` is needed"),
            "\"aluminium\"",
            "A name from `panelwright materials`, or your own figures.",
        ),
        key("grain", Kind::Choice(GRAINS), Default("horizontal"), "\"vertical\"", "Direction of its grain."),
        key(
            "layer",
            Kind::Tables(&LAYER),
            Optional("the disc is not a stack"),
            "[[driver.disc.layer]]",
            "One table for each layer of a stack, from front to back.",
        ),
        key(
            "symmetric",
            Kind::Flag,
            Default("false"),
            "true",
            "`true`: only the front half is listed and the last layer is the middle one.",
        ),
        key(
            "sandwich",
            Kind::Table(&SANDWICH),
            Optional("the disc is not a sandwich"),
            "[driver.disc.sandwich]",
            "Two equal skins on a core.",
        ),
        key("loss_factor", Kind::Curve(positive(1.0)), ITS_OWN, "0.03", "Of the finished disc."),
        key(
            "mass",
            Kind::Tables(&DISC_MASS),
            Optional("none"),
            "[[driver.disc.mass]]",
            "One table for each ring of mass glued to it.",
        ),
    ],
};

/// A ring of mass on a disc.
static DISC_MASS: Table = Table {
    name: "the ring of mass",
    about: "A mass spread evenly over a circle about the disc's middle, to balance its natural vibrations.",
    keys: &[
        key(
            "diameter",
            quantity(&LENGTH, between(0.0, 0.5)),
            Required,
            "\"12 mm\"",
            "Of the circle; 0 mm for the middle.",
        ),
        key("mass", quantity(&MASS, positive(0.1)), Required, "\"0.05 g\"", "How heavy it is."),
    ],
};
