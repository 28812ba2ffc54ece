//! Which finding of a blend goes where in `blend.h5`.

use super::layout::warnings;
use super::node::{DB_SPL, FREQUENCIES, Node, over, piled, stack, stack_complex};
use ndarray::{Array1, Array2, Array4};
use num_complex::Complex64;
use panelwright_solver::blend::{BlendFindings, Blended};
use panelwright_solver::listening::{BlendedAt, PartAt};

const NAMES: &str = "/surrounds/name";
const SEATS: &str = "/seats/name";

/// Writes everything under `root`.
pub(super) fn findings(root: &Node, f: &BlendFindings) -> hdf5::Result<()> {
    let meaning = over(&["frequency"], "Hz", "Frequencies of every curve.");
    root.array("frequencies", &Array1::from_vec(f.frequencies.clone()), meaning)?;
    let meaning =
        over(&["angle"], "rad", "Angles from the panel's axis; positive to the listener's right, or up.");
    root.array("angles", &Array1::from_vec(f.angles.clone()), meaning)?;
    let meaning = over(&["part"], "", "The parts: the panel, then the drivers.");
    root.texts("parts", f.parts.iter().map(String::as_str), meaning)?;
    let meaning = over(&["sentence"], "", "The result in plain words.");
    root.texts("summary", f.summary.iter().map(String::as_str), meaning)?;
    warnings(root, &f.warnings)?;
    let seats = root.child("seats", "Listening points.")?;
    let names = f.surrounds.first().map_or(&[][..], |blended| &blended.seats);
    seats.texts(
        "name",
        names.iter().map(|seat| seat.seat.as_str()),
        over(&["seat"], "", "Names of the seats."),
    )?;
    let node = root.child(
        "surrounds",
        "Panel and drivers with every surround of a driver, the other drivers with their first.",
    )?;
    let names = f.surrounds.iter().map(|blended| blended.surround.as_str());
    node.texts("name", names, over(&["surround"], "", "Names of the surrounds."))?;
    heard(&node, f)?;
    far(&node, f)?;
    averaged(&node, f)
}

fn heard(node: &Node, f: &BlendFindings) -> hdf5::Result<()> {
    let curve = &[NAMES, SEATS, FREQUENCIES];
    let sums = |blended: &Blended| {
        stack_complex(
            &blended.seats.iter().map(|seat| seat.pressure.as_slice()).collect::<Vec<&[Complex64]>>(),
        )
    };
    let sums: Vec<_> = f.surrounds.iter().map(sums).collect();
    node.array(
        "pressure",
        &piled(&sums),
        over(curve, "Pa", "Complex RMS pressure of the sum, time of flight included."),
    )?;
    type Values = (&'static str, fn(&BlendedAt) -> &[f64], &'static str, &'static str);
    let values: [Values; 3] = [
        ("level", |seat| &seat.level, DB_SPL, "Level of the sum."),
        ("phase", |seat| &seat.phase, "rad", "Phase of the sum without the time of the first arrival."),
        ("group_delay", |seat| &seat.group_delay, "s", "Group delay of the sum beyond the first arrival."),
    ];
    for (name, values, unit, description) in values {
        let of = |blended: &Blended| stack(&blended.seats.iter().map(values).collect::<Vec<_>>());
        let all: Vec<Array2<f64>> = f.surrounds.iter().map(of).collect();
        node.array(name, &piled(&all), over(curve, unit, description))?;
    }
    parts(node, f)
}

/// What every part does through its channel.
fn parts(node: &Node, f: &BlendFindings) -> hdf5::Result<()> {
    type Values = (&'static str, fn(&PartAt) -> &[f64], &'static str, &'static str);
    let values: [Values; 3] = [
        ("part_level", |part| &part.level, DB_SPL, "Level of every part through its channel."),
        ("part_share", |part| &part.share, "dB", "That level minus the level of the sum."),
        (
            "part_against_panel",
            |part| &part.against_first,
            "rad",
            "Phase of every part minus that of the panel.",
        ),
    ];
    let dimensions = &[NAMES, SEATS, "/parts", FREQUENCIES];
    let seats = f.surrounds.first().map_or(0, |blended| blended.seats.len());
    let shape = (f.surrounds.len(), seats, f.parts.len(), f.frequencies.len());
    for (name, values, unit, description) in values {
        let at = |(set, seat, part, i): (usize, usize, usize, usize)| {
            values(&f.surrounds[set].seats[seat].parts[part])[i]
        };
        node.array(name, &Array4::from_shape_fn(shape, at), over(dimensions, unit, description))?;
    }
    Ok(())
}

fn far(node: &Node, f: &BlendFindings) -> hdf5::Result<()> {
    let dimensions = &[NAMES, FREQUENCIES, "/angles"];
    type Arc = (&'static str, fn(&Blended) -> &Array2<f64>, &'static str);
    let arcs: [Arc; 2] = [
        (
            "far_horizontal",
            |blended| &blended.horizontal,
            "Level of the sum far away over the horizontal arc, as at 1 m.",
        ),
        (
            "far_vertical",
            |blended| &blended.vertical,
            "Level of the sum far away over the vertical arc, as at 1 m.",
        ),
    ];
    for (name, values, description) in arcs {
        let all: Vec<_> = f.surrounds.iter().map(|blended| values(blended).clone()).collect();
        node.array(name, &piled(&all), over(dimensions, DB_SPL, description))?;
    }
    Ok(())
}

fn averaged(node: &Node, f: &BlendFindings) -> hdf5::Result<()> {
    let dimensions = &[NAMES, FREQUENCIES];
    let before: Vec<&[f64]> = f.surrounds.iter().map(|blended| blended.averaged.as_slice()).collect();
    let advised =
        |blended: &Blended| blended.advice.as_ref().map_or_else(Vec::new, |advice| advice.averaged.clone());
    let after: Vec<Vec<f64>> = f.surrounds.iter().map(advised).collect();
    let after: Vec<&[f64]> = after.iter().map(Vec::as_slice).collect();
    let words = "Level of the energy averaged over the seats, smoothed to a sixth of an octave";
    node.array("averaged", &stack(&before), over(dimensions, DB_SPL, &format!("{words}.")))?;
    node.array(
        "averaged_advised",
        &stack(&after),
        over(dimensions, DB_SPL, &format!("{words}, with the advised crossover.")),
    )
}
