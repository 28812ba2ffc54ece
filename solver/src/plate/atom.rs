//! The raw functions of which line functions are made.

/// One raw function of the local coordinate ζ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Atom {
    /// Legendre polynomial of this degree.
    Legendre(usize),
    /// `cos κζ`.
    Cosine(f64),
    /// `sin κζ`.
    Sine(f64),
    /// `upper e^(−σ(1 − ζ)) + lower e^(−σ(1 + ζ))`: dies away from the ends.
    Layer {
        /// Decay σ.
        sigma: f64,
        /// Value at the upper end.
        upper: f64,
        /// Value at the lower end.
        lower: f64,
    },
}

impl Atom {
    /// Value, first and second derivative at ζ.
    pub fn jet(self, zeta: f64) -> [f64; 3] {
        match self {
            Self::Legendre(degree) => legendre_jet(degree, zeta),
            Self::Cosine(kappa) => {
                let (sin, cos) = (kappa * zeta).sin_cos();
                [cos, -kappa * sin, -kappa * kappa * cos]
            }
            Self::Sine(kappa) => {
                let (sin, cos) = (kappa * zeta).sin_cos();
                [sin, kappa * cos, -kappa * kappa * sin]
            }
            Self::Layer { sigma, upper, lower } => {
                let (up, low) =
                    (upper * (-sigma * (1.0 - zeta)).exp(), lower * (-sigma * (1.0 + zeta)).exp());
                [up + low, sigma * (up - low), sigma * sigma * (up + low)]
            }
        }
    }

    /// Wavenumber of the wave it is; 0 if it is none.
    pub fn wavenumber(self) -> f64 {
        match self {
            Self::Legendre(_) | Self::Layer { .. } => 0.0,
            Self::Cosine(kappa) | Self::Sine(kappa) => kappa,
        }
    }
}

/// Legendre polynomial and two derivatives by `(n+1) P_{n+1} = (2n+1) ζ P_n − n P_{n−1}` and
/// `P'_{n+1} = P'_{n−1} + (2n+1) P_n` (Abramowitz & Stegun, Handbook of Mathematical Functions, 1964, ch. 8).
fn legendre_jet(degree: usize, zeta: f64) -> [f64; 3] {
    let (mut before, mut now) = ([0.0; 3], [1.0, 0.0, 0.0]);
    for n in 0..degree {
        let m = n as f64;
        let next = [
            ((2.0 * m + 1.0) * zeta * now[0] - m * before[0]) / (m + 1.0),
            before[1] + (2.0 * m + 1.0) * now[0],
            before[2] + (2.0 * m + 1.0) * now[1],
        ];
        (before, now) = (now, next);
    }
    now
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn derivatives_are_those_of_the_values() {
        let step = 1e-5;
        for atom in [Atom::Legendre(7), Atom::Cosine(3.1), Atom::Sine(4.7)] {
            let [before, here, after] = [-step, 0.0, step].map(|shift| atom.jet(0.37 + shift));
            for order in 0..2 {
                let slope = (after[order] - before[order]) / (2.0 * step);
                assert!(
                    (slope - here[order + 1]).abs() < 1e-7 * (1.0 + slope.abs()),
                    "{atom:?} order {order}"
                );
            }
        }
    }
}
