//! The mass of coil and foot shifts the plate's resonances as a point mass does: peaks of the drive mobility.

use crate::{Problem, Row, Tolerance};
use panelwright_mesh::Outline;
use panelwright_solver::drive::{PanelPorts, solve};
use panelwright_solver::plate::Modes;
use panelwright_solver::scene::{
    Attachments, Back, Channel, EdgeCondition, Edges, Exciter, LossCurve, Mount, Panel, PlateSection, Wiring,
};
use std::f64::consts::TAU;

/// λ of modes that move the centre, for a central mass of `ratio` times the plate's.
struct Loaded {
    edges: EdgeCondition,
    ratio: f64,
    lambdas: [f64; 2],
}

const LOADED: [Loaded; 5] = [
    Loaded { edges: EdgeCondition::SimplySupported, ratio: 0.1, lambdas: [16.59071282, 75.28089509] },
    Loaded { edges: EdgeCondition::SimplySupported, ratio: 0.5, lambdas: [11.06958074, 59.54563114] },
    Loaded { edges: EdgeCondition::SimplySupported, ratio: 1.0, lambdas: [8.473749661, 56.29753565] },
    Loaded { edges: EdgeCondition::Clamped, ratio: 0.3, lambdas: [20.55192057, 87.81980548] },
    Loaded { edges: EdgeCondition::Free, ratio: 0.25, lambdas: [18.81269875, 52.63011059] },
];

/// Square plate; its size and material cancel out of λ = ω a² √(ρh/D).
const SIDE: f64 = 0.5;
const STIFFNESS: f64 = 20.0;
const SURFACE_MASS: f64 = 2.0;

/// Square isotropic plate with a central point mass.
pub const PROBLEM: Problem = Problem {
    name: "Plate with a point mass, as coil and foot",
    source: "method: C. L. Amba-Rao, J. Appl. Mech. 31 (1964) 550; simply supported: recomputed from the exact single \
             series (2000 terms and tail), clamped and free: by graded finite elements, extrapolated (5e-5)",
    rows: || LOADED.iter().flat_map(rows_of).collect(),
};

fn rows_of(case: &Loaded) -> Vec<Row> {
    let panel = panel(case.edges);
    // Some 600 modes; the rest is the static residual.
    let modes = Modes::solve(&panel, frequency(8000.0)).expect("a small plate");
    let rider = rider(case.ratio * SURFACE_MASS * SIDE * SIDE);
    let ports = PanelPorts::under(
        std::slice::from_ref(&rider),
        &Attachments::default(),
        &modes,
        panel.section.bending_loss.at(1000.0),
    );
    let row = |&expected: &f64| Row {
        quantity: format!("λ, {:?} edges, mass ratio {}", case.edges, case.ratio),
        computed: peak(&rider, &ports, [0.9 * expected, 1.1 * expected]),
        expected,
        tolerance: Tolerance::Relative(1e-4),
    };
    case.lambdas.iter().map(row).collect()
}

/// Frequency [Hz] of λ.
fn frequency(lambda: f64) -> f64 {
    lambda * (STIFFNESS / SURFACE_MASS).sqrt() / (SIDE * SIDE * TAU)
}

fn panel(edges: EdgeCondition) -> Panel {
    Panel {
        outline: Outline::Rectangle { width: SIDE, height: SIDE },
        section: PlateSection {
            d11: STIFFNESS,
            d12: 0.3 * STIFFNESS,
            d22: STIFFNESS,
            d66: 0.35 * STIFFNESS,
            surface_mass: SURFACE_MASS,
            thickness: 4e-3,
            // So small that peaks stand at the natural frequencies.
            shear: None,
            rotary_inertia: 0.0,
            bending_loss: LossCurve::constant(1e-7),
            shear_loss: LossCurve::constant(1e-7),
        },
        edges: Edges::all(edges),
        back: Back::Baffled,
    }
}

/// An exciter in the middle that is nothing but a mass on a point; the magnet is held and the suspension slack.
fn rider(mass: f64) -> Exciter {
    Exciter {
        name: "rider".into(),
        position: [0.5 * SIDE, 0.5 * SIDE],
        coil_resistance: 4.0,
        coil_inductance: 0.0,
        force_factor: 1.0,
        moving_mass: mass,
        foot_diameter: 0.0,
        suspension_stiffness: 0.0,
        suspension_loss_factor: 0.0,
        magnet_mass: 1.0,
        mount: Mount::Braced,
        reversed: false,
        rated_power: None,
        rated_excursion: None,
    }
}

/// λ of the highest foot velocity per force on coil and foot between two values of λ, by golden section.
fn peak(rider: &Exciter, ports: &PanelPorts, between: [f64; 2]) -> f64 {
    let channel = Channel {
        name: "A".into(),
        voltage: 1.0,
        gain: 1.0,
        delay: 0.0,
        filters: Default::default(),
        source_resistance: 0.0,
        wiring: Wiring::Parallel,
        exciters: vec![0],
    };
    let mobility = |lambda: f64| {
        let motion =
            solve(&[frequency(lambda)], std::slice::from_ref(rider), std::slice::from_ref(&channel), ports);
        (motion.exciters[0].foot_velocity[0] / motion.exciters[0].current[0]).norm()
    };
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    let [mut low, mut high] = between;
    while high - low > 1e-8 * high {
        let [a, b] = [high - golden * (high - low), low + golden * (high - low)];
        if mobility(a) > mobility(b) { high = b } else { low = a }
    }
    0.5 * (low + high)
}
