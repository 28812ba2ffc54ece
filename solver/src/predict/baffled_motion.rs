//! The panel in a baffle, its back open, closed or vented: motion with the air on both faces.

use super::open_sound::stretches;
use super::sound::cells_for;
use super::unfinished::air_unfinished;
use crate::coupling::air_on_panel::{BaffledPanel, BaffledState, enclosure_of, felt_modes};
use crate::coupling::carried::Carried;
use crate::drive::{Drive, Motion};
use crate::plate::Modes;
use crate::radiation::convolution::Convolver;
use crate::scene::Scene;
use num_complex::Complex64;
use rayon::prelude::*;

/// Motion, and the volume velocity out of the vent [m³/s RMS]; `step(done, total)` counts frequencies.
pub(super) fn of(scene: &Scene, modes: &Modes, step: &dyn Fn(usize, usize)) -> (Motion, Vec<Complex64>) {
    let drive = Drive::new(scene, modes);
    let carried = Carried::new(&scene.panel, modes);
    let mut states = Vec::with_capacity(scene.frequencies.len());
    for (range, _) in stretches(&scene.frequencies) {
        step(range.start, scene.frequencies.len());
        let frequencies = &scene.frequencies[range];
        let top = frequencies.last().copied().unwrap_or(0.0);
        let cells = cells_for(scene, top);
        let convolver = Convolver::new(cells.shape());
        let sampled = modes.sampled(&cells);
        let enclosure = enclosure_of(scene.panel.back);
        let panel = BaffledPanel {
            drive: &drive,
            cells: &cells,
            convolver: &convolver,
            modes: &sampled,
            felt: felt_modes(modes, &scene.panel.section, cells.x.weights[0].max(cells.y.weights[0]), top),
            enclosure,
            carried: &carried,
            air: &scene.air,
        };
        let found: Vec<BaffledState> = frequencies.par_iter().map(|&f| panel.at(f)).collect();
        states.extend(found);
    }
    let shortfalls: Vec<Option<f64>> = states.iter().map(|state| state.shortfall).collect();
    let (settled, vent_flow): (Vec<_>, Vec<_>) =
        states.into_iter().map(|state| (state.settled, state.vent_flow)).unzip();
    let mut motion = drive.motion(&settled);
    motion.warnings.extend(air_unfinished(&scene.frequencies, &shortfalls));
    (motion, vent_flow)
}
