//! The worked cases of small drivers do what their comments promise, computed at fewer frequencies.

use panelwright::case::{DriverCase, load_driver};
use panelwright_solver::kept::NothingKept;
use panelwright_solver::listening::{HeardAt, SurroundFindings, Turn};
use panelwright_solver::scene::DriverScene;
use panelwright_solver::surrounds::{Bodies, Comparison, compare, surround_findings};
use panelwright_tests::case as path_of;

fn loaded(name: &str) -> DriverCase {
    load_driver(&path_of(name)).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn compared(name: &str) -> SurroundFindings {
    let (scene, comparison) = computed(name);
    surround_findings(&scene, &comparison)
}

fn computed(name: &str) -> (DriverScene, Comparison) {
    panelwright_solver::single_threaded_blas();
    let mut scene = loaded(name).scene;
    scene.pictured = vec![];
    let bodies = Bodies::of(&scene).expect("a worked case can be built");
    let comparison = compare(&bodies, None, &NothingKept, &|_| ()).expect("a worked case can be computed");
    (scene, comparison)
}

fn heard<'f>(findings: &'f SurroundFindings, surround: &str, place: &str) -> &'f HeardAt {
    let surround = findings.surrounds.iter().find(|one| one.name == surround).expect("it is in the case");
    surround.places.iter().find(|heard| heard.place == place).expect("it is in the case")
}

/// Level [dB] at the frequency nearest to `f` [Hz].
fn level(findings: &SurroundFindings, heard: &HeardAt, f: f64) -> f64 {
    let apart = |i: &usize| (findings.frequencies[*i] / f).ln().abs();
    let nearest = (0..findings.frequencies.len()).min_by(|a, b| apart(a).total_cmp(&apart(b)));
    heard.level[nearest.expect("frequencies")]
}

fn dips(heard: &HeardAt) -> Vec<(f64, f64)> {
    let dips = heard.turns.iter().filter(|turn| turn.turn == Turn::Dip && turn.prominence > 2.0);
    dips.map(|dip| (dip.frequency, dip.prominence)).collect()
}

#[test]
fn a_baffle_brings_the_rise_forward_and_a_dip_on_the_axis() {
    let findings = compared("piston-in-a-box.toml");
    let [alone, baffled] = ["the box alone", "in a baffle"].map(|s| heard(&findings, s, "on the axis"));
    let rise = level(&findings, alone, 4200.0) - level(&findings, alone, 400.0);
    assert!((rise - 6.5).abs() < 1.0, "{rise}");
    assert!(dips(alone).is_empty(), "{:?}", dips(alone));
    let most = baffled.bands.iter().max_by(|a, b| a.gain.total_cmp(&b.gain)).expect("bands");
    assert!((most.gain - 6.6).abs() < 0.5 && [1250.0, 1600.0].contains(&most.band.nominal), "{most:?}");
    let [(frequency, depth)] = dips(baffled)[..] else { panic!("one dip, not {:?}", dips(baffled)) };
    assert!((frequency / 3215.0 - 1.0).abs() < 0.02 && (depth - 6.9).abs() < 1.0, "{frequency} {depth}");
    assert!(dips(heard(&findings, "in a baffle", "to the side")).is_empty());
    assert!(findings.reflections.is_empty());
}

/// Far-field levels of a cap of half angle asin 0.4 on a ball of 50 mm that moves along the axis, relative to the axis: spherical harmonics
/// (P. M. Morse & K. U. Ingard, Theoretical Acoustics, 1968, § 7.2), summed independently in double precision for c = 343.8 m/s.
#[test]
fn a_ball_sounds_as_spherical_harmonics_say() {
    let (scene, comparison) = computed("ball-with-a-cap.toml");
    let far = &comparison.variants[0].curves.horizontal;
    for (f, angle, exact) in [
        (500.0, 90.0, -0.84),
        (500.0, 180.0, -0.40),
        (4000.0, 90.0, -6.09),
        (4000.0, 150.0, -14.59),
        (4000.0, 180.0, -6.76),
    ] {
        let nearest = |list: &[f64], at: f64| {
            let apart = |i: &usize| (list[*i] - at).abs();
            (0..list.len()).min_by(|a, b| apart(a).total_cmp(&apart(b))).expect("not empty")
        };
        let (i, j) =
            (nearest(&comparison.frequencies, f), nearest(&comparison.angles, f64::to_radians(angle)));
        let axis = nearest(&comparison.angles, 0.0);
        let found = 20.0 * (far[[i, j]].norm() / far[[i, axis]].norm()).log10();
        // The computed frequency lies up to 3 % beside the named one.
        assert!((found - exact).abs() < 0.6, "{f} Hz, {angle}°: {found:.2} dB, not {exact}");
    }
    let findings = surround_findings(&scene, &comparison);
    assert!(findings.surrounds[0].places.iter().all(|place| dips(place).is_empty()));
}

#[test]
fn a_panel_behind_makes_a_comb_that_wings_weaken() {
    let findings = compared("driver-before-the-panel.toml");
    let [bare, winged] = ["bare", "four wings"].map(|s| heard(&findings, s, "in front"));
    let (comb, found) = (&findings.reflections[1], dips(bare));
    assert_eq!(comb.place, "in front");
    assert!((comb.nulls[0] / 1440.0 - 1.0).abs() < 0.02 && (comb.nulls[1] / 4320.0 - 1.0).abs() < 0.02);
    assert!(
        (found[0].0 / 1221.0 - 1.0).abs() < 0.03 && (found[1].0 / 3408.0 - 1.0).abs() < 0.03,
        "{found:?}"
    );
    let most = winged.bands.iter().map(|band| band.gain).fold(f64::MIN, f64::max);
    assert!((most - 7.5).abs() < 1.0, "{most}");
    let after = dips(winged);
    assert!(after[0].0 < found[0].0 && (after[1].0 / 2747.0 - 1.0).abs() < 0.04, "{after:?}");
    assert!(after[1].1 < 0.6 * found[1].1, "{after:?}");
}
