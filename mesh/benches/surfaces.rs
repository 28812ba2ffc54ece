//! Checking, remeshing and making of surfaces: `cargo bench --workspace --bench surfaces`.

use panelwright_mesh::check::{Limits, check};
use panelwright_mesh::remesh::{Remeshed, Target, remesh};
use panelwright_mesh::shapes::{Back, Flare, Form, Lathe, Sphere};
use panelwright_mesh::{Surface, stl};
use std::f64::consts::FRAC_PI_6;

fn main() {
    divan::main();
}

/// About 100 000 triangles each.
fn ball() -> Surface {
    meshed(&Sphere { radius: 0.1, cap: 1.0 }.lathe().expect("a ball"), 1.58e-3)
}

/// A flare with a wall of 2 mm.
fn flare() -> Surface {
    let flare = Flare {
        throat: 0.015,
        mouth: 0.08,
        length: 0.06,
        form: Form::Exponential,
        wall: 0.002,
        back: Back::Open,
    };
    meshed(&flare.lathe().expect("a flare"), 1.1e-3)
}

fn meshed(lathe: &Lathe, length: f64) -> Surface {
    lathe.meshed(length).expect("a length")
}

fn remeshed(surface: &Surface, length: f64) -> Remeshed {
    let target = Target { length: &|_, _| length, sharp: FRAC_PI_6, volume: 0.05 };
    remesh(surface, &target).expect("a sound surface")
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn check_ball(bencher: divan::Bencher) {
    bencher.with_inputs(ball).bench_values(|surface| check(&surface, &Limits::default()));
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn check_walls_and_slits_of_a_flare(bencher: divan::Bencher) {
    let limits = Limits { wall: 1e-3, slit: 1e-3, ..Limits::default() };
    bencher.with_inputs(flare).bench_values(|surface| check(&surface, &limits));
}

#[divan::bench(sample_count = 3, sample_size = 1, args = [1.1e-3, 4e-3])]
fn remesh_ball(bencher: divan::Bencher, length: f64) {
    bencher.with_inputs(ball).bench_values(|surface| remeshed(&surface, length));
}

#[divan::bench(sample_count = 3, sample_size = 1, args = [1.1e-3, 4e-3])]
fn remesh_flare(bencher: divan::Bencher, length: f64) {
    bencher.with_inputs(flare).bench_values(|surface| remeshed(&surface, length));
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn read_binary_stl(bencher: divan::Bencher) {
    let bytes = stl::write_binary(&ball(), stl::MILLIMETRE);
    bencher.bench(|| stl::read(&bytes, stl::MILLIMETRE));
}
