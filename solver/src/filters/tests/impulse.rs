//! Frequency and time.

use super::{digital, high_pass, low_pass};
use crate::filters::{Chain, ImpulseError, ImpulseRequest, Sampled, impulse_response};
use crate::scene::{Alignment, Filters};
use num_complex::Complex64;
use std::f64::consts::TAU;

const RATE: f64 = 48e3;

fn request() -> ImpulseRequest {
    ImpulseRequest { sample_rate: RATE, flight: 0.0, lead: 64, floor: 1e-24, longest: 1 << 16 }
}

fn chain() -> Chain {
    let band_pass = Filters {
        low_pass: low_pass(Alignment::LinkwitzRiley, 4, 3000.0).low_pass,
        made: digital(RATE),
        ..high_pass(Alignment::Butterworth, 3, 200.0)
    };
    Chain::new(&band_pass)
}

/// What the processor puts out for one sample.
fn recursion(chain: &Chain, length: usize) -> Vec<f64> {
    let mut output = vec![0.0; length];
    output[0] = 1.0;
    let processor = chain.biquads(RATE).expect("has a rate of its own");
    processor.biquads.iter().for_each(|biquad| output = biquad.run(&output));
    output
}

#[test]
fn biquads_have_the_impulse_response_of_their_recursion() {
    let chain = chain();
    let impulse = impulse_response(|f| chain.response(f), &request()).expect("dies away");
    assert_eq!((impulse.first, impulse.fraction), (-64, 0.0));
    let expected = recursion(&chain, impulse.samples.len());
    let late = [vec![0.0; 64], expected].concat();
    for (n, (found, expected)) in impulse.samples.iter().zip(&late).enumerate() {
        assert!((found - expected).abs() < 1e-12, "sample {n}: {found} {expected}");
    }
}

#[test]
fn there_and_back_is_the_same_to_twelve_digits() {
    let flight = 1000.37 / RATE;
    let whole = |f: f64| chain().response(f) * Complex64::from_polar(1.0, -TAU * f * 1000.0 / RATE);
    let impulse = impulse_response(whole, &ImpulseRequest { flight, ..request() }).expect("dies away");
    assert_eq!(impulse.first, 936);
    assert!((impulse.fraction - 0.37).abs() < 1e-9);
    let length = impulse.samples.len();
    for (k, found) in impulse.spectrum().iter().enumerate() {
        let f = RATE * k as f64 / length as f64;
        assert!((found - whole(f)).norm() < 1e-12, "at {f}");
    }
    for f in [31.7, 777.0, 12_345.6] {
        assert!((impulse.response(f) - whole(f)).norm() < 1e-11, "between the bins, at {f}");
    }
}

#[test]
fn a_fraction_of_a_sample_stays_in_the_samples() {
    // A steep low-pass, 3.25 samples late: its centroid in time is late by as much.
    let low = Chain::new(&Filters { made: digital(RATE), ..low_pass(Alignment::LinkwitzRiley, 8, 2000.0) });
    let late = low.clone().delayed(3.25 / RATE);
    let request = ImpulseRequest { floor: 1e-12, ..request() };
    let centroid = |chain: &Chain, flight: f64| {
        let request = ImpulseRequest { flight, ..request };
        let impulse = impulse_response(|f| chain.response(f), &request).expect("dies away");
        let moment: f64 = impulse.samples.iter().enumerate().map(|(n, x)| x * impulse.time(n)).sum();
        moment / impulse.samples.iter().sum::<f64>()
    };
    let shift = (centroid(&late, 3.25 / RATE) - centroid(&low, 0.0)) * RATE;
    assert!((shift - 3.25).abs() < 1e-6, "{shift}");
}

#[test]
fn a_step_settles_where_a_constant_would() {
    let low = Chain::new(&Filters { made: digital(RATE), ..low_pass(Alignment::Butterworth, 2, 500.0) });
    let impulse = impulse_response(|f| low.response(f), &request()).expect("dies away");
    let step = impulse.step();
    assert!(step[..64].iter().all(|x| x.abs() < 1e-10));
    assert!((step[step.len() - 1] - 1.0).abs() < 1e-10);
    // Overshoot exp(−πζ/√(1 − ζ²)) with ζ = 1/√2 is e^{−π}; sampling and warping change little at a hundredth of the rate.
    let most = step.iter().copied().fold(f64::MIN, f64::max);
    assert!((most - 1.0 - (-std::f64::consts::PI).exp()).abs() < 1e-3, "{most}");
}

#[test]
fn the_length_follows_the_decay_and_what_does_not_fit_is_refused() {
    let at = |corner: f64, request: ImpulseRequest| {
        let chain =
            Chain::new(&Filters { made: digital(RATE), ..high_pass(Alignment::Butterworth, 2, corner) });
        impulse_response(|f| chain.response(f), &request)
    };
    let [short, long] = [2000.0, 20.0].map(|corner| at(corner, request()).expect("dies away").samples.len());
    assert!(long >= 32 * short, "{short} {long}");
    let refused = at(20.0, ImpulseRequest { longest: 1024, ..request() });
    assert!(matches!(refused, Err(ImpulseError::Late { length: 1024, .. })), "{refused:?}");
    let too_late = at(2000.0, ImpulseRequest { flight: 200.0 / RATE, ..request() });
    assert!(too_late.is_err(), "what comes before the stated arrival goes round to the end");
    let nothing = impulse_response(|_| Complex64::ZERO, &request());
    assert_eq!(nothing, Err(ImpulseError::NoNumber));
    let early = impulse_response(|f| Complex64::from_polar(1.0, TAU * f * 50.0 / RATE), &request());
    assert!(matches!(early, Err(ImpulseError::Early { .. })), "{early:?}");
}

#[test]
fn samples_at_log_spaced_frequencies_stand_for_the_whole() {
    let flight = 2.0 / 343.0;
    let heard = |f: f64| {
        let filtered = Chain::new(&high_pass(Alignment::Butterworth, 2, 300.0)).response(f);
        filtered * Complex64::from_polar(1.0, -TAU * f * flight)
    };
    let frequencies: Vec<f64> = (0..=240).map(|i| 20.0 * 1000f64.powf(f64::from(i) / 240.0)).collect();
    let values: Vec<_> = frequencies.iter().map(|&f| heard(f)).collect();
    let sampled = Sampled::new(&frequencies, &values, flight);
    for f in [21.3, 333.3, 1234.5, 19_876.0] {
        assert!((sampled.response(f) - heard(f)).norm() < 1e-6 * heard(f).norm(), "at {f}");
    }
    assert!((sampled.response(frequencies[100]) - values[100]).norm() < 1e-12);
    assert_eq!((sampled.response(0.0), sampled.response(9.9)), (Complex64::ZERO, Complex64::ZERO));
    assert_eq!(sampled.response(25.3e3), Complex64::ZERO);
    assert_eq!(Sampled::new(&[], &[], 0.0).response(100.0), Complex64::ZERO);
    let request = ImpulseRequest { sample_rate: 96e3, flight, lead: 256, floor: 1e-6, longest: 1 << 16 };
    let impulse = impulse_response(|f| sampled.response(f), &request).expect("faded out below 48 kHz");
    assert_eq!(impulse.first, (flight * 96e3).floor() as i64 - 256);
    assert!(impulse.early < 1e-6 && impulse.late < 1e-6);
    let strongest = (0..impulse.samples.len())
        .max_by(|&a, &b| impulse.samples[a].abs().total_cmp(&impulse.samples[b].abs()));
    let arrival = impulse.time(strongest.expect("has samples"));
    assert!((arrival - flight).abs() < 1.0 / 96e3, "{arrival} {flight}");
}

#[test]
fn an_echo_in_the_last_eighth_makes_the_response_longer() {
    let echo = |f: f64| 1.0 + 0.1 * Complex64::from_polar(1.0, -TAU * f * 230.0 / RATE);
    let request = ImpulseRequest { lead: 0, floor: 1e-6, ..request() };
    let impulse = impulse_response(echo, &request).expect("ends");
    assert_eq!(impulse.samples.len(), 512, "230 lies in the last eighth of 256 samples, the shortest");
    assert!((impulse.samples[0] - 1.0).abs() < 1e-12 && (impulse.samples[230] - 0.1).abs() < 1e-12);
}
