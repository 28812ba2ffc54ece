//! The tables of a prediction.

use super::table::{BAND, MM, Table, TableError, band_cells, number, slug};
use ndarray::Array2;
use panelwright_solver::listening::{DeadSpot, Findings, OutputMap};
use std::path::{Path, PathBuf};

/// Writes every table into the folder `dir`, which must exist; returns the files written.
pub fn write(dir: &Path, findings: &Findings) -> Result<Vec<PathBuf>, TableError> {
    let tables = [
        response(findings),
        smoothed(findings),
        third_octaves(findings),
        usable(findings),
        sound_power(findings),
        polar("polar_horizontal.csv", findings, &findings.polar.horizontal),
        polar("polar_vertical.csv", findings, &findings.polar.vertical),
        map("map.csv", "level_db_spl", &findings.map),
        map("panel_map.csv", "velocity_level_db_re_1_m_per_s", &findings.panel_map),
        spots("dead_spots.csv", &findings.dead_spots),
        spots("quiet_places.csv", &findings.quiet_places),
        centres(findings),
        impedance(findings),
        excursion(findings),
        exciter_power(findings),
        balance(findings),
        modes(findings),
        overlap(findings),
    ];
    let spread = findings.variations.map(|_| response_spread(findings));
    tables.iter().chain(&spread).map(|table| table.save(dir)).collect()
}

fn headings<'a>(first: &[&'a str], rest: &[&'a str]) -> Vec<&'a str> {
    [first, rest].concat()
}

fn response(f: &Findings) -> Table {
    let mut table = Table::over_frequency("response.csv", &f.frequencies);
    for seat in &f.seats {
        let name = slug(&seat.name);
        table.column(format!("level_db_spl_{name}"), seat.level.iter().copied());
        table.column(format!("phase_degrees_{name}"), seat.pressure.iter().map(|p| p.arg().to_degrees()));
    }
    table
}

fn smoothed(f: &Findings) -> Table {
    let mut table = Table::over_frequency("response_smoothed.csv", &f.frequencies);
    for seat in &f.seats {
        for curve in &seat.smoothed {
            let heading = format!("level_db_spl_{}_1_{}_octave", slug(&seat.name), curve.fraction);
            table.column(heading, curve.level.iter().copied());
        }
    }
    table
}

/// How the curves at the seats are spread over the variations of the panel.
fn response_spread(f: &Findings) -> Table {
    let mut table = Table::over_frequency("response_spread.csv", &f.frequencies);
    for seat in &f.seats {
        let name = slug(&seat.name);
        let smoothed =
            seat.smoothed.iter().map(|s| (format!("{name}_1_{}_octave", s.fraction), s.band.as_ref()));
        for (curve, band) in std::iter::once((name.clone(), seat.band.as_ref())).chain(smoothed) {
            let Some(band) = band else { continue };
            table.column(format!("lowest_db_spl_{curve}"), band.lowest.iter().copied());
            table.column(format!("percentile_10_db_spl_{curve}"), band.tenth.iter().copied());
            table.column(format!("percentile_90_db_spl_{curve}"), band.ninetieth.iter().copied());
            table.column(format!("highest_db_spl_{curve}"), band.highest.iter().copied());
        }
    }
    table
}

fn third_octaves(f: &Findings) -> Table {
    let mut table = Table::new("third_octaves.csv", &BAND);
    let Some(first) = f.seats.first() else { return table };
    first.third_octaves.iter().for_each(|b| table.row(band_cells(&b.band)));
    for seat in &f.seats {
        table
            .column(format!("level_db_spl_{}", slug(&seat.name)), seat.third_octaves.iter().map(|b| b.level));
    }
    table
}

fn usable(f: &Findings) -> Table {
    let columns = [
        "seat",
        "drop_db",
        "reference_db_spl",
        "lower_hz",
        "upper_hz",
        "lower_open",
        "upper_open",
        "lower_percentile_10_hz",
        "lower_percentile_90_hz",
    ];
    let mut table = Table::new("usable_bands.csv", &columns);
    for seat in &f.seats {
        for u in &seat.usable {
            let limit = |value: Option<f64>| value.map_or_else(String::new, number);
            table.rows.push(vec![
                seat.name.clone(),
                number(u.drop),
                number(u.reference),
                limit(u.lower),
                limit(u.upper),
                u.lower_open.to_string(),
                u.upper_open.to_string(),
                limit(u.lower_spread.map(|spread| spread.tenth)),
                limit(u.lower_spread.map(|spread| spread.ninetieth)),
            ]);
        }
    }
    table
}

fn sound_power(f: &Findings) -> Table {
    let mut table = Table::over_frequency("sound_power.csv", &f.frequencies);
    table.column("sensitivity_db_spl_1_m_2.83_v".into(), f.sensitivity.level.iter().copied());
    table.column("sound_power_level_db_re_1_pw".into(), f.power_level.iter().copied());
    table.column("directivity_index_db".into(), f.directivity_index.iter().copied());
    table
}

fn polar(file: &'static str, f: &Findings, levels: &Array2<f64>) -> Table {
    let mut table = Table::new(file, &["angle_degrees"]);
    f.polar.angles.iter().for_each(|angle| table.row([angle.to_degrees()]));
    for (band, row) in f.polar.bands.iter().zip(levels.rows()) {
        table.column(format!("level_db_spl_{}_hz", number(band.nominal)), row.iter().copied());
    }
    table
}

fn map(file: &'static str, unit: &str, map: &OutputMap) -> Table {
    let mut table = Table::new(file, &["x_mm", "y_mm"]);
    for &x in &map.x {
        map.y.iter().for_each(|&y| table.row([x * MM, y * MM]));
    }
    for band in &map.bands {
        // Row-major order of (nx, ny) is the order of the rows above: x slow, y fast.
        table.column(format!("{unit}_{}_hz", number(band.band.nominal)), band.level.iter().copied());
    }
    table
}

fn spots(file: &'static str, spots: &[DeadSpot]) -> Table {
    let columns = headings(
        &BAND,
        &["x_mm", "y_mm", "depth_db", "area_mm2", "extent_x_mm", "extent_y_mm", "found_in", "variations"],
    );
    let mut table = Table::new(file, &columns);
    for s in spots {
        let [x, y] = s.position.map(|v| v * MM);
        let [wide, high] = s.extent.map(|v| v * MM);
        let (found, variations) =
            s.stability.map_or((f64::NAN, f64::NAN), |s| (s.still_there as f64, s.variations as f64));
        let cells = [x, y, s.depth, s.area * MM * MM, wide, high, found, variations];
        table.row(band_cells(&s.band).into_iter().chain(cells));
    }
    table
}

fn centres(f: &Findings) -> Table {
    let columns = [
        "intensity_x_mm",
        "intensity_y_mm",
        "intensity_spread_x_mm",
        "intensity_spread_y_mm",
        "wave_front_x_mm",
        "wave_front_y_mm",
        "wave_front_z_mm",
        "wave_front_spread_x_mm",
        "wave_front_spread_y_mm",
        "wave_front_spread_z_mm",
        "wave_front_fit",
    ];
    let mut table = Table::new("centres.csv", &headings(&BAND, &columns));
    for c in &f.centres {
        let i = c.intensity;
        let intensity = i.position.into_iter().chain(i.spread).map(|v| v * MM);
        let wave_front = c.wave_front.map_or([f64::NAN; 7], |w| {
            let ([x, y, z], [sx, sy, sz]) = (w.position.map(|v| v * MM), w.spread.map(|v| v * MM));
            [x, y, z, sx, sy, sz, w.fit]
        });
        table.row(band_cells(&c.band).into_iter().chain(intensity).chain(wave_front));
    }
    table
}

fn impedance(f: &Findings) -> Table {
    let mut table = Table::over_frequency("impedance.csv", &f.frequencies);
    for channel in &f.channels {
        let name = slug(&channel.name);
        let z = &channel.load.impedance;
        table.column(format!("magnitude_ohm_{name}"), z.iter().map(|z| z.norm()));
        table.column(format!("phase_degrees_{name}"), z.iter().map(|z| z.arg().to_degrees()));
        table.column(format!("current_a_rms_{name}"), channel.load.current.iter().map(|i| i.norm()));
    }
    table
}

fn excursion(f: &Findings) -> Table {
    let mut table = Table::over_frequency("excursion.csv", &f.frequencies);
    for exciter in &f.exciters {
        let values = exciter.excursion.iter().map(|v| v * MM);
        table.column(format!("peak_excursion_mm_{}", slug(&exciter.name)), values);
    }
    table
}

fn exciter_power(f: &Findings) -> Table {
    let mut table = Table::over_frequency("exciter_power.csv", &f.frequencies);
    for exciter in &f.exciters {
        table.column(format!("electrical_power_w_{}", slug(&exciter.name)), exciter.power.iter().copied());
    }
    table
}

fn balance(f: &Findings) -> Table {
    let mut table = Table::over_frequency("power.csv", &f.frequencies);
    let b = &f.balance;
    let columns = [
        ("electrical_w", &b.electrical),
        ("coil_heat_w", &b.coil_heat),
        ("suspension_w", &b.suspension),
        ("structure_w", &b.structure),
        ("supports_w", &b.supports),
        ("air_w", &b.radiated),
        ("radiated_w", &f.radiated),
    ];
    for (heading, values) in columns {
        table.column(heading.into(), values.iter().copied());
    }
    table
}

fn modes(f: &Findings) -> Table {
    let mut table = Table::new("modes.csv", &["mode"]);
    let panel = &f.panel;
    (1..=panel.natural_frequencies.len().max(panel.assembled.frequencies.len()))
        .for_each(|n| table.row([n as f64]));
    let columns = [
        ("bare_frequency_hz", &panel.bare_frequencies),
        ("natural_frequency_hz", &panel.natural_frequencies),
        ("assembled_frequency_hz", &panel.assembled.frequencies),
        ("assembled_loss_factor", &panel.assembled.loss_factors),
    ];
    for (heading, values) in columns {
        table.column(heading.into(), values.iter().copied());
    }
    table
}

fn overlap(f: &Findings) -> Table {
    let mut table = Table::over_frequency("modal_overlap.csv", &f.frequencies);
    table.column("modal_overlap".into(), f.panel.modal_overlap.iter().copied());
    table
}
