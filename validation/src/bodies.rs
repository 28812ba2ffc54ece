//! Closed bodies about the z axis as boundary elements, shared by the boundary-element problems.

use crate::baffled::{air, frequency};
use crate::spherical::scattered_surface;
use nalgebra::Vector3;
use num_complex::Complex64;
use panelwright_mesh::shapes::{DIAPHRAGM, Lathe, RIGID, Section, Sphere};
use panelwright_mesh::{Mirror, Piece, QuadraticSurface, Surface};
use panelwright_solver::boundary::{
    Body, Drive, Method, Mirrors, PlaneWave, Representation, SurfaceField, System,
};
use std::f64::consts::FRAC_PI_2;

/// The quarter with x, y ≥ 0 is given, the planes x = 0 and y = 0 mirror it.
pub const QUARTER: Mirrors = Mirrors([true, true, false]);

/// An eighth: the plane z = 0 mirrors as well.
pub const EIGHTH: Mirrors = Mirrors([true; 3]);

/// Points farther than this [m] from the image of a surface would make it unsymmetric.
const ALIKE: f64 = 1e-9;

/// A quarter of a body of revolution in curved elements with sides of about `length` [m].
pub fn turned(lathe: &Lathe, length: f64) -> Body {
    let whole = lathe.meshed(length).expect("a profile with room for its elements");
    part(&whole, QUARTER, lathe.onto(length))
}

/// What lies on the positive side of the mirror planes; `onto` puts the middles of the sides on the true body.
pub fn part(whole: &Surface, mirrors: Mirrors, onto: impl Fn([Vector3<f64>; 2]) -> Vector3<f64>) -> Body {
    let planes =
        [Mirror::X, Mirror::Y, Mirror::Z].into_iter().zip(mirrors.0).filter(|(_, reflects)| *reflects);
    let cut = |surface: Surface, (plane, _)| surface.positive_half(plane, ALIKE).expect("symmetric");
    let part = planes.fold(whole.clone(), cut);
    Body::new(&QuadraticSurface::curved(&part, onto), mirrors).expect("open at the planes only")
}

/// Thicknesses [m] of discs from which [`thin`] makes one without thickness.
pub const THICKNESSES: [f64; 3] = [0.08, 0.04, 0.02];

/// The same for waves that are shorter than the radius; the near field of faces so close takes three times as long.
pub const THINNER: [f64; 3] = [0.04, 0.02, 0.01];

/// What three values at thicknesses t, t/2 and t/4 tend to, if they change like `c₁ t ln t + c₂ t`: the air that flows round a rim sees its
/// thickness like that.
pub fn thin([thick, half, quarter]: [Complex64; 3]) -> Complex64 {
    thick - 4.0 * half + 4.0 * quarter
}

/// The unit sphere with a cap that moves, of this half angle in degrees.
pub fn sphere(cap: f64) -> Lathe {
    Sphere { radius: 1.0, cap: cap.to_radians() }.lathe().expect("a cap on a sphere")
}

/// The same in arcs that become short towards the edge of the cap on both sides, by thirds.
pub fn graded_cap(cap: f64) -> Lathe {
    let (edge, near) = (FRAC_PI_2 - cap.to_radians(), [0.12, 0.04, 0.013]);
    let below = near.map(|way| edge - way);
    let above = near.map(|way| edge + way);
    let angles = [&[-FRAC_PI_2], &below[..], &[edge, above[2], above[1], above[0], FRAC_PI_2]].concat();
    let arc = |ends: &[f64]| Section {
        curve: Piece::Arc {
            centre: [0.0; 2],
            radii: [1.0; 2],
            tilt: 0.0,
            start: ends[0],
            sweep: ends[1] - ends[0],
        },
        patch: if ends[0] < edge { RIGID } else { DIAPHRAGM },
    };
    Lathe::new(angles.windows(2).map(arc).collect()).expect("a sphere")
}

/// A flat disc of radius 1 m between z = −thickness/2 and thickness/2 [m], sharp-edged; its front moves up to the radius `piston` [m]. Elements
/// become narrow towards the rim, round which the air flows fast, and towards the edge of the piston.
pub fn disc(piston: f64, thickness: f64) -> Lathe {
    let half = 0.5 * thickness;
    let straight = |from, to, patch| Section { curve: Piece::Straight { from, to }, patch };
    let radii = graded_radii(piston);
    let back = radii.windows(2).map(|r| straight([r[0], -half], [r[1], -half], RIGID));
    let side = [[-half, 0.0], [0.0, half]].map(|[low, high]| straight([1.0, low], [1.0, high], RIGID));
    let patch = |outer: f64| if outer <= piston { DIAPHRAGM } else { RIGID };
    let front = radii.windows(2).rev().map(|r| straight([r[1], half], [r[0], half], patch(r[1])));
    Lathe::new(back.chain(side).chain(front).collect()).expect("a disc")
}

fn graded_radii(piston: f64) -> Vec<f64> {
    let mut radii = vec![0.0, piston - 0.05, piston, piston + 0.05, 0.9, 0.97, 1.0];
    radii.retain(|radius| (0.0..=1.0).contains(radius));
    radii.sort_by(f64::total_cmp);
    radii.dedup_by(|a, b| (*a - *b).abs() < 1e-3);
    radii
}

/// Unknowns up to which the operator is held as a full matrix: the elements are what is judged here, to less than the 1e-3 that a grid may be off,
/// which has tests of its own. Beyond, a full matrix takes too long.
const FULL: usize = 3000;

/// The sound of a drive at wavenumber `k` [rad/m]; everything that does not move is rigid.
pub fn sound(body: &Body, k: f64, drive: Drive) -> SurfaceField<'_> {
    let representation = match body.unknowns() <= FULL {
        true => Representation::Full,
        false => Representation::quicker(body, k),
    };
    let rigid = |_| Complex64::ZERO;
    System::represented(body, frequency(k), &air(), rigid, Method::Iterate, representation)
        .and_then(|system| system.solve(drive))
        .expect("a regular system")
}

/// The sound at wavenumber `k` [rad/m] of the diaphragm moving outwards with 1 m/s.
pub fn of_diaphragm(body: &Body, k: f64) -> SurfaceField<'_> {
    sound(body, k, Drive::patch(body, DIAPHRAGM, Complex64::ONE))
}

/// A plane wave of 1 Pa along z on a rigid body that is given whole, or as a quarter: the mirror planes throw a wave that travels along them
/// back onto itself, four times in all.
pub fn scattered(body: &Body, k: f64, quarter: bool) -> SurfaceField<'_> {
    let amplitude = if quarter { 0.25 } else { 1.0 }.into();
    sound(body, k, Drive::arriving(PlaneWave { amplitude, direction: Vector3::z() }))
}

/// Relative error of the pressure on the rigid unit sphere in the mean square, at three places of every element.
pub fn error(body: &Body, field: &SurfaceField, ka: f64) -> f64 {
    let places = [[0.6, 0.2, 0.2], [0.2, 0.6, 0.2], [0.2, 0.2, 0.6]];
    let at = |element: usize, place: [f64; 3]| {
        let [position, area] = body.place(element, place);
        let exact = scattered_surface(ka, position.z / position.norm());
        [(field.pressure_on(element, place) - exact).norm_sqr(), exact.norm_sqr()]
            .map(|square| area.norm() * square)
    };
    let all = (0..body.len()).flat_map(|element| places.map(|place| at(element, place)));
    let [wrong, whole] = all.fold([0.0; 2], |sum, own| [sum[0] + own[0], sum[1] + own[1]]);
    (wrong / whole).sqrt()
}

/// Unit vector in the plane y = 0 at an angle [degrees] from the z axis.
pub fn direction(degrees: f64) -> Vector3<f64> {
    let (sin, cos) = degrees.to_radians().sin_cos();
    Vector3::new(sin, 0.0, cos)
}

/// Level [dB] of a ratio.
pub fn level(ratio: f64) -> f64 {
    20.0 * ratio.log10()
}
