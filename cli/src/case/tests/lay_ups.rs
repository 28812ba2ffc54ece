//! Stacks, sandwiches, fluted sheets; supports, backs, attachments, spread: what the file says reaches the scene.

use super::errors::says;
use super::{SMALL, read, refused, shown};
use crate::case::{Case, describe};
use approx::assert_relative_eq;
use panelwright_solver::scene::{Back, EdgeCondition, Floor, PlateSection};

const SHEET: &str = "thickness = \"4 mm\"\nmaterial = \"poplar plywood\"\n";

/// The small case with another makeup.
fn of(makeup: &str) -> String {
    SMALL.replace(SHEET, makeup)
}

/// The small case with more tables behind it.
fn and(tables: &str) -> String {
    format!("{SMALL}{tables}\n")
}

#[track_caller]
fn case(text: &str) -> Case {
    read(text).unwrap_or_else(|e| panic!("{}", shown(&e)))
}

#[track_caller]
fn section(makeup: &str) -> PlateSection {
    case(&of(makeup)).scene.panel.section
}

fn veneer(grain: &str) -> String {
    format!("[[panel.layer]]\nmaterial = \"birch veneer\"\nthickness = \"1 mm\"\ngrain = \"{grain}\"\n")
}

#[test]
fn a_mirrored_half_is_the_whole_stack() {
    let half = format!("symmetric = true\n{}{}", veneer("horizontal"), veneer("vertical"));
    let whole = [veneer("horizontal"), veneer("vertical"), veneer("horizontal")].concat();
    assert_eq!(section(&half), section(&whole));
    // Equal plies: 26/27 and 1/27 of ∫z² dz, with 1 − ν₁₂ν₂₁ of the list's veneer.
    let margin = 1.0 - 0.16 * 0.41 / 17.0;
    assert_relative_eq!(
        section(&whole).d11,
        (26.0 * 17e9 + 0.41e9) / 27.0 / margin * 27e-9 / 12.0,
        max_relative = 1e-9
    );
    assert!(section(&whole).shear.is_some());
}

#[test]
fn fifty_layers_of_one_material_are_one_sheet() {
    let layer = "[[panel.layer]]\nmaterial = \"XPS\"\nthickness = \"0.4 mm\"\n";
    let (many, one) = (section(&layer.repeat(50)), section("material = \"XPS\"\nthickness = \"20 mm\"\n"));
    assert_relative_eq!(many.d11, one.d11, max_relative = 1e-9);
    assert_relative_eq!(many.shear.expect("known")[0], one.shear.expect("known")[0], max_relative = 1e-9);
    assert_relative_eq!(many.surface_mass, one.surface_mass, max_relative = 1e-9);
}

const SANDWICH: &str = "[panel.sandwich]\nskin = { material = \"aluminium\", thickness = \"0.3 mm\" }\n\
    core = { material = \"aramid honeycomb\", thickness = \"10 mm\", grain = \"vertical\" }\nglue = \"100 g/m²\"\n";

#[test]
fn a_sandwich_is_skins_core_and_glue() {
    let section = section(SANDWICH);
    assert_relative_eq!(section.surface_mass, 2.0 * 0.81 + 0.48 + 0.2, max_relative = 1e-9);
    let (t, d) = (0.3e-3f64, 10.3e-3f64);
    let stiffness = 70e9 / (1.0 - 0.33 * 0.33) * (t * d * d / 2.0 + t.powi(3) / 6.0);
    assert_relative_eq!(section.d11, stiffness, max_relative = 1e-9);
    // The ribbon runs along y: 25 MPa along x, 44 MPa along y; S = G d²/c of thin skins.
    let [s1, s2] = section.shear.expect("known");
    assert_relative_eq!(s1, 25e6 * d * d / 10e-3, max_relative = 2e-3);
    assert_relative_eq!(s2, 44e6 * d * d / 10e-3, max_relative = 2e-3);
}

#[test]
fn paint_adds_mass_and_a_core_may_be_given_by_its_shear_alone() {
    let own = SANDWICH.replace(
        "material = \"aramid honeycomb\"",
        "material = { density = \"48 kg/m³\", transverse_shear_modulus = \"44 MPa\", transverse_shear_across = \"25 MPa\", loss_factor = 0.01 }",
    );
    assert_eq!(section(&own), section(SANDWICH));
    let painted = section(&format!("{SANDWICH}paint = \"80 g/m²\"\n"));
    assert_relative_eq!(painted.surface_mass, section(SANDWICH).surface_mass + 0.16, max_relative = 1e-9);
    assert_eq!(painted.d11, section(SANDWICH).d11);
}

#[test]
fn a_fluted_sheet_by_name_and_by_its_walls() {
    let listed = section("material = \"PP twin-wall\"\nthickness = \"4 mm\"\n");
    let walls = "[panel.fluted]\nskin = \"polypropylene\"\nheight = \"4 mm\"\nskin_thickness = \"0.25 mm\"\n\
                 web_thickness = \"0.22 mm\"\npitch = \"4.2 mm\"\nflutes = \"horizontal\"\n";
    assert_eq!(section(walls), listed);
    let [along, across] = listed.shear.expect("known");
    assert!(listed.d11 > listed.d22 && along > 20.0 * across, "{listed:?}");
    let upright = section("material = \"PP twin-wall\"\nthickness = \"4 mm\"\ngrain = \"vertical\"\n");
    assert_eq!((upright.d11, upright.d22), (listed.d22, listed.d11));
}

#[test]
fn listed_fluted_sheets_weigh_and_bend_as_their_trade_does() {
    // Reference values: twin-wall 0.6–1.0 kg/m², D 1.5–4 N·m; C flute 0.45–0.75 kg/m², D 6–15 along the machine, 2.5–6 N·m across (estimates).
    let plastic = section("material = \"PP twin-wall\"\nthickness = \"4 mm\"\n");
    assert!((0.6..1.0).contains(&plastic.surface_mass) && (1.5..4.0).contains(&plastic.d22), "{plastic:?}");
    let board = section("material = \"cardboard\"\nthickness = \"4 mm\"\ngrain = \"vertical\"\n");
    assert!((0.4..0.75).contains(&board.surface_mass), "{board:?}");
    assert!((6.0..15.0).contains(&board.d11) && (2.5..6.5).contains(&board.d22), "{board:?}");
}

#[test]
fn loss_factors_may_depend_on_frequency() {
    let layer = format!("{}loss_factor = [[\"100 Hz\", 0.01], [\"2 kHz\", 0.03]]\n", veneer("horizontal"));
    let loss = section(&layer).bending_loss;
    assert_relative_eq!(loss.at(50.0), 0.01, max_relative = 1e-12);
    assert_relative_eq!(loss.at(4000.0), 0.03, max_relative = 1e-12);
    // Of the finished panel: in place of everything.
    let panel = section(&format!("loss_factor = [[\"1 kHz\", 0.2]]\n{SANDWICH}"));
    assert_eq!((panel.bending_loss.at(20.0), panel.shear_loss.at(20.0)), (0.2, 0.2));
}

#[test]
fn stacks_that_cannot_be() {
    let stack = [veneer("horizontal"), veneer("vertical"), veneer("vertical")].concat();
    says(
        &refused(&of(&stack)),
        &["[my.toml:12:1]", "layers 1 and 3 do not match", "unlike layer 1", "bending would stretch it"],
    );
    let sheet = "material = { density = \"450 kg/m³\", along_grain = \"7 GPa\", across_grain = \"2 GPa\", shear_modulus = \"450 MPa\", name = \"mine\" }";
    let limp = SANDWICH.replacen("material = \"aluminium\"", sheet, 1);
    says(&refused(&of(&limp)), &["in a stack, \"mine\" needs its `transverse_shear_modulus`"]);
    let bare = "[[panel.layer]]\nmaterial = \"aramid honeycomb\"\nthickness = \"10 mm\"\n";
    says(&refused(&of(bare)), &["nothing in the panel resists bending", "put stiff sheets on both faces"]);
    says(&refused(&of("symmetric = true\n")), &["what is the panel made of?"]);
    says(&refused(&of("layer = []\n")), &["nothing in the panel resists bending"]);
}

#[test]
fn makeups_that_contradict_themselves() {
    says(
        &refused(&of(&format!("{SHEET}{SANDWICH}"))),
        &["both `material` and `sandwich`", "which one holds?"],
    );
    let thick = format!("thickness = \"9 mm\"\n{SANDWICH}");
    says(&refused(&of(&thick)), &["`thickness` has no effect here", "follows from the layers"]);
    says(&refused(&of("")), &["what is the panel made of?", "material = \"poplar plywood\""]);
    says(&refused(&of("material = \"glass\"\n")), &["`thickness` is missing from the panel"]);
    says(
        &refused(&of("[[panel.layer]]\ngrain = \"vertical\"\n")),
        &["what is this layer made of?", "mass_per_area"],
    );
    let both = format!("{}mass_per_area = \"80 g/m²\"\n", veneer("vertical"));
    says(&refused(&of(&both)), &["both `material` and `mass_per_area`"]);
    let loss = format!("{}loss_factor = [[\"100 Hz\"]]\n", veneer("vertical"));
    says(&refused(&of(&loss)), &["pairs of a frequency and a number", "[[\"100 Hz\", 0.03]"]);
    let twice = format!("{}loss_factor = [[\"1 kHz\", 0.1], [\"1 kHz\", 0.2]]\n", veneer("vertical"));
    says(&refused(&of(&twice)), &["a frequency stands twice"]);
}

#[test]
fn fluted_sheets_that_cannot_be() {
    says(
        &refused(&of("material = \"PP twin-wall\"\nthickness = \"0.7 mm\"\n")),
        &["too thin for its walls", "two skins and a web are 0.72 mm already"],
    );
    let fluted = |pitch: &str, skin: &str| {
        of(&format!(
            "[panel.fluted]\nskin = {skin}\nheight = \"4 mm\"\nskin_thickness = \"0.2 mm\"\nweb_thickness = \"0.3 mm\"\npitch = \"{pitch}\"\n"
        ))
    };
    says(&refused(&fluted("0.25 mm", "\"PP\"")), &["the webs overlap", "a web alone is 0.3 mm"]);
    let core = "{ density = \"48 kg/m³\", transverse_shear_modulus = \"44 MPa\" }";
    says(&refused(&fluted("4 mm", core)), &["has no stiffness of its own", "a wall needs it"]);
}

/// The small case with edges.
fn held(edges: &str) -> String {
    SMALL.replace("[[exciter]]", &format!("{edges}\n[[exciter]]"))
}

#[test]
fn tapes_and_stretches_reach_the_edges() {
    let tape = "edges = { all = { tape = \"PU foam tape\", width = \"9 mm\", thickness = \"3 mm\" }, top = \"free\" }";
    let scene = case(&held(tape)).scene;
    let [left, _, _, top] = scene.panel.edges.sides(0.76, 0.52).expect("each side in one way");
    let EdgeCondition::Strip(strip) = left else { panic!("{left:?}") };
    assert_relative_eq!(strip.stiffness, 450e3, max_relative = 1e-9);
    assert_relative_eq!(strip.rotational, 3.0375, max_relative = 1e-9);
    assert_relative_eq!(strip.loss_factor, 0.25);
    assert_eq!(top, EdgeCondition::Free);
    assert_relative_eq!(scene.spread.supports.low, 1.0 / 3.0, max_relative = 1e-9);

    let own = "edges = { left = { stiffness = \"20 kN/m²\", rotational_stiffness = \"0.5 N\" } }";
    let scene = case(&held(own)).scene;
    let EdgeCondition::Strip(strip) = scene.panel.edges.at(0, 2.0 * (0.76 + 0.52) - 0.1) else {
        panic!("no strip")
    };
    assert_eq!((strip.stiffness, strip.rotational, strip.loss_factor), (20e3, 0.5, 0.1));
    assert_relative_eq!(scene.spread.supports.high, 1.5, max_relative = 1e-9);

    let part = "[panel.edges]\nbottom = \"clamped\"\n[[panel.edges.stretch]]\nside = \"top\"\nfrom = \"100 mm\"\nto = \"160 mm\"\nheld = \"clamped\"";
    let edges = case(&held(part)).scene.panel.edges;
    // The top runs from right to left: 130 mm from the left is 0.76 + 0.52 + 0.63 m along the contour.
    for (along, condition) in
        [(1.91, EdgeCondition::Clamped), (1.95, EdgeCondition::Free), (0.3, EdgeCondition::Clamped)]
    {
        assert_eq!(edges.at(0, along), condition, "{along}");
    }
}

#[test]
fn edges_that_cannot_be() {
    says(&refused(&held("edges = \"clamped\"")), &["write { all = \"clamped\" }"]);
    says(&refused(&held("back = \"vented\"")), &["write \"open\" or \"baffled\"; or a table: back = { kind"]);
    says(
        &refused(&held("edges = { all = { tape = \"PU foam tape\", width = \"9 mm\" } }")),
        &["`thickness` is missing from the strip"],
    );
    says(
        &refused(&held("edges = { all = { tape = \"butyl\", width = \"9 mm\", thickness = \"2 mm\" } }")),
        &["this is a damping sheet", "in a [[patch]]"],
    );
    says(
        &refused(&held("edges = { all = { loss_factor = 0.1 } }")),
        &["`stiffness` is missing from the strip"],
    );
    let stretch = |rest: &str| held(&format!("[[panel.edges.stretch]]\nheld = \"clamped\"\n{rest}"));
    says(
        &refused(&stretch("side = \"left\"\nfrom = \"0 mm\"\nto = \"600 mm\"")),
        &["the stretch ends beyond the left side", "the left side is 520 mm long"],
    );
    says(&refused(&stretch("from = \"90 mm\"\nto = \"60 mm\"")), &["the stretch has no length"]);
    says(
        &refused(&stretch("contour = 1\nfrom = \"0 mm\"\nto = \"60 mm\"")),
        &["the panel has no contour 1", "it has 1"],
    );
}

#[test]
fn backs() {
    let back = |text: &str| case(&held(text)).scene.panel.back;
    assert_eq!(back(""), Back::Open);
    assert_eq!(back("back = \"baffled\""), Back::Baffled);
    let wall = back("back = { kind = \"wall\", distance = \"60 mm\" }");
    assert_eq!(wall, Back::Wall { distance: 0.06, reflection: 1.0 });
    assert_eq!(
        back("back = { kind = \"closed\", depth = \"40 mm\", loss_factor = 0.3 }"),
        Back::Closed { depth: 0.04, loss_factor: 0.3 }
    );
    let vented = back(
        "back = { kind = \"vented\", depth = \"40 mm\", vent_area = \"40 cm²\", vent_length = \"18 mm\" }",
    );
    let Back::Vented { vent_area, vent_length, .. } = vented else { panic!("{vented:?}") };
    assert_relative_eq!(vent_area, 4e-3, max_relative = 1e-12);
    assert_relative_eq!(
        vent_length,
        0.018 + 16.0 / 9.424_778 * (4e-3 / std::f64::consts::PI).sqrt(),
        max_relative = 1e-6
    );
    says(&refused(&held("back = { kind = \"wall\" }")), &["`distance` is missing from the back"]);
    says(
        &refused(&held("back = { kind = \"closed\", depth = \"40 mm\", distance = \"60 mm\" }")),
        &["`distance` does not belong to kind = \"closed\"", "possible are depth, loss_factor"],
    );
    says(&refused(&held("back = \"wall\"")), &["\"open\" or \"baffled\""]);
}

#[test]
fn attachments_reach_the_scene() {
    let text = and(
        "[[hang]]\nposition = [\"20 %\", \"510 mm\"]\nkind = \"cord\"\n[[hang]]\nposition = [\"80 %\", \"510 mm\"]\nstiffness = \"1e12 N/m\"\n\
         [[mass]]\nposition = [\"70 %\", \"30 %\"]\nmass = \"12 g\"\n\
         [[patch]]\ncorner = [\"30 %\", \"25 %\"]\nwidth = \"150 mm\"\nheight = \"100 mm\"\nsheet = \"butyl damping sheet\"\nthickness = \"2 mm\"\n\
         [[bar]]\nfrom = [\"10 %\", \"50 %\"]\nto = [\"90 %\", \"50 %\"]\nwidth = \"10 mm\"\nheight = \"6 mm\"\nmaterial = \"balsa\"",
    );
    let case = case(&text);
    let fixed = &case.scene.attachments;
    assert_eq!((fixed.hangs[0].stiffness, fixed.hangs[0].loss_factor), (20.0, 0.05));
    assert_eq!(fixed.hangs[1].stiffness, 1e12);
    assert_relative_eq!(fixed.masses[0].mass, 0.012, max_relative = 1e-12);
    let patch = &fixed.patches[0];
    assert_relative_eq!(patch.surface_mass, 3.2, max_relative = 1e-9);
    // 0.3 GPa / (1 − 0.16) · (4³ − 2³) mm³ / 3.
    assert_relative_eq!(patch.stiffness, 0.3e9 / 0.84 * 56e-9 / 3.0, max_relative = 1e-9);
    let bar = &fixed.bars[0];
    assert_relative_eq!(bar.stiffness, 3.4e9 * 1680e-12, max_relative = 1e-9);
    assert_relative_eq!(bar.line_mass, 160.0 * 60e-6, max_relative = 1e-9);
    let facts: Vec<_> = describe(&case).into_iter().map(|f| f.subject).collect();
    for subject in ["hang", "mass", "patch", "bar", "back", "spread"] {
        assert!(facts.contains(&subject), "{subject}");
    }
}

#[test]
fn attachments_that_cannot_be() {
    says(
        &refused(&and("[[hang]]\nposition = [\"20 %\", \"530 mm\"]\nkind = \"cord\"")),
        &["\"hang 1\" is off the panel", "the point must lie on it"],
    );
    says(
        &refused(&and("[[hang]]\nposition = [\"20 %\", \"510 mm\"]")),
        &["`stiffness` is missing from the hang", "kind = \"cord\""],
    );
    says(
        &refused(&and("[[hang]]\nposition = [\"20 %\", \"510 mm\"]\nstiffness = \"1e13 N/m\"")),
        &["too large"],
    );
    says(
        &refused(&and("[[hang]]\nposition = [\"20 %\", \"510 mm\"]\nkind = \"cort\"")),
        &["did you mean \"cord\"?"],
    );
    let patch = "[[patch]]\ncorner = [\"30 %\", \"25 %\"]\nwidth = \"750 mm\"\nheight = \"100 mm\"\nsheet = \"butyl\"\nthickness = \"2 mm\"";
    says(&refused(&and(patch)), &["\"patch 1\" reaches over the panel's edge"]);
    let bar = "[[bar]]\nfrom = [\"10 %\", \"50 %\"]\nto = [\"10 %\", \"50 %\"]\nwidth = \"10 mm\"\nheight = \"6 mm\"\nmaterial = \"balsa\"";
    says(&refused(&and(bar)), &["\"bar 1\" has no length"]);
    let hole = "[[panel.cutout]]\ncentre = [\"300 mm\", \"50 %\"]\ndiameter = \"60 mm\"\n";
    let across = bar.replace("to = [\"10 %\"", "to = [\"90 %\"");
    says(
        &refused(&and(&format!("{hole}{across}"))),
        &["\"bar 1\" crosses a place where there is no panel", "none at 27", "two bars"],
    );
    assert!(case(&and(&across)).scene.attachments.bars.len() == 1);
    let heavy = case(&and("[[mass]]\nposition = [\"70 %\", \"30 %\"]\nmass = \"2 kg\""));
    assert!(
        heavy.warnings[0].message.contains("the masses are heavier than the panel: 2000 g on 711 g"),
        "{:?}",
        heavy.warnings
    );
}

#[test]
fn spread_follows_the_materials_unless_it_is_given() {
    let spread = case(SMALL).scene.spread;
    assert_eq!((spread.samples, spread.position), (64, 2e-3));
    // Poplar plywood: 5 to 9 GPa about 7, and hardly anything from Poisson's ratio.
    assert_relative_eq!(spread.along_x.low, 5.0 / 7.0, max_relative = 1e-2);
    assert_relative_eq!(spread.along_x.high, 9.0 / 7.0, max_relative = 1e-2);
    assert_relative_eq!(spread.surface_mass.high, 550.0 / 450.0, max_relative = 1e-9);
    assert_relative_eq!(spread.shear.low, 60.0 / 110.0, max_relative = 1e-9);
    assert_eq!((spread.thickness.range.low, spread.thickness.range.high), (0.97, 1.03));
    let given = case(&and("[spread]\nsamples = 0\nstiffness = \"15 %\"\nmass = \"5 %\"\nloss_factor = 2\nsupports = 3\nposition = \"0 mm\"")).scene.spread;
    assert_eq!((given.samples, given.along_y.low, given.along_y.high), (0, 0.85, 1.15));
    assert_eq!((given.surface_mass.high, given.loss.low, given.supports.high), (1.05, 0.5, 3.0));
    // A turned grain turns the spread.
    let turned = case(&of(&format!("{SHEET}grain = \"vertical\"\n"))).scene.spread;
    assert_eq!((turned.along_x, turned.along_y), (spread.along_y, spread.along_x));
    says(&refused(&and("[spread]\nloss_factor = 0.5")), &["`loss_factor` cannot be 0.5", "from 1 to 10"]);
}

#[test]
fn stiffness_and_mass_follow_the_thickness() {
    let thickness = |text: &str| case(text).scene.spread.thickness;
    let plain = thickness(&and("[spread]\nthickness = \"5 %\""));
    assert_eq!((plain.range.low, plain.range.high), (0.95, 1.05));
    for (exponent, of_a_sheet) in plain.stiffness.into_iter().zip([3.0, 3.0, 3.0, 1.0]) {
        assert_relative_eq!(exponent, of_a_sheet, max_relative = 1e-9);
    }
    assert_relative_eq!(plain.surface_mass, 1.0, max_relative = 1e-9);
    // Glue weighs what it weighs: XPS of 10 mm 330 g, two papers 350 g, glue 160 g for each square metre.
    let sandwich = "skin = { material = \"kraft paper\", thickness = \"0.25 mm\" }\ncore = { material = \"XPS foam\", thickness = \"10 mm\" }\nglue = \"80 g/m²\"";
    let papered = thickness(&of(&format!("[panel.sandwich]\n{sandwich}\n")));
    assert_relative_eq!(papered.surface_mass, 0.68 / 0.84, max_relative = 1e-3);
    assert_relative_eq!(papered.stiffness[0], 3.0, max_relative = 1e-9);
    says(&refused(&and("[spread]\nthickness = \"60 %\"")), &["`thickness` cannot be \"60 %\""]);
}

#[test]
fn a_floor_lies_below_the_panel() {
    let floor = case(&and("[room]\nfloor = \"1.2 m\"")).scene.receivers.floor;
    assert_eq!(floor, Some(Floor { y: -1.2, reflection: 0.9 }));
    assert_eq!(case(SMALL).scene.receivers.floor, None);
}

#[test]
fn a_stack_is_described_layer_by_layer() {
    let case = case(&of(SANDWICH));
    let facts: Vec<_> = describe(&case)
        .into_iter()
        .filter(|f| matches!(f.subject, "panel" | "layer"))
        .map(|f| f.text)
        .collect();
    insta::assert_snapshot!(facts.join("\n"), @r"
    760 × 520 mm, 10.6 mm in 5 layers, 2.30 kg/m², 0.91 kg, loss factor 0.001
    0.3 mm aluminium
    100 g/m² of paint, paper or glue
    10 mm aramid honeycomb, grain vertical
    100 g/m² of paint, paper or glue
    0.3 mm aluminium
    ");
}
