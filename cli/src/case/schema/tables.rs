//! Every table and key of a case file.

use super::Need::{Default, Optional, Required};
use super::channel::CHANNEL;
use super::driver::DRIVER;
use super::measured::MEASURED;
use super::place::PLACE;
use super::study::STUDY;
use super::surround::SURROUND;
use super::{Key, Kind, Limits, Need, Table, between, positive};
use crate::case::quantity::{
    ANGLE, AREA, DENSITY, EDGE_STIFFNESS, EDGE_TURNING, FORCE_FACTOR, FREQUENCY, INDUCTANCE, LENGTH, MASS,
    MODULUS, POWER, PRESSURE, Quantity, RESISTANCE, SHARE, SPRING, SURFACE_MASS, TEMPERATURE,
};
use std::f64::consts::PI;

pub(super) const fn key(
    name: &'static str,
    kind: Kind,
    need: Need,
    example: &'static str,
    about: &'static str,
) -> Key {
    Key { name, kind, need, example, about }
}

pub(super) const fn quantity(quantity: &'static Quantity, limits: Limits) -> Kind {
    Kind::Quantity(quantity, limits)
}

pub(super) const POLARITIES: &[&str] = &["normal", "reversed"];
const EDGE_WORDS: &[&str] = &["free", "simply supported", "clamped"];
const FRONT_ONLY: &str =
    "the panel is computed as heard from its front; nearer than 20 mm is the map's business";
const TOP: &str = "hearing ends at 20 kHz, and so do the checks of the methods used here";
const ONE_SIDE: Need = Optional("as `all` says, or free");
pub(super) const GRAINS: &[&str] = &["horizontal", "vertical"];
pub(super) const ITS_OWN: Need = Optional("the material's");
/// Springs that are stiffer than any fixing, but not so stiff that sums lose digits.
const ANY_SPRING: Limits = between(0.0, 1e12);

/// The whole file.
pub static CASE: Table = Table {
    name: "the case",
    about: "A case describes one panel, what drives it, and where it is listened to; a small driver near it, or alone, and what is put around that. \
            A [panel] or a [driver] must be given; a panel without exciters has modes but makes no sound.",
    keys: &[
        key("title", Kind::Text, Default("Untitled panel"), "\"Tea room, left panel\"", "Heads the report."),
        key(
            "panel",
            Kind::Table(&PANEL),
            Optional("the case is about a [driver] alone"),
            "[panel]",
            "The panel itself.",
        ),
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
            Optional("one seat, 2 m in front of the panel's centre, or of the driver if there is no [panel]"),
            "[[seat]]",
            "One table for each listening point.",
        ),
        key(
            "driver",
            Kind::OneOrMore(&DRIVER),
            Optional("there is no small driver"),
            "[driver]",
            "A small driver near the panel, or alone; several, each with a name of its own, under [[driver]].",
        ),
        key(
            "surround",
            Kind::Tables(&SURROUND),
            Optional("the driver is bare"),
            "[[surround]]",
            "One table for each thing put around the driver, to be compared.",
        ),
        key(
            "measured",
            Kind::Tables(&MEASURED),
            Optional("everything is computed"),
            "[[measured]]",
            "One table for each response of the panel or a driver that was measured at a seat.",
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
        key(
            "hang",
            Kind::Tables(&HANG),
            Optional("nothing holds the panel but its edges"),
            "[[hang]]",
            "One table for each cord, foot or standoff.",
        ),
        key(
            "mass",
            Kind::Tables(&POINT_MASS),
            Optional("none"),
            "[[mass]]",
            "One table for each small mass.",
        ),
        key(
            "patch",
            Kind::Tables(&PATCH),
            Optional("none"),
            "[[patch]]",
            "One table for each damping sheet glued on.",
        ),
        key("bar", Kind::Tables(&BAR), Optional("none"), "[[bar]]", "One table for each stiffener glued on."),
        key(
            "spread",
            Kind::Table(&SPREAD),
            Optional("the defaults below"),
            "[spread]",
            "How far the built panel may differ: makes the band of uncertainty.",
        ),
        key(
            "place",
            Kind::Table(&PLACE),
            Optional("the defaults below"),
            "[place]",
            "Where `panelwright place` may put the exciters, and what counts.",
        ),
        key(
            "study",
            Kind::Table(&STUDY),
            Optional("nothing is varied"),
            "[study]",
            "What `panelwright study` varies, and what it judges variants by.",
        ),
        key(
            "room",
            Kind::Table(&ROOM),
            Optional("the defaults below"),
            "[room]",
            "The air in the room, and the floor.",
        ),
    ],
};

/// The panel.
static PANEL: Table = Table {
    name: "the panel",
    about: "A flat panel. What it is made of stands in one of four ways: `material` and `thickness` for a plain sheet, `[[panel.layer]]` for a stack, \
            `[panel.sandwich]` or `[panel.fluted]`. Left, right, top and bottom are as the listener sees them.",
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
        key(
            "thickness",
            quantity(&LENGTH, between(1e-4, 0.05)),
            Optional("needed with `material`; otherwise it follows from the layers"),
            "\"4 mm\"",
            "Of a plain sheet.",
        ),
        key(
            "material",
            Kind::TextOrTable(&MATERIAL),
            Optional("`[[panel.layer]]`, `[panel.sandwich]` or `[panel.fluted]` is needed"),
            "\"poplar plywood\"",
            "A name from `panelwright materials`, or your own figures in a table `[panel.material]`.",
        ),
        key(
            "grain",
            Kind::Choice(GRAINS),
            Default("horizontal"),
            "\"vertical\"",
            "Direction of the face grain of a plain sheet, the stiffer one; of the flutes of a fluted one from the list. Without effect on a material that is equally stiff both ways.",
        ),
        key(
            "layer",
            Kind::Tables(&LAYER),
            Optional("the panel is not a stack"),
            "[[panel.layer]]",
            "One table for each layer of a stack, from front to back.",
        ),
        key(
            "symmetric",
            Kind::Flag,
            Default("false"),
            "true",
            "`true`: only the front half is listed and the last `[[panel.layer]]` is the middle one; the others follow behind it in reverse.",
        ),
        key(
            "sandwich",
            Kind::Table(&SANDWICH),
            Optional("the panel is not a sandwich"),
            "[panel.sandwich]",
            "Two equal skins on a core.",
        ),
        key(
            "fluted",
            Kind::Table(&FLUTED),
            Optional("the panel is not fluted"),
            "[panel.fluted]",
            "Two equal skins joined by webs or by a wave: twin-wall sheet, corrugated board.",
        ),
        key(
            "loss_factor",
            Kind::Curve(positive(1.0)),
            Optional("follows from the layers"),
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
        key(
            "back",
            Kind::ChoiceOrTable(&["open", "baffled"], &BACK),
            Default("open"),
            "\"baffled\"",
            "`open`: sound goes round the edges, as with a hung panel and with a frame that hangs open. `baffled`: the panel fills an opening of a large wall and both \
             faces look into the open.",
        ),
    ],
};

/// A layer of a stack.
pub static LAYER: Table = Table {
    name: "the layer",
    about: "A sheet with `material` and `thickness`, or paint, paper or glue that adds nothing but its mass: `mass_per_area`. The stack must be the same from the front \
            and from the back; layers that are mere mass do not count.",
    keys: &[
        key(
            "material",
            Kind::TextOrTable(&MATERIAL),
            Optional("`mass_per_area` is needed"),
            "\"birch veneer\"",
            "A name from `panelwright materials`, or your own figures.",
        ),
        key(
            "thickness",
            quantity(&LENGTH, between(1e-6, 0.2)),
            Optional("needed with `material`"),
            "\"0.8 mm\"",
            "Of this layer.",
        ),
        key(
            "grain",
            Kind::Choice(GRAINS),
            Default("horizontal"),
            "\"vertical\"",
            "Direction of its grain, fibres, machine direction or honeycomb ribbon.",
        ),
        key(
            "mass_per_area",
            quantity(&SURFACE_MASS, between(0.0, 50.0)),
            Optional("density × thickness"),
            "\"80 g/m²\"",
            "Of paint, paper or glue, in place of `material` and `thickness`.",
        ),
        key(
            "loss_factor",
            Kind::Curve(positive(2.0)),
            ITS_OWN,
            "[[\"100 Hz\", 0.03], [\"2 kHz\", 0.05]]",
            "Structural loss factor of this layer, one number or one for each of several frequencies.",
        ),
    ],
};

/// Two skins on a core.
pub(super) static SANDWICH: Table = Table {
    name: "the sandwich",
    about: "Two equal skins glued on a core. The core keeps them apart and carries the shear.",
    keys: &[
        key(
            "skin",
            Kind::Table(&LAYER),
            Required,
            "{ material = \"aluminium\", thickness = \"0.3 mm\" }",
            "One skin; the other is the same.",
        ),
        key(
            "core",
            Kind::Table(&LAYER),
            Required,
            "{ material = \"aramid honeycomb\", thickness = \"10 mm\" }",
            "The core.",
        ),
        key(
            "glue",
            quantity(&SURFACE_MASS, between(0.0, 10.0)),
            Default("0 g/m²"),
            "\"150 g/m²\"",
            "Mass of each of the two glue lines.",
        ),
        key(
            "paint",
            quantity(&SURFACE_MASS, between(0.0, 10.0)),
            Default("0 g/m²"),
            "\"80 g/m²\"",
            "Mass of the paint on each face.",
        ),
    ],
};

/// A fluted sheet.
static FLUTED: Table = Table {
    name: "the fluted sheet",
    about: "Two equal skins joined by webs. Cut a strip and measure it with a calliper and a magnifier.",
    keys: &[
        key(
            "skin",
            Kind::TextOrTable(&MATERIAL),
            Required,
            "\"polypropylene\"",
            "What the skins are made of. Plastic has its grain along the flutes, paper its machine direction across them.",
        ),
        key(
            "web",
            Kind::TextOrTable(&MATERIAL),
            Optional("as `skin`"),
            "\"fluting paper\"",
            "What the webs are made of.",
        ),
        key(
            "height",
            quantity(&LENGTH, between(2e-4, 0.2)),
            Required,
            "\"4 mm\"",
            "Over both skins: the thickness of the sheet.",
        ),
        key(
            "skin_thickness",
            quantity(&LENGTH, between(1e-5, 0.02)),
            Required,
            "\"0.22 mm\"",
            "Of each skin.",
        ),
        key("web_thickness", quantity(&LENGTH, between(1e-5, 0.02)), Required, "\"0.18 mm\"", "Of a web."),
        key(
            "pitch",
            quantity(&LENGTH, between(2e-4, 0.2)),
            Required,
            "\"4.5 mm\"",
            "From web to web, or from crest to crest of a wave.",
        ),
        key(
            "webs",
            Kind::Choice(&["straight", "wave"]),
            Default("straight"),
            "\"wave\"",
            "`straight`: upright walls, as in twin-wall plastic. `wave`: one wavy sheet, as in corrugated board.",
        ),
        key(
            "flutes",
            Kind::Choice(GRAINS),
            Default("vertical"),
            "\"horizontal\"",
            "Direction of the flutes.",
        ),
    ],
};

/// What is behind the panel.
static BACK: Table = Table {
    name: "the back",
    about: "What is behind the panel, in figures.",
    keys: &[
        key(
            "kind",
            Kind::Choice(&["wall", "closed", "vented"]),
            Required,
            "\"wall\"",
            "`wall`: open, with a wall parallel to the panel behind it. `closed`: flush with a large wall, a shallow closed space behind. `vented`: as `closed`, with an opening \
             to the room.",
        ),
        key(
            "distance",
            quantity(&LENGTH, between(0.005, 50.0)),
            Optional("needed for a wall"),
            "\"60 mm\"",
            "From the panel's plane to the wall.",
        ),
        key(
            "reflection",
            Kind::Number(between(0.0, 1.0)),
            Optional("1, a hard wall"),
            "0.95",
            "How much of the sound pressure the wall throws back.",
        ),
        key(
            "depth",
            quantity(&LENGTH, between(0.002, 1.0)),
            Optional("needed for a closed or vented space"),
            "\"40 mm\"",
            "Of the space behind the panel.",
        ),
        key(
            "loss_factor",
            Kind::Number(between(0.0, 2.0)),
            Optional("0.05, an empty space (estimate)"),
            "0.3",
            "Of the air in the space: filling and leaks.",
        ),
        key(
            "vent_area",
            quantity(&AREA, positive(10.0)),
            Optional("needed for a vented space"),
            "\"40 cm²\"",
            "Area of the opening.",
        ),
        key(
            "vent_length",
            quantity(&LENGTH, between(0.0, 2.0)),
            Optional("needed for a vented space"),
            "\"18 mm\"",
            "Length of the opening, the thickness of the board; the air that swings along outside is added.",
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
            strip of tape. `clamped`: held and kept from turning, as by a rebate full of glue. Foam tape and gaskets are a table.",
    keys: &[
        key(
            "all",
            Kind::ChoiceOrTable(EDGE_WORDS, &STRIP),
            Default("free"),
            "\"free\"",
            "All four sides; a side named below goes before.",
        ),
        key("left", Kind::ChoiceOrTable(EDGE_WORDS, &STRIP), ONE_SIDE, "\"clamped\"", "The left side."),
        key("right", Kind::ChoiceOrTable(EDGE_WORDS, &STRIP), ONE_SIDE, "\"clamped\"", "The right side."),
        key("top", Kind::ChoiceOrTable(EDGE_WORDS, &STRIP), ONE_SIDE, "\"clamped\"", "The top side."),
        key("bottom", Kind::ChoiceOrTable(EDGE_WORDS, &STRIP), ONE_SIDE, "\"clamped\"", "The bottom side."),
        key(
            "stretch",
            Kind::Tables(&STRETCH),
            Optional("every side is held in one way"),
            "[[panel.edges.stretch]]",
            "One table for each part of an edge that is held in its own way; it goes before the sides.",
        ),
    ],
};

/// A compliant strip.
pub static STRIP: Table = Table {
    name: "the strip",
    about: "A compliant strip between panel and frame: a tape from the list with its width and thickness, or a measured stiffness. A tape of width b and thickness t \
            (as it sits, compressed) has the stiffness E b / t and the stiffness against turning E b³ / 12 t for each length; E is that of foam, which can \
            bulge into its own pores, so its shape does not matter. Solid rubber is stiffer the flatter it is: give its measured stiffness.",
    keys: &[
        key(
            "tape",
            Kind::Text,
            Optional("`stiffness` is needed"),
            "\"PU foam tape\"",
            "A name from `panelwright materials`.",
        ),
        key(
            "width",
            quantity(&LENGTH, between(5e-4, 0.2)),
            Optional("needed with `tape`"),
            "\"9 mm\"",
            "Of the tape, across the edge.",
        ),
        key(
            "thickness",
            quantity(&LENGTH, between(1e-4, 0.1)),
            Optional("needed with `tape`"),
            "\"3 mm\"",
            "Of the tape as it sits between panel and frame.",
        ),
        key(
            "stiffness",
            quantity(&EDGE_STIFFNESS, ANY_SPRING),
            Optional("follows from the tape"),
            "\"20 kN/m²\"",
            "Against deflection, for each length of edge.",
        ),
        key(
            "rotational_stiffness",
            quantity(&EDGE_TURNING, ANY_SPRING),
            Optional("follows from the tape, otherwise 0 N"),
            "\"0.5 N\"",
            "Against turning about the edge, for each length of edge: moment per angle and length.",
        ),
        key(
            "loss_factor",
            Kind::Number(between(0.0, 2.0)),
            Optional("the tape's, otherwise 0.1"),
            "0.2",
            "Of the strip.",
        ),
    ],
};

/// A part of an edge.
static STRETCH: Table = Table {
    name: "the stretch",
    about: "A part of an edge that is held in its own way. The first stretch that covers a place holds there.",
    keys: &[
        key(
            "side",
            Kind::Choice(&["left", "right", "top", "bottom"]),
            Optional("measured along the contour"),
            "\"top\"",
            "Side of a rectangle; lengths on it count from its left or bottom end.",
        ),
        key(
            "contour",
            Kind::Count(between(0.0, 1000.0)),
            Default("0"),
            "0",
            "Contour of any outline: 0 is the outer one, which runs counter-clockwise from the lower left, then come the cut-outs.",
        ),
        key(
            "from",
            quantity(&LENGTH, between(0.0, 50.0)),
            Required,
            "\"100 mm\"",
            "Where the stretch starts.",
        ),
        key("to", quantity(&LENGTH, positive(50.0)), Required, "\"160 mm\"", "Where it ends."),
        key("held", Kind::ChoiceOrTable(EDGE_WORDS, &STRIP), Required, "\"clamped\"", "How it is held."),
    ],
};

/// A material given in figures.
pub static MATERIAL: Table = Table {
    name: "the material",
    about: "Your own figures. Either `youngs_modulus` (equally stiff both ways) or `along_grain` and `across_grain`. A core that only keeps skins apart, such as \
            honeycomb, has neither: its shear moduli through the thickness are enough.",
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
            "Shear modulus through the thickness along the grain (a honeycomb's along its ribbon). Stacks and thick panels need it.",
        ),
        key(
            "transverse_shear_across",
            quantity(&MODULUS, between(1e4, 5e11)),
            Optional("as `transverse_shear_modulus`"),
            "\"25 MPa\"",
            "Shear modulus through the thickness across the grain.",
        ),
        key(
            "loss_factor",
            Kind::Curve(positive(1.0)),
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

/// A listening point.
static SEAT: Table = Table {
    name: "the seat",
    about: "A listening point: where the ears are, measured from the panel's centre; in a case without [panel] from the middle of the driver's front.",
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
    about: "From 90° left to 90° right and from 90° below to 90° above the axis of the panel, or of the driver when surrounds are compared.",
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

/// A cord, foot or standoff.
pub static HANG: Table = Table {
    name: "the hang",
    about: "A spring between a point of the panel and something that does not move: a cord, a rubber foot, a screw. What counts is its stiffness across the panel.",
    keys: &[
        key(
            "name",
            Kind::Text,
            Optional("numbered: \"hang 1\", \"hang 2\" …"),
            "\"left cord\"",
            "For the report.",
        ),
        key(
            "position",
            Kind::Position,
            Required,
            "[\"20 %\", \"510 mm\"]",
            "From the left side, from the bottom side.",
        ),
        key(
            "kind",
            Kind::Text,
            Optional("`stiffness` is needed"),
            "\"cord\"",
            "A name from `panelwright materials` with a typical stiffness.",
        ),
        key(
            "stiffness",
            quantity(&SPRING, ANY_SPRING),
            Optional("typical of its `kind`"),
            "\"30 N/m\"",
            "Across the panel. A cord of length L that carries the weight W has W / L.",
        ),
        key(
            "loss_factor",
            Kind::Number(between(0.0, 2.0)),
            Optional("typical of its `kind`, otherwise 0.05"),
            "0.1",
            "Of the spring.",
        ),
        key(
            "diameter",
            quantity(&LENGTH, between(0.0, 0.5)),
            Default("0 mm"),
            "\"10 mm\"",
            "Of the ring on which it touches the panel.",
        ),
    ],
};

/// A small mass.
static POINT_MASS: Table = Table {
    name: "the mass",
    about: "A small mass glued to the panel.",
    keys: &[
        key(
            "name",
            Kind::Text,
            Optional("numbered: \"mass 1\", \"mass 2\" …"),
            "\"tuning weight\"",
            "For the report.",
        ),
        key(
            "position",
            Kind::Position,
            Required,
            "[\"70 %\", \"30 %\"]",
            "From the left side, from the bottom side.",
        ),
        key("mass", quantity(&MASS, positive(50.0)), Required, "\"12 g\"", "How heavy it is."),
        key(
            "diameter",
            quantity(&LENGTH, between(0.0, 0.5)),
            Default("0 mm"),
            "\"15 mm\"",
            "Of the ring on which it touches the panel.",
        ),
    ],
};

/// A damping sheet.
static PATCH: Table = Table {
    name: "the patch",
    about: "A damping sheet glued on, with its sides along the panel's. It adds mass, and stiffness E ((h/2 + t)³ − (h/2)³) / 3 (1 − ν²) about the panel's middle plane, \
            h thick the panel and t the sheet.",
    keys: &[
        key(
            "name",
            Kind::Text,
            Optional("numbered: \"patch 1\", \"patch 2\" …"),
            "\"middle\"",
            "For the report.",
        ),
        key(
            "corner",
            Kind::Position,
            Required,
            "[\"30 %\", \"25 %\"]",
            "Lower left corner: from the left side, from the bottom side.",
        ),
        key("width", quantity(&LENGTH, positive(5.0)), Required, "\"150 mm\"", "From left to right."),
        key("height", quantity(&LENGTH, positive(5.0)), Required, "\"100 mm\"", "From bottom to top."),
        key(
            "sheet",
            Kind::TextOrTable(&MATERIAL),
            Required,
            "\"butyl damping sheet\"",
            "A name from `panelwright materials`, or your own figures.",
        ),
        key("thickness", quantity(&LENGTH, between(1e-5, 0.05)), Required, "\"2 mm\"", "Of the sheet."),
        key("loss_factor", Kind::Number(positive(2.0)), ITS_OWN, "0.2", "Of the sheet."),
    ],
};

/// A stiffener.
static BAR: Table = Table {
    name: "the bar",
    about: "A stiffener of rectangular section glued on along its whole length, on one face. Its bending stiffness counts about the panel's middle plane, E (b h³/12 + b h e²) with e from \
            that plane to the bar's middle: an upper bound, since the panel's own plane gives way a little.",
    keys: &[
        key(
            "name",
            Kind::Text,
            Optional("numbered: \"bar 1\", \"bar 2\" …"),
            "\"cross bar\"",
            "For the report.",
        ),
        key(
            "from",
            Kind::Position,
            Required,
            "[\"10 %\", \"50 %\"]",
            "One end: from the left side, from the bottom side.",
        ),
        key("to", Kind::Position, Required, "[\"90 %\", \"50 %\"]", "The other end."),
        key(
            "width",
            quantity(&LENGTH, between(5e-4, 0.2)),
            Required,
            "\"10 mm\"",
            "Of its section, along the panel.",
        ),
        key(
            "height",
            quantity(&LENGTH, between(5e-4, 0.2)),
            Required,
            "\"5 mm\"",
            "Of its section, off the panel.",
        ),
        key(
            "material",
            Kind::TextOrTable(&MATERIAL),
            Required,
            "\"balsa\"",
            "A name from `panelwright materials`, or your own figures; its grain runs along the bar.",
        ),
        key("loss_factor", Kind::Number(positive(2.0)), ITS_OWN, "0.02", "Of the bar."),
    ],
};

/// How far the built panel may differ.
static SPREAD: Table = Table {
    name: "the spread",
    about: "The panel that is built differs from the one described. The prediction is repeated with figures drawn from these ranges; the curves show the band they fill.",
    keys: &[
        key(
            "samples",
            Kind::Count(between(0.0, 512.0)),
            Default("64"),
            "64",
            "How many variations are computed; 0 leaves the band out.",
        ),
        key(
            "stiffness",
            quantity(&SHARE, between(0.0, 0.9)),
            Optional(
                "from the ranges of the materials; 10 % for your own figures (common practice, no source)",
            ),
            "\"15 %\"",
            "Of every bending and shear stiffness, up and down.",
        ),
        key(
            "mass",
            quantity(&SHARE, between(0.0, 0.9)),
            Optional(
                "from the ranges of the materials; 3 % for your own figures (common practice, no source)",
            ),
            "\"5 %\"",
            "Of the mass per area, up and down.",
        ),
        key(
            "loss_factor",
            Kind::Number(between(1.0, 10.0)),
            Optional(
                "from the ranges of the materials; 1.5 for your own figures (common practice, no source)",
            ),
            "1.5",
            "Loss factors: from the value divided by this number to the value times this number.",
        ),
        key(
            "supports",
            Kind::Number(between(1.0, 10.0)),
            Optional(
                "from the ranges of tapes and hangs; 1.5 for your own figures (common practice, no source)",
            ),
            "2",
            "Stiffness of strips and hangs: from the value divided by this number to the value times this number.",
        ),
        key(
            "thickness",
            quantity(&SHARE, between(0.0, 0.5)),
            Default("3 %"),
            "\"3 %\"",
            "Of the panel, all layers alike, up and down; stiffness and mass go with it (common practice, no source: a sheet measured in several \
             places; plywood and foam as sold can be off by 8 %).",
        ),
        key(
            "position",
            quantity(&LENGTH, between(0.0, 0.1)),
            Default("2 mm"),
            "\"2 mm\"",
            "How far exciters, masses and hangs may sit off their place in each direction (common practice, no source).",
        ),
    ],
};

/// The air.
static ROOM: Table = Table {
    name: "the room",
    about: "The state of the air, which sets the speed and the absorption of sound, and the floor if it is to be heard; other walls are not modelled.",
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
        key(
            "floor",
            quantity(&LENGTH, between(0.0, 50.0)),
            Optional("no floor"),
            "\"1.2 m\"",
            "How far the floor lies below the panel's lower edge. A comparison of surrounds does without it.",
        ),
        key(
            "floor_reflection",
            Kind::Number(between(0.0, 1.0)),
            Default("0.9"),
            "0.5",
            "How much of the sound pressure the floor throws back: near 1 for boards and tiles, less for carpet (estimate).",
        ),
    ],
};
