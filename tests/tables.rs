//! The CSV files against the findings they were written from.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright::tables;
use panelwright_tests::specimen;
use std::collections::BTreeMap;
use std::path::Path;

/// Headings and columns of a file; an empty cell is NaN.
fn read(path: &Path) -> BTreeMap<String, Vec<f64>> {
    let text = std::fs::read_to_string(path).unwrap();
    let mut lines = text.lines();
    let headings: Vec<&str> = lines.next().unwrap().split(',').collect();
    let mut columns: Vec<Vec<f64>> = vec![Vec::new(); headings.len()];
    for line in lines {
        let cells: Vec<&str> = line.split(',').collect();
        assert_eq!(cells.len(), headings.len(), "{} has a ragged line", path.display());
        columns
            .iter_mut()
            .zip(cells)
            .for_each(|(column, cell)| column.push(cell.parse().unwrap_or(f64::NAN)));
    }
    let count = headings.len();
    let table: BTreeMap<_, _> = headings.into_iter().map(str::to_owned).zip(columns).collect();
    assert_eq!(table.len(), count, "{} has a heading twice", path.display());
    table
}

fn assert_column(table: &BTreeMap<String, Vec<f64>>, heading: &str, expected: impl IntoIterator<Item = f64>) {
    let column = table.get(heading).unwrap_or_else(|| panic!("no {heading} among {:?}", table.keys()));
    let expected: Vec<f64> = expected.into_iter().collect();
    assert_eq!(column.len(), expected.len(), "{heading}");
    for (found, wanted) in column.iter().zip(expected) {
        assert!((found - wanted).abs() <= 1e-6 * wanted.abs(), "{heading}: {found} for {wanted}");
    }
}

#[test]
fn curves_arrive_with_their_units_and_values() {
    let folder = tempfile::tempdir().unwrap();
    let f = specimen::findings();
    tables::write(folder.path(), &f).unwrap();
    let table = |name: &str| read(&folder.path().join(name));

    let response = table("response.csv");
    assert_column(&response, "frequency_hz", f.frequencies.iter().copied());
    assert_column(&response, "level_db_spl_table_1", f.seats[0].level.iter().copied());
    let degrees = f.seats[1].pressure.iter().map(|p| p.arg().to_degrees());
    assert_column(&response, "phase_degrees_window_bench", degrees);
    let smoothed = table("response_smoothed.csv");
    assert_column(&smoothed, "level_db_spl_table_1_1_3_octave", f.seats[0].smoothed[3].level.iter().copied());
    let excursion = f.exciters[1].excursion.iter().map(|v| v * 1e3);
    assert_column(&table("excursion.csv"), "peak_excursion_mm_right", excursion);
    let magnitude = f.channels[0].load.impedance.iter().map(|z| z.norm());
    assert_column(&table("impedance.csv"), "magnitude_ohm_amplifier", magnitude);
    assert_column(&table("power.csv"), "radiated_w", f.radiated.iter().copied());
    assert_column(&table("power.csv"), "supports_w", f.balance.supports.iter().copied());
    assert_column(&table("modes.csv"), "bare_frequency_hz", f.panel.bare_frequencies.iter().copied());
    assert_column(&table("modes.csv"), "natural_frequency_hz", f.panel.natural_frequencies.iter().copied());
    let depths = f.dead_spots.iter().map(|s| s.depth);
    assert_column(&table("dead_spots.csv"), "depth_db", depths);
    let found = f.dead_spots.iter().map(|s| s.stability.unwrap().still_there as f64);
    assert_column(&table("dead_spots.csv"), "found_in", found);
    let spread = table("response_spread.csv");
    let band = f.seats[1].smoothed[3].band.as_ref().unwrap();
    assert_column(&spread, "percentile_10_db_spl_window_bench_1_3_octave", band.tenth.iter().copied());
    let band = f.seats[0].band.as_ref().unwrap();
    assert_column(&spread, "highest_db_spl_table_1", band.highest.iter().copied());
    assert_eq!(spread.len(), 1 + 3 * 7 * 4);
}

#[test]
fn maps_and_patterns_keep_place_and_value_together() {
    let folder = tempfile::tempdir().unwrap();
    let f = specimen::findings();
    tables::write(folder.path(), &f).unwrap();
    let map = read(&folder.path().join("map.csv"));
    let band = f.map.bands.iter().find(|b| b.band.nominal == 1000.0).unwrap();
    let row = map["x_mm"]
        .iter()
        .zip(&map["y_mm"])
        .position(|(x, y)| (x - f.map.x[7] * 1e3).abs() < 1e-3 && (y - f.map.y[3] * 1e3).abs() < 1e-3)
        .unwrap();
    assert!((map["level_db_spl_1000_hz"][row] - band.level[[7, 3]]).abs() < 1e-4);
    let polar = read(&folder.path().join("polar_horizontal.csv"));
    assert_column(&polar, "angle_degrees", f.polar.angles.iter().map(|a| a.to_degrees()));
    assert_column(&polar, "level_db_spl_31.5_hz", f.polar.horizontal.row(1).iter().copied());
}

#[test]
fn what_does_not_exist_is_an_empty_cell() {
    let folder = tempfile::tempdir().unwrap();
    let f = specimen::findings();
    tables::write(folder.path(), &f).unwrap();
    let centres = read(&folder.path().join("centres.csv"));
    assert!(f.centres[0].wave_front.is_none() && centres["wave_front_x_mm"][0].is_nan());
    let front = f.centres[5].wave_front.unwrap();
    assert!((centres["wave_front_z_mm"][5] - front.position[2] * 1e3).abs() < 1e-4);
    assert!((centres["intensity_y_mm"][5] - f.centres[5].intensity.position[1] * 1e3).abs() < 1e-4);
}

#[test]
fn every_heading_names_a_unit_or_a_thing_without_one() {
    const PLAIN: [&str; 11] = [
        "assembled_loss_factor",
        "mode",
        "seat",
        "lower_open",
        "upper_open",
        "wave_front_fit",
        "modal_overlap",
        "frequency_hz",
        "band_hz",
        "found_in",
        "variations",
    ];
    const UNITS: [&str; 9] = ["hz", "db", "spl", "mm", "mm2", "degrees", "ohm", "w", "a"];
    let folder = tempfile::tempdir().unwrap();
    for path in tables::write(folder.path(), &specimen::findings()).unwrap() {
        for heading in read(&path).keys() {
            let known =
                heading.split('_').any(|word| UNITS.contains(&word)) || PLAIN.contains(&heading.as_str());
            assert!(known, "{} in {} has no unit", heading, path.display());
        }
    }
}

#[test]
fn a_folder_that_is_not_there_is_an_error_with_its_name() {
    let error = tables::write(Path::new("no/such/folder"), &specimen::findings()).unwrap_err().to_string();
    assert!(error.contains("no/such/folder/response.csv"), "{error}");
}
