//! Limits, reciprocity, power and convergence of a driver before a board.

use super::*;
use crate::air::Air;
use crate::boundary::{Body, Method, Mirrors};
use nalgebra::Vector3;
use panelwright_mesh::shapes::{DIAPHRAGM, Diaphragm, Housing};
use panelwright_mesh::{Outline, QuadraticSurface};

fn air() -> Air {
    Air { density: 1.2, sound_speed: 343.0, ..Air::new(293.15, 0.5, 101_325.0) }
}

fn housing(depth: f64, length: f64, gap: f64) -> QuadraticSurface {
    let housing =
        Housing { radius: 0.025, depth, rounding: 0.0, diaphragm_radius: 0.02, diaphragm: Diaphragm::Flat };
    let lathe = housing.lathe().expect("possible");
    let mut surface = QuadraticSurface::curved(&lathe.meshed(length).expect("possible"), lathe.onto(length));
    surface.points.iter_mut().for_each(|point| point.z += depth + gap);
    surface
}

fn system(body: &Body, frequency: f64) -> System<'_> {
    crate::single_threaded_blas();
    System::new(body, frequency, &air(), |_| Complex64::ZERO, Method::Iterate).expect("regular")
}

#[test]
fn explore() {
    for (frequency, gap) in [(2000.0, 0.02), (4000.0, 0.02), (4000.0, 0.005), (4000.0, 0.002)] {
        let lambda: f64 = 343.0 / frequency;
        let mesh = housing(0.04, (lambda / 3.5).min(0.01), gap);
        let body = Body::new(&mesh, Mirrors::NONE).unwrap();
        let before_plane = Body::new(&mesh, Mirrors([false, false, true])).unwrap();
        let seats = [Vector3::new(0.0, 0.0, gap + 0.14), Vector3::new(0.05, 0.02, gap + 0.1)];
        let drive = |body: &Body| Drive::patch(body, DIAPHRAGM, Complex64::ONE);
        let free = system(&body, frequency).solve(drive(&body)).unwrap().at(&seats)[0].pressure;
        let plane = system(&before_plane, frequency).solve(drive(&before_plane)).unwrap().at(&seats);
        println!("{frequency} Hz, gap {gap}, {} elements, free {:.4}", body.len(), free / plane[0].pressure);
        for (side, cells) in [(0.6, 8.0), (1.0, 8.0), (0.6, 16.0)] {
            let outline = Outline::Rectangle { width: side, height: side };
            let axis = [0.5 * side + 0.02, 0.5 * side - 0.03];
            let step = Board::step(&outline, axis, &body, lambda) * 8.0 / cells;
            let board = Board::new(&outline, axis, step);
            let system = system(&body, frequency);
            let start = std::time::Instant::now();
            let boarded = BoardedSystem::new(&system, &board).unwrap();
            let field = boarded.solve(drive(&body)).unwrap();
            let at = field.at(&seats);
            println!(
                "  side {side} step {step:.4} nodes {} pairs {:?} close {:?}: {} exchanges, residual {:.1e}, {:.4} {:.4}  power {:.4}  {:.2} s",
                board.grid.lattice.len(),
                boarded.pairs(),
                board.close(&body),
                field.exchanges,
                field.residual,
                at[0].pressure / plane[0].pressure,
                at[1].pressure / plane[1].pressure,
                field.power() * 1e3,
                start.elapsed().as_secs_f64()
            );
        }
    }
}
