//! The small driver of a variant with its surround, against the bare one.

use super::values::{self, NO_BAND, Value};
use super::{Across, MeasureError, Objective, Range, Workbench};
use crate::listening::polar;
use crate::listening::{gains, spl};
use crate::scene::{DriverScene, SurroundForm};
use crate::surrounds::{Bodies, Comparison, DriverCurves, compare};
use ndarray::Array2;

/// What the driver does with the surrounds of its scene.
pub(super) struct Compared<'a> {
    scene: &'a DriverScene,
    comparison: Comparison,
}

impl<'a> Compared<'a> {
    pub fn of(bench: &Workbench, scene: &'a DriverScene) -> Result<Self, MeasureError> {
        let comparison = compare(&Bodies::of(scene)?, None, bench, &|_| {})?;
        Ok(Self { scene, comparison })
    }

    /// The last surround's curves: those of the variant.
    fn last(&self) -> Option<&DriverCurves> {
        self.comparison.variants.last().map(|variant| &variant.curves)
    }

    /// Levels [dB re 20 µPa] (seats, frequencies) with the last surround.
    pub fn levels(&self) -> Array2<f32> {
        let Some(curves) = self.last() else { return Array2::default((0, 0)) };
        let shape = (curves.seats.len(), self.comparison.frequencies.len());
        Array2::from_shape_fn(shape, |(s, f)| spl(curves.seats[s][f]) as f32)
    }

    pub fn value(&self, objective: &Objective) -> Value {
        let Some(curves) = self.last() else { return Err("the case has no surround".into()) };
        let f = &self.comparison.frequencies;
        match *objective {
            Objective::TopOctave => self.top_octave(curves),
            Objective::Ripple { band } => values::ripple(f, &values::squares(&curves.near), &band),
            Objective::DriverFlatness { band, over } => {
                values::unevenness_at(f, &at_seats(curves), &band, over)
            }
            Objective::DriverTopEnd { band } => values::top_end(f, &at_seats(curves), &band),
            Objective::DriverBeamwidth { band, across } => {
                values::mean(self.widths(curves, &band, across).into_iter())
            }
            Objective::DriverBeamChange { band, across } => {
                values::change(&self.widths(curves, &band, across))
            }
            _ => Err("that is not asked of a driver".into()),
        }
    }

    fn top_octave(&self, curves: &DriverCurves) -> Value {
        let bare = |surround: &crate::scene::Surround| matches!(surround.form, SurroundForm::Bare);
        let Some(bare) = self.scene.surrounds.iter().position(bare) else {
            return Err("the bare driver is not among the surrounds".into());
        };
        let f = &self.comparison.frequencies;
        let found = gains(f, &curves.near, &self.comparison.variants[bare].curves.near);
        let Some(top) = found.last().map(|gain| gain.band.upper) else { return Err(NO_BAND.into()) };
        let within = found.iter().filter(|gain| gain.band.lower >= 0.5 * top * (1.0 - 0.01));
        values::mean(within.map(|gain| gain.gain))
    }

    fn widths(&self, curves: &DriverCurves, range: &Range, across: Across) -> Vec<f64> {
        let (f, angles) = (&self.comparison.frequencies, &self.comparison.angles);
        let far = match across {
            Across::Horizontal => &curves.horizontal,
            Across::Vertical => &curves.vertical,
        };
        let squares = far.mapv(|amplitude| amplitude.norm_sqr());
        let bands = values::third_octaves(f, range);
        let found = polar(f, angles, squares.view(), squares.view(), &bands, 1.0);
        values::widths(angles, found.horizontal.rows().into_iter().map(|row| row.to_vec()))
    }
}

/// Mean squares [Pa²] at every seat.
fn at_seats(curves: &DriverCurves) -> Vec<Vec<f64>> {
    curves.seats.iter().map(|seat| values::squares(seat)).collect()
}
