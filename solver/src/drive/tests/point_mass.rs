//! The mass of coil and foot is the same as a mass in the plate.

use super::*;
use nalgebra::DMatrix;

/// Square plate with next to no loss, so that peaks stand at natural frequencies.
const SQUARE: SupportedPlate =
    SupportedPlate { sides: [0.5, 0.5], stiffness: 20.0, surface_mass: 2.0, loss_factor: 1e-7 };

/// λ = ω a² √(μ/D).
fn lambda(frequency: f64) -> f64 {
    2.0 * PI * frequency * 0.25 * (SQUARE.surface_mass / SQUARE.stiffness).sqrt()
}

/// A rider of `mass` in the middle, on a point, with nothing else mechanical.
fn rider(mass: f64) -> Exciter {
    Exciter { moving_mass: mass, foot_diameter: 0.0, suspension_stiffness: 0.0, ..exciter([0.25, 0.25]) }
}

/// λ of the highest peak of |v / Bl i| between two values of λ, by golden section.
fn peak(e: &Exciter, ports: &PanelPorts, between: [f64; 2]) -> f64 {
    let per_lambda = 1.0 / lambda(1.0);
    let mobility = |l: f64| {
        let motion = alone(&[l * per_lambda], e, ports);
        (motion.exciters[0].foot_velocity[0] / motion.exciters[0].current[0]).norm()
    };
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    let [mut low, mut high] = between;
    while high - low > 1e-9 * high {
        let [a, b] = [high - golden * (high - low), low + golden * (high - low)];
        if mobility(a) > mobility(b) { high = b } else { low = a }
    }
    0.5 * (low + high)
}

/// Natural λ of modes + point mass by re-solving in the modes: (I + M φφᵀ) ω² = diag(ω_n²).
fn resolved(mass: f64, up_to: f64) -> Vec<f64> {
    let orders = SQUARE.orders(up_to);
    let shape = SQUARE.averaged(&orders, &[foot(&rider(mass))]);
    // 1/ω² are the eigenvalues of K^-½ M K^-½.
    let inverse = |n: usize| 1.0 / SQUARE.frequency(orders[n].0, orders[n].1);
    let scaled = DMatrix::from_fn(orders.len(), orders.len(), |i, j| {
        inverse(i) * inverse(j) * (f64::from(u8::from(i == j)) + mass * shape[[0, i]] * shape[[0, j]])
    });
    let mut found: Vec<f64> = scaled.symmetric_eigenvalues().iter().map(|x| lambda(x.powf(-0.5))).collect();
    found.sort_by(f64::total_cmp);
    found
}

#[test]
fn coil_mass_is_a_point_mass_in_the_mode_set() {
    for mass in [0.01, 0.1, 0.4] {
        let e = rider(mass);
        let ports = SQUARE.ports(std::slice::from_ref(&e), 4e3, 4e3);
        let first = resolved(mass, 4e3)[0];
        approx::assert_relative_eq!(peak(&e, &ports, [0.8 * first, 1.2 * first]), first, max_relative = 1e-7);
    }
}

/// First symmetric λ of a square simply supported plate with a central point mass of 0.1, 0.5 and 1 times the plate's.
/// Method: C. L. Amba-Rao, J. Appl. Mech. 31 (1964) 550; values recomputed from the exact single series (2000 terms).
#[test]
fn drive_mobility_peaks_where_the_loaded_plate_resonates() {
    for (ratio, expected) in [(0.1, 16.59071282), (0.5, 11.06958074), (1.0, 8.473749661)] {
        let e = rider(ratio * SQUARE.surface_mass * 0.25);
        let ports = SQUARE.ports(std::slice::from_ref(&e), 6e3, 60e3);
        let found = peak(&e, &ports, [0.8 * expected, 1.2 * expected]);
        approx::assert_relative_eq!(found, expected, max_relative = 2e-4);
    }
}
