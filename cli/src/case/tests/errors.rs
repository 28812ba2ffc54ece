//! One test for each kind of mistake: what is said, where it points, what to write instead.

use super::{SMALL, read, refused, shown};
use crate::case::load;

/// The small case with one change, which must be refused, as shown.
fn change(from: &str, to: &str) -> String {
    assert!(SMALL.contains(from), "the small case has no {from}");
    refused(&SMALL.replacen(from, to, 1))
}

/// Asserts that exactly one problem is shown, and that `parts` stand in it.
#[track_caller]
pub fn says(shown: &str, parts: &[&str]) {
    assert!(shown.contains("my.toml: 1 problem\n"), "not exactly one problem:\n{shown}");
    // The width of the page breaks lines; sentences are compared without it.
    let plain = unbroken(shown);
    for part in parts {
        assert!(plain.contains(part), "\"{part}\" is not in:\n{shown}");
    }
}

fn unbroken(shown: &str) -> String {
    shown.split_whitespace().filter(|w| *w != "│").collect::<Vec<_>>().join(" ")
}

#[test]
fn a_problem_is_shown_in_its_line_with_pointer_reason_and_remedy() {
    let expected = r#"
  × my.toml: 1 problem

Error: 
  × `thickness` needs a length, not "4 V"
   ╭─[my.toml:4:13]
 3 │ height = "520 mm"
 4 │ thickness = "4 V"
   ·             ──┬──
   ·               ╰── "V" is a unit of a voltage
 5 │ material = "poplar plywood"
   ╰────
  help: write for example thickness = "4 mm"; units are m, km, cm, mm, µm, nm, in, ft
"#;
    assert_eq!(change("\"4 mm\"", "\"4 V\"").trim(), expected.trim());
}

#[test]
fn all_problems_are_shown_at_once_in_the_order_of_the_lines() {
    let text = SMALL.replace("\"4 mm\"", "4").replace("poplar", "popler").replace("\"1.6 g\"", "\"-1.6 g\"");
    let problems = read(&text).expect_err("three mistakes");
    assert_eq!(problems.to_string(), "my.toml: 3 problems");
    let messages: Vec<_> = problems.list().iter().map(|p| p.message.as_str()).collect();
    assert_eq!(
        messages,
        [
            "`thickness` has no unit",
            "no material is called \"popler plywood\"",
            "`moving_mass` cannot be \"-1.6 g\""
        ]
    );
}

#[test]
fn a_bare_number_where_a_unit_is_needed() {
    says(&change("\"760 mm\"", "760"), &["[my.toml:2:9]", "`width` has no unit", "width = \"760 mm\""]);
    says(&change("\"760 mm\"", "\"760\""), &["the unit is missing", "write width = \"760 mm\""]);
    says(&change("\"3.6 Ω\"", "3.6"), &["a resistance of which unit?", "coil_resistance = \"3.6 Ω\""]);
}

#[test]
fn wrong_units() {
    says(&change("\"3.2 N/A\"", "\"3.2 Nm\""), &["unknown unit \"Nm\"", "force_factor = \"3.2 N/A\""]);
    says(&change("\"1.6 g\"", "\"1.6 mm\""), &["needs a mass", "\"mm\" is a unit of a length", "\"1.6 g\""]);
    says(&change("\"25 mm\"", "\"25 MM\""), &["did you mean \"25 mm\"?"]);
    says(&change("\"9 N/mm\"", "\"0.1 mm/N\""), &["a compliance", "suspension_stiffness = \"10 N/mm\""]);
}

#[test]
fn numbers_written_in_other_ways() {
    says(&change("\"3.6 Ω\"", "\"3,6 Ω\""), &["a comma in the number", "coil_resistance = \"3.6 Ω\""]);
    says(&change("\"760 mm\"", "\"1 200 mm\""), &["a space inside the number", "without spaces"]);
    says(&change("\"760 mm\"", "\"wide\""), &["does not start with a number", "width = \"760 mm\""]);
    says(&change("\"760 mm\"", "\"1e999 mm\""), &["the number is too large"]);
}

#[test]
fn wrong_types() {
    says(&change("\"760 mm\"", "true"), &["must be a length with its unit", "this is true or false"]);
    says(&change("\"760 mm\"", "[1]"), &["this is a list"]);
    says(&change("\"760 mm\"", "1979-05-27"), &["this is a date"]);
    says(&change("\"760 mm\"", "{ a = 1 }"), &["this is a table"]);
    says(&change("\"poplar plywood\"", "4"), &["a name in quotes, such as \"poplar plywood\", or a table"]);
    let factor = "material = \"poplar plywood\"\nloss_factor = \"0.02\"";
    says(&change("material = \"poplar plywood\"", factor), &["without quotes or unit: loss_factor = 0.03"]);
    says(&change("[[exciter]]", "[exciter]"), &["write double brackets, [[exciter]]"]);
    says(&change("[panel]", "[[panel]]"), &["write single brackets, [panel]"]);
}

#[test]
fn unknown_keys_and_tables() {
    let with = |line: &str| change("thickness = \"4 mm\"", &format!("thickness = \"4 mm\"\n{line}"));
    says(&with("edgse = { all = \"free\" }"), &["the panel has no key `edgse`", "did you mean `edges`?"]);
    says(&with("Loss-Factor = 0.02"), &["did you mean `loss_factor`?"]);
    says(&with("foo = 1"), &["possible keys are shape, width, height, corner_radius"]);
    says(
        &change("name = \"one\"", "gain = \"3 dB\""),
        &["the exciter has no key `gain`", "`gain` belongs in [[channel]]"],
    );
    says(&with("temperature = \"20 °C\""), &["`temperature` belongs in [room]"]);
    says(&refused(&format!("{SMALL}[rooms]\n")), &["the case has no key `rooms`", "did you mean `room`?"]);
}

#[test]
fn missing_keys() {
    says(
        &change("magnet_mass = \"62 g\"\n", ""),
        &["[my.toml:7:1]", "`magnet_mass` is missing from the exciter", "add a line: magnet_mass = \"60 g\""],
    );
    says(&refused("title = \"x\"\n"), &["`panel` is missing from the case", "add a table [panel]"]);
}

#[test]
fn sizes_nobody_means() {
    says(&change("\"760 mm\"", "\"760 m\""), &["too large", "did you mean \"760 mm\"?", "20 mm to 5000 mm"]);
    says(&change("\"4 mm\"", "\"0 mm\""), &["`thickness` cannot be \"0 mm\"", "zero"]);
    says(&change("\"1.6 g\"", "\"-1.6 g\""), &["negative", "more than 0 g and at most 500 g"]);
    says(&change("\"62 g\"", "\"62 kg\""), &["did you mean \"62 g\"?"]);
}

#[test]
fn unknown_materials() {
    says(&change("poplar plywood", "popler plywod"), &["did you mean \"poplar plywood\"?"]);
    says(&change("poplar plywood", "moon rock"), &["`panelwright materials` lists them", "[panel.material]"]);
    says(
        &change("poplar plywood", "PU foam tape"),
        &[
            "\"PU foam tape\" does not fit `material` of the panel",
            "this is a tape for edges",
            "left = { tape = … } in [panel.edges]",
        ],
    );
    says(
        &change("poplar plywood", "honeycomb"),
        &["this is a core without stiffness", "core = … in [panel.sandwich]"],
    );
}

/// The small case with a material of its own.
fn own(figures: &str) -> String {
    SMALL.replace(
        "material = \"poplar plywood\"",
        &format!("[panel.material]\ndensity = \"450 kg/m³\"\n{figures}"),
    )
}

const GRAIN: &str = "along_grain = \"7 GPa\"\nacross_grain = \"2.5 GPa\"\n";

#[test]
fn materials_that_cannot_be() {
    let sheared = format!("{GRAIN}shear_modulus = \"450 MPa\"\n");
    assert!(read(&own(&format!("{sheared}poisson_ratio = 0.05"))).is_ok());
    says(
        &refused(&own(&format!("{sheared}poisson_ratio = 1.8"))),
        &[
            "a Poisson's ratio of 1.8 makes the stiffness indefinite",
            "1 − ν₁₂ν₂₁ = -0.157, must be positive",
            "must stay below √(along / across) = 1.673",
        ],
    );
    says(
        &refused(&own("youngs_modulus = \"70 GPa\"\npoisson_ratio = 0.6")),
        &["must lie between −1 and 0.5"],
    );
    says(&refused(&own(GRAIN)), &["needs its `shear_modulus`", "shear_modulus = \"450 MPa\""]);
    says(&refused(&own("")), &["the material's stiffness is missing", "youngs_modulus = \"70 GPa\""]);
    says(&refused(&own("across_grain = \"1 GPa\"")), &["add a line along_grain"]);
    let both = format!("youngs_modulus = \"7 GPa\"\n{GRAIN}");
    says(&refused(&own(&both)), &["which one holds?", "keep `youngs_modulus`, or `along_grain`"]);
    let lossy = "youngs_modulus = \"7 GPa\"\nloss_factor = -0.1";
    says(&refused(&own(lossy)), &["`loss_factor` cannot be -0.1", "negative", "more than 0 and at most 1"]);
}

#[test]
fn exciters_off_the_panel() {
    says(
        &change("[\"40 %\", \"210 mm\"]", "[\"800 mm\", \"210 mm\"]"),
        &[
            "\"one\" is off the panel",
            "800 mm from the left, 210 mm from the bottom",
            "the panel is 760 mm wide and 520 mm high; keep the centre at least 12.5 mm from every side",
        ],
    );
    says(&change("\"210 mm\"", "\"-1 mm\""), &["\"one\" is off the panel"]);
    says(&change("\"210 mm\"", "\"12 mm\""), &["the foot of \"one\" reaches over the panel's edge"]);
    assert!(read(&SMALL.replace("\"210 mm\"", "\"12.5 mm\"")).is_ok());
}

#[test]
fn positions_written_wrongly() {
    says(
        &change("[\"40 %\", \"210 mm\"]", "[\"40 %\"]"),
        &["has 1 entries instead of two", "from the left, from the bottom"],
    );
    says(&change("\"40 %\"", "40"), &["write \"40 mm\", or \"40 %\" of the panel's side"]);
    says(&change("\"210 mm\"", "210"), &["write \"210 mm\""]);
    says(&change("\"40 %\"", "\"40\""), &["the unit is missing", "\"40 %\" of the panel's side"]);
    says(&change("\"40 %\"", "\"40 g\""), &["neither a length nor a percentage"]);
    says(&change("[\"40 %\", \"210 mm\"]", "\"middle\""), &["must be two distances"]);
}

/// A second exciter beside the small case's.
fn second(name: &str, position: &str) -> String {
    let block = SMALL.split_once("[[exciter]]").expect("has an exciter").1;
    let block = block.replace("\"one\"", name).replace("[\"40 %\", \"210 mm\"]", position);
    format!("{SMALL}[[exciter]]{block}")
}

#[test]
fn feet_on_the_same_spot_are_a_warning() {
    let case = read(&second("\"two\"", "[\"320 mm\", \"210 mm\"]")).expect("can be computed");
    let warnings = shown(&case.warnings_to_show().expect("warns"));
    assert!(unbroken(&warnings).contains("the feet of \"one\" and \"two\" overlap"), "{warnings}");
    assert!(warnings.contains("16 mm apart"), "{warnings}");
    let apart = read(&second("\"two\"", "[\"500 mm\", \"210 mm\"]")).expect("can be computed");
    assert!(apart.warnings.iter().all(|w| !w.message.contains("overlap")));
}

#[test]
fn names_used_twice() {
    says(
        &refused(&second("\"one\"", "[\"70 %\", \"60 %\"]")),
        &[
            "two exciters are called \"one\"",
            "exciter 1 has this name, too",
            "give each exciter its own name",
        ],
    );
    let seats = format!(
        "{SMALL}[[seat]]\nname = \"a\"\nin_front = \"1 m\"\n[[seat]]\nname = \"a\"\nin_front = \"2 m\"\n"
    );
    says(&refused(&seats), &["two seats are called \"a\""]);
}

#[test]
fn channels_that_do_not_fit() {
    let channel = |name: &str| format!("[[channel]]\nname = \"{name}\"\n");
    let on = |channel: &str| format!("{SMALL}channel = \"{channel}\"\n");
    says(
        &refused(&on("left")),
        &["no channel is called \"left\"", "add a table [[channel]] with name = \"left\""],
    );
    says(&refused(&(on("lefft") + &channel("left"))), &["did you mean \"left\"?"]);
    says(&refused(&(on("sub") + &channel("left"))), &["the case has \"left\""]);
    let two = SMALL.to_owned() + &channel("left") + &channel("right");
    says(&refused(&two), &["which channel drives this exciter?", "channel = \"left\" or \"right\""]);
    let idle = on("left") + &channel("left") + &channel("right");
    says(&refused(&idle), &["channel \"right\" drives no exciter", "add channel = \"right\""]);
    assert!(read(&(on("left") + &channel("left"))).is_ok());
    assert_eq!(read(&format!("channel = []\n{SMALL}")).expect("as if absent").scene.channels.len(), 1);
}

#[test]
fn a_low_load_is_a_warning() {
    let case = read(&second("\"two\"", "[\"70 %\", \"60 %\"]")).expect("can be computed");
    let warnings = unbroken(&shown(&case.warnings_to_show().expect("warns")));
    assert!(warnings.contains("channel \"amplifier\" sees a DC resistance of only 1.8 Ω"), "{warnings}");
    assert!(warnings.contains("4 Ω or more of nominal load"), "{warnings}");
}

#[test]
fn frequency_ranges() {
    let range = |text: &str| refused(&format!("{SMALL}[range]\n{text}\n"));
    says(
        &range("from = \"1 kHz\"\nto = \"500 Hz\""),
        &["upside down", "write from = \"500 Hz\", to = \"1000 Hz\""],
    );
    says(&range("from = \"1 kHz\"\nto = \"1 kHz\""), &["`to` must be higher than `from`"]);
    says(&range("to = \"25 kHz\""), &["too large", "hearing ends at 20 kHz"]);
    says(
        &range("from = \"999 Hz\"\nto = \"999.1 Hz\""),
        &["no frequency lies in the range", "widen the range"],
    );
    says(&range("per_octave = 1"), &["`per_octave` cannot be 1", "from 3 to 384"]);
    says(&range("per_octave = 12.5"), &["must be a whole number, such as 48"]);
}

#[test]
fn seats_where_nobody_sits() {
    let seat = |text: &str| refused(&format!("{SMALL}[[seat]]\n{text}\n"));
    says(&seat("in_front = \"-1 m\""), &["`in_front` cannot be \"-1 m\"", "heard from its front"]);
    says(&seat("in_front = \"0 m\""), &["zero", "heard from its front"]);
    says(&seat("in_front = \"10 mm\""), &["too small", "nearer than 20 mm is the map's business"]);
    says(&seat("name = \"sofa\""), &["`in_front` is missing from the seat", "in_front = \"2.4 m\""]);
}

#[test]
fn maps_with_too_many_microphones() {
    let map = "[map]\nmargin = \"10 m\"\nspacing = \"10 mm\"\n";
    says(&refused(&format!("{SMALL}{map}")), &["microphones", "write a spacing of 93 mm or more"]);
}

#[test]
fn words_that_are_not_choices() {
    let with = |line: &str| change("thickness = \"4 mm\"", &format!("thickness = \"4 mm\"\n{line}"));
    says(&with("grain = \"horizantal\""), &["did you mean \"horizontal\"?"]);
    says(&with("edges = { left = \"glued\" }"), &["\"free\", \"simply supported\" or \"clamped\""]);
    assert!(
        read(&SMALL.replace("[[exciter]]", "edges = { all = \"Simply-Supported\" }\n[[exciter]]")).is_ok()
    );
    says(&change("\"one\"", "\"  \""), &["`name` is empty", "nothing between the quotes"]);
}

#[test]
fn a_thick_panel_is_a_warning() {
    let case = read(&SMALL.replace("\"4 mm\"", "\"40 mm\"")).expect("can be computed");
    assert!(case.warnings[0].message.contains("its shorter side is 13 times its thickness"));
}

#[test]
fn slips_in_the_toml() {
    let unquoted = change("\"760 mm\"", "760 mm");
    says(
        &unquoted,
        &["this line is not TOML", "values with a unit and names stand in quotes: width = \"760 mm\""],
    );
    let open = change("\"760 mm\"", "\"760 mm");
    says(&open, &["a quote is missing"]);
    says(&change("[panel]", "[panel"), &["lines are `key = value`, `[table]` or `[[table]]`"]);
    let twice = change("width = \"760 mm\"", "width = \"760 mm\"\nwidth = \"76 mm\"");
    says(&twice, &["each key and each [table] may stand once"]);
}

#[test]
fn a_slip_in_the_toml_does_not_hide_other_mistakes() {
    let text = SMALL.replace("\"760 mm\"", "760 mm").replace("\"4 mm\"", "\"4 V\"");
    let shown = refused(&text);
    assert!(shown.contains("my.toml: 2 problems"), "{shown}");
    assert!(shown.contains("needs a length, not \"4 V\""), "{shown}");
}

#[test]
fn a_key_lost_to_a_slip_is_not_called_missing() {
    says(&change("width = \"760 mm\"", "width \"760 mm\""), &["[my.toml:2:", "this line is not TOML"]);
}

#[test]
fn empty_files() {
    for text in ["", "\n\n", "# nothing but a comment\n"] {
        says(&refused(text), &["the file describes nothing", "`panelwright new FILE`"]);
    }
}

#[test]
fn files_that_are_not_cases() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let path = |name: &str| folder.path().join(name);
    std::fs::write(path("tea-room.toml"), "x").expect("writes");
    let said = |name: &str| unbroken(&shown(&load(&path(name)).expect_err("must be refused")));
    assert!(said("tearoom.toml").contains("did you mean"), "{}", said("tearoom.toml"));
    assert!(said("tearoom.toml").contains("tea-room.toml?"));
    assert!(said("other.toml").contains("there is no file"), "{}", said("other.toml"));
    assert!(said("other.toml").contains("panelwright new"));
    assert!(said("").contains("is a folder, not a case file"), "{}", said(""));
    std::fs::write(path("latin.toml"), b"title = \"\xdcber\"\n").expect("writes");
    let latin = said("latin.toml");
    assert!(latin.contains("the file is not UTF-8 text") && latin.contains("latin.toml:1:10"), "{latin}");
    std::fs::File::create(path("large.toml")).and_then(|f| f.set_len(1 << 30)).expect("a sparse file");
    assert!(said("large.toml").contains("is not a case file"));
}
