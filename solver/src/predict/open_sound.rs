//! The open-backed panel: motion and sound together, as the jump of pressure that loads the panel is also what is heard.

use super::places::Places;
use super::sound::{BandIntensity, Moment, Sound, bands_of};
use super::unfinished::air_unfinished;
use crate::coupling::air_on_panel::{OpenPanel, OpenState, felt_modes, wall_of};
use crate::drive::{Drive, Motion, Settled};
use crate::listening::{Band, indices_in_band};
use crate::plate::Modes;
use crate::radiation::screen::{Dipoles, ParallelWall, PlaneSampler, ScreenGrid};
use crate::radiation::{Arc, nearest_distance};
use crate::scene::Scene;
use ndarray::{Array2, s};
use num_complex::Complex64;
use rayon::prelude::*;
use std::f64::consts::{FRAC_PI_2, TAU};
use std::ops::Range;

/// Cells per wavelength of the shorter of bending and sound waves.
const CELLS_PER_WAVELENGTH: f64 = 8.0;
/// Fewest cells along the longer side: they resolve the edge and the lowest modes to 0.1 dB.
const FEWEST_CELLS: f64 = 48.0;
/// The nearest receiver is at least this many cells away; nearer than 10 mm is not believed anyway.
const NEAREST_CELLS: f64 = 1.5;
const NEAREST: f64 = 0.01;
/// Cells between the panel and a wall.
const WALL_CELLS: f64 = 2.0;

/// What all steps need.
struct Open<'a> {
    scene: &'a Scene,
    modes: &'a Modes,
    drive: &'a Drive<'a>,
    places: &'a Places,
    wall: Option<ParallelWall>,
}

/// One frequency.
struct OpenMoment {
    settled: Settled,
    shortfall: Option<f64>,
    moment: Moment,
    map: Array2<f64>,
    intensity: Array2<f64>,
}

/// Motion and sound of an open-backed panel; `step(done, total)` counts frequencies.
pub(super) fn of(
    scene: &Scene,
    modes: &Modes,
    places: &Places,
    step: &dyn Fn(usize, usize),
) -> (Motion, Sound) {
    let drive = Drive::new(scene, modes);
    let open = Open { scene, modes, drive: &drive, places, wall: wall_of(scene.panel.back) };
    let mut sound = Sound::silence(scene, places);
    let (mut settled, mut shortfalls) = (vec![], vec![]);
    for (range, band) in stretches(&scene.frequencies) {
        step(range.start, scene.frequencies.len());
        let (motions, missing): (Vec<_>, Vec<_>) = open.hear(&mut sound, range, band).into_iter().unzip();
        settled.extend(motions);
        shortfalls.extend(missing);
    }
    let mut motion = drive.motion(&settled);
    motion.warnings.extend(air_unfinished(&scene.frequencies, &shortfalls));
    for range in stretches(&scene.frequencies).into_iter().map(|(range, _)| range) {
        let velocity = modes.superpose(motion.modal_velocity.slice(s![range.clone(), ..]), &places.panel);
        sound.panel.slice_mut(s![range, .., ..]).assign(&velocity.mapv(|v| v.norm_sqr()));
    }
    (motion, sound)
}

/// The frequencies band by band, and what lies below the lowest band or above the highest.
pub(crate) fn stretches(frequencies: &[f64]) -> Vec<(Range<usize>, Option<Band>)> {
    let mut stretches = vec![];
    let mut next = 0;
    for band in bands_of(frequencies) {
        let range = indices_in_band(frequencies, &band);
        stretches.push((next..range.start, None));
        next = range.end;
        stretches.push((range, Some(band)));
    }
    stretches.push((next..frequencies.len(), None));
    stretches.retain(|(range, _)| !range.is_empty());
    stretches
}

/// Size of the cells [m] up to `frequency` [Hz].
pub(super) fn cell_for(scene: &Scene, places: &Places, frequency: f64) -> f64 {
    let panel = &scene.panel;
    let (width, height) = panel.outline.bounding_box();
    let bending = [0.0, FRAC_PI_2].map(|angle| panel.section.wavenumber(frequency, angle));
    let shortest = TAU / bending[0].max(bending[1]).max(scene.air.wavenumber(frequency));
    let nearest = nearest_distance(&panel.outline, &places.microphones).min(scene.receivers.map.distance);
    let wall = wall_of(panel.back).map_or(f64::INFINITY, |wall| wall.distance / WALL_CELLS);
    (shortest / CELLS_PER_WAVELENGTH)
        .min(width.max(height) / FEWEST_CELLS)
        .min(nearest.max(NEAREST) / NEAREST_CELLS)
        .min(wall)
}

impl Open<'_> {
    /// Hears the frequencies of one stretch; motion, and where the iteration stopped short.
    fn hear(
        &self,
        sound: &mut Sound,
        range: Range<usize>,
        band: Option<Band>,
    ) -> Vec<(Settled, Option<f64>)> {
        let frequencies = &self.scene.frequencies[range.clone()];
        let top = frequencies.last().copied().unwrap_or(0.0);
        let grid = ScreenGrid::new(&self.scene.panel.outline, cell_for(self.scene, self.places, top));
        let sampled = self.modes.sampled(&grid.lattice);
        let (drive, wall, air) = (self.drive, self.wall, &self.scene.air);
        let [hx, hy] = grid.cell();
        let felt = felt_modes(self.modes, &self.scene.panel.section, hx.max(hy), top);
        let panel = OpenPanel { drive, grid: &grid, modes: &sampled, felt, wall, air };
        let plane = PlaneSampler::new(&grid, &self.places.map);
        let moments: Vec<OpenMoment> =
            frequencies.par_iter().map(|&frequency| self.moment(&panel, &plane, frequency)).collect();
        let mut intensity = Array2::zeros(grid.lattice.shape());
        let mut settled = Vec::with_capacity(moments.len());
        for (index, one) in range.zip(moments) {
            sound.put(index, &one.moment);
            sound.map.slice_mut(s![index, .., ..]).assign(&one.map);
            intensity += &one.intensity;
            settled.push((one.settled, one.shortfall));
        }
        if let Some(band) = band {
            sound.intensity.push(BandIntensity { band, cells: grid.lattice.clone(), intensity });
        }
        settled
    }

    fn moment(&self, panel: &OpenPanel, plane: &PlaneSampler, frequency: f64) -> OpenMoment {
        let (scene, places, air) = (self.scene, self.places, panel.air);
        let OpenState { settled, jump } = panel.at(frequency);
        let dipoles = Dipoles::new(panel.grid, frequency, panel.wall, &jump);
        let centre = scene.panel.outline.centre();
        let velocity = panel.modes.superpose(&settled.modal_velocity);
        let far = |arc| dipoles.far_field_arc(arc, &places.angles, centre, air);
        let moment = Moment {
            microphones: self.heard(&dipoles, &places.microphones),
            arc: self.heard(&dipoles, &places.arc),
            horizontal: far(Arc::Horizontal),
            vertical: far(Arc::Vertical),
            power: dipoles.power_of(&velocity, air),
        };
        OpenMoment {
            moment,
            map: self.map(&dipoles, plane).mapv(|p| p.norm_sqr()),
            intensity: dipoles.front_intensity(&jump, &velocity, air),
            shortfall: jump.shortfall(),
            settled,
        }
    }

    /// Pressure at single points, the floor included.
    fn heard(&self, dipoles: &Dipoles, points: &[[f64; 3]]) -> Vec<Complex64> {
        let mut pressure = dipoles.pressure(points, &self.scene.air);
        if let Some((mirrored, reflection)) = self.scene.receivers.in_the_floor(points) {
            let below = dipoles.pressure(&mirrored, &self.scene.air);
            pressure.iter_mut().zip(below).for_each(|(p, below)| *p += reflection * below);
        }
        pressure
    }

    /// Pressure on the map, the floor included.
    fn map(&self, dipoles: &Dipoles, plane: &PlaneSampler) -> Array2<Complex64> {
        let distance = self.scene.receivers.map.distance;
        let mut pressure = plane.pressure(dipoles, distance, &self.scene.air);
        if let Some((mirrored, reflection)) =
            self.scene.receivers.in_the_floor(&self.places.map_points(distance))
        {
            let below = dipoles.pressure(&mirrored, &self.scene.air);
            pressure.iter_mut().zip(below).for_each(|(p, below)| *p += reflection * below);
        }
        pressure
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_frequency_is_heard_once() {
        let frequencies: Vec<f64> = (0..40).map(|i| 31.0 * 1.13f64.powi(i)).collect();
        let stretches = stretches(&frequencies);
        let heard: Vec<usize> = stretches.iter().flat_map(|(range, _)| range.clone()).collect();
        assert_eq!(heard, (0..40).collect::<Vec<_>>());
        assert!(stretches.iter().filter(|(_, band)| band.is_none()).count() <= 2);
    }
}
