//! Every place of a driver around its panel, judged.

use super::centre::{directions, own_centre};
use super::field::Stage;
use super::grid::DriverGrid;
use super::radiator::Radiator;
use super::scores::{DriverScores, DriverWeights, Judge};
use super::sweep::{Checked, Plan};
use super::words;
use crate::blend::{BlendError, PanelAlone, chain, in_common, panel_alone};
use crate::driver::Assembly;
use crate::listening::{AcousticCentre, Centred};
use crate::scene::{Behind, BlendScene, DriverScene, FedDriver, Surround};
use crate::surrounds::CompareError;
use crate::{Warning, Watcher};
use ndarray::Array2;
use num_complex::Complex64;
use rayon::prelude::*;
use serde::Serialize;

/// Places that are judged unless a step is given.
const USUAL_PLACES: f64 = 400.0;

/// Where and how places are judged.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DriverOptions {
    /// How far [m] beyond the panel's edges the driver may hang.
    pub margin: f64,
    /// Distance [m] of neighbouring places; about 400 in all unless given.
    pub step: Option<f64>,
    /// Frequencies per octave at most.
    pub per_octave: f64,
    /// Octaves on each side of the crossover that are judged.
    pub octaves: f64,
    /// What the scores count against each other.
    pub weights: DriverWeights,
    /// Name of the surround that it hangs with; the scene's first unless given.
    pub surround: Option<String>,
}

impl Default for DriverOptions {
    fn default() -> Self {
        let weights = DriverWeights::default();
        Self { margin: 0.12, step: None, per_octave: 12.0, octaves: 2.0, weights, surround: None }
    }
}

impl DriverOptions {
    /// The surround of `scene` that is asked for.
    fn surround<'s>(&self, scene: &'s DriverScene) -> Option<&'s Surround> {
        match &self.surround {
            Some(name) => scene.surrounds.iter().find(|surround| surround.name == *name),
            None => scene.surrounds.first(),
        }
    }

    /// The grid of places around a panel of these extents [m].
    pub fn grid(&self, (width, height): (f64, f64)) -> DriverGrid {
        let area = (width + 2.0 * self.margin) * (height + 2.0 * self.margin);
        DriverGrid::around([width, height], self.margin, self.step.unwrap_or((area / USUAL_PLACES).sqrt()))
    }
}

/// A place with its scores.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DriverPlace {
    /// Where the driver's axis goes through the panel's plane [m], in panel coordinates.
    pub position: [f64; 2],
    /// Its scores.
    pub scores: DriverScores,
}

/// Every place of a driver.
#[derive(Clone, Debug, Serialize)]
pub struct DriverPlaces {
    /// Plain sentences, most important first.
    pub summary: Vec<String>,
    /// Doubts.
    pub warnings: Vec<Warning>,
    /// Name of the driver, and of its surround.
    pub driver: [String; 2],
    /// Frequencies [Hz] that places are judged at.
    pub frequencies: Vec<f64>,
    /// Corner of the crossover [Hz].
    pub corner: f64,
    /// True when a wall without end continues the panel.
    pub walled: bool,
    /// From the panel's plane to the back of the driver, and to the middle of its front [m].
    pub heights: [f64; 2],
    /// Columns and rows of the places [m].
    pub x: Vec<f64>,
    /// Rows [m].
    pub y: Vec<f64>,
    /// Scores, (columns, rows).
    #[serde(skip)]
    pub scores: Array2<DriverScores>,
    /// The best place.
    pub best: DriverPlace,
    /// Where the driver hangs in the case.
    pub now: DriverPlace,
    /// What the scores count against each other.
    pub weights: DriverWeights,
    /// How far the map is off whole computations.
    pub checked: Vec<Checked>,
}

impl DriverPlaces {
    /// Every place of the grid, column by column.
    pub fn places(&self) -> impl Iterator<Item = DriverPlace> + '_ {
        let at = |((i, j), &scores): ((usize, usize), &DriverScores)| DriverPlace {
            position: [self.x[i], self.y[j]],
            scores,
        };
        self.scores.indexed_iter().map(at)
    }
}

/// Whether [`driver_places`] can be asked for; quick.
///
/// # Errors
/// When the driver cannot hang before the panel, or shares no frequencies with it.
pub fn can_be_placed(scene: &BlendScene, options: &DriverOptions) -> Result<(), BlendError> {
    let Some(fed) = scene.drivers.first() else { return Ok(()) };
    if in_common(scene).len() < 2 {
        return Err(BlendError::NothingInCommon);
    }
    let Some(surround) = options.surround(&fed.scene) else { return Ok(()) };
    let shape = |fault| CompareError::Shape { surround: surround.name.clone(), fault };
    Assembly::new(&fed.scene.driver, surround, &Behind::Plane).map(drop).map_err(shape)?;
    Ok(())
}

/// Judges every place of the first driver of `scene`, with the surround that is asked for. The panel behind is a rigid board, and the wall around it if there is one.
///
/// # Errors
/// [`BlendError`].
pub fn driver_places(
    scene: &BlendScene,
    options: &DriverOptions,
    watcher: Watcher,
) -> Result<Option<DriverPlaces>, BlendError> {
    let Some(fed) = scene.drivers.first() else { return Ok(None) };
    let corner = corner(scene, fed);
    let frequencies = thinned(&in_common(scene), options, corner);
    let panel = panel_alone(&scene.panel, &frequencies, watcher)?;
    let driver = DriverScene { frequencies: frequencies.clone(), ..fed.scene.clone() };
    let Some(surround) = options.surround(&driver) else { return Ok(None) };
    let radiator = Radiator::new(&driver, surround)?;
    let outline = &panel.bare.panel.outline;
    let grid = options.grid(outline.bounding_box());
    let [x, y, z] = driver.driver.place;
    let asked = grid.and([x, y]);
    let seats = &panel.bare.receivers.seats;
    let walled = words::walled(&scene.panel);
    let stage = Stage { outline, walled, seats, air: &panel.bare.air, grid: &asked };
    let mut judge = judge(fed, &panel, &frequencies, (corner, options.weights));
    let plan =
        Plan { radiator: &radiator, panel: &panel, frequencies: &frequencies, shadowed: judge.shadowed() };
    let heard = stage.everything(&plan, watcher)?;
    let far: Vec<Complex64> = heard.heard.iter().flat_map(|heard| heard.far.iter().copied()).collect();
    let far =
        Array2::from_shape_vec((frequencies.len(), directions().len()), far).expect("one per direction");
    for centre in &mut judge.centres {
        let own = own_centre(&driver.driver, (&frequencies, far.view()), &centre.band, &driver.air);
        centre.driver = own.unwrap_or_default();
    }
    let cells: Vec<(usize, usize)> = wanted(&grid);
    let place = |&cell: &(usize, usize)| {
        let position = [asked.x[cell.0], asked.y[cell.1]];
        let found = heard.at(cell, [position[0], position[1], z]);
        DriverPlace { position, scores: judge.scores(&found) }
    };
    let mut judged: Vec<DriverPlace> = cells.par_iter().map(place).collect();
    let Some(now) = judged.pop() else { return Ok(None) };
    let cheaper = |a: &usize, b: &usize| judged[*a].scores.cost.total_cmp(&judged[*b].scores.cost);
    let Some(best) = (0..judged.len()).min_by(cheaper) else { return Ok(None) };
    let scores = Array2::from_shape_vec(grid.shape(), judged.iter().map(|place| place.scores).collect());
    let mut found = DriverPlaces {
        summary: vec![],
        warnings: vec![],
        driver: [driver.driver.name.clone(), surround.name.clone()],
        corner,
        walled,
        heights: [radiator.heights()[0], z],
        scores: scores.expect("one per place"),
        x: grid.x.clone(),
        y: grid.y.clone(),
        best: judged[best],
        now,
        weights: options.weights,
        checked: stage.checked(&plan, &heard, [cells[best], grid.shape()], corner)?,
        frequencies: frequencies.clone(),
    };
    found.summary = words::summary(&found, outline.bounding_box());
    found.warnings = words::doubts(&found, &scene.panel, &fed.scene.behind);
    Ok(Some(found))
}

/// All cells of the grid, then that of the present place, which comes last in both directions.
fn wanted(grid: &DriverGrid) -> Vec<(usize, usize)> {
    let (columns, rows) = grid.shape();
    let all = (0..columns).flat_map(|i| (0..rows).map(move |j| (i, j)));
    all.chain([(columns, rows)]).collect()
}

/// Corner [Hz] of the driver's high-pass, else of the panel's low-pass, else the middle of what both play; within that.
fn corner(scene: &BlendScene, fed: &FedDriver) -> f64 {
    let frequencies = in_common(scene);
    let (Some(&least), Some(&most)) = (frequencies.first(), frequencies.last()) else { return 1000.0 };
    let low = || scene.panel.channels.iter().find_map(|channel| channel.filters.low_pass);
    let pass = fed.channel.filters.high_pass.or_else(low);
    pass.map_or((least * most).sqrt(), |pass| pass.corner).clamp(least, most)
}

/// No more frequencies per octave than needed, and none far from the corner.
fn thinned(all: &[f64], options: &DriverOptions, corner: f64) -> Vec<f64> {
    let step = 10f64.powf(0.3 / options.per_octave) * (1.0 - 1e-6);
    let mut thinned: Vec<f64> = vec![];
    for &f in all.iter().filter(|f| (**f / corner).log2().abs() <= options.octaves + 1e-6) {
        if thinned.last().is_none_or(|last| f >= last * step) {
            thinned.push(f);
        }
    }
    thinned
}

fn judge<'a>(
    fed: &'a FedDriver,
    panel: &'a PanelAlone,
    frequencies: &'a [f64],
    (corner, weights): (f64, DriverWeights),
) -> Judge<'a> {
    let own = chain(&fed.channel);
    let centred = |centre: &AcousticCentre| {
        let [x, y] = centre.intensity.position;
        let wave_front = centre.wave_front.map(|centre| centre.position);
        Centred { band: centre.band, intensity: Some([x, y, 0.0]), wave_front, driver: [0.0; 3], later: 0.0 }
    };
    Judge {
        frequencies,
        seats: &panel.bare.receivers.seats,
        panel: &panel.part,
        responses: [&panel.chain, &own].map(|chain| frequencies.iter().map(|&f| chain.response(f)).collect()),
        driver: &fed.scene.driver.name,
        centres: Judge::covered(frequencies, panel.prediction.findings.centres.iter().map(centred)),
        delays: [panel.delay, fed.channel.delay],
        period: 1.0 / corner,
        sound_speed: panel.bare.air.sound_speed,
        weights,
    }
}
