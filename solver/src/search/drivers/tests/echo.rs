//! The share of an echo against computed boards and the closed form over the edge.

use super::super::echo::echo_share;
use super::panel;
use crate::air::Air;
use crate::boundary::{IncidentField, PointSource};
use crate::radiation::screen::{Dipoles, Screen, ScreenGrid};
use nalgebra::Vector3;
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::Outline;
use std::f64::consts::TAU;

/// What a source `exp(−jkR)/R` at (x, y, h) hears of itself from a computed board, over what the endless wall would throw back.
fn computed(outline: &Outline, [x, y]: [f64; 2], h: f64, frequency: f64, step: f64) -> Complex64 {
    let air = Air::new(293.15, 0.5, 101_325.0);
    let board = ScreenGrid::new(outline, step);
    let source = PointSource { amplitude: Complex64::ONE, position: Vector3::new(x, y, h) };
    let (k, inertia) = (air.wavenumber(frequency), Complex64::new(0.0, TAU * frequency * air.density));
    let slopes =
        board.lattice.points().map(|[u, v]| source.at(Vector3::new(u, v, 0.0), k).gradient[2] / inertia);
    let slopes = Array2::from_shape_vec(board.lattice.shape(), slopes.collect()).expect("one per node");
    let jump = Screen::new(&board, frequency, &air, None).jump(&slopes);
    let echo = Dipoles::new(&board, frequency, None, &jump).pressure(&[[x, y, h]], &air)[0];
    echo * 2.0 * h / Complex64::cis(-2.0 * k * h)
}

/// What the edges throw at each other is left out: 0.04 of the echo over the panel, 0.05 at its corners, measured.
#[test]
fn the_share_is_that_of_a_computed_board() {
    let (h, outline) = (0.0375, panel());
    for frequency in [1000.0, 3000.0] {
        let k = Air::new(293.15, 0.5, 101_325.0).wavenumber(frequency);
        for (place, bound) in [
            ([0.38, 0.26], 0.05),
            ([0.38, 0.47], 0.05),
            ([0.38, 0.515], 0.05),
            ([0.38, 0.525], 0.05),
            ([0.38, 0.56], 0.05),
            ([0.74, 0.50], 0.1),
            ([0.77, 0.53], 0.1),
        ] {
            let share = echo_share(&outline, place, h, k);
            let expected = computed(&outline, place, h, frequency, 4e-3);
            assert!((share - expected).norm() < bound, "{frequency} Hz, {place:?}: {share} {expected}");
        }
    }
}

/// Over the edge itself the image counts half, and what the edge adds is an integral of Bessel's kind; far inside all of the echo is there, far
/// outside nothing.
#[test]
fn the_share_is_smooth_across_the_edge_and_whole_far_inside() {
    let (h, k, outline) = (0.04, 50.0, Outline::Rectangle { width: 40.0, height: 40.0 });
    let share = |inside: f64| echo_share(&outline, [inside, 20.0], h, k);
    assert!((share(1e-5) - share(-1e-5)).norm() < 2e-3, "{} {}", share(1e-5), share(-1e-5));
    assert!((share(10.0) - 1.0).norm() < 2e-3, "{}", share(10.0));
    assert!(share(-10.0).norm() < 2e-3, "{}", share(-10.0));
    // In a static field the edge's own source adds −h/π over it.
    let still = |inside: f64| echo_share(&outline, [inside, 20.0], h, 1e-3 / h);
    assert!((still(1e-7) - (0.5 - 1.0 / std::f64::consts::PI)).norm() < 0.01, "{}", still(1e-7));
}
