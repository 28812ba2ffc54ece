//! How uncertain the stiffness of strips and hangs is.

use panelwright_solver::scene::FactorRange;

/// Spread of a stiffness that the case gives in figures: by this factor up and down (common practice, no source).
const OWN: f64 = 1.5;

/// The widest range met so far; `None` without any spring.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SupportRange(Option<FactorRange>);

impl SupportRange {
    /// Takes in a stiffness from the list.
    pub fn widen(&mut self, range: FactorRange) {
        let known = self.0.unwrap_or(FactorRange::EXACT);
        self.0 = Some(FactorRange { low: known.low.min(range.low), high: known.high.max(range.high) });
    }

    /// Takes in a stiffness in figures.
    pub fn own(&mut self) {
        self.widen(FactorRange { low: 1.0 / OWN, high: OWN });
    }

    /// Takes in all of `other`.
    pub fn join(&mut self, other: Self) {
        if let Some(range) = other.0 {
            self.widen(range);
        }
    }

    /// The range; exact without any spring.
    pub fn range(self) -> FactorRange {
        self.0.unwrap_or(FactorRange::EXACT)
    }
}
