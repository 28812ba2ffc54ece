//! The panel of a variant: modes → motion → sound, as much as is asked for.

use super::reached;
use super::values::{self, NO_BAND, Value};
use super::{Across, Kind, MeasureError, Objective, Range, Workbench};
use crate::drive::Motion;
use crate::kept::Key;
use crate::listening::{Band, LevelReference, OutputMap, dead_spots, intensity_centre, polar, spl};
use crate::plate::{Modes, PlateError};
use crate::predict::findings::{DEAD_SPOT_DEPTH, before_the_panel, map_of, sensitivity_scale};
use crate::predict::places::Places;
use crate::predict::sound::{Sound, bands_of};
use crate::predict::{modes_up_to, moved_and_heard};
use crate::scene::Scene;
use ndarray::Array2;
use num_complex::Complex64;
use std::sync::Arc;

/// What objectives need of a panel.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Needs {
    /// Sound at the seats, or on the axis.
    pub microphones: bool,
    /// The output map.
    pub map: bool,
    /// The far field on both arcs.
    pub arcs: bool,
    /// Intensity on the panel's face.
    pub intensity: bool,
    /// The motion of exciters and amplifiers alone.
    pub motion: bool,
}

impl Needs {
    pub fn of(objectives: &[Objective]) -> Self {
        let mut needs = Self::default();
        for objective in objectives {
            match objective {
                Objective::Flatness { .. } | Objective::LowEnd { .. } | Objective::Sensitivity { .. } => {
                    needs.microphones = true;
                }
                Objective::DeadSpot { .. } | Objective::DeadArea { .. } => needs.map = true,
                Objective::Beamwidth { .. } | Objective::BeamChange { .. } => needs.arcs = true,
                Objective::Wander { .. } => needs.intensity = true,
                Objective::Excursion { .. } | Objective::Impedance { .. } => needs.motion = true,
                _ => {}
            }
        }
        needs
    }

    pub fn any(self) -> bool {
        self != Self::default()
    }

    /// Where a prediction listens, as far as it is needed: what is left out costs nothing, and changes nothing else.
    pub fn places(self, scene: &Scene) -> Places {
        let all = Places::of(scene);
        let few = Places::only(scene, all.microphones);
        Places {
            map: if self.map { all.map } else { few.map },
            angles: if self.arcs { all.angles } else { few.angles },
            ..few
        }
    }
}

/// A panel heard.
pub(super) struct Heard<'a> {
    scene: &'a Scene,
    places: Places,
    heard: Option<(Motion, Sound)>,
}

impl<'a> Heard<'a> {
    pub fn of(bench: &Workbench, scene: &'a Scene, objectives: &[Objective]) -> Result<Self, MeasureError> {
        let needs = Needs::of(objectives);
        let places = needs.places(scene);
        if !needs.any() {
            return Ok(Self { scene, places, heard: None });
        }
        if scene.frequencies.is_empty() {
            return Err(MeasureError::NoFrequency);
        }
        if scene.exciters.is_empty() {
            return Err(MeasureError::NoExciter);
        }
        let modes = modes(bench, scene)?;
        let heard = match reached::answers(bench, scene, needs) {
            true => reached::heard(bench, scene, &modes, &places, needs.map)?,
            false => moved_and_heard(scene, &modes, &places, &|_, _, _| {}),
        };
        Ok(Self { scene, places, heard: Some(heard) })
    }

    /// Levels [dB re 20 µPa] (seats, frequencies).
    pub fn levels(&self) -> Array2<f32> {
        let Some((_, sound)) = &self.heard else { return Array2::default((0, 0)) };
        let seats = self.scene.receivers.seats.len();
        Array2::from_shape_fn((seats, sound.microphones.nrows()), |(s, f)| {
            spl(sound.microphones[[f, s]]) as f32
        })
    }

    pub fn value(&self, objective: &Objective) -> Value {
        match *objective {
            Objective::Mass => return Ok(mass(self.scene)),
            Objective::Area => return Ok(self.scene.panel.outline.area()),
            _ => {}
        }
        let Some((motion, sound)) = &self.heard else { return Err("nothing was asked of the panel".into()) };
        let f = &self.scene.frequencies;
        match *objective {
            Objective::Flatness { band, over } => {
                values::unevenness_at(f, &self.at_seats(sound), &band, over)
            }
            Objective::LowEnd { drop } => values::low_end(f, &self.at_seats(sound), drop),
            Objective::Sensitivity { band } => {
                let scale = sensitivity_scale(self.scene);
                let axis: Vec<Complex64> =
                    sound.microphones.column(self.scene.receivers.seats.len()).mapv(|p| p * scale).to_vec();
                values::mean_level(f, &values::squares(&axis), &band)
            }
            Objective::DeadSpot { band } => self.deepest(sound, &band),
            Objective::DeadArea { band } => self.dead_area(sound, &band),
            Objective::Beamwidth { band, across } => {
                values::mean(self.widths(sound, &band, across).into_iter())
            }
            Objective::BeamChange { band, across } => values::change(&self.widths(sound, &band, across)),
            Objective::Wander { band } => wander(sound, &band),
            Objective::Excursion { band } => {
                let all = motion.exciters.iter().map(|exciter| largest_in(f, &exciter.excursion, &band));
                number(1e3 * values::largest(all))
            }
            Objective::Impedance { band } => {
                let negated = |z: &Vec<Complex64>| z.iter().map(|z| -z.norm()).collect::<Vec<f64>>();
                let all = motion.channels.iter().map(|load| largest_in(f, &negated(&load.impedance), &band));
                number(-values::largest(all))
            }
            _ => Err("that is not asked of a panel".into()),
        }
    }

    /// Mean squares [Pa²] at every seat.
    fn at_seats(&self, sound: &Sound) -> Vec<Vec<f64>> {
        let seats = self.scene.receivers.seats.len();
        (0..seats).map(|s| sound.microphones.column(s).iter().map(|p| p.norm_sqr()).collect()).collect()
    }

    /// The output map before the panel in the third octaves of a range.
    fn map(&self, sound: &Sound, range: &Range) -> OutputMap {
        let f = &self.scene.frequencies;
        let bands: Vec<Band> = bands_of(f).into_iter().filter(|band| range.holds(band.nominal)).collect();
        let distance = self.scene.receivers.map.distance;
        let map = map_of(f, distance, &self.places.map, &sound.map, &bands, LevelReference::SoundPressure);
        before_the_panel(&map, &self.scene.panel.outline)
    }

    /// Opposite corners [m] of the panel's box.
    fn face(&self) -> ([f64; 2], [f64; 2]) {
        let (width, height) = self.scene.panel.outline.bounding_box();
        ([0.0, 0.0], [width, height])
    }

    fn deepest(&self, sound: &Sound, range: &Range) -> Value {
        let map = self.map(sound, range);
        if map.bands.is_empty() {
            return Err(NO_BAND.into());
        }
        // Somewhere every map lies under its mean.
        let spots = dead_spots(&map, 0.0, Some(self.face()));
        number(values::largest(spots.iter().map(|spot| spot.depth)))
    }

    fn dead_area(&self, sound: &Sound, range: &Range) -> Value {
        let map = self.map(sound, range);
        if map.bands.is_empty() {
            return Err(NO_BAND.into());
        }
        let spots = dead_spots(&map, DEAD_SPOT_DEPTH, Some(self.face()));
        // From plain zero: the sum of nothing would be minus zero.
        let dead = spots.iter().fold(0.0, |sum, spot| sum + spot.area);
        Ok(100.0 * dead / (self.scene.panel.outline.area() * map.bands.len() as f64))
    }

    /// Widths of the beam [°] in the third octaves of a range.
    fn widths(&self, sound: &Sound, range: &Range, across: Across) -> Vec<f64> {
        let f = &self.scene.frequencies;
        let bands = values::third_octaves(f, range);
        let far = match across {
            Across::Horizontal => &sound.horizontal,
            Across::Vertical => &sound.vertical,
        };
        let squares = far.mapv(|amplitude| amplitude.norm_sqr());
        let found = polar(f, &self.places.angles, squares.view(), squares.view(), &bands, 1.0);
        values::widths(&self.places.angles, found.horizontal.rows().into_iter().map(|row| row.to_vec()))
    }
}

/// What the modes of a scene depend on.
pub(super) fn modes_key(scene: &Scene) -> Key {
    let panel = &scene.panel;
    let bonded = (&scene.attachments.patches, &scene.attachments.bars);
    // How far up modes are computed follows from the panel and the top of the range.
    Key::of("modes", &(&panel.outline, &panel.section, &panel.edges, bonded, scene.frequencies.last()))
}

/// Modes of the scene's panel with what is bonded to it, kept by what they depend on.
fn modes(bench: &Workbench, scene: &Scene) -> Result<Arc<Modes>, PlateError> {
    bench.once(Kind::Modes, &modes_key(scene), || {
        let modes = Modes::solve(&scene.panel, modes_up_to(scene))?.with_attached(&scene.attachments)?;
        let bytes = modes.bytes();
        Ok((modes, bytes))
    })
}

/// All that moves [kg].
fn mass(scene: &Scene) -> f64 {
    let attachments = &scene.attachments;
    let length = |[[ax, ay], [bx, by]]: [[f64; 2]; 2]| (bx - ax).hypot(by - ay);
    scene.panel.section.surface_mass * scene.panel.outline.area()
        + scene.exciters.iter().map(|e| e.moving_mass + e.magnet_mass).sum::<f64>()
        + attachments.masses.iter().map(|m| m.mass).sum::<f64>()
        + attachments.patches.iter().map(|p| p.surface_mass * p.size[0] * p.size[1]).sum::<f64>()
        + attachments.bars.iter().map(|b| b.line_mass * length(b.ends)).sum::<f64>()
}

/// Diagonal [mm] of the box that holds the centres by intensity of the third octaves of the range.
fn wander(sound: &Sound, range: &Range) -> Value {
    let inside = sound.intensity.iter().filter(|part| range.holds(part.band.nominal));
    let centres: Vec<[f64; 2]> = inside
        .filter_map(|part| {
            let weights = Array2::from_shape_vec(part.cells.shape(), part.cells.weights().collect())
                .expect("a weight for each cell");
            let (x, y) = (part.cells.x.nodes.to_vec(), part.cells.y.nodes.to_vec());
            intensity_centre(&x, &y, weights.view(), part.intensity.view()).map(|centre| centre.position)
        })
        .collect();
    let along = |axis: usize| values::change(&centres.iter().map(|centre| centre[axis]).collect::<Vec<_>>());
    Ok(1e3 * along(0)?.hypot(along(1)?))
}

fn largest_in(frequencies: &[f64], values: &[f64], range: &Range) -> f64 {
    let inside = frequencies.iter().zip(values).filter(|(f, _)| range.holds(**f));
    values::largest(inside.map(|(_, value)| *value))
}

fn number(value: f64) -> Value {
    if value.is_finite() { Ok(value) } else { Err("no frequency in the band has one".into()) }
}
