//! The pipeline.

use super::PlaceError;
use super::bench::Bench;
use super::confirmed::confirmed;
use super::findings::{Arrangement, Count, ExciterPlaces, Place, SeatCurves, Whole};
use super::group::Group;
use super::options::{PlaceOptions, usual_step};
use super::rules::{by_rule, rules};
use super::sets::Sets;
use super::symmetry::mirrored;
use super::together::{alone, beside, together};
use super::words::{NOTHING, crossover_left_out, doubts, summary};
use crate::filters::Chain;
use crate::plate::Modes;
use crate::predict::{Progress, Stage, Watcher, modes_up_to};
use crate::scene::{Channel, Filters, Scene};
use crate::search::exciters::{Feet, Judge, PlaceGrid, RANGE, Reach, Scores, Singles, Spacing, singles};

/// Frequencies beyond the judged range that its last band reaches into, as a ratio.
const BEYOND: f64 = 1.13;
/// What a crossover lets through at least where it is said to pass: −6 dB, the corner of the kind most in use.
const PASSED: f64 = 0.5;
/// The fewest exciters that are compared: what a second one would bring is always told.
const AT_LEAST: usize = 2;

/// Finds where the exciters of a channel should be glued, telling `watcher` how far it has come.
///
/// # Errors
/// When there is nothing to place or nobody to hear it, when the panel is of a kind that is not worked out, or when no place is left.
pub fn exciter_places(
    scene: &Scene,
    options: &PlaceOptions,
    watcher: Watcher,
) -> Result<ExciterPlaces, PlaceError> {
    let tell = |stage, done, total| watcher(Progress { stage, done, total });
    let crossed = Group::of(scene, options)?.channel;
    Reach::known(scene)?;
    let judged = as_judged(scene, crossed);
    let group = Group::of(&judged, options)?;
    let spacing = Spacing {
        step: options.step.unwrap_or_else(|| usual_step(scene.panel.outline.bounding_box())),
        clearance: options.clearance,
    };
    let foot = group.model().foot_diameter;
    let allowed = group.allowed(scene, &options.allowed);
    let grid = PlaceGrid::within(scene, foot, spacing, &allowed)?;
    tell(Stage::Modes, 0, 1);
    let modes = Modes::solve(&judged.panel, modes_up_to(&judged))?.with_attached(&judged.attachments)?;
    let judge = Judge::new(&judged, &modes)?;
    let reach = Reach::new(&judged, &modes, &|done, total| tell(Stage::Reach, done, total))?;
    let bench = Bench {
        scene: &judged,
        modes: &modes,
        reach: &reach,
        judge: &judge,
        group: &group,
        weights: options.weights,
        allowed: &allowed,
    };
    // Nearer than that the feet would overlap.
    let apart = options.apart.unwrap_or(2.0 * foot).max(foot);
    let searched = Searched { grid, spacing, apart };
    let mut found = searched.places(&bench, &tell)?;
    found.warnings.extend(crossover_left_out(crossed, &judged.frequencies));
    Ok(found)
}

/// The scene at the frequencies that are judged, where the crossover of the `crossed` channel passes, and without it: a slope that is meant is not uneven.
fn as_judged(scene: &Scene, crossed: &Channel) -> Scene {
    let top = RANGE.1 * BEYOND;
    let Filters { high_pass, low_pass, .. } = crossed.filters;
    let crossover = Chain::new(&Filters { high_pass, low_pass, ..Filters::default() });
    let passes = |f: f64| crossover.response(f).norm() >= PASSED;
    let frequencies = scene.frequencies.iter().copied().filter(|&f| f <= top && passes(f)).collect();
    let channel = |channel: &Channel| {
        let filters = match channel.name == crossed.name {
            true => Filters { high_pass: None, low_pass: None, ..channel.filters.clone() },
            false => channel.filters.clone(),
        };
        Channel { filters, ..channel.clone() }
    };
    Scene { frequencies, channels: scene.channels.iter().map(channel).collect(), ..scene.clone() }
}

/// What the search found.
struct Found {
    places: Vec<Place>,
    counts: Vec<Count>,
    now: Arrangement,
    best: Arrangement,
    whole: Whole,
    partners: Vec<Vec<f64>>,
}

/// Where it is searched.
struct Searched {
    grid: PlaceGrid,
    spacing: Spacing,
    apart: f64,
}

impl Searched {
    fn places(&self, bench: &Bench, tell: &dyn Fn(Stage, usize, usize)) -> Result<ExciterPlaces, PlaceError> {
        let wanted = bench.group.len();
        let most = wanted.max(AT_LEAST);
        let step = |done| tell(Stage::Places, done, most + 1);
        step(0);
        let feet = bench.feet(&self.grid.positions);
        let every =
            singles(bench.reach, (&feet, Some(&self.grid)), &bench.drive(1), bench.judge, &bench.weights);
        let mut counts = vec![alone(bench, &self.grid, &every.ranking)];
        for count in 2..=most {
            step(count - 1);
            counts.push(together(bench, &feet, self.apart, count));
        }
        counts.retain(|count| !count.best.is_empty());
        let best = of_count(&counts, wanted);
        let best = best.ok_or(PlaceError::NoRoom { count: wanted, apart: self.apart })?;
        let best = Arrangement { positions: bench.group.assigned(&best.positions), ..best.clone() };
        step(most);
        let now = bench.arrangements(vec![bench.group.positions()]).remove(0);
        let whole = confirmed(bench, &now, &best, tell);
        let (best, whole) = best_of_both(bench, &now, best, whole);
        let partners = self.partners(bench, &feet, &best);
        Ok(self.compared(bench, Found { places: self.listed(&every), counts, now, best, whole, partners }))
    }

    /// The findings: what was found, and what it is compared with.
    fn compared(&self, bench: &Bench, found: Found) -> ExciterPlaces {
        let Found { places, counts, now, best, whole, partners } = found;
        let rules = rules(bench);
        let by_rule = by_rule(bench, &rules, self.apart, bench.group.len());
        let mirrored = mirrored(bench, &best);
        let mut found = ExciterPlaces {
            summary: vec![],
            warnings: vec![],
            channel: bench.group.channel.name.clone(),
            exciters: bench.group.exciters.iter().map(|exciter| exciter.name.clone()).collect(),
            foot: bench.group.model().foot_diameter,
            step: self.spacing.step,
            clearance: self.spacing.clearance,
            apart: self.apart,
            weights: bench.weights,
            frequencies: bench.scene.frequencies.clone(),
            x: self.grid.x.clone(),
            y: self.grid.y.clone(),
            places,
            rules,
            now,
            best,
            by_rule,
            partners,
            counts,
            mirrored,
            whole,
        };
        found.summary = summary(&found, bench.scene);
        found.warnings = doubts(&found, bench);
        found
    }

    fn listed(&self, every: &Singles) -> Vec<Place> {
        let place = |(index, &position): (usize, &[f64; 2])| Place {
            position,
            cell: self.grid.cell(index),
            scores: every.scores[index],
            cost: every.cost[index],
        };
        self.grid.positions.iter().enumerate().map(place).collect()
    }

    /// For each exciter the cost of every place while the others are at their best ones.
    fn partners(&self, bench: &Bench, feet: &Feet, best: &Arrangement) -> Vec<Vec<f64>> {
        let places: Vec<usize> = best.positions.iter().map(|&position| self.grid.nearest(position)).collect();
        if places.len() < 2 {
            return vec![];
        }
        let others = |moved: usize| -> Vec<usize> {
            places.iter().enumerate().filter(|(index, _)| *index != moved).map(|(_, &place)| place).collect()
        };
        let sets = Sets { bench, feet, apart: self.apart };
        (0..places.len()).map(|moved| beside(&sets, &others(moved))).collect()
    }
}

/// Exciters that sit better than all places of the grid stay where they are.
fn best_of_both(bench: &Bench, now: &Arrangement, best: Arrangement, whole: Whole) -> (Arrangement, Whole) {
    let top = bench.scene.frequencies.last().copied().unwrap_or(0.0);
    let cost = |scores: &Scores| bench.weights.cost(scores, top);
    if cost(&whole.now) >= cost(&whole.best) - NOTHING {
        return (best, whole);
    }
    let stay = |seat: SeatCurves| SeatCurves {
        best: seat.now.clone(),
        best_smoothed: seat.now_smoothed.clone(),
        ..seat
    };
    let seats = whole.seats.into_iter().map(stay).collect();
    (now.clone(), Whole { best: whole.now, seats, ..whole })
}

/// The best arrangement of so many exciters, if they were compared.
pub(super) fn of_count(counts: &[Count], exciters: usize) -> Option<&Arrangement> {
    counts.iter().find(|count| count.exciters == exciters)?.best.first()
}
