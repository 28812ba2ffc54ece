//! The tables of a search for places.

use super::driver_places;
use super::table::{MM, Table, TableError, slug};
use panelwright_solver::place::{Arrangement, Count, ExciterPlaces, PlaceFindings};
use panelwright_solver::search::exciters::Scores;
use std::path::{Path, PathBuf};

/// Headings of scores and cost.
const SCORES: [&str; 7] = [
    "evenness_db",
    "low_end_hz",
    "level_db_spl",
    "modes_driven_percent",
    "dips_per_seat",
    "lost_5_mm_off_db",
    "cost_db",
];

/// Writes every table into the folder `dir`, which must exist; returns the files written.
///
/// # Errors
/// When a file cannot be written.
pub fn write(dir: &Path, findings: &PlaceFindings) -> Result<Vec<PathBuf>, TableError> {
    let found = &findings.exciters;
    let several = found.counts.iter().filter(|count| count.exciters > 1).map(together);
    let drivers = (!findings.drivers.is_empty()).then(|| driver_places::places(&findings.drivers));
    let tables = [places(found), rules(found), response(found)].into_iter().chain(several).chain(drivers);
    tables.map(|table| table.save(dir)).collect()
}

/// What stands under [`SCORES`].
fn cells(scores: &Scores, cost: f64) -> [f64; 7] {
    [
        scores.evenness,
        scores.extension.unwrap_or(f64::NAN),
        scores.sensitivity,
        100.0 * scores.coverage,
        scores.dips,
        scores.robustness.unwrap_or(f64::NAN),
        cost,
    ]
}

fn places(found: &ExciterPlaces) -> Table {
    let mut table = Table::new("places.csv", &[&["x_mm", "y_mm"], &SCORES[..]].concat());
    for place in &found.places {
        table.row(place.position.map(|v| MM * v).into_iter().chain(cells(&place.scores, place.cost)));
    }
    for (name, costs) in found.exciters.iter().zip(&found.partners) {
        table.column(format!("cost_db_{}_beside_the_others", slug(name)), costs.iter().copied());
    }
    table
}

/// The best arrangements of several exciters.
fn together(count: &Count) -> Table {
    let file = match count.exciters {
        2 => "pairs.csv",
        3 => "triples.csv",
        _ => "sets.csv",
    };
    let positions: Vec<String> =
        (1..=count.exciters).flat_map(|k| [format!("x{k}_mm"), format!("y{k}_mm")]).collect();
    let headings: Vec<&str> = positions.iter().map(String::as_str).chain(SCORES).collect();
    let mut table = Table::new(file, &headings);
    for Arrangement { positions, scores, cost } in &count.list {
        table.row(positions.iter().flatten().map(|v| MM * v).chain(cells(scores, *cost)));
    }
    table
}

fn rules(found: &ExciterPlaces) -> Table {
    let headings =
        [&["share_of_width_percent", "share_of_height_percent", "x_mm", "y_mm"], &SCORES[..]].concat();
    let mut table = Table::new("rules.csv", &headings);
    for rule in &found.rules {
        for Arrangement { positions, scores, cost } in &rule.images {
            let at = rule.shares.map(|share| 100.0 * share).into_iter();
            table.row(at.chain(positions[0].map(|v| MM * v)).chain(cells(scores, *cost)));
        }
    }
    table
}

/// Before and after at every seat.
fn response(found: &ExciterPlaces) -> Table {
    let mut table = Table::over_frequency("response.csv", &found.frequencies);
    for seat in &found.whole.seats {
        let name = slug(&seat.seat);
        table.column(format!("level_db_spl_now_at_{name}"), seat.now.iter().copied());
        table.column(format!("level_db_spl_moved_at_{name}"), seat.best.iter().copied());
    }
    table
}
