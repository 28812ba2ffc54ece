//! Masses and hangs at ports of their own.

use super::*;
use proptest::prelude::*;

fn spring(stiffness: f64, loss_factor: f64) -> Passive {
    Passive::Spring { stiffness, loss_factor }
}

fn driven(e: &Exciter, passive: &[([f64; 2], Passive)]) -> Motion {
    let ports = PLATE.loaded_ports(std::slice::from_ref(e), passive, 6e3, 20e3);
    alone(&sweep(20.0, 4e3, 60), e, &ports)
}

/// A mass beside the coil is the same as a heavier coil.
#[test]
fn a_mass_under_the_foot_is_part_of_the_coil() {
    let e = Exciter { foot_diameter: 0.0, ..exciter([0.17, 0.13]) };
    let heavier = Exciter { moving_mass: e.moving_mass + 20e-3, ..e.clone() };
    let beside = driven(&e, &[(e.position, Passive::Mass(20e-3))]);
    let within = driven(&heavier, &[]);
    let (a, b) = (&beside.exciters[0].foot_velocity, &within.exciters[0].foot_velocity);
    assert!(deviation(a, b) < 1e-12);
    assert!(deviation(&driven(&e, &[]).exciters[0].foot_velocity, b) > 0.1, "the mass matters");
}

/// A braced magnet of a slack-less suspension is a hang under the foot.
#[test]
fn a_hang_under_the_foot_is_a_braced_suspension() {
    let braced = Exciter { mount: crate::scene::Mount::Braced, foot_diameter: 0.0, ..exciter([0.17, 0.13]) };
    let slack = Exciter { suspension_stiffness: 0.0, ..braced.clone() };
    let (k, eta) = (braced.suspension_stiffness, braced.suspension_loss_factor);
    let hung = driven(&slack, &[(braced.position, spring(k, eta))]);
    let own = driven(&braced, &[]);
    assert!(deviation(&hung.exciters[0].foot_velocity, &own.exciters[0].foot_velocity) < 1e-12);
    for (outside, inside) in hung.balance.supports.iter().zip(&own.balance.suspension) {
        approx::assert_relative_eq!(outside, inside, max_relative = 1e-10);
    }
}

#[test]
fn parts_without_mass_or_stiffness_change_nothing() {
    let e = exciter([0.17, 0.13]);
    let nothing = driven(&e, &[([0.3, 0.2], Passive::Mass(0.0)), ([0.1, 0.3], spring(0.0, 0.5))]);
    assert!(deviation(&nothing.modal_velocity, &driven(&e, &[]).modal_velocity) < 1e-13);
}

/// A rigid panel on a spring, driven by a braced exciter: `Z = R + jωL + Bl² / (jω(M + m_c) + (S + k)/jω)`.
#[test]
fn a_rigid_panel_on_a_hang_is_one_mass_on_two_springs() {
    let e = Exciter { mount: crate::scene::Mount::Braced, ..exciter([0.1, 0.1]) };
    let ports = rigid(0.35, 3).carrying(vec![spring(3e4, 0.2), Passive::Mass(0.15)]);
    let f = sweep(5.0, 5e3, 60);
    let motion = alone(&f, &e, &ports);
    for (f, z) in f.iter().zip(&motion.channels[0].impedance) {
        let jw = Complex64::new(0.0, 2.0 * PI * f);
        let springs =
            Complex64::new(e.suspension_stiffness, e.suspension_stiffness * e.suspension_loss_factor)
                + Complex64::new(3e4, 0.2 * 3e4);
        let mechanical = jw * (0.35 + 0.15 + e.moving_mass) + springs / jw;
        let expected = e.coil_resistance + jw * e.coil_inductance + e.force_factor.powi(2) / mechanical;
        assert!((z - expected).norm() < 1e-11 * expected.norm(), "{z} at {f} Hz, not {expected}");
    }
}

/// The panel stands still at a hang of endless stiffness, so a second hang in the same place changes nothing.
#[test]
fn a_stiff_hang_pins_the_panel() {
    let (e, place) = (exciter([0.17, 0.13]), [0.31, 0.22]);
    let pinned = driven(&e, &[(place, spring(1e12, 0.0))]);
    let stiffer = driven(&e, &[(place, spring(1e10, 0.0))]);
    let twice = driven(&e, &[(place, spring(1e12, 0.1)), (place, spring(1e12, 0.0))]);
    assert!(deviation(&stiffer.modal_velocity, &pinned.modal_velocity) < 1e-4);
    assert!(deviation(&twice.modal_velocity, &pinned.modal_velocity) < 1e-6);
    assert!(deviation(&driven(&e, &[]).modal_velocity, &pinned.modal_velocity) > 0.1, "the pin matters");
}

/// Force there, velocity here, with a mass and a hang between: the transfer impedance is the same both ways.
#[test]
fn reciprocity_holds_with_masses_and_hangs() {
    let pair = [exciter([0.11, 0.09]), Exciter { foot_diameter: 40e-3, ..exciter([0.37, 0.31]) }];
    let parts = [
        ([0.3, 0.2], Passive::Mass(0.2)),
        ([0.2, 0.35], spring(1e6, 0.3)),
        ([0.05, 0.05], spring(1e12, 0.1)),
    ];
    let ports = PLATE.loaded_ports(&pair, &parts, 6e3, 20e3);
    let f = sweep(20.0, 4e3, 80);
    let channels = |driven: usize| {
        [0, 1].map(|c| Channel { gain: f64::from(u8::from(c == driven)), ..channel(Wiring::Parallel, &[c]) })
    };
    let there = solve(&f, &pair, &channels(0), &ports);
    let back = solve(&f, &pair, &channels(1), &ports);
    // Short-circuit transfer admittances.
    assert!(deviation(&there.exciters[1].current, &back.exciters[0].current) < 1e-9);
}

fn any_part() -> impl Strategy<Value = ([f64; 2], Passive)> {
    let place = [0.0..=1.0, 0.0..=1.0].prop_map(|[x, y]| [x * PLATE.sides[0], y * PLATE.sides[1]]);
    let amount = prop_oneof![Just(0.0), (-6.0..12.0).prop_map(|x: f64| 10f64.powf(x))];
    (place, any::<bool>(), amount, 0.0..1.0).prop_map(|(place, mass, amount, eta)| {
        (place, if mass { Passive::Mass(amount.min(1e4)) } else { spring(amount, eta) })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn every_watt_is_accounted_for_with_masses_and_hangs(parts in prop::collection::vec(any_part(), 1..4)) {
        let e = exciter([0.17, 0.13]);
        let ports = PLATE.loaded_ports(std::slice::from_ref(&e), &parts, 3e3, 6e3);
        let motion = alone(&sweep(5.0, 20e3, 40), &e, &ports);
        prop_assert!(motion.modal_velocity.iter().all(|v| v.is_finite()));
        let b = &motion.balance;
        for (i, f) in motion.frequencies.iter().enumerate() {
            let lost = b.coil_heat[i] + b.suspension[i] + b.structure[i] + b.supports[i];
            prop_assert!(b.supports[i] >= 0.0);
            prop_assert!((b.electrical[i] - lost).abs() <= 1e-8 * lost, "{} W in, {lost} W lost at {f} Hz", b.electrical[i]);
        }
    }
}
