//! Where a mode stores its energy, and what it therefore loses.

use super::strain::Term;
use ndarray::{Array1, Array2};

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

/// Shares (modes, parts) of energies (modes, terms); rigid modes, without energy, keep zeros.
pub(super) fn shares(energies: &Array2<f64>, terms: &[Term]) -> Array2<f64> {
    let mut shares = Array2::zeros((energies.nrows(), EnergyPart::COUNT));
    for (row, mut share) in energies.rows().into_iter().zip(shares.rows_mut()) {
        for (energy, term) in row.iter().zip(terms) {
            share[term.part.column()] += energy;
        }
        let whole = row.sum();
        if whole > 0.0 {
            share /= whole;
        }
    }
    shares
}

/// Loss factors: those of the parts at the mode's frequency [Hz], weighted by energy (E. E. Ungar & E. M. Kerwin, J. Acoust. Soc. Am.
/// 34 (1962) 954–957). A rigid mode, which strains nothing, gets the bending loss.
pub(super) fn loss_factors(energies: &Array2<f64>, terms: &[Term], frequencies: &Array1<f64>) -> Array1<f64> {
    (energies.rows().into_iter().zip(frequencies))
        .map(|(row, &frequency)| {
            let lost: f64 =
                row.iter().zip(terms).map(|(energy, term)| energy * term.loss.at(frequency)).sum();
            let whole = row.sum();
            if whole > 0.0 { lost / whole } else { terms[0].loss.at(frequency) }
        })
        .collect()
}
