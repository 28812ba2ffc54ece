//! The force by reciprocity is that of the panel's sound computed directly.

use super::*;
use crate::air::Air;
use crate::boundary::{Drive, Method, Mirrors, PointSource, System};
use crate::coupling::board_behind::BoardedSystem;
use panelwright_mesh::QuadraticSurface;
use panelwright_mesh::shapes::{self, DIAPHRAGM, Housing};
use std::f64::consts::TAU;

const PANEL: Outline = Outline::Rectangle { width: 0.3, height: 0.2 };
const AXIS: [f64; 2] = [0.12, 0.11];

fn air() -> Air {
    Air { density: 1.2, sound_speed: 343.0, ..Air::new(293.15, 0.5, 101_325.0) }
}

/// A driver 50 mm wide and 40 mm deep, 20 mm before the panel.
fn body(mirrors: Mirrors) -> Body {
    let diaphragm = shapes::Diaphragm::Flat;
    let housing = Housing { radius: 0.025, depth: 0.04, rounding: 0.0, diaphragm_radius: 0.02, diaphragm };
    let lathe = housing.lathe().expect("possible");
    let mut surface = QuadraticSurface::curved(&lathe.meshed(0.008).expect("possible"), lathe.onto(0.008));
    surface.points.iter_mut().for_each(|point| point.z += 0.06);
    Body::new(&surface, mirrors).expect("closed")
}

fn system(body: &Body, frequency: f64) -> System<'_> {
    crate::single_threaded_blas();
    System::new(body, frequency, &air(), |_| Complex64::ZERO, Method::Iterate).expect("regular")
}

/// `−∫ p n_z dS` over the diaphragm.
fn force(field: &SurfaceField) -> Complex64 {
    -field.integrated(|patch, _, normal| if patch == DIAPHRAGM { normal.z } else { 0.0 })
}

/// A volume velocity [m³/s RMS] out of one cell of a face, as a velocity of the panel there.
fn patch(face: &Face, [i, j]: [usize; 2], flow: f64) -> Array2<Complex64> {
    let mut velocity = Array2::zeros(face.lattice.shape());
    let area = face.lattice.x.weights[i] * face.lattice.y.weights[j];
    velocity[[i, j]] = Complex64::from(flow / area);
    velocity
}

#[test]
fn a_patch_of_a_plane_pushes_as_its_sound_does() {
    let body = body(Mirrors([false, false, true]));
    for frequency in [800.0, 3000.0] {
        let system = system(&body, frequency);
        let step = Board::step(&PANEL, AXIS, &body, air().sound_speed / frequency);
        let face = Face::in_plane(&PANEL, AXIS, step);
        let moving = Drive::patch(&body, DIAPHRAGM, Complex64::ONE);
        let strengths = face.strengths(&system.solve(moving).expect("converges"), &body);
        let (nx, ny) = face.lattice.shape();
        for [i, j] in [[nx / 3, ny / 2], [nx - 1, 0], [2, ny - 3]] {
            let at = face.places().nth(i * ny + j).expect("on the face");
            // The plane throws back what arrives: a source in it gives all of its flow to the front.
            let source = PointSource::of_flow(Complex64::ONE, at, TAU * frequency, air().density);
            let direct = force(&system.solve(Drive::arriving(source)).expect("converges"));
            let found = blocked_force(&strengths, &patch(&face, [i, j], 1.0));
            assert!((found / direct - 1.0).norm() < 3e-3, "{frequency} Hz {at}: {}", found / direct);
        }
    }
}

/// A cell of a board that moves: a source close before it, a sink close behind it. As the air on the board does not move along z, their distance h
/// from it leaves an error of second order, which extrapolation takes out.
#[test]
fn a_patch_of_a_board_pushes_as_its_sound_does() {
    let (body, frequency) = (body(Mirrors::NONE), 1500.0);
    let system = system(&body, frequency);
    let step = 0.5 * Board::step(&PANEL, AXIS, &body, air().sound_speed / frequency);
    let board = Board::new(&PANEL, AXIS, step);
    let face = Face::of_board(&board, AXIS);
    let boarded = BoardedSystem::new(&system, &board).expect("apart");
    let moving = boarded.solve(Drive::patch(&body, DIAPHRAGM, Complex64::ONE)).expect("converges");
    let (nx, ny) = face.lattice.shape();
    for [i, j] in [[nx / 4, 4 * ny / 5], [3 * nx / 4, ny / 4]] {
        let at = face.places().nth(i * ny + j).expect("on the face");
        let source = |z: f64, flow: f64| {
            PointSource::of_flow(flow.into(), at + Vector3::new(0.0, 0.0, z), TAU * frequency, air().density)
        };
        let struck = |z: f64, flow: f64| {
            force(&boarded.solve(Drive::arriving(source(z, flow))).expect("converges").body)
        };
        let apart = |cells: f64| struck(cells * step, 1.0) + struck(-cells * step, -1.0);
        let direct = (4.0 * apart(1.5) - apart(3.0)) / 3.0;
        let found = blocked_force(&moving.strengths, &patch(&face, [i, j], 1.0));
        assert!((found / direct - 1.0).norm() < 0.01, "{at}: {} {}", found / direct, found / apart(1.5));
    }
}
