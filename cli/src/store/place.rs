//! Which finding of a search for places goes where in `places.h5`.

use super::layout::warnings;
use super::node::{DB_SPL, Node, over, stack};
use ndarray::{Array1, Array2, Array3};
use panelwright_solver::place::{Arrangement, Count, ExciterPlaces, SeatCurves};
use panelwright_solver::search::exciters::Scores;

const PLACES: &str = "/exciters/places/position";
const NAMES: &str = "/exciters/name";
const FREQUENCIES: &str = "/exciters/frequencies";

/// Writes everything of exciters under `root`.
pub(super) fn exciters(root: &Node, f: &ExciterPlaces) -> hdf5::Result<()> {
    let meaning = over(&["frequency"], "Hz", "Frequencies of every curve, those that are judged.");
    root.array("frequencies", &Array1::from_vec(f.frequencies.clone()), meaning)?;
    let meaning = over(&["sentence"], "", "The result in plain words.");
    root.texts("summary", f.summary.iter().map(String::as_str), meaning)?;
    warnings(root, &f.warnings)?;
    root.text("channel", &f.channel, "Name of the channel whose exciters are placed.")?;
    let names = f.exciters.iter().map(String::as_str);
    root.texts("name", names, over(&["exciter"], "", "Names of the exciters."))?;
    root.number("foot", f.foot, "m", "Diameter of the feet.")?;
    root.number("step", f.step, "m", "Distance of neighbouring places.")?;
    root.number("clearance", f.clearance, "m", "Least distance of a foot's ring from what is beside it.")?;
    root.number("apart", f.apart, "m", "Least distance of the centres of two exciters.")?;
    places(&root.child("places", "Every place, one exciter alone on the channel.")?, f)?;
    let compared = root.child("arrangements", "The exciters of the case together, by the search.")?;
    let named = [("now", Some(&f.now)), ("best", Some(&f.best)), ("by_rule", f.by_rule.as_ref())];
    for (name, arrangement) in named {
        let Some(arrangement) = arrangement else { continue };
        let about = match name {
            "now" => "Where the exciters are.",
            "best" => "Where they should be.",
            _ => "The best that rules of thumb allow.",
        };
        arrangements(&compared.child(name, about)?, std::slice::from_ref(arrangement))?;
    }
    let counts = root.child("counts", "What so many exciters can do, by the search.")?;
    f.counts.iter().try_for_each(|count| counted(&counts, count))?;
    whole(&root.child("whole", "The same by whole predictions.")?, f)
}

fn places(node: &Node, f: &ExciterPlaces) -> hdf5::Result<()> {
    let position = Array2::from_shape_fn((f.places.len(), 2), |(i, k)| f.places[i].position[k]);
    node.array("position", &position, over(&["place", "x, y"], "m", "Centre of the foot."))?;
    let all: Vec<Scores> = f.places.iter().map(|place| place.scores).collect();
    let costs: Vec<f64> = f.places.iter().map(|place| place.cost).collect();
    scores(node, &all, &costs, PLACES)?;
    if f.partners.is_empty() {
        return Ok(());
    }
    let rows: Vec<&[f64]> = f.partners.iter().map(Vec::as_slice).collect();
    let about =
        "Cost of an exciter at every place while the others are at the best ones; NaN too near to them.";
    node.array("cost_beside_the_others", &stack(&rows), over(&[NAMES, PLACES], "dB", about))
}

fn scores(node: &Node, all: &[Scores], costs: &[f64], rows: &str) -> hdf5::Result<()> {
    type Value = (&'static str, fn(&Scores) -> f64, &'static str, &'static str);
    let values: [Value; 6] = [
        ("evenness", |s| s.evenness, "dB", "Standard deviation of the third-octave level, over the seats."),
        (
            "low_end",
            |s| s.extension.unwrap_or(f64::NAN),
            "Hz",
            "Lower limit of the usable band; NaN without one.",
        ),
        ("level", |s| s.sensitivity, DB_SPL, "Mean third-octave level at the seats, 200 Hz to 4 kHz."),
        ("coverage", |s| s.coverage, "1", "Share of the modes that are driven well."),
        ("dips", |s| s.dips, "1", "Dips per seat."),
        ("robustness", |s| s.robustness.unwrap_or(f64::NAN), "dB", "Evenness lost 5 mm off; NaN if unknown."),
    ];
    for (name, value, unit, about) in values {
        let column = Array1::from_iter(all.iter().map(value));
        node.array(name, &column, over(&[rows], unit, about))?;
    }
    let costs = Array1::from_vec(costs.to_vec());
    node.array("cost", &costs, over(&[rows], "dB", "Weighted cost; less is better."))
}

fn counted(node: &Node, count: &Count) -> hdf5::Result<()> {
    let name = format!("{}", count.exciters);
    let node = node.child(&name, &format!("{} together.", count.exciters))?;
    arrangements(&node.child("different", "The best that differ clearly from each other.")?, &count.best)?;
    match count.list.is_empty() {
        true => Ok(()),
        false => arrangements(&node.child("list", "The best of all.")?, &count.list),
    }
}

fn arrangements(node: &Node, list: &[Arrangement]) -> hdf5::Result<()> {
    let exciters = list.first().map_or(0, |arrangement| arrangement.positions.len());
    let position = Array3::from_shape_fn((list.len(), exciters, 2), |(i, j, k)| list[i].positions[j][k]);
    node.array(
        "position",
        &position,
        over(&["arrangement", "exciter", "x, y"], "m", "Centres of the feet."),
    )?;
    let all: Vec<Scores> = list.iter().map(|arrangement| arrangement.scores).collect();
    let costs: Vec<f64> = list.iter().map(|arrangement| arrangement.cost).collect();
    scores(node, &all, &costs, "arrangement")
}

fn whole(node: &Node, f: &ExciterPlaces) -> hdf5::Result<()> {
    let seats = f.whole.seats.iter().map(|seat| seat.seat.as_str());
    node.texts("seat", seats, over(&["seat"], "", "Names of the seats."))?;
    type Values = (&'static str, fn(&SeatCurves) -> &[f64], &'static str);
    let curves: [Values; 2] = [
        ("level_now", |seat| &seat.now, "Level with the exciters where they are."),
        ("level_best", |seat| &seat.best, "Level with the exciters where they should be."),
    ];
    for (name, values, about) in curves {
        let rows: Vec<&[f64]> = f.whole.seats.iter().map(values).collect();
        node.array(name, &stack(&rows), over(&["/exciters/whole/seat", FREQUENCIES], DB_SPL, about))?;
    }
    for (name, found) in [("now", f.whole.now), ("best", f.whole.best)] {
        let node = node.child(name, "Scores of the whole prediction.")?;
        let cost = f.weights.cost(&found, f.frequencies.last().copied().unwrap_or(0.0));
        scores(&node, &[found], &[cost], "arrangement")?;
    }
    Ok(())
}
