//! The tables of a blend.

use super::table::{BAND, MM, Table, TableError, band_cells, number, slug};
use crate::rendering::Heard;
use crate::wav;
use panelwright_solver::blend::{BlendFindings, Blended};
use panelwright_solver::listening::{Apart, BandAgreement, BlendedAt, InTime};
use std::path::{Path, PathBuf};

/// Writes every table into the folder `dir`, which must exist; returns the files written.
///
/// # Errors
/// When a file cannot be written.
pub fn write(dir: &Path, findings: &BlendFindings) -> Result<Vec<PathBuf>, TableError> {
    let tables = [
        seats("response.csv", findings, |seat| {
            vec![
                ("level_db_spl_sum", seat.level.clone()),
                ("level_db_spl_panel", seat.parts[0].level.clone()),
                ("level_db_spl_driver", seat.parts[1].level.clone()),
                ("share_db_panel", seat.parts[0].share.clone()),
                ("share_db_driver", seat.parts[1].share.clone()),
            ]
        }),
        seats("phase.csv", findings, |seat| {
            vec![
                ("phase_degrees_sum", degrees(&seat.phase)),
                ("phase_degrees_panel", degrees(&seat.parts[0].phase)),
                ("phase_degrees_driver", degrees(&seat.parts[1].phase)),
                ("driver_against_panel_degrees", degrees(&seat.parts[1].against_first)),
                ("group_delay_ms_sum", seat.group_delay.iter().map(|seconds| 1e3 * seconds).collect()),
            ]
        }),
        averaged(findings),
        agreement(findings),
        gains(findings),
        impulses(findings),
    ];
    tables.iter().map(|table| table.save(dir)).collect()
}

/// Writes what the files of a rendered recording are; returns the file written.
///
/// # Errors
/// When it cannot be written.
pub fn write_heard(dir: &Path, heard: &[Heard]) -> Result<PathBuf, TableError> {
    let mut table = Table::new("heard.csv", &["file", "seat", "surround", "channels", "would_be_louder_db"]);
    for one in heard {
        let channels = if one.advised { "advised" } else { "as in the case" };
        let cells = [&one.file, &one.seat, &one.surround, channels].map(str::to_owned);
        table.rows.push(cells.into_iter().chain([number(one.louder)]).collect());
    }
    table.save(dir)
}

fn degrees(radians: &[f64]) -> Vec<f64> {
    radians.iter().map(|angle| angle.to_degrees()).collect()
}

/// A quantity and its values over frequency.
type Column = (&'static str, Vec<f64>);

/// Columns for every surround at every seat.
fn seats(file: &'static str, findings: &BlendFindings, columns: fn(&BlendedAt) -> Vec<Column>) -> Table {
    let mut table = Table::over_frequency(file, &findings.frequencies);
    for blended in &findings.surrounds {
        for seat in &blended.seats {
            for (quantity, values) in columns(seat) {
                table.column(heading(quantity, blended, &seat.seat), values);
            }
        }
    }
    table
}

fn heading(quantity: &str, blended: &Blended, seat: &str) -> String {
    format!("{quantity}_{}_at_{}", slug(&blended.surround), slug(seat))
}

fn averaged(findings: &BlendFindings) -> Table {
    let mut table = Table::over_frequency("averaged.csv", &findings.frequencies);
    for blended in &findings.surrounds {
        let name = slug(&blended.surround);
        table.column(format!("level_db_spl_{name}"), blended.averaged.clone());
        if let Some(advice) = &blended.advice {
            table.column(format!("level_db_spl_{name}_advised"), advice.averaged.clone());
        }
    }
    table
}

fn agreement(findings: &BlendFindings) -> Table {
    let mut table = Table::new("agreement.csv", &BAND);
    let Some(first) = findings.surrounds.first().and_then(|blended| blended.agreement.first()) else {
        return table;
    };
    first.bands.iter().for_each(|band| table.row(band_cells(&band.band)));
    type Value = fn(&Apart) -> f64;
    let columns: [(&str, Value); 4] = [
        ("horizontal_degrees", |apart| apart.horizontal.to_degrees()),
        ("vertical_degrees", |apart| apart.vertical.to_degrees()),
        ("distance_mm", |apart| MM * apart.distance),
        ("driver_later_ms", |apart| 1e3 * apart.later),
    ];
    type Definition = fn(&BandAgreement) -> Option<Apart>;
    let definitions: [(&str, Definition); 2] =
        [("intensity", |band| band.from_intensity), ("wave_front", |band| band.from_wave_front)];
    for blended in &findings.surrounds {
        for seat in &blended.agreement {
            for (definition, apart) in definitions {
                for (quantity, value) in columns {
                    let values = seat.bands.iter().map(|band| apart(band).map_or(f64::NAN, |a| value(&a)));
                    table.column(
                        heading(&format!("{quantity}_from_{definition}"), blended, &seat.seat),
                        values,
                    );
                }
            }
            let leads = seat.bands.iter().map(|band| band.panel_leads);
            table.column(heading("panel_leads_db", blended, &seat.seat), leads);
        }
    }
    table
}

/// What every surround but the first changes in the sum.
fn gains(findings: &BlendFindings) -> Table {
    let columns = findings.surrounds.iter().flat_map(|blended| {
        let places = blended.gains.iter().zip(&blended.seats);
        places.map(move |(gains, at)| (heading("gain_db", blended, &at.seat), gains.as_slice()))
    });
    Table::gains("third_octave_gains.csv", columns)
}

/// When the sound files start after the click, and what their full scale is.
fn impulses(findings: &BlendFindings) -> Table {
    let mut table =
        Table::new("impulses.csv", &["surround", "seat", "starts_ms", "full_scale_pa_per_sample"]);
    for blended in &findings.surrounds {
        for seat in &blended.seats {
            let InTime::Heard { starts, impulse, .. } = &seat.in_time else { continue };
            let numbers = [1e3 * starts, wav::full_scale(impulse)].map(number);
            let names = [blended.surround.clone(), seat.seat.clone()];
            table.rows.push(names.into_iter().chain(numbers).collect());
        }
    }
    table
}
