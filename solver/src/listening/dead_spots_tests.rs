use super::*;
use crate::listening::fractional_octaves;
use proptest::prelude::*;

const SPACING: f64 = 0.01;

/// A map of 0 dB (mean stated as 0 dB) over 0.76 m × 0.52 m with a margin of 0.1 m, and `level` added.
fn map(level: impl Fn(f64, f64) -> f64) -> OutputMap {
    let nodes = |length: f64| -> Vec<f64> {
        let count = ((length + 0.2) / SPACING).round() as usize;
        (0..=count).map(|i| -0.1 + i as f64 * SPACING).collect()
    };
    let (x, y) = (nodes(0.76), nodes(0.52));
    let level = Array2::from_shape_fn((x.len(), y.len()), |(i, j)| level(x[i], y[j]));
    let band = fractional_octaves(3, 2500.0, 2500.0)[0];
    OutputMap { distance: 0.3, x, y, bands: vec![BandMap { band, level, mean: 0.0 }] }
}

/// A round dip of `depth` dB at `at`, Gaussian in decibels with standard deviation `width`.
fn dip(at: [f64; 2], depth: f64, width: f64) -> impl Fn(f64, f64) -> f64 {
    move |x, y| -depth * (-((x - at[0]).powi(2) + (y - at[1]).powi(2)) / (2.0 * width * width)).exp()
}

const PANEL: Option<([f64; 2], [f64; 2])> = Some(([0.0, 0.0], [0.76, 0.52]));

#[test]
fn a_null_of_minus_infinity_is_finite_and_in_place() {
    let found = dead_spots(&map(|x, y| 20.0 * (x - 0.33).hypot(y - 0.21).log10() + 20.0), 10.0, PANEL);
    assert_eq!(found.len(), 1);
    let spot = found[0];
    assert!((spot.position[0] - 0.33).abs() < 1e-6 && (spot.position[1] - 0.21).abs() < 1e-6, "{spot:?}");
    assert_eq!(spot.depth, DEEPEST);
    let radius = 0.1 * 10f64.powf(-0.5);
    assert!((spot.area / (std::f64::consts::PI * radius * radius) - 1.0).abs() < 0.03, "{spot:?}");
}

#[test]
fn silence_and_flat_maps_have_no_dead_spots() {
    let mut silent = map(|_, _| f64::NEG_INFINITY);
    silent.bands[0].mean = f64::NEG_INFINITY;
    assert!(dead_spots(&silent, 10.0, None).is_empty());
    assert!(dead_spots(&map(|_, _| 0.0), 10.0, None).is_empty());
    assert!(dead_spots(&map(|_, _| -5.0), f64::NAN, None).is_empty());
}

#[test]
fn the_margin_is_not_called_dead() {
    let fall =
        |x: f64, y: f64| if (0.0..=0.76).contains(&x) && (0.0..=0.52).contains(&y) { 0.0 } else { -30.0 };
    assert_eq!(dead_spots(&map(fall), 10.0, None).len(), 1);
    assert!(dead_spots(&map(fall), 10.0, PANEL).is_empty());
    assert!(dead_spots(&map(fall), 10.0, Some(([2.0, 2.0], [3.0, 3.0]))).is_empty());
}

#[test]
fn a_spot_on_the_window_is_cut_by_it() {
    // A half plane 20 dB down for x < 0.123: inside the window 0.123 × 0.52.
    let step = map(|x, _| -20.0 * ((0.128 - x) / SPACING).clamp(0.0, 1.0));
    let spot = dead_spots(&step, 10.0, PANEL)[0];
    assert!((spot.area - 0.123 * 0.52).abs() < 0.003 * 0.52, "{spot:?}");
    assert!((spot.extent[1] - 0.52).abs() < 1e-9 && (spot.extent[0] - 0.123).abs() < 0.003, "{spot:?}");
}

#[test]
fn two_dips_are_two_spots_worst_first() {
    let (a, b) = (dip([0.2, 0.1], 14.0, 0.03), dip([0.5, 0.4], 25.0, 0.06));
    let found = dead_spots(&map(|x, y| a(x, y) + b(x, y)), 10.0, PANEL);
    assert_eq!(found.len(), 2);
    assert!(found[0].depth > 24.0 && found[1].depth < 15.0, "{found:?}");
}

#[test]
fn quiet_points_across_a_diagonal_stay_apart() {
    let mut checker = map(|_, _| 0.0);
    checker.bands[0].level[[40, 30]] = -20.0;
    checker.bands[0].level[[41, 31]] = -20.0;
    let found = dead_spots(&checker, 10.0, PANEL);
    assert_eq!(found.len(), 2);
    // Each is a diamond reaching half a cell in four directions.
    assert!(found.iter().all(|s| (s.area / (0.5 * SPACING * SPACING) - 1.0).abs() < 1e-9), "{found:?}");
}

proptest! {
    #[test]
    fn a_planted_spot_is_found_with_place_depth_and_size(
        x in 0.15..0.6f64, y in 0.15..0.37f64, depth in 12.0..30.0f64, width in 0.03..0.05f64,
    ) {
        let found = dead_spots(&map(dip([x, y], depth, width)), 10.0, PANEL);
        prop_assert_eq!(found.len(), 1);
        let spot = found[0];
        prop_assert!((spot.position[0] - x).abs() < 0.1 * SPACING && (spot.position[1] - y).abs() < 0.1 * SPACING, "{:?}", spot);
        prop_assert!((spot.depth - depth).abs() < 0.02 * depth, "{} {}", spot.depth, depth);
        // Contour: depth · exp(−r²/2w²) = 10. The polygon's chords lose at most a few per cent of a small circle.
        let radius = width * (2.0 * (depth / 10.0).ln()).sqrt();
        let cells = radius / SPACING;
        prop_assert!((spot.extent[0] - 2.0 * radius).abs() < 0.5 * SPACING, "{} {}", spot.extent[0], 2.0 * radius);
        let area = std::f64::consts::PI * radius * radius;
        prop_assert!((spot.area / area - 1.0).abs() < 0.35 / cells, "{} {} {}", spot.area, area, cells);
    }

    #[test]
    fn shifting_all_levels_and_the_mean_changes_nothing(shift in -80.0..80.0f64) {
        let plain = map(dip([0.3, 0.3], 20.0, 0.04));
        let mut louder = plain.clone();
        louder.bands[0].level += shift;
        louder.bands[0].mean += shift;
        let (a, b) = (dead_spots(&plain, 10.0, PANEL)[0], dead_spots(&louder, 10.0, PANEL)[0]);
        prop_assert!((a.depth - b.depth).abs() < 1e-6 && (a.area - b.area).abs() < 1e-9);
    }
}
