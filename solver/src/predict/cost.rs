//! What a prediction will cost, said before it starts.

use super::MODE_MARGIN;
use super::places::Places;
use crate::plate::{Estimate, Modes};
use crate::radiation;
use crate::scene::Scene;

/// Kernel evaluations per second and core for the output map (single precision) and for single microphones (double), and
/// complex multiply-adds per second and core of the sound power: round figures of a modest machine.
const MAP_RATE: f64 = 5e8;
const MICROPHONE_RATE: f64 = 2e8;
const POWER_RATE: f64 = 5e8;

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
        let nearest = scene.receivers.map.distance;
        let tiers = radiation::panel_tiers(&scene.panel, &scene.air, &scene.frequencies, nearest);
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
            seconds: modes.seconds + sound / cores,
            modes,
        }
    }
}

/// Sums over the panel per point and frequency that the sound power takes: one per wavenumber row.
fn power_sums(scene: &Scene, lattice: &panelwright_mesh::Lattice) -> f64 {
    let (width, _) = scene.panel.outline.bounding_box();
    let rows = scene.air.wavenumber(scene.frequencies.last().copied().unwrap_or(0.0)) * width;
    rows.min(lattice.x.len() as f64)
}

/// Maps and modal velocities, which stay in memory for all frequencies.
fn kept_bytes(scene: &Scene, places: &Places, modes: usize) -> f64 {
    let per_frequency = 8 * (places.map.len() + places.panel.len()) + 16 * modes;
    (scene.frequencies.len() * per_frequency) as f64
}
