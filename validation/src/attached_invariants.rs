//! Reciprocity and power balance of a driven panel that carries masses, hangs, a patch and a bar, in vacuo.

use crate::{Problem, Row, Tolerance};
use num_complex::Complex64;
use panelwright_mesh::Outline;
use panelwright_solver::drive::{Motion, PanelPorts, solve};
use panelwright_solver::plate::Modes;
use panelwright_solver::scene::{
    Attachments, Back, Bar, Channel, EdgeCondition, Edges, Exciter, Hang, LossCurve, Mount, Panel, Patch,
    PlateSection, PointMass, Wiring,
};

/// Invented panel of plywood's size and weight.
pub const PROBLEM: Problem = Problem {
    name: "Driven panel with masses, hangs, patch and bar",
    source: "identities: reciprocity of the transfer admittance between two exciters; electrical power = coil heat + suspensions + panel \
             + hangs (losses from motions, not from forces)",
    rows: || {
        let panel = Hung::new();
        vec![panel.reciprocity(), panel.power_balance()]
    },
};

struct Hung {
    exciters: [Exciter; 2],
    ports: PanelPorts,
    frequencies: Vec<f64>,
}

impl Hung {
    fn new() -> Self {
        let exciters = [exciter([0.21, 0.17]), exciter([0.55, 0.33])];
        let attachments = attachments();
        let modes = Modes::solve(&panel(), 3000.0).and_then(|modes| modes.with_attached(&attachments));
        let ports = PanelPorts::under(&exciters, &attachments, &modes.expect("a small plate"), 0.02);
        let frequencies = (0..120).map(|i| 10.0 * 200f64.powf(f64::from(i) / 119.0)).collect();
        Self { exciters, ports, frequencies }
    }

    /// Only one of the channels plays; the others' amplifiers are short circuits.
    fn driven(&self, by: usize) -> Motion {
        let channels = [0, 1].map(|c| channel(c, f64::from(u8::from(c == by))));
        solve(&self.frequencies, &self.exciters, &channels, &self.ports)
    }

    fn reciprocity(&self) -> Row {
        let (there, back) = (self.driven(0), self.driven(1));
        let off = |(a, b): (&Complex64, &Complex64)| (a - b).norm() / b.norm();
        let pairs = there.exciters[1].current.iter().zip(&back.exciters[0].current);
        row("largest difference of the two transfer admittances", pairs.map(off).fold(0.0, f64::max), 1e-6)
    }

    fn power_balance(&self) -> Row {
        let balance = self.driven(0).balance;
        let off = |i: usize| {
            let lost =
                balance.coil_heat[i] + balance.suspension[i] + balance.structure[i] + balance.supports[i];
            (balance.electrical[i] - lost).abs() / lost
        };
        let worst = (0..self.frequencies.len()).map(off).fold(0.0, f64::max);
        row("largest power that is not accounted for, over the electrical power", worst, 1e-8)
    }
}

fn row(quantity: &str, computed: f64, limit: f64) -> Row {
    Row { quantity: quantity.into(), computed, expected: 0.0, tolerance: Tolerance::Absolute(limit) }
}

fn panel() -> Panel {
    let section = PlateSection {
        d11: 45.0,
        d12: 1.1,
        d22: 21.0,
        d66: 3.2,
        surface_mass: 2.4,
        thickness: 4e-3,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: LossCurve::constant(0.02),
        shear_loss: LossCurve::constant(0.02),
    };
    let outline = Outline::Rectangle { width: 0.9, height: 0.6 };
    Panel { outline, section, edges: Edges::all(EdgeCondition::Free), back: Back::Open }
}

fn attachments() -> Attachments {
    let name = String::new;
    let hang = |position, stiffness, loss_factor| Hang {
        name: name(),
        position,
        stiffness,
        loss_factor,
        diameter: 8e-3,
    };
    Attachments {
        masses: vec![PointMass { name: name(), position: [0.7, 0.12], mass: 0.15, diameter: 30e-3 }],
        hangs: vec![hang([0.1, 0.55], 2e3, 0.2), hang([0.8, 0.55], 2e6, 0.1), hang([0.45, 0.05], 1e12, 0.05)],
        patches: vec![Patch {
            name: name(),
            corner: [0.3, 0.3],
            size: [0.15, 0.1],
            surface_mass: 1.5,
            stiffness: 6.0,
            loss_factor: 0.4,
        }],
        bars: vec![Bar {
            name: name(),
            ends: [[0.1, 0.1], [0.6, 0.2]],
            line_mass: 0.1,
            stiffness: 12.0,
            torsional_stiffness: 2.0,
            loss_factor: 0.02,
        }],
    }
}

fn exciter(position: [f64; 2]) -> Exciter {
    Exciter {
        name: String::new(),
        position,
        coil_resistance: 3.6,
        coil_inductance: 0.05e-3,
        force_factor: 2.4,
        moving_mass: 1.2e-3,
        foot_diameter: 25e-3,
        suspension_stiffness: 9000.0,
        suspension_loss_factor: 0.12,
        magnet_mass: 0.115,
        mount: Mount::Floating,
        reversed: false,
        rated_power: None,
        rated_excursion: None,
    }
}

fn channel(exciter: usize, gain: f64) -> Channel {
    Channel {
        name: String::new(),
        voltage: 2.83,
        gain,
        delay: 0.0,
        filters: Default::default(),
        source_resistance: 0.1,
        wiring: Wiring::Parallel,
        exciters: vec![exciter],
    }
}
