//! The worked cases of panel and driver together do what their comments promise.

use panelwright::case::load_blend;
use panelwright_solver::blend::{BlendFindings, Blended, blend_findings, ensemble};
use panelwright_solver::listening::Heard;
use panelwright_tests::case as path_of;

fn blended(name: &str) -> BlendFindings {
    panelwright_solver::single_threaded_blas();
    let scene = load_blend(&path_of(name)).unwrap_or_else(|problems| panic!("{problems:?}")).scene;
    let ensemble = ensemble(&scene, &panelwright_solver::kept::NothingKept, &|_| ())
        .expect("a worked case can be computed");
    blend_findings(&ensemble).remove(0)
}

fn advised(blended: &Blended) -> f64 {
    blended.advice.as_ref().expect("a wide range").crossover.unevenness
}

/// Largest angle [degrees] at the counter by which the driver is above the panel's centre in bands where both play.
fn above_the_counter(blended: &Blended) -> f64 {
    let both = blended.agreement[0].bands.iter().filter(|band| band.heard != Heard::OneLeads);
    let angles = both.filter_map(|band| band.from_wave_front.or(band.from_intensity));
    angles.map(|apart| apart.vertical.to_degrees()).fold(f64::NEG_INFINITY, f64::max)
}

#[test]
fn a_driver_above_the_edge_sums_evenly_and_one_before_the_panel_is_nearer_to_its_centre() {
    let [above, before] =
        ["tea-room-blend.toml", "tea-room-blend-low.toml"].map(|name| blended(name).surrounds.remove(0));
    assert!((2.5..4.0).contains(&above.unevenness), "{}", above.unevenness);
    assert!(
        advised(&above) < 1.0 && advised(&before) > advised(&above),
        "{} {}",
        advised(&above),
        advised(&before)
    );
    let crossover = above.advice.as_ref().expect("a wide range").crossover.crossover;
    assert!(crossover.corner < 1500.0 && (0.0..3e-4).contains(&crossover.delay), "{crossover:?}");
    let [high, low] = [&above, &before].map(above_the_counter);
    assert!((high - 13.0).abs() < 1.0 && (low - 7.0).abs() < 1.0, "{high} {low}");
    assert!(before.agreement[1..].iter().all(|seat| seat.verdict.contains("blend from")));
}
