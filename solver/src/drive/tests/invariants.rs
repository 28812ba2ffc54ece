//! Reciprocity, power balance, and the same bits from any number of threads.

use super::*;
use crate::scene::Mount;
use proptest::prelude::*;

/// Velocity at `probe` per force at the exciter's foot, through the modal velocities of a solved motion.
fn transfer(drive: [f64; 2], probe: [f64; 2]) -> Vec<Complex64> {
    let e = exciter(drive);
    let motion = alone(&sweep(25.0, 10e3, 60), &e, &PLATE.ports(std::slice::from_ref(&e), 12e3, 12e3));
    let shape = PLATE.averaged(&PLATE.orders(12e3), &[foot(&exciter(probe))]);
    let velocity = |i: usize| -> Complex64 {
        motion.modal_velocity.row(i).iter().zip(shape.row(0)).map(|(q, p)| q * p).sum()
    };
    motion.exciters[0].force.iter().enumerate().map(|(i, f)| velocity(i) / f).collect()
}

#[test]
fn drive_and_probe_can_be_swapped() {
    let (a, b) = ([0.11, 0.09], [0.37, 0.31]);
    for (there, back) in transfer(a, b).iter().zip(transfer(b, a)) {
        assert!((there - back).norm() < 1e-10 * there.norm(), "{there} against {back}");
    }
}

/// The same through coils: the current that voltage on one drives through the other does not depend on which is which.
#[test]
fn two_coils_on_a_panel_are_reciprocal() {
    let mut pair = [exciter([0.11, 0.09]), exciter([0.37, 0.31])];
    pair[1] = Exciter { force_factor: 4.1, coil_resistance: 6.2, mount: Mount::Braced, ..pair[1].clone() };
    let ports = PLATE.ports(&pair, 12e3, 40e3);
    let f = sweep(25.0, 10e3, 60);
    let current = |driven: usize| {
        let of =
            |e: usize| Channel { gain: f64::from(u8::from(e == driven)), ..channel(Wiring::Parallel, &[e]) };
        solve(&f, &pair, &[of(0), of(1)], &ports).exciters[1 - driven].current.clone()
    };
    for (there, back) in current(0).iter().zip(current(1)) {
        assert!((there - back).norm() < 1e-10 * there.norm(), "{there} against {back}");
    }
}

#[test]
fn foot_velocity_is_the_panels_own() {
    let e = exciter([0.11, 0.09]);
    let ports = PLATE.ports(std::slice::from_ref(&e), 12e3, 12e3);
    let motion = alone(&sweep(25.0, 10e3, 60), &e, &ports);
    let shape = PLATE.averaged(&PLATE.orders(12e3), &[foot(&e)]);
    for (i, v) in motion.exciters[0].foot_velocity.iter().enumerate() {
        let sum: Complex64 = motion.modal_velocity.row(i).iter().zip(shape.row(0)).map(|(q, p)| q * p).sum();
        assert!((sum - v).norm() < 1e-10 * v.norm());
    }
}

/// A plausible or implausible part, each quantity over decades.
fn any_exciter() -> impl Strategy<Value = Exciter> {
    let ratio = |low: f64, high: f64| (low.ln()..high.ln()).prop_map(f64::exp);
    let electrical = (ratio(0.5, 30.0), 0.0..2e-3, ratio(0.1, 20.0), any::<bool>());
    let mechanical = (0.0..20e-3, 0.0..40e-3, 0.0..2e5, 0.0..1.0, ratio(1e-3, 2.0), any::<bool>());
    (electrical, mechanical, [0.1..0.9, 0.1..0.9]).prop_map(|(e, m, [x, y])| Exciter {
        coil_resistance: e.0,
        coil_inductance: e.1,
        force_factor: e.2,
        reversed: e.3,
        moving_mass: m.0,
        foot_diameter: m.1,
        suspension_stiffness: m.2,
        suspension_loss_factor: m.3,
        magnet_mass: m.4,
        mount: if m.5 { Mount::Braced } else { Mount::Floating },
        ..exciter([x * PLATE.sides[0], y * PLATE.sides[1]])
    })
}

/// Three exciters on two channels, each wired either way.
fn any_channels() -> impl Strategy<Value = [Channel; 2]> {
    let one = || (any::<bool>(), -2.0..2.0, 0.0..1e-2, 0.0..5.0);
    (one(), one()).prop_map(|(a, b)| {
        let make = |c: (bool, f64, f64, f64), members: &[usize]| Channel {
            gain: c.1,
            delay: c.2,
            source_resistance: c.3,
            ..channel(if c.0 { Wiring::Series } else { Wiring::Parallel }, members)
        };
        [make(a, &[0, 2]), make(b, &[1])]
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_watt_is_accounted_for(exciters in [any_exciter(), any_exciter(), any_exciter()], channels in any_channels()) {
        let motion = solve(&sweep(5.0, 20e3, 40), &exciters, &channels, &PLATE.ports(&exciters, 3e3, 6e3));
        let b = &motion.balance;
        for (i, f) in motion.frequencies.iter().enumerate() {
            let lost = b.coil_heat[i] + b.suspension[i] + b.structure[i];
            prop_assert!(b.structure[i] >= 0.0 && b.suspension[i] >= 0.0);
            prop_assert!((b.electrical[i] - lost).abs() <= 1e-9 * lost, "{} W in, {lost} W lost at {f} Hz", b.electrical[i]);
            let by_exciter: f64 = motion.exciters.iter().map(|e| e.power[i]).sum();
            prop_assert!((by_exciter - lost).abs() <= 1e-9 * lost);
        }
    }
}

#[test]
fn any_number_of_threads_gives_the_same_bits() {
    let trio = [exciter([0.11, 0.09]), exciter([0.37, 0.31]), exciter([0.2, 0.2])];
    let ports = PLATE.ports(&trio, 12e3, 40e3);
    let f = sweep(25.0, 10e3, 101);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a small pool");
        pool.install(|| {
            solve(&f, &trio, &[channel(Wiring::Series, &[2, 0]), channel(Wiring::Parallel, &[1])], &ports)
        })
    };
    let (one, two, five) = (on(1), on(2), on(5));
    for other in [two, five] {
        assert_eq!(one.modal_velocity, other.modal_velocity);
        assert_eq!(one.channels[0].impedance, other.channels[0].impedance);
        assert_eq!(one.exciters[1].excursion, other.exciters[1].excursion);
        assert_eq!(one.balance.structure, other.balance.structure);
    }
}
