//! Which finding goes where in `results.h5`.

use super::Provenance;
use super::node::{Meaning, Node, stack, stack_complex};
use ndarray::{Array1, Array2, Array3, Axis};
use panelwright_solver::listening::{
    AcousticCentre, Band, ChannelFindings, DeadSpot, ExciterFindings, Findings, OutputMap, PanelFindings,
    Polar, SeatFindings,
};
use panelwright_solver::scene::Scene;

const DB_SPL: &str = "dB re 20 uPa";
const FREQUENCIES: &str = "/frequencies";

fn over<'a>(dimensions: &'a [&'a str], unit: &'a str, description: &'a str) -> Meaning<'a> {
    Meaning { unit, dimensions, description }
}

pub(super) fn provenance(root: &Node, scene: &Scene, provenance: &Provenance) -> hdf5::Result<()> {
    root.attribute("program", "panelwright")?;
    root.attribute("program_version", provenance.version)?;
    root.attribute("case_name", provenance.case_name)?;
    root.attribute("title", &scene.title)?;
    root.attribute("computed_at", provenance.computed_at)?;
    root.attribute(
        "conventions",
        "time factor exp(+j omega t); phasors are RMS; x right, y up, z towards the listener, origin at the panel's lower left corner",
    )?;
    root.text("case_text", provenance.case_text, "The case file, word for word.")?;
    let scene = serde_json::to_string_pretty(scene).map_err(|error| hdf5::Error::from(error.to_string()))?;
    root.text("scene", &scene, "The scene as computed, in SI units, as JSON.")
}

pub(super) fn findings(root: &Node, f: &Findings) -> hdf5::Result<()> {
    root.array(
        "frequencies",
        &Array1::from_vec(f.frequencies.clone()),
        over(&["frequency"], "Hz", "Frequencies of every curve that has no bands."),
    )?;
    texts(root, f)?;
    panel(&root.child("panel", "The panel by itself.")?, &f.panel)?;
    seats(&root.child("seats", "What arrives at the seats.")?, &f.seats)?;
    power(root, f)?;
    polar(&root.child("polar", "Far-field patterns about the panel's centre.")?, &f.polar)?;
    map(&root.child("map", "Band levels on a plane in front of the panel.")?, &f.map, "/map", DB_SPL)?;
    map(
        &root.child("panel_map", "Band levels of the panel's own velocity.")?,
        &f.panel_map,
        "/panel_map",
        "dB re 1 m/s",
    )?;
    spots(&root.child("dead_spots", "Connected quiet regions of the output map.")?, &f.dead_spots)?;
    spots(&root.child("quiet_places", "Connected quiet regions of the panel's velocity.")?, &f.quiet_places)?;
    centres(&root.child("centres", "Acoustic centre per band, in two definitions.")?, &f.centres)?;
    exciters(&root.child("exciters", "Exciters against their ratings.")?, &f.exciters)?;
    channels(&root.child("channels", "What the amplifier channels see.")?, &f.channels)
}

fn texts(root: &Node, f: &Findings) -> hdf5::Result<()> {
    root.texts(
        "summary",
        f.summary.iter().map(String::as_str),
        over(&["sentence"], "", "The result in plain words."),
    )?;
    let warnings = root.child("warnings", "Doubts about the results.")?;
    warnings.texts(
        "concerns",
        f.warnings.iter().map(|w| w.concerns),
        over(&["warning"], "", "The result a warning concerns."),
    )?;
    warnings.texts(
        "message",
        f.warnings.iter().map(|w| w.message.as_str()),
        over(&["warning"], "", "What is doubtful, by how much, and what to do about it."),
    )
}

fn panel(node: &Node, panel: &PanelFindings) -> hdf5::Result<()> {
    node.number("mass", panel.mass, "kg", "Mass of the bare panel.")?;
    node.number(
        "modal_density",
        panel.modal_density,
        "1/Hz",
        "Modal density of bending waves, large-plate value.",
    )?;
    node.number("rigid_modes", panel.rigid_modes as f64, "1", "Number of rigid-body modes.")?;
    node.number(
        "coincidence_lowest",
        panel.coincidence.0,
        "Hz",
        "Lowest coincidence frequency over the directions.",
    )?;
    node.number("coincidence_highest", panel.coincidence.1, "Hz", "Highest coincidence frequency.")?;
    node.number(
        "overlap_one",
        panel.overlap_one.unwrap_or(f64::NAN),
        "Hz",
        "Frequency above which modal overlap exceeds 1; NaN if not inside the range.",
    )?;
    node.array(
        "natural_frequencies",
        &Array1::from_vec(panel.natural_frequencies.clone()),
        over(&["mode"], "Hz", "Natural frequencies without rigid-body modes."),
    )?;
    node.array(
        "modal_overlap",
        &Array1::from_vec(panel.modal_overlap.clone()),
        over(&[FREQUENCIES], "1", "Modal overlap: density x loss factor x frequency."),
    )?;
    shapes(&node.child("first_shapes", "Shapes of the first modes, one group each.")?, panel)
}

fn shapes(node: &Node, panel: &PanelFindings) -> hdf5::Result<()> {
    for (index, mode) in panel.first_shapes.iter().enumerate() {
        let shape = node.child(&format!("mode_{:03}", index + 1), "Shape of one mode on a lattice.")?;
        shape.number("frequency", mode.frequency, "Hz", "Natural frequency.")?;
        shape.array("x", &mode.x, over(&["x"], "m", "Lattice coordinates along x."))?;
        shape.array("y", &mode.y, over(&["y"], "m", "Lattice coordinates along y."))?;
        shape.array("shape", &mode.shape, over(&["x", "y"], "1", "Shape, largest magnitude 1."))?;
    }
    Ok(())
}

fn seats(node: &Node, seats: &[SeatFindings]) -> hdf5::Result<()> {
    let names = "/seats/name";
    let curve = &[names, FREQUENCIES];
    node.texts("name", seats.iter().map(|s| s.name.as_str()), over(&["seat"], "", "Names of the seats."))?;
    let positions: Vec<&[f64]> = seats.iter().map(|s| &s.position[..]).collect();
    node.array("position", &stack(&positions), over(&[names, "x, y, z"], "m", "Positions of the seats."))?;
    let pressure: Vec<_> = seats.iter().map(|s| &s.pressure[..]).collect();
    node.array("pressure", &stack_complex(&pressure), over(curve, "Pa", "Complex RMS sound pressure."))?;
    let level: Vec<_> = seats.iter().map(|s| &s.level[..]).collect();
    node.array("level", &stack(&level), over(curve, DB_SPL, "Level, unsmoothed."))?;
    let weighted: Array1<f64> = seats.iter().map(|s| s.a_weighted).collect();
    node.array(
        "a_weighted",
        &weighted,
        over(&[names], "dB re 20 uPa, A-weighted", "A-weighted level of pink noise."),
    )?;
    smoothed(node, seats)?;
    third_octaves(node, seats)?;
    usable(node, seats)
}

fn smoothed(node: &Node, seats: &[SeatFindings]) -> hdf5::Result<()> {
    let Some(first) = seats.first() else { return Ok(()) };
    for index in 0..first.smoothed.len() {
        let rows: Vec<&[f64]> =
            seats.iter().map(|s| s.smoothed.get(index).map_or(&[][..], |curve| &curve.level[..])).collect();
        let fraction = first.smoothed[index].fraction;
        node.array(
            &format!("level_1_{fraction}_octave"),
            &stack(&rows),
            over(&["/seats/name", FREQUENCIES], DB_SPL, &format!("Level smoothed over 1/{fraction} octave.")),
        )?;
    }
    Ok(())
}

fn third_octaves(node: &Node, seats: &[SeatFindings]) -> hdf5::Result<()> {
    let Some(first) = seats.first() else { return Ok(()) };
    let node = node.child("third_octaves", "Band levels for pink noise.")?;
    let all: Vec<Band> = first.third_octaves.iter().map(|b| b.band).collect();
    bands(&node, &all)?;
    let rows: Vec<Vec<f64>> =
        seats.iter().map(|s| s.third_octaves.iter().map(|band| band.level).collect()).collect();
    let rows: Vec<&[f64]> = rows.iter().map(Vec::as_slice).collect();
    let dimensions = &["/seats/name", "/seats/third_octaves/band_nominal"];
    node.array("level", &stack(&rows), over(dimensions, DB_SPL, "Third-octave levels at the seats."))
}

fn usable(node: &Node, seats: &[SeatFindings]) -> hdf5::Result<()> {
    let rows: Vec<[f64; 5]> = seats
        .iter()
        .enumerate()
        .flat_map(|(seat, s)| {
            s.usable.iter().map(move |u| {
                [seat as f64, u.drop, u.reference, u.lower.unwrap_or(f64::NAN), u.upper.unwrap_or(f64::NAN)]
            })
        })
        .collect();
    let rows: Vec<&[f64]> = rows.iter().map(|row| &row[..]).collect();
    node.array(
        "usable_band",
        &stack(&rows),
        over(
            &["row", "seat index, drop, reference level, lower limit, upper limit"],
            "1, dB, dB re 20 uPa, Hz, Hz",
            "Stretch of the range that stays within the drop of the reference level; NaN if there is none.",
        ),
    )
}

fn power(root: &Node, f: &Findings) -> hdf5::Result<()> {
    let node = root.child("power", "Electrical power, where it goes, and the sound power.")?;
    let curves: [(&str, &Vec<f64>, &str, &str); 8] = [
        ("electrical", &f.balance.electrical, "W", "Power taken from all amplifiers."),
        ("coil_heat", &f.balance.coil_heat, "W", "Heat in the coils."),
        ("suspension", &f.balance.suspension, "W", "Lost in the suspensions."),
        ("structure", &f.balance.structure, "W", "Lost in the panel's material."),
        ("radiated", &f.radiated, "W", "Radiated sound power, one side, baffled."),
        ("power_level", &f.power_level, "dB re 1 pW", "Sound power level."),
        ("directivity_index", &f.directivity_index, "dB", "Directivity index on the panel's axis."),
        ("sensitivity", &f.sensitivity.level, DB_SPL, "Level on axis at 1 m for 2.83 V."),
    ];
    for (name, values, unit, description) in curves {
        node.array(name, &Array1::from_vec(values.clone()), over(&[FREQUENCIES], unit, description))?;
    }
    node.number(
        "sensitivity_mean",
        f.sensitivity.mean,
        DB_SPL,
        "Mean of the sensitivity's third-octave levels from 200 Hz to 4 kHz.",
    )
}

/// The datasets `band_nominal`, `band_centre`, `band_lower` and `band_upper` [Hz].
fn bands(node: &Node, bands: &[Band]) -> hdf5::Result<()> {
    let columns: [(&str, fn(&Band) -> f64, &str); 4] = [
        ("band_nominal", |b| b.nominal, "Nominal mid-band frequency."),
        ("band_centre", |b| b.centre, "Exact mid-band frequency (base ten)."),
        ("band_lower", |b| b.lower, "Lower band edge."),
        ("band_upper", |b| b.upper, "Upper band edge."),
    ];
    for (name, field, description) in columns {
        let values: Array1<f64> = bands.iter().map(field).collect();
        node.array(name, &values, over(&["band"], "Hz", description))?;
    }
    Ok(())
}

fn polar(node: &Node, polar: &Polar) -> hdf5::Result<()> {
    bands(node, &polar.bands)?;
    let angles = Array1::from_vec(polar.angles.clone());
    node.array(
        "angles",
        &angles,
        over(&["angle"], "rad", "Angles from the axis; positive to the right, or up."),
    )?;
    node.number("distance", polar.distance, "m", "Distance the levels are stated at.")?;
    let dimensions = &["/polar/band_nominal", "/polar/angles"];
    node.array("horizontal", &polar.horizontal, over(dimensions, DB_SPL, "Horizontal arc."))?;
    node.array("vertical", &polar.vertical, over(dimensions, DB_SPL, "Vertical arc."))
}

fn map(node: &Node, map: &OutputMap, path: &str, unit: &str) -> hdf5::Result<()> {
    let all: Vec<Band> = map.bands.iter().map(|b| b.band).collect();
    bands(node, &all)?;
    node.number("distance", map.distance, "m", "Distance of the plane from the panel.")?;
    node.array("x", &Array1::from_vec(map.x.clone()), over(&["x"], "m", "Node coordinates along x."))?;
    node.array("y", &Array1::from_vec(map.y.clone()), over(&["y"], "m", "Node coordinates along y."))?;
    let (band, x, y) = (format!("{path}/band_nominal"), format!("{path}/x"), format!("{path}/y"));
    let means: Array1<f64> = map.bands.iter().map(|b| b.mean).collect();
    node.array("mean", &means, over(&[&band], unit, "Level of the plane's mean energy."))?;
    node.array("level", &levels(map), over(&[&band, &x, &y], unit, "Band levels on the plane."))
}

fn levels(map: &OutputMap) -> Array3<f64> {
    let mut all = Array3::from_elem((map.bands.len(), map.x.len(), map.y.len()), f64::NAN);
    for (mut target, band) in all.axis_iter_mut(Axis(0)).zip(&map.bands) {
        if target.dim() == band.level.dim() {
            target.assign(&band.level);
        }
    }
    all
}

fn spots(node: &Node, spots: &[DeadSpot]) -> hdf5::Result<()> {
    let all: Vec<Band> = spots.iter().map(|s| s.band).collect();
    bands(node, &all)?;
    let positions = pairs(spots.iter().map(|s| s.position));
    node.array("position", &positions, over(&["spot", "x, y"], "m", "Deepest points."))?;
    let extents = pairs(spots.iter().map(|s| s.extent));
    node.array("extent", &extents, over(&["spot", "x, y"], "m", "Largest extents along x and y."))?;
    let areas: Array1<f64> = spots.iter().map(|s| s.area).collect();
    node.array("area", &areas, over(&["spot"], "m2", "Areas."))?;
    let depths: Array1<f64> = spots.iter().map(|s| s.depth).collect();
    node.array("depth", &depths, over(&["spot"], "dB", "Depths under the plane's energy mean, positive."))
}

fn pairs(values: impl Iterator<Item = [f64; 2]>) -> Array2<f64> {
    Array2::from(values.collect::<Vec<_>>())
}

fn triples(values: impl Iterator<Item = [f64; 3]>) -> Array2<f64> {
    Array2::from(values.collect::<Vec<_>>())
}

fn centres(node: &Node, centres: &[AcousticCentre]) -> hdf5::Result<()> {
    const NONE: [f64; 3] = [f64::NAN; 3];
    let all: Vec<Band> = centres.iter().map(|c| c.band).collect();
    bands(node, &all)?;
    let band = "/centres/band_nominal";
    let position = pairs(centres.iter().map(|c| c.intensity.position));
    let spread = pairs(centres.iter().map(|c| c.intensity.spread));
    node.array(
        "intensity_position",
        &position,
        over(&[band, "x, y"], "m", "Centroid of outgoing active intensity."),
    )?;
    node.array(
        "intensity_spread",
        &spread,
        over(&[band, "x, y"], "m", "Standard deviation about the centroid."),
    )?;
    let position = triples(centres.iter().map(|c| c.wave_front.map_or(NONE, |w| w.position)));
    let spread = triples(centres.iter().map(|c| c.wave_front.map_or(NONE, |w| w.spread)));
    let fit: Array1<f64> = centres.iter().map(|c| c.wave_front.map_or(f64::NAN, |w| w.fit)).collect();
    node.array(
        "wave_front_position",
        &position,
        over(
            &[band, "x, y, z"],
            "m",
            "Centre of the best-fitting spherical wave fronts; NaN where none fits.",
        ),
    )?;
    node.array(
        "wave_front_spread",
        &spread,
        over(&[band, "x, y, z"], "m", "Standard deviation over the frequencies of the band."),
    )?;
    node.array("wave_front_fit", &fit, over(&[band], "1", "Share of the energy the spherical wave explains."))
}

fn exciters(node: &Node, exciters: &[ExciterFindings]) -> hdf5::Result<()> {
    let names = "/exciters/name";
    let curve = &[names, FREQUENCIES];
    node.texts(
        "name",
        exciters.iter().map(|e| e.name.as_str()),
        over(&["exciter"], "", "Names of the exciters."),
    )?;
    let positions = pairs(exciters.iter().map(|e| e.position));
    node.array("position", &positions, over(&[names, "x, y"], "m", "Positions on the panel."))?;
    let excursion: Vec<_> = exciters.iter().map(|e| &e.excursion[..]).collect();
    node.array("excursion", &stack(&excursion), over(curve, "m", "Peak excursion of coil against magnet."))?;
    let power: Vec<_> = exciters.iter().map(|e| &e.power[..]).collect();
    node.array(
        "power",
        &stack(&power),
        over(curve, "W", "Real electrical power for a sine at the drive voltage."),
    )?;
    let rated: Array1<f64> = exciters.iter().map(|e| e.rated_excursion.unwrap_or(f64::NAN)).collect();
    node.array("rated_excursion", &rated, over(&[names], "m", "Rated peak excursion; NaN if not stated."))?;
    let rated: Array1<f64> = exciters.iter().map(|e| e.rated_power.unwrap_or(f64::NAN)).collect();
    node.array("rated_power", &rated, over(&[names], "W", "Rated power; NaN if not stated."))
}

fn channels(node: &Node, channels: &[ChannelFindings]) -> hdf5::Result<()> {
    let curve = &["/channels/name", FREQUENCIES];
    node.texts(
        "name",
        channels.iter().map(|c| c.name.as_str()),
        over(&["channel"], "", "Names of the channels."),
    )?;
    let impedance: Vec<_> = channels.iter().map(|c| &c.load.impedance[..]).collect();
    node.array(
        "impedance",
        &stack_complex(&impedance),
        over(curve, "ohm", "Complex impedance at the amplifier's terminals, source resistance excluded."),
    )?;
    let current: Vec<_> = channels.iter().map(|c| &c.load.current[..]).collect();
    node.array(
        "current",
        &stack_complex(&current),
        over(curve, "A", "Complex RMS current from the amplifier."),
    )
}
