//! Mass of the fluid that moves with a plate in a baffle, fluid on one side.

use crate::baffled::{air, cells, moving};
use crate::{Problem, Row, Tolerance};
use panelwright_mesh::Lattice;
use panelwright_solver::radiation::surface_pressure;
use std::f64::consts::PI;

/// Modal added mass of supported plates and of a clamped disc, from the pressure on the face at a very low frequency.
pub fn problem() -> Problem {
    Problem {
        name: "added mass of plates",
        source: "Clamped disc with w = (1 − r²/a²)²: H. Lamb, Proc. R. Soc. A 98 (1921) 205-216, β = 0.6689 ρ_f a/(ρ_p h) (printed value from \
                 memory), recomputed as 0.66893560 by a Hankel and a real-space integral; in water f = f₀/√(1 + β). Supported square \
                 plate: incompressible limit of the Rayleigh integral (cf. J. E. Greenspon, J. Acoust. Soc. Am. 33, 1961), recomputed \
                 by the autocorrelation integral. Here on 120 × 120 cells.",
        rows: || SUPPORTED.iter().map(supported).chain([clamped_disc(), lamb_in_water()]).collect(),
    }
}

/// m, n and `m_a/(ρ_f a)`.
const SUPPORTED: [(f64, f64, f64); 3] =
    [(1.0, 1.0, 0.4094960844), (1.0, 2.0, 0.1822801185), (2.0, 2.0, 0.1323448129)];
const LAMB: f64 = 0.6689356005;
const CELLS: usize = 120;
/// Low enough for the incompressible limit.
const WAVENUMBER: f64 = 1e-3;

/// `∫ p w dS / (ω ∫ w² dS)` over ρ: the added mass per area and density [m].
fn added_mass(square: &Lattice, shape: impl Fn([f64; 2]) -> f64) -> f64 {
    let surface = moving(square, WAVENUMBER, shape);
    let pressure = surface_pressure(&surface, &air());
    let reaction: f64 = pressure.iter().zip(&surface.velocity).map(|(p, v)| p.im * v.re).sum();
    let motion: f64 = surface.velocity.iter().map(|v| v.norm_sqr()).sum();
    reaction / (motion * WAVENUMBER * air().impedance())
}

fn supported(&(m, n, expected): &(f64, f64, f64)) -> Row {
    let square = cells(1.0, 1.0, [CELLS; 2]);
    Row {
        quantity: format!("m_a/(ρa), supported square, mode {m}-{n}"),
        computed: added_mass(&square, |[x, y]| (m * PI * x).sin() * (n * PI * y).sin()),
        expected,
        tolerance: Tolerance::Relative(1e-3),
    }
}

fn of_disc() -> f64 {
    let square = cells(2.0, 2.0, [CELLS; 2]);
    added_mass(&square, |[x, y]| (1.0 - (x - 1.0).powi(2) - (y - 1.0).powi(2)).max(0.0).powi(2))
}

fn clamped_disc() -> Row {
    Row {
        quantity: "m_a/(ρa), clamped disc".into(),
        computed: of_disc(),
        expected: LAMB,
        tolerance: Tolerance::Relative(1e-3),
    }
}

/// Lamb's own kind of example: an iron plate of 7 inch diameter and 1/8 inch thickness, water on one side (densities 7.8 and 1).
fn lamb_in_water() -> Row {
    let ratio = 3.5 / (7.8 * 0.125);
    Row {
        quantity: "f in water over f₀, clamped iron disc 7 × 1/8 inch".into(),
        computed: (1.0 + of_disc() * ratio).sqrt().recip(),
        expected: (1.0 + LAMB * ratio).sqrt().recip(),
        tolerance: Tolerance::Relative(1e-3),
    }
}
