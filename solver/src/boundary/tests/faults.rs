//! Surfaces that are refused, and why.

use super::meshes;
use crate::boundary::{Body, BoundaryError, Mirrors};
use panelwright_mesh::QuadraticSurface;

fn fault(surface: &QuadraticSurface, mirrors: Mirrors) -> BoundaryError {
    Body::new(surface, mirrors).err().expect("a surface that is refused")
}

#[test]
fn surfaces_that_are_not_closed_are_refused() {
    let nothing = QuadraticSurface { points: vec![], elements: vec![], patches: vec![] };
    assert_eq!(fault(&nothing, Mirrors::NONE), BoundaryError::Empty);
    let mut open = meshes::sphere(1);
    open.elements.pop();
    open.patches.pop();
    assert!(matches!(fault(&open, Mirrors::NONE), BoundaryError::Open { count: 1, .. }));
    // Open at a plane, but that plane does not reflect.
    let half = meshes::octasphere(1, [true, false, false]);
    assert!(matches!(
        fault(&half, Mirrors([false, true, false])),
        BoundaryError::BeyondMirror { axis: 'y', .. }
    ));
    assert!(matches!(fault(&half, Mirrors::NONE), BoundaryError::Open { count: 1, .. }));
}

#[test]
fn broken_elements_are_refused() {
    let mut flat = meshes::sphere(1);
    let [a, b, ..] = flat.elements[7];
    flat.points[flat.elements[7][2] as usize] = 0.5 * (flat.points[a as usize] + flat.points[b as usize]);
    assert!(matches!(fault(&flat, Mirrors::NONE), BoundaryError::Flat { .. }));
    let mut loose = meshes::sphere(1);
    loose.elements[3][4] = 999;
    let refused = BoundaryError::NoSuchPoint { element: 3, point: 999, count: 42 };
    assert_eq!(fault(&loose, Mirrors::NONE), refused);
}

#[test]
fn what_is_wrong_is_said_with_its_place() {
    let half = meshes::octasphere(1, [true, false, false]);
    let message = fault(&half, Mirrors::NONE).to_string();
    assert!(message.contains("not closed") && message.contains("mirror plane"), "{message}");
}
