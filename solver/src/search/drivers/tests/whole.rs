//! Against the driver solved together with the board, place by place.

use super::super::field::Stage;
use super::super::grid::DriverGrid;
use super::super::radiator::Radiator;
use super::{panel, scene};
use crate::kept::NothingKept;
use crate::scene::Behind;
use crate::surrounds::{Bodies, compare};
use num_complex::Complex64;
use std::time::Instant;

#[test]
fn scratch() {
    crate::single_threaded_blas();
    let frequencies = [800.0, 1600.0, 3200.0, 6400.0];
    let scene = scene(&frequencies);
    let outline = panel();
    let grid = DriverGrid {
        x: vec![0.38, 0.70, 0.75, 0.78, 0.82],
        y: vec![0.26, 0.46, 0.50, 0.52, 0.53, 0.56, 0.60],
    };
    let radiator = Radiator::new(&scene, &scene.surrounds[0]).unwrap();
    let stage = Stage { outline: &outline, seats: &scene.seats, air: &scene.air, grid: &grid };
    let begun = Instant::now();
    let heard: Vec<_> = frequencies
        .iter()
        .map(|f| {
            let b = Instant::now();
            let h = stage.heard(&radiator, *f).unwrap();
            println!("{f} {:.2} s", b.elapsed().as_secs_f64());
            h
        })
        .collect();
    println!("map {:.2} s", begun.elapsed().as_secs_f64());
    for (i, &x) in grid.x.iter().enumerate() {
        for (j, &y) in grid.y.iter().enumerate() {
            if i > 0 && j > 0 && (i + j) % 3 != 0 {
                continue;
            }
            let mut there = scene.clone();
            there.behind = Behind::Board(outline.clone());
            there.driver.place = [x, y, 0.055];
            let found = compare(&Bodies::of(&there).unwrap(), None, &NothingKept, &|_| ()).unwrap();
            let curves = &found.variants[0].curves;
            print!("{x:.2} {y:.2}:");
            for (n, &f) in frequencies.iter().enumerate() {
                let k = scene.air.wavenumber(f);
                print!(" |");
                for s in 0..3 {
                    let whole = curves.seats[s][n] * Complex64::cis(-k * curves.distances[1 + s]);
                    let mine = heard[n].boarded[s][[i, j]];
                    let ratio = mine / whole;
                    print!(
                        " {:6.2} {:4.0}°({:4.1})",
                        20.0 * ratio.norm().log10(),
                        ratio.arg().to_degrees(),
                        20.0 * (whole / heard[n].free[s][[i, j]]).norm().log10()
                    );
                }
            }
            println!();
        }
    }
}
