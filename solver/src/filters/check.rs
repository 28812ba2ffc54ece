//! What a filter must satisfy before it is used.

use crate::scene::{Alignment, BandShape, Biquad, EqualiserBand, PassFilter, Realisation};
use thiserror::Error;

/// Highest order of high-pass and low-pass.
pub const HIGHEST_ORDER: usize = 8;

/// Why a filter cannot be used.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum FilterError {
    /// Order out of range.
    #[error("a filter of order {order} is not offered: orders go from 1 to {HIGHEST_ORDER}")]
    Order {
        /// As asked for.
        order: usize,
    },
    /// Linkwitz–Riley of odd order.
    #[error("a Linkwitz-Riley filter is a Butterworth filter twice: its order is even, not {order}")]
    Odd {
        /// As asked for.
        order: usize,
    },
    /// A frequency or a quality factor that is no positive number.
    #[error("a filter's {what} must be more than 0, it is {value}")]
    NotPositive {
        /// Which figure.
        what: &'static str,
        /// As given.
        value: f64,
    },
    /// A gain that is no number.
    #[error("a filter's gain must be a number of dB, it is {value}")]
    Gain {
        /// As given.
        value: f64,
    },
    /// A frequency that samples cannot carry.
    #[error("{frequency} Hz is not below half the sample rate of {sample_rate} Hz")]
    AboveHalfTheRate {
        /// Corner or centre [Hz].
        frequency: f64,
        /// Sample rate [Hz].
        sample_rate: f64,
    },
    /// A biquad whose output grows without end.
    #[error("the biquad with a1 = {}, a2 = {} is unstable: a pole lies {radius} from the origin, not inside the unit circle", a[0], a[1])]
    Unstable {
        /// a1, a2.
        a: [f64; 2],
        /// Largest distance of a pole from the origin of the z plane.
        radius: f64,
    },
    /// A coefficient that is no number.
    #[error("a biquad's coefficients must be finite numbers")]
    NoNumber,
}

/// A high-pass or low-pass made as `made` says.
///
/// # Errors
/// Order, corner, or corner against the sample rate.
pub fn check_pass(filter: &PassFilter, made: &Realisation) -> Result<(), FilterError> {
    let order = filter.order;
    if !(1..=HIGHEST_ORDER).contains(&order) {
        return Err(FilterError::Order { order });
    }
    if filter.alignment == Alignment::LinkwitzRiley && order % 2 == 1 {
        return Err(FilterError::Odd { order });
    }
    frequency("corner", filter.corner, made)
}

/// A band of an equaliser made as `made` says.
///
/// # Errors
/// Gain, quality factor, frequency, or frequency against the sample rate.
pub fn check_band(band: &EqualiserBand, made: &Realisation) -> Result<(), FilterError> {
    let (gain, q) = match band.shape {
        BandShape::Peaking { gain_db, q }
        | BandShape::LowShelf { gain_db, q }
        | BandShape::HighShelf { gain_db, q } => (gain_db, q),
        BandShape::Notch { q } | BandShape::AllPass { q } => (0.0, q),
    };
    if !gain.is_finite() {
        return Err(FilterError::Gain { value: gain });
    }
    positive("quality factor", q)?;
    frequency("frequency", band.frequency, made)
}

/// A biquad given by its coefficients.
///
/// # Errors
/// Instability, or a coefficient that is not finite.
pub fn check_biquad(biquad: &Biquad) -> Result<(), FilterError> {
    if !biquad.b.iter().chain(&biquad.a).all(|c| c.is_finite()) {
        return Err(FilterError::NoNumber);
    }
    if biquad.is_stable() {
        return Ok(());
    }
    let radius = biquad.poles().iter().map(|pole| pole.norm()).fold(0.0, f64::max);
    Err(FilterError::Unstable { a: biquad.a, radius })
}

fn frequency(what: &'static str, frequency: f64, made: &Realisation) -> Result<(), FilterError> {
    positive(what, frequency)?;
    match *made {
        Realisation::Digital { sample_rate, .. } if frequency >= 0.5 * sample_rate => {
            Err(FilterError::AboveHalfTheRate { frequency, sample_rate })
        }
        _ => Ok(()),
    }
}

fn positive(what: &'static str, value: f64) -> Result<(), FilterError> {
    if value > 0.0 && value.is_finite() { Ok(()) } else { Err(FilterError::NotPositive { what, value }) }
}
