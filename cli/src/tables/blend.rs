//! The tables of a blend.

use super::table::{BAND, MM, Table, TableError, band_cells, number, slug};
use crate::rendering::Heard;
use crate::wav;
use ndarray::Array2;
use panelwright_solver::blend::{BlendFindings, Blended};
use panelwright_solver::listening::{Apart, BandAgreement, BlendedAt, InTime};
use std::path::{Path, PathBuf};

/// Writes every table into the folder `dir`, which must exist; returns the files written.
///
/// # Errors
/// When a file cannot be written.
pub fn write(dir: &Path, findings: &BlendFindings) -> Result<Vec<PathBuf>, TableError> {
    let tables = [
        seats("response.csv", findings, levels),
        seats("phase.csv", findings, phases),
        polar("polar_horizontal.csv", findings, |blended| &blended.polar.horizontal),
        polar("polar_vertical.csv", findings, |blended| &blended.polar.vertical),
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
type Column = (String, Vec<f64>);

/// Names of the parts in headings: the only driver is just that.
fn part_names(findings: &BlendFindings) -> Vec<String> {
    match findings.parts.len() {
        2 => vec!["panel".into(), "driver".into()],
        _ => findings.parts.iter().map(|name| slug(name)).collect(),
    }
}

fn levels(findings: &BlendFindings, seat: &BlendedAt) -> Vec<Column> {
    let names = part_names(findings);
    let parts = || names.iter().zip(&seat.parts);
    let sum = std::iter::once(("level_db_spl_sum".to_owned(), seat.level.clone()));
    let level = parts().map(|(name, part)| (format!("level_db_spl_{name}"), part.level.clone()));
    let share = parts().map(|(name, part)| (format!("share_db_{name}"), part.share.clone()));
    sum.chain(level).chain(share).collect()
}

fn phases(findings: &BlendFindings, seat: &BlendedAt) -> Vec<Column> {
    let names = part_names(findings);
    let parts = || names.iter().zip(&seat.parts);
    let sum = std::iter::once(("phase_degrees_sum".to_owned(), degrees(&seat.phase)));
    let phase = parts().map(|(name, part)| (format!("phase_degrees_{name}"), degrees(&part.phase)));
    let against = parts().skip(1);
    let against =
        against.map(|(name, part)| (format!("{name}_against_panel_degrees"), degrees(&part.against_first)));
    let milliseconds = seat.group_delay.iter().map(|seconds| 1e3 * seconds).collect();
    let delay = std::iter::once(("group_delay_ms_sum".to_owned(), milliseconds));
    sum.chain(phase).chain(against).chain(delay).collect()
}

/// Levels of the sum far away, as at 1 m, in third octaves over an arc.
fn polar(file: &'static str, findings: &BlendFindings, levels: fn(&Blended) -> &Array2<f64>) -> Table {
    let mut table = Table::new(file, &["angle_degrees"]);
    findings.angles.iter().for_each(|angle| table.row([angle.to_degrees()]));
    for blended in &findings.surrounds {
        for (band, row) in blended.polar.bands.iter().zip(levels(blended).rows()) {
            let heading = format!("level_db_spl_{}_{}_hz", slug(&blended.surround), number(band.nominal));
            table.column(heading, row.iter().copied());
        }
    }
    table
}

/// Columns for every surround at every seat.
fn seats(
    file: &'static str,
    findings: &BlendFindings,
    columns: fn(&BlendFindings, &BlendedAt) -> Vec<Column>,
) -> Table {
    let mut table = Table::over_frequency(file, &findings.frequencies);
    for blended in &findings.surrounds {
        for seat in &blended.seats {
            for (quantity, values) in columns(findings, seat) {
                table.column(heading(&quantity, blended, &seat.seat), values);
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
    let several = findings.parts.len() > 2;
    for blended in &findings.surrounds {
        for seat in &blended.agreement {
            let of = if several { format!("_{}", slug(&seat.driver)) } else { String::new() };
            for (definition, apart) in definitions {
                for (quantity, value) in columns {
                    let values = seat.bands.iter().map(|band| apart(band).map_or(f64::NAN, |a| value(&a)));
                    table.column(
                        heading(&format!("{quantity}_from_{definition}{of}"), blended, &seat.seat),
                        values,
                    );
                }
            }
            let leads = seat.bands.iter().map(|band| band.panel_leads);
            table.column(heading(&format!("panel_leads_db{of}"), blended, &seat.seat), leads);
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
