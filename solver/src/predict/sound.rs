//! Panel motion → sound at every place of a prediction, band by band.

use super::places::Places;
use crate::drive::Motion;
use crate::listening::{Band, fractional_octaves, indices_in_band};
use crate::plate::Modes;
use crate::radiation::{self, Arc, SurfaceVelocity, Tier};
use crate::scene::Scene;
use ndarray::{Array2, Array3, ArrayView3, Axis as Dimension, s};
use num_complex::Complex64;
use panelwright_mesh::Lattice;
use rayon::prelude::*;
use std::f64::consts::FRAC_PI_2;
use std::ops::Range;

/// Sound of a scene. First index: frequency.
pub(super) struct Sound {
    /// Pressure at `Places::microphones` [Pa RMS].
    pub microphones: Array2<Complex64>,
    /// Pressure at `Places::arc` [Pa RMS].
    pub arc: Array2<Complex64>,
    /// Far field on the horizontal and the vertical arc [Pa·m RMS].
    pub horizontal: Array2<Complex64>,
    /// See `horizontal`.
    pub vertical: Array2<Complex64>,
    /// Mean-square pressure on the output map [Pa²].
    pub map: Array3<f64>,
    /// Mean-square velocity on the panel [m²/s²].
    pub panel: Array3<f64>,
    /// Sound power [W].
    pub power: Vec<f64>,
    /// Active intensity [W/m²] on the panel's face, summed over the frequencies of each band.
    pub intensity: Vec<BandIntensity>,
}

/// Active intensity on the panel's face.
pub(super) struct BandIntensity {
    pub band: Band,
    pub cells: Lattice,
    pub intensity: Array2<f64>,
}

/// What all the steps need to know.
struct Hearing<'a> {
    scene: &'a Scene,
    modes: &'a Modes,
    motion: &'a Motion,
    places: &'a Places,
}

impl Sound {
    /// Computes the sound of `scene` tier by tier; `step(done, total)` counts frequencies and bands.
    pub fn of(
        scene: &Scene,
        modes: &Modes,
        motion: &Motion,
        places: &Places,
        step: &dyn Fn(usize, usize),
    ) -> Self {
        let hearing = Hearing { scene, modes, motion, places };
        let bands = hearing.bands();
        let total = scene.frequencies.len() + bands.len();
        let mut sound = Self::silence(&hearing);
        for tier in tiers(scene, places) {
            step(tier.range.start, total);
            sound.hear(&hearing, tier.range, &tier.lattice);
        }
        for (done, band) in bands.into_iter().enumerate() {
            step(scene.frequencies.len() + done, total);
            sound.intensity.push(hearing.band_intensity(band));
        }
        sound
    }

    fn silence(hearing: &Hearing) -> Self {
        let (count, places) = (hearing.scene.frequencies.len(), hearing.places);
        let ((mx, my), (px, py)) = (places.map.shape(), places.panel.shape());
        Self {
            microphones: Array2::zeros((count, places.microphones.len())),
            arc: Array2::zeros((count, places.arc.len())),
            horizontal: Array2::zeros((count, places.angles.len())),
            vertical: Array2::zeros((count, places.angles.len())),
            map: Array3::zeros((count, mx, my)),
            panel: Array3::zeros((count, px, py)),
            power: vec![0.0; count],
            intensity: Vec::new(),
        }
    }

    /// Fills in the frequencies of one tier.
    fn hear(&mut self, hearing: &Hearing, range: Range<usize>, lattice: &Lattice) {
        let velocity = hearing.velocity(range.clone(), lattice);
        self.map.slice_mut(s![range.clone(), .., ..]).assign(&hearing.map(
            range.clone(),
            lattice,
            velocity.view(),
        ));
        self.panel.slice_mut(s![range.clone(), .., ..]).assign(&hearing.panel(range.clone()));
        let surfaces = hearing.surfaces(range.clone(), lattice, velocity);
        let moments: Vec<Moment> = surfaces.par_iter().map(|surface| hearing.moment(surface)).collect();
        for (index, moment) in range.zip(moments) {
            assign(&mut self.microphones, index, &moment.microphones);
            assign(&mut self.arc, index, &moment.arc);
            assign(&mut self.horizontal, index, &moment.horizontal);
            assign(&mut self.vertical, index, &moment.vertical);
            self.power[index] = moment.power;
        }
    }
}

fn assign(array: &mut Array2<Complex64>, row: usize, values: &[Complex64]) {
    array.row_mut(row).iter_mut().zip(values).for_each(|(entry, value)| *entry = *value);
}

/// What one frequency yields apart from the maps.
struct Moment {
    microphones: Vec<Complex64>,
    arc: Vec<Complex64>,
    horizontal: Vec<Complex64>,
    vertical: Vec<Complex64>,
    power: f64,
}

impl Hearing<'_> {
    /// Third octaves that hold at least one frequency.
    fn bands(&self) -> Vec<Band> {
        let frequencies = &self.scene.frequencies;
        let (Some(&low), Some(&high)) = (frequencies.first(), frequencies.last()) else { return vec![] };
        let holds_one = |band: &Band| !indices_in_band(frequencies, band).is_empty();
        fractional_octaves(3, low, high).into_iter().filter(holds_one).collect()
    }

    /// Velocity (frequencies of `range`, nx, ny) on `lattice`.
    fn velocity(&self, range: Range<usize>, lattice: &Lattice) -> Array3<Complex64> {
        self.modes.superpose(self.motion.modal_velocity.slice(s![range, ..]), lattice)
    }

    fn surfaces<'l>(
        &self,
        range: Range<usize>,
        lattice: &'l Lattice,
        velocity: Array3<Complex64>,
    ) -> Vec<SurfaceVelocity<'l>> {
        let frequencies = &self.scene.frequencies[range];
        let fields = velocity.axis_iter(Dimension(0)).zip(frequencies);
        fields
            .map(|(field, &frequency)| SurfaceVelocity { frequency, lattice, velocity: field.to_owned() })
            .collect()
    }

    fn map(&self, range: Range<usize>, lattice: &Lattice, velocity: ArrayView3<Complex64>) -> Array3<f64> {
        let points = self.places.map_points(self.scene.receivers.map.distance);
        let frequencies = &self.scene.frequencies[range];
        let pressure = radiation::pressure_many(lattice, frequencies, velocity, &points, &self.scene.air);
        let (nx, ny) = self.places.map.shape();
        let squares = pressure.mapv(|p| p.norm_sqr());
        squares
            .into_shape_with_order((frequencies.len(), nx, ny))
            .expect("one pressure per microphone of the map")
    }

    fn panel(&self, range: Range<usize>) -> Array3<f64> {
        self.velocity(range, &self.places.panel).mapv(|v| v.norm_sqr())
    }

    fn moment(&self, surface: &SurfaceVelocity) -> Moment {
        let (air, places) = (&self.scene.air, self.places);
        let centre = self.scene.panel.outline.centre();
        let far = |arc| radiation::far_field_arc(surface, arc, &places.angles, centre, air);
        Moment {
            microphones: radiation::pressure(surface, &places.microphones, air),
            arc: radiation::pressure(surface, &places.arc, air),
            horizontal: far(Arc::Horizontal),
            vertical: far(Arc::Vertical),
            power: radiation::radiated_power(surface, air),
        }
    }

    /// Active intensity on the panel's face, summed over the frequencies in `band`.
    fn band_intensity(&self, band: Band) -> BandIntensity {
        let range = indices_in_band(&self.scene.frequencies, &band);
        let cells = cells_for(self.scene, band.upper);
        let velocity = self.velocity(range.clone(), &cells);
        let surfaces = self.surfaces(range, &cells, velocity);
        let parts: Vec<Array2<f64>> = surfaces
            .par_iter()
            .map(|surface| radiation::surface_intensity(surface, &self.scene.air))
            .collect();
        let intensity = parts.into_iter().fold(Array2::zeros(cells.shape()), |sum, part| sum + part);
        BandIntensity { band, cells, intensity }
    }
}

/// Frequencies that share a lattice fine enough for the microphone nearest to the panel's plane.
pub(super) fn tiers(scene: &Scene, places: &Places) -> Vec<Tier> {
    let heights = places.microphones.iter().map(|point| point[2]);
    let nearest = heights.fold(scene.receivers.map.distance, f64::min);
    radiation::panel_tiers(&scene.panel, &scene.air, &scene.frequencies, nearest)
}

/// Cells on the panel's face for the intensity up to `frequency` [Hz].
pub(super) fn cells_for(scene: &Scene, frequency: f64) -> Lattice {
    let panel = &scene.panel;
    let bending = [0.0, FRAC_PI_2].map(|angle| panel.section.wavenumber(frequency, angle));
    radiation::intensity_cells(&panel.outline, bending, scene.air.wavenumber(frequency))
}
