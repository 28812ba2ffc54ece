//! Every table and key of a case file.

use super::Need::{Default, Optional, Required};
use super::{Key, Kind, Limits, Need, Table, between, positive};
use crate::case::quantity::{
    ANGLE, DENSITY, FORCE_FACTOR, FREQUENCY, INDUCTANCE, LENGTH, LEVEL, MASS, MODULUS, POWER, PRESSURE,
    Quantity, RESISTANCE, SHARE, SPRING, TEMPERATURE, TIME, VOLTAGE,
};
use std::f64::consts::PI;

const fn key(name: &'static str, kind: Kind, need: Need, example: &'static str, about: &'static str) -> Key {
    Key { name, kind, need, example, about }
}

const fn quantity(quantity: &'static Quantity, limits: Limits) -> Kind {
    Kind::Quantity(quantity, limits)
}

const POLARITIES: &[&str] = &["normal", "reversed"];
const EDGE_WORDS: &[&str] = &["free", "simply supported", "clamped"];
const FRONT_ONLY: &str =
    "the panel is computed as heard from its front; nearer than 20 mm is the map's business";
const TOP: &str = "hearing ends at 20 kHz, and so do the checks of the methods used here";
const ONE_SIDE: Need = Optional("as `all` says, or free");

/// The whole file.
pub static CASE: Table = Table {
    name: "the case",
    about: "A case describes one panel, what drives it, and where it is listened to. Only the panel must be given; \
            a panel without exciters has modes but makes no sound.",
    keys: &[
        key("title", Kind::Text, Default("Untitled panel"), "\"Tea room, left panel\"", "Heads the report."),
        key("panel", Kind::Table(&PANEL), Required, "[panel]", "The panel itself."),
        key(
            "exciter",
            Kind::Tables(&EXCITER),
            Optional("the panel is not driven"),
            "[[exciter]]",
            "One table for each exciter.",
        ),
        key(
            "channel",
            Kind::Tables(&CHANNEL),
            Optional("one channel of 2.83 V drives all exciters in parallel"),
            "[[channel]]",
            "One table for each amplifier output.",
        ),
        key(
            "seat",
            Kind::Tables(&SEAT),
            Optional("one seat, 2 m in front of the panel's centre"),
            "[[seat]]",
            "One table for each listening point.",
        ),
        key(
            "map",
            Kind::Table(&MAP),
            Optional("the defaults below"),
            "[map]",
            "The plane on which the output map is drawn.",
        ),
        key(
            "polar",
            Kind::Table(&POLAR),
            Optional("the defaults below"),
            "[polar]",
            "The arcs of the polar response, one horizontal and one vertical.",
        ),
        key(
            "range",
            Kind::Table(&RANGE),
            Optional("the defaults below"),
            "[range]",
            "Which frequencies are computed.",
        ),
        key("room", Kind::Table(&ROOM), Optional("the defaults below"), "[room]", "The air in the room."),
    ],
};

/// The panel.
static PANEL: Table = Table {
    name: "the panel",
    about: "A flat panel of one material. Left, right, top and bottom are as the listener sees them.",
    keys: &[
        key(
            "shape",
            Kind::Choice(&["rectangle", "rounded rectangle", "ellipse", "polygon"]),
            Default("rectangle"),
            "\"ellipse\"",
            "Of the panel. A shape that is none of these comes from a `drawing`.",
        ),
        key(
            "width",
            quantity(&LENGTH, between(0.02, 5.0)),
            Optional("`points` or `drawing` must give the size"),
            "\"760 mm\"",
            "From left to right.",
        ),
        key(
            "height",
            quantity(&LENGTH, between(0.02, 5.0)),
            Optional("`points` or `drawing` must give the size"),
            "\"520 mm\"",
            "From bottom to top.",
        ),
        key(
            "corner_radius",
            quantity(&LENGTH, positive(2.5)),
            Optional("needed by a rounded rectangle"),
            "\"40 mm\"",
            "Radius of the corners of a rounded rectangle.",
        ),
        key(
            "points",
            Kind::Points,
            Optional("needed by a polygon"),
            "[[\"0 mm\", \"0 mm\"], [\"600 mm\", \"0 mm\"], [\"300 mm\", \"500 mm\"]]",
            "Corners of a polygon in order, once round, from the panel's leftmost and lowest point as the listener sees it.",
        ),
        key(
            "drawing",
            Kind::Text,
            Optional("`shape` says what the panel is"),
            "\"outline.svg\"",
            "An SVG or DXF file beside the case file, seen as the listener sees the panel. Its largest closed curve is the outline, closed curves inside it are cut-outs.",
        ),
        key(
            "drawing_unit",
            Kind::Choice(&["mm", "cm", "m", "inch"]),
            Optional("as the drawing says"),
            "\"mm\"",
            "Length of one unit of the drawing, where the drawing does not say or is wrong.",
        ),
        key(
            "cutout",
            Kind::Tables(&CUTOUT),
            Optional("no cut-outs but those of the drawing"),
            "[[panel.cutout]]",
            "One table for each hole in the panel.",
        ),
        key("thickness", quantity(&LENGTH, between(1e-4, 0.05)), Required, "\"4 mm\"", "Of the sheet."),
        key(
            "material",
            Kind::TextOrTable(&MATERIAL),
            Required,
            "\"poplar plywood\"",
            "A name from `panelwright materials`, or your own figures in a table `[panel.material]`.",
        ),
        key(
            "grain",
            Kind::Choice(&["horizontal", "vertical"]),
            Default("horizontal"),
            "\"vertical\"",
            "Direction of the face grain, the stiffer one. Without effect on a material that is equally stiff both ways.",
        ),
        key(
            "loss_factor",
            Kind::Number(positive(1.0)),
            Optional("the material's"),
            "0.03",
            "Structural loss factor of the finished panel, in place of the material's: paint, paper and frame change it.",
        ),
        key(
            "edges",
            Kind::Table(&EDGES),
            Optional("all edges free"),
            "{ all = \"free\" }",
            "How the sides are held.",
        ),
    ],
};

/// A hole in the panel.
static CUTOUT: Table = Table {
    name: "the cut-out",
    about: "A hole in the panel. It must lie in the material: a recess that reaches the edge belongs into the outline.",
    keys: &[
        key(
            "shape",
            Kind::Choice(&["circle", "ellipse", "rectangle", "rounded rectangle", "polygon"]),
            Default("circle"),
            "\"rectangle\"",
            "Of the hole.",
        ),
        key(
            "centre",
            Kind::Position,
            Optional("needed by all but a polygon"),
            "[\"50 %\", \"120 mm\"]",
            "Its middle: from the left side, from the bottom side.",
        ),
        key(
            "diameter",
            quantity(&LENGTH, positive(5.0)),
            Optional("needed by a circle"),
            "\"60 mm\"",
            "Of a circle.",
        ),
        key(
            "width",
            quantity(&LENGTH, positive(5.0)),
            Optional("needed by an ellipse or rectangle"),
            "\"80 mm\"",
            "From left to right.",
        ),
        key(
            "height",
            quantity(&LENGTH, positive(5.0)),
            Optional("needed by an ellipse or rectangle"),
            "\"40 mm\"",
            "From bottom to top.",
        ),
        key(
            "corner_radius",
            quantity(&LENGTH, positive(2.5)),
            Optional("needed by a rounded rectangle"),
            "\"10 mm\"",
            "Radius of the corners of a rounded rectangle.",
        ),
        key(
            "points",
            Kind::Points,
            Optional("needed by a polygon"),
            "[[\"200 mm\", \"200 mm\"], [\"260 mm\", \"200 mm\"], [\"230 mm\", \"250 mm\"]]",
            "Corners of a polygon in order, once round, from the panel's left and bottom side.",
        ),
    ],
};

/// How the sides are held.
pub static EDGES: Table = Table {
    name: "the edges",
    about: "`free`: neither held nor turned, as of a panel that hangs on cords. `simply supported`: held, but free to turn, as by a thin \
            strip of tape. `clamped`: held and kept from turning, as by a rebate full of glue.",
    keys: &[
        key(
            "all",
            Kind::Choice(EDGE_WORDS),
            Default("free"),
            "\"free\"",
            "All four sides; a side named below goes before.",
        ),
        key("left", Kind::Choice(EDGE_WORDS), ONE_SIDE, "\"clamped\"", "The left side."),
        key("right", Kind::Choice(EDGE_WORDS), ONE_SIDE, "\"clamped\"", "The right side."),
        key("top", Kind::Choice(EDGE_WORDS), ONE_SIDE, "\"clamped\"", "The top side."),
        key("bottom", Kind::Choice(EDGE_WORDS), ONE_SIDE, "\"clamped\"", "The bottom side."),
    ],
};

/// A material given in figures.
pub static MATERIAL: Table = Table {
    name: "the material",
    about: "Your own figures. Either `youngs_modulus` (equally stiff both ways) or `along_grain` and `across_grain`.",
    keys: &[
        key("name", Kind::Text, Default("own material"), "\"birch, batch 3\"", "For the report."),
        key(
            "density",
            quantity(&DENSITY, between(5.0, 25_000.0)),
            Required,
            "\"450 kg/m³\"",
            "Weigh a sheet and divide by its volume.",
        ),
        key(
            "youngs_modulus",
            quantity(&MODULUS, between(1e5, 1e12)),
            Optional("`along_grain` and `across_grain` are needed"),
            "\"70 GPa\"",
            "Modulus of elasticity in bending, of a material that is equally stiff both ways.",
        ),
        key(
            "along_grain",
            quantity(&MODULUS, between(1e5, 1e12)),
            Optional("`youngs_modulus` is needed"),
            "\"7 GPa\"",
            "Modulus of elasticity in bending along the face grain.",
        ),
        key(
            "across_grain",
            quantity(&MODULUS, between(1e5, 1e12)),
            Optional("`youngs_modulus` is needed"),
            "\"2.5 GPa\"",
            "Modulus of elasticity in bending across the face grain.",
        ),
        key(
            "shear_modulus",
            quantity(&MODULUS, between(1e4, 5e11)),
            Optional("E / 2(1 + ν); with `along_grain` it is needed"),
            "\"450 MPa\"",
            "Shear modulus in the plane of the sheet: governs twisting.",
        ),
        key(
            "poisson_ratio",
            Kind::Number(Limits { low: -1.0, above: true, high: 5.0, why: "" }),
            Default("0.3"),
            "0.05",
            "Strain across the grain over strain along it, when pulled along the grain.",
        ),
        key(
            "transverse_shear_modulus",
            quantity(&MODULUS, between(1e4, 5e11)),
            Optional("`shear_modulus` if equally stiff both ways, otherwise unknown"),
            "\"110 MPa\"",
            "Shear modulus through the thickness, the smaller one; tells up to which frequency thin-plate theory may be trusted.",
        ),
        key(
            "loss_factor",
            Kind::Number(positive(1.0)),
            Default("0.02"),
            "0.02",
            "Structural loss factor of the material.",
        ),
    ],
};

/// An exciter.
static EXCITER: Table = Table {
    name: "the exciter",
    about: "An electrodynamic exciter glued to the panel. Its figures stand on the part's data sheet or can be measured.",
    keys: &[
        key(
            "name",
            Kind::Text,
            Optional("numbered: \"exciter 1\", \"exciter 2\" …"),
            "\"upper left\"",
            "For the report.",
        ),
        key(
            "position",
            Kind::Position,
            Required,
            "[\"40 %\", \"210 mm\"]",
            "Centre of its foot: from the left side, from the bottom side, as the listener sees them. A percentage is of the panel's width or height.",
        ),
        key(
            "coil_resistance",
            quantity(&RESISTANCE, between(0.1, 1000.0)),
            Required,
            "\"3.4 Ω\"",
            "DC resistance of the voice coil, R_e.",
        ),
        key(
            "coil_inductance",
            quantity(&INDUCTANCE, between(0.0, 0.1)),
            Default("0 mH"),
            "\"0.08 mH\"",
            "Inductance of the voice coil, L_e.",
        ),
        key(
            "force_factor",
            quantity(&FORCE_FACTOR, positive(100.0)),
            Required,
            "\"3.2 N/A\"",
            "Force for each ampere, Bl. N/A and T·m are the same unit.",
        ),
        key(
            "moving_mass",
            quantity(&MASS, positive(0.5)),
            Required,
            "\"1.6 g\"",
            "Coil, former and foot: what rides on the panel.",
        ),
        key(
            "foot_diameter",
            quantity(&LENGTH, between(1e-3, 0.3)),
            Required,
            "\"25 mm\"",
            "Diameter of the ring on which the foot pushes, usually the coil's.",
        ),
        key(
            "suspension_stiffness",
            quantity(&SPRING, positive(1e7)),
            Required,
            "\"9 N/mm\"",
            "Of the spring between magnet and foot. One over the compliance: 0.1 mm/N is 10 N/mm.",
        ),
        key(
            "suspension_loss_factor",
            Kind::Number(between(0.0, 2.0)),
            Default("0.1"),
            "0.15",
            "Loss factor of that spring; about 1 / Q_m at its resonance.",
        ),
        key("magnet_mass", quantity(&MASS, positive(20.0)), Required, "\"60 g\"", "Magnet and housing."),
        key(
            "mount",
            Kind::Choice(&["floating", "braced"]),
            Default("floating"),
            "\"braced\"",
            "`floating`: the magnet hangs on its own suspension. `braced`: a rigid brace holds it still.",
        ),
        key(
            "rated_power",
            quantity(&POWER, positive(1000.0)),
            Optional("power is not judged"),
            "\"10 W\"",
            "Electrical power the coil stands.",
        ),
        key(
            "rated_excursion",
            quantity(&LENGTH, positive(0.05)),
            Optional("excursion is not judged"),
            "\"1.5 mm\"",
            "Largest peak excursion of the coil against the magnet, one way.",
        ),
        key(
            "polarity",
            Kind::Choice(POLARITIES),
            Default("normal"),
            "\"reversed\"",
            "`reversed`: the leads are swapped.",
        ),
        key(
            "channel",
            Kind::Text,
            Optional("the only channel"),
            "\"left\"",
            "Name of the amplifier channel that drives it. Needed as soon as there are two channels.",
        ),
    ],
};

/// An amplifier output.
static CHANNEL: Table = Table {
    name: "the channel",
    about: "An amplifier output: a voltage behind a resistance. Gain and delay belong to a channel; an exciter that needs its own gets its own channel.",
    keys: &[
        key("name", Kind::Text, Required, "\"left\"", "Exciters name their channel by it."),
        key(
            "voltage",
            quantity(&VOLTAGE, positive(200.0)),
            Default("2.83 V"),
            "\"2.83 V\"",
            "RMS voltage at every frequency, before gain.",
        ),
        key("gain", quantity(&LEVEL, between(-80.0, 40.0)), Default("0 dB"), "\"-3 dB\"", "Change of level."),
        key("delay", quantity(&TIME, between(0.0, 1.0)), Default("0 ms"), "\"2 ms\"", "Delay of the signal."),
        key(
            "source_resistance",
            quantity(&RESISTANCE, between(0.0, 1000.0)),
            Default("0 Ω"),
            "\"0.2 Ω\"",
            "Of amplifier output and cable together.",
        ),
        key(
            "wiring",
            Kind::Choice(&["parallel", "series"]),
            Default("parallel"),
            "\"series\"",
            "How the exciters of this channel are joined.",
        ),
        key(
            "polarity",
            Kind::Choice(POLARITIES),
            Default("normal"),
            "\"reversed\"",
            "`reversed`: turns all its exciters round.",
        ),
    ],
};

/// A listening point.
static SEAT: Table = Table {
    name: "the seat",
    about: "A listening point: where the ears are, measured from the panel's centre.",
    keys: &[
        key(
            "name",
            Kind::Text,
            Optional("numbered: \"seat 1\", \"seat 2\" …"),
            "\"window table\"",
            "For the report.",
        ),
        key(
            "in_front",
            quantity(&LENGTH, between(0.02, 100.0).because(FRONT_ONLY)),
            Required,
            "\"2.4 m\"",
            "Distance in front of the panel's plane.",
        ),
        key(
            "to_the_right",
            quantity(&LENGTH, between(-100.0, 100.0)),
            Default("0 m"),
            "\"-800 mm\"",
            "Distance to the right of the panel's centre as the listener sees it; negative to the left.",
        ),
        key(
            "above",
            quantity(&LENGTH, between(-100.0, 100.0)),
            Default("0 m"),
            "\"-300 mm\"",
            "Height above the panel's centre; negative below.",
        ),
    ],
};

/// The output map.
static MAP: Table = Table {
    name: "the map",
    about: "Microphones on a plane parallel to the panel; from their levels come output map, dead spots and acoustic centre.",
    keys: &[
        key(
            "distance",
            quantity(&LENGTH, between(0.005, 20.0)),
            Default("500 mm"),
            "\"500 mm\"",
            "From the panel.",
        ),
        key(
            "margin",
            quantity(&LENGTH, between(0.0, 10.0)),
            Default("100 mm"),
            "\"100 mm\"",
            "How far the plane reaches beyond the panel on every side.",
        ),
        key(
            "spacing",
            quantity(&LENGTH, between(0.005, 1.0)),
            Default("20 mm"),
            "\"20 mm\"",
            "From microphone to microphone.",
        ),
    ],
};

/// The polar arcs.
static POLAR: Table = Table {
    name: "the polar arc",
    about: "From 90° left to 90° right and from 90° below to 90° above the panel's axis.",
    keys: &[
        key(
            "distance",
            quantity(&LENGTH, between(0.1, 1000.0)),
            Default("1 m"),
            "\"1 m\"",
            "From the panel's centre. The pattern is the far field's, scaled to this distance.",
        ),
        key(
            "step",
            quantity(&ANGLE, between(0.1 * PI / 180.0, PI / 6.0)),
            Default("5 °"),
            "\"5 °\"",
            "From angle to angle.",
        ),
    ],
};

/// The frequencies.
static RANGE: Table = Table {
    name: "the range",
    about: "Frequencies are spaced evenly in octaves and stand where IEC 61260-1 puts the middles of its fractional-octave bands.",
    keys: &[
        key(
            "from",
            quantity(&FREQUENCY, between(5.0, 20_000.0)),
            Default("50 Hz"),
            "\"50 Hz\"",
            "Lowest frequency.",
        ),
        key(
            "to",
            quantity(&FREQUENCY, between(5.0, 20_000.0).because(TOP)),
            Default("20 kHz"),
            "\"16 kHz\"",
            "Highest frequency, at most 20 kHz.",
        ),
        key(
            "per_octave",
            Kind::Count(between(3.0, 384.0)),
            Default("48"),
            "48",
            "Frequencies in each octave. 48 gives about one for each half-power bandwidth at a loss factor of 0.015.",
        ),
    ],
};

/// The air.
static ROOM: Table = Table {
    name: "the room",
    about: "The state of the air. It sets the speed and the absorption of sound; walls are not modelled.",
    keys: &[
        key(
            "temperature",
            quantity(&TEMPERATURE, between(253.15, 323.15)),
            Default("20 °C"),
            "\"20 °C\"",
            "Of the air.",
        ),
        key(
            "humidity",
            quantity(&SHARE, between(0.0, 1.0)),
            Default("50 %"),
            "\"50 %\"",
            "Relative humidity.",
        ),
        key(
            "pressure",
            quantity(&PRESSURE, between(50_000.0, 110_000.0)),
            Default("101.325 kPa"),
            "\"101.3 kPa\"",
            "Static pressure; about 90 kPa at 1000 m above the sea.",
        ),
    ],
};
