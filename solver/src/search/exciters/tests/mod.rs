//! Places against whole predictions, against brute force, and their invariants.

mod agreement;
mod invariants;
mod optimality;

use super::*;
use crate::coupling::tests::scene as foam;
use crate::plate::Modes;
use crate::scene::{Back, Channel, Exciter, Scene, Seat, Wiring};
use ndarray::Array3;
use num_complex::Complex64;
use std::sync::LazyLock;

const SPACING: Spacing = Spacing { step: 20e-3, clearance: 5e-3 };

/// A foam panel, lighter than the air it moves, with one exciter, before two seats on its vertical middle plane.
fn scene(back: Back) -> Scene {
    let two = foam(back, [2.0, 2.0]);
    let seats = [[0.25, 0.3, 1.4], [0.25, -0.2, 0.9]];
    let mut scene = Scene {
        exciters: two.exciters[..1].to_vec(),
        channels: two.channels[..1].to_vec(),
        frequencies: (0..97).map(|i| 80.0 * 2f64.powf(f64::from(i) / 24.0)).collect(),
        ..two
    };
    scene.receivers.seats =
        seats.iter().map(|&position| Seat { name: format!("{position:?}"), position }).collect();
    // The seats are nearest, so that a prediction for them alone samples the panel as one of the whole scene does.
    scene.receivers.map.distance = 3.0;
    scene
}

/// All that a search of one scene needs.
struct Found {
    scene: Scene,
    modes: Modes,
    reach: Reach,
    grid: PlaceGrid,
    feet: Feet,
    judge: Judge,
}

impl Found {
    fn new(scene: Scene, spacing: Spacing) -> Self {
        let modes = Modes::solve(&scene.panel, 2000.0).expect("solvable");
        let modes = modes.with_attached(&scene.attachments).expect("solvable");
        let foot = scene.exciters[0].foot_diameter;
        let grid = PlaceGrid::new(&scene, foot, spacing).expect("the panel has room");
        let feet = Feet::at(&modes, foot, &grid.positions);
        let reach = Reach::new(&scene, &modes, &|_, _| {}).expect("baffled");
        let judge = Judge::new(&scene, &modes).expect("a wide range");
        Self { scene, modes, reach, grid, feet, judge }
    }

    fn drive(&self, count: usize) -> Vec<Source> {
        sources(&self.scene.exciters[0], &self.scene.channels[0], count, &self.scene.frequencies)
    }

    fn singles(&self) -> Singles {
        singles(&self.reach, (&self.feet, Some(&self.grid)), &self.drive(1), &self.judge, &Weights::default())
    }

    fn mixture(&self, weights: [f64; 2]) -> Mixture {
        Mixture::new(&self.reach, &self.feet, &self.drive(1), &self.judge, (0.05, weights))
    }

    /// Responses of all places (frequencies, seats, places).
    fn responses(&self) -> Array3<Complex64> {
        let single = self.reach.responses(&self.feet, 0..self.feet.len(), &self.drive(1));
        single.mapv(|p| Complex64::new(p.re.into(), p.im.into()))
    }
}

static FOAM: LazyLock<Found> = LazyLock::new(|| Found::new(scene(Back::Baffled), SPACING));
