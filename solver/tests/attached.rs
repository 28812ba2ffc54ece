//! Patches and bars on a panel against plates that are made that way.

use ndarray::{Array2, Axis};
use panelwright_mesh::{Contour, Outline};
use panelwright_solver::plate::{Footprint, Modes, PATCH_POISSON_RATIO};
use panelwright_solver::scene::{
    Attachments, Back, Bar, EdgeCondition, Edges, LossCurve, Panel, Patch, PlateSection, Strip,
};

const WIDTH: f64 = 0.5;
const HEIGHT: f64 = 0.4;

fn panel(edges: EdgeCondition) -> Panel {
    let section = PlateSection {
        d11: 40.0,
        d12: 3.0,
        d22: 22.0,
        d66: 8.0,
        surface_mass: 2.0,
        thickness: 4e-3,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: LossCurve::constant(0.02),
        shear_loss: LossCurve::constant(0.02),
    };
    let outline = Outline::Rectangle { width: WIDTH, height: HEIGHT };
    Panel { outline, section, edges: Edges::all(edges), back: Back::Baffled }
}

fn patch(corner: [f64; 2], size: [f64; 2]) -> Patch {
    Patch { name: "patch".into(), corner, size, surface_mass: 0.8, stiffness: 9.0, loss_factor: 0.3 }
}

fn with_patches(patches: Vec<Patch>) -> Attachments {
    Attachments { patches, ..Attachments::default() }
}

fn bar(ends: [[f64; 2]; 2]) -> Bar {
    Bar {
        name: "bar".into(),
        ends,
        line_mass: 0.05,
        stiffness: 3.0,
        torsional_stiffness: 0.4,
        loss_factor: 0.01,
    }
}

/// The panel with a patch over everything, made as one plate.
fn thickened(edges: EdgeCondition, patch: &Patch) -> Panel {
    let mut panel = panel(edges);
    let (d, nu) = (patch.stiffness, PATCH_POISSON_RATIO);
    let section = &mut panel.section;
    section.d11 += d;
    section.d22 += d;
    section.d12 += nu * d;
    section.d66 += 0.5 * (1.0 - nu) * d;
    section.surface_mass += patch.surface_mass;
    panel
}

const EDGES: [EdgeCondition; 3] =
    [EdgeCondition::Free, EdgeCondition::SimplySupported, EdgeCondition::Clamped];

#[test]
fn a_patch_over_everything_is_a_thicker_plate() {
    for edges in EDGES {
        let everything = patch([0.0, 0.0], [WIDTH, HEIGHT]);
        let expected = Modes::solve(&thickened(edges, &everything), 2000.0).expect("small");
        let modes = Modes::solve(&panel(edges), 4000.0).expect("small");
        let rigid = modes.rigid_body_count();
        let found = modes.with_attached(&with_patches(vec![everything])).expect("converges");
        assert_eq!(found.rigid_body_count(), rigid);
        let count = expected.frequencies.iter().filter(|&&f| f < 1000.0).count();
        assert!(count > 15);
        for (f, e) in found.frequencies.iter().zip(&expected.frequencies).take(count).skip(rigid) {
            assert!((f / e - 1.0).abs() < 1e-3, "{edges:?}: {f} Hz, as one plate {e} Hz");
        }
        // Between the two materials' loss factors.
        assert!(found.loss_factors.iter().skip(rigid).all(|eta| (0.02..0.3).contains(eta)));
    }
}

/// Where the plate's sines are exact and the patch is like the plate itself, every mode only slows by √(1 + m'/m) and stiffens by √(1 + ΔD/D).
#[test]
fn a_like_patch_scales_the_frequencies_exactly() {
    let mut plain = panel(EdgeCondition::SimplySupported);
    let (d, nu) = (30.0, PATCH_POISSON_RATIO);
    (plain.section.d11, plain.section.d22) = (d, d);
    (plain.section.d12, plain.section.d66) = (nu * d, 0.5 * (1.0 - nu) * d);
    let modes = Modes::solve(&plain, 3000.0).expect("small");
    let bare = modes.frequencies.clone();
    let layer = Patch { stiffness: 0.3 * d, surface_mass: 0.5 * 2.0, ..patch([0.0, 0.0], [WIDTH, HEIGHT]) };
    let found = modes.with_attached(&with_patches(vec![layer])).expect("converges");
    let factor = (1.3f64 / 1.5).sqrt();
    for (f, b) in found.frequencies.iter().zip(&bare) {
        approx::assert_relative_eq!(*f, factor * b, max_relative = 1e-9);
    }
    let eta = (0.02 + 0.3 * 0.3) / 1.3;
    found.loss_factors.iter().for_each(|e| approx::assert_relative_eq!(*e, eta, max_relative = 1e-9));
}

/// Two halves are one whole, wherever the seam is.
#[test]
fn patches_add_up() {
    let solve = |patches: Vec<Patch>| {
        let modes = Modes::solve(&panel(EdgeCondition::Free), 1500.0).expect("small");
        modes.with_attached(&with_patches(patches)).expect("converges").frequencies
    };
    let whole = solve(vec![patch([0.1, 0.05], [0.25, 0.2])]);
    let halves = solve(vec![patch([0.1, 0.05], [0.15, 0.2]), patch([0.25, 0.05], [0.1, 0.2])]);
    for (a, b) in whole.iter().zip(&halves) {
        approx::assert_relative_eq!(*a, *b, max_relative = 1e-9);
    }
}

/// A plate that can only bend along x, with a bar along x as wide as nothing: the bar's stiffness and mass, spread over the height, add
/// to the plate's for the modes that do not vary across it. Here many bars stand for a layer along x.
#[test]
fn many_bars_are_a_layer() {
    const BARS: usize = 60;
    let pitch = HEIGHT / BARS as f64;
    let (ei, mass) = (9.0, 0.8);
    let bars = (0..BARS)
        .map(|i| {
            let y = (i as f64 + 0.5) * pitch;
            Bar {
                stiffness: ei * pitch,
                torsional_stiffness: 0.0,
                line_mass: mass * pitch,
                ..bar([[0.0, y], [WIDTH, y]])
            }
        })
        .collect();
    let mut plate = panel(EdgeCondition::SimplySupported);
    let modes = Modes::solve(&plate, 2000.0).expect("small");
    let found = modes.with_attached(&Attachments { bars, ..Attachments::default() }).expect("converges");
    plate.section.d11 += ei;
    plate.section.surface_mass += mass;
    let expected = Modes::solve(&plate, 1000.0).expect("small");
    for (f, e) in found.frequencies.iter().zip(&expected.frequencies) {
        approx::assert_relative_eq!(*f, *e, max_relative = 1e-6);
    }
}

/// A bar read from its other end, and the whole panel mirrored, are the same.
#[test]
fn bars_have_no_direction_and_mirror() {
    let solve = |ends: [[f64; 2]; 2]| {
        let modes = Modes::solve(&panel(EdgeCondition::Free), 1500.0).expect("small");
        modes
            .with_attached(&Attachments { bars: vec![bar(ends)], ..Attachments::default() })
            .expect("converges")
    };
    let (a, b) = ([0.08, 0.05], [0.4, 0.31]);
    let forward = solve([a, b]).frequencies;
    let mirrored = [a, b].map(|[x, y]| [WIDTH - x, y]);
    for other in [solve([b, a]), solve(mirrored)] {
        for (f, e) in other.frequencies.iter().zip(&forward) {
            approx::assert_relative_eq!(*f, *e, max_relative = 1e-8);
        }
    }
}

/// Shapes, fields and projections of the new modes agree with each other, and the modes are orthonormal in the new mass.
#[test]
fn new_modes_are_orthonormal_with_the_patch_in_the_mass() {
    let added = patch([0.1, 0.05], [0.25, 0.2]);
    let modes = Modes::solve(&panel(EdgeCondition::Free), 800.0).expect("small");
    let modes = modes.with_attached(&with_patches(vec![added.clone()])).expect("converges");
    let n = |count| std::num::NonZeroUsize::new(count).expect("positive");
    let gauss = |length: f64| panelwright_mesh::Axis::gauss(length, n(60));
    let gram = |corner: [f64; 2], size: [f64; 2], mass: f64| -> Array2<f64> {
        let (x, y) = (gauss(size[0]), gauss(size[1]));
        let mut points = vec![];
        let mut weights = vec![];
        for (&px, &wx) in x.nodes.iter().zip(&x.weights) {
            for (&py, &wy) in y.nodes.iter().zip(&y.weights) {
                points.push([corner[0] + px, corner[1] + py]);
                weights.push(mass * wx * wy);
            }
        }
        let shapes = modes.at(&points);
        let weighted = &shapes * &ndarray::Array1::from(weights).insert_axis(Axis(1));
        shapes.t().dot(&weighted)
    };
    let total = gram([0.0, 0.0], [WIDTH, HEIGHT], 2.0) + gram(added.corner, added.size, added.surface_mass);
    let worst = (&total - &Array2::<f64>::eye(modes.len())).iter().map(|e| e.abs()).fold(0.0, f64::max);
    assert!(worst < 1e-8, "{worst:e}");
    let lattice = panelwright_mesh::Lattice::new(
        panelwright_mesh::Axis::cells(0.0, WIDTH, n(7)),
        panelwright_mesh::Axis::cells(0.0, HEIGHT, n(5)),
    );
    let range = 2..9;
    let fields = modes.on(&lattice, range.clone());
    for (i, &x) in lattice.x.nodes.iter().enumerate() {
        for (j, &y) in lattice.y.nodes.iter().enumerate() {
            let at = modes.at(&[[x, y]]);
            for (k, mode) in range.clone().enumerate() {
                assert!((fields[[k, i, j]] - at[[0, mode]]).abs() < 1e-10);
            }
        }
    }
}

/// Static flexibility: the modes kept, mixed or not, plus what is left out is the panel's own when a patch adds nothing.
#[test]
fn a_patch_of_nothing_changes_nothing() {
    let nothing = Patch { stiffness: 0.0, surface_mass: 0.0, ..patch([0.1, 0.1], [0.2, 0.1]) };
    let bare = Modes::solve(&panel(EdgeCondition::Clamped), 1500.0).expect("small");
    let modes = bare.clone().with_attached(&with_patches(vec![nothing])).expect("converges");
    let probes = [Footprint::point([0.13, 0.21]), Footprint::ring([0.3, 0.2], 0.025)];
    for (f, b) in modes.frequencies.iter().zip(&bare.frequencies) {
        approx::assert_relative_eq!(*f, *b, max_relative = 1e-9);
    }
    let (mixed, plain) = (modes.residual_flexibility(&probes), bare.residual_flexibility(&probes));
    approx::assert_relative_eq!(mixed[[0, 1]], plain[[0, 1]], max_relative = 1e-12);
}

/// Each foot by itself costs less than all against all, and is the same: on thin plates, on one that shears, on strips that hold next to nothing, on a
/// triangle and with parts on the panel.
#[test]
fn a_foot_by_itself_gives_way_as_among_others() {
    let loose = EdgeCondition::Strip(Strip { stiffness: 1e3, rotational: 0.0, loss_factor: 0.1 });
    let mut soft = panel(EdgeCondition::Free);
    soft.section.shear = Some([2e4, 3e4]);
    let corners = Contour::polygon(&[[0.0, 0.0], [WIDTH, 0.0], [0.1, HEIGHT]]);
    let outline = Outline::of_contours(corners, vec![]).expect("a sound triangle");
    let triangle = Panel { outline, ..panel(EdgeCondition::Free) };
    let feet = [[0.11, 0.07], [0.2, 0.15], [0.013, 0.013]].map(|centre| Footprint::ring(centre, 0.025));
    let mixed = with_patches(vec![patch([0.1, 0.05], [0.25, 0.2])]);
    let cases = EDGES.map(panel).into_iter().chain([panel(loose), soft, triangle]);
    for (panel, attached) in
        cases.map(|panel| (panel, None)).chain([(panel(EdgeCondition::Free), Some(mixed))])
    {
        let mut modes = Modes::solve(&panel, 1500.0).expect("small");
        if let Some(attached) = &attached {
            modes = modes.with_attached(attached).expect("converges");
        }
        let (bare, own) = modes.bare_with_residual(&feet);
        assert_eq!(modes.from_bare(bare), modes.averaged(&feet));
        for (own, among) in own.iter().zip(modes.residual_flexibility(&feet).diag()) {
            approx::assert_relative_eq!(*own, *among, max_relative = 1e-9);
        }
    }
}
