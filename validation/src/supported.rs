//! The simply supported unit plate (a = b = 1 m, D = 1 N·m, 1 kg/m²) in closed form, strip by strip across y.
//!
//! With `w = Σ √2 sin(mπx) w_m(y)` the plate equation is `(α² − d²/dy²)(β² − d²/dy²) w_m = load`, α² = m²π² + ω, β² = m²π² − ω.
//! By partial fractions its Green's function is `[g_β − g_α] / 2ω`, where `g_γ` belongs to `γ² − d²/dy²` with zero ends:
//! `g_γ(y, y) = sinh γy sinh γ(1−y) / (γ sinh γ)` (worked out here; γ is imaginary where ω > m²π²).

use std::f64::consts::PI;

/// A point of the plate.
pub(crate) struct Supported {
    pub x: f64,
    pub y: f64,
}

impl Supported {
    /// Deflection at the point by a unit force there [m/N] at ω [rad/s].
    pub fn flexibility(&self, omega: f64) -> f64 {
        (1..1000).map(|m| 2.0 * (f64::from(m) * PI * self.x).sin().powi(2) * line(m, omega, self.y)).sum()
    }
}

/// Deflection at `y` of the strip with m half waves by a unit line force there.
pub(crate) fn line(m: i32, omega: f64, y: f64) -> f64 {
    let [alpha, beta] = squares(m, omega);
    (own(beta, y) - own(alpha, y)) / (2.0 * omega)
}

/// Slope in the middle of the strip with m half waves by a unit line moment there:
/// `[α coth(α/2) − β coth(β/2)] / 4ω`, from `∂²g_γ/∂y∂y′` without the jump, which is the same for both.
pub(crate) fn slope_in_the_middle(m: i32, omega: f64) -> f64 {
    let [alpha, beta] = squares(m, omega);
    let stiff = |square: f64| {
        let gamma = square.abs().sqrt();
        if square > 0.0 { gamma / (0.5 * gamma).tanh() } else { gamma / (0.5 * gamma).tan() }
    };
    (stiff(alpha) - stiff(beta)) / (4.0 * omega)
}

fn squares(m: i32, omega: f64) -> [f64; 2] {
    let square = (f64::from(m) * PI).powi(2);
    [square + omega, square - omega]
}

/// g_γ(y, y) from γ².
fn own(square: f64, y: f64) -> f64 {
    let gamma = square.abs().sqrt();
    if square > 0.0 {
        // sinh a sinh b / sinh (a + b) without large numbers.
        let decayed = |distance: f64| -(-2.0 * gamma * distance).exp_m1();
        decayed(y) * decayed(1.0 - y) / (2.0 * gamma * decayed(1.0))
    } else {
        (gamma * y).sin() * (gamma * (1.0 - y)).sin() / (gamma * gamma.sin())
    }
}

/// The lowest `count` ω > 0 where `f` passes through zero. `f` rises between its poles; a pole jumps downwards and is left out.
pub(crate) fn roots(f: impl Fn(f64) -> f64, count: usize) -> Vec<f64> {
    const STEP: f64 = 0.037;
    let mut found = Vec::with_capacity(count);
    let (mut low, mut below) = (STEP, f(STEP));
    while found.len() < count {
        let (high, above) = (low + STEP, f(low + STEP));
        if below.signum() != above.signum() {
            let root = bisected(&f, [low, high], below);
            // Near a pole the values grow as the bracket shrinks.
            if f(root).abs() <= below.abs().max(above.abs()) {
                found.push(root);
            }
        }
        (low, below) = (high, above);
    }
    found
}

fn bisected(f: impl Fn(f64) -> f64, [mut low, mut high]: [f64; 2], below: f64) -> f64 {
    while high - low > 1e-12 * high {
        let middle = 0.5 * (low + high);
        if f(middle).signum() == below.signum() { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}
