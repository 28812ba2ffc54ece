//! Every place of a driver around its panel, judged.

use super::centre::{directions, own_centre};
use super::company::Company;
use super::field::Stage;
use super::grid::DriverGrid;
use super::handover::Handover;
use super::options::DriverOptions;
use super::radiator::Radiator;
use super::scores::{DriverScores, DriverWeights, Judge};
use super::sweep::{Checked, Everything, Plan};
use super::words;
use crate::blend::{BlendError, MeasuredAt, chain};
use crate::driver::Assembly;
use crate::filters::Chain;
use crate::listening::{AcousticCentre, Centred};
use crate::scene::{Behind, BlendScene, DriverScene, FedDriver, MeasuredPart, SmallDriver};
use crate::surrounds::CompareError;
use crate::{Warning, Watcher};
use ndarray::Array2;
use num_complex::Complex64;
use rayon::prelude::*;
use serde::Serialize;

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
    /// What was measured of the parts that stay and play.
    pub measured: Vec<MeasuredAt>,
    /// Which of the drivers of the case it is, from 1.
    pub number: usize,
    /// Name of the driver, and of its surround.
    pub driver: [String; 2],
    /// Names of the other drivers, which stay where they hang and play with it.
    pub others: Vec<String>,
    /// Frequencies [Hz] that places are judged at.
    pub frequencies: Vec<f64>,
    /// Corners of its crossovers [Hz], ascending, one at least.
    pub corners: Vec<f64>,
    /// False where no filter says a corner, which is then the middle of what all play.
    pub crossed: bool,
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
    /// False where its housing would stand in that of another driver, (columns, rows).
    #[serde(skip)]
    pub room: Array2<bool>,
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
    /// Every place of the grid with room for the driver, column by column.
    pub fn places(&self) -> impl Iterator<Item = DriverPlace> + '_ {
        let at = |((i, j), &scores): ((usize, usize), &DriverScores)| DriverPlace {
            position: [self.x[i], self.y[j]],
            scores,
        };
        self.scores.indexed_iter().filter(|(cell, _)| self.room[*cell]).map(at)
    }

    /// A score of every place, (columns, rows); NaN where there is no room.
    pub fn scored(&self, score: impl Fn(&DriverScores) -> f64) -> Array2<f64> {
        let pairs = self.scores.iter().zip(&self.room);
        let values = pairs.map(|(scores, room)| if *room { score(scores) } else { f64::NAN });
        Array2::from_shape_vec(self.scores.dim(), values.collect()).expect("one per place")
    }
}

/// Whether [`driver_places`] can be asked for; quick.
///
/// # Errors
/// When the driver cannot hang before the panel, or shares no frequencies with what else plays.
pub fn can_be_placed(scene: &BlendScene, driver: usize, options: &DriverOptions) -> Result<(), BlendError> {
    let Some(fed) = scene.drivers.get(driver) else { return Ok(()) };
    if asked(scene, driver, options).2.len() < 2 {
        return Err(BlendError::NothingInCommon);
    }
    let Some(surround) = options.surround(&fed.scene) else { return Ok(()) };
    let shape = |fault| CompareError::Shape { surround: surround.name.clone(), fault };
    Assembly::new(&fed.scene.driver, surround, &Behind::Plane).map(drop).map_err(shape)?;
    Ok(())
}

/// The scene as it is heard while a driver moves, where that hands over, and at which frequencies [Hz] it is judged.
fn asked(scene: &BlendScene, driver: usize, options: &DriverOptions) -> (BlendScene, Handover, Vec<f64>) {
    let movable = moving(scene, driver, options);
    let all = movable.frequencies_in_common();
    let handover = Handover::of(&scene.drivers[driver], &scene.panel.channels, &all);
    let frequencies = handover.judged(&all, options);
    (movable, handover, frequencies)
}

/// The scene without what was measured of the driver, which holds where it hung, and of others with surrounds that they do not hang with.
fn moving(scene: &BlendScene, moved: usize, options: &DriverOptions) -> BlendScene {
    let plays = |source: MeasuredPart| match source {
        MeasuredPart::Panel => true,
        MeasuredPart::Driver { driver, surround } => {
            let hangs = scene.drivers.get(driver).and_then(|fed| options.surround_index(&fed.scene));
            driver != moved && hangs == Some(surround)
        }
    };
    let measured = scene.measured.iter().filter(|measured| plays(measured.source)).cloned().collect();
    BlendScene { measured, ..scene.clone() }
}

/// Judges every place of the driver of this index in `scene`, with the surround that is asked for, while panel and other drivers stay. The panel behind is a rigid board, and
/// the wall around it if there is one; other drivers are heard and take room, but throw nothing back.
///
/// # Errors
/// [`BlendError`].
pub fn driver_places(
    scene: &BlendScene,
    driver: usize,
    options: &DriverOptions,
    watcher: Watcher,
) -> Result<Option<DriverPlaces>, BlendError> {
    let Some(fed) = scene.drivers.get(driver) else { return Ok(None) };
    let (movable, handover, frequencies) = asked(scene, driver, options);
    let company = Company::of(&movable, driver, options, (&frequencies, &handover), watcher)?;
    let alone = DriverScene { frequencies: frequencies.clone(), ..fed.scene.clone() };
    let Some(surround) = options.surround(&alone) else { return Ok(None) };
    let radiator = Radiator::new(&alone, surround)?;
    let outline = &scene.panel.panel.outline;
    let grid = options.grid(outline.bounding_box());
    let [x, y, z] = alone.driver.place;
    let asked = grid.and([x, y]);
    let ensemble = &company.ensemble;
    let walled = words::walled(&scene.panel);
    let stage = Stage { outline, walled, seats: &ensemble.seats, air: &ensemble.air, grid: &asked };
    let mut judge = judge(fed, &company, &frequencies, (&handover, options.weights));
    let plan = Plan {
        radiator: &radiator,
        panel: &ensemble.prediction,
        frequencies: &frequencies,
        shadowed: judge.shadowed(),
    };
    let heard = stage.everything(&plan, watcher)?;
    centre_the_driver(&mut judge, &heard, &alone);
    let mut judged = every_place(&judge, &heard, &asked, z);
    let Some(now) = judged.pop() else { return Ok(None) };
    let room = grid.map(|[x, y]| !stands_in_another(scene, driver, [x, y, z]));
    let scores = Array2::from_shape_vec(grid.shape(), judged.iter().map(|place| place.scores).collect());
    let scores = scores.expect("one per place");
    let free = scores.indexed_iter().filter(|(cell, _)| room[*cell]);
    let cheapest = free.min_by(|a, b| a.1.cost.total_cmp(&b.1.cost)).map(|(cell, _)| cell);
    // Where nothing is free the driver stays where it is.
    let best_cell = cheapest.unwrap_or(grid.shape());
    let best = cheapest.map_or(now, |cell| DriverPlace { position: asked.at(cell), scores: scores[cell] });
    let mut found = DriverPlaces {
        summary: vec![],
        warnings: vec![],
        measured: ensemble.measured.clone(),
        number: driver + 1,
        driver: [alone.driver.name.clone(), surround.name.clone()],
        others: ensemble.drivers.iter().map(|voice| voice.driver.name.clone()).collect(),
        crossed: handover.crossed,
        walled,
        heights: [radiator.heights()[0], z],
        scores,
        room,
        x: grid.x.clone(),
        y: grid.y.clone(),
        best,
        now,
        weights: options.weights,
        checked: stage.checked(&plan, &heard, [best_cell, grid.shape()], &handover)?,
        frequencies: frequencies.clone(),
        corners: handover.corners,
    };
    found.summary = words::summary(&found, outline.bounding_box());
    found.warnings = words::doubts(&found, scene, driver);
    Ok(Some(found))
}

/// Where the driver's own sound comes from, beside the panel's centres.
fn centre_the_driver(judge: &mut Judge, heard: &Everything, alone: &DriverScene) {
    let f = judge.frequencies;
    let far: Vec<Complex64> = heard.heard.iter().flat_map(|heard| heard.far.iter().copied()).collect();
    let far = Array2::from_shape_vec((f.len(), directions().len()), far).expect("one per direction");
    for centre in &mut judge.centres {
        let own = own_centre(&alone.driver, (f, far.view()), &centre.band, &alone.air);
        centre.driver = own.unwrap_or_default();
    }
}

/// Every place of the grid but for those of its last column and row, which are that of the case, then that one; the front is at the height z [m].
fn every_place(judge: &Judge, heard: &Everything, asked: &DriverGrid, z: f64) -> Vec<DriverPlace> {
    let place = |&cell: &(usize, usize)| {
        let position = asked.at(cell);
        let found = heard.at(cell, [position[0], position[1], z]);
        DriverPlace { position, scores: judge.scores(&found) }
    };
    wanted(asked).par_iter().map(place).collect()
}

/// True where the driver's housing would meet that of another one.
fn stands_in_another(scene: &BlendScene, driver: usize, place: [f64; 3]) -> bool {
    let moved = SmallDriver { place, ..scene.drivers[driver].scene.driver.clone() };
    let others = scene.drivers.iter().enumerate().filter(|(other, _)| *other != driver);
    others.into_iter().any(|(_, other)| moved.meets(&other.scene.driver))
}

/// All cells of the grid, then that of the present place, which comes last in both directions.
fn wanted(asked: &DriverGrid) -> Vec<(usize, usize)> {
    let (columns, rows) = (asked.x.len() - 1, asked.y.len() - 1);
    let all = (0..columns).flat_map(|i| (0..rows).map(move |j| (i, j)));
    all.chain([(columns, rows)]).collect()
}

fn judge<'a>(
    fed: &'a FedDriver,
    company: &'a Company,
    frequencies: &'a [f64],
    (handover, weights): (&'a Handover, DriverWeights),
) -> Judge<'a> {
    let ensemble = &company.ensemble;
    let centred = |centre: &AcousticCentre| {
        let [x, y] = centre.intensity.position;
        let wave_front = centre.wave_front.map(|centre| centre.position);
        Centred { band: centre.band, intensity: Some([x, y, 0.0]), wave_front, driver: [0.0; 3], later: 0.0 }
    };
    let responses = |chain: &Chain| frequencies.iter().map(|&f| chain.response(f)).collect();
    Judge {
        frequencies,
        seats: &ensemble.seats,
        panel: &ensemble.panel,
        rest: &company.rest,
        responses: [responses(&ensemble.panel_chain), responses(&chain(&fed.channel))],
        driver: &fed.scene.driver.name,
        centres: Judge::covered(frequencies, ensemble.prediction.findings.centres.iter().map(centred)),
        delays: [ensemble.panel_delay, company.delay, fed.channel.delay],
        handover,
        sound_speed: ensemble.air.sound_speed,
        weights,
    }
}
