//! How richly the plate's basis is furnished.

/// Size of the basis beyond what the wavelength alone demands. More never hurts but costs time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy {
    /// Polynomials per end; at a clamped end two of them are spent on its conditions.
    pub supplements: usize,
    /// Half waves along each side beyond the plate's own at the top frequency.
    pub margin: f64,
}

impl Accuracy {
    /// Every mode within 1 % at the top frequency, and far closer below (median about 1e-5).
    pub const PREDICTION: Self = Self { supplements: 3, margin: 6.0 };

    /// For comparison with published digits.
    pub const REFERENCE: Self = Self { supplements: 3, margin: 12.0 };
}
