//! Crossovers between neighbours, and the channels that they come to.

use crate::filters::Chain;
use crate::scene::{Alignment, Filters, PassFilter};
use serde::Serialize;

/// Shape of a filter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Shape {
    /// Alignment.
    pub alignment: Alignment,
    /// Order.
    pub order: usize,
}

impl Shape {
    /// Those in common use.
    pub fn usual() -> Vec<Self> {
        let of = |alignment, orders: &[usize]| {
            orders.iter().map(move |&order| Self { alignment, order }).collect::<Vec<_>>()
        };
        [
            of(Alignment::Butterworth, &[1, 2, 3, 4]),
            of(Alignment::Bessel, &[2, 3, 4]),
            of(Alignment::LinkwitzRiley, &[2, 4, 8]),
        ]
        .concat()
    }

    /// The filter of this shape with this corner [Hz].
    pub fn at(self, corner: f64) -> PassFilter {
        PassFilter { alignment: self.alignment, order: self.order, corner }
    }

    /// The shape of a filter.
    pub fn of(filter: &PassFilter) -> Self {
        Self { alignment: filter.alignment, order: filter.order }
    }
}

/// A crossover from a part, low-passed, to the next one, high-passed. Delay, gain and polarity are those of the next part against the one before
/// and carry over to all parts above.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Crossover {
    /// Low-pass of the lower part.
    pub low: PassFilter,
    /// High-pass of the upper part.
    pub high: PassFilter,
    /// Delay of the upper part against the lower one [s]; negative delays the lower one.
    pub delay: f64,
    /// Gain of the upper part against the lower one [dB].
    pub gain_db: f64,
    /// True when the upper part's polarity is opposite to that of the lower one.
    pub reversed: bool,
}

impl Crossover {
    /// Both filters of one shape and corner [Hz]; equal gains.
    pub fn common(shape: Shape, corner: f64, delay: f64) -> Self {
        Self { low: shape.at(corner), high: shape.at(corner), delay, gain_db: 0.0, reversed: false }
    }

    /// Its corner [Hz]: the geometric mean of those of both filters.
    pub fn corner(&self) -> f64 {
        (self.low.corner * self.high.corner).sqrt()
    }

    /// True when its filters differ in corner or shape.
    pub fn is_split(&self) -> bool {
        self.low != self.high
    }

    /// Amplitude factor of what lies above, negative when reversed.
    pub(super) fn factor(&self) -> f64 {
        let sign = if self.reversed { -1.0 } else { 1.0 };
        sign * 10f64.powf(self.gain_db / 20.0)
    }
}

/// How a part is fed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Feed {
    /// Its filters.
    pub filters: Filters,
    /// Gain [dB].
    pub gain_db: f64,
    /// Delay [s], not negative.
    pub delay: f64,
    /// True when its polarity is reversed.
    pub reversed: bool,
}

impl Feed {
    /// Its channel.
    pub fn chain(&self) -> Chain {
        let sign = if self.reversed { -1.0 } else { 1.0 };
        Chain::new(&self.filters).amplified(sign * 10f64.powf(self.gain_db / 20.0)).delayed(self.delay)
    }
}

/// Channels of all parts, low to high, one more than crossovers; the first part keeps gain and polarity, and no delay is longer than needed.
pub fn feeds(crossovers: &[Crossover]) -> Vec<Feed> {
    let mut feeds = vec![Feed { filters: Filters::default(), gain_db: 0.0, delay: 0.0, reversed: false }];
    for crossover in crossovers {
        let Some(below) = feeds.last_mut() else { break };
        below.filters.low_pass = Some(crossover.low);
        let above = Feed {
            filters: Filters { high_pass: Some(crossover.high), ..Filters::default() },
            gain_db: below.gain_db + crossover.gain_db,
            delay: below.delay + crossover.delay,
            reversed: below.reversed != crossover.reversed,
        };
        feeds.push(above);
    }
    let earliest = feeds.iter().map(|feed| feed.delay).fold(f64::INFINITY, f64::min);
    feeds.iter_mut().for_each(|feed| feed.delay -= earliest);
    feeds
}
