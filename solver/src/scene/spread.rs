//! How far a built panel may differ from the described one.

use serde::Serialize;

/// A range of factors about 1: `low ≤ 1 ≤ high`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FactorRange {
    /// Smallest factor.
    pub low: f64,
    /// Largest factor.
    pub high: f64,
}

impl FactorRange {
    /// No spread.
    pub const EXACT: Self = Self { low: 1.0, high: 1.0 };

    /// `1 ± share`.
    pub fn about_one(share: f64) -> Self {
        Self { low: (1.0 - share).max(0.0), high: 1.0 + share }
    }

    /// The factor at `u` of 0 to 1: 1 at the middle, geometric on either side (factors multiply).
    pub fn at(&self, u: f64) -> f64 {
        let (end, share) = if u < 0.5 { (self.low, 1.0 - 2.0 * u) } else { (self.high, 2.0 * u - 1.0) };
        end.max(f64::MIN_POSITIVE).powf(share)
    }
}

/// Thickness of the panel, which carries stiffness and mass along: a common cause.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ThicknessSpread {
    /// Thickness.
    pub range: FactorRange,
    /// How stiffness follows it, along x, along y, in twist and in shear: the exponent e of `(thickness)^e`. 3, 3, 3 and 1 for a plain sheet.
    pub stiffness: [f64; 4],
    /// How mass per area follows it: 1 for a plain sheet, less with paint or glue.
    pub surface_mass: f64,
}

impl ThicknessSpread {
    /// No spread.
    pub const EXACT: Self = Self { range: FactorRange::EXACT, stiffness: [0.0; 4], surface_mass: 0.0 };
}

/// Spread of material and workmanship. Stiffnesses vary independently of each other.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Spread {
    /// Number of variations; 0 switches the band of uncertainty off.
    pub samples: usize,
    /// Bending stiffness along x.
    pub along_x: FactorRange,
    /// Bending stiffness along y.
    pub along_y: FactorRange,
    /// Twisting stiffness.
    pub twist: FactorRange,
    /// Shear stiffness.
    pub shear: FactorRange,
    /// Mass per area.
    pub surface_mass: FactorRange,
    /// Thickness, on top of the figures above.
    pub thickness: ThicknessSpread,
    /// Loss factors.
    pub loss: FactorRange,
    /// Stiffness of strips and hangs.
    pub supports: FactorRange,
    /// Positions of exciters, masses and hangs: at most this far off in each direction [m].
    pub position: f64,
}

impl Spread {
    /// No band of uncertainty.
    pub fn none() -> Self {
        let exact = FactorRange::EXACT;
        Self {
            samples: 0,
            along_x: exact,
            along_y: exact,
            twist: exact,
            shear: exact,
            surface_mass: exact,
            thickness: ThicknessSpread::EXACT,
            loss: exact,
            supports: exact,
            position: 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn factors_are_one_in_the_middle_and_reach_both_ends() {
        let range = FactorRange { low: 0.5, high: 3.0 };
        for (u, factor) in [(0.0, 0.5), (0.5, 1.0), (1.0, 3.0), (0.75, 3f64.sqrt())] {
            approx::assert_relative_eq!(range.at(u), factor, max_relative = 1e-12);
        }
        assert_eq!(FactorRange::EXACT.at(0.3), 1.0);
    }
}
