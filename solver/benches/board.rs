//! A small driver before a finite board.
//!
//! `cargo bench --workspace --bench board` first prints, for a 0.9 × 0.6 m board and a housing 50 mm wide and 40 mm deep that hangs 20 mm in front
//! of it, 150 mm below its top edge: elements, nodes of the board, how many of their pairs are evaluated, exchanges, seconds for all of one frequency
//! (the part of the body that does not depend on it told apart), and the largest memory of the process so far; the same with four wings.
//! Then what finer elements and cells change at a seat and near by: half as long, with wings at 16 kHz two thirds. Last it times 8 kHz.

#![allow(clippy::print_stdout)] // a bench is there to report

use divan::Bencher;
use nalgebra::Vector3;
use num_complex::Complex64;
use panelwright_mesh::shapes::{DIAPHRAGM, Diaphragm, Housing, Wings};
use panelwright_mesh::{Outline, QuadraticSurface};
use panelwright_solver::air::Air;
use panelwright_solver::boundary::{Body, Drive, Method, Mirrors, System};
use panelwright_solver::coupling::board_behind::{Board, BoardedSystem};
use panelwright_solver::single_threaded_blas;
use std::time::Instant;

const PANEL: Outline = Outline::Rectangle { width: 0.9, height: 0.6 };
const AXIS: [f64; 2] = [0.45, 0.45];
const DEPTH: f64 = 0.04;
/// Sides of elements to the wavelength: with the points between, 7 points.
const ELEMENTS: f64 = 3.5;

fn air() -> Air {
    Air { density: 1.2, sound_speed: 343.0, ..Air::new(293.15, 0.5, 101_325.0) }
}

#[derive(Clone, Copy)]
struct Case {
    frequency: f64,
    gap: f64,
    wings: bool,
    /// Finer elements and finer cells by these factors.
    finer: [f64; 2],
}

struct Run {
    seats: Vec<Complex64>,
    text: String,
}

fn driver(length: f64, gap: f64, wings: bool) -> QuadraticSurface {
    let housing = Housing {
        radius: 0.025,
        depth: DEPTH,
        rounding: 0.0,
        diaphragm_radius: 0.021,
        diaphragm: Diaphragm::Flat,
    };
    let lathe = housing.lathe().expect("possible");
    let mut all = QuadraticSurface::curved(&lathe.meshed(length).expect("possible"), lathe.onto(length));
    if wings {
        let wings = Wings {
            count: 4,
            length: 0.12,
            height: 0.05,
            opening: 1.2,
            thickness: 3e-3,
            driver_radius: 0.025,
            gap: 2e-3,
            rounding: 0.0,
        };
        let plates = QuadraticSurface::plane(&wings.meshed(length).expect("possible"));
        let first = all.points.len() as u32;
        all.points.extend(plates.points);
        all.elements.extend(plates.elements.iter().map(|element| element.map(|point| point + first)));
        all.patches.extend(plates.patches);
    }
    all.points.iter_mut().for_each(|point| point.z += DEPTH + gap);
    all
}

fn run(case: Case) -> Run {
    let Case { frequency, gap, wings, finer } = case;
    let wavelength = air().sound_speed / frequency;
    let start = Instant::now();
    let length = (wavelength / ELEMENTS).min(0.01) / finer[0];
    let body = Body::new(&driver(length, gap, wings), Mirrors::NONE).expect("closed");
    let once = start.elapsed().as_secs_f64();
    let board = Board::new(&PANEL, AXIS, Board::step(&PANEL, AXIS, &body, wavelength) / finer[1]);
    let system =
        System::new(&body, frequency, &air(), |_| Complex64::ZERO, Method::Iterate).expect("regular");
    let assembled = start.elapsed().as_secs_f64();
    let boarded = BoardedSystem::new(&system, &board).expect("apart");
    let field = boarded.solve(Drive::patch(&body, DIAPHRAGM, Complex64::ONE)).expect("converges");
    let front = gap + DEPTH;
    let seats = field.at(&[Vector3::new(0.0, 0.0, front + 0.3), Vector3::new(0.6, -0.2, 2.5)]);
    let [all, taken] = boarded.pairs();
    let text = format!(
        "{frequency:>6} Hz, gap {:.0} mm{}: {} elements, {} nodes, {:.0} % of the pairs evaluated, {} exchanges, residual {:.0e}, \
         {:.2} s after {once:.2} s once per body (system alone {:.2} s), {} MiB at most so far",
        1e3 * gap,
        if wings { ", wings" } else { "" },
        body.len(),
        all / body.len(),
        100.0 * taken as f64 / all as f64,
        field.exchanges,
        field.residual,
        start.elapsed().as_secs_f64() - once,
        assembled - once,
        peak_memory(),
    );
    Run { seats: seats.iter().map(|field| field.pressure).collect(), text }
}

/// Largest memory [MiB] of the process so far, where the system tells.
fn peak_memory() -> usize {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap_or("0");
    line.split_whitespace().next().and_then(|number| number.parse::<usize>().ok()).unwrap_or(0) >> 10
}

fn refine(case: Case, finer: [f64; 2]) {
    let coarse = run(case);
    let fine = run(Case { finer, ..case });
    println!("{}\n  {}", coarse.text, fine.text);
    for (place, (coarse, fine)) in
        ["0.3 m on the axis", "2.5 m"].iter().zip(coarse.seats.iter().zip(&fine.seats))
    {
        println!(
            "  {place}: {:.3} dB, {:.2}° from the refined run",
            20.0 * (coarse / fine).norm().log10(),
            (coarse / fine).arg().to_degrees()
        );
    }
}

fn main() {
    single_threaded_blas();
    let case = Case { frequency: 8e3, gap: 0.02, wings: false, finer: [1.0; 2] };
    for (frequency, gap) in [(500.0, 0.02), (8e3, 0.02), (8e3, 2e-3)] {
        refine(Case { frequency, gap, ..case }, [2.0, 2.0]);
    }
    let others = [(16e3, false, 2.0), (8e3, true, 2.0), (16e3, true, 1.5)];
    let others = others.map(|(frequency, wings, finer)| (Case { frequency, wings, ..case }, finer));
    others.iter().for_each(|(case, _)| println!("{}", run(*case).text));
    others.iter().for_each(|(case, finer)| refine(*case, [*finer; 2]));
    divan::main();
}

#[divan::bench(sample_count = 3)]
fn all_of_8_khz(bencher: Bencher) {
    bencher.bench(|| run(Case { frequency: 8e3, gap: 0.02, wings: false, finer: [1.0; 2] }).seats);
}
