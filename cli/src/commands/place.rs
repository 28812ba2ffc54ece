//! `panelwright place`: where to glue the exciters, and where to hang the driver.

use super::blend;
use super::predict::bullets;
use crate::args;
use crate::case::Case;
use crate::cautions::CAUTIONS;
use crate::commands;
use crate::failure::Failure;
use crate::place_results::{self, Placed, case_lines};
use crate::results::ResultsFolder;
use crate::terminal::{self, ProgressView};
use panelwright_solver::blend::BlendError;
use panelwright_solver::place::{ExciterPlaces, PlaceError, PlaceFindings, exciter_places};
use panelwright_solver::scene::BlendScene;
use panelwright_solver::search::drivers::{DriverOptions, DriverPlaces, can_be_placed, driver_places};
use panelwright_solver::search::exciters::SearchError;
use panelwright_solver::surrounds::CompareError;
use std::time::Instant;

/// Searches the panel and writes the results folder.
///
/// # Errors
/// When the case is wrong, places cannot be searched on its panel, or the results cannot be written.
pub fn run(options: &args::Place) -> Result<(), Failure> {
    let case = commands::load(&options.case)?;
    let folder = ResultsFolder::prepare(
        &options.into.clone().unwrap_or_else(|| commands::beside(&options.case, "places")),
    )?;
    let begun = Instant::now();
    // Looked at before anything takes its time: the exciters are worth placing without the drivers, too.
    let drivers = Drivers::of(&case);
    drivers.hindered.iter().for_each(|why| terminal::complain(why));
    let exciters = watched(&case)?;
    // What was found is written even when the search for another driver fails.
    let (drivers, unplaced, failed) = drivers.placed(&case.places.driver);
    let findings = PlaceFindings { exciters, drivers, unplaced };
    let seconds = begun.elapsed().as_secs_f64();
    place_results::write(&folder, &Placed { case: &case, findings: &findings, seconds })?;
    match options.json {
        true => terminal::print(&serde_json::to_string(&findings).map_err(Failure::ours)?),
        false => terminal::print(&words(&findings, &folder, seconds)),
    }
    failed.map_or(Ok(()), |error| Err(blend::refused(error)))
}

/// The drivers of a case.
struct Drivers {
    scene: Option<BlendScene>,
    /// Those that can be placed.
    able: Vec<usize>,
    /// Why others cannot.
    hindered: Vec<String>,
}

impl Drivers {
    fn of(case: &Case) -> Self {
        let mut found = Self { scene: case.with_drivers(), able: vec![], hindered: vec![] };
        let Some(scene) = &found.scene else { return found };
        for driver in 0..scene.drivers.len() {
            match can_be_placed(scene, driver, &case.places.driver) {
                Ok(()) => found.able.push(driver),
                Err(error) => found.hindered.push(no_map(scene, driver, &error)),
            }
        }
        found
    }

    /// The places of all that can be placed, why others have none, and the first failure on the way.
    fn placed(self, options: &DriverOptions) -> (Vec<DriverPlaces>, Vec<String>, Option<BlendError>) {
        let Self { scene, able, mut hindered } = self;
        let (mut places, mut failed) = (vec![], None);
        let Some(scene) = scene else { return (places, hindered, failed) };
        for driver in able {
            let view = ProgressView::new();
            let found = driver_places(&scene, driver, options, &|progress| view.show(progress));
            view.finish();
            match found {
                Ok(found) => places.extend(found),
                Err(error) => {
                    hindered.push(no_map(&scene, driver, &error));
                    failed = failed.or(Some(error));
                }
            }
        }
        (places, hindered, failed)
    }
}

fn no_map(scene: &BlendScene, driver: usize, error: &BlendError) -> String {
    let why = match error {
        BlendError::Driver(CompareError::Shape { .. }) => {
            "it reaches behind the panel's front, and places are searched before that: give it a `clearance` in [driver] that is not negative"
                .to_owned()
        }
        error => error.to_string(),
    };
    let name = &scene.drivers[driver].scene.driver.name;
    let whose = if scene.drivers.len() > 1 {
        format!("of \"{name}\"'s places")
    } else {
        "of the driver's places".into()
    };
    format!("There is no map {whose}: {why}.")
}

fn watched(case: &Case) -> Result<ExciterPlaces, Failure> {
    let view = ProgressView::new();
    let found = exciter_places(&case.scene, &case.places, &|progress| view.show(progress));
    view.finish();
    found.map_err(refused)
}

/// What stands in the way, and what to do about it.
fn refused(error: PlaceError) -> Failure {
    let help = match &error {
        PlaceError::Plate(_) => None,
        PlaceError::Opposed { .. } => {
            Some("Give both the same `polarity`, or each its own [[channel]], and turn one round afterwards.")
        }
        PlaceError::NoRoom { .. } => Some(
            "Make `apart` or `clearance` in [place] smaller, allow more of the panel, or take an exciter out.",
        ),
        PlaceError::Search(error) => Some(help_for(error)),
    };
    match (error, help) {
        (PlaceError::Plate(plate), _) => Failure::from(plate),
        (error, help) => Failure::input(error, help.unwrap_or_default()),
    }
}

fn help_for(error: &SearchError) -> &'static str {
    match error {
        SearchError::NoSeat => "Add a [[seat]] table.",
        SearchError::NoExciter => {
            "Add an [[exciter]] table: its data are needed, and its place is what the best one is compared with."
        }
        SearchError::TooFewBands { .. } => "Widen the [range] of the case.",
        SearchError::NoPlace { .. } => {
            "Look at `clearance`, `region` and `keep_out` in [place], and at the exciter's `foot_diameter`."
        }
        SearchError::Back { .. } => {
            "Search a copy of the case with the same depth closed behind, `back = { kind = \"closed\", … }`: but for what the vent adds near its own resonance the places are much the same. \
             Then predict the case with the places found."
        }
    }
}

fn words(findings: &PlaceFindings, folder: &ResultsFolder, seconds: f64) -> String {
    let (found, drivers) = (&findings.exciters, &findings.drivers);
    let told = drivers.iter().flat_map(|driver| driver.summary.clone());
    let told: Vec<String> = told.chain(findings.measured()).collect();
    let doubted = drivers.iter().flat_map(|driver| &driver.warnings);
    let doubts: Vec<String> = (found.warnings.iter().chain(doubted).map(|warning| warning.message.clone()))
        .chain(findings.unplaced.clone())
        .collect();
    let doubts = if doubts.is_empty() { String::new() } else { format!("\nDoubts\n{}", bullets(&doubts)) };
    format!(
        "Findings\n{}{}{doubts}\nLines for the case file\n{}\nCautions\n{}\nComputed in {seconds:.1} s. Open {}",
        bullets(&found.summary),
        bullets(&told),
        indented(&case_lines(findings)),
        bullets(&CAUTIONS.map(String::from)),
        folder.report().display(),
    )
}

fn indented(lines: &str) -> String {
    lines.lines().map(|line| format!("  {line}").trim_end().to_owned() + "\n").collect()
}
