//! The table of a driver's places.

use super::table::{MM, Table};
use panelwright_solver::search::drivers::{DriverPlace, DriverPlaces};

const HEADINGS: [&str; 16] = [
    "driver",
    "x_mm",
    "y_mm",
    "cost_db",
    "uneven_matched_db",
    "delay_ms",
    "gain_db",
    "reversed",
    "uneven_as_set_db",
    "apart_blurs",
    "heard_apart_percent",
    "comb_db",
    "deepest_dip_hz",
    "deepest_dip_db",
    "shadow_db",
    "panel_level_change_db",
];

/// For each driver, by its number in the case, every place of the grid that has room, then where it hangs in the case.
pub(super) fn places(drivers: &[DriverPlaces]) -> Table {
    let mut table = Table::new("driver_places.csv", &HEADINGS);
    for found in drivers {
        found.places().chain([found.now]).for_each(|place| table.row(cells(found.number, &place)));
    }
    table
}

fn cells(number: usize, place: &DriverPlace) -> [f64; 16] {
    let ([x, y], scores) = (place.position, &place.scores);
    [
        number as f64,
        MM * x,
        MM * y,
        scores.cost,
        scores.matched.unevenness,
        1e3 * scores.matched.delay,
        scores.matched.gain_db,
        f64::from(u8::from(scores.matched.reversed)),
        scores.as_set,
        scores.apart.unwrap_or(f64::NAN),
        scores.heard_apart.map_or(f64::NAN, |share| 100.0 * share),
        scores.comb,
        scores.dip[0],
        scores.dip[1],
        scores.shadow,
        scores.shaded,
    ]
}
