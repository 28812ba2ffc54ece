//! Measured responses against closed forms.

use super::*;
use crate::coupling::blend::Pressure;
use crate::scene::MeasuredPart;
use ndarray::Array2;

const FLIGHT: f64 = 6.3e-3;

fn grid(low: f64, high: f64, count: i32) -> Vec<f64> {
    (0..count).map(|i| low * (high / low).powf(f64::from(i) / f64::from(count - 1))).collect()
}

/// A resonance, so many decibels and seconds off, after its flight.
fn response(f: f64, decibels: f64, late: f64) -> Complex64 {
    let p = Complex64::new(1.0 - (700.0 / f).powi(2), -700.0 / f / 1.3);
    10f64.powf(decibels / 20.0) / p * Complex64::cis(-TAU * f * (FLIGHT + late))
}

fn part(frequencies: &[f64]) -> Part {
    let far = Array2::zeros((frequencies.len(), 1));
    let seat = |_| frequencies.iter().map(|&f| response(f, 0.0, 0.0)).collect();
    Part {
        name: "panel".into(),
        pressure: Pressure { seats: (0..2).map(seat).collect(), horizontal: far.clone(), vertical: far },
        flight: vec![FLIGHT; 2],
        strain: vec![],
    }
}

fn measured(frequencies: Vec<f64>, decibels: f64, late: f64) -> Measured {
    let pressure = frequencies.iter().map(|&f| response(f, decibels, late)).collect();
    Measured { source: MeasuredPart::Panel, seat: 1, file: "panel.txt".into(), frequencies, pressure }
}

#[test]
fn a_measured_response_takes_the_place_of_the_computed_one_and_its_difference_is_told() {
    let f = grid(300.0, 6000.0, 90);
    for (decibels, late) in [(0.0, 0.0), (4.0, 1.25e-3), (-7.0, -0.4e-3)] {
        let mut part = part(&f);
        let found =
            put_in(&measured(grid(200.0, 9000.0, 700), decibels, late), (&mut part, "panel"), "sofa", &f);
        for (i, &f) in f.iter().enumerate() {
            let there = part.pressure.seats[1][i] / response(f, decibels, late);
            assert!((there - 1.0).norm() < 2e-3, "{f} Hz: {there}");
            assert_eq!(part.pressure.seats[0][i], response(f, 0.0, 0.0));
        }
        assert!((found.louder - decibels).abs() < 0.01, "{found:?}");
        assert!(found.later.is_some_and(|later| (later - late).abs() < 1e-5), "{found:?}");
        assert_eq!((found.coarse, found.seat.as_str()), (None, "sofa"));
    }
}

/// At its own frequencies a response is what it was, however far the phase turns between them.
#[test]
fn its_own_frequencies_are_exact_and_what_lies_between_is_straight() {
    let known = [500.0, 1000.0, 2000.0];
    let values = [Complex64::new(0.1, 0.0), Complex64::new(0.0, -1.0), Complex64::new(-0.2, 0.1)];
    for (found, value) in between(&known, &values, &known).iter().zip(values) {
        assert!((found - value).norm() < 1e-14, "{found} {value}");
    }
    // Half an octave up the levels' and the phases' middle: −20 dB and 0 dB, 0 and −90°.
    let [middle] = between(&known, &values, &[500.0 * 2f64.sqrt()])[..] else { panic!("one value") };
    let expected = Complex64::from_polar(10f64.powf(-0.5), -0.25 * PI);
    assert!((middle - expected).norm() < 1e-12, "{middle}");
}

#[test]
fn a_phase_that_cannot_be_followed_is_told_where_it_is_used() {
    let f = grid(300.0, 6000.0, 90);
    let wild = measured(grid(250.0, 8000.0, 8), 0.0, 1.9e-3);
    let found = put_in(&wild, (&mut part(&f), "panel"), "sofa", &f);
    assert!(found.coarse.is_some_and(|from| (250.0..6000.0).contains(&from)), "{found:?}");
    let only_low = grid(300.0, 400.0, 9);
    let found = put_in(
        &measured(grid(250.0, 8000.0, 60), 0.0, 1.9e-3),
        (&mut part(&only_low), "panel"),
        "sofa",
        &only_low,
    );
    assert_eq!(found.coarse, None, "what lies above is not used");
}

#[test]
fn phases_that_agree_on_nothing_tell_no_lag() {
    let f = grid(300.0, 6000.0, 90);
    let ones = vec![Complex64::ONE; f.len()];
    // Quadratic residues: phases without a pattern.
    let noise: Vec<Complex64> =
        (0..f.len()).map(|i| Complex64::cis(TAU * ((i * i * 37 % 101) as f64) / 101.0)).collect();
    assert_eq!(lag(&f, &ones, &noise), None);
    assert_eq!(lag(&f, &ones, &ones), Some(0.0));
}
