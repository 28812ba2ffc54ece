//! Series, parallel, polarity, delay, superposition.

use super::*;

/// Two equal exciters at mirror places of the plate, which therefore move alike.
fn twins() -> ([Exciter; 2], PanelPorts) {
    let [a, b] = PLATE.sides;
    let pair = [exciter([0.3 * a, 0.4 * b]), exciter([0.7 * a, 0.4 * b])];
    let ports = PLATE.ports(&pair, 12e3, 40e3);
    (pair, ports)
}

/// Two different exciters at unrelated places.
fn strangers() -> ([Exciter; 2], PanelPorts) {
    let [a, b] = PLATE.sides;
    let mut pair = [exciter([0.31 * a, 0.43 * b]), exciter([0.64 * a, 0.22 * b])];
    pair[1].force_factor = 3.7;
    pair[1].magnet_mass = 0.06;
    let ports = PLATE.ports(&pair, 12e3, 40e3);
    (pair, ports)
}

#[test]
fn series_of_twins_is_four_times_parallel() {
    let (pair, ports) = twins();
    let f = sweep(30.0, 10e3, 50);
    let series = solve(&f, &pair, &[channel(Wiring::Series, &[0, 1])], &ports);
    let parallel = solve(&f, &pair, &[channel(Wiring::Parallel, &[0, 1])], &ports);
    let four_times: Vec<_> = parallel.channels[0].impedance.iter().map(|z| 4.0 * z).collect();
    assert!(deviation(&series.channels[0].impedance, &four_times) < 1e-10);
    let half: Vec<_> = parallel.exciters[0].force.iter().map(|f| 0.5 * f).collect();
    assert!(deviation(&series.exciters[0].force, &half) < 1e-10, "each of the twins gets half the voltage");
}

#[test]
fn series_shares_the_current_and_parallel_the_voltage() {
    let (pair, ports) = strangers();
    let f = sweep(30.0, 10e3, 50);
    let series = solve(&f, &pair, &[channel(Wiring::Series, &[0, 1])], &ports);
    assert_eq!(series.exciters[0].current, series.exciters[1].current);
    assert_eq!(series.exciters[0].current, series.channels[0].current);
    let parallel = solve(&f, &pair, &[channel(Wiring::Parallel, &[0, 1])], &ports);
    let [a, b] = [0, 1].map(|e| &parallel.exciters[e].current);
    let sum: Vec<_> = a.iter().zip(b).map(|(a, b)| a + b).collect();
    assert!(deviation(&sum, &parallel.channels[0].current) < 1e-12);
    for motion in [&series, &parallel] {
        for (i, z) in motion.channels[0].impedance.iter().enumerate() {
            assert!((z * motion.channels[0].current[i] - 2.0).norm() < 1e-10, "Ohm's law at the terminals");
        }
    }
}

#[test]
fn a_source_resistance_acts_as_a_series_resistor() {
    let (pair, ports) = strangers();
    let f = sweep(30.0, 10e3, 50);
    for wiring in [Wiring::Series, Wiring::Parallel] {
        let bare = channel(wiring, &[0, 1]);
        let behind = Channel { source_resistance: 1.5, ..bare.clone() };
        let a = solve(&f, &pair, &[bare], &ports);
        let b = solve(&f, &pair, &[behind], &ports);
        assert!(deviation(&a.channels[0].impedance, &b.channels[0].impedance) < 1e-10);
        let expected: Vec<_> = a.channels[0].impedance.iter().map(|z| 2.0 / (z + 1.5)).collect();
        assert!(deviation(&b.channels[0].current, &expected) < 1e-10);
    }
}

#[test]
fn channels_superpose() {
    let (pair, ports) = strangers();
    let f = sweep(30.0, 10e3, 50);
    let gains = |g: [f64; 2]| {
        let of = |e: usize| Channel {
            gain: g[e],
            delay: 2e-4 * e as f64,
            source_resistance: 0.2,
            ..channel(Wiring::Parallel, &[e])
        };
        solve(&f, &pair, &[of(0), of(1)], &ports)
    };
    let (both, first, second) = (gains([0.7, -1.6]), gains([0.7, 0.0]), gains([0.0, -1.6]));
    let sum = &first.modal_velocity + &second.modal_velocity;
    assert!(deviation(&both.modal_velocity, &sum) < 1e-12);
    // Each exciter feels the other through the panel: it moves and carries current with its own channel silent.
    assert!(second.exciters[0].current.iter().all(|i| i.norm() > 0.0));
    // The impedance is the bridge's: it does not depend on what the other channel plays.
    assert_eq!(both.channels[1].impedance, second.channels[1].impedance);
    assert_eq!(both.channels[0].impedance, second.channels[0].impedance);
}

#[test]
fn swapped_leads_and_negative_gain_are_the_same_motion() {
    let (pair, ports) = strangers();
    let f = sweep(30.0, 10e3, 50);
    let negative = Channel { gain: -1.0, ..channel(Wiring::Series, &[0, 1]) };
    let by_gain = solve(&f, &pair, &[negative], &ports);
    let swapped = pair.clone().map(|e| Exciter { reversed: true, ..e });
    let by_leads = solve(&f, &swapped, &[channel(Wiring::Series, &[0, 1])], &ports);
    assert!(deviation(&by_gain.modal_velocity, &by_leads.modal_velocity) < 1e-13);
    let plain = solve(&f, &pair, &[channel(Wiring::Series, &[0, 1])], &ports);
    let opposite = -&plain.modal_velocity;
    assert!(deviation(&by_gain.modal_velocity, &opposite) < 1e-13);
    assert!(deviation(&by_leads.channels[0].current, &plain.channels[0].current) < 1e-13);
}

#[test]
fn one_swapped_twin_cannot_move_the_symmetric_modes() {
    let (mut pair, ports) = twins();
    pair[1].reversed = true;
    let motion = solve(&sweep(30.0, 10e3, 50), &pair, &[channel(Wiring::Parallel, &[0, 1])], &ports);
    let symmetric: Vec<usize> =
        PLATE.orders(12e3).iter().enumerate().filter(|(_, o)| o.0 % 2 == 1).map(|(i, _)| i).collect();
    let largest = motion.modal_velocity.iter().map(|v| v.norm()).fold(0.0, f64::max);
    for column in symmetric {
        assert!(motion.modal_velocity.column(column).iter().all(|v| v.norm() < 1e-12 * largest));
    }
}

#[test]
fn a_delay_is_a_phase() {
    let (pair, ports) = strangers();
    let (f, delay) = (sweep(30.0, 10e3, 50), 0.73e-3);
    let plain = solve(&f, &pair, &[channel(Wiring::Series, &[0, 1])], &ports);
    let late = solve(&f, &pair, &[Channel { delay, ..channel(Wiring::Series, &[0, 1]) }], &ports);
    for (i, f) in f.iter().enumerate() {
        let turn = Complex64::from_polar(1.0, -2.0 * PI * f * delay);
        let expected: Vec<_> = plain.modal_velocity.row(i).iter().map(|v| v * turn).collect();
        assert!(deviation(late.modal_velocity.row(i), &expected) < 1e-12);
    }
}
