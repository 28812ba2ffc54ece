//! Tests of the whole drive on panels whose modes are known in closed form.

mod assembled;
mod doubts;
mod edge_cases;
mod invariants;
mod limits;
mod passive;
mod point_mass;
mod wiring;

use super::{Motion, PanelPorts, Passive, PortData, foot, solve};
use crate::motor::transducer::tests::exciter;
use crate::plate::Footprint;
use crate::scene::{Channel, Exciter, Wiring};
use ndarray::Array2;
use num_complex::Complex64;
use std::f64::consts::PI;

/// Simply supported isotropic plate: `ω_mn = π² (m²/a² + n²/b²) √(D/μ)`, `φ = 2/√(μab) sin sin`
/// (A. W. Leissa, Vibration of Plates, NASA SP-160, 1969, § 4.1). Invented dimensions.
pub(super) struct SupportedPlate {
    pub sides: [f64; 2],
    pub stiffness: f64,
    pub surface_mass: f64,
    pub loss_factor: f64,
}

pub(super) const PLATE: SupportedPlate =
    SupportedPlate { sides: [0.52, 0.41], stiffness: 22.0, surface_mass: 1.9, loss_factor: 0.02 };

impl SupportedPlate {
    fn frequency(&self, m: usize, n: usize) -> f64 {
        let [a, b] = self.sides;
        let k2 = (m as f64 * PI / a).powi(2) + (n as f64 * PI / b).powi(2);
        k2 * (self.stiffness / self.surface_mass).sqrt() / (2.0 * PI)
    }

    /// All index pairs up to `frequency`, sorted by natural frequency.
    fn orders(&self, frequency: f64) -> Vec<(usize, usize)> {
        let mut found: Vec<_> = (1..200)
            .flat_map(|m| (1..200).map(move |n| (m, n)))
            .filter(|&(m, n)| self.frequency(m, n) < frequency)
            .collect();
        found.sort_by(|a, b| self.frequency(a.0, a.1).total_cmp(&self.frequency(b.0, b.1)));
        found
    }

    fn shape(&self, (m, n): (usize, usize), [x, y]: [f64; 2]) -> f64 {
        let [a, b] = self.sides;
        let scale = 2.0 / (self.surface_mass * a * b).sqrt();
        scale * (m as f64 * PI * x / a).sin() * (n as f64 * PI * y / b).sin()
    }

    fn averaged(&self, orders: &[(usize, usize)], feet: &[Footprint]) -> Array2<f64> {
        Array2::from_shape_fn((feet.len(), orders.len()), |(i, n)| {
            feet[i].points.iter().zip(&feet[i].weights).map(|(p, w)| w * self.shape(orders[n], *p)).sum()
        })
    }

    /// Ports from the modes up to `up_to` [Hz]; the residual is the static sum over the modes from there to `beyond` [Hz].
    pub fn ports(&self, exciters: &[Exciter], up_to: f64, beyond: f64) -> PanelPorts {
        self.loaded_ports(exciters, &[], up_to, beyond)
    }

    /// [`ports`](Self::ports) with passive parts on points.
    pub fn loaded_ports(
        &self,
        exciters: &[Exciter],
        passive: &[([f64; 2], Passive)],
        up_to: f64,
        beyond: f64,
    ) -> PanelPorts {
        let points = passive.iter().map(|(position, _)| Footprint::point(*position));
        let feet: Vec<Footprint> = exciters.iter().map(foot).chain(points).collect();
        let all = self.orders(beyond);
        let (kept, left_out) = all.split_at(self.orders(up_to).len());
        let far = self.averaged(left_out, &feet);
        let flexibility = |&(m, n): &(usize, usize)| (2.0 * PI * self.frequency(m, n)).powi(-2);
        let scaled = &far * &ndarray::Array1::from_iter(left_out.iter().map(flexibility));
        let frequencies: Vec<f64> = kept.iter().map(|&(m, n)| self.frequency(m, n)).collect();
        PanelPorts::new(PortData {
            frequencies: &frequencies,
            loss_factors: &vec![self.loss_factor; kept.len()],
            shapes: &self.averaged(kept, &feet),
            residual: &scaled.dot(&far.t()),
            residual_loss_factor: self.loss_factor,
        })
        .carrying(passive.iter().map(|(_, part)| *part).collect())
    }
}

/// A panel that only moves as a whole: one rigid mode of `mass` [kg].
pub(super) fn rigid(mass: f64, exciters: usize) -> PanelPorts {
    PanelPorts::new(PortData {
        frequencies: &[0.0],
        loss_factors: &[0.0],
        shapes: &Array2::from_elem((exciters, 1), mass.powf(-0.5)),
        residual: &Array2::zeros((exciters, exciters)),
        residual_loss_factor: 0.0,
    })
}

/// A channel of 2 V without source resistance.
pub(super) fn channel(wiring: Wiring, exciters: &[usize]) -> Channel {
    Channel {
        name: "A".into(),
        voltage: 2.0,
        gain: 1.0,
        delay: 0.0,
        filters: Default::default(),
        source_resistance: 0.0,
        wiring,
        exciters: exciters.to_vec(),
    }
}

/// `count` frequencies [Hz] from `low` to `high` in equal ratios.
pub(super) fn sweep(low: f64, high: f64, count: usize) -> Vec<f64> {
    (0..count).map(|i| low * (high / low).powf(i as f64 / (count - 1) as f64)).collect()
}

/// Largest deviation of two curves against the largest magnitude of the second.
pub(super) fn deviation<'a>(
    a: impl IntoIterator<Item = &'a Complex64>,
    b: impl IntoIterator<Item = &'a Complex64>,
) -> f64 {
    let pairs: Vec<_> = a.into_iter().zip(b).collect();
    let scale = pairs.iter().map(|(_, b)| b.norm()).fold(0.0, f64::max);
    pairs.iter().map(|(a, b)| (*a - *b).norm()).fold(0.0, f64::max) / scale
}

/// One exciter alone on its channel.
pub(super) fn alone(frequencies: &[f64], e: &Exciter, ports: &PanelPorts) -> Motion {
    solve(frequencies, std::slice::from_ref(e), &[channel(Wiring::Parallel, &[0])], ports)
}
