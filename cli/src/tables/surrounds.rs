//! The tables of a comparison of surrounds.

use super::table::{MM, Table, TableError, number, slug};
use ndarray::Array2;
use panelwright_solver::listening::{Extremum, HeardAt, OneSurround, Polar, Shift, SurroundFindings, Turn};
use panelwright_solver::surrounds::Comparison;
use std::path::{Path, PathBuf};

/// Writes every table into the folder `dir`, which must exist; returns the files written.
///
/// # Errors
/// When a file cannot be written.
pub fn write(
    dir: &Path,
    findings: &SurroundFindings,
    comparison: &Comparison,
) -> Result<Vec<PathBuf>, TableError> {
    let tables = [
        heard("response.csv", "level_db_spl", findings, |place| place.level.clone()),
        heard("difference.csv", "difference_db", findings, |place| place.difference.clone()),
        heard("group_delay.csv", "group_delay_ms", findings, |place| {
            place.group_delay.iter().map(|seconds| seconds * 1e3).collect()
        }),
        gains(findings),
        turns(findings),
        beamwidth(findings),
        each("directivity_index.csv", "directivity_index_db", findings, |one| one.directivity_index.clone()),
        each("sound_power.csv", "sound_power_level_db_re_1_pw", findings, |one| one.power_level.clone()),
        each("excursion.csv", "peak_excursion_mm", findings, |one| {
            one.excursion.iter().map(|metres| metres * MM).collect()
        }),
        impedance(comparison),
        polar("polar_horizontal.csv", findings, |polar| &polar.horizontal),
        polar("polar_vertical.csv", findings, |polar| &polar.vertical),
        balloon(findings),
    ];
    tables.iter().map(|table| table.save(dir)).collect()
}

/// A column for every surround at every place.
fn heard(
    file: &'static str,
    quantity: &str,
    findings: &SurroundFindings,
    values: fn(&HeardAt) -> Vec<f64>,
) -> Table {
    let mut table = Table::over_frequency(file, &findings.frequencies);
    for surround in &findings.surrounds {
        for place in &surround.places {
            table.column(heading(quantity, &surround.name, &place.place), values(place));
        }
    }
    table
}

fn heading(quantity: &str, surround: &str, place: &str) -> String {
    format!("{quantity}_{}_at_{}", slug(surround), slug(place))
}

/// A column for every surround.
fn each(
    file: &'static str,
    quantity: &str,
    findings: &SurroundFindings,
    values: fn(&OneSurround) -> Vec<f64>,
) -> Table {
    let mut table = Table::over_frequency(file, &findings.frequencies);
    for surround in &findings.surrounds {
        table.column(format!("{quantity}_{}", slug(&surround.name)), values(surround));
    }
    table
}

fn gains(findings: &SurroundFindings) -> Table {
    let places =
        findings.surrounds.iter().flat_map(|surround| surround.places.iter().map(move |at| (surround, at)));
    let columns =
        places.map(|(surround, at)| (heading("gain_db", &surround.name, &at.place), at.bands.as_slice()));
    Table::gains("third_octave_gains.csv", columns)
}

fn turns(findings: &SurroundFindings) -> Table {
    let columns = [
        "surround",
        "place",
        "turn",
        "before_hz",
        "before_level_db_spl",
        "before_prominence_db",
        "after_hz",
        "after_level_db_spl",
        "after_prominence_db",
        "moved_percent",
        "prominence_change_db",
    ];
    let mut table = Table::new("dips_and_peaks.csv", &columns);
    for surround in &findings.surrounds {
        for place in &surround.places {
            let rows = place.shifts.iter().map(|shift| shift_cells(&surround.name, &place.place, shift));
            table.rows.extend(rows);
        }
    }
    table
}

fn shift_cells(surround: &str, place: &str, shift: &Shift) -> Vec<String> {
    let cells = |e: Option<Extremum>| e.map_or([f64::NAN; 3], |e| [e.frequency, e.level, e.prominence]);
    let ([f0, _, out0], [f1, _, out1]) = (cells(shift.before), cells(shift.after));
    let turn = shift.before.or(shift.after).map_or("", |e| match e.turn {
        Turn::Dip => "dip",
        Turn::Peak => "peak",
    });
    let numbers = cells(shift.before).into_iter().chain(cells(shift.after));
    let changes = [100.0 * (f1 / f0 - 1.0), out1 - out0];
    [surround, place, turn].map(String::from).into_iter().chain(numbers.chain(changes).map(number)).collect()
}

fn beamwidth(findings: &SurroundFindings) -> Table {
    let mut table = Table::over_frequency("beamwidth.csv", &findings.frequencies);
    for surround in &findings.surrounds {
        let arcs =
            [("horizontal", &surround.beamwidth_horizontal), ("vertical", &surround.beamwidth_vertical)];
        for (arc, widths) in arcs {
            let degrees = widths.iter().map(|width| width.map_or(f64::NAN, f64::to_degrees));
            table.column(format!("beamwidth_degrees_{arc}_{}", slug(&surround.name)), degrees);
        }
    }
    table
}

fn impedance(comparison: &Comparison) -> Table {
    let mut table = Table::over_frequency("impedance.csv", &comparison.frequencies);
    for variant in &comparison.variants {
        let (name, z) = (slug(&variant.name), &variant.curves.impedance);
        table.column(format!("magnitude_ohm_{name}"), z.iter().map(|z| z.norm()));
        table.column(format!("phase_degrees_{name}"), z.iter().map(|z| z.arg().to_degrees()));
    }
    table
}

fn polar(file: &'static str, findings: &SurroundFindings, levels: fn(&Polar) -> &Array2<f64>) -> Table {
    let mut table = Table::new(file, &["angle_degrees"]);
    let Some(first) = findings.surrounds.first() else { return table };
    first.polar.angles.iter().for_each(|angle| table.row([angle.to_degrees()]));
    for surround in &findings.surrounds {
        for (band, row) in surround.polar.bands.iter().zip(levels(&surround.polar).rows()) {
            let heading = format!("level_db_spl_{}_{}_hz", slug(&surround.name), number(band.nominal));
            table.column(heading, row.iter().copied());
        }
    }
    table
}

/// A row for every direction.
fn balloon(findings: &SurroundFindings) -> Table {
    let mut table = Table::new("balloon.csv", &["polar_angle_degrees", "azimuth_degrees"]);
    let Some(first) = findings.surrounds.first().map(|one| &one.balloon) else { return table };
    for polar in &first.polar {
        first.azimuth.iter().for_each(|azimuth| table.row([polar, azimuth].map(|angle| angle.to_degrees())));
    }
    for surround in &findings.surrounds {
        let balloon = &surround.balloon;
        for (band, levels) in balloon.bands.iter().zip(balloon.levels.outer_iter()) {
            let heading = format!("level_db_spl_{}_{}_hz", slug(&surround.name), number(band.nominal));
            table.column(heading, levels.iter().copied());
        }
    }
    table
}
