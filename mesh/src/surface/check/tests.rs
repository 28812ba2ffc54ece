use super::*;
use crate::surface::samples::{cuboid, inverted, quartered, rotations, shifted, sphere, turned};
use nalgebra::Vector3;
use proptest::prelude::*;

const SIDES: [f64; 3] = [0.1, 0.06, 0.02];

fn faults(surface: &Surface) -> Vec<Fault> {
    check(surface, &Limits::default()).faults
}

fn without(mut surface: Surface, triangle: usize) -> Surface {
    surface.triangles.remove(triangle);
    surface.patches.remove(triangle);
    surface
}

fn with(mut surface: Surface, triangle: [u32; 3]) -> Surface {
    surface.triangles.push(triangle);
    surface.patches.push(0);
    surface
}

#[test]
fn sound_bodies_have_no_faults() {
    for surface in [cuboid(SIDES), sphere(0.05, 3), quartered(&cuboid(SIDES))] {
        assert_eq!(faults(&surface), []);
    }
}

#[test]
fn malformed_surfaces_are_named_and_end_the_check() {
    assert_eq!(faults(&Surface::default()), [Fault::Empty]);
    let wrong = with(cuboid(SIDES), [0, 1, 8]);
    assert_eq!(faults(&wrong), [Fault::NoSuchPoint { triangle: 12, point: 8, points: 8 }]);
    let mut wrong = cuboid(SIDES);
    wrong.patches.pop();
    assert_eq!(faults(&wrong), [Fault::Patches { triangles: 12, patches: 11 }]);
    let mut wrong = cuboid(SIDES);
    wrong.points[3].y = f64::NAN;
    assert!(matches!(faults(&wrong)[..], [Fault::NotFinite { point: 3, .. }]));
}

#[test]
fn holes_are_rims_with_length_and_place() {
    let open = without(without(cuboid(SIDES), 0), 0);
    let [Fault::Open { sides: 4, length, at }] = faults(&open)[..] else { panic!("{:?}", faults(&open)) };
    assert!((length - 0.32).abs() < 1e-12);
    assert_eq!(at.0.z, 0.0);
    let twice = without(without(sphere(0.05, 2), 0), 200);
    assert_eq!(
        faults(&twice).iter().filter(|fault| matches!(fault, Fault::Open { sides: 3, .. })).count(),
        2
    );
}

#[test]
fn bodies_that_touch() {
    let by_a_side = cuboid(SIDES).joined(&shifted(cuboid(SIDES), [0.1, 0.06, 0.0])).welded().surface;
    let crowded = Fault::CrowdedSide {
        triangles: 4,
        from: Place(Vector3::new(0.1, 0.06, 0.0)),
        to: Place(Vector3::new(0.1, 0.06, 0.02)),
    };
    assert_eq!(faults(&by_a_side), [crowded]);
    let in_a_point = cuboid(SIDES).joined(&shifted(cuboid(SIDES), SIDES)).welded().surface;
    assert_eq!(faults(&in_a_point), [Fault::Pinched { fans: 2, at: Place(SIDES.into()) }]);
    // Side by side without common points: they touch all the same.
    let resting = cuboid(SIDES).joined(&shifted(cuboid(SIDES), [0.013, 0.007, 0.02]));
    assert!(faults(&resting).iter().all(|fault| matches!(fault, Fault::Crosses { .. })));
    assert!(!faults(&resting).is_empty());
}

#[test]
fn turned_triangles_are_pieces() {
    let mut surface = sphere(0.05, 3);
    for triangle in [3, 4, 700, 701, 702, 703] {
        surface.triangles[triangle].swap(0, 1);
    }
    let mut sizes = vec![];
    for fault in faults(&surface) {
        let Fault::Turned { triangles, .. } = fault else { panic!("{fault}") };
        sizes.push(triangles);
    }
    assert_eq!(sizes.iter().sum::<usize>(), 6);
    assert!(sizes.contains(&4), "{sizes:?}"); // three around a fourth
}

#[test]
fn a_strip_with_half_a_twist_has_no_inside() {
    let count = 24;
    let point = |i: usize, side: f64| {
        let turn = std::f64::consts::TAU * i as f64 / count as f64;
        let radius = 0.1 + 0.02 * side * (0.5 * turn).cos();
        Vector3::new(radius * turn.cos(), radius * turn.sin(), 0.02 * side * (0.5 * turn).sin())
    };
    let points = (0..count).flat_map(|i| [point(i, -1.0), point(i, 1.0)]).collect();
    let n = 2 * count as u32;
    let corner = |i: u32, k: u32| if i == count as u32 { 1 - k } else { 2 * i + k } % n;
    let triangles: Vec<_> = (0..count as u32)
        .flat_map(|i| {
            [
                [corner(i, 0), corner(i + 1, 0), corner(i, 1)],
                [corner(i, 1), corner(i + 1, 0), corner(i + 1, 1)],
            ]
        })
        .collect();
    let strip = Surface { points, patches: vec![0; triangles.len()], triangles };
    assert!(faults(&strip).iter().any(|fault| matches!(fault, Fault::OneSided { .. })));
}

#[test]
fn shells_and_what_lies_in_them() {
    let shell = |radius| sphere(radius, 2);
    let hollow = shell(0.05).joined(&inverted(shell(0.04)));
    let report = check(&hollow, &Limits::default());
    assert_eq!(report.faults, []);
    assert_eq!(report.shells.iter().map(|shell| shell.within.len()).collect::<Vec<_>>(), [0, 1]);
    let filled = shell(0.05).joined(&shell(0.04));
    assert!(matches!(faults(&filled)[..], [Fault::Within { shell: 1, other: 0, .. }]));
    assert!(matches!(faults(&inverted(shell(0.05)))[..], [Fault::InsideOut { shell: 0, .. }]));
    let apart = shell(0.05).joined(&shifted(shell(0.05), [0.2, 0.0, 0.0]));
    assert_eq!(check(&apart, &Limits::default()).shells.len(), 2);
}

#[test]
fn degenerate_triangles() {
    let mut surface = with(cuboid(SIDES), [0, 1, 1]);
    surface.points.push(Vector3::new(0.05, 1e-10, 0.0));
    let surface = with(surface, [0, 1, 8]);
    let found = faults(&surface);
    let flat: Vec<_> = found.iter().filter(|fault| matches!(fault, Fault::NoArea { .. })).collect();
    assert_eq!(flat.len(), 2);
    let mut thin = cuboid([0.1, 0.06, 1e-5]);
    assert!(faults(&thin).iter().any(|fault| matches!(fault, Fault::Needle { ratio, .. } if *ratio > 5e3)));
    thin = with(cuboid(SIDES), [3, 2, 0]);
    assert!(faults(&thin).iter().any(|fault| matches!(fault, Fault::Twice { triangles: [0, 12], .. })));
}

#[test]
fn crossing_bodies_and_folds() {
    let crossing = cuboid(SIDES).joined(&shifted(cuboid(SIDES), [0.05, 0.03, 0.01]));
    assert!(faults(&crossing).iter().any(|fault| matches!(fault, Fault::Crosses { .. })));
    let apart = cuboid(SIDES).joined(&shifted(cuboid(SIDES), [0.0, 0.0, 0.020_000_1]));
    assert_eq!(faults(&apart), []);
    let mut folded = Surface {
        points: vec![Vector3::zeros(), Vector3::x(), Vector3::y(), Vector3::new(0.3, 0.3, 0.0)],
        ..Surface::default()
    };
    folded.triangles = vec![[0, 1, 2], [1, 0, 3]];
    folded.patches = vec![0; 2];
    assert!(faults(&folded).iter().any(|fault| matches!(fault, Fault::Folded { triangles: [0, 1], .. })));
}

#[test]
fn a_soup_is_given_up_soon() {
    let mut random = 1u64;
    let mut number = || {
        random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (random >> 40) as f64 / (1u64 << 24) as f64
    };
    let points = (0..30_000).map(|_| Vector3::new(number(), number(), number())).collect();
    let triangles = (0..10_000).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect();
    let report = check(&Surface { points, triangles, patches: vec![0; 10_000] }, &Limits::default());
    assert!(report.unlisted > 9_000);
    assert!(report.faults.len() < 100);
}

#[test]
fn wrong_scales_name_the_likely_unit() {
    let likely = |size: f64, unit: f64| {
        let read = cuboid(SIDES.map(|side| side * size / 0.1));
        let [Fault::Scale { size: found, likely }] =
            check(&read, &Limits { unit, ..Limits::default() }).faults[..]
        else {
            panic!("{size}")
        };
        assert!((found - size).abs() < 1e-12 * size);
        likely.map(|(unit, _)| unit)
    };
    assert_eq!(likely(40.0, 1.0), Some("millimetres"));
    assert_eq!(likely(40e-6, 1e-3), Some("metres"));
    assert_eq!(likely(4e-3, 1e-3), Some("inches"));
    assert_eq!(likely(100.0 * 0.0254, 0.0254), Some("millimetres"));
    assert_eq!(likely(9e3, 1e-3), None);
    let fault = Fault::Scale { size: 40e-6, likely: Some(("metres", 1.0)) };
    assert_eq!(
        fault.to_string(),
        "the body is 0.04 mm large; the file is likely in metres: read it with 1 m per unit"
    );
}

#[test]
fn walls_and_slits_have_a_place() {
    // A trough: two walls 1.5 and 2 mm thick, a slit of 3 mm between them, on a floor of 4 mm.
    let outline =
        [[0.0, 0.0], [6.5, 0.0], [6.5, 30.0], [4.5, 30.0], [4.5, 4.0], [1.5, 4.0], [1.5, 30.0], [0.0, 30.0]];
    let trough = prism(&outline.map(|p| p.map(|x| 1e-3 * x)), 0.02);
    let limits = Limits { wall: 1.6e-3, slit: 3.1e-3, ..Limits::default() };
    let report = check(&trough, &limits);
    assert!((report.thinnest.expect("closed").length() - 1.5e-3).abs() < 1e-9);
    assert!((report.slit.expect("closed").length() - 3e-3).abs() < 1e-9);
    let [Fault::ThinWall { at: wall, .. }, Fault::NarrowSlit { at: slit, .. }] = report.faults[..] else {
        panic!("{report:?}")
    };
    assert!((wall.0.x - 0.75e-3).abs() < 1e-9 && (slit.0.x - 3e-3).abs() < 1e-9);
    assert_eq!(faults(&trough), []);
}

/// A polygon [m] with a triangulation by hand: eight corners of a U.
fn prism(outline: &[[f64; 2]; 8], depth: f64) -> Surface {
    let bottom = outline.iter().map(|&[x, y]| Vector3::new(x, y, 0.0));
    let top = outline.iter().map(|&[x, y]| Vector3::new(x, y, depth));
    let caps = [[0, 5, 6], [0, 6, 7], [0, 1, 5], [1, 4, 5], [1, 2, 4], [2, 3, 4]];
    let mut triangles: Vec<[u32; 3]> =
        caps.iter().flat_map(|&[a, b, c]| [[a, c, b], [a + 8, b + 8, c + 8]]).collect();
    for a in 0..8u32 {
        let b = (a + 1) % 8;
        triangles.extend([[a, b, b + 8], [a, b + 8, a + 8]]);
    }
    Surface { points: bottom.chain(top).collect(), patches: vec![0; triangles.len()], triangles }
}

#[test]
fn large_triangles_are_sampled_all_over() {
    let mut wedge = cuboid([0.1, 0.06, 0.02]);
    wedge.points.iter_mut().filter(|point| point.x > 0.05 && point.z > 0.0).for_each(|point| point.z = 0.005);
    let wall = thinnest_wall(&wedge).expect("closed").length();
    assert!((0.0049..0.0055).contains(&wall), "{wall}");
}

#[test]
fn gaps_between_bodies() {
    let a = cuboid(SIDES);
    let facing = gap(&a, &shifted(cuboid(SIDES), [0.0, 0.0, 0.023])).expect("two bodies");
    assert!((facing.length() - 0.003).abs() < 1e-12);
    let diagonal = gap(&a, &shifted(cuboid(SIDES), [0.103, 0.064, 0.0])).expect("two bodies");
    assert!((diagonal.length() - 0.005).abs() < 1e-12);
    // Two sides askew, crossing at a distance: no corner is near.
    let turn = nalgebra::Rotation3::from_axis_angle(&Vector3::z_axis(), 0.5)
        * nalgebra::Rotation3::from_axis_angle(&Vector3::x_axis(), std::f64::consts::FRAC_PI_4);
    let bar = shifted(cuboid([0.2, 0.01, 0.01]), [-0.1, -0.005, -0.005]);
    let lying = turned(
        bar.clone(),
        &nalgebra::Rotation3::from_axis_angle(&Vector3::x_axis(), std::f64::consts::FRAC_PI_4),
    );
    let crossing = shifted(turned(bar, &turn), [0.0, 0.0, 0.02]);
    let ways = gap(&lying, &crossing).expect("two bodies");
    assert!((ways.length() - (0.02 - 0.01 * 2f64.sqrt())).abs() < 1e-12, "{}", ways.length());
}

#[test]
fn a_sphere_is_as_thick_as_its_facets_say() {
    let sphere = sphere(0.05, 4);
    let thickness = thinnest_wall(&sphere).expect("closed").length();
    assert!((0.0993..0.1).contains(&thickness), "{thickness}");
    assert_eq!(narrowest_slit(&sphere), None);
}

#[test]
fn repairs_are_done_and_told() {
    let mut broken = with(with(cuboid(SIDES), [2, 0, 3]), [4, 4, 5]);
    broken.triangles[5].swap(0, 1);
    let Repaired { surface, repairs } = repaired(&without(broken, 8));
    assert_eq!(faults(&surface), []);
    assert!((surface.volume() - 0.1 * 0.06 * 0.02).abs() < 1e-15);
    let told = repairs.iter().map(Repair::to_string).collect::<Vec<_>>().join("; ");
    let expected = "1 triangles without area were removed; 1 triangles that were there twice were removed; \
        a hole of 3 sides at (0, 0, 0) mm was closed with a flat lid; 1 triangles were turned round to face outwards";
    assert_eq!(told, expected);
    assert_eq!(repaired(&surface), Repaired { surface, repairs: vec![] });
}

#[test]
fn a_flat_triangle_is_flipped_away() {
    // The middle of a side of the cuboid is a corner of one face only.
    let mut surface = cuboid(SIDES);
    surface.points.push(Vector3::new(0.05, 0.0, 0.0));
    let position = |corners: &[u32; 3]| [0, 1].iter().all(|p| corners.contains(p));
    let at = surface.triangles.iter().position(position).expect("a face at the side");
    let third = surface.triangles[at].iter().find(|p| **p > 1).copied().expect("a third corner");
    let [forward, _] = [(0, 1), (1, 0)].map(|(a, b)| {
        (0..3).any(|k| surface.triangles[at][k] == a && surface.triangles[at][(k + 1) % 3] == b)
    });
    let (a, b) = if forward { (0, 1) } else { (1, 0) };
    surface.triangles[at] = [a, 8, third];
    surface = with(with(surface, [8, b, third]), [a, b, 8]);
    assert!(faults(&surface).iter().any(|fault| matches!(fault, Fault::NoArea { .. })));
    let Repaired { surface, repairs } = repaired(&surface);
    assert_eq!(repairs, [Repair::NoArea { triangles: 1 }]);
    assert_eq!(faults(&surface), []);
}

#[test]
fn small_flat_holes_are_closed_and_others_left() {
    let mut pierced = (0..5).fold(cuboid(SIDES), |surface, _| quartered(&surface));
    let at = Vector3::new(0.05, 0.03, 0.02);
    let near = |surface: &Surface, t: usize| {
        (surface.corners(t).iter().sum::<Vector3<f64>>() / 3.0 - at).norm() < 0.0022
    };
    while let Some(t) = (0..pierced.triangles.len()).find(|&t| near(&pierced, t)) {
        pierced = without(pierced, t);
    }
    assert!(matches!(faults(&pierced)[..], [Fault::Open { sides: 4.., .. }]));
    let mended = repaired(&pierced);
    assert!(matches!(mended.repairs[..], [Repair::Closed { .. }]), "{:?}", mended.repairs);
    assert_eq!(faults(&mended.surface), []);
    assert!((mended.surface.volume() - 1.2e-4).abs() < 1e-12);
    let open = without(without(cuboid(SIDES), 0), 0);
    assert_eq!(repaired(&open).repairs, []);
}

#[test]
fn whole_drawings_inside_out_are_turned_but_bodies_in_bodies_left() {
    let hollow = sphere(0.05, 2).joined(&inverted(sphere(0.04, 2)));
    let mended = repaired(&inverted(hollow.clone()));
    assert!((mended.surface.volume() - hollow.volume()).abs() < 1e-15);
    assert_eq!(mended.repairs, [Repair::Turned { triangles: 640 }]);
    assert_eq!(repaired(&sphere(0.05, 2).joined(&sphere(0.04, 2))).repairs, []);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn turning_a_body_changes_no_finding(rotation in rotations(), shift in [-0.1..0.1, -0.1..0.1, -0.1..0.1f64]) {
        let moved = |surface: Surface| shifted(turned(surface, &rotation), shift);
        prop_assert_eq!(faults(&moved(sphere(0.05, 3))), []);
        prop_assert_eq!(faults(&moved(quartered(&cuboid(SIDES)))), []);
        let open = without(quartered(&cuboid(SIDES)), 7);
        let rim = matches!(faults(&moved(open))[..], [Fault::Open { sides: 3, .. }]);
        prop_assert!(rim);
        let wall = thinnest_wall(&moved(cuboid(SIDES))).map(|span| span.length());
        prop_assert!(wall.is_some_and(|wall| (wall - 0.02).abs() < 1e-12));
        let crossing = moved(cuboid(SIDES).joined(&shifted(cuboid(SIDES), [0.05, 0.03, 0.01])));
        let crosses = faults(&crossing).iter().any(|fault| matches!(fault, Fault::Crosses { .. }));
        prop_assert!(crosses);
    }

    #[test]
    fn no_surface_makes_it_panic(
        points in proptest::collection::vec([-1.0..1.0f64, -1.0..1.0, -1.0..1.0], 4..12),
        triangles in proptest::collection::vec([0u32..13, 0..13, 0..13], 0..20),
        flat in any::<bool>(),
    ) {
        let points = points.into_iter().map(|[x, y, z]| Vector3::new(x, y, if flat { 0.0 } else { z })).collect();
        let surface = Surface { points, patches: vec![0; triangles.len()], triangles };
        let _ = check(&surface, &Limits { wall: 1e-3, slit: 1e-3, ..Limits::default() });
        let _ = repaired(&surface);
    }
}
