use super::*;
use toml::de::DeTable;

const TEXT: &str = "[panel]
width = \"760 mm\"  # across
thickness = \"4 mm\"
material = \"poplar plywood\"
loss_factor = 0.03
edges = { all = \"free\" }
[[exciter]]
name = \"left\"
position = [\"38 %\", \"290 mm\"]
[[seat]]
name = \"window table\"
in_front = \"2 m\"
[[seat]]
in_front = \"3 m\"
";

fn slot(path: &str) -> Result<Slot, String> {
    find(DeTable::parse(TEXT).expect("sound").get_ref(), path)
}

#[test]
fn paths_lead_to_values_by_name_number_and_coordinate() {
    for (path, now) in [
        ("panel.width", "760 mm"),
        ("panel.loss_factor", "0.03"),
        ("panel.edges.all", "free"),
        ("exciter.left.position.from_left", "38 %"),
        ("exciter.1.position.from_bottom", "290 mm"),
        ("seat.\"window table\".in_front", "2 m"),
        ("seat.2.in_front", "3 m"),
    ] {
        assert_eq!(slot(path).map(|slot| slot.now), Ok(now.to_owned()), "{path}");
    }
}

#[test]
fn a_path_that_goes_astray_says_where_and_what_would_do() {
    for (path, told) in [
        ("pannel.width", "did you mean `panel`?"),
        ("panel.height", "write it there, with its usual value"),
        ("panel", "go on with one of its keys"),
        ("panel.width.mm", "is one value"),
        ("exciter.right.position", "no exciter is called `right`: there are \"left\""),
        ("exciter.left.position", "`from_left` or `from_bottom`"),
        ("exciter.left.position.x", "`from_left` or `from_bottom`"),
        ("seat.3.in_front", "there are \"window table\""),
        ("seat.\"window table", "a quote is not closed"),
        ("panel..width", "a step of the path is empty"),
        ("panel.", "ends with a point"),
    ] {
        let told_now = slot(path).expect_err(path);
        assert!(told_now.contains(told), "{path}: {told_now}");
    }
}

#[test]
fn exchanged_values_keep_everything_else_of_the_file() {
    let width = slot("panel.width").expect("is there");
    let loss = slot("panel.loss_factor").expect("is there");
    let made = exchanged(TEXT, [(&loss, "0.05"), (&width, "800 \"mm")]);
    assert_eq!(made, TEXT.replace("\"760 mm\"", "'800 \"mm'").replace("0.03", "0.05"));
    assert_eq!(exchanged(TEXT, []), TEXT);
}

#[test]
fn values_are_judged_by_what_may_stand_there() {
    let at = |path: &str| slot(path).expect("is there");
    assert_eq!(at("panel.thickness").read("3.5 mm"), Ok(Some(3.5e-3)));
    assert_eq!(at("exciter.left.position.from_left").read("40 %"), Ok(Some(0.4)));
    assert_eq!(at("panel.edges.all").read("clamped"), Ok(None));
    for (path, text, told) in [
        ("panel.thickness", "3.5", "the unit is missing"),
        ("panel.thickness", "3 m", "this key takes values"),
        ("panel.edges.all", "glued", "\"clamped\""),
        ("panel.loss_factor", "3 %", "bare number"),
    ] {
        let told_now = at(path).read(text).expect_err(text);
        assert!(told_now.contains(told), "{told_now}");
    }
}
