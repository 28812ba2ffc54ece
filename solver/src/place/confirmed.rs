//! The recommendation by the prediction itself: every exciter of the case on the panel, coupled through it and the air.

use super::bench::Bench;
use super::findings::{Arrangement, SeatCurves, Whole};
use crate::listening::{pressure_level, smooth, spl};
use crate::predict::{PanelSound, Stage};
use crate::search::exciters::Scores;
use ndarray::{Array2, Axis};
use num_complex::{Complex32, Complex64};

/// Octave fraction of the smoothed curves.
const FRACTION: u32 = 3;

/// Whole predictions with the exciters where they are and where they should be.
pub(super) fn confirmed(
    bench: &Bench,
    now: &Arrangement,
    best: &Arrangement,
    tell: &dyn Fn(Stage, usize, usize),
) -> Whole {
    let heard = |number: usize, arrangement: &Arrangement| {
        tell(Stage::Confirmation, number, 2);
        at_seats(bench, &arrangement.positions)
    };
    let (before, after) = (heard(0, now), heard(1, best));
    let seats = bench.scene.receivers.seats.iter().enumerate();
    let curves = seats.map(|(index, seat)| curves(bench, &seat.name, [&before, &after], index));
    Whole { seats: curves.collect(), now: scores(bench, now, &before), best: scores(bench, best, &after) }
}

/// Pressure at the seats (frequencies, seats) [Pa RMS], the floor's image included.
fn at_seats(bench: &Bench, positions: &[[f64; 2]]) -> Array2<Complex64> {
    let moved = bench.group.moved(bench.scene, positions);
    let seats: Vec<[f64; 3]> = moved.receivers.seats.iter().map(|seat| seat.position).collect();
    let count = seats.len();
    let image = moved.receivers.in_the_floor(&seats);
    let mirrored = image.iter().flat_map(|(mirrored, _)| mirrored.iter().copied());
    let points: Vec<[f64; 3]> = seats.iter().copied().chain(mirrored).collect();
    let pressure = PanelSound::driven(&moved, bench.modes, &points, &|_, _, _| {}).1;
    let (direct, reflected) = pressure.view().split_at(Axis(1), count);
    match image {
        Some((_, reflection)) => &direct + &reflected * Complex64::from(reflection),
        None => direct.to_owned(),
    }
}

/// Scores of what was predicted; the robustness stays the search's.
fn scores(bench: &Bench, arrangement: &Arrangement, pressure: &Array2<Complex64>) -> Scores {
    let shapes = bench.feet(&arrangement.positions).shapes.sum_axis(Axis(0)).insert_axis(Axis(0));
    let pressure = pressure.mapv(|p| Complex32::new(p.re as f32, p.im as f32)).insert_axis(Axis(2));
    let found = bench.judge.scores(&pressure, shapes.view())[0];
    Scores { robustness: arrangement.scores.robustness, ..found }
}

fn curves(bench: &Bench, name: &str, heard: [&Array2<Complex64>; 2], seat: usize) -> SeatCurves {
    let [now, best] = heard.map(|pressure| pressure.column(seat).mapv(spl).to_vec());
    let [now_smoothed, best_smoothed] = heard.map(|pressure| {
        let energy: Vec<f64> = pressure.column(seat).iter().map(|p| p.norm_sqr()).collect();
        smooth(&bench.scene.frequencies, &energy, FRACTION).into_iter().map(pressure_level).collect()
    });
    SeatCurves { seat: name.to_owned(), now, best, now_smoothed, best_smoothed }
}
