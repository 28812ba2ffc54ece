//! Panel motion → sound at every place of a prediction, band by band, for a panel in a baffle; [`open_sound`](super::open_sound) has the
//! open-backed one.
//!
//! A floor is heard as the panel's image at the receivers. That the image also loads the panel is left out: fine while the panel's
//! centre is more than half its height above the floor, or the wavelength short against that distance.

use super::margin::modes_up_to;
use super::places::Places;
use crate::drive::Motion;
use crate::listening::{Band, fractional_octaves, indices_in_band};
use crate::plate::Modes;
use crate::radiation::{self, Arc, PointSources, SurfaceVelocity, Tier};
use crate::scene::{Back, Scene};
use ndarray::{Array2, Array3, ArrayView3, Axis as Dimension, s};
use num_complex::Complex64;
use panelwright_mesh::Lattice;
use rayon::prelude::*;
use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::ops::Range;

/// Sound of a scene. First index: frequency.
pub(crate) struct Sound {
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
pub(crate) struct BandIntensity {
    pub band: Band,
    pub cells: Lattice,
    pub intensity: Array2<f64>,
}

/// What all the steps need to know.
struct Hearing<'a> {
    scene: &'a Scene,
    modes: &'a Modes,
    motion: &'a Motion,
    /// Volume velocity out of the vent at each frequency [m³/s RMS].
    vent_flow: &'a [Complex64],
    places: &'a Places,
}

impl Sound {
    /// Computes the sound of `scene` tier by tier from its motion and the flow out of its vent [m³/s RMS]; `step(done, total)` counts
    /// frequencies and bands.
    pub fn of(
        scene: &Scene,
        modes: &Modes,
        (motion, vent_flow): (&Motion, &[Complex64]),
        places: &Places,
        step: &dyn Fn(usize, usize),
    ) -> Self {
        let hearing = Hearing { scene, modes, motion, vent_flow, places };
        let bands = bands_of(&scene.frequencies);
        let total = scene.frequencies.len() + bands.len();
        let mut sound = Self::silence(scene, places);
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

    /// Room for the sound of `scene`.
    pub fn silence(scene: &Scene, places: &Places) -> Self {
        let count = scene.frequencies.len();
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
        let moments: Vec<Moment> = surfaces
            .par_iter()
            .zip(range.clone())
            .map(|(surface, index)| hearing.moment(surface, index))
            .collect();
        for (index, moment) in range.zip(moments) {
            self.put(index, &moment);
        }
    }

    /// Enters what one frequency yields.
    pub fn put(&mut self, index: usize, moment: &Moment) {
        assign(&mut self.microphones, index, &moment.microphones);
        assign(&mut self.arc, index, &moment.arc);
        assign(&mut self.horizontal, index, &moment.horizontal);
        assign(&mut self.vertical, index, &moment.vertical);
        self.power[index] = moment.power;
    }
}

fn assign(array: &mut Array2<Complex64>, row: usize, values: &[Complex64]) {
    array.row_mut(row).iter_mut().zip(values).for_each(|(entry, value)| *entry = *value);
}

/// What one frequency yields apart from the maps; see [`Sound`].
pub(crate) struct Moment {
    pub microphones: Vec<Complex64>,
    pub arc: Vec<Complex64>,
    pub horizontal: Vec<Complex64>,
    pub vertical: Vec<Complex64>,
    pub power: f64,
}

/// Third octaves that hold at least one frequency.
pub(crate) fn bands_of(frequencies: &[f64]) -> Vec<Band> {
    let (Some(&low), Some(&high)) = (frequencies.first(), frequencies.last()) else { return vec![] };
    let holds_one = |band: &Band| !indices_in_band(frequencies, band).is_empty();
    fractional_octaves(3, low, high).into_iter().filter(holds_one).collect()
}

impl Hearing<'_> {
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
        let frequencies = &self.scene.frequencies[range.clone()];
        let air = &self.scene.air;
        let mut pressure = radiation::pressure_many(lattice, frequencies, velocity, &points, air);
        if let Some((mirrored, reflection)) = self.scene.receivers.in_the_floor(&points) {
            let below = radiation::pressure_many(lattice, frequencies, velocity, &mirrored, air);
            pressure.scaled_add(reflection.into(), &below);
        }
        for (mut row, index) in pressure.axis_iter_mut(Dimension(0)).zip(range) {
            row.iter_mut().zip(self.of_the_vent(index, &points)).for_each(|(p, vent)| *p += vent);
        }
        let (nx, ny) = self.places.map.shape();
        let squares = pressure.mapv(|p| p.norm_sqr());
        squares
            .into_shape_with_order((frequencies.len(), nx, ny))
            .expect("one pressure per microphone of the map")
    }

    fn panel(&self, range: Range<usize>) -> Array3<f64> {
        self.velocity(range, &self.places.panel).mapv(|v| v.norm_sqr())
    }

    fn moment(&self, surface: &SurfaceVelocity, index: usize) -> Moment {
        let (air, places) = (&self.scene.air, self.places);
        let centre = self.scene.panel.outline.centre();
        let vent = self.vent(index);
        let far = |arc| {
            let mut amplitude = radiation::far_field_arc(surface, arc, &places.angles, centre, air);
            if let Some(vent) = &vent {
                let along = |angle: &f64| match arc {
                    Arc::Horizontal => [angle.sin(), 0.0],
                    Arc::Vertical => [0.0, angle.sin()],
                };
                let directions: Vec<[f64; 2]> = places.angles.iter().map(along).collect();
                let of_vent =
                    radiation::far_field_of_sources(vent, surface.frequency, &directions, centre, air);
                amplitude.iter_mut().zip(of_vent).for_each(|(sum, vent)| *sum += vent);
            }
            amplitude
        };
        let heard = |points: &[[f64; 3]]| {
            let mut pressure = radiation::pressure(surface, points, air);
            if let Some((mirrored, reflection)) = self.scene.receivers.in_the_floor(points) {
                let below = radiation::pressure(surface, &mirrored, air);
                pressure.iter_mut().zip(below).for_each(|(p, below)| *p += reflection * below);
            }
            pressure.iter_mut().zip(self.of_the_vent(index, points)).for_each(|(p, vent)| *p += vent);
            pressure
        };
        let of_the_vent = |vent: &PointSources| {
            let k = air.wavenumber(surface.frequency);
            let alone = air.impedance() * k * k / TAU * self.vent_flow[index].norm_sqr();
            alone + vent.mutual_power(&PointSources::from(surface), surface.frequency, air)
        };
        Moment {
            microphones: heard(&places.microphones),
            arc: heard(&places.arc),
            horizontal: far(Arc::Horizontal),
            vertical: far(Arc::Vertical),
            power: radiation::radiated_power(surface, air) + vent.as_ref().map_or(0.0, of_the_vent),
        }
    }

    /// The vent as a point source in the baffle, just below the panel. Its sound does not push on the panel: that is little against the air in the space.
    fn vent(&self, index: usize) -> Option<PointSources> {
        let Back::Vented { vent_area, .. } = self.scene.panel.back else { return None };
        let below = [self.scene.panel.outline.centre()[0], -(vent_area / PI).sqrt()];
        Some(PointSources::new([below], [self.vent_flow[index]]))
    }

    /// Pressure of the vent and its image in the floor; nothing without a vent.
    fn of_the_vent(&self, index: usize, points: &[[f64; 3]]) -> Vec<Complex64> {
        let Some(vent) = self.vent(index) else { return vec![] };
        let (frequency, air) = (self.scene.frequencies[index], &self.scene.air);
        let mut pressure = radiation::rayleigh_integral(&vent, frequency, points, air);
        if let Some((mirrored, reflection)) = self.scene.receivers.in_the_floor(points) {
            let below = radiation::rayleigh_integral(&vent, frequency, &mirrored, air);
            pressure.iter_mut().zip(below).for_each(|(p, below)| *p += reflection * below);
        }
        pressure
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

/// Frequencies that share a lattice fine enough for the modes and for the microphone nearest to the panel's plane.
pub(crate) fn tiers(scene: &Scene, places: &Places) -> Vec<Tier> {
    let heights = places.microphones.iter().map(|point| point[2]);
    let nearest = heights.fold(scene.receivers.map.distance, f64::min);
    radiation::panel_tiers(&scene.panel, &scene.air, &scene.frequencies, modes_up_to(scene), nearest)
}

/// Cells on the panel's face for the intensity up to `frequency` [Hz].
pub(crate) fn cells_for(scene: &Scene, frequency: f64) -> Lattice {
    let panel = &scene.panel;
    let bending = [0.0, FRAC_PI_2].map(|angle| panel.section.wavenumber(frequency, angle));
    radiation::intensity_cells(&panel.outline, bending, scene.air.wavenumber(frequency))
}
