//! Loss factor of a composite section.

use crate::scene::LossCurve;

/// Mean loss factor weighted by strain energy, `η = Σ η_k U_k / Σ U_k` (E. E. Ungar & E. M. Kerwin, Loss factors of
/// viscoelastic systems in terms of energy concepts, J. Acoust. Soc. Am. 34 (1962) 954–957). `parts` are (energy, loss) in any
/// unit of energy; a table of frequencies has every frequency of the parts. Zero without energy.
pub(super) fn weighted(parts: &[(f64, &LossCurve)]) -> LossCurve {
    let total: f64 = parts.iter().map(|(energy, _)| energy).sum();
    let at = |frequency: f64| -> f64 {
        parts.iter().map(|(energy, loss)| energy / total * loss.at(frequency)).sum()
    };
    let stored: Vec<_> = parts.iter().filter(|(energy, _)| *energy > 0.0).collect();
    let mut frequencies: Vec<f64> =
        stored.iter().flat_map(|(_, loss)| loss.points().iter().map(|p| p.0)).collect();
    frequencies.sort_by(f64::total_cmp);
    frequencies.dedup();
    if frequencies.is_empty() {
        return LossCurve::constant(0.0);
    }
    // A constant of several layers stays a constant.
    if stored.iter().all(|(_, loss)| loss.points().len() == 1) {
        return LossCurve::constant(at(frequencies[0]));
    }
    LossCurve::new(frequencies.into_iter().map(|f| (f, at(f))).collect())
}

/// Mean of the stiffness over all directions of a plane bending wave, from [D11, D12, D22, D66]: with ⟨cos⁴⟩ = 3/8 and
/// ⟨cos² sin²⟩ = 1/8 it is `3/8 (D11 + D22) + 1/4 (D12 + 2 D66)`. Weighs the layers' shares of bending energy.
pub(super) fn mean_over_directions([d11, d12, d22, d66]: [f64; 4]) -> f64 {
    0.375 * (d11 + d22) + 0.25 * (d12 + 2.0 * d66)
}
