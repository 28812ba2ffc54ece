//! Lay-up → cross-section: single sheets, a tested sandwich, plywood of five plies from plywood of three.

use crate::{Problem, Row, Tolerance};
use panelwright_solver::plate::{Grain, Layer, Sheet, Solid, section_of_stack};
use panelwright_solver::scene::{LossCurve, PlateSection};
use std::f64::consts::{PI, TAU};

/// The problems of this file.
pub(crate) const PROBLEMS: [Problem; 3] = [
    Problem {
        name: "cross-section of one sheet",
        source: "D = E h³/12(1 − ν²), m = ρh: L. Cremer, M. Heckl & B. A. T. Petersson, Structure-Borne Sound, 3rd ed. (2005), ch. 3. Recomputed in \
                 closed form.",
        rows: sheet_rows,
    },
    Problem {
        name: "natural frequencies of a honeycomb sandwich, simply supported",
        source: "M. E. Raville & C. E. S. Ueng, Experimental Mechanics 7 (1967) 490–493: 23, 44, 71, 80, 91, 126 Hz (calculated there; from memory). Recomputed \
                 in closed form for thin skins, D = E t d²/2(1 − ν²) and S = G d²/c; the lay-up also has the skins' own bending, \
                 t²/3d² = 0.12 % of D.",
        rows: sandwich_rows,
    },
    Problem {
        name: "birch plywood of five plies from that of three",
        source: "Handbook of Finnish Plywood, Finnish Forest Industries Federation, 2002 (from memory): mean bending moduli of 4 mm, three plies, 16471 and 1029 N/mm²; of \
                 6.5 mm, five plies, 12737 and 4763 N/mm². Plies are sanded and not equally thick, which equal plies cannot show: 10 % and 20 %.",
        rows: plywood_rows,
    },
];

fn isotropic(young: f64, poisson: f64, density: f64) -> Solid {
    let shear = young / (2.0 * (1.0 + poisson));
    Solid {
        density,
        along: young,
        across: young,
        shear,
        poisson,
        through: Some([shear; 2]),
        loss: LossCurve::constant(0.01),
    }
}

fn layer(solid: &Solid, thickness: f64, grain: Grain) -> Layer {
    Layer::Sheet(Sheet { solid: solid.clone(), thickness, grain })
}

fn section(layers: &[Layer]) -> PlateSection {
    section_of_stack(layers).expect("the stacks of this file are symmetric")
}

fn row(quantity: String, computed: f64, expected: f64, tolerance: f64) -> Row {
    Row { quantity, computed, expected, tolerance: Tolerance::Relative(tolerance) }
}

fn sheet_rows() -> Vec<Row> {
    // Name, E, ν, ρ, h, D, m.
    const SHEETS: [(&str, [f64; 6]); 4] = [
        ("2 mm aluminium", [70e9, 0.33, 2700.0, 2e-3, 52.3697303, 5.4]),
        ("4 mm glass", [72e9, 0.23, 2500.0, 4e-3, 405.4482103, 10.0]),
        ("20 mm foam", [6e6, 0.1, 20.0, 20e-3, 4.04040404, 0.4]),
        ("4 mm plywood, isotropic", [8e9, 0.2, 680.0, 4e-3, 44.44444444, 2.72]),
    ];
    let rows = SHEETS.iter().flat_map(|(name, [young, poisson, density, thickness, stiffness, mass])| {
        let solid = isotropic(*young, *poisson, *density);
        // Seven layers of a seventh: a stack of one material is one sheet.
        let stack: Vec<_> = (0..7).map(|_| layer(&solid, thickness / 7.0, Grain::Vertical)).collect();
        let section = section(&stack);
        [
            row(format!("D of {name} [N·m]"), section.d11, *stiffness, 1e-8),
            row(format!("mass of {name} [kg/m²]"), section.surface_mass, *mass, 1e-8),
        ]
    });
    rows.collect()
}

fn sandwich_rows() -> Vec<Row> {
    const FREQUENCIES: [((u32, u32), f64); 12] = [
        ((1, 1), 23.07966432),
        ((2, 1), 44.24460411),
        ((1, 2), 69.73375682),
        ((3, 1), 79.22736376),
        ((2, 2), 90.382859),
        ((3, 2), 124.5273036),
        ((4, 1), 127.6037731),
        ((1, 3), 143.9585697),
        ((2, 3), 163.8283334),
        ((4, 2), 171.7731939),
        ((5, 1), 188.8067322),
        ((3, 3), 196.7045537),
    ];
    let skin = isotropic(68.984e9, 0.3, 2768.0);
    let core = Solid {
        along: 0.0,
        across: 0.0,
        shear: 0.0,
        density: 121.8,
        through: Some([134.5e6, 51.7e6]),
        ..isotropic(1.0, 0.0, 1.0)
    };
    let skin = layer(&skin, 0.4064e-3, Grain::Horizontal);
    let section = section(&[skin.clone(), layer(&core, 6.35e-3, Grain::Horizontal), skin]);
    let rows = FREQUENCIES.iter().map(|&((m, n), expected)| {
        let computed = supported_frequency(&section, [f64::from(m) * PI / 1.83, f64::from(n) * PI / 1.22]);
        row(format!("mode ({m},{n}) [Hz]"), computed, expected, 1e-3)
    });
    rows.collect()
}

/// Natural frequency [Hz] of a simply supported shear-deformable plate without rotary inertia for the wavenumbers α, β of a mode: w ~ sin αx sin βy and
/// rotations ~ cos make `ω² m = K − bᵀ A⁻¹ b`, K = S₁α² + S₂β², b = (S₁α, S₂β), A the bending stiffness of the rotations plus S (Navier's solution;
/// J. N. Reddy, Mechanics of Laminated Composite Plates and Shells, 2nd ed. 2004, § 7.2).
fn supported_frequency(section: &PlateSection, [a, b]: [f64; 2]) -> f64 {
    let [s1, s2] = section.shear.expect("the core's shear modulus is given");
    let a11 = section.d11 * a * a + section.d66 * b * b + s1;
    let a22 = section.d66 * a * a + section.d22 * b * b + s2;
    let a12 = (section.d12 + section.d66) * a * b;
    let (b1, b2) = (s1 * a, s2 * b);
    let yielded = (a22 * b1 * b1 - 2.0 * a12 * b1 * b2 + a11 * b2 * b2) / (a11 * a22 - a12 * a12);
    ((s1 * a * a + s2 * b * b - yielded) / section.surface_mass).sqrt() / TAU
}

fn plywood_rows() -> Vec<Row> {
    // The two equations of three equal plies, 27 E = 26 E_a + E_b, solved for the veneer.
    let (along, across) = (16471e6, 1029e6);
    let veneer = |outer: f64, inner: f64| (26.0 * outer - inner) / 25.0;
    let solid = Solid {
        along: veneer(along, across),
        across: veneer(across, along),
        poisson: 0.0,
        shear: 620e6,
        through: Some([620e6, 150e6]),
        ..isotropic(1.0, 0.0, 680.0)
    };
    let plywood = |plies: usize, thickness: f64| {
        let grain = |i: usize| if i.is_multiple_of(2) { Grain::Horizontal } else { Grain::Vertical };
        let stack: Vec<_> = (0..plies).map(|i| layer(&solid, thickness / plies as f64, grain(i))).collect();
        let section = section(&stack);
        [section.d11, section.d22].map(|d| d * 12.0 / thickness.powi(3) * 1e-6)
    };
    let ([three_along, three_across], [five_along, five_across]) = (plywood(3, 4e-3), plywood(5, 6.5e-3));
    vec![
        row("modulus along, three plies [N/mm²]".into(), three_along, 16471.0, 1e-9),
        row("modulus across, three plies [N/mm²]".into(), three_across, 1029.0, 1e-9),
        row("modulus along, five plies [N/mm²]".into(), five_along, 12737.0, 0.1),
        row("modulus across, five plies [N/mm²]".into(), five_across, 4763.0, 0.2),
        row("sum of both, five plies [N/mm²]".into(), five_along + five_across, 12737.0 + 4763.0, 1e-9),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sandwich_is_near_what_was_published() {
        // Raville & Ueng's own calculation, from memory, in the order of the rows.
        let published = [23.0, 44.0, 71.0, 80.0, 91.0, 126.0, 129.0, 146.0, 165.0, 174.0];
        for (row, published) in sandwich_rows().iter().zip(published) {
            assert!((row.computed / published - 1.0).abs() < 0.02, "{}: {}", row.quantity, row.computed);
        }
    }
}
