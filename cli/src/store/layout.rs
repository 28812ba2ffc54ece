//! Which finding goes where in `results.h5`.

use super::Provenance;
use super::listened::{centres, map, pairs, polar, seats, spots};
use super::node::{DB_SPL, FREQUENCIES, Node, over, stack, stack_complex};
use ndarray::Array1;
use panelwright_solver::Warning;
use panelwright_solver::listening::{ChannelFindings, ExciterFindings, Findings, PanelFindings};
use serde::Serialize;

/// Where results come from; `origin` says from where places count.
pub(super) fn provenance(
    root: &Node,
    title: &str,
    scene: &impl Serialize,
    provenance: &Provenance,
    origin: &str,
) -> hdf5::Result<()> {
    root.attribute("program", "panelwright")?;
    root.attribute("program_version", provenance.version)?;
    root.attribute("case_name", provenance.case_name)?;
    root.attribute("title", title)?;
    root.attribute("computed_at", provenance.computed_at)?;
    root.attribute(
        "conventions",
        &format!("time factor exp(+j omega t); phasors are RMS; x right, y up, z towards the listener, origin {origin}"),
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
    variations(root, f)?;
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
    warnings(root, &f.warnings)
}

pub(super) fn warnings(root: &Node, warnings: &[Warning]) -> hdf5::Result<()> {
    let node = root.child("warnings", "Doubts about the results.")?;
    let concerns = warnings.iter().map(|warning| warning.concerns);
    node.texts("concerns", concerns, over(&["warning"], "", "The result a warning concerns."))?;
    let messages = warnings.iter().map(|warning| warning.message.as_str());
    let meaning = over(&["warning"], "", "What is doubtful, by how much, and what to do about it.");
    node.texts("message", messages, meaning)
}

/// Which variations bands and stabilities come from; nothing without any.
fn variations(root: &Node, f: &Findings) -> hdf5::Result<()> {
    let Some(variations) = f.variations else { return Ok(()) };
    let node =
        root.child("variations", "Variations of the panel within its spread of material and workmanship.")?;
    node.number("count", variations.count as f64, "1", "How many.")?;
    node.number("seed", f64::from(variations.seed), "1", "Seed of their low-discrepancy sequence.")?;
    let Some(spread) = f.sensitivity.mean_spread else { return Ok(()) };
    let parts = Array1::from(vec![spread.lowest, spread.tenth, spread.ninetieth, spread.highest]);
    let meaning = over(
        &["lowest, 10th percentile, 90th percentile, highest"],
        DB_SPL,
        "Spread of the mean sensitivity.",
    );
    node.array("sensitivity_mean", &parts, meaning)
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
        over(&["mode"], "Hz", "Natural frequencies with patches and bars, without rigid-body modes."),
    )?;
    node.array(
        "bare_frequencies",
        &Array1::from_vec(panel.bare_frequencies.clone()),
        over(&["mode"], "Hz", "Natural frequencies of the bare panel, without rigid-body modes."),
    )?;
    node.array(
        "assembled_frequencies",
        &Array1::from_vec(panel.assembled.frequencies.clone()),
        over(&["assembled mode"], "Hz", "Natural frequencies with all parts on it, leads open, without air."),
    )?;
    node.array(
        "assembled_loss_factors",
        &Array1::from_vec(panel.assembled.loss_factors.clone()),
        over(&["assembled mode"], "1", "Loss factors of these."),
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

fn power(root: &Node, f: &Findings) -> hdf5::Result<()> {
    let node = root.child("power", "Electrical power, where it goes, and the sound power.")?;
    let curves: [(&str, &Vec<f64>, &str, &str); 10] = [
        ("electrical", &f.balance.electrical, "W", "Power taken from all amplifiers."),
        ("coil_heat", &f.balance.coil_heat, "W", "Heat in the coils."),
        ("suspension", &f.balance.suspension, "W", "Lost in the suspensions."),
        ("structure", &f.balance.structure, "W", "Lost in the panel and what is bonded to it."),
        ("supports", &f.balance.supports, "W", "Lost in hangs."),
        ("air", &f.balance.radiated, "W", "Given to the air by both faces."),
        ("radiated", &f.radiated, "W", "Sound power: both sides of an open panel, the front of any other."),
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
