//! Which finding of a driver's places goes where in `places.h5`.

use super::layout::warnings;
use super::node::{Node, over};
use ndarray::{Array1, Array2};
use panelwright_solver::search::drivers::{DriverPlace, DriverPlaces, DriverScores};

/// What a score is called, its value, unit and meaning.
type Score = (&'static str, fn(&DriverScores) -> f64, &'static str, &'static str);

const SCORES: [Score; 13] = [
    ("cost", |s| s.cost, "dB", "Weighted cost; less is better."),
    (
        "uneven_matched",
        |s| s.matched.unevenness,
        "dB",
        "Unevenness over the seats, delay, gain and polarity matched.",
    ),
    ("delay", |s| s.matched.delay, "s", "Delay of the driver, on top of its channel's, for that."),
    ("gain", |s| s.matched.gain_db, "dB", "Gain of the driver, on top of its channel's, for that."),
    (
        "reversed",
        |s| f64::from(u8::from(s.matched.reversed)),
        "1",
        "1 if its polarity is to be turned round.",
    ),
    ("uneven_as_set", |s| s.as_set, "dB", "Unevenness with the channels of the case as they are."),
    (
        "apart",
        |s| s.apart.unwrap_or(f64::NAN),
        "1",
        "Angle between the centres over the blur of hearing; NaN where one part leads in every band, so that nothing is compared.",
    ),
    (
        "heard_apart",
        |s| s.heard_apart.unwrap_or(f64::NAN),
        "1",
        "Share of the bands in which both play that are heard apart; NaN where there is none.",
    ),
    ("comb", |s| s.comb, "dB", "Ripple that the panel's echo makes in the driver's own response."),
    ("dip_frequency", |s| s.dip[0], "Hz", "Where that takes away most."),
    ("dip_level", |s| s.dip[1], "dB", "How much it takes away there."),
    (
        "shadow",
        |s| s.shadow,
        "dB",
        "By how much the housing changes the panel's own sound, root mean square.",
    ),
    ("shaded", |s| s.shaded, "dB", "What it changes in all; negative where it takes away."),
];

/// Writes everything of the places of drivers, each into a group by its number in the case.
pub(super) fn drivers(root: &Node, all: &[DriverPlaces]) -> hdf5::Result<()> {
    if all.is_empty() {
        return Ok(());
    }
    let drivers = root.child("drivers", "Where to hang the small drivers, each while the others stay.")?;
    all.iter().try_for_each(|found| {
        let name = found.number.to_string();
        driver(&drivers.child(&name, "A small driver.")?, &format!("/drivers/{name}"), found)
    })
}

fn driver(root: &Node, path: &str, f: &DriverPlaces) -> hdf5::Result<()> {
    let meaning = over(&["sentence"], "", "The result in plain words.");
    root.texts("summary", f.summary.iter().map(String::as_str), meaning)?;
    warnings(root, &f.warnings)?;
    root.text("name", &f.driver[0], "Name of the driver.")?;
    root.text("surround", &f.driver[1], "What is around it.")?;
    let others = f.others.iter().map(String::as_str);
    root.texts("others", others, over(&["other"], "", "Names of the drivers that stay and play with it."))?;
    let meaning = over(&["corner"], "Hz", "Corners of its crossovers.");
    root.array("corner", &Array1::from_vec(f.corners.clone()), meaning)?;
    root.number("back", f.heights[0], "m", "From the panel's plane to the back of the driver.")?;
    root.number("front", f.heights[1], "m", "From the panel's plane to the middle of the driver's front.")?;
    let meaning = over(&["frequency"], "Hz", "Frequencies that places are judged at.");
    root.array("frequencies", &Array1::from_vec(f.frequencies.clone()), meaning)?;
    root.array("x", &Array1::from_vec(f.x.clone()), over(&["column"], "m", "Columns of the places."))?;
    root.array("y", &Array1::from_vec(f.y.clone()), over(&["row"], "m", "Rows of the places."))?;
    let places =
        root.child("places", "Every place of the grid; NaN where the driver would stand in another one.")?;
    for (name, value, unit, about) in SCORES {
        let (columns, rows) = (format!("{path}/x"), format!("{path}/y"));
        places.array(name, &f.scored(value), over(&[&columns, &rows], unit, about))?;
    }
    one(&root.child("best", "The best place.")?, &f.best)?;
    one(&root.child("now", "Where the driver hangs in the case.")?, &f.now)?;
    checks(&root.child("checks", "The map beside driver and board computed together.")?, f)
}

fn one(node: &Node, place: &DriverPlace) -> hdf5::Result<()> {
    let position = Array1::from_vec(place.position.to_vec());
    node.array(
        "position",
        &position,
        over(&["x, y"], "m", "Where the driver's axis meets the panel's plane."),
    )?;
    SCORES
        .iter()
        .try_for_each(|(name, value, unit, about)| node.number(name, value(&place.scores), unit, about))
}

fn checks(node: &Node, f: &DriverPlaces) -> hdf5::Result<()> {
    let position = Array2::from_shape_fn((f.checked.len(), 2), |(i, k)| f.checked[i].position[k]);
    node.array("position", &position, over(&["check", "x, y"], "m", "Where."))?;
    let column = |value: fn(&panelwright_solver::search::drivers::Checked) -> f64| {
        Array1::from_iter(f.checked.iter().map(value))
    };
    node.array("frequency", &column(|check| check.frequency), over(&["check"], "Hz", "At which frequency."))?;
    let about = "Difference of the pressures at the seats over that of the driver with nothing behind it.";
    node.array("deviation", &column(|check| check.deviation), over(&["check"], "1", about))
}
