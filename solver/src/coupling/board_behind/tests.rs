//! Limits, reciprocity, power and convergence of a driver before a board.

use super::*;
use crate::air::Air;
use crate::boundary::{Body, IncidentField, Method, Mirrors, PointSource};
use nalgebra::Vector3;
use panelwright_mesh::shapes::{DIAPHRAGM, Diaphragm, Housing, Lathe, Slab, Sphere};
use panelwright_mesh::{Axis, Contour, Mirror, Outline, QuadraticSurface, Surface};
use std::f64::consts::PI;
use std::num::NonZeroUsize;

const PANEL: Outline = Outline::Rectangle { width: 0.3, height: 0.2 };

fn air() -> Air {
    Air { density: 1.2, sound_speed: 343.0, ..Air::new(293.15, 0.5, 101_325.0) }
}

fn wavelength(frequency: f64) -> f64 {
    air().sound_speed / frequency
}

/// A body of revolution with sides of `length` [m], moved along z.
fn turned(lathe: &Lathe, length: f64, by: f64) -> QuadraticSurface {
    let mut surface = QuadraticSurface::curved(&lathe.meshed(length).expect("possible"), lathe.onto(length));
    surface.points.iter_mut().for_each(|point| point.z += by);
    surface
}

/// A driver 50 mm wide and 40 mm deep; its back is at z = `back` [m].
fn driver(length: f64, back: f64) -> QuadraticSurface {
    let (depth, diaphragm) = (0.04, Diaphragm::Flat);
    let housing = Housing { radius: 0.025, depth, rounding: 0.0, diaphragm_radius: 0.02, diaphragm };
    turned(&housing.lathe().expect("possible"), length, depth + back)
}

fn body(surface: &QuadraticSurface) -> Body {
    Body::new(surface, Mirrors::NONE).expect("closed")
}

fn system(body: &Body, frequency: f64) -> System<'_> {
    crate::single_threaded_blas();
    System::new(body, frequency, &air(), |_| Complex64::ZERO, Method::Iterate).expect("regular")
}

fn moving(body: &Body) -> Drive {
    Drive::patch(body, DIAPHRAGM, Complex64::ONE)
}

/// Pressure of the moving diaphragm before a board with cells of this step.
fn pressures(body: &Body, frequency: f64, board: &Board, points: &[Vector3<f64>]) -> Vec<Complex64> {
    let system = system(body, frequency);
    let field = BoardedSystem::new(&system, board).and_then(|boarded| boarded.solve(moving(body)));
    field.expect("converges").at(points).iter().map(|field| field.pressure).collect()
}

/// Levels [dB] at points with the step that the board proposes, over those with half of it.
fn over_half_the_step(
    body: &Body,
    frequency: f64,
    outline: &Outline,
    axis: [f64; 2],
    points: &[Vector3<f64>],
) -> Vec<f64> {
    let step = Board::step(outline, axis, body, wavelength(frequency));
    let [whole, half] =
        [1.0, 0.5].map(|share| pressures(body, frequency, &Board::new(outline, axis, share * step), points));
    whole.iter().zip(&half).map(|(whole, half)| 20.0 * (whole / half).norm().log10()).collect()
}

/// Largest share of the direct sound that the edges of a square board can add on the axis: four edge waves of sound that grazes the board,
/// `√(2s/(πk)) r/(2s²)` each at a distance s (J. B. Keller, J. Opt. Soc. Am. 52, 1962, the sum of both secants being 2), r to the diaphragm.
fn edge_waves(side: f64, frequency: f64, r: f64) -> f64 {
    let s = 0.5 * side;
    let spread = (s / (s * 2.0 * s)).sqrt();
    4.0 * r / s * spread / (2.0 * PI * air().wavenumber(frequency)).sqrt()
}

#[test]
fn a_large_board_is_an_infinite_plane_but_for_its_edge_waves() {
    for (frequency, gap, side) in
        [(2000.0, 0.02, 1.0), (4000.0, 0.02, 1.0), (4000.0, 0.005, 0.8), (4000.0, 0.002, 0.8)]
    {
        let surface = driver(0.01, gap);
        let point = [Vector3::new(0.0, 0.0, gap + 0.12)];
        let body = body(&surface);
        let mirrored = Body::new(&surface, Mirrors([false, false, true])).expect("closed");
        let plane =
            system(&mirrored, frequency).solve(moving(&mirrored)).expect("converges").at(&point)[0].pressure;
        let free = system(&body, frequency).solve(moving(&body)).expect("converges").at(&point)[0].pressure;
        let outline = Outline::Rectangle { width: side, height: side };
        let axis = [0.5 * side; 2];
        let board = Board::new(&outline, axis, Board::step(&outline, axis, &body, wavelength(frequency)));
        let found = pressures(&body, frequency, &board, &point)[0];
        let (off, allowed) = ((found / plane - 1.0).norm(), edge_waves(side, frequency, 0.08));
        assert!(off < allowed, "{frequency} Hz, {gap} m: {off} of {allowed}");
        assert!((free / plane - 1.0).norm() > 2.0 * allowed, "the plane matters");
    }
}

/// A quarter of a surface that is symmetric about x = 0 and y = 0.
fn quarter(surface: Surface) -> Surface {
    let half = |part: Surface, plane| part.positive_half(plane, 1e-9).expect("symmetric");
    [Mirror::X, Mirror::Y].into_iter().fold(surface, half)
}

/// A ball with a moving cap, its middle at this height [m], before a slab of this thickness [m] about z = 0, all of it boundary elements.
fn before_slab(ball: &Lathe, height: f64, outline: &Outline, thickness: f64) -> Body {
    let slab = Slab::plain(outline.clone(), thickness).meshed(0.0065).expect("possible");
    let slab = QuadraticSurface::plane(&quarter(slab));
    let ball_part = quarter(ball.meshed(0.004).expect("possible"));
    let mut both = QuadraticSurface::curved(&ball_part, ball.onto(0.004));
    both.points.iter_mut().for_each(|point| point.z += height);
    let first = both.points.len() as u32;
    both.points.extend(slab.points.iter().map(|point| point + Vector3::new(0.0, 0.0, 0.5 * thickness)));
    both.elements.extend(slab.elements.iter().map(|element| element.map(|point| point + first)));
    both.patches.extend(slab.patches);
    Body::new(&both, Mirrors([true, true, false])).expect("closed")
}

/// What a slab's thickness does is proportional to it: of two thicknesses follows none.
#[test]
fn a_slab_of_vanishing_thickness_by_boundary_elements_does_the_same() {
    let outline = Outline::Rectangle { width: 0.1, height: 0.1 };
    let (ball, height) = (Sphere { radius: 0.01, cap: 1.0 }.lathe().expect("possible"), 0.018);
    let slabs = [1e-3, 2e-3].map(|thickness| before_slab(&ball, height, &outline, thickness));
    let ball = body(&turned(&ball, 0.004, height));
    let points = [[0.0, 0.0, 0.3], [0.2, 0.1, 0.2], [0.3, 0.0, 0.02], [0.05, 0.1, -0.3]].map(Vector3::from);
    for frequency in [1000.0, 4000.0] {
        let board = Board::new(&outline, [0.05; 2], 0.0025);
        let found = pressures(&ball, frequency, &board, &points);
        let [thin, thick] = [0, 1]
            .map(|i| system(&slabs[i], frequency).solve(moving(&slabs[i])).expect("converges").at(&points));
        for (i, at) in points.iter().enumerate() {
            let decibels = |exact: Complex64| 20.0 * (found[i] / exact).norm().log10();
            let off = decibels(2.0 * thin[i].pressure - thick[i].pressure);
            assert!(off.abs() < 0.15, "{off} dB at {frequency} Hz, {at}");
        }
    }
}

/// `∫ p dS` over the diaphragm: middles of sides integrate quadratic functions on flat elements exactly.
fn force(body: &Body, surface: &QuadraticSurface, field: &SurfaceField) -> Complex64 {
    let middles = [[0.5, 0.5, 0.0], [0.0, 0.5, 0.5], [0.5, 0.0, 0.5]];
    let of = |element: usize| -> Complex64 {
        middles
            .map(|place| field.pressure_on(element, place) * body.place(element, place)[1].norm() / 6.0)
            .iter()
            .sum()
    };
    (0..body.len()).filter(|&element| surface.patches[element] == DIAPHRAGM).map(of).sum()
}

#[test]
fn source_and_receiver_change_places() {
    let surface = driver(0.008, 0.01);
    let body = body(&surface);
    let frequency = 3000.0;
    let system = system(&body, frequency);
    let axis = [0.12, 0.14];
    let board = Board::new(&PANEL, axis, Board::step(&PANEL, axis, &body, wavelength(frequency)));
    let boarded = BoardedSystem::new(&system, &board).expect("apart");
    let points = [[0.2, -0.1, 0.5], [0.1, 0.12, -0.3], [-0.09, 0.0, 0.04]].map(Vector3::from);
    let heard = boarded.solve(moving(&body)).expect("converges").at(&points);
    for (point, heard) in points.iter().zip(&heard) {
        let monopole = PointSource::of_flow(Complex64::ONE, *point, TAU * frequency, air().density);
        let struck = boarded.solve(Drive::arriving(monopole)).expect("converges");
        let off = (force(&body, &surface, &struck.body) / heard.pressure - 1.0).norm();
        assert!(off < 3e-3, "{off} at {point}");
    }
}

/// `∫ |rp|² dΩ/(ρc)` over all directions.
fn far_power(field: &BoardedField, rings: usize) -> f64 {
    let heights = Axis::gauss(2.0, NonZeroUsize::new(rings).expect("positive"));
    let turns = 2 * rings;
    let (mut directions, mut weights) = (vec![], vec![]);
    for (z, weight) in heights.nodes.iter().map(|z| z - 1.0).zip(&heights.weights) {
        for (sin, cos) in (0..turns).map(|i| (TAU * i as f64 / turns as f64).sin_cos()) {
            let across = (1.0 - z * z).sqrt();
            directions.push(Vector3::new(across * cos, across * sin, z));
            weights.push(weight * TAU / turns as f64);
        }
    }
    field.far(&directions).iter().zip(weights).map(|(p, w)| w * p.norm_sqr()).sum::<f64>() / air().impedance()
}

#[test]
fn what_the_diaphragm_gives_arrives_far_away() {
    for (frequency, gap) in [(800.0, 0.02), (4000.0, 0.02), (4000.0, 0.004)] {
        let body = body(&driver(0.01, gap));
        let system = system(&body, frequency);
        let axis = [0.12, 0.14];
        let board = Board::new(&PANEL, axis, Board::step(&PANEL, axis, &body, wavelength(frequency)));
        let field = BoardedSystem::new(&system, &board).and_then(|boarded| boarded.solve(moving(&body)));
        let field = field.expect("converges");
        let off = field.power() / far_power(&field, 30) - 1.0;
        assert!(off.abs() < 5e-3, "{off} at {frequency} Hz, {gap} m");
    }
}

#[test]
fn smaller_cells_converge() {
    let body = body(&driver(0.01, 0.02));
    let points = [Vector3::new(0.3, 0.2, 0.8), Vector3::new(0.05, 0.1, -0.5)];
    let [coarse, medium, fine] = [4.0, 8.0, 24.0].map(|cells| {
        pressures(&body, 4000.0, &Board::new(&PANEL, [0.12, 0.14], wavelength(4000.0) / cells), &points)
    });
    for ((coarse, medium), fine) in coarse.iter().zip(&medium).zip(&fine) {
        let (first, second) = ((coarse / fine - 1.0).norm(), (medium / fine - 1.0).norm());
        assert!(second < 0.02 && second < 0.4 * first, "{first} {second}");
    }
}

#[test]
fn the_proposed_cells_suit_a_driver_in_a_cut_out_and_beside_the_edge() {
    let body = body(&driver(0.01, -0.02));
    let hole = Contour::ellipse([0.15, 0.1], 0.06, 0.06);
    let holed = PANEL.with_cutouts(vec![hole]).expect("inside");
    for (outline, axis) in [(&holed, [0.15, 0.1]), (&PANEL, [0.15, 0.232])] {
        let points = [Vector3::new(0.2, 0.1, 0.6), Vector3::new(0.1, -0.2, -0.6)];
        let off = over_half_the_step(&body, 3000.0, outline, axis, &points);
        assert!(off.iter().all(|off| off.abs() < 0.2), "{off:?} dB");
    }
}

#[test]
fn cells_are_no_larger_than_the_way_to_the_edge() {
    let body = body(&driver(0.01, -0.02));
    // 25 mm of housing, then 2 mm of air above the edge at 200 mm.
    let step = |above: f64| Board::step(&PANEL, [0.15, 0.2 + 0.025 + above], &body, wavelength(1000.0));
    assert!((step(0.002) - 0.002).abs() < 2e-4, "{}", step(0.002));
    let by_the_board = 0.2 / 24.0;
    assert!((step(0.05) - by_the_board).abs() < 1e-12, "{}", step(0.05));
}

#[test]
fn symmetry_stays() {
    let body = body(&driver(0.01, 0.02));
    let board = Board::new(&PANEL, [0.15, 0.1], 0.01);
    let points = [[0.2, 0.1, 0.3], [-0.2, 0.1, 0.3], [0.2, -0.1, 0.3]].map(Vector3::from);
    let [one, left, below] = pressures(&body, 3000.0, &board, &points)[..] else { panic!("three points") };
    assert!((left / one - 1.0).norm() < 1e-4 && (below / one - 1.0).norm() < 1e-4, "{one} {left} {below}");
    let aside = pressures(&body, 3000.0, &Board::new(&PANEL, [0.1, 0.1], 0.01), &points);
    assert!((aside[1] / aside[0] - 1.0).norm() > 0.05, "and only where it is");
}

#[test]
fn threads_do_not_matter() {
    let body = body(&driver(0.012, 0.004));
    let board = Board::new(&PANEL, [0.1, 0.12], 0.012);
    let on = |threads| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .stack_size(16 << 20)
            .build()
            .expect("threads");
        pool.install(|| pressures(&body, 2500.0, &board, &[Vector3::new(0.2, 0.1, 0.3)]))
    };
    assert_eq!(on(1), on(3));
}

#[test]
fn fewer_places_sound_like_all_nodes() {
    let body = body(&driver(0.006, 0.02));
    let frequency = 12_000.0;
    let system = system(&body, frequency);
    let outline = Outline::Rectangle { width: 0.6, height: 0.4 };
    let board = Board::new(&outline, [0.2, 0.3], 0.005);
    let boarded = BoardedSystem::new(&system, &board).expect("apart");
    let [all, taken] = boarded.pairs();
    assert!(2 * taken < all && boarded.sides.len() > 1, "{taken} of {all}, {} sides", boarded.sides.len());
    let strengths = Array2::from_shape_fn(board.grid.lattice.shape(), |(i, j)| {
        Complex64::cis(0.9 * i as f64 - 0.4 * j as f64 + 0.02 * (i * j) as f64)
    });
    let (few, k) = (Sound::new(&board, &boarded.sides, &strengths), air().wavenumber(frequency));
    let many = Sound::new(&board, &[], &strengths);
    let fields = |sound: &Sound| body.points().iter().map(|&point| sound.at(point, k)).collect::<Vec<_>>();
    let (few, many) = (fields(&few), fields(&many));
    let largest = many.iter().map(|field| field.gradient[2].norm()).fold(0.0, f64::max);
    let off = few.iter().zip(&many).map(|(a, b)| (a.gradient[2] - b.gradient[2]).norm()).fold(0.0, f64::max);
    assert!(off < 5e-4 * largest, "{off} of {largest}");
    let field = system.solve(moving(&body)).expect("converges");
    let (found, exact) = (boarded.radiated_slopes(&field), along_z(&field.radiated_at(&board.places())));
    let largest = exact.iter().map(|slope| slope.norm()).fold(0.0, f64::max);
    let off = found.iter().zip(&exact).map(|(a, b)| (a - b).norm()).fold(0.0, f64::max);
    assert!(off < 5e-4 * largest, "{off} of {largest}");
}

#[test]
fn what_cannot_be_is_refused() {
    let at = |back: f64, axis: [f64; 2]| Board::new(&PANEL, axis, 0.02).check(&body(&driver(0.012, back)));
    assert!(matches!(at(-0.02, [0.15, 0.1]), Err(BoardError::Meets { .. })));
    assert_eq!(at(-0.02, [0.15, 0.3]), Ok(()));
    assert_eq!(at(0.01, [0.15, 0.1]), Ok(()));
    let mirrored = Body::new(&driver(0.012, 0.01), Mirrors([false, false, true])).expect("closed");
    assert_eq!(Board::new(&PANEL, [0.15, 0.1], 0.02).check(&mirrored), Err(BoardError::Mirrored));
}
