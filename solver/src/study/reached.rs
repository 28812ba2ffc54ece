//! A panel on which exciters move: what a force anywhere does is known, so a variant is its feet, one small network per frequency, and sums.
//!
//! ```text
//! Modes ─▶ Reach (kept): a, Y ─▶ φ̄ under the feet ─▶ network: forces F ─▶ p = Σ_e (a φ̄_e) F_e
//! ```
//!
//! Sound from a force is that of a prediction, by reciprocity; the mobility under and between the feet joins the [`COUPLED`] modes on which the air
//! tells most, each other mode carries its own air (see [`Reach`], also for how far that is off).

use super::panel::Needs;
use super::panel::modes_key;
use super::{Kind, MeasureError, Workbench};
use crate::drive::{Motion, solve_on};
use crate::kept::Key;
use crate::plate::Modes;
use crate::predict::places::Places;
use crate::predict::sound::Sound;
use crate::scene::{Back, Scene, Seat};
use crate::search::exciters::{Feet, Reach};
use ndarray::{Array2, Array3, Axis, concatenate};
use num_complex::Complex64;
use std::sync::Arc;

/// Modes that the air joins under a foot.
pub(super) const COUPLED: usize = 128;

/// Whether what is needed of a scene comes from here.
pub(super) fn answers(bench: &Workbench, scene: &Scene, needs: Needs) -> bool {
    bench.moves_exciters() && is_known(scene, needs)
}

/// Whether what is needed of such a scene can be had from single places.
pub(super) fn is_known(scene: &Scene, needs: Needs) -> bool {
    let back = matches!(scene.panel.back, Back::Baffled | Back::Closed { .. });
    back && !needs.arcs && !needs.intensity
}

/// Motion of exciters and amplifiers, and the sound at the microphones and, if `mapped`, on the map.
pub(super) fn heard(
    bench: &Workbench,
    scene: &Scene,
    modes: &Modes,
    places: &Places,
    mapped: bool,
) -> Result<(Motion, Sound), MeasureError> {
    let listening = Listening::of(scene, places, mapped);
    let reach = listening.reach(bench, scene, modes)?;
    let feet = feet(scene, modes);
    let motion = solve_on(scene, &mobility(&reach, &feet));
    let pressure = pressure(&reach, &feet, &motion);
    let mut sound = Sound::silence(scene, places);
    let single = places.microphones.len();
    for (index, row) in pressure.outer_iter().enumerate() {
        let (microphones, map) = row.split_at(Axis(0), single);
        sound.microphones.row_mut(index).assign(&microphones);
        let squares = sound.map.index_axis_mut(Axis(0), index).into_iter().zip(map);
        squares.for_each(|(square, p)| *square = p.norm_sqr());
    }
    Ok((motion, sound))
}

/// Everywhere that is listened at: microphones, then those of the map.
pub(super) struct Listening(Vec<[f64; 3]>);

impl Listening {
    pub fn of(scene: &Scene, places: &Places, mapped: bool) -> Self {
        let map = if mapped { places.map_points(scene.receivers.map.distance) } else { vec![] };
        Self(places.microphones.iter().copied().chain(map).collect())
    }

    /// How many places.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// What the reach of a panel to these places depends on.
    pub fn key(&self, scene: &Scene) -> Key {
        let fixed = (&scene.attachments.masses, &scene.attachments.hangs);
        let receivers =
            (scene.receivers.floor.map(|floor| [floor.y, floor.reflection]), scene.receivers.map.distance);
        let panel = (modes_key(scene).to_string(), scene.panel.back, fixed);
        Key::of("reach", &(panel, &scene.air, &self.0, receivers, &scene.frequencies))
    }

    /// The reach of the panel to these places.
    fn reach(&self, bench: &Workbench, scene: &Scene, modes: &Modes) -> Result<Arc<Reach>, MeasureError> {
        let seat = |&position: &[f64; 3]| Seat { name: String::new(), position };
        let mut listened = scene.clone();
        listened.receivers.seats = self.0.iter().map(seat).collect();
        bench.once(Kind::Reach, &self.key(scene), || {
            let reach = bench.together(|| Reach::with_coupled(&listened, modes, COUPLED, &|_, _| {}))?;
            let bytes = reach.bytes();
            Ok((reach, bytes))
        })
    }
}

/// The feet of the scene's exciters, whatever their diameters.
fn feet(scene: &Scene, modes: &Modes) -> Feet {
    let each: Vec<Feet> = (scene.exciters.iter())
        .map(|exciter| Feet::at(modes, exciter.foot_diameter, &[exciter.position]))
        .collect();
    let shapes: Vec<_> = each.iter().map(|foot| foot.shapes.view()).collect();
    Feet {
        positions: scene.exciters.iter().map(|exciter| exciter.position).collect(),
        shapes: concatenate(Axis(0), &shapes).expect("one value per mode"),
        residual: each.iter().flat_map(|foot| foot.residual.iter().copied()).collect(),
    }
}

/// Mobility [m/(N·s)] at and between the feet, frequency by frequency.
fn mobility(reach: &Reach, feet: &Feet) -> Vec<Array2<Complex64>> {
    let count = feet.len();
    let pairs: Vec<[usize; 2]> = (0..count).flat_map(|i| (i + 1..count).map(move |j| [i, j])).collect();
    let own = reach.mobility(feet, 0..count);
    let between = reach.between(feet, &pairs);
    let matrix = |index: usize| {
        let mut y = Array2::from_diag(&own.row(index));
        for (&[i, j], &value) in pairs.iter().zip(between.row(index)) {
            [y[(i, j)], y[(j, i)]] = [value; 2];
        }
        y
    };
    (0..reach.frequencies.len()).map(matrix).collect()
}

/// Pressure [Pa RMS] (frequencies, places) of the exciters' forces.
fn pressure(reach: &Reach, feet: &Feet, motion: &Motion) -> Array2<Complex64> {
    let per_newton: Array3<_> = reach.per_force(feet, 0..feet.len());
    let (frequencies, places, _) = per_newton.dim();
    Array2::from_shape_fn((frequencies, places), |(f, place)| {
        let one = |(e, exciter): (usize, &crate::drive::ExciterMotion)| {
            let heard = per_newton[(f, place, e)];
            Complex64::new(heard.re.into(), heard.im.into()) * exciter.force[f]
        };
        motion.exciters.iter().enumerate().map(one).sum()
    })
}
