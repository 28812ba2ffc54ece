//! Moving one of two exciters: 200 frequencies, 800 modes, modes and transfers to the seat kept.
//!
//! `cargo bench -p panelwright-solver --bench drive`

use divan::{Bencher, black_box};
use ndarray::{Array1, Array2, Zip};
use num_complex::Complex64;
use panelwright_solver::drive::{PanelPorts, PortData, foot, solve};
use panelwright_solver::scene::{Channel, Exciter, Mount, Wiring};
use std::f64::consts::PI;

const SIDES: [f64; 2] = [0.9, 0.6];
const MODES: usize = 800;
const FREQUENCIES: usize = 200;

fn main() {
    divan::main();
}

fn exciter(x: f64, y: f64) -> Exciter {
    Exciter {
        name: String::new(),
        position: [x, y],
        coil_resistance: 3.6,
        coil_inductance: 0.05e-3,
        force_factor: 2.4,
        moving_mass: 1.2e-3,
        foot_diameter: 25e-3,
        suspension_stiffness: 9000.0,
        suspension_loss_factor: 0.12,
        magnet_mass: 0.115,
        mount: Mount::Floating,
        reversed: false,
        rated_power: None,
        rated_excursion: None,
    }
}

fn pair() -> Channel {
    let exciters = vec![0, 1];
    Channel { name: String::new(), voltage: 2.83, gain: 1.0, delay: 0.0, source_resistance: 0.1, wiring: Wiring::Parallel, exciters }
}

/// The lowest modes of a simply supported plate: orders and natural frequencies [Hz].
fn modes() -> (Vec<[f64; 2]>, Vec<f64>) {
    let frequency = |[m, n]: [f64; 2]| 5.2 * ((m / SIDES[0]).powi(2) + (n / SIDES[1]).powi(2));
    let mut orders: Vec<[f64; 2]> = (1..80).flat_map(|m| (1..80).map(move |n| [f64::from(m), f64::from(n)])).collect();
    orders.sort_by(|a, b| frequency(*a).total_cmp(&frequency(*b)));
    orders.truncate(MODES);
    let frequencies = orders.iter().map(|&o| frequency(o)).collect();
    (orders, frequencies)
}

/// Shapes averaged over an exciter's foot.
fn averaged(orders: &[[f64; 2]], exciter: &Exciter) -> Array1<f64> {
    let ring = foot(exciter);
    let shape = |[m, n]: [f64; 2], p: [f64; 2]| 2.0 * (m * PI * p[0] / SIDES[0]).sin() * (n * PI * p[1] / SIDES[1]).sin();
    orders.iter().map(|&o| ring.points.iter().zip(&ring.weights).map(|(p, w)| w * shape(o, *p)).sum()).collect()
}

fn sweep() -> Vec<f64> {
    (0..FREQUENCIES).map(|i| 40.0 * 250f64.powf(i as f64 / (FREQUENCIES - 1) as f64)).collect()
}

/// The electro-mechanical solution alone.
#[divan::bench]
fn solve_two_exciters(bencher: Bencher) {
    let (orders, frequencies) = modes();
    let exciters = [exciter(0.31, 0.22), exciter(0.55, 0.37)];
    let shapes = ndarray::stack![ndarray::Axis(0), averaged(&orders, &exciters[0]), averaged(&orders, &exciters[1])];
    let (losses, residual) = (vec![0.02; MODES], Array2::eye(2) * 1e-7);
    let data = PortData {
        frequencies: &frequencies,
        loss_factors: &losses,
        shapes: &shapes,
        residual: &residual,
        residual_loss_factor: 0.02,
    };
    let (ports, f, channels) = (PanelPorts::new(data), sweep(), [pair()]);
    bencher.bench(|| solve(black_box(&f), &exciters, &channels, &ports));
}

/// New place of one exciter → its averaged shapes → motion → pressure at a seat through a kept transfer (frequencies, modes).
#[divan::bench]
fn move_one_exciter_to_seat_pressure(bencher: Bencher) {
    let (orders, frequencies) = modes();
    let transfer = Array2::from_shape_fn((FREQUENCIES, MODES), |(f, n)| Complex64::from_polar(1.0, (f * n) as f64));
    let (losses, residual, f, channels) = (vec![0.02; MODES], Array2::eye(2) * 1e-7, sweep(), [pair()]);
    let second = exciter(0.55, 0.37);
    let mut shapes = ndarray::stack![ndarray::Axis(0), averaged(&orders, &second), averaged(&orders, &second)];
    let mut step = 0;
    bencher.bench_local(|| {
        step += 1;
        let exciters = [exciter(0.2 + 1e-3 * f64::from(step % 100), 0.22), second.clone()];
        shapes.row_mut(0).assign(&averaged(&orders, &exciters[0]));
        let data = PortData {
            frequencies: &frequencies,
            loss_factors: &losses,
            shapes: &shapes,
            residual: &residual,
            residual_loss_factor: 0.02,
        };
        let motion = solve(&f, &exciters, &channels, &PanelPorts::new(data));
        let seat = |(q, t): (ndarray::ArrayView1<Complex64>, ndarray::ArrayView1<Complex64>)| -> Complex64 {
            Zip::from(q).and(t).fold(Complex64::ZERO, |sum, q, t| sum + q * t)
        };
        motion.modal_velocity.rows().into_iter().zip(transfer.rows()).map(seat).collect::<Vec<_>>()
    });
}
