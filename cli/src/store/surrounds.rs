//! Which finding of a comparison of surrounds goes where in `surrounds.h5`.

use super::layout::warnings;
use super::listened::bands;
use super::node::{DB_SPL, FREQUENCIES, Meaning, Node, over, piled, stack, stack_complex};
use ndarray::{Array1, Array2, Array3, Array4, ArrayView3, Axis};
use num_complex::Complex64;
use panelwright_solver::listening::{
    Band, ComputedBand, Extremum, HeardAt, OneSurround, Polar, SurroundFindings, Turn, solid_angles,
};
use panelwright_solver::surrounds::{Comparison, DriverCurves};

const NAMES: &str = "/surrounds/name";
const PLACES: &str = "/places/name";

/// Writes everything under `root`.
pub(super) fn findings(root: &Node, f: &SurroundFindings, comparison: &Comparison) -> hdf5::Result<()> {
    root.array(
        "frequencies",
        &Array1::from_vec(f.frequencies.clone()),
        over(&["frequency"], "Hz", "Frequencies of every curve."),
    )?;
    root.array(
        "angles",
        &Array1::from_vec(comparison.angles.clone()),
        over(&["angle"], "rad", "Angles from the axis; positive to the listener's right, or up."),
    )?;
    root.array(
        "disc_frequencies",
        &Array1::from_vec(comparison.disc_frequencies.clone()),
        over(&["mode"], "Hz", "Natural frequencies of a bending disc; none for other diaphragms."),
    )?;
    root.number("voltage", f.voltage, "V", "RMS voltage of every level.")?;
    root.number(
        "reference",
        f.reference as f64,
        "1",
        "Index of the surround that the others are compared with.",
    )?;
    root.texts(
        "summary",
        f.summary.iter().map(String::as_str),
        over(&["sentence"], "", "The result in plain words."),
    )?;
    warnings(root, &f.warnings)?;
    places(&root.child("places", "Near microphone and seats.")?, f)?;
    let node = root.child("surrounds", "The driver with every surround.")?;
    let names = f.surrounds.iter().map(|one| one.name.as_str());
    node.texts("name", names, over(&["surround"], "", "Names of the surrounds."))?;
    heard(&node, f, comparison)?;
    far(&node, comparison)?;
    driver(&node, f, comparison)?;
    turns(&root.child("dips_and_peaks", "What became of the reference's dips and peaks.")?, f)?;
    computed(&root.child("computed", "How it was computed, band by band.")?, f)?;
    let polars: Vec<&Polar> = f.surrounds.iter().map(|one| &one.polar).collect();
    polar(&root.child("polar", "Polar patterns in third octaves.")?, &polars)?;
    sphere(&root.child("sphere", "All directions round the driver.")?, f, comparison)
}

fn places(node: &Node, f: &SurroundFindings) -> hdf5::Result<()> {
    let Some(first) = f.surrounds.first() else { return Ok(()) };
    let names = first.places.iter().map(|place| place.place.as_str());
    node.texts("name", names, over(&["place"], "", "The near microphone, then the seats."))?;
    let distances: Array1<f64> = first.places.iter().map(|place| place.distance).collect();
    let meaning = over(&[PLACES], "m", "Distance from the middle of the driver's front.");
    node.array("distance", &distances, meaning)
}

/// What arrives at the places.
fn heard(node: &Node, f: &SurroundFindings, comparison: &Comparison) -> hdf5::Result<()> {
    let curve = &[NAMES, PLACES, FREQUENCIES];
    let pressure: Vec<Array2<Complex64>> = comparison.variants.iter().map(|v| pressures(&v.curves)).collect();
    node.array(
        "pressure",
        &piled(&pressure),
        over(
            curve,
            "Pa",
            "Complex RMS pressure without the time of flight from the driver's front: p exp(jkr).",
        ),
    )?;
    type Part = (&'static str, fn(&HeardAt) -> &[f64], &'static str, &'static str);
    let parts: [Part; 3] = [
        ("level", |place| &place.level, DB_SPL, "Level."),
        ("difference", |place| &place.difference, "dB", "Level minus that of the reference."),
        ("group_delay", |place| &place.group_delay, "s", "Group delay beyond the time of flight."),
    ];
    for (name, values, unit, description) in parts {
        node.array(name, &at_places(f, |place| values(place).to_vec()), over(curve, unit, description))?;
    }
    let Some(first) = f.surrounds.first().and_then(|one| one.places.first()) else { return Ok(()) };
    let gains = node.child("third_octaves", "Gains in third octaves.")?;
    let listed: Vec<Band> = first.bands.iter().map(|gain| gain.band).collect();
    bands(&gains, &listed)?;
    let all = at_places(f, |place| place.bands.iter().map(|gain| gain.gain).collect());
    let dimensions = &[NAMES, PLACES, "/surrounds/third_octaves/band_nominal"];
    gains.array("gain", &all, over(dimensions, "dB", "Band level minus that of the reference."))
}

fn pressures(curves: &DriverCurves) -> Array2<Complex64> {
    let rows: Vec<&[Complex64]> =
        std::iter::once(&curves.near).chain(&curves.seats).map(Vec::as_slice).collect();
    stack_complex(&rows)
}

/// Values of every surround at every place.
fn at_places(f: &SurroundFindings, values: impl Fn(&HeardAt) -> Vec<f64>) -> Array3<f64> {
    let of_surround = |one: &OneSurround| {
        let rows: Vec<Vec<f64>> = one.places.iter().map(&values).collect();
        stack(&rows.iter().map(Vec::as_slice).collect::<Vec<_>>())
    };
    piled(&f.surrounds.iter().map(of_surround).collect::<Vec<_>>())
}

/// The complex far field.
fn far(node: &Node, comparison: &Comparison) -> hdf5::Result<()> {
    let dimensions = &[NAMES, FREQUENCIES, "/angles"];
    type Arc = (&'static str, fn(&DriverCurves) -> &Array2<Complex64>, &'static str);
    let arcs: [Arc; 2] = [
        (
            "far_horizontal",
            |curves| &curves.horizontal,
            "Far field r p exp(jkr) over the horizontal arc, complex, RMS.",
        ),
        (
            "far_vertical",
            |curves| &curves.vertical,
            "Far field r p exp(jkr) over the vertical arc, complex, RMS.",
        ),
    ];
    for (name, values, description) in arcs {
        let all: Vec<_> = comparison.variants.iter().map(|variant| values(&variant.curves).clone()).collect();
        node.array(name, &piled(&all), over(dimensions, "Pa m", description))?;
    }
    Ok(())
}

/// The driver itself, and what follows from the far field.
fn driver(node: &Node, f: &SurroundFindings, comparison: &Comparison) -> hdf5::Result<()> {
    let curve = &[NAMES, FREQUENCIES];
    let of = |values: fn(&DriverCurves) -> &[Complex64]| -> Array2<Complex64> {
        stack_complex(&comparison.variants.iter().map(|v| values(&v.curves)).collect::<Vec<_>>())
    };
    node.array(
        "impedance",
        &of(|c| &c.impedance),
        over(curve, "ohm", "Complex impedance at the driver's terminals."),
    )?;
    let power: Vec<&[f64]> = comparison.variants.iter().map(|variant| &variant.curves.power[..]).collect();
    node.array("power", &stack(&power), over(curve, "W", "Sound power."))?;
    type Part = (&'static str, fn(&OneSurround) -> Vec<f64>, &'static str, &'static str);
    let parts: [Part; 5] = [
        ("excursion", |one| one.excursion.clone(), "m", "Peak excursion of the coil."),
        ("power_level", |one| one.power_level.clone(), "dB re 1 pW", "Sound power level."),
        ("directivity_index", |one| one.directivity_index.clone(), "dB", "Directivity index on the axis."),
        (
            "beamwidth_horizontal",
            |one| filled(&one.beamwidth_horizontal),
            "rad",
            "Width at -6 dB; NaN if it does not fall so far.",
        ),
        (
            "beamwidth_vertical",
            |one| filled(&one.beamwidth_vertical),
            "rad",
            "Width at -6 dB; NaN if it does not fall so far.",
        ),
    ];
    for (name, values, unit, description) in parts {
        rows(node, name, f.surrounds.iter().map(values), over(curve, unit, description))?;
    }
    Ok(())
}

fn filled(widths: &[Option<f64>]) -> Vec<f64> {
    widths.iter().map(|width| width.unwrap_or(f64::NAN)).collect()
}

fn rows(node: &Node, name: &str, rows: impl Iterator<Item = Vec<f64>>, meaning: Meaning) -> hdf5::Result<()> {
    let rows: Vec<Vec<f64>> = rows.collect();
    node.array(name, &stack(&rows.iter().map(Vec::as_slice).collect::<Vec<_>>()), meaning)
}

fn turns(node: &Node, f: &SurroundFindings) -> hdf5::Result<()> {
    let numbers = |e: Option<Extremum>| e.map_or([f64::NAN; 3], |e| [e.frequency, e.level, e.prominence]);
    let mut all = vec![];
    for (number, one) in f.surrounds.iter().enumerate() {
        for (place, heard) in one.places.iter().enumerate() {
            all.extend(heard.shifts.iter().map(|shift| {
                let dip = shift.before.or(shift.after).is_some_and(|e| e.turn == Turn::Dip);
                let first = [number as f64, place as f64, if dip { -1.0 } else { 1.0 }];
                [&first[..], &numbers(shift.before), &numbers(shift.after)].concat()
            }));
        }
    }
    let columns = "surround index, place index, -1 for a dip and 1 for a peak, before: frequency, level, prominence, after: the same";
    let unit = "1, 1, 1, Hz, dB re 20 uPa, dB, Hz, dB re 20 uPa, dB";
    rows(node, "shifts", all.into_iter(), over(&["row", columns], unit, "NaN before: new; NaN after: gone."))
}

fn computed(node: &Node, f: &SurroundFindings) -> hdf5::Result<()> {
    let all: Vec<(usize, &ComputedBand)> = (f.surrounds.iter().enumerate())
        .flat_map(|(number, one)| one.computed.iter().map(move |band| (number, band)))
        .collect();
    column(node, "surround", &all, |(number, _)| *number as f64, "1", "Index of the surround.")?;
    column(node, "lowest", &all, |(_, b)| b.range[0], "Hz", "Lowest frequency of the band.")?;
    column(node, "highest", &all, |(_, b)| b.range[1], "Hz", "Highest frequency of the band.")?;
    column(node, "length", &all, |(_, b)| b.length, "m", "Wanted length of the elements' sides.")?;
    column(
        node,
        "elements",
        &all,
        |(_, b)| b.elements as f64,
        "1",
        "Elements of the part that symmetry leaves.",
    )?;
    column(node, "unknowns", &all, |(_, b)| b.unknowns as f64, "1", "Unknowns of the same part.")?;
    column(
        node,
        "memory",
        &all,
        |(_, b)| b.bytes as f64,
        "byte",
        "Memory of the operator at the highest frequency.",
    )?;
    column(node, "frequencies", &all, |(_, b)| b.frequencies as f64, "1", "Frequencies in the band.")?;
    column(
        node,
        "solved",
        &all,
        |(_, b)| b.solved as f64,
        "1",
        "Frequencies solved, the rest interpolated.",
    )?;
    column(node, "steps", &all, |(_, b)| b.steps as f64, "1", "Most steps of the iteration.")?;
    column(node, "residual", &all, |(_, b)| b.residual, "1", "Largest relative residual.")?;
    let meaning = "Largest error of the interpolation, of the largest value in the band.";
    column(node, "interpolation_error", &all, |(_, b)| b.interpolation_error, "1", meaning)?;
    let held = all.iter().map(|(_, band)| band.held.as_str());
    node.texts("held", held, over(&["band"], "", "How the operator was held at the highest frequency."))
}

/// A number of every band.
fn column<T>(
    node: &Node,
    name: &str,
    all: &[T],
    value: fn(&T) -> f64,
    unit: &str,
    description: &str,
) -> hdf5::Result<()> {
    let values: Array1<f64> = all.iter().map(value).collect();
    node.array(name, &values, over(&["band"], unit, description))
}

fn polar(node: &Node, polars: &[&Polar]) -> hdf5::Result<()> {
    let Some(first) = polars.first() else { return Ok(()) };
    bands(node, &first.bands)?;
    node.number("distance", first.distance, "m", "Distance the levels are stated at.")?;
    let dimensions = &[NAMES, "/polar/band_nominal", "/angles"];
    let all = |levels: fn(&Polar) -> &Array2<f64>| {
        piled(&polars.iter().map(|p| levels(p).clone()).collect::<Vec<_>>())
    };
    node.array("horizontal", &all(|p| &p.horizontal), over(dimensions, DB_SPL, "Horizontal arc."))?;
    node.array("vertical", &all(|p| &p.vertical), over(dimensions, DB_SPL, "Vertical arc."))
}

const POLAR: &str = "/sphere/polar_angle";
const AZIMUTH: &str = "/sphere/azimuth";

/// The far field all round: complex over frequency, levels in third octaves.
fn sphere(node: &Node, f: &SurroundFindings, comparison: &Comparison) -> hdf5::Result<()> {
    let [polar, azimuth] = [&comparison.polar_angles, &comparison.azimuths];
    let angle = |name: &str, angles: &Vec<f64>, description: &str| {
        node.array(name, &Array1::from_vec(angles.clone()), over(&[name], "rad", description))
    };
    angle("polar_angle", polar, "Angle from the driver's axis.")?;
    let turned = "Angle about the axis, from the listener's right towards the top.";
    angle("azimuth", azimuth, turned)?;
    let weights = Array1::from_vec(solid_angles(polar, azimuth.len()));
    node.array("solid_angle", &weights, over(&[POLAR], "sr", "Solid angle that one direction stands for."))?;
    let fields: Vec<_> = comparison.variants.iter().map(|variant| variant.curves.sphere.view()).collect();
    let meaning = over(
        &[NAMES, FREQUENCIES, POLAR, AZIMUTH],
        "Pa m",
        "Far field r p exp(jkr) from the driver's front, complex, RMS.",
    );
    node.array("far", &stacked(&fields)?, meaning)?;
    let Some(first) = f.surrounds.first() else { return Ok(()) };
    bands(node, &first.balloon.bands)?;
    node.number("distance", first.balloon.distance, "m", "Distance the levels are stated at.")?;
    let levels: Vec<_> = f.surrounds.iter().map(|one| one.balloon.levels.view()).collect();
    let dimensions = &[NAMES, "/sphere/band_nominal", POLAR, AZIMUTH];
    node.array("level", &stacked(&levels)?, over(dimensions, DB_SPL, "Level in third octaves."))
}

/// One array of several of the same shape.
fn stacked<T: Clone>(parts: &[ArrayView3<T>]) -> hdf5::Result<Array4<T>> {
    ndarray::stack(Axis(0), parts).map_err(|error| hdf5::Error::from(error.to_string()))
}
