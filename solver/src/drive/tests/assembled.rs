//! Natural frequencies of the panel with everything on it.

use super::*;
use crate::drive::{NaturalModes, natural_modes};
use crate::scene::Mount;
use proptest::prelude::*;

fn of(exciters: &[Exciter], ports: &PanelPorts, count: usize) -> NaturalModes {
    natural_modes(exciters, ports, count).expect("converges")
}

fn spring(stiffness: f64, loss_factor: f64) -> Passive {
    Passive::Spring { stiffness, loss_factor }
}

#[test]
fn nothing_on_the_panel_leaves_its_modes() {
    let found = of(&[], &PLATE.loaded_ports(&[], &[], 3e3, 6e3), 20);
    for (frequency, order) in found.frequencies.iter().zip(PLATE.orders(3e3)) {
        approx::assert_relative_eq!(*frequency, PLATE.frequency(order.0, order.1), max_relative = 1e-10);
    }
    found.loss_factors.iter().for_each(|eta| approx::assert_relative_eq!(*eta, 0.02, max_relative = 1e-9));
}

/// A point mass of a tenth of the plate in the middle of a square: λ = 16.59071282 (C. L. Amba-Rao, J. Appl. Mech. 31 (1964) 550, the
/// exact single series with 2000 terms).
#[test]
fn a_point_mass_lowers_the_first_mode_as_published() {
    let square = SupportedPlate { sides: [0.5, 0.5], stiffness: 20.0, surface_mass: 2.0, loss_factor: 0.0 };
    let part = ([0.25, 0.25], Passive::Mass(0.1 * 2.0 * 0.25));
    let found = of(&[], &square.loaded_ports(&[], &[part], 6e3, 60e3), 3);
    let lambda = 2.0 * PI * found.frequencies[0] * 0.25 * (2.0_f64 / 20.0).sqrt();
    approx::assert_relative_eq!(lambda, 16.59071282, max_relative = 2e-5);
}

/// Two masses on a spring, one of them hung: closed form of the 2 × 2 problem.
#[test]
fn a_rigid_panel_with_a_floating_magnet_is_two_masses() {
    let e = exciter([0.1, 0.1]);
    let found = of(std::slice::from_ref(&e), &rigid(0.35, 2).carrying(vec![spring(2e3, 0.3)]), 5);
    let (front, back, k, hang) = (0.35 + e.moving_mass, e.magnet_mass, e.suspension_stiffness, 2e3);
    // front·back λ² − (front k + back (k + hang)) λ + k hang = 0
    let half = 0.5 * (front * k + back * (k + hang)) / (front * back);
    let root = (half * half - k * hang / (front * back)).sqrt();
    assert_eq!(found.frequencies.len(), 2);
    for (frequency, square) in found.frequencies.iter().zip([half - root, half + root]) {
        approx::assert_relative_eq!(*frequency, square.sqrt() / (2.0 * PI), max_relative = 1e-9);
    }
    let loss = &found.loss_factors;
    assert!(loss.iter().all(|eta| (0.12..0.3).contains(eta)), "between those of the two springs: {loss:?}");
}

#[test]
fn a_floating_panel_keeps_its_rigid_motion() {
    let e = exciter([0.1, 0.1]);
    let found = of(std::slice::from_ref(&e), &rigid(0.35, 1), 5);
    let (front, back) = (0.35 + e.moving_mass, e.magnet_mass);
    assert_eq!(found.frequencies[0], 0.0);
    let expected = (e.suspension_stiffness * (front + back) / (front * back)).sqrt() / (2.0 * PI);
    approx::assert_relative_eq!(found.frequencies[1], expected, max_relative = 1e-9);
    let braced = Exciter { mount: Mount::Braced, ..e };
    let held = of(std::slice::from_ref(&braced), &rigid(0.35, 1), 5);
    let expected = (braced.suspension_stiffness / front).sqrt() / (2.0 * PI);
    approx::assert_relative_eq!(held.frequencies[0], expected, max_relative = 1e-9);
}

/// The peaks of the mobility of a nearly lossless panel stand where the eigenproblem says: the two share no formula.
#[test]
fn mobility_peaks_at_the_natural_frequencies() {
    let plate = SupportedPlate { loss_factor: 1e-6, ..PLATE };
    let parts = [([0.3, 0.2], Passive::Mass(0.1)), ([0.2, 0.3], spring(2e5, 1e-6))];
    let e = Exciter { suspension_stiffness: 0.0, mount: Mount::Braced, ..exciter([0.11, 0.09]) };
    let ports = plate.loaded_ports(std::slice::from_ref(&e), &parts, 20e3, 60e3);
    let found = of(std::slice::from_ref(&e), &ports, 6);
    for f in found.frequencies {
        let mobility = |f: f64| {
            let motion = alone(&[f], &e, &ports);
            (motion.exciters[0].foot_velocity[0] / motion.exciters[0].current[0]).norm()
        };
        let beside = mobility(f * (1.0 - 1e-4)).max(mobility(f * (1.0 + 1e-4)));
        assert!(mobility(f) > 5.0 * beside, "{} at {f} Hz, {beside} beside", mobility(f));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Rayleigh: a mass lowers every frequency, a spring raises it, whatever their size, also two in one place.
    #[test]
    fn masses_lower_and_springs_raise(
        [x, y] in [0.0..=1.0, 0.0..=1.0],
        mass in prop_oneof![Just(0.0), (-6.0..4.0).prop_map(|e: f64| 10f64.powf(e))],
        stiffness in prop_oneof![Just(0.0), (-3.0..12.0).prop_map(|e: f64| 10f64.powf(e))],
    ) {
        let place = [x * PLATE.sides[0], y * PLATE.sides[1]];
        let with = |parts: &[Passive]| {
            let parts: Vec<_> = parts.iter().map(|part| (place, *part)).collect();
            of(&[], &PLATE.loaded_ports(&[], &parts, 3e3, 6e3), 12).frequencies
        };
        let bare = with(&[]);
        let heavy = with(&[Passive::Mass(mass), Passive::Mass(mass)]);
        let stiff = with(&[spring(stiffness, 0.1), spring(stiffness, 0.1)]);
        for ((f, heavy), stiff) in bare.iter().zip(&heavy).zip(&stiff) {
            prop_assert!(*heavy <= f * (1.0 + 1e-7) && *stiff >= f * (1.0 - 1e-7), "{heavy}, {f}, {stiff} Hz");
            prop_assert!(heavy.is_finite() && stiff.is_finite());
        }
    }
}
