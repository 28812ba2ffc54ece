//! A driver heard in the panel's coordinates.

use super::alone::chain;
use super::centres::driver_centre;
use crate::Prediction;
use crate::coupling::blend::{Part, Pressure};
use crate::filters::Chain;
use crate::listening::{Band, Centred, fractional_octaves};
use crate::scene::{FedDriver, Filters, Scene, SmallDriver};
use crate::surrounds::{Comparison, VariantSound};
use ndarray::Array2;
use num_complex::Complex64;

/// A driver with all its surrounds.
#[derive(Clone, Debug)]
pub struct Voice {
    /// The driver.
    pub driver: SmallDriver,
    /// What its channel does.
    pub chain: Chain,
    /// Filters of its channel.
    pub filters: Filters,
    /// Pure delay of its channel minus that of the panel's [s].
    pub later: f64,
    /// With every surround, in the case's order.
    pub surrounds: Vec<Surrounded>,
}

/// A driver with one surround.
#[derive(Clone, Debug)]
pub struct Surrounded {
    /// Its sound.
    pub part: Part,
    /// Its centre beside the panel's, band by band.
    pub centres: Vec<Centred>,
}

/// The driver of `comparison`, whose channel is `fed`'s, beside the panel.
pub(super) fn voice(
    fed: &FedDriver,
    panel: &Scene,
    (prediction, comparison): (&Prediction, &Comparison),
    panel_delay: f64,
) -> Voice {
    let later = fed.channel.delay - panel_delay;
    let heard =
        Heard { driver: &fed.scene.driver, panel, angles: (&prediction.far.angles, &comparison.angles) };
    let surrounded = |variant: &VariantSound| Surrounded {
        part: heard.part(variant),
        centres: heard.centres(prediction, variant, later),
    };
    Voice {
        driver: fed.scene.driver.clone(),
        chain: chain(&fed.channel),
        filters: fed.channel.filters.clone(),
        later,
        surrounds: comparison.variants.iter().map(surrounded).collect(),
    }
}

/// A driver heard in the panel's coordinates.
struct Heard<'a> {
    driver: &'a SmallDriver,
    /// The panel's scene: air, frequencies, middle of its arcs.
    panel: &'a Scene,
    /// Angles of the panel's arcs, a part of those of the driver's.
    angles: (&'a [f64], &'a [f64]),
}

impl Heard<'_> {
    fn part(&self, variant: &VariantSound) -> Part {
        let (curves, scene) = (&variant.curves, self.panel);
        let flown = |distance: f64, seat: &[Complex64]| -> Vec<Complex64> {
            let late = |f: f64| Complex64::cis(-scene.air.wavenumber(f) * distance);
            seat.iter().zip(&scene.frequencies).map(|(p, &f)| p * late(f)).collect()
        };
        let motor = &self.driver.motor;
        let share = |used: f64, rated: Option<f64>| rated.map_or(0.0, |rated| used / rated);
        let strain = |i: usize| {
            let power = curves.moved[i].current.norm_sqr() * curves.impedance[i].re;
            share(curves.excursion[i], motor.rated_excursion)
                .max(share(power, motor.rated_power).max(0.0).sqrt())
        };
        let distances = &curves.distances[1..];
        Part {
            name: variant.name.clone(),
            pressure: Pressure {
                seats: distances.iter().zip(&curves.seats).map(|(d, seat)| flown(*d, seat)).collect(),
                horizontal: self.about_the_panel(&curves.horizontal, 0),
                vertical: self.about_the_panel(&curves.vertical, 1),
            },
            flight: distances.iter().map(|distance| distance / scene.air.sound_speed).collect(),
            strain: (0..scene.frequencies.len()).map(strain).collect(),
        }
    }

    /// A far field about the driver's front becomes one about the panel's middle: `exp(jk u·d)`, d from the middle to the front, over the arc
    /// that turns towards this coordinate.
    fn about_the_panel(&self, far: &Array2<Complex64>, across: usize) -> Array2<Complex64> {
        let (wanted, given) = self.angles;
        let [x, y] = self.panel.panel.outline.centre();
        let [px, py, pz] = self.driver.place;
        let sideways = [px - x, py - y][across];
        let nearest = |angle: &f64| {
            let closer =
                |a: &usize, b: &usize| (given[*a] - angle).abs().total_cmp(&(given[*b] - angle).abs());
            (0..given.len()).min_by(closer).unwrap_or(0)
        };
        let columns: Vec<usize> = wanted.iter().map(nearest).collect();
        Array2::from_shape_fn((far.nrows(), wanted.len()), |(i, j)| {
            let k = self.panel.air.wavenumber(self.panel.frequencies[i]);
            let ahead = wanted[j].sin() * sideways + wanted[j].cos() * pz;
            far[[i, columns[j]]] * Complex64::cis(k * ahead)
        })
    }

    /// Centres of panel and driver in the third octaves that the frequencies cover.
    fn centres(&self, prediction: &Prediction, variant: &VariantSound, later: f64) -> Vec<Centred> {
        let f = &self.panel.frequencies;
        let centred = |band: Band| {
            let same =
                |c: &&crate::listening::AcousticCentre| (c.band.centre / band.centre - 1.0).abs() < 1e-6;
            let panel = prediction.findings.centres.iter().find(same)?;
            let [x, y] = panel.intensity.position;
            Some(Centred {
                band,
                intensity: Some([x, y, 0.0]),
                wave_front: panel.wave_front.map(|centre| centre.position),
                driver: driver_centre(self.driver, variant, (self.angles.1, f), &band, &self.panel.air)
                    .unwrap_or(self.driver.place),
                later,
            })
        };
        fractional_octaves(3, f[0], f[f.len() - 1]).into_iter().filter_map(centred).collect()
    }
}
