//! Zeros that a scene may hold.

use super::*;
use crate::scene::Mount;

fn all_finite(motion: &Motion) -> bool {
    let one = &motion.exciters[0];
    let curves =
        [&one.current, &one.force, &one.foot_velocity, &one.magnet_velocity, &motion.channels[0].impedance];
    curves.iter().all(|c| c.iter().all(|x| x.is_finite()))
        && motion.modal_velocity.iter().all(|x| x.is_finite())
}

fn with(change: impl FnOnce(&mut Exciter)) -> Motion {
    let mut e = exciter([0.17, 0.13]);
    change(&mut e);
    let ports = PLATE.ports(std::slice::from_ref(&e), 12e3, 40e3);
    alone(&sweep(20.0, 10e3, 50), &e, &ports)
}

#[test]
fn zero_parts_divide_nothing() {
    assert!(all_finite(&with(|e| e.coil_inductance = 0.0)));
    assert!(all_finite(&with(|e| e.moving_mass = 0.0)));
    assert!(all_finite(&with(|e| e.foot_diameter = 0.0)));
    assert!(all_finite(&with(|e| e.suspension_loss_factor = 0.0)));
    assert!(all_finite(&with(|e| e.coil_resistance = 0.0)));
    assert!(all_finite(&with(|e| (e.coil_resistance, e.coil_inductance) = (0.0, 0.0))));
    assert!(all_finite(&with(|e| (e.suspension_stiffness, e.mount) = (0.0, Mount::Braced))));
    assert!(all_finite(&with(|e| e.force_factor = 0.0)));
}

#[test]
fn without_a_suspension_the_coil_pushes_against_the_free_magnet() {
    let motion = with(|e| (e.suspension_stiffness, e.moving_mass) = (0.0, 0.0));
    assert!(all_finite(&motion));
    let one = &motion.exciters[0];
    for i in 0..motion.frequencies.len() {
        let push = 2.4 * one.current[i];
        assert!((one.force[i] - push).norm() < 1e-12 * push.norm(), "the whole force reaches the panel");
        let inertia = Complex64::I * 2.0 * PI * motion.frequencies[i] * 0.115 * one.magnet_velocity[i];
        assert!((inertia + push).norm() < 1e-12 * push.norm());
    }
}

#[test]
fn a_massless_magnet_on_a_spring_cannot_push() {
    let motion = with(|e| (e.magnet_mass, e.moving_mass) = (0.0, 0.0));
    assert!(all_finite(&motion));
    let one = &motion.exciters[0];
    assert!(one.force.iter().zip(&one.current).all(|(f, i)| f.norm() < 1e-12 * i.norm()));
}

#[test]
fn a_silent_channel_still_has_its_impedance() {
    let e = exciter([0.17, 0.13]);
    let ports = PLATE.ports(std::slice::from_ref(&e), 12e3, 40e3);
    let f = sweep(20.0, 10e3, 20);
    let silent = Channel { gain: 0.0, ..channel(Wiring::Parallel, &[0]) };
    let quiet = solve(&f, std::slice::from_ref(&e), &[silent], &ports);
    assert_eq!(quiet.channels[0].impedance, alone(&f, &e, &ports).channels[0].impedance);
    assert!(quiet.modal_velocity.iter().all(|v| v.norm() == 0.0));
}

/// The magnet's resonance without loss, hit to the last bit: jω m + S = 0, and the magnet's equation leaves Bl i = S v.
#[test]
fn the_lossless_resonance_of_the_magnet_is_harmless() {
    let mut e = Exciter { suspension_loss_factor: 0.0, magnet_mass: 0.25, ..exciter([0.17, 0.13]) };
    let omega = 2.0 * PI * 32.0;
    e.suspension_stiffness = 0.25 * omega * omega;
    let motion = alone(&[32.0], &e, &PLATE.ports(std::slice::from_ref(&e), 12e3, 40e3));
    assert!(all_finite(&motion));
    let one = &motion.exciters[0];
    let spring = Complex64::new(0.0, -e.suspension_stiffness / omega);
    let (push, hold) = (e.force_factor * one.current[0], spring * one.foot_velocity[0]);
    assert!((push - hold).norm() < 1e-9 * push.norm(), "{push} against {hold}");
}

#[test]
fn no_unique_answer_is_not_a_number_instead_of_a_panic() {
    let shorted =
        Exciter { coil_resistance: 0.0, coil_inductance: 0.0, mount: Mount::Braced, ..exciter([0.17, 0.13]) };
    // On a supported edge: the foot cannot move, and nothing limits the current.
    let on_the_edge = PanelPorts::new(PortData {
        frequencies: &[50.0],
        loss_factors: &[0.02],
        shapes: &Array2::zeros((1, 1)),
        residual: &Array2::zeros((1, 1)),
        residual_loss_factor: 0.02,
    });
    let motion = alone(&[40.0], &shorted, &on_the_edge);
    assert!(motion.exciters[0].current[0].is_nan() && motion.balance.electrical[0].is_nan());
    let lossless = SupportedPlate { loss_factor: 0.0, ..PLATE };
    let e = exciter([0.17, 0.13]);
    let exactly = lossless.frequency(1, 1);
    let motion = alone(&[exactly, 1.01 * exactly], &e, &lossless.ports(std::slice::from_ref(&e), 12e3, 12e3));
    assert!(motion.exciters[0].current[0].is_nan() && motion.exciters[0].current[1].is_finite());
}
