//! The worked cases of panel and driver together do what their comments promise.

use panelwright::case::load_blend;
use panelwright_solver::blend::{BlendFindings, Blended, blend_findings, ensemble};
use panelwright_solver::listening::{AgreementAt, Heard};
use panelwright_tests::case as path_of;

fn blended(name: &str) -> BlendFindings {
    panelwright_solver::single_threaded_blas();
    let scene = load_blend(&path_of(name)).unwrap_or_else(|problems| panic!("{problems:?}")).scene;
    let ensemble = ensemble(&scene, &panelwright_solver::kept::NothingKept, &|_| ())
        .expect("a worked case can be computed");
    blend_findings(&ensemble)
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
    let crossover = above.advice.as_ref().expect("a wide range").crossover.crossovers[0];
    assert!(crossover.corner() < 1500.0 && (0.0..3e-4).contains(&crossover.delay), "{crossover:?}");
    let [high, low] = [&above, &before].map(above_the_counter);
    assert!((high - 13.0).abs() < 1.0 && (low - 7.0).abs() < 1.0, "{high} {low}");
    assert!(before.agreement[1..].iter().all(|seat| seat.verdict.contains("blend from")));
}

/// Common practice, no source: what wings do to the driver leaves the middle of the sum, which the panel makes, practically as it was.
#[test]
fn wings_leave_the_middle_of_the_sum_as_it_was() {
    let findings = blended("wings-in-the-sum.toml");
    assert!(findings.surrounds[0].gains.is_empty(), "the first is what others are held against");
    let gains = &findings.surrounds[1].gains[0];
    let gain = |nominal: f64| {
        let found = gains.iter().find(|gain| gain.band.nominal == nominal);
        found.unwrap_or_else(|| panic!("no band at {nominal} Hz")).gain
    };
    assert!(
        gains.iter().filter(|gain| gain.band.nominal <= 1600.0).all(|gain| gain.gain.abs() < 0.3),
        "{gains:?}"
    );
    for (nominal, expected) in [(2000.0, -1.0), (3150.0, 4.7), (4000.0, 3.2), (6300.0, 3.0), (10_000.0, -2.7)]
    {
        assert!((gain(nominal) - expected).abs() < 0.2, "{nominal} Hz: {} for {expected} dB", gain(nominal));
    }
    let told = findings
        .summary
        .iter()
        .any(|sentence| sentence.contains("in the sum at armchair") && sentence.contains("+4.7"));
    assert!(told, "{:?}", findings.summary);
}

/// The most even crossovers let the bass driver play where it is heard apart, and that is told.
#[test]
fn three_ways_that_are_most_even_are_not_one_source() {
    let findings = blended("tea-room-three-way.toml");
    let first = &findings.surrounds[0];
    assert_eq!(findings.parts, ["panel", "bass", "treble"]);
    assert!((3.0..3.6).contains(&first.unevenness), "{}", first.unevenness);
    let advice = first.advice.as_ref().expect("a wide range");
    assert_eq!(advice.order, [1, 0, 2], "bass, panel, treble");
    assert!(
        advised(first) < 1.0 && advice.crossover.crossovers[0].corner() > 1000.0,
        "{:?}",
        advice.crossover
    );
    // As set, everyone leads between its corners; as advised, bass and treble leave the panel nothing.
    let near = |range: Option<[f64; 2]>, expected: [f64; 2]| {
        let range = range.expect("it leads somewhere");
        assert!(
            range.iter().zip(expected).all(|(f, e)| (f / e).log2().abs() < 0.1),
            "{range:?} {expected:?}"
        );
    };
    let top = findings.frequencies[findings.frequencies.len() - 1];
    near(first.leads[1], [findings.frequencies[0], 245.0]);
    near(first.leads[0], [260.0, 2600.0]);
    near(first.leads[2], [2740.0, top]);
    near(advice.leads[1], [findings.frequencies[0], 2180.0]);
    assert_eq!(advice.leads[0], None);
    let stiff = |warning: &str| {
        warning.starts_with("“treble” leads up to 7.72 kHz")
            && warning.contains("break up somewhere above 6.09 kHz")
    };
    let doubts: Vec<&str> =
        findings.warnings.iter().map(|w| w.message.as_str()).filter(|m| m.contains("break up")).collect();
    assert!(doubts.len() == 1 && stiff(doubts[0]), "{doubts:?}");
    let apart = |all: &[AgreementAt]| {
        let bass = all.iter().find(|at| at.seat == "counter" && at.driver == "bass").expect("a seat");
        let bands = bass.bands.iter().filter(|band| band.heard == Heard::Apart);
        bands.map(|band| band.band.nominal).fold(0.0, f64::max)
    };
    let [now, then] = [&first.agreement, &advice.agreement].map(|all| apart(all));
    assert!(now <= 315.0 && (1000.0..3000.0).contains(&then), "{now} {then}");
    // The channels of the case have no delay: what is later is what is advised.
    let feeds = advice.feeds();
    for (driver, [now, then]) in
        first.agreement.iter().zip(&advice.agreement).map(|(a, b)| (&a.driver, [a, b]))
    {
        let feed = findings.parts.iter().position(|part| part == driver).expect("a part");
        let [now, then] = [now, then].map(|at| at.bands[0].from_intensity.expect("defined").later);
        let fed = feeds[feed].delay - feeds[0].delay;
        assert!((then - now - fed).abs() < 1e-9 && fed.abs() > 1e-4, "{driver}: {now} {then} {fed}");
    }
    let told = |sentence: &String| {
        sentence.contains("with the advised crossover, counter")
            && sentence.contains("20° below the panel's centre")
    };
    assert!(findings.summary.iter().any(told), "{:?}", findings.summary);
}

#[test]
fn measured_parts_change_the_advice_as_the_case_says() {
    let findings = blended("tea-room-measured.toml");
    let differences: Vec<[f64; 2]> =
        findings.measured.iter().map(|at| [at.louder, 1e3 * at.later.expect("a clear arrival")]).collect();
    assert_eq!(differences.len(), 2);
    for (found, expected) in differences.iter().zip([[0.4, 0.06], [-1.5, 0.03]]) {
        assert!((found[0] - expected[0]).abs() < 0.1 && (found[1] - expected[1]).abs() < 0.006, "{found:?}");
    }
    let first = &findings.surrounds[0];
    assert!((2.6..3.3).contains(&first.unevenness) && advised(first) < 1.0, "{}", first.unevenness);
    let crossover = first.advice.as_ref().expect("a wide range").crossover.crossovers[0];
    let apart = |sentence: &String| sentence.contains("with the advised crossover");
    assert!(!findings.summary.iter().any(apart), "nothing is worse: {:?}", findings.summary);
    assert!((1400.0..1800.0).contains(&crossover.corner()) && crossover.gain_db > -1.0, "{crossover:?}");
}
