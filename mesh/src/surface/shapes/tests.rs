use super::*;
use crate::surface::check::{Fault, Limits, Place, check, gap, thinnest_wall};
use crate::surface::remesh::Quality;
use crate::surface::{Mirror, stl};
use crate::{Outline, Piece, QuadraticSurface, Surface};
use nalgebra::Vector3;
use proptest::prelude::*;
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};

fn lathe(lathe: Result<Lathe, ShapeFault>, length: f64) -> Surface {
    lathe.and_then(|lathe| lathe.meshed(length)).unwrap_or_else(|fault| panic!("{fault}"))
}

fn slab(slab: &Slab, length: f64) -> Surface {
    slab.meshed(length).unwrap_or_else(|fault| panic!("{fault}"))
}

fn area_of(surface: &Surface, patch: u16) -> f64 {
    let own = (0..surface.triangles.len()).filter(|&t| surface.patches[t] == patch);
    own.map(|t| surface.area_vector(t).norm()).sum()
}

/// No fault, in memory and after both ways through STL; holes counted by Euler's formula: `bodies` shells with `handles`.
fn assert_printable(surface: &Surface, bodies: usize, handles: usize) {
    for copy in [
        surface.clone(),
        read(&stl::write_binary(surface, 1e-3)),
        read(stl::write_text(surface, 1e-3).as_bytes()),
    ] {
        let report = check(&copy, &Limits::default());
        assert!(report.faults.is_empty(), "{:?}", report.faults);
        assert_eq!(report.shells.len(), bodies);
        let euler = copy.points.len() + copy.triangles.len() - copy.edges().len();
        assert_eq!(euler + 2 * handles, 2 * bodies);
    }
}

fn read(bytes: &[u8]) -> Surface {
    stl::read(bytes, 1e-3).unwrap_or_else(|fault| panic!("{fault}"))
}

/// Half and quarter exist without cutting: no triangle crosses the planes.
fn assert_mirrored(surface: &Surface) {
    let half = surface.positive_half(Mirror::X, 1e-9).expect("symmetric");
    let quarter = half.positive_half(Mirror::Y, 1e-9).expect("symmetric");
    assert_eq!(4 * quarter.triangles.len(), surface.triangles.len());
}

const RECTANGLE: Outline = Outline::Rectangle { width: 0.16, height: 0.24 };

#[test]
fn a_box_with_a_piston() {
    let piston = Some(Piston { radius: 0.03, centre: [0.0, 0.0], ring: None });
    let body = Slab { piston, ..Slab::plain(RECTANGLE, 0.18) };
    let surface = slab(&body, 0.012);
    assert_printable(&surface, 1, 0);
    assert_mirrored(&surface);
    assert!((surface.volume() - 0.16 * 0.24 * 0.18).abs() < 1e-15);
    let box_area = 2.0 * (0.16 * 0.24 + 0.16 * 0.18 + 0.24 * 0.18);
    assert!((surface.area() - box_area).abs() < 1e-12);
    // A polygon of sixteen sides in the circle: n/2 sin(2π/n) r².
    let polygon = 8.0 * (PI / 8.0).sin() * 0.03f64.powi(2);
    assert!((area_of(&surface, DIAPHRAGM) - polygon).abs() < 1e-12);
    let quality = Quality::of(&surface);
    assert!(quality.smallest_angle.to_degrees() > 24.0, "{}", quality.smallest_angle.to_degrees());
    assert!(quality.longest_side < 2.0 * 0.012, "{quality:?}");
}

#[test]
fn a_piston_aside_and_a_curved_edge() {
    let piston = Some(Piston { radius: 0.03, centre: [0.01, 0.05], ring: None });
    let body = Slab { piston, front_rounding: 0.01, ..Slab::plain(RECTANGLE, 0.1) };
    let surface = slab(&body, 0.012);
    assert_printable(&surface, 1, 0);
    let curved = QuadraticSurface::curved(&surface, body.onto(0.012));
    let on_edge = |point: &&Vector3<f64>| {
        point.z == 0.0 && ((point.x - 0.01).hypot(point.y - 0.05) - 0.03).abs() < 1e-12
    };
    assert_eq!(curved.points.iter().filter(on_edge).count(), 32); // sixteen points and sixteen middles
}

#[test]
fn rounded_slabs_have_the_volume_of_their_sections() {
    // Sections of a w × h box with front edges rounded by r are (w − 2s)(h − 2s): over the quarter circle the volume lacks
    // 2 (w + h) r² (1 − π/4) − 4 r³ (5/3 − π/2) (∫ s dz = r² (1 − π/4), ∫ s² dz = r³ (5/3 − π/2)).
    let r = 0.02;
    let body = Slab { front_rounding: r, ..Slab::plain(RECTANGLE, 0.1) };
    let exact =
        0.16 * 0.24 * 0.1 - 0.8 * r * r * (1.0 - FRAC_PI_4) + 4.0 * r.powi(3) * (5.0 / 3.0 - FRAC_PI_2);
    let errors =
        [4.0, 8.0, 16.0].map(|steps| (slab(&body, FRAC_PI_2 * r / steps).volume() / exact - 1.0).abs());
    assert!(errors[2] < 1.2e-4, "{errors:?}");
    for k in 0..2 {
        assert!((errors[k] / errors[k + 1] - 4.0).abs() < 0.05, "{errors:?}"); // second order
    }
    for (outline, handles) in [
        (Outline::RoundedRectangle { width: 0.2, height: 0.1, radius: 0.03 }, 0),
        (Outline::Ellipse { width: 0.2, height: 0.12 }, 0),
        (RECTANGLE.with_cutouts(vec![crate::Contour::ellipse([0.08, 0.12], 0.05, 0.05)]).expect("a hole"), 1),
    ] {
        let body = Slab { front_rounding: 0.006, back_rounding: 0.004, ..Slab::plain(outline, 0.018) };
        assert_printable(&slab(&body, 0.008), 1, handles);
    }
}

#[test]
fn posts_and_brackets() {
    let post = slab(&Slab { front_rounding: 0.002, back_rounding: 0.002, ..Slab::post(0.008, 0.05) }, 0.003);
    assert_printable(&post, 1, 0);
    assert_mirrored(&post);
    let bracket = slab(&Slab::bracket([0.04, 0.03], 0.003, 0.02).expect("a bracket"), 0.004);
    assert_printable(&bracket, 1, 0);
    assert!((bracket.volume() - (0.04 + 0.03 - 0.003) * 0.003 * 0.02).abs() < 1e-15);
}

#[test]
fn spheres_converge_and_curve() {
    let ball = Sphere { radius: 0.1, cap: PI / 3.0 };
    let body = ball.lathe().expect("a ball");
    assert!((body.volume() / (4.0 / 3.0 * PI * 1e-3) - 1.0).abs() < 1e-6);
    let cap = 2.0 * PI * 0.1 * 0.05; // Archimedes
    let errors = [0.02, 0.01, 0.005].map(|length| {
        let surface = lathe(ball.lathe(), length);
        assert_printable(&surface, 1, 0);
        assert_mirrored(&surface);
        [
            (surface.volume() / 4.188_790_204_786_391e-3 - 1.0).abs(),
            (area_of(&surface, DIAPHRAGM) / cap - 1.0).abs(),
        ]
    });
    for k in 0..2 {
        assert!(errors[0][k] > 3.0 * errors[1][k] && errors[1][k] > 3.0 * errors[2][k], "{errors:?}");
    }
    assert!(errors[2][0] < 2e-3, "{errors:?}");
    let curved = QuadraticSurface::curved(&lathe(ball.lathe(), 0.02), body.onto(0.02));
    assert!(curved.points.iter().all(|point| (point.norm() - 0.1).abs() < 1e-12));
    let edge = curved.points.iter().filter(|point| (point.z - 0.05).abs() < 1e-12).count();
    assert!(edge >= 2 * 28, "{edge}"); // the cap's circle of 0.54 m: points and middles
}

#[test]
fn housings_with_all_diaphragms() {
    let (r, a) = (0.03, 0.02);
    for (diaphragm, extra) in [
        (Diaphragm::Flat, 0.0),
        (Diaphragm::Cone { depth: 0.008 }, -PI * a * a * 0.008 / 3.0),
        (Diaphragm::Dome { height: 0.006 }, PI * 0.006 / 6.0 * (3.0 * a * a + 0.006 * 0.006)),
    ] {
        let housing = Housing { radius: r, depth: 0.02, rounding: 0.0, diaphragm_radius: a, diaphragm };
        let body = housing.lathe().expect("a housing");
        let exact = PI * r * r * 0.02 + extra;
        assert!((body.volume() / exact - 1.0).abs() < 1e-7, "{diaphragm:?}");
        let surface = lathe(housing.lathe(), 0.003);
        assert_printable(&surface, 1, 0);
        assert_mirrored(&surface);
        assert!((surface.volume() / exact - 1.0).abs() < 0.01);
        assert!(Quality::of(&surface).smallest_angle.to_degrees() > 18.0, "{:?}", Quality::of(&surface));
        assert_printable(&lathe(Housing { rounding: 0.003, ..housing }.lathe(), 0.003), 1, 0);
    }
}

fn flare(form: Form, back: Back) -> Flare {
    Flare { throat: 0.015, mouth: 0.05, length: 0.04, form, wall: 0.002, back }
}

const DRIVER: Back = Back::Driver { diaphragm: Diaphragm::Flat, depth: 0.02 };

#[test]
fn flares_of_all_forms() {
    for form in [Form::Conical, Form::Exponential, Form::Elliptic] {
        let ring = lathe(flare(form, Back::Open).lathe(), 0.004);
        assert_printable(&ring, 1, 1);
        assert_mirrored(&ring);
        let wall = thinnest_wall(&ring).expect("closed").length();
        assert!(wall > 1.2e-3 && wall < 2.1e-3, "{form:?} {wall}");
        let united = lathe(flare(form, DRIVER).lathe(), 0.004);
        assert_printable(&united, 1, 0);
        assert_mirrored(&united);
        assert!((area_of(&united, DIAPHRAGM) / (PI * 0.015f64.powi(2)) - 1.0).abs() < 0.03);
    }
}

#[test]
fn coarse_chords_do_not_cut_through_thin_walls() {
    let sleek = Flare {
        throat: 0.008,
        mouth: 0.018_977,
        length: 0.052_939,
        form: Form::Elliptic,
        wall: 0.0008,
        back: DRIVER,
    };
    assert_printable(&lathe(sleek.lathe(), 0.010_807), 1, 0);
    let cone = Flare { mouth: 0.026_179, length: 0.017_794, form: Form::Conical, ..sleek };
    assert_printable(&lathe(cone.lathe(), 0.011_335), 1, 0);
}

#[test]
fn walls_have_their_thickness_and_radii_their_form() {
    // A cone's wall: π (R² − r²) of each section, by Pappus over the middle line of the wall without rims.
    let cone = flare(Form::Conical, Back::Open);
    let slant = 0.035f64.hypot(0.04);
    let middle = 0.5 * (0.015 + 0.05) + 0.5 * 0.002 * 0.04 / slant;
    let (strip, rims) = (2.0 * PI * middle * slant * 0.002, 2.0 * PI * middle * PI * 0.001f64.powi(2));
    let volume = cone.lathe().expect("a cone").volume();
    assert!((volume / (strip + rims) - 1.0).abs() < 1e-3, "{volume} {}", strip + rims);
    let horn = lathe(flare(Form::Exponential, Back::Open).lathe(), 0.004);
    let inner = |point: &&Vector3<f64>| (0.0..=0.04).contains(&point.z) && on_curve(point) < 2e-7;
    assert!(horn.points.iter().filter(inner).count() > 500);
}

/// How far a radius is from that of the exponential flare.
fn on_curve(point: &Vector3<f64>) -> f64 {
    (point.x.hypot(point.y) - 0.015 * (point.z / 0.04 * (0.05f64 / 0.015).ln()).exp()).abs()
}

const WINGS: Wings = Wings {
    count: 4,
    length: 0.06,
    height: 0.03,
    opening: 0.9,
    thickness: 0.003,
    driver_radius: 0.02,
    gap: 0.001,
    rounding: 0.001,
};

#[test]
fn wings_stand_beside_the_driver() {
    let surface = WINGS.meshed(0.005).expect("wings");
    assert_printable(&surface, 4, 0);
    assert_mirrored_by_cutting(&surface);
    let housing = Housing {
        radius: 0.02,
        depth: 0.02,
        rounding: 0.0,
        diaphragm_radius: 0.015,
        diaphragm: Diaphragm::Flat,
    };
    let driver = lathe(housing.lathe(), 0.001);
    let air = gap(&surface, &driver).expect("two bodies").length();
    assert!((0.001 - 1e-9..0.0016).contains(&air), "{air}"); // rounded edges draw back
    assert_printable(&driver.joined(&surface), 5, 0);
    assert_printable(&Wings { opening: FRAC_PI_2, ..WINGS }.meshed(0.005).expect("a baffle"), 4, 0);
}

fn assert_mirrored_by_cutting(surface: &Surface) {
    let quarter = surface
        .positive_half(Mirror::X, 1e-9)
        .and_then(|half| half.positive_half(Mirror::Y, 1e-9))
        .expect("symmetric");
    assert!((4.0 * quarter.area() / surface.area() - 1.0).abs() < 1e-12);
    assert!(quarter.points.iter().all(|point| point.x >= 0.0 && point.y >= 0.0));
}

#[test]
fn impossible_measures_are_named() {
    let says = |fault: Result<Surface, ShapeFault>, words: &str| {
        let text = fault.expect_err(words).to_string();
        assert!(text.contains(words), "{text}");
    };
    let wings = Wings { rounding: 0.0, ..WINGS };
    says(
        Wings { gap: 0.0, ..wings }.meshed(0.005),
        "the gap between driver and wings is 0 mm; it must be a positive number",
    );
    says(
        Wings { height: 0.05, ..wings }.meshed(0.005),
        "neighbouring wings would cross: make it less than 42.0000 mm",
    );
    says(Wings { opening: 2.0, ..wings }.meshed(0.005), "opening angle is 114.59°");
    says(Wings { count: 0, ..wings }.meshed(0.005), "0 wings cannot be made; ask for 1 to 12");
    says(Wings { rounding: 0.002, ..wings }.meshed(0.005), "both roundings do not fit into the thickness");
    says(Wings { length: f64::NAN, ..wings }.meshed(0.005), "length of the wings is NaN mm");
    says(wings.meshed(1e-6), "ask for longer sides");
    says(wings.meshed(-1.0), "length of sides");
    let piston = Some(Piston { radius: 0.09, centre: [0.0, 0.0], ring: None });
    says(
        Slab { piston, ..Slab::plain(RECTANGLE, 0.1) }.meshed(0.01),
        "radius of the piston is 90.0000 mm; it reaches the edge",
    );
    let round = Slab { front_rounding: 0.081, ..Slab::plain(RECTANGLE, 0.1) };
    says(round.meshed(0.01), "nothing would be left");
    let of = |flare: Flare| flare.lathe().and_then(|lathe| lathe.meshed(0.004));
    says(
        of(Flare { mouth: 0.01, ..flare(Form::Conical, DRIVER) }),
        "a flare widens: make it more than 15.0000 mm",
    );
    says(
        of(Flare { mouth: 0.02, wall: 0.002, ..flare(Form::Elliptic, DRIVER) }),
        "its outer side would fold",
    );
    says(of(Flare { wall: 0.0, ..flare(Form::Conical, DRIVER) }), "wall thickness is 0 mm");
    says(
        of(flare(Form::Conical, Back::Driver { diaphragm: Diaphragm::Flat, depth: 0.001 })),
        "starts behind it",
    );
    says(
        of(flare(Form::Conical, Back::Driver { diaphragm: Diaphragm::Cone { depth: 0.03 }, depth: 0.02 })),
        "pierce the back",
    );
    let ball = Sphere { radius: 0.1, cap: 4.0 };
    assert!(matches!(ball.lathe(), Err(ShapeFault::Angle { .. })));
    let line = |from, to| Section { curve: Piece::Straight { from, to }, patch: 0 };
    let profile = |sections: Vec<Section>| Lathe::new(sections).expect_err("no profile").to_string();
    assert!(profile(vec![]).contains("is empty"));
    let up = [line([0.0, 0.0], [0.1, 0.0]), line([0.1, 0.0], [0.0, 0.1])];
    assert!(
        profile(vec![line([0.0, 0.1], [0.1, 0.0]), line([0.1, 0.0], [0.0, 0.0])]).contains("to its right")
    );
    assert!(profile(vec![up[0].clone(), line([0.1, 0.01], [0.0, 0.1])]).contains("has a gap"));
    assert!(profile(vec![up[0].clone()]).contains("ends beside the axis"));
    assert!(
        profile(vec![up[0].clone(), line([0.1, 0.0], [-0.05, 0.1]), line([-0.05, 0.1], [0.0, 0.2])])
            .contains("reaches the axis")
    );
}

#[test]
fn faults_are_not_overlooked() {
    // The test of printability itself must be able to fail.
    let mut open = slab(&Slab::plain(RECTANGLE, 0.1), 0.03);
    open.triangles.pop();
    open.patches.pop();
    let faults = check(&open, &Limits::default()).faults;
    assert!(matches!(faults[..], [Fault::Open { sides: 3, at: Place(_), .. }]));
}

fn diaphragms() -> impl Strategy<Value = Diaphragm> {
    prop_oneof![
        Just(Diaphragm::Flat),
        (0.001..0.008).prop_map(|depth| Diaphragm::Cone { depth }),
        (0.001..0.005).prop_map(|height| Diaphragm::Dome { height }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn random_flares_are_printable(
        throat in 0.008..0.02, widening in 0.005..0.06, length in 0.008..0.06, wall in 0.0008..0.004,
        form in 0..3usize, diaphragm in diaphragms(), open in any::<bool>(), side in 0.003..0.012,
    ) {
        let form = [Form::Conical, Form::Exponential, Form::Elliptic][form];
        let back = if open { Back::Open } else { Back::Driver { diaphragm, depth: 0.01 } };
        let flare = Flare { throat, mouth: throat + widening, length, form, wall, back };
        let body = flare.lathe();
        let folds = matches!(body, Err(ShapeFault::TooLarge { what: "wall thickness", .. }));
        prop_assume!(!folds);
        assert_printable(&lathe(body, side), 1, usize::from(open));
    }

    #[test]
    fn random_slabs_are_printable(
        width in 0.05..0.3, height in 0.05..0.3, thickness in 0.004..0.2, corner in 0.0..0.02, rounding in 0.0..1.0f64,
        share in 0.1..0.9, aside in any::<bool>(), side in 0.006..0.03,
    ) {
        let corner = if corner < 0.008 { 0.0 } else { corner };
        let outline = Outline::RoundedRectangle { width, height, radius: corner };
        let most = if corner > 0.0 { 0.9 * corner } else { 0.02 };
        let rounding = if rounding < 0.2 { 0.0 } else { rounding * most.min(0.45 * thickness) };
        let room = 0.5 * width.min(height) - rounding;
        let centre = if aside { [0.2 * (1.0 - share) * room, -0.1 * (1.0 - share) * room] } else { [0.0; 2] };
        let piston = Some(Piston { radius: share * 0.9 * room, centre, ring: None });
        let body = Slab { front_rounding: rounding, back_rounding: 0.5 * rounding, piston, ..Slab::plain(outline, thickness) };
        assert_printable(&slab(&body, side), 1, 0);
    }

    #[test]
    fn random_wings_and_housings_are_printable(
        count in 1..7usize, length in 0.01..0.1, height in 0.005..0.02, opening in 0.2..1.57, thickness in 0.001..0.005,
        gap in 0.0005..0.01, rounding in 0.0..0.5f64, diaphragm in diaphragms(),
    ) {
        let rounding = if rounding < 0.1 { 0.0 } else { rounding * thickness };
        let wings = Wings { count, length, height, opening, thickness, driver_radius: 0.02, gap, rounding };
        let housing = Housing { radius: 0.02, depth: 0.015, rounding, diaphragm_radius: 0.012, diaphragm };
        let both = lathe(housing.lathe(), 0.005).joined(&wings.meshed(0.006).unwrap_or_else(|fault| panic!("{fault}")));
        assert_printable(&both, count + 1, 0);
    }
}
