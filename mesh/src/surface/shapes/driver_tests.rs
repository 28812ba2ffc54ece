//! Tubes, rings that move, and plates around them.

use super::*;
use crate::surface::Mirror;
use crate::surface::check::{Limits, check};
use crate::{Contour, Outline, QuadraticSurface, Surface};
use std::f64::consts::PI;

fn assert_sound(surface: &Surface, handles: usize) {
    let report = check(surface, &Limits::default());
    assert!(report.faults.is_empty(), "{:?}", report.faults);
    let euler = surface.points.len() + surface.triangles.len() - surface.edges().len();
    assert_eq!(euler + 2 * handles, 2);
    let half = surface.positive_half(Mirror::X, 1e-9).expect("symmetric");
    let quarter = half.positive_half(Mirror::Y, 1e-9).expect("symmetric");
    assert_eq!(4 * quarter.triangles.len(), surface.triangles.len());
}

/// Area [m²] of a patch that is flat in the plane of the front, seen along z.
fn front_area(surface: &QuadraticSurface, patch: u16) -> f64 {
    let on_front = |element: &&[u32; 6]| element.iter().all(|&p| surface.points[p as usize].z == 0.0);
    let own =
        surface.elements.iter().zip(&surface.patches).filter(|pair| *pair.1 == patch).map(|pair| pair.0);
    own.filter(on_front).map(|element| curved_area(element.map(|p| surface.points[p as usize].into()))).sum()
}

/// Area [m²] within the sides of a flat six-point triangle: that of its corners, and two thirds of chord times rise of every side.
fn curved_area(points: [[f64; 3]; 6]) -> f64 {
    let cross =
        |a: [f64; 3], b: [f64; 3], c: [f64; 3]| (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    let rise = |i: usize| cross(points[i], points[3 + i], points[(i + 1) % 3]) * 2.0 / 3.0;
    0.5 * cross(points[0], points[1], points[2]) + rise(0) + rise(1) + rise(2)
}

const RING: Diaphragm = Diaphragm::Ring { inner_radius: 0.006, coil_radius: 0.014 };
const TUBE: Tube = Tube {
    radius: 0.025,
    depth: 0.02,
    wall: 0.002,
    rounding: 0.001,
    diaphragm_radius: 0.02,
    diaphragm: Diaphragm::Flat,
    septum: 0.0005,
};

#[test]
fn tubes_have_the_volume_of_wall_and_septum() {
    let (outer, inner, a) = (0.025f64, 0.023f64, 0.02f64);
    let septum = PI * inner * inner * 0.0005;
    let plain = PI * (outer * outer - inner * inner) * 0.02 + septum;
    // The shape's front and back enclose the same volume whatever the shape is.
    for diaphragm in
        [Diaphragm::Flat, Diaphragm::Cone { depth: 0.007 }, Diaphragm::Dome { height: 0.006 }, RING]
    {
        let tube = Tube { diaphragm, rounding: 0.0, ..TUBE };
        let lathe = tube.lathe().expect("a tube");
        assert!((lathe.volume() / plain - 1.0).abs() < 1e-6, "{diaphragm:?}");
        let surface = lathe.meshed(0.003).expect("a mesh");
        assert_sound(&surface, 0);
        assert!((surface.volume() / plain - 1.0).abs() < 0.02, "{diaphragm:?}");
    }
    assert_sound(&TUBE.lathe().and_then(|lathe| lathe.meshed(0.01)).expect("rounded"), 0);
    let tight = Tube { wall: outer - a, rounding: 0.0, ..TUBE };
    assert_sound(&tight.lathe().and_then(|lathe| lathe.meshed(0.004)).expect("without a rigid ring"), 0);
}

#[test]
fn impossible_tubes_are_named() {
    let says = |tube: Tube, words: &str| {
        let text = tube.lathe().expect_err(words).to_string();
        assert!(text.contains(words), "{text}");
    };
    says(
        Tube { wall: 0.006, ..TUBE },
        "radius of the diaphragm is 20.0000 mm; it reaches into the tube's wall",
    );
    says(Tube { septum: 0.02, ..TUBE }, "depth of the tube behind the diaphragm is 0 mm");
    says(Tube { diaphragm: Diaphragm::Cone { depth: 0.0197 }, ..TUBE }, "pierce the back");
    let wide = Diaphragm::Ring { inner_radius: 0.015, coil_radius: 0.014 };
    says(
        Tube { diaphragm: wide, ..TUBE },
        "inner radius of the ring is 15.0000 mm; the coil lies outside it",
    );
}

#[test]
fn rings_move_between_their_circles_only() {
    let moving = PI * (0.02f64.powi(2) - 0.006f64.powi(2));
    let housing =
        Housing { radius: 0.025, depth: 0.02, rounding: 0.0, diaphragm_radius: 0.02, diaphragm: RING };
    let lathe = housing.lathe().expect("a housing");
    let round = lathe.meshed(0.003).expect("a mesh");
    assert_sound(&round, 0);
    assert_ring(&round, QuadraticSurface::curved(&round, lathe.onto(0.003)), moving);
    let piston = Piston { radius: 0.02, centre: [0.0; 2], ring: Some([0.006, 0.014]) };
    let front = Outline::Rectangle { width: 0.06, height: 0.05 };
    let slab = Slab { piston: Some(piston), ..Slab::plain(front, 0.02) };
    let cuboid = slab.meshed(0.003).expect("a mesh");
    assert_sound(&cuboid, 0);
    assert_ring(&cuboid, QuadraticSurface::curved(&cuboid, slab.onto(0.003)), moving);
    let aside = Some(Piston { centre: [0.004, 0.0], ..piston });
    let aside = Slab { piston: aside, ..slab }.meshed(0.003).expect("a mesh");
    assert!(check(&aside, &Limits::default()).faults.is_empty());
}

fn assert_ring(surface: &Surface, curved: QuadraticSurface, moving: f64) {
    assert!((front_area(&curved, DIAPHRAGM) / moving - 1.0).abs() < 1e-5);
    for (triangle, &patch) in
        surface.triangles.iter().zip(&surface.patches).filter(|pair| *pair.1 == DIAPHRAGM)
    {
        let radii = triangle.map(|p| surface.points[p as usize].xy().norm());
        let across = |circle: f64| {
            radii.iter().any(|&r| r < circle - 1e-9) && radii.iter().any(|&r| r > circle + 1e-9)
        };
        assert!(!across(0.014) && !across(0.006), "{patch} {radii:?}");
    }
}

#[test]
fn plates_with_a_cutout_are_meshed_by_quarters_and_their_rims_are_round() {
    let hole = |width, height| vec![Contour::ellipse([0.08, 0.06], width, height)];
    let plate = |hole| Outline::Rectangle { width: 0.16, height: 0.12 }.with_cutouts(hole).expect("a plate");
    let slab = Slab { front_rounding: 0.004, ..Slab::plain(plate(hole(0.05, 0.05)), 0.008) };
    for (sharp_cutouts, at_the_front) in [(true, 0.025), (false, 0.029)] {
        let slab = Slab { sharp_cutouts, ..slab.clone() };
        let surface = slab.meshed(0.012).expect("a mesh");
        assert_sound(&surface, 1);
        let curved = QuadraticSurface::curved(&surface, slab.onto(0.012));
        // Points and middles on the circles at the back and, sharp or rounded over, at the front.
        for (radius, height) in [(0.025, -0.008), (at_the_front, 0.0)] {
            let on = |p: &&nalgebra::Vector3<f64>| {
                (p.z - height).abs() < 1e-12 && (p.xy().norm() - radius).abs() < 1e-12
            };
            assert_eq!(curved.points.iter().filter(on).count(), 2 * 16, "{sharp_cutouts} {radius}");
        }
    }
    let oval = Slab::plain(plate(hole(0.05, 0.03)), 0.008).meshed(0.006).expect("a mesh");
    assert_sound(&oval, 1);
}
