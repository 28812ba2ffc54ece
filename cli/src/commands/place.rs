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
use panelwright_solver::search::drivers::{DriverPlaces, can_be_placed, driver_places};
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
    // Looked at before anything takes its time: the exciters are worth placing without the driver, too.
    let hindered = hindrance(&case);
    hindered.iter().for_each(|why| terminal::complain(why));
    let exciters = watched(&case)?;
    // What was found for the exciters is written even when the search for the driver fails.
    let found = if hindered.is_some() { Ok(None) } else { driver(&case) };
    let (driver, failed) = match found {
        Ok(found) => (found, Ok(())),
        Err(error) => (None, Err(error)),
    };
    let no_driver = hindered.or_else(|| failed.as_ref().err().map(no_map));
    let findings = PlaceFindings { exciters, driver, no_driver };
    let seconds = begun.elapsed().as_secs_f64();
    place_results::write(&folder, &Placed { case: &case, findings: &findings, seconds })?;
    match options.json {
        true => terminal::print(&serde_json::to_string(&findings).map_err(Failure::ours)?),
        false => terminal::print(&words(&findings, &folder, seconds)),
    }
    failed.map_err(blend::refused)
}

/// Why the driver of the case cannot be placed, if it has one.
fn hindrance(case: &Case) -> Option<String> {
    can_be_placed(&case.with_driver()?, &case.places.driver).err().map(|error| no_map(&error))
}

fn no_map(error: &BlendError) -> String {
    let help = match error {
        BlendError::Driver(CompareError::Shape { .. }) => {
            " Its places are searched before the panel's front: give it a `clearance` in [driver] that is not negative."
        }
        _ => "",
    };
    format!("There is no map of the driver's places: {error}.{help}")
}

fn watched(case: &Case) -> Result<ExciterPlaces, Failure> {
    let view = ProgressView::new();
    let found = exciter_places(&case.scene, &case.places, &|progress| view.show(progress));
    view.finish();
    found.map_err(refused)
}

/// The places of the case's driver, if it has one.
fn driver(case: &Case) -> Result<Option<DriverPlaces>, BlendError> {
    let Some(scene) = case.with_driver() else { return Ok(None) };
    if let Some(first) = case.driver.as_ref().filter(|_| !case.further_drivers.is_empty()) {
        let name = &first.driver.name;
        terminal::complain(&format!(
            "Of several drivers only the first, \"{name}\", is placed; the others are not heard."
        ));
    }
    let view = ProgressView::new();
    let found = driver_places(&scene, &case.places.driver, &|progress| view.show(progress));
    view.finish();
    found
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
    let (found, driver) = (&findings.exciters, findings.driver.as_ref());
    let told = driver.map_or(&[][..], |driver| &driver.summary);
    let doubted = driver.map_or(&[][..], |driver| &driver.warnings);
    let doubts: Vec<String> = (found.warnings.iter().chain(doubted).map(|warning| warning.message.clone()))
        .chain(findings.no_driver.clone())
        .collect();
    let doubts = if doubts.is_empty() { String::new() } else { format!("\nDoubts\n{}", bullets(&doubts)) };
    format!(
        "Findings\n{}{}{doubts}\nLines for the case file\n{}\nCautions\n{}\nComputed in {seconds:.1} s. Open {}",
        bullets(&found.summary),
        bullets(told),
        indented(&case_lines(found)),
        bullets(&CAUTIONS.map(String::from)),
        folder.report().display(),
    )
}

fn indented(lines: &str) -> String {
    lines.lines().map(|line| format!("  {line}").trim_end().to_owned() + "\n").collect()
}
