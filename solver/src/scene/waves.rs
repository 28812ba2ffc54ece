//! Free plane waves in a cross-section: stiffness over direction, dispersion, cut-on of thickness shear.

use super::PlateSection;
use std::f64::consts::{FRAC_PI_2, TAU};

impl PlateSection {
    /// Bending stiffness [N·m] seen by a plane wave travelling at `angle` [rad] to x:
    /// `D11 cos⁴ + 2 (D12 + 2 D66) cos² sin² + D22 sin⁴`.
    pub fn stiffness_at(&self, angle: f64) -> f64 {
        let (s2, c2) = (angle.sin().powi(2), angle.cos().powi(2));
        self.d11 * c2 * c2 + 2.0 * (self.d12 + 2.0 * self.d66) * c2 * s2 + self.d22 * s2 * s2
    }

    /// Wavenumber [rad/m] of free bending waves at `frequency` [Hz] travelling at `angle` [rad] to x, by thin-plate theory:
    /// `k_b = (ω² m / D(angle))^¼` (Cremer, Heckl & Petersson, Structure-Borne Sound, 3rd ed. 2005, § 3.3).
    ///
    /// [`wavenumber`](Self::wavenumber) is the one that counts shear.
    pub fn bending_wavenumber(&self, frequency: f64, angle: f64) -> f64 {
        let omega = TAU * frequency;
        (omega * omega * self.surface_mass / self.stiffness_at(angle)).powf(0.25)
    }

    /// Wavenumber [rad/m] of free bending waves at `frequency` [Hz] travelling at `angle` [rad] to x, with shear deformation and
    /// rotary inertia where the section knows its shear stiffness, by thin-plate theory otherwise.
    ///
    /// The first branch of the shear-deformable plate, see [`dynamic_stiffness`](Self::dynamic_stiffness): the largest k whose
    /// determinant vanishes. Along a ray every branch ω(k) rises, so there is one such k, and it lies above the thin plate's.
    pub fn wavenumber(&self, frequency: f64, angle: f64) -> f64 {
        let thin = self.bending_wavenumber(frequency, angle);
        if self.shear.is_none() || !(thin > 0.0 && thin.is_finite()) {
            return thin;
        }
        let (sin, cos) = angle.sin_cos();
        let omega = TAU * frequency;
        rising_root(thin, |k| self.dynamic_stiffness([k * cos, k * sin], omega))
    }

    /// Stiffness less inertia [N/m³] of the plate against a plane wave `exp(−j(kx x + ky y))` of deflection at ω [rad/s]; zero on the
    /// dispersion curve of the bending wave, negative for longer waves, positive for shorter ones.
    ///
    /// `kᵀ (C⁻¹ + S⁻¹)⁻¹ k − ω² m` with `C = B − ω² I`, `B = [[D11 kx² + D66 ky², (D12 + D66) kx ky], [·, D66 kx² + D22 ky²]]` and
    /// S = diag(S1, S2): bending and shear yield in series. It is the determinant of the 3 × 3 system in w, θx, θy of
    /// the orthotropic shear-deformable plate (R. D. Mindlin, J. Appl. Mech. 18 (1951) 31–38; J. N. Reddy, Mechanics of
    /// Laminated Composite Plates and Shells, 2nd ed. 2004, § 3.4), divided by the 2 × 2 one of the rotations; in this form nothing
    /// cancels for a thin plate. Where the rotations alone are beyond their own resonance the first branch has a
    /// larger k, and the value is −∞.
    pub fn dynamic_stiffness(&self, [kx, ky]: [f64; 2], omega: f64) -> f64 {
        let w2 = omega * omega;
        let mass = w2 * self.surface_mass;
        let (x2, y2) = (kx * kx, ky * ky);
        let Some([s1, s2]) = self.shear else {
            return self.d11 * x2 * x2 + 2.0 * (self.d12 + 2.0 * self.d66) * x2 * y2 + self.d22 * y2 * y2
                - mass;
        };
        let inertia = w2 * self.rotary_inertia;
        let (c11, c22) = (self.d11 * x2 + self.d66 * y2 - inertia, self.d66 * x2 + self.d22 * y2 - inertia);
        let c12 = (self.d12 + self.d66) * kx * ky;
        let (p11, p22) = (c11 + s1, c22 + s2);
        let determinant = p11 * p22 - c12 * c12;
        if p11 <= 0.0 || determinant <= 0.0 {
            return f64::NEG_INFINITY;
        }
        // C (C + S)⁻¹ S written out.
        let own = c11 * c22 - c12 * c12;
        let (e11, e22) = (s1 * (own + c11 * s2), s2 * (own + c22 * s1));
        (e11 * x2 + 2.0 * c12 * s1 * s2 * kx * ky + e22 * y2) / determinant - mass
    }

    /// How much faster thin-plate theory has the bending waves at `frequency` [Hz] than a plate that yields in shear, as a fraction
    /// of their phase speed, in the direction where that is most. `None` if the section's shear stiffness is unknown. Natural
    /// frequencies come out too high by about twice this fraction.
    pub fn thin_plate_error(&self, frequency: f64) -> Option<f64> {
        const STEPS: usize = 24;
        self.shear?;
        let error = |i: usize| {
            let angle = FRAC_PI_2 * i as f64 / STEPS as f64;
            let thin = self.bending_wavenumber(frequency, angle);
            if thin > 0.0 { self.wavenumber(frequency, angle) / thin - 1.0 } else { 0.0 }
        };
        Some((0..=STEPS).map(error).fold(0.0, f64::max))
    }

    /// Frequency [Hz] at which thickness-shear waves start to travel, `√(S/I) / 2π` for the softer direction; there first-order
    /// shear theory ends (R. D. Mindlin, J. Appl. Mech. 18 (1951) 31–38). `None` without shear data or rotary inertia.
    pub fn thickness_shear_cut_on(&self) -> Option<f64> {
        let [s1, s2] = self.shear?;
        (self.rotary_inertia > 0.0).then(|| (s1.min(s2) / self.rotary_inertia).sqrt() / TAU)
    }
}

/// Root of a function that rises through zero once, at or above `low`.
fn rising_root(low: f64, value: impl Fn(f64) -> f64) -> f64 {
    const DOUBLINGS: usize = 200;
    let mut low = low;
    let Some(mut high) =
        std::iter::successors(Some(2.0 * low), |k| Some(2.0 * k)).take(DOUBLINGS).find(|&k| value(k) > 0.0)
    else {
        return low; // a section that cannot carry this wave
    };
    while high - low > 1e-14 * high {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if value(middle) > 0.0 { high = middle } else { low = middle }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use crate::scene::{LossCurve, PlateSection};
    use approx::assert_relative_eq;
    use std::f64::consts::TAU;

    fn section(shear: Option<[f64; 2]>) -> PlateSection {
        PlateSection {
            d11: 50.0,
            d12: 1.0,
            d22: 8.0,
            d66: 4.0,
            surface_mass: 2.0,
            thickness: 4e-3,
            shear,
            rotary_inertia: 2.0 * 4e-3 * 4e-3 / 12.0,
            bending_loss: LossCurve::constant(0.02),
            shear_loss: LossCurve::constant(0.02),
        }
    }

    /// `(k² − ω²m/S)(D k² − ω²I) = ω²m`, the isotropic plate along x, solved as a quadratic in k².
    #[test]
    fn straight_crested_waves_follow_mindlins_dispersion() {
        let plate = section(Some([1.35e5, 1e9]));
        let (d, m, s, i) = (plate.d11, plate.surface_mass, 1.35e5, plate.rotary_inertia);
        for frequency in [1.0, 100.0, 3e3, 2e4, 1e6] {
            let w2 = (TAU * frequency).powi(2);
            let half = 0.5 * (w2 * i / d + w2 * m / s);
            let k2 = half + (half * half - w2 * m * (w2 * i / s - 1.0) / d).sqrt();
            assert_relative_eq!(plate.wavenumber(frequency, 0.0), k2.sqrt(), max_relative = 1e-9);
        }
    }

    #[test]
    fn the_wave_makes_the_three_by_three_determinant_vanish() {
        let plate = section(Some([2e5, 7e4]));
        for (frequency, angle) in [(200.0, 0.3), (5e3, 0.8), (2e4, 1.3)] {
            let k = plate.wavenumber(frequency, angle);
            let (kx, ky) = (k * angle.cos(), k * angle.sin());
            let w2 = (TAU * frequency).powi(2);
            let [s1, s2] = [2e5, 7e4];
            let inertia = w2 * plate.rotary_inertia;
            let system = nalgebra::Matrix3::new(
                s1 * kx * kx + s2 * ky * ky - w2 * plate.surface_mass,
                s1 * kx,
                s2 * ky,
                s1 * kx,
                plate.d11 * kx * kx + plate.d66 * ky * ky + s1 - inertia,
                (plate.d12 + plate.d66) * kx * ky,
                s2 * ky,
                (plate.d12 + plate.d66) * kx * ky,
                plate.d66 * kx * kx + plate.d22 * ky * ky + s2 - inertia,
            );
            let scale = system.diagonal().iter().map(|d| d.abs()).product::<f64>();
            assert!(system.determinant().abs() < 1e-9 * scale, "{frequency} Hz");
        }
    }

    #[test]
    fn stiff_in_shear_it_is_a_thin_plate_and_soft_it_travels_at_the_shear_speed() {
        let stiff = PlateSection { rotary_inertia: 0.0, ..section(Some([1e12; 2])) };
        for angle in [0.0, 0.4, 1.5] {
            let thin = stiff.bending_wavenumber(2e3, angle);
            assert_relative_eq!(stiff.wavenumber(2e3, angle), thin, max_relative = 1e-6);
            assert_eq!(section(None).wavenumber(2e3, angle), thin);
        }
        let soft = PlateSection { rotary_inertia: 1e-12, ..section(Some([1e3; 2])) };
        let shear_speed = (1e3f64 / 2.0).sqrt();
        assert_relative_eq!(TAU * 2e4 / soft.wavenumber(2e4, 0.7), shear_speed, max_relative = 1e-3);
    }

    #[test]
    fn thickness_shear_starts_where_a_long_wave_of_rotation_resonates() {
        let plate = section(Some([2e5, 7e4]));
        let cut_on = plate.thickness_shear_cut_on().expect("has shear and rotary inertia");
        assert_relative_eq!((TAU * cut_on).powi(2) * plate.rotary_inertia, 7e4, max_relative = 1e-12);
        let long = [1e-6, 1e-6];
        assert!(plate.dynamic_stiffness(long, TAU * cut_on * 0.999).is_finite());
        assert_eq!(plate.dynamic_stiffness(long, TAU * cut_on * 1.001), f64::NEG_INFINITY);
        assert_eq!(section(None).thickness_shear_cut_on(), None);
    }

    #[test]
    fn no_input_hangs_or_yields_nonsense() {
        for frequency in [0.0, 1e-9, 1e9] {
            for shear in [1e-3, 1.0, 1e15] {
                let k = section(Some([shear, 10.0 * shear])).wavenumber(frequency, 0.6);
                assert!(k.is_finite() && k >= 0.0, "{frequency} Hz, S = {shear}: {k}");
            }
        }
    }
}
