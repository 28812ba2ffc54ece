//! Panel, exciters and air together.

use super::air_on_panel::*;
use super::carried::Carried;
use crate::air::Air;
use crate::drive::{Drive, Settled, respond};
use crate::plate::Modes;
use crate::radiation::convolution::Convolver;
use crate::radiation::screen::{Dipoles, ScreenGrid};
use crate::radiation::{SurfaceVelocity, intensity_cells, surface_intensity};
use crate::scene::*;
use panelwright_mesh::Outline;

const FREQUENCIES: [f64; 5] = [60.0, 160.0, 333.0, 700.0, 1200.0];

fn exciter(name: &str, position: [f64; 2]) -> Exciter {
    Exciter {
        name: name.into(),
        position,
        coil_resistance: 3.6,
        coil_inductance: 6e-5,
        force_factor: 3.2,
        moving_mass: 1.6e-3,
        foot_diameter: 25e-3,
        suspension_stiffness: 9e3,
        suspension_loss_factor: 0.15,
        magnet_mass: 62e-3,
        mount: Mount::Floating,
        reversed: false,
        rated_power: None,
        rated_excursion: None,
    }
}

/// A foam panel, lighter than the air it moves, with two unlike exciters on channels of `volts`.
pub(crate) fn scene(back: Back, volts: [f64; 2]) -> Scene {
    let loss = LossCurve::constant(0.03);
    let channel = |(index, voltage): (usize, f64)| Channel {
        name: index.to_string(),
        voltage,
        gain: 1.0,
        delay: 0.0,
        filters: Default::default(),
        source_resistance: 0.0,
        wiring: Wiring::Parallel,
        exciters: vec![index],
    };
    let strong = Exciter { force_factor: 5.0, moving_mass: 3e-3, ..exciter("b", [0.35, 0.11]) };
    Scene {
        title: "foam".into(),
        panel: Panel {
            outline: Outline::Rectangle { width: 0.5, height: 0.36 },
            section: PlateSection {
                d11: 3.0,
                d12: 0.7,
                d22: 2.4,
                d66: 1.0,
                surface_mass: 0.5,
                thickness: 5e-3,
                shear: None,
                rotary_inertia: 0.0,
                bending_loss: loss.clone(),
                shear_loss: loss,
            },
            edges: Edges::all(EdgeCondition::Free),
            back,
        },
        attachments: Attachments::default(),
        exciters: vec![exciter("a", [0.19, 0.2]), strong],
        channels: volts.into_iter().enumerate().map(channel).collect(),
        air: Air::new(293.15, 0.5, 101_325.0),
        receivers: Receivers {
            seats: vec![],
            map: MapPlane { distance: 0.4, margin: 0.1, spacing: 0.05 },
            arc: PolarArc { distance: 2.0, step: 0.2 },
            floor: None,
        },
        spread: Spread::none(),
        frequencies: FREQUENCIES.to_vec(),
    }
}

fn modes(scene: &Scene) -> Modes {
    Modes::solve(&scene.panel, 2000.0).expect("solvable")
}

/// Settled states of an open panel, and the powers that travel away or into the wall.
fn open(scene: &Scene, modes: &Modes) -> (Vec<Settled>, Vec<f64>) {
    let drive = Drive::new(scene, modes);
    let grid = ScreenGrid::new(&scene.panel.outline, 0.009);
    let sampled = modes.sampled(&grid.lattice);
    let felt = felt_modes(modes, &scene.panel.section, 0.009, FREQUENCIES[FREQUENCIES.len() - 1]);
    let wall = wall_of(scene.panel.back);
    let panel = OpenPanel { drive: &drive, grid: &grid, modes: &sampled, felt, wall, air: &scene.air };
    let at = |&f: &f64| {
        let state = panel.at(f);
        let dipoles = Dipoles::new(&grid, f, wall, &state.jump);
        (state.settled, dipoles.power(&scene.air) + dipoles.power_into_wall(&scene.air))
    };
    scene.frequencies.iter().map(at).unzip()
}

fn baffled(scene: &Scene, modes: &Modes) -> Vec<Settled> {
    let drive = Drive::new(scene, modes);
    let cells = intensity_cells(&scene.panel.outline, [60.0, 60.0], 25.0);
    let convolver = Convolver::new(cells.shape());
    let sampled = modes.sampled(&cells);
    let panel = BaffledPanel {
        drive: &drive,
        cells: &cells,
        convolver: &convolver,
        modes: &sampled,
        felt: modes.len(),
        enclosure: enclosure_of(scene.panel.back),
        carried: &Carried::new(&scene.panel, modes),
        air: &scene.air,
    };
    scene.frequencies.iter().map(|&f| panel.at(f).settled).collect()
}

fn settled(scene: &Scene, modes: &Modes) -> Vec<Settled> {
    match scene.panel.back {
        Back::Open | Back::Wall { .. } => open(scene, modes).0,
        Back::Baffled | Back::Closed { .. } | Back::Vented { .. } => baffled(scene, modes),
    }
}

const BACKS: [Back; 5] = [
    Back::Open,
    Back::Baffled,
    Back::Wall { distance: 0.07, reflection: 0.9 },
    Back::Closed { depth: 0.05, loss_factor: 0.1 },
    Back::Vented { depth: 0.05, loss_factor: 0.1, vent_area: 2e-3, vent_length: 0.05 },
];

#[test]
fn electrical_power_is_all_accounted_for_whatever_is_behind() {
    for back in BACKS {
        let scene = scene(back, [2.0, 1.3]);
        let modes = modes(&scene);
        let balance = Drive::new(&scene, &modes).motion(&settled(&scene, &modes)).balance;
        for (i, frequency) in FREQUENCIES.into_iter().enumerate() {
            let mechanical = balance.electrical[i] - balance.coil_heat[i];
            let spent = balance.suspension[i] + balance.structure[i] + balance.radiated[i];
            assert!((spent / mechanical - 1.0).abs() < 2e-3, "{back:?} at {frequency}: {spent} {mechanical}");
            assert!(balance.radiated[i] > 0.0, "{back:?} at {frequency}");
        }
        let (air, structure) = (balance.radiated.iter().sum::<f64>(), balance.structure.iter().sum::<f64>());
        assert!(air > 0.01 * structure, "{back:?}: the air takes its share, {air} of {structure}");
    }
}

#[test]
fn what_the_air_takes_from_an_open_panel_travels_away() {
    let wall = |reflection| Back::Wall { distance: 0.06, reflection };
    for back in [Back::Open, wall(1.0), wall(0.9)] {
        let scene = scene(back, [2.0, 1.3]);
        let modes = modes(&scene);
        let (settled, far) = open(&scene, &modes);
        let balance = Drive::new(&scene, &modes).motion(&settled).balance;
        for (taken, far) in balance.radiated.iter().zip(far) {
            assert!((taken / far - 1.0).abs() < 0.01, "{back:?}: {taken} {far}");
        }
    }
}

/// Nearly filling its box, and with a rim between the cells: what the air does beside the panel must not reach it.
#[test]
fn an_oval_panel_in_a_baffle_gives_its_faces_what_the_air_takes_and_is_reciprocal() {
    let oval = |volts: [f64; 2]| {
        let mut scene = scene(Back::Baffled, volts);
        scene.panel.outline = Outline::Ellipse { width: 0.5, height: 0.36 };
        scene
    };
    let modes = modes(&oval([1.0; 2]));
    let current = |volts: [f64; 2], channel: usize| {
        let scene = oval(volts);
        Drive::new(&scene, &modes).motion(&baffled(&scene, &modes)).channels[channel].current.clone()
    };
    for (there, here) in current([1.0, 0.0], 1).iter().zip(current([0.0, 1.0], 0)) {
        assert!((there / here - 1.0).norm() < 1e-3, "{there} {here}");
    }
    let scene = oval([2.0, 1.3]);
    let settled = baffled(&scene, &modes);
    let taken = Drive::new(&scene, &modes).motion(&settled).balance.radiated;
    let cells = intensity_cells(&scene.panel.outline, [60.0, 60.0], 25.0);
    for ((f, state), taken) in FREQUENCIES.into_iter().zip(&settled).zip(taken) {
        let velocity = modes.sampled(&cells).superpose(&state.modal_velocity);
        let intensity =
            surface_intensity(&SurfaceVelocity { lattice: &cells, frequency: f, velocity }, &scene.air);
        let given: f64 = intensity.iter().zip(cells.weights()).map(|(i, area)| 2.0 * i * area).sum();
        assert!((taken / given - 1.0).abs() < 1e-4, "{f}: {taken} {given}");
    }
}

/// A heavy stiff panel that nothing holds rests on the air behind it alone: `ω² = (ρc²/D)/m″`, by hand 60 Hz for 20 kg/m² on 50 mm. The air in
/// front adds under 1 % to the mass.
#[test]
fn a_closed_space_behind_is_a_spring_of_known_stiffness() {
    let mut scene = scene(Back::Closed { depth: 0.05, loss_factor: 0.02 }, [1.0, 0.0]);
    let section = &mut scene.panel.section;
    (section.d11, section.d12, section.d22, section.d66) = (4e4, 1.2e4, 4e4, 1.4e4);
    section.surface_mass = 20.0;
    scene.exciters.truncate(1);
    scene.channels.truncate(1);
    // In the middle, its magnet left to itself.
    scene.exciters[0] = Exciter { suspension_stiffness: 1.0, ..exciter("a", [0.25, 0.18]) };
    scene.frequencies = (0..81).map(|i| 50.0 + 0.25 * f64::from(i)).collect();
    let modes = modes(&scene);
    let motion = Drive::new(&scene, &modes).motion(&baffled(&scene, &modes));
    let foot = &motion.exciters[0].foot_velocity;
    let (largest, _) =
        foot.iter().enumerate().max_by(|a, b| a.1.norm().total_cmp(&b.1.norm())).expect("81 of them");
    let by_hand =
        (scene.air.impedance() * scene.air.sound_speed / 0.05 / 20.0).sqrt() / std::f64::consts::TAU;
    assert!((by_hand - 60.0).abs() < 0.5, "{by_hand}");
    assert!((scene.frequencies[largest] / by_hand - 1.0).abs() < 0.012, "{}", scene.frequencies[largest]);
}

/// A volt on one channel drives the same current through the other's short circuit, either way round.
#[test]
fn the_transfer_between_two_exciters_is_reciprocal() {
    for back in BACKS {
        let current = |volts: [f64; 2], channel: usize| {
            let scene = scene(back, volts);
            let modes = modes(&scene);
            Drive::new(&scene, &modes).motion(&settled(&scene, &modes)).channels[channel].current.clone()
        };
        for (there, here) in current([1.0, 0.0], 1).iter().zip(current([0.0, 1.0], 0)) {
            assert!((there / here - 1.0).norm() < 1e-3, "{back:?}: {there} {here}");
        }
    }
}

#[test]
fn thin_air_leaves_the_panel_as_in_a_vacuum() {
    let mut scene = scene(Back::Open, [2.0, 1.3]);
    let modes = modes(&scene);
    let vacuum = respond(&scene, &modes);
    let difference = |scene: &Scene| {
        let loaded = Drive::new(scene, &modes).motion(&open(scene, &modes).0);
        let pairs = loaded.exciters[0].foot_velocity.iter().zip(&vacuum.exciters[0].foot_velocity);
        pairs.map(|(a, b)| (a / b - 1.0).norm()).fold(0.0, f64::max)
    };
    let loaded = difference(&scene);
    scene.air.density *= 1e-6;
    let unloaded = difference(&scene);
    assert!(unloaded < 1e-4 && loaded > 0.1, "{unloaded:e} {loaded}");
}
