//! What a prediction will cost, said before it starts.

use super::margin::modes_up_to;
use super::open_sound::{cell_for, stretches};
use super::places::Places;
use super::sound::{self, cells_for};
use super::variations::{FEWEST_HEARD, HEARD};
use crate::coupling::air_on_panel::{FELT, FEW};
use crate::listening::{Band, fractional_octaves, indices_in_band};
use crate::plate::{Estimate, Modes};
use crate::radiation::Tier;
use crate::scene::{Back, Scene};

/// Kernel evaluations per second and core for the output map (single precision) and for single microphones (double), and
/// complex multiply-adds per second and core of the sound power. All rates here are round figures of processor time, measured
/// stage by stage on eight cases of 0.2 to 3 processor seconds.
const MAP_RATE: f64 = 5e8;
const MICROPHONE_RATE: f64 = 2e8;
const POWER_RATE: f64 = 5e8;
/// What each step of the coupled solution with the air takes: cells of the panel per second and core, and, for the mode shapes, modes
/// squared per second and core (fitted to six panels, open and before a wall).
const AIR_RATE: f64 = 1.4e7;
const SHAPES_RATE: f64 = 8e8;
/// Steps of that solution on the average over all frequencies, from each mode's own air on: six or seven were counted, and 11 to 20 before a wall without it, whose
/// gap guides waves.
const AIR_STEPS: f64 = 7.0;
const WALL_STEPS: f64 = 16.0;
/// Cells times frequencies per second and core of the intensity on the panel's face.
const INTENSITY_RATE: f64 = 2e6;
/// Processor time [s] of the search for wave-front centres, per frequency and acoustic wavelength (of the highest frequency) on the
/// panel's width.
const CENTRE_TIME: f64 = 2.7e-5;
/// Microphones that follow the dead spots, on the average over all frequencies: a guess, as nobody knows beforehand where they are.
const WATCHED: f64 = 80.0;
/// Steps per second and core of the transfers to them, and modes per second and core of driving a variation.
const TRANSFER_RATE: f64 = 1.2e10;
const DRIVE_RATE: f64 = 4e7;
/// Modes and the static flexibility under the feet, which shares most of their work where they are many.
const MODAL_SHARE: f64 = 1.2;

/// Expected cost of a prediction.
#[derive(Clone, Debug)]
pub struct Cost {
    /// Modes.
    pub modes: Estimate,
    /// Frequencies.
    pub frequencies: usize,
    /// Microphones of the output map.
    pub map_microphones: usize,
    /// Largest number of sampling points on the panel at any frequency.
    pub panel_points: usize,
    /// Memory at its peak [bytes], roughly.
    pub bytes: f64,
    /// Time [s] on this machine's cores, within a factor of about two.
    pub seconds: f64,
}

impl Cost {
    /// Estimates the cost of predicting `scene`; quick, nothing is solved.
    pub fn of(scene: &Scene) -> Self {
        let places = Places::of(scene);
        let hearing = Hearing::of(scene, &places);
        let variations = variation_time(scene, &places, hearing.modes.modes as f64);
        let cores = rayon::current_num_threads() as f64;
        Self {
            frequencies: scene.frequencies.len(),
            map_microphones: places.map.len(),
            panel_points: hearing.panel_points,
            bytes: hearing.bytes,
            seconds: (hearing.modal() + hearing.seconds() + centre_time(scene) + variations) / cores,
            modes: hearing.modes,
        }
    }
}

/// What hearing a scene at some places takes, without the findings that a prediction makes of it.
#[derive(Clone, Debug)]
pub(crate) struct Hearing {
    /// Modes.
    pub modes: Estimate,
    /// Processor time [s] of one coupled solution with the air at every frequency.
    pub air: f64,
    /// Processor time [s] of the sound.
    sound: f64,
    /// Memory at its peak [bytes], roughly.
    pub bytes: f64,
    panel_points: usize,
}

impl Hearing {
    /// Quick; nothing is solved.
    pub fn of(scene: &Scene, places: &Places) -> Self {
        let modes = Modes::estimate(&scene.panel, modes_up_to(scene));
        let stretches = air_stretches(scene, places, modes.modes as f64);
        let Sounding { seconds, panel_points, widest } = match is_open(scene) {
            true => Sounding::of_open(places, &stretches),
            false => Sounding::of_baffled(scene, places),
        };
        Self {
            air: air_time(scene, &stretches),
            sound: seconds,
            bytes: modes.bytes as f64 + kept_bytes(scene, places, modes.modes) + 32.0 * widest,
            panel_points,
            modes,
        }
    }

    /// Processor time [s] of what belongs to the panel alone: modes, and the give under feet.
    pub fn modal(&self) -> f64 {
        MODAL_SHARE * self.modes.seconds
    }

    /// Processor time [s] of motion and sound.
    pub fn seconds(&self) -> f64 {
        self.air + self.sound
    }
}

/// What the sound takes once the motion is known.
struct Sounding {
    /// Processor time [s].
    seconds: f64,
    /// Largest number of sampling points on the panel at any frequency.
    panel_points: usize,
    /// Points on the panel that are in memory at once.
    widest: f64,
}

impl Sounding {
    fn of_open(places: &Places, stretches: &[AirStretch]) -> Self {
        let microphones = (places.microphones.len() + places.arc.len()) as f64;
        let cells: f64 = stretches.iter().map(|stretch| stretch.frequencies * stretch.cells).sum();
        let finest = stretches.iter().map(|stretch| stretch.cells).fold(0.0, f64::max);
        let widest = finest * 4.0 * rayon::current_num_threads() as f64;
        Self { seconds: microphones * cells / MICROPHONE_RATE, panel_points: finest as usize, widest }
    }

    fn of_baffled(scene: &Scene, places: &Places) -> Self {
        let tiers = sound::tiers(scene, places);
        let microphones = (places.microphones.len() + places.arc.len()) as f64;
        let per_point = places.map.len() as f64 / MAP_RATE + microphones / MICROPHONE_RATE;
        let of_tier = |tier: &Tier| {
            let points = tier.lattice.len() as f64;
            tier.range.len() as f64 * points * (per_point + power_sums(scene, &tier.lattice) / POWER_RATE)
        };
        let kept = tiers.iter().map(|tier| tier.lattice.len() * tier.range.len());
        Self {
            seconds: tiers.iter().map(of_tier).sum::<f64>() + intensity_time(scene),
            panel_points: tiers.iter().map(|tier| tier.lattice.len()).max().unwrap_or(0),
            widest: kept.max().unwrap_or(0) as f64,
        }
    }
}

/// Processor time [s] of the variations: transfers (sampled fields into the basis, basis into modes), and driving every variation.
fn variation_time(scene: &Scene, places: &Places, modes: f64) -> f64 {
    if scene.spread.samples == 0 {
        return 0.0;
    }
    let microphones = places.microphones.len() as f64 + WATCHED;
    let of_frequency = |tier: &Tier| {
        let top = scene.frequencies[tier.range.end - 1];
        let heard = Modes::estimate(&scene.panel, HEARD * top).modes.max(FEWEST_HEARD) as f64;
        let heard = heard.min(modes);
        let steps = modes * heard + 4.0 * tier.lattice.len() as f64 * modes.sqrt();
        microphones * steps / TRANSFER_RATE + scene.spread.samples as f64 * modes / DRIVE_RATE
    };
    sound::tiers(scene, places).iter().map(|tier| tier.range.len() as f64 * of_frequency(tier)).sum()
}

fn is_open(scene: &Scene) -> bool {
    matches!(scene.panel.back, Back::Open | Back::Wall { .. })
}

/// Frequencies that share a grid for the air on the panel.
struct AirStretch {
    frequencies: f64,
    cells: f64,
    /// Modes on which the air pushes.
    felt: f64,
}

fn air_stretches(scene: &Scene, places: &Places, modes: f64) -> Vec<AirStretch> {
    let (width, height) = scene.panel.outline.bounding_box();
    let stretch = |range: std::ops::Range<usize>| {
        let top = scene.frequencies[range.end - 1];
        let cells = match is_open(scene) {
            true => width * height / cell_for(scene, places, top).powi(2),
            false => cells_for(scene, top).len() as f64,
        };
        let near = Modes::estimate(&scene.panel, FELT * top).modes.max(FEW) as f64;
        AirStretch { frequencies: range.len() as f64, cells, felt: near.min(modes) }
    };
    stretches(&scene.frequencies).into_iter().map(|(range, _)| stretch(range)).collect()
}

/// Processor time [s] of the coupled solution with the air.
fn air_time(scene: &Scene, stretches: &[AirStretch]) -> f64 {
    let steps = if matches!(scene.panel.back, Back::Wall { .. }) { WALL_STEPS } else { AIR_STEPS };
    let step = |s: &AirStretch| s.frequencies * (s.cells / AIR_RATE + s.felt * s.felt / SHAPES_RATE);
    steps * stretches.iter().map(step).sum::<f64>()
}

/// Sums over the panel per point and frequency that the sound power takes: one per wavenumber row.
fn power_sums(scene: &Scene, lattice: &panelwright_mesh::Lattice) -> f64 {
    let (width, _) = scene.panel.outline.bounding_box();
    let rows = scene.air.wavenumber(scene.frequencies.last().copied().unwrap_or(0.0)) * width;
    rows.min(lattice.x.len() as f64)
}

/// Processor time [s] of the intensity on the panel's face, band by band.
fn intensity_time(scene: &Scene) -> f64 {
    let (Some(&low), Some(&high)) = (scene.frequencies.first(), scene.frequencies.last()) else { return 0.0 };
    let work = |band: Band| {
        let frequencies = indices_in_band(&scene.frequencies, &band).len();
        frequencies as f64 * cells_for(scene, band.upper).len() as f64
    };
    fractional_octaves(3, low, high).into_iter().map(work).sum::<f64>() / INTENSITY_RATE
}

/// Processor time [s] of the search for wave-front centres.
fn centre_time(scene: &Scene) -> f64 {
    let (width, _) = scene.panel.outline.bounding_box();
    let wavelengths = scene.frequencies.last().copied().unwrap_or(0.0) * width / scene.air.sound_speed;
    CENTRE_TIME * scene.frequencies.len() as f64 * wavelengths
}

/// Maps and modal velocities, which stay in memory for all frequencies.
fn kept_bytes(scene: &Scene, places: &Places, modes: usize) -> f64 {
    let per_frequency = 8 * (places.map.len() + places.panel.len()) + 16 * modes;
    (scene.frequencies.len() * per_frequency) as f64
}
