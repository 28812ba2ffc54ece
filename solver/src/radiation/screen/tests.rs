//! Order of convergence, limits and power of screens.

use super::super::invariants::air;
use super::super::{Arc, SurfaceVelocity, far_field_arc, radiated_power};
use super::*;
use approx::assert_relative_eq;
use panelwright_mesh::{Axis, Lattice, Outline};
use std::num::NonZeroUsize;

const PANEL: Outline = Outline::Rectangle { width: 0.7, height: 0.45 };

/// Frequency [Hz] of a wavenumber [rad/m].
fn frequency(k: f64) -> f64 {
    k * air().sound_speed / TAU
}

/// A smooth motion without symmetry.
fn motion(grid: &ScreenGrid) -> Array2<Complex64> {
    let (x, y) = (&grid.lattice.x.nodes, &grid.lattice.y.nodes);
    Array2::from_shape_fn(grid.lattice.shape(), |(i, j)| {
        Complex64::new(1.0 + 0.4 * (7.0 * x[i] + 1.0).sin(), (5.0 * y[j] - 3.0 * x[i]).cos())
    })
}

/// Work of the screen per second [W], from the pressure on it.
fn work(screen: &Screen, jump: &Jump, velocity: &Array2<Complex64>) -> f64 {
    screen.forces_of(jump).iter().zip(velocity).map(|(f, v)| -(f * v.conj()).re).sum()
}

/// Force [N] that moves a rigid panel of 1 m/s, cells of `step` [m].
fn rigid_force(outline: &Outline, step: f64, k: f64) -> Complex64 {
    let grid = ScreenGrid::new(outline, step);
    let screen = Screen::new(&grid, frequency(k), &air(), None);
    let jump = screen.jump(&Array2::from_elem(grid.lattice.shape(), Complex64::ONE));
    -screen.forces_of(&jump).sum()
}

#[test]
fn the_force_on_a_rigid_panel_converges_with_second_order() {
    let [coarse, medium, fine] = [0.7 / 12.0, 0.7 / 24.0, 0.7 / 96.0].map(|h| rigid_force(&PANEL, h, 4.0));
    let (first, second) = ((coarse / fine - 1.0).norm(), (medium / fine - 1.0).norm());
    assert!(first < 0.02 && second < 0.005, "{first:e} {second:e}");
    assert!((first / second).log2() > 1.6, "{first:e} {second:e}");
}

#[test]
fn a_disc_carries_its_known_mass_of_air() {
    // 8/3 ρa³: H. Lamb, Hydrodynamics, 6th ed. 1932, art. 102 and 108.
    let off = |cells: f64| {
        let grid = ScreenGrid::within(2.0, 2.0, 2.0 / cells, |[x, y]| 1.0 - (x - 1.0).hypot(y - 1.0));
        let k = 0.01;
        let screen = Screen::new(&grid, frequency(k), &air(), None);
        let jump = screen.jump(&Array2::from_elem(grid.lattice.shape(), Complex64::ONE));
        let mass = -screen.forces_of(&jump).sum().im / (k * air().sound_speed);
        (mass / (8.0 / 3.0 * air().density) - 1.0).abs()
    };
    assert!(off(20.0) < 0.01, "{:e}", off(20.0));
    assert!(off(40.0) < 0.004, "{:e}", off(40.0));
    assert!(off(80.0) < 0.002, "{:e}", off(80.0));
}

#[test]
fn what_the_panel_gives_is_what_travels_away() {
    for k in [5.0, 20.0, 60.0] {
        let grid = ScreenGrid::new(&PANEL, (TAU / k / 10.0).min(0.015));
        let screen = Screen::new(&grid, frequency(k), &air(), None);
        let velocity = motion(&grid);
        let jump = screen.jump(&velocity);
        let far = Dipoles::new(&grid, frequency(k), None, &jump).power(&air());
        assert_relative_eq!(work(&screen, &jump, &velocity), far, max_relative = 2e-3);
    }
}

#[test]
fn before_a_hard_wall_all_of_it_leaves_to_the_front() {
    let wall = Some(ParallelWall { distance: 0.08, reflection: 1.0 });
    for k in [8.0, 25.0] {
        let grid = ScreenGrid::new(&PANEL, 0.012);
        let screen = Screen::new(&grid, frequency(k), &air(), wall);
        let velocity = motion(&grid);
        let jump = screen.jump(&velocity);
        let dipoles = Dipoles::new(&grid, frequency(k), wall, &jump);
        let far = dipoles.power(&air());
        assert_relative_eq!(work(&screen, &jump, &velocity), far, max_relative = 5e-3);
        let free = Screen::new(&grid, frequency(k), &air(), None).jump(&velocity);
        let without = Dipoles::new(&grid, frequency(k), None, &free).power(&air());
        assert!((without / far - 1.0).abs() > 0.05, "the wall must matter: {without} {far}");
        // The faces share the work: what leaves the front leaves the gap behind through its rim as well.
        let front = dipoles.front_intensity(&jump, &velocity, &air());
        assert!(front.iter().all(|i| i.is_finite()));
    }
}

#[test]
fn what_an_absorbing_wall_keeps_makes_up_the_balance() {
    let grid = ScreenGrid::new(&PANEL, 0.012);
    let velocity = motion(&grid);
    for (k, reflection) in [(8.0, 0.9), (25.0, 0.5), (25.0, 0.95)] {
        let wall = Some(ParallelWall { distance: 0.08, reflection });
        let screen = Screen::new(&grid, frequency(k), &air(), wall);
        let jump = screen.jump(&velocity);
        let dipoles = Dipoles::new(&grid, frequency(k), wall, &jump);
        let (far, kept) = (dipoles.power(&air()), dipoles.power_into_wall(&air()));
        assert_relative_eq!(work(&screen, &jump, &velocity), far + kept, max_relative = 3e-3);
        assert!(kept > 0.02 * far, "the wall keeps some: {kept} of {far}");
    }
}

#[test]
fn the_lobes_of_a_distant_image_are_all_counted() {
    for (k, distance) in [(8.0, 1.0), (20.0, 0.5), (20.0, 2.0), (60.0, 1.0), (20.0, 9.0)] {
        let wall = Some(ParallelWall { distance, reflection: 0.9 });
        let grid = ScreenGrid::new(&PANEL, (TAU / k / 10.0).min(0.015));
        let screen = Screen::new(&grid, frequency(k), &air(), wall);
        let velocity = motion(&grid);
        let jump = screen.jump(&velocity);
        let dipoles = Dipoles::new(&grid, frequency(k), wall, &jump);
        let (far, kept) = (dipoles.power(&air()), dipoles.power_into_wall(&air()));
        assert_relative_eq!(work(&screen, &jump, &velocity), far + kept, max_relative = 3e-3);
        assert_relative_eq!(dipoles.power_of(&velocity, &air()), far, max_relative = 3e-3);
    }
}

/// Gaps that guide waves take a few steps more than free space, and none runs to the limit.
#[test]
fn before_a_wall_the_iteration_stays_short() {
    for (k, distance) in
        [(2.0, 0.06), (12.0, 0.06), (60.0, 0.06), (110.0, 0.06), (160.0, 0.06), (60.0, 0.01), (60.0, 0.3)]
    {
        let grid = ScreenGrid::new(&PANEL, (TAU / k / 8.0).min(0.015).min(distance / 2.0));
        let wall = Some(ParallelWall { distance, reflection: 1.0 });
        let steps = Screen::new(&grid, frequency(k), &air(), wall).jump(&motion(&grid)).steps;
        let most = if distance < 0.03 { 50 } else { 40 };
        assert!(steps <= most, "{steps} steps at k = {k}, {distance} m");
    }
}

/// The wall's part of the operator between two hats, by Gauss's rule on the cubic B-splines of their correlation.
fn image_between_hats(offset: [f64; 2], [hx, hy]: [f64; 2], k: f64, distance: f64) -> Complex64 {
    let spline = |t: f64| match t.abs() {
        t if t < 1.0 => 2.0 / 3.0 - t * t + 0.5 * t.powi(3),
        t => (2.0 - t).max(0.0).powi(3) / 6.0,
    };
    let green = |x: f64, y: f64, z: f64| {
        let r = (x * x + y * y + z * z).sqrt();
        Complex64::from_polar(1.0 / (4.0 * std::f64::consts::PI * r), -k * r)
    };
    // −∂²G/∂z² by differences of fourth order.
    let kernel = |x: f64, y: f64| {
        let step = 0.01 * distance;
        let g = |n: f64| green(x, y, distance + n * step);
        -(16.0 * (g(1.0) + g(-1.0)) - g(2.0) - g(-2.0) - 30.0 * g(0.0)) / (12.0 * step * step)
    };
    let rule = Axis::gauss(1.0, NonZeroUsize::new(6).expect("positive"));
    let nodes: Vec<(f64, f64)> = (-2..2)
        .flat_map(|cell| rule.nodes.iter().zip(&rule.weights).map(move |(u, w)| (f64::from(cell) + u, *w)))
        .collect();
    let row = |&(u, wu): &(f64, f64)| -> Complex64 {
        let at = |&(v, wv): &(f64, f64)| {
            wu * wv * spline(u) * spline(v) * kernel((offset[0] + u) * hx, (offset[1] + v) * hy)
        };
        nodes.iter().map(at).sum()
    };
    nodes.iter().map(row).sum::<Complex64>() * hx * hy
}

#[test]
fn a_wall_close_behind_is_solved_as_by_elimination() {
    let grid = ScreenGrid::new(&PANEL, 0.05);
    let (nx, ny) = grid.lattice.shape();
    let velocity = motion(&grid);
    for (k, distance) in [(3.0, 0.1), (14.0, 0.1), (9.0, 0.2)] {
        let wall = Some(ParallelWall { distance, reflection: 1.0 });
        let cell = grid.cell();
        let direct = kernel::screen((nx, ny), cell, k);
        let image = Array2::from_shape_fn((nx, ny), |(i, j)| {
            image_between_hats([i as f64, j as f64], cell, k, 2.0 * distance)
        });
        let matrix = nalgebra::DMatrix::from_fn(nx * ny, nx * ny, |row, column| {
            let at = [(row / ny).abs_diff(column / ny), (row % ny).abs_diff(column % ny)];
            direct[at] + image[at]
        });
        let drive = Complex64::new(0.0, TAU * frequency(k) * air().density);
        let seen = grid.seen_by_hats(&values(&velocity));
        let right = nalgebra::DVector::from_iterator(nx * ny, seen.iter().map(|v| v * drive));
        let exact = matrix.lu().solve(&right).expect("not singular");
        let mut screen = Screen::new(&grid, frequency(k), &air(), wall);
        screen.stop = Stop { residual: LEAST_RESIDUAL, steps: STEPS };
        let found = screen.jump(&velocity);
        let off: f64 = found.hats.iter().zip(&exact).map(|(a, b)| (a - b).norm_sqr()).sum();
        let error = (off / exact.norm_squared()).sqrt();
        assert!(error < 1e-4, "{error:e} at k = {k}, {distance} m");
        let free = Screen::new(&grid, frequency(k), &air(), None).jump(&velocity);
        let change = (&free.hats - &found.hats).iter().map(|p| p.norm_sqr()).sum::<f64>().sqrt();
        assert!(change > 0.1 * exact.norm(), "the wall matters: {change}");
    }
}

#[test]
fn an_iteration_cut_short_is_told() {
    let grid = ScreenGrid::new(&PANEL, 0.05);
    let mut screen = Screen::new(&grid, 600.0, &air(), None);
    assert_eq!(screen.jump(&motion(&grid)).shortfall(), None);
    screen.stop.steps = 3;
    let jump = screen.jump(&motion(&grid));
    assert_eq!((jump.steps, jump.shortfall()), (3, Some(jump.residual)));
}

#[test]
fn a_wall_far_away_changes_little_and_a_wall_without_reflection_nothing() {
    let grid = ScreenGrid::new(&PANEL, 0.02);
    let velocity = motion(&grid);
    let force = |wall| {
        let screen = Screen::new(&grid, 600.0, &air(), wall);
        screen.forces_of(&screen.jump(&velocity)).sum()
    };
    let free = force(None);
    let far = force(Some(ParallelWall { distance: 200.0, reflection: 1.0 }));
    let farther = force(Some(ParallelWall { distance: 800.0, reflection: 1.0 }));
    let near = force(Some(ParallelWall { distance: 0.05, reflection: 1.0 }));
    let soft = force(Some(ParallelWall { distance: 0.05, reflection: 0.0 }));
    let (once, again) = ((far / free - 1.0).norm(), (farther / free - 1.0).norm());
    assert!(once < 0.01 && again < 0.001, "{once:e} {again:e}");
    assert!((near / free - 1.0).norm() > 0.3, "{near} {free}");
    assert_eq!(soft, free);
}

/// On the axis: amplitude of the open panel over that of the baffled one.
fn open_over_baffled(k: f64) -> f64 {
    let grid = ScreenGrid::new(&PANEL, (TAU / k / 10.0).min(0.012));
    let screen = Screen::new(&grid, frequency(k), &air(), None);
    let jump = screen.jump(&Array2::from_elem(grid.lattice.shape(), Complex64::ONE));
    let open = Dipoles::new(&grid, frequency(k), None, &jump).far_field_arc(
        Arc::Horizontal,
        &[0.0],
        [0.35, 0.225],
        &air(),
    );
    open[0].norm() / (air().density * frequency(k) * PANEL.area())
}

#[test]
fn low_down_the_sound_cancels_round_the_edge_and_high_up_it_does_not() {
    let octave = 20.0 * (open_over_baffled(0.4) / open_over_baffled(0.2)).log10();
    assert!((octave - 6.02).abs() < 0.1, "{octave} dB per octave");
    assert!((open_over_baffled(150.0) - 1.0).abs() < 0.1, "{}", open_over_baffled(150.0));
}

#[test]
fn front_and_back_are_opposite_and_the_plane_is_the_sum_over_nodes() {
    let grid = ScreenGrid::new(&PANEL, 0.01);
    let f = frequency(60.0);
    let jump = Screen::new(&grid, f, &air(), None).jump(&motion(&grid));
    for wall in [None, Some(ParallelWall { distance: 0.1, reflection: 0.7 })] {
        let dipoles = Dipoles::new(&grid, f, wall, &jump);
        let count = |n| NonZeroUsize::new(n).expect("positive");
        let points = Lattice::new(Axis::cells(-0.13, 0.85, count(7)), Axis::cells(-0.11, 0.6, count(5)));
        let plane = PlaneSampler::new(&grid, &points).pressure(&dipoles, 0.2, &air());
        let places: Vec<[f64; 3]> = points.points().map(|[x, y]| [x, y, 0.2]).collect();
        let direct = dipoles.pressure(&places, &air());
        let largest = direct.iter().map(|p| p.norm()).fold(0.0, f64::max);
        for (a, b) in plane.iter().zip(&direct) {
            assert!((a - b).norm() < 2e-3 * largest, "{a} {b}");
        }
        if wall.is_none() {
            let behind = dipoles.pressure(&[[0.3, 0.2, -0.4]], &air())[0];
            let before = dipoles.pressure(&[[0.3, 0.2, 0.4]], &air())[0];
            assert_eq!(behind, -before);
        }
    }
}

#[test]
fn a_giving_surface_settles_where_its_own_equation_holds() {
    // Each node a small mass on nothing: v = v₀ + f/(jωm).
    let grid = ScreenGrid::new(&PANEL, 0.02);
    let (f, free) = (400.0, motion(&grid));
    let screen = Screen::new(&grid, f, &air(), None);
    let admittance = Complex64::new(0.0, TAU * f * 0.5 * 4e-4).inv();
    let jump = screen.jump_giving_way(&free, |forces| forces.mapv(|force| force * admittance));
    let settled = &free + &screen.forces_of(&jump).mapv(|force| force * admittance);
    let again = screen.jump(&settled);
    let largest = jump.hats.iter().map(|p| p.norm()).fold(0.0, f64::max);
    let worst = (&jump.hats - &again.hats).iter().map(|p| p.norm()).fold(0.0, f64::max);
    assert!(worst < 2e-3 * largest, "{worst} of {largest}");
    let rigid = screen.jump(&free);
    assert!((rigid.hats[[10, 10]] / jump.hats[[10, 10]] - 1.0).norm() > 0.05);
}

/// The same jump radiates forward as the baffled motion it stands for, times the cosine.
#[test]
fn the_equivalent_motion_has_the_screens_far_field_but_for_the_cosine() {
    let grid = ScreenGrid::new(&PANEL, 0.02);
    let jump = Screen::new(&grid, 900.0, &air(), None).jump(&motion(&grid));
    let dipoles = Dipoles::new(&grid, 900.0, None, &jump);
    let angle = 0.6f64;
    let far = 400.0;
    let dry = crate::air::Air { humidity: 0.0, ..air() };
    let lossless = (dry.absorption(900.0) * far).exp();
    let at = [0.35 + far * angle.sin(), 0.225, far * angle.cos()];
    let pressure = dipoles.pressure(&[at], &dry)[0] * lossless * far;
    let amplitude = dipoles.far_field_arc(Arc::Horizontal, &[angle], [0.35, 0.225], &air())[0];
    assert_relative_eq!(pressure.norm(), amplitude.norm(), max_relative = 2e-3);
    let surface: SurfaceVelocity = dipoles.equivalent_motion(&air());
    let plain = far_field_arc(&surface, Arc::Horizontal, &[angle], [0.35, 0.225], &air())[0];
    assert_relative_eq!(plain.norm() * angle.cos(), amplitude.norm(), max_relative = 1e-12);
    assert!(2.0 * radiated_power(&surface, &air()) > dipoles.power(&air()));
}
