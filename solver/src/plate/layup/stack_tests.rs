use super::*;
use crate::scene::{LossCurve, PlateSection};
use approx::assert_relative_eq;

fn plywood() -> Solid {
    Solid {
        density: 450.0,
        along: 7e9,
        across: 2.5e9,
        shear: 0.45e9,
        poisson: 0.05,
        through: Some([110e6, 80e6]),
        loss: LossCurve::constant(0.02),
    }
}

fn isotropic(young: f64, poisson: f64, density: f64, loss: f64) -> Solid {
    let shear = young / (2.0 * (1.0 + poisson));
    let loss = LossCurve::constant(loss);
    Solid { density, along: young, across: young, shear, poisson, through: Some([shear; 2]), loss }
}

/// A honeycomb-like core: no stiffness in its plane.
fn core(density: f64, through: [f64; 2], loss: f64) -> Solid {
    let loss = LossCurve::constant(loss);
    Solid { density, along: 0.0, across: 0.0, shear: 0.0, poisson: 0.0, through: Some(through), loss }
}

fn layer(solid: &Solid, thickness: f64, grain: Grain) -> Layer {
    Layer::Sheet(Sheet { solid: solid.clone(), thickness, grain })
}

fn one(solid: &Solid, thickness: f64, grain: Grain) -> PlateSection {
    section_of_stack(&[layer(solid, thickness, grain)]).expect("stiff")
}

fn numbers(s: &PlateSection) -> [f64; 11] {
    let [s1, s2] = s.shear.expect("known");
    let (bending, shear) = (s.bending_loss.at(1e3), s.shear_loss.at(1e3));
    [s.d11, s.d12, s.d22, s.d66, s.surface_mass, s.thickness, s1, s2, s.rotary_inertia, bending, shear]
}

#[test]
fn an_isotropic_sheet_has_the_textbook_stiffness() {
    let (e, nu, h) = (70e9, 0.33, 2e-3);
    let section = one(&isotropic(e, nu, 2700.0, 0.001), h, Grain::Vertical);
    // D = E h³ / 12 (1 − ν²) in every direction, D₆₆ = (1 − ν) D / 2 (S. P. Timoshenko & S. Woinowsky-Krieger, 2nd ed. 1959, ch. 2).
    let d = e * h.powi(3) / (12.0 * (1.0 - nu * nu));
    for angle in [0.0, 0.4, 1.1, 1.5] {
        assert_relative_eq!(section.stiffness_at(angle), d, max_relative = 1e-12);
    }
    assert_relative_eq!(section.d66, 0.5 * (1.0 - nu) * d, max_relative = 1e-12);
    assert_relative_eq!(section.d12, nu * d, max_relative = 1e-12);
    assert_relative_eq!(section.rotary_inertia, 2700.0 * h.powi(3) / 12.0, max_relative = 1e-12);
}

#[test]
fn one_sheet_shears_as_reissner_says_in_each_direction() {
    let [s1, s2] = one(&plywood(), 4e-3, Grain::Horizontal).shear.expect("known");
    assert_relative_eq!(s1, 5.0 / 6.0 * 110e6 * 4e-3, max_relative = 1e-12);
    assert_relative_eq!(s2, 5.0 / 6.0 * 80e6 * 4e-3, max_relative = 1e-12);
    let unknown = Solid { through: None, ..plywood() };
    assert_eq!(one(&unknown, 4e-3, Grain::Horizontal).shear, None);
}

#[test]
fn turning_the_grain_swaps_the_axes() {
    let horizontal = one(&plywood(), 4e-3, Grain::Horizontal);
    let vertical = one(&plywood(), 4e-3, Grain::Vertical);
    assert_eq!((horizontal.d11, horizontal.d22), (vertical.d22, vertical.d11));
    assert_eq!((horizontal.d12, horizontal.d66), (vertical.d12, vertical.d66));
    assert_eq!(horizontal.shear.map(|[x, y]| [y, x]), vertical.shear);
    assert!(horizontal.d11 > 2.0 * horizontal.d22);
}

#[test]
fn fifty_layers_of_one_material_are_one_layer() {
    let stack: Vec<_> = (0..50).map(|_| layer(&plywood(), 0.08e-3, Grain::Vertical)).collect();
    let (many, single) =
        (section_of_stack(&stack).expect("symmetric"), one(&plywood(), 4e-3, Grain::Vertical));
    for (a, b) in numbers(&many).into_iter().zip(numbers(&single)) {
        assert_relative_eq!(a, b, max_relative = 1e-10);
    }
}

#[test]
fn three_plies_have_the_stiffness_of_their_thirds() {
    // Equal plies: the faces hold 26/27 of ∫z² dz, the middle ply 1/27.
    let ply = Solid { poisson: 0.0, ..plywood() };
    let h = 4e-3f64;
    let grains = [Grain::Horizontal, Grain::Vertical, Grain::Horizontal];
    let section = section_of_stack(&grains.map(|grain| layer(&ply, h / 3.0, grain))).expect("symmetric");
    let cubic = h.powi(3) / 12.0;
    assert_relative_eq!(section.d11, (26.0 * 7e9 + 2.5e9) / 27.0 * cubic, max_relative = 1e-12);
    assert_relative_eq!(section.d22, (26.0 * 2.5e9 + 7e9) / 27.0 * cubic, max_relative = 1e-12);
    assert_relative_eq!(section.d66, 0.45e9 * cubic, max_relative = 1e-12);
}

#[test]
fn a_sandwich_of_thin_skins_tends_to_its_limits() {
    // D = Q t d²/2 and S = G d²/c (H. G. Allen, 1969, ch. 2), the error of first order in t/d.
    let skin = isotropic(70e9, 0.3, 2700.0, 0.001);
    let q = 70e9 / (1.0 - 0.09);
    let error = |t: f64| {
        let (c, d) = (10e-3, 10e-3 + t);
        let stack = [
            layer(&skin, t, Grain::Horizontal),
            layer(&core(50.0, [44e6, 25e6], 0.02), c, Grain::Vertical),
            layer(&skin, t, Grain::Horizontal),
        ];
        let section = section_of_stack(&stack).expect("symmetric");
        let [s1, s2] = section.shear.expect("known");
        assert_relative_eq!(section.d11, q * (0.5 * t * d * d + t.powi(3) / 6.0), max_relative = 1e-12);
        assert_relative_eq!(s1 / s2, 25.0 / 44.0, max_relative = 1e-2);
        (s1 / (25e6 * d * d / c) - 1.0).abs()
    };
    assert!(error(0.3e-3) < 1e-2, "{}", error(0.3e-3));
    assert!(error(1e-6) < 1e-4, "{}", error(1e-6));
}

#[test]
fn shear_of_a_stack_matches_a_fine_numerical_integral() {
    let skin = plywood();
    let foam = isotropic(30e6, 0.3, 40.0, 0.03);
    let stack = [
        layer(&skin, 1e-3, Grain::Horizontal),
        layer(&foam, 6e-3, Grain::Horizontal),
        layer(&skin, 1e-3, Grain::Horizontal),
    ];
    let section = section_of_stack(&stack).expect("symmetric");
    // By the midpoint rule from the bottom face upwards.
    let (steps, h) = (80_000, 8e-3f64);
    let dz = h / steps as f64;
    let (q_skin, q_foam) = (7e9 / (1.0 - 0.0025 * 2.5 / 7.0), 30e6 / 0.91);
    let (mut g, mut energy) = (0.0, 0.0);
    for i in 0..steps {
        let z = (i as f64 + 0.5) * dz - 0.5 * h;
        let (q, shear) = if z.abs() < 3e-3 { (q_foam, 30e6 / 2.6) } else { (q_skin, 110e6) };
        g += q * z * dz;
        energy += (g - 0.5 * q * z * dz).powi(2) / shear * dz;
    }
    assert_relative_eq!(section.shear.expect("known")[0], section.d11.powi(2) / energy, max_relative = 1e-6);
}

#[test]
fn loss_follows_the_energy() {
    let skin = isotropic(70e9, 0.3, 2700.0, 0.001);
    let stack = [
        layer(&skin, 0.3e-3, Grain::Horizontal),
        layer(&core(50.0, [44e6, 25e6], 0.05), 10e-3, Grain::Vertical),
        layer(&skin, 0.3e-3, Grain::Horizontal),
    ];
    let section = section_of_stack(&stack).expect("symmetric");
    assert_relative_eq!(section.bending_loss.at(1e3), 0.001, max_relative = 1e-12);
    assert_relative_eq!(section.shear_loss.at(1e3), 0.05, max_relative = 1e-3);
    // Half the energy of a table: its frequencies appear.
    let table = LossCurve::new(vec![(100.0, 0.02), (1000.0, 0.06)]);
    let mixed = super::loss::weighted(&[(1.0, &table), (1.0, &LossCurve::constant(0.02))]);
    assert_relative_eq!(mixed.at(100.0), 0.02, max_relative = 1e-12);
    assert_relative_eq!(mixed.at(1000.0), 0.04, max_relative = 1e-12);
}

#[test]
fn coats_add_mass_and_nothing_else() {
    let bare = one(&plywood(), 4e-3, Grain::Horizontal);
    let painted = [Layer::Coat(0.1), layer(&plywood(), 4e-3, Grain::Horizontal), Layer::Coat(0.2)];
    let painted = section_of_stack(&painted).expect("symmetric");
    assert_relative_eq!(painted.surface_mass, bare.surface_mass + 0.3, max_relative = 1e-12);
    assert_relative_eq!(painted.rotary_inertia, bare.rotary_inertia + 0.3 * 4e-6, max_relative = 1e-12);
    assert_eq!((painted.d11, painted.shear), (bare.d11, bare.shear));
}

#[test]
fn unsymmetric_and_limp_stacks_are_refused() {
    let (a, b) = (layer(&plywood(), 1e-3, Grain::Horizontal), layer(&plywood(), 1e-3, Grain::Vertical));
    let middle = layer(&plywood(), 2e-3, Grain::Horizontal);
    let stack = [a.clone(), Layer::Coat(0.1), a.clone(), middle, b, a];
    let error = section_of_stack(&stack).expect_err("grain differs");
    assert_eq!(error, LayupError::Unsymmetric { front: 2, back: 4 });
    assert!(error.to_string().contains("layer 3 from the front and layer 5 do not match"));
    let limp = layer(&core(48.0, [44e6, 25e6], 0.02), 10e-3, Grain::Horizontal);
    assert_eq!(section_of_stack(&[limp]).expect_err("no skins"), LayupError::NoStiffness);
    assert_eq!(section_of_stack(&[]).expect_err("nothing"), LayupError::NoStiffness);
}

#[test]
fn the_poisson_margin_is_that_of_the_compliance_matrix() {
    // Determinant of [[1/E₁, −ν₁₂/E₁], [−ν₁₂/E₁, 1/E₂]] times E₁E₂.
    let ply = plywood();
    let s = [1.0 / ply.along, -ply.poisson / ply.along, 1.0 / ply.across];
    let determinant = (s[0] * s[2] - s[1] * s[1]) * ply.along * ply.across;
    assert_relative_eq!(ply.poisson_margin(), determinant, max_relative = 1e-12);
    assert!(Solid { poisson: 2.0, ..ply }.poisson_margin() < 0.0);
}
