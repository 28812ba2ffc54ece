use super::*;
use ndarray::Array2;
use proptest::prelude::*;
use std::f64::consts::TAU;

const BOX: (f64, f64) = (0.76, 0.52);
const C: f64 = 343.0;

/// Points every 5° up to `limit` steps off the axis, on a horizontal and a vertical arc about the panel's middle.
fn arcs(radius: f64, limit: i32) -> Vec<[f64; 3]> {
    let angle = |i: i32| f64::from(i) * 5f64.to_radians();
    let horizontal =
        (-limit..=limit).map(|i| [0.38 + radius * angle(i).sin(), 0.26, radius * angle(i).cos()]);
    let vertical = (-limit..=limit).map(|i| [0.38, 0.26 + radius * angle(i).sin(), radius * angle(i).cos()]);
    horizontal.chain(vertical).collect()
}

fn third(centre: f64) -> Vec<f64> {
    (0..9).map(|i| centre * 10f64.powf(0.1 * (f64::from(i) / 8.0 - 0.5))).collect()
}

/// Sum of point sources `(position, amplitude)`.
fn field(points: &[[f64; 3]], frequencies: &[f64], sources: &[([f64; 3], f64)]) -> Array2<Complex64> {
    Array2::from_shape_fn((frequencies.len(), points.len()), |(f, n)| {
        let k = TAU * frequencies[f] / C;
        let wave = |(s, a): &([f64; 3], f64)| {
            let r = (Vector3::from(points[n]) - Vector3::from(*s)).norm();
            Complex64::from_polar(a / r, -k * r)
        };
        sources.iter().map(wave).sum()
    })
}

fn centre(sources: &[([f64; 3], f64)], band: f64) -> Option<WaveFrontCentre> {
    let (points, f) = (arcs(2.0, 12), third(band));
    wave_front_centre(&points, &f, field(&points, &f, sources).view(), C, BOX)
}

const BANDS: [f64; 5] = [100.0, 400.0, 1250.0, 4000.0, 10000.0];

#[test]
fn one_source_is_its_own_centre() {
    for band in BANDS {
        for at in [[0.38, 0.26, 0.0], [0.1, 0.45, 0.0], [0.7, 0.03, 0.01]] {
            let found = centre(&[(at, 1.0)], band).unwrap();
            let error = (Vector3::from(found.position) - Vector3::from(at)).norm();
            assert!(error < 1e-3, "{band} Hz, {at:?}: {error}");
            assert!(found.fit > 1.0 - 1e-9 && found.spread.iter().all(|s| *s < 1e-3), "{band} Hz: {found:?}");
        }
    }
}

#[test]
fn two_equal_sources_centre_half_way() {
    for band in BANDS {
        let sources = [([0.13, 0.26, 0.0], 1.0), ([0.63, 0.26, 0.0], 1.0)];
        let found = centre(&sources, band).unwrap();
        let error = (Vector3::from(found.position) - Vector3::new(0.38, 0.26, found.position[2])).norm();
        assert!(error < 1e-6, "{band} Hz: {found:?}");
    }
}

#[test]
fn far_apart_rivals_show_in_the_spread() {
    let sources = [([0.13, 0.26, 0.0], 1.0), ([0.63, 0.26, 0.0], 1.0)];
    let found = centre(&sources, 10e3).unwrap();
    assert!(found.spread[0] > 0.2 && found.spread[1] < 0.02, "{found:?}");
}

#[test]
fn the_louder_of_two_sources_pulls() {
    for band in BANDS {
        let found = centre(&[([0.13, 0.26, 0.0], 1.0), ([0.63, 0.26, 0.0], 0.5)], band).unwrap();
        assert!(found.position[0] < 0.33, "{band} Hz: {found:?}");
    }
}

#[test]
fn noise_and_silence_have_no_centre() {
    let (points, f) = (arcs(2.0, 12), third(4e3));
    let mut state = 1u64;
    let mut phase = || {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        TAU * (state >> 11) as f64 / (1u64 << 53) as f64
    };
    let noise = Array2::from_shape_fn((f.len(), points.len()), |_| Complex64::from_polar(1.0, phase()));
    assert!(wave_front_centre(&points, &f, noise.view(), C, BOX).is_none());
    let silence = Array2::zeros((f.len(), points.len()));
    assert!(wave_front_centre(&points, &f, silence.view(), C, BOX).is_none());
    assert!(wave_front_centre(&[], &[], Array2::zeros((0, 0)).view(), C, BOX).is_none());
}

#[test]
fn far_field_arcs_find_the_source_too() {
    let (points, f) = (arcs(1000.0, 18), third(2e3));
    let at = [0.2, 0.4, 0.0];
    let found = wave_front_centre(&points, &f, field(&points, &f, &[(at, 1.0)]).view(), C, BOX).unwrap();
    let error = (Vector3::from(found.position) - Vector3::from(at)).norm();
    assert!(error < 1e-4, "{found:?}");
}

#[test]
fn derivatives_are_those_of_the_explained_share() {
    let (points, f) = (arcs(1.5, 18), third(2e3));
    let p = field(&points, &f, &[([0.2, 0.3, 0.0], 1.0), ([0.5, 0.1, 0.0], 0.6)]);
    let waves = Waves::new(&points, &f, p.view(), C).unwrap();
    let at = Vector3::new(0.24, 0.27, 0.03);
    let here = waves.local(at);
    assert!((here.value / waves.explained(at) - 1.0).abs() < 1e-12);
    for axis in 0..3 {
        let step = Vector3::ith(axis, 1e-6);
        let (after, before) = (waves.local(at + step), waves.local(at - step));
        let slope = (after.value - before.value) / 2e-6;
        assert!((slope - here.gradient[axis]).abs() < 1e-6 * here.gradient.norm(), "{axis}: {slope}");
        let bend = (after.gradient - before.gradient) / 2e-6;
        assert!((bend - here.curvature.column(axis)).norm() < 1e-6 * here.curvature.norm(), "{axis}: {bend}");
    }
}

#[test]
fn threads_do_not_change_the_result() {
    let sources = [([0.2, 0.3, 0.0], 1.0), ([0.5, 0.1, 0.0], 0.9)];
    let run = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| centre(&sources, 2500.0).unwrap().position)
    };
    assert_eq!(run(1), run(3));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn the_centre_is_mirrored_with_the_sources(
        x in 0.05..0.71f64, y in 0.05..0.47f64, x2 in 0.05..0.71f64, y2 in 0.05..0.47f64, second in 0.0..1.0f64, band in 100.0..4000.0f64,
    ) {
        let here = centre(&[([x, y, 0.0], 1.0), ([x2, y2, 0.0], second)], band);
        let there = centre(&[([0.76 - x, y, 0.0], 1.0), ([0.76 - x2, y2, 0.0], second)], band);
        prop_assert_eq!(here.is_some(), there.is_some());
        if let (Some(here), Some(there)) = (here, there) {
            prop_assert!((here.position[0] + there.position[0] - 0.76).abs() < 1e-5, "{:?} {:?}", here, there);
            prop_assert!((here.position[1] - there.position[1]).abs() < 1e-5);
        }
    }
}
