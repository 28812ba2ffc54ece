//! Which measure is impossible, and what to do.

use thiserror::Error;

/// Elements that are made at most.
const MOST_ELEMENTS: f64 = 1e6;

/// A measure of a shape that cannot be.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum ShapeFault {
    /// Not a positive number.
    #[error("the {what} is {} mm; it must be a positive number", 1e3 * value)]
    NotPositive {
        /// Measure.
        what: &'static str,
        /// What it is [m].
        value: f64,
    },
    /// Too large for the others.
    #[error("the {what} is {:.4} mm; {why}: make it less than {:.4} mm", 1e3 * value, 1e3 * most)]
    TooLarge {
        /// Measure.
        what: &'static str,
        /// What it is [m].
        value: f64,
        /// What it may be [m].
        most: f64,
        /// Why.
        why: &'static str,
    },
    /// Too small for the others.
    #[error("the {what} is {:.4} mm; {why}: make it more than {:.4} mm", 1e3 * value, 1e3 * least)]
    TooSmall {
        /// Measure.
        what: &'static str,
        /// What it is [m].
        value: f64,
        /// What it must be [m].
        least: f64,
        /// Why.
        why: &'static str,
    },
    /// An angle out of range.
    #[error(
        "the {what} is {:.2}°; it must lie above {:.2}° and not above {:.2}°",
        value.to_degrees(), range[0].to_degrees(), range[1].to_degrees()
    )]
    Angle {
        /// Measure.
        what: &'static str,
        /// What it is [rad].
        value: f64,
        /// What it may be [rad].
        range: [f64; 2],
    },
    /// A number of parts that cannot be.
    #[error("{count} {what} cannot be made; ask for {least} to {most}")]
    Count {
        /// Parts.
        what: &'static str,
        /// How many.
        count: usize,
        /// At least.
        least: usize,
        /// At most.
        most: usize,
    },
    /// A profile that is none.
    #[error("the profile {why} at radius {:.4} mm, height {:.4} mm", 1e3 * at[0], 1e3 * at[1])]
    Profile {
        /// What is wrong.
        why: &'static str,
        /// Radius and height [m].
        at: [f64; 2],
    },
    /// Sides far too short.
    #[error("sides of {} mm make about {elements:.0} elements, at most {MOST_ELEMENTS:.0} are made; ask for longer sides", 1e3 * length)]
    TooFine {
        /// Wanted length [m].
        length: f64,
        /// How many it would be.
        elements: f64,
    },
    /// A face that cannot be filled.
    #[error(
        "the flat face {what} cannot be divided into triangles: its outline crosses itself; reduce the rounding of the edges"
    )]
    Face {
        /// Which.
        what: &'static str,
    },
}

type Checked = Result<(), ShapeFault>;

/// A length [m] that must be a positive number.
pub(super) fn positive(what: &'static str, value: f64) -> Checked {
    if value > 0.0 && value.is_finite() { Ok(()) } else { Err(ShapeFault::NotPositive { what, value }) }
}

/// A length [m] that may be 0.
pub(super) fn not_negative(what: &'static str, value: f64) -> Checked {
    if value == 0.0 { Ok(()) } else { positive(what, value) }
}

/// A length [m] that must be less than another.
pub(super) fn below(what: &'static str, value: f64, most: f64, why: &'static str) -> Checked {
    if value < most { Ok(()) } else { Err(ShapeFault::TooLarge { what, value, most, why }) }
}

/// A length [m] that must be more than another.
pub(super) fn above(what: &'static str, value: f64, least: f64, why: &'static str) -> Checked {
    if value > least { Ok(()) } else { Err(ShapeFault::TooSmall { what, value, least, why }) }
}

/// A wanted length [m] of sides on about `area` [m²].
pub(super) fn sides(length: f64, area: f64) -> Checked {
    positive("length of sides", length)?;
    let elements = area / (0.433 * length * length);
    if elements > MOST_ELEMENTS { Err(ShapeFault::TooFine { length, elements }) } else { Ok(()) }
}
