//! Sound and motion → findings: every question of `listening` put to the numbers.

use super::places::Places;
use super::sound::{BandIntensity, Sound};
use crate::drive::{Motion, NaturalModes};
use crate::listening::*;
use crate::plate::{Modes, PlateModel, outline_doubts};
use crate::scene::Scene;
use crate::{Warning, radiation};
use ndarray::{Array2, Array3, ArrayView1, Axis as Dimension, s};
use num_complex::Complex64;
use panelwright_mesh::{Axis, Lattice, Outline};
use std::num::NonZeroUsize;

/// How far under the plane's mean a dead spot lies [dB].
pub(crate) const DEAD_SPOT_DEPTH: f64 = 10.0;
/// Modes shown as pictures.
const SHAPES_SHOWN: usize = 12;
/// Voltage that sensitivity is stated for [V].
const SENSITIVITY_VOLTAGE: f64 = 2.83;
/// Distance sensitivity is stated for [m].
const SENSITIVITY_DISTANCE: f64 = 1.0;

/// Natural modes of the assembled panel that are listed.
pub(super) const ASSEMBLED_SHOWN: usize = 40;

/// Puts all findings together, without doubts and summary.
pub(super) fn gather(
    scene: &Scene,
    modes: &Modes,
    assembled: NaturalModes,
    motion: &Motion,
    places: &Places,
    sound: &Sound,
) -> Findings {
    let frequencies = &scene.frequencies;
    let bands: Vec<Band> = sound.intensity.iter().map(|part| part.band).collect();
    let map = map_of(
        frequencies,
        scene.receivers.map.distance,
        &places.map,
        &sound.map,
        &bands,
        LevelReference::SoundPressure,
    );
    let outline = &scene.panel.outline;
    let motion_of_panel = masked(&sound.panel, &places.panel, outline);
    let panel_map =
        map_of(frequencies, 0.0, &places.panel, &motion_of_panel, &bands, LevelReference::Velocity);
    let (width, height) = scene.panel.outline.bounding_box();
    let face = Some(([0.0, 0.0], [width, height]));
    Findings {
        summary: Vec::new(),
        warnings: Vec::new(),
        variations: None,
        frequencies: frequencies.clone(),
        panel: panel(scene, modes, assembled),
        seats: seats(scene, &sound.microphones),
        sensitivity: sensitivity_of(scene, &sound.microphones),
        polar: polar_of(scene, places, sound, &bands),
        power_level: sound.power.iter().map(|&power| power_level(power)).collect(),
        directivity_index: directivity(scene, sound),
        dead_spots: dead_spots(&before_the_panel(&map, outline), DEAD_SPOT_DEPTH, face),
        quiet_places: dead_spots(&panel_map, DEAD_SPOT_DEPTH, face),
        map,
        panel_map,
        centres: sound.intensity.iter().filter_map(|part| centre(scene, places, sound, part)).collect(),
        exciters: exciters(scene, motion),
        channels: channels(scene, motion),
        balance: motion.balance.clone(),
        radiated: sound.power.clone(),
    }
}

/// Adds what can only be said when everything else is known: doubts and summary.
pub(super) fn conclude(
    scene: &Scene,
    modes: &Modes,
    motion: &Motion,
    places: &Places,
    findings: &mut Findings,
) {
    findings.warnings = doubts(scene, modes, motion, places, findings);
    findings.summary = summary(findings, &scene.panel.outline);
}

/// Every doubt about the findings, in the order of the report.
fn doubts(
    scene: &Scene,
    modes: &Modes,
    motion: &Motion,
    places: &Places,
    findings: &Findings,
) -> Vec<Warning> {
    let top = scene.frequencies.last().copied().unwrap_or(0.0);
    let panel = &findings.panel;
    let mut warnings = motion.warnings.clone();
    warnings.extend(thin_plate_validity(&scene.panel, top));
    warnings.extend(plate_theory(&scene.panel, modes.model == PlateModel::ShearDeformable, top));
    warnings.extend(thickness_shear(&scene.panel, top));
    warnings.extend(outline_doubts(&scene.panel, top));
    warnings.extend(frequency_resolution(
        &scene.frequencies,
        &panel.natural_frequencies,
        scene.panel.section.bending_loss.at(panel.natural_frequencies.first().copied().unwrap_or(1000.0)),
        panel.overlap_one,
    ));
    let shown: Vec<Band> = findings.map.bands.iter().map(|part| part.band).collect();
    warnings.extend(map_spacing(scene.receivers.map.spacing, &shown, scene.air.sound_speed));
    warnings.extend(radiation::too_near(&scene.panel.outline, &places.microphones));
    warnings.extend(centre_fit(&findings.centres));
    warnings
}

/// Mean squares (frequencies, nx, ny), not-a-number off the panel: blank, not silent.
fn masked(mean_square: &Array3<f64>, cells: &Lattice, outline: &Outline) -> Array3<f64> {
    let mut masked = mean_square.clone();
    let off: Vec<bool> = cells.points().map(|point| !outline.contains(point)).collect();
    for mut field in masked.outer_iter_mut() {
        field.iter_mut().zip(&off).filter(|(_, off)| **off).for_each(|(value, _)| *value = f64::NAN);
    }
    masked
}

/// The part of a map that lies in front of the panel; the rest is not-a-number.
pub(crate) fn before_the_panel(map: &OutputMap, outline: &Outline) -> OutputMap {
    let mut part = map.clone();
    // A rectangle is cut out exactly by its corners.
    if let Outline::Rectangle { .. } = outline {
        return part;
    }
    for band in &mut part.bands {
        for ((i, j), level) in band.level.indexed_iter_mut() {
            if !outline.contains([map.x[i], map.y[j]]) {
                *level = f64::NAN;
            }
        }
    }
    part
}

pub(crate) fn map_of(
    frequencies: &[f64],
    distance: f64,
    lattice: &Lattice,
    mean_square: &Array3<f64>,
    bands: &[Band],
    reference: LevelReference,
) -> OutputMap {
    let (x, y) = (lattice.x.nodes.to_vec(), lattice.y.nodes.to_vec());
    output_map(frequencies, distance, &x, &y, mean_square.view(), bands, reference)
}

fn panel(scene: &Scene, modes: &Modes, assembled: NaturalModes) -> PanelFindings {
    let rigid = modes.rigid_body_count();
    let natural: Vec<f64> = modes.frequencies.iter().skip(rigid).copied().collect();
    let findings = panel_findings(
        &scene.panel,
        &natural,
        rigid,
        first_shapes(scene, modes, rigid),
        &scene.frequencies,
        scene.air.sound_speed,
    );
    PanelFindings {
        bare_frequencies: modes.bare_frequencies().iter().skip(rigid).copied().collect(),
        assembled: assembled.elastic(),
        ..findings
    }
}

fn first_shapes(scene: &Scene, modes: &Modes, rigid: usize) -> Vec<ModeShape> {
    let range = rigid..modes.len().min(rigid + SHAPES_SHOWN);
    let lattice = picture_lattice(scene);
    let shapes = modes.on(&lattice, range.clone());
    range
        .zip(shapes.axis_iter(Dimension(0)))
        .map(|(mode, shape)| ModeShape {
            frequency: modes.frequencies[mode],
            x: lattice.x.nodes.clone(),
            y: lattice.y.nodes.clone(),
            shape: scaled_to_one(on_the_panel(shape.to_owned(), &lattice, &scene.panel.outline)),
        })
        .collect()
}

fn picture_lattice(scene: &Scene) -> Lattice {
    const LONG_SIDE: f64 = 48.0;
    let (width, height) = scene.panel.outline.bounding_box();
    let cell = width.max(height) / LONG_SIDE;
    let axis = |extent: f64| {
        let count = NonZeroUsize::new((extent / cell).round() as usize).unwrap_or(NonZeroUsize::MIN);
        Axis::cells(0.0, extent, count)
    };
    Lattice::new(axis(width), axis(height))
}

/// A shape that is not-a-number off the panel.
fn on_the_panel(mut shape: Array2<f64>, lattice: &Lattice, outline: &Outline) -> Array2<f64> {
    let points = shape.iter_mut().zip(lattice.points());
    points.filter(|(_, point)| !outline.contains(*point)).for_each(|(value, _)| *value = f64::NAN);
    shape
}

fn scaled_to_one(shape: Array2<f64>) -> Array2<f64> {
    let largest = shape.iter().fold(0.0, |largest: f64, value| largest.max(value.abs()));
    if largest > 0.0 { shape / largest } else { shape }
}

pub(crate) fn seats(scene: &Scene, microphones: &Array2<Complex64>) -> Vec<SeatFindings> {
    let curves = microphones.columns().into_iter().map(|column| column.to_vec());
    scene
        .receivers
        .seats
        .iter()
        .zip(curves)
        .map(|(seat, pressure)| seat_findings(seat, &scene.frequencies, pressure))
        .collect()
}

/// The sensitivity microphone comes after the seats.
pub(crate) fn sensitivity_of(scene: &Scene, microphones: &Array2<Complex64>) -> Sensitivity {
    let column: ArrayView1<Complex64> = microphones.column(scene.receivers.seats.len());
    let scale = sensitivity_scale(scene);
    sensitivity(&scene.frequencies, &column.iter().map(|p| p * scale).collect::<Vec<_>>())
}

/// Factor from the pressure in the scene to that for the voltage sensitivity is stated for, which is that before filters: they are part of
/// what is listened to, as a passive crossover is part of a loudspeaker.
pub(crate) fn sensitivity_scale(scene: &Scene) -> f64 {
    let voltages = scene.channels.iter().map(|channel| (channel.voltage * channel.gain).abs());
    SENSITIVITY_VOLTAGE / voltages.fold(0.0, f64::max)
}

pub(crate) fn polar_of(scene: &Scene, places: &Places, sound: &Sound, bands: &[Band]) -> Polar {
    let distance = scene.receivers.arc.distance;
    let squares = |far: &Array2<Complex64>| far.mapv(|amplitude| amplitude.norm_sqr() / distance.powi(2));
    let (horizontal, vertical) = (squares(&sound.horizontal), squares(&sound.vertical));
    polar(&scene.frequencies, &places.angles, horizontal.view(), vertical.view(), bands, distance)
}

fn directivity(scene: &Scene, sound: &Sound) -> Vec<f64> {
    let axis = sound.horizontal.ncols() / 2;
    let axial = sound.horizontal.column(axis);
    let index = |(amplitude, &power): (&Complex64, &f64)| {
        directivity_index(
            amplitude.norm_sqr() / SENSITIVITY_DISTANCE.powi(2),
            SENSITIVITY_DISTANCE,
            power,
            scene.air.impedance(),
        )
    };
    axial.iter().zip(&sound.power).map(index).collect()
}

pub(crate) fn centre(
    scene: &Scene,
    places: &Places,
    sound: &Sound,
    part: &BandIntensity,
) -> Option<AcousticCentre> {
    let (x, y) = (part.cells.x.nodes.to_vec(), part.cells.y.nodes.to_vec());
    let weights = Array2::from_shape_vec(part.cells.shape(), part.cells.weights().collect())
        .expect("a weight for each cell");
    let intensity = intensity_centre(&x, &y, weights.view(), part.intensity.view())?;
    let range = indices_in_band(&scene.frequencies, &part.band);
    let pressure = sound.arc.slice(s![range.clone(), ..]);
    let bounds = scene.panel.outline.bounding_box();
    let wave_front =
        wave_front_centre(&places.arc, &scene.frequencies[range], pressure, scene.air.sound_speed, bounds);
    Some(AcousticCentre { band: part.band, intensity, wave_front })
}

fn exciters(scene: &Scene, motion: &Motion) -> Vec<ExciterFindings> {
    let one = |(exciter, motion): (&crate::scene::Exciter, &crate::drive::ExciterMotion)| ExciterFindings {
        name: exciter.name.clone(),
        position: exciter.position,
        excursion: motion.excursion.clone(),
        rated_excursion: exciter.rated_excursion,
        worst_excursion: largest(&scene.frequencies, &motion.excursion),
        power: motion.power.clone(),
        rated_power: exciter.rated_power,
        worst_power: largest(&scene.frequencies, &motion.power),
    };
    scene.exciters.iter().zip(&motion.exciters).map(one).collect()
}

fn channels(scene: &Scene, motion: &Motion) -> Vec<ChannelFindings> {
    let one = |(channel, load): (&crate::scene::Channel, &crate::drive::ChannelLoad)| {
        let negated: Vec<f64> = load.impedance.iter().map(|z| -z.norm()).collect();
        let (frequency, value) = largest(&scene.frequencies, &negated);
        ChannelFindings {
            name: channel.name.clone(),
            load: load.clone(),
            lowest_impedance: (frequency, -value),
        }
    };
    scene.channels.iter().zip(&motion.channels).map(one).collect()
}

/// Frequency and value of the largest finite entry; not-a-number when there is none.
fn largest(frequencies: &[f64], values: &[f64]) -> (f64, f64) {
    let pairs = frequencies.iter().copied().zip(values.iter().copied());
    pairs
        .filter(|(_, value)| value.is_finite())
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((f64::NAN, f64::NAN))
}
