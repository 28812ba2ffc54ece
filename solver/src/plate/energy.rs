//! Where a mode stores its energy.

/// Kinds of strain energy: the columns of [`Modes::energy`](super::Modes::energy).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EnergyPart {
    /// Bending along x: D11, and half of D12.
    BendingX,
    /// Bending along y: D22, and half of D12.
    BendingY,
    /// Twisting: D66.
    Twisting,
    /// Shear through the thickness.
    Shear,
    /// Compliant supports.
    Supports,
}

impl EnergyPart {
    /// Number of parts.
    pub const COUNT: usize = 5;

    /// Every part, in the order of the columns.
    pub const ALL: [Self; Self::COUNT] =
        [Self::BendingX, Self::BendingY, Self::Twisting, Self::Shear, Self::Supports];

    /// Its column.
    pub const fn column(self) -> usize {
        self as usize
    }
}
