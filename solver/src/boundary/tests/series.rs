//! Exact fields of the unit sphere, by series of spherical waves; `exp(+jωt)`, outgoing waves h = j − jy.

use num_complex::Complex64;

/// `h_n(x)` and `h_n′(x)` for n up to `last`: y by upward recurrence, j by downward recurrence (Miller).
pub fn hankel(x: f64, last: usize) -> Vec<[Complex64; 2]> {
    let start = last + 20 + x as usize;
    let mut j = vec![0.0; start + 2];
    j[start] = 1e-280;
    for n in (1..=start).rev() {
        j[n - 1] = (2 * n + 1) as f64 / x * j[n] - j[n + 1];
        if j[n - 1].abs() > 1e200 {
            j.iter_mut().for_each(|v| *v *= 1e-200);
        }
    }
    let [exact0, exact1] = [x.sin() / x, x.sin() / (x * x) - x.cos() / x];
    let scale = if exact0.abs() > exact1.abs() { exact0 / j[0] } else { exact1 / j[1] };
    let mut y = vec![-x.cos() / x, -x.cos() / (x * x) - x.sin() / x];
    for n in 1..=last {
        y.push((2 * n + 1) as f64 / x * y[n] - y[n - 1]);
    }
    let h: Vec<Complex64> = (0..=last + 1).map(|n| Complex64::new(scale * j[n], -y[n])).collect();
    (0..=last).map(|n| [h[n], h[n] * (n as f64 / x) - h[n + 1]]).collect()
}

/// Legendre polynomials up to degree `last`.
pub fn legendre(mu: f64, last: usize) -> Vec<f64> {
    let mut p = vec![1.0, mu];
    for n in 1..last {
        p.push(((2 * n + 1) as f64 * mu * p[n] - n as f64 * p[n - 1]) / (n + 1) as f64);
    }
    p
}

/// Surface pressure of the rigid unit sphere under `exp(−jkz)` at `cos θ = mu`, θ from +z: with the Wronskian,
/// `p = Σ (−j)^n (2n + 1) P_n (−j)/(x² h_n′)` (P. M. Morse & K. U. Ingard, Theoretical Acoustics, 1968, sec. 8.2).
pub fn scattered_surface(ka: f64, mu: f64) -> Complex64 {
    absorbing_surface(ka, Complex64::ZERO, mu)
}

/// The same with a normalised admittance β all over: `∂p/∂r = jkβ p` puts `h_n′ − jβ h_n` in the place of h_n′.
pub fn absorbing_surface(ka: f64, beta: Complex64, mu: f64) -> Complex64 {
    let last = ka as usize + 25;
    let (h, p) = (hankel(ka, last), legendre(mu, last));
    let mut turn = -Complex64::i() / (ka * ka);
    let mut sum = Complex64::ZERO;
    for n in 0..=last {
        sum += turn * ((2 * n + 1) as f64 * p[n]) / (h[n][1] - Complex64::i() * beta * h[n][0]);
        turn *= -Complex64::i();
    }
    sum
}

/// Total pressure and its radial derivative at distance r from the middle of the rigid sphere under `exp(−jkz)`:
/// `Σ (−j)^n (2n + 1) P_n (j_n − h_n j_n′(ka)/h_n′(ka))`.
pub fn scattered_outside(ka: f64, r: f64, mu: f64) -> [Complex64; 2] {
    let last = ka as usize + 25;
    let (surface, h, p) = (hankel(ka, last), hankel(ka * r, last), legendre(mu, last));
    let mut turn = Complex64::ONE;
    let mut sums = [Complex64::ZERO; 2];
    for n in 0..=last {
        let back = surface[n][1].re / surface[n][1];
        let factor = turn * ((2 * n + 1) as f64 * p[n]);
        sums[0] += factor * (h[n][0].re - h[n][0] * back);
        sums[1] += factor * ka * (h[n][1].re - h[n][1] * back);
        turn *= -Complex64::i();
    }
    sums
}

/// Coefficients `u_n` of a unit velocity on the cap θ < rim: `[P_(n−1) − P_(n+1)](cos rim)/2`.
pub fn cap(rim: f64, last: usize) -> Vec<f64> {
    let p = legendre(rim.cos(), last + 1);
    (0..=last).map(|n| 0.5 * (if n == 0 { 1.0 } else { p[n - 1] } - p[n + 1])).collect()
}

/// Far field `r p/(ρ c)` without `exp(−jkr)` of radial velocities `Σ u_n P_n`: `p = −jρc Σ u_n P_n h_n(kr)/h_n′(ka)`.
pub fn far(ka: f64, velocity: &[f64], mu: f64) -> Complex64 {
    let last = velocity.len() - 1;
    let (h, p) = (hankel(ka, last), legendre(mu, last));
    let mut turn = Complex64::new(0.0, 1.0); // h_n → j^(n+1) exp(−jx)/x
    let mut sum = Complex64::ZERO;
    for n in 0..=last {
        sum += turn * Complex64::new(0.0, -velocity[n] * p[n]) / (ka * h[n][1]);
        turn *= Complex64::new(0.0, 1.0);
    }
    sum
}
