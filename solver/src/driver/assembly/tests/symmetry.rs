//! Symmetric parts and their images are the whole.

use super::*;

fn wings(count: usize, turned: f64) -> SurroundForm {
    SurroundForm::Wings {
        count,
        length: 0.04,
        height: 0.02,
        opening: 1.1,
        thickness: 0.003,
        gap: 0.001,
        rounding: 0.0,
        turned,
    }
}

#[test]
fn parts_and_their_images_are_the_whole() {
    for (form, _, symmetric) in surrounds() {
        for front in [ROUND, BOX] {
            let assembly = built(&driver(front, SEALED, DiaphragmForm::Flat), form.clone());
            let whole = fine(&meshed(&assembly, 0.006, [false; 2]), |_| true);
            for mirrors in [[true, false], [false, true], [true, true]] {
                if (0..2).any(|axis| mirrors[axis] && !symmetric[axis]) {
                    continue;
                }
                let part = meshed(&assembly, 0.006, mirrors);
                let below = |axis: usize| part.points.iter().any(|p| p[axis] < -1e-12);
                assert!((0..2).all(|axis| !(mirrors[axis] && below(axis))), "{form:?}");
                let copies = if mirrors == [true; 2] { 4.0 } else { 2.0 };
                let part = fine(&part, |_| true);
                // A ball is divided anew: its triangles are others.
                let close = if matches!(form, SurroundForm::Part { .. }) { 2e-3 } else { 1e-9 };
                assert!((copies * part.area() / whole.area() - 1.0).abs() < close, "{form:?} {mirrors:?}");
                assert!(
                    (copies * part.volume() / whole.volume() - 1.0).abs() < close,
                    "{form:?} {mirrors:?}"
                );
            }
        }
    }
}

#[test]
fn wings_are_symmetric_where_their_angles_say_so() {
    let driver = driver(ROUND, SEALED, DiaphragmForm::Flat);
    for (count, turned, symmetric) in [
        (1, 0.0, [false, true]),
        (1, FRAC_PI_2, [true, false]),
        (2, 0.0, [true, true]),
        (2, 0.3, [false, false]),
        (3, 0.0, [false, true]),
        (3, FRAC_PI_2, [true, false]),
        (4, PI / 4.0, [true, true]),
        (4, 0.2, [false, false]),
        (5, 0.0, [false, true]),
    ] {
        let assembly = built(&driver, wings(count, turned));
        assert_eq!(assembly.symmetric(), symmetric, "{count} {turned}");
        // The same, asked of the mesh.
        let elements = meshed(&assembly, 0.01, [false; 2]);
        let surface = fine(&elements, |_| true);
        assert_eq!(super::super::Solid::symmetric(&surface), symmetric, "{count} {turned}");
        for axis in (0..2).filter(|&axis| symmetric[axis]) {
            let part = meshed(&assembly, 0.01, [axis == 0, axis == 1]);
            assert_eq!(2 * part.elements.len(), elements.elements.len(), "{count} {turned}");
        }
    }
}

#[test]
fn a_plane_that_mirrors_nothing_is_refused() {
    let assembly = built(&driver(ROUND, SEALED, DiaphragmForm::Flat), BRACKET);
    let fault = assembly.meshed(0.01, [false, true]).expect_err("an angle");
    assert_eq!(
        fault.to_string(),
        "bracket is not symmetric about y = 0; mesh it without this mirror plane, or centre and align it"
    );
    let post = |middle, turned| SurroundForm::Post { diameter: 0.006, length: 0.07, middle, turned };
    let of = |form| built(&driver(ROUND, SEALED, DiaphragmForm::Flat), form).symmetric();
    assert_eq!(of(post([0.0, 0.01, 0.015], 0.0)), [true, false]);
    assert_eq!(of(post([0.0, 0.0, 0.015], FRAC_PI_2)), [true, true]);
    assert_eq!(of(post([0.0, 0.0, 0.015], 0.5)), [false, false]);
}
