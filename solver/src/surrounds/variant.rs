//! One surround, over all frequencies.

use super::CompareError;
use super::curves::{DriverCurves, curves};
use super::disturbed::{Disturbed, disturbed};
use super::ladder::{Rung, ladder};
use super::on_panel::{DrivenPanel, Forces, OnPanel};
use super::picture::{Picture, wanted};
use super::places::Places;
use super::radiated::Radiated;
use super::solution::{Effort, Sound, Sounding};
use super::sweep::{Sweep, Swept};
use crate::boundary::{Body, BoundaryError, Mirrors, Representation};
use crate::coupling::board_behind::{Board, BoardError};
use crate::driver::{Assembly, Motions};
use crate::listening::ComputedBand;
use crate::scene::{Behind, DriverScene, Surround};
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::{QuadraticSurface, Surface};

/// Elements across the diaphragm's radius on the coarsest mesh.
const COARSEST_ACROSS: f64 = 2.5;

/// The driver with one surround.
#[derive(Clone, Debug)]
pub struct VariantSound {
    /// Name of the surround.
    pub name: String,
    /// What it does over frequency.
    pub curves: DriverCurves,
    /// How it was computed, band by band.
    pub computed: Vec<ComputedBand>,
    /// What the driven panel does to it, if there is one.
    pub disturbed: Option<Disturbed>,
    /// Sound on and around it at some frequencies.
    pub pictures: Vec<Picture>,
    /// The whole body, coarsely, to be drawn.
    pub shape: Surface,
}

/// What all surrounds have in common.
pub(super) struct Setting<'a> {
    pub scene: &'a DriverScene,
    pub motions: Motions,
    pub places: Places,
    pub panel: Option<DrivenPanel<'a>>,
}

pub(super) fn sound(
    setting: &Setting,
    surround: &Surround,
    tell: &dyn Fn(usize),
) -> Result<VariantSound, CompareError> {
    let Setting { scene, motions, places, panel } = setting;
    let shape = |fault| CompareError::Shape { surround: surround.name.clone(), fault };
    let acoustic = |fault| CompareError::Sound { surround: surround.name.clone(), fault };
    let solid = |fault: BoundaryError| acoustic(fault.into());
    let assembly = Assembly::new(&scene.driver, surround, &scene.behind).map_err(shape)?;
    let [x, y] = mirrored(scene, &assembly);
    let mirrors = Mirrors([x, y, scene.behind == Behind::Plane]);
    let (mut values, mut powers, mut computed, mut pictures) = (vec![], vec![], vec![], vec![]);
    let mut forces = Forces::default();
    for rung in rungs(scene) {
        let surface = assembly.meshed(rung.length, [x, y]).map_err(shape)?;
        let body = Body::new(&surface, mirrors).map_err(solid)?;
        let board = board(scene, &body, &rung);
        let sounding = Sounding {
            body: &body,
            motions,
            places,
            air: &scene.air,
            board: board.as_ref(),
            lining: admittance(surround.absorption),
            mirrored: [x, y],
        };
        let found = swept((scene, panel.as_ref()), &sounding, &rung, tell).map_err(acoustic)?;
        let seen = |(index, sounds): &(usize, Vec<Sound>)| {
            let at = (scene.frequencies[*index], &found.values[index - rung.range.start]);
            Picture::of(scene, &sounding, &surface, sounds, at)
        };
        pictures.extend(found.sounds.iter().map(seen));
        values.extend(found.values);
        powers.extend(found.powers);
        forces.extend(found.forces);
        computed.push(found.report);
    }
    Ok(VariantSound {
        name: surround.name.clone(),
        curves: curves(scene, motions, places, &values, &powers),
        disturbed: panel.as_ref().map(|panel| disturbed(scene, (motions, places), panel, &values, &forces)),
        computed,
        pictures,
        shape: corners(&assembly.meshed(coarsest(scene), [false; 2]).map_err(shape)?),
    })
}

/// Sides [m] of the elements of the coarsest mesh.
fn coarsest(scene: &DriverScene) -> f64 {
    scene.driver.diaphragm.radius / COARSEST_ACROSS
}

/// The bands of a scene with the sides of their meshes.
pub(super) fn rungs(scene: &DriverScene) -> Vec<Rung> {
    ladder(&scene.frequencies, scene.air.sound_speed, scene.elements_per_wavelength, coarsest(scene))
}

/// Planes x = 0 and y = 0 that everything is symmetric to; a board is not symmetric to the driver's axis.
pub(super) fn mirrored(scene: &DriverScene, assembly: &Assembly) -> [bool; 2] {
    let board = matches!(scene.behind, Behind::Board(_));
    assembly.symmetric().map(|symmetric| symmetric && !board)
}

/// The board behind the driver, with cells for the highest frequency of a rung.
fn board(scene: &DriverScene, body: &Body, rung: &Rung) -> Option<Board> {
    let Behind::Board(outline) = &scene.behind else { return None };
    let [x, y, _] = scene.driver.place;
    let wavelength = scene.air.sound_speed / scene.frequencies[rung.range.end - 1];
    let step = Board::step(outline, [x, y], body, wavelength);
    Some(Board::new(outline, [x, y], step))
}

/// Plane triangles through the corners.
fn corners(surface: &QuadraticSurface) -> Surface {
    let triangles = surface.elements.iter().map(|&[a, b, c, ..]| [a, b, c]).collect();
    Surface { points: surface.points.clone(), triangles, patches: surface.patches.clone() }
}

/// Real normalised admittance of a surface that absorbs this share of the energy at normal incidence: `α = 1 − |(1 − β)/(1 + β)|²`.
fn admittance(absorption: f64) -> f64 {
    let reflected = (1.0 - absorption).sqrt();
    (1.0 - reflected) / (1.0 + reflected)
}

/// A band, swept.
struct Found<'a> {
    values: Vec<Vec<Complex64>>,
    /// Radiated power, a matrix of motions per frequency.
    powers: Vec<Array2<Complex64>>,
    /// Of the panel's sound on the diaphragm; none without a driven panel.
    forces: Forces,
    report: ComputedBand,
    /// Sound of all motions at the frequencies that are pictured, by index.
    sounds: Vec<(usize, Vec<Sound<'a>>)>,
}

fn swept<'a>(
    (scene, panel): (&DriverScene, Option<&DrivenPanel>),
    sounding: &Sounding<'a>,
    rung: &Rung,
    tell: &dyn Fn(usize),
) -> Result<Found<'a>, BoardError> {
    let start = rung.range.start;
    let frequencies = &scene.frequencies[rung.range.clone()];
    let wanted: Vec<usize> =
        wanted(scene).into_iter().filter(|i| rung.range.contains(i)).map(|i| i - start).collect();
    let (mut effort, mut solutions, mut sounds) = (Effort::default(), 0, vec![]);
    let k: Vec<f64> = frequencies.iter().map(|&frequency| scene.air.wavenumber(frequency)).collect();
    let mut on_panel = panel.and_then(|panel| OnPanel::new(panel, scene, sounding, frequencies[k.len() - 1]));
    let mut radiated = Radiated::new(sounding, k[k.len() - 1], scene.behind == Behind::Plane);
    let sweep = Sweep { places: frequencies, wanted: &wanted, groups: &sounding.groups() };
    let swept = sweep.run(|index| {
        let solved = sounding.sounds(frequencies[index])?;
        effort = solved.iter().fold(effort, |effort, sound| effort.with(sound));
        let values = sounding.values(&solved, frequencies[index]);
        radiated.keep(index, &solved, k[index]);
        if let Some(on_panel) = &mut on_panel {
            on_panel.keep(index, &solved, sounding, k[index]);
        }
        if wanted.contains(&index) {
            sounds.push((start + index, solved));
        }
        solutions += 1;
        tell(start + solutions);
        Ok::<_, BoardError>(values)
    })?;
    tell(rung.range.end);
    sounds.sort_by_key(|(index, _)| *index);
    let report = report(scene, sounding, rung, (&swept, effort));
    let forces = on_panel.map_or_else(Forces::default, |panel| panel.forces(start, &swept.shares, &k));
    Ok(Found { powers: radiated.powers(&swept), values: swept.values, forces, report, sounds })
}

fn report(
    scene: &DriverScene,
    sounding: &Sounding,
    rung: &Rung,
    (swept, effort): (&Swept, Effort),
) -> ComputedBand {
    let frequencies = &scene.frequencies[rung.range.clone()];
    let [low, high] = [frequencies[0], frequencies[frequencies.len() - 1]];
    let representation = Representation::quicker(sounding.body, scene.air.wavenumber(high));
    ComputedBand {
        range: [low, high],
        length: rung.length,
        elements: sounding.body.len(),
        unknowns: sounding.body.unknowns(),
        held: representation.label(),
        bytes: representation.bytes(sounding.body),
        frequencies: frequencies.len(),
        solved: swept.solved,
        interpolation_error: swept.error,
        steps: effort.steps,
        exchanges: effort.exchanges,
        residual: effort.residual,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lining_absorbs_what_it_is_said_to() {
        for absorption in [0.0, 0.3, 0.9] {
            let beta = admittance(absorption);
            assert!((1.0 - ((1.0 - beta) / (1.0 + beta)).powi(2) - absorption).abs() < 1e-12);
        }
    }
}
