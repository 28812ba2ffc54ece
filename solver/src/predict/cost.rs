//! What a prediction will cost, said before it starts.

use super::MODE_MARGIN;
use super::places::Places;
use super::sound::{self, cells_for};
use crate::listening::{Band, fractional_octaves, indices_in_band};
use crate::plate::{Estimate, Modes};
use crate::radiation::Tier;
use crate::scene::Scene;

/// Kernel evaluations per second and core for the output map (single precision) and for single microphones (double), and
/// complex multiply-adds per second and core of the sound power. All rates here are round figures of processor time, measured
/// stage by stage on eight cases of 0.2 to 3 processor seconds.
const MAP_RATE: f64 = 5e8;
const MICROPHONE_RATE: f64 = 2e8;
const POWER_RATE: f64 = 5e8;
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
/// Modes and, as costly again, the static flexibility under the feet.
const MODAL_SHARE: f64 = 2.0;

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
        let modes =
            Modes::estimate(&scene.panel, MODE_MARGIN * scene.frequencies.last().copied().unwrap_or(0.0));
        let tiers = sound::tiers(scene, &places);
        let microphones = (places.microphones.len() + places.arc.len()) as f64;
        let per_point = places.map.len() as f64 / MAP_RATE + microphones / MICROPHONE_RATE;
        let cores = rayon::current_num_threads() as f64;
        let sound: f64 = tiers
            .iter()
            .map(|tier| {
                let points = tier.lattice.len() as f64;
                tier.range.len() as f64 * points * (per_point + power_sums(scene, &tier.lattice) / POWER_RATE)
            })
            .sum();
        let panel_points = tiers.iter().map(|tier| tier.lattice.len()).max().unwrap_or(0);
        let widest = tiers.iter().map(|tier| tier.lattice.len() * tier.range.len()).max().unwrap_or(0);
        Self {
            frequencies: scene.frequencies.len(),
            map_microphones: places.map.len(),
            panel_points,
            bytes: modes.bytes as f64 + kept_bytes(scene, &places, modes.modes) + 32.0 * widest as f64,
            seconds: (MODAL_SHARE * modes.seconds
                + sound
                + intensity_time(scene)
                + centre_time(scene)
                + variation_time(scene, &places, &tiers, modes.modes as f64))
                / cores,
            modes,
        }
    }
}

/// Processor time [s] of the variations: transfers (sampled fields into the basis, basis into modes), and driving every variation.
fn variation_time(scene: &Scene, places: &Places, tiers: &[Tier], modes: f64) -> f64 {
    if scene.spread.samples == 0 {
        return 0.0;
    }
    let microphones = places.microphones.len() as f64 + WATCHED;
    let of_frequency = |tier: &Tier| {
        let steps = modes * modes + 4.0 * tier.lattice.len() as f64 * modes.sqrt();
        microphones * steps / TRANSFER_RATE + scene.spread.samples as f64 * modes / DRIVE_RATE
    };
    tiers.iter().map(|tier| tier.range.len() as f64 * of_frequency(tier)).sum()
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
