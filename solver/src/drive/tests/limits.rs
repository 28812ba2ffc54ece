//! Limits with closed forms.

use super::*;
use crate::motor::Transducer;
use crate::scene::Mount;

const J: Complex64 = Complex64::I;

#[test]
fn a_braced_exciter_on_an_immovable_panel_is_its_blocked_coil() {
    let e = Exciter { mount: Mount::Braced, ..exciter([0.1, 0.1]) };
    let f = sweep(20.0, 20e3, 40);
    let motion = alone(&f, &e, &rigid(1e12, 1));
    for (f, z) in f.iter().zip(&motion.channels[0].impedance) {
        let expected = Complex64::new(e.coil_resistance, 2.0 * PI * f * e.coil_inductance);
        assert!((z - expected).norm() < 1e-9 * expected.norm(), "{z} at {f} Hz, not {expected}");
    }
}

/// Two masses on a spring, pushed apart by Bl i: the stroke moves the reduced mass, `Z = R + jωL + Bl² / (jωμ + S)`.
#[test]
fn a_light_free_panel_is_two_masses_on_a_spring() {
    let (e, panel) = (exciter([0.1, 0.1]), 0.35);
    let f = sweep(20.0, 20e3, 200);
    let motion = alone(&f, &e, &rigid(panel, 1));
    let (front, back) = (panel + e.moving_mass, e.magnet_mass);
    for (i, f) in f.iter().enumerate() {
        let omega = 2.0 * PI * f;
        let spring = e.suspension_stiffness * (1.0 + J * e.suspension_loss_factor) / (J * omega);
        let stroke = J * omega * (front * back / (front + back)) + spring;
        let blocked = e.coil_resistance + J * omega * e.coil_inductance;
        let expected = blocked + e.force_factor.powi(2) / stroke;
        let z = motion.channels[0].impedance[i];
        assert!((z - expected).norm() < 1e-11 * expected.norm(), "{z} at {f} Hz, not {expected}");
        // Nothing outside holds them: momenta cancel.
        let one = &motion.exciters[0];
        let momentum = front * one.foot_velocity[i] + back * one.magnet_velocity[i];
        assert!(momentum.norm() < 1e-11 * back * one.magnet_velocity[i].norm());
    }
}

/// The two-port with u eliminated, as written in the motor's text: T = a Bl, Z = jω m_c + a S.
#[test]
fn force_and_voltage_follow_the_eliminated_two_port() {
    let mut e = exciter([0.17, 0.13]);
    let f = sweep(20.0, 10e3, 60);
    for reversed in [false, true] {
        e.reversed = reversed;
        let motion = alone(&f, &e, &PLATE.ports(std::slice::from_ref(&e), 12e3, 40e3));
        for (i, f) in f.iter().enumerate() {
            let t = Transducer::new(&e, 2.0 * PI * f);
            let one = &motion.exciters[0];
            let (current, v) = (one.current[i], one.foot_velocity[i]);
            let magnet = t.magnet.expect("floating");
            let a = magnet / (magnet + t.suspension);
            let force = a * t.force_factor * current - (t.moving_mass + a * t.suspension) * v;
            assert!((force - one.force[i]).norm() < 1e-10 * force.norm());
            let voltage = (t.coil + t.force_factor.powi(2) / (magnet + t.suspension)) * current
                + a * t.force_factor * v;
            assert!((voltage - 2.0).norm() < 1e-10);
        }
    }
}

#[test]
fn below_its_resonance_a_floating_magnet_pushes_with_its_inertia_only() {
    let e = Exciter { suspension_loss_factor: 0.0, ..exciter([0.1, 0.1]) };
    let motion = alone(&[1.0, 2.0], &e, &rigid(1e9, 1));
    let ratio = |i: usize| motion.exciters[0].force[i].norm() / motion.exciters[0].current[i].norm();
    let expected = |f: f64| e.force_factor * (2.0 * PI * f).powi(2) * e.magnet_mass / e.suspension_stiffness;
    approx::assert_relative_eq!(ratio(0), expected(1.0), max_relative = 1e-3);
    approx::assert_relative_eq!(ratio(1), expected(2.0), max_relative = 5e-3);
}

#[test]
fn excursion_is_the_peak_of_the_stroke() {
    let e = exciter([0.1, 0.1]);
    let motion = alone(&[80.0], &e, &rigid(0.4, 1));
    let one = &motion.exciters[0];
    // Largest value of the stroke over one period of the time signal √2 Re(w exp(jωt) / jω).
    let stroke = (one.foot_velocity[0] - one.magnet_velocity[0]) / (J * 2.0 * PI * 80.0);
    let at = |k: usize| 2f64.sqrt() * (stroke * Complex64::from_polar(1.0, 2.0 * PI * k as f64 / 3600.0)).re;
    let peak = (0..3600).map(at).fold(0.0, f64::max);
    approx::assert_relative_eq!(one.excursion[0], peak, max_relative = 1e-6);
}
