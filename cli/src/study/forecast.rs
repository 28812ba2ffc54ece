//! How long a study will take, and how much memory, before it starts.
//!
//! ```text
//! the case, and the case with one varied value changed ─▶ pieces of work, by key ─▶ which values each piece depends on
//! a few variants ─▶ what a piece takes          how many combinations of these values there are ─▶ how often it is done
//! ```

use super::evaluate::{built, variant};
use super::plan::Study;
use crate::case;
use panelwright_solver::study::{Expected, Objective, Variant, pace};
use std::collections::HashSet;
use std::time::{Duration, Instant};

/// Variants whose pieces of work are looked at, and for how long at most.
const LOOKED_AT: usize = 12;
const INSTANT: Duration = Duration::from_millis(100);
/// Variants in which combinations of values are counted.
const COUNTED: usize = 20_000;
/// So many variants for every combination tell that there are no further ones.
const COMING_BACK: usize = 4;

/// What a study will take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Forecast {
    /// Processor time [s] of all variants, on a machine as quick as the one on which rates were measured.
    pub work: f64,
    /// Memory of a worker [bytes], roughly, without what is kept for others.
    pub bytes: f64,
}

impl Forecast {
    /// Seconds with so many workers on `cores`, on this machine as it is now.
    pub fn seconds(&self, workers: usize, cores: usize) -> f64 {
        let side_by_side = workers.min(cores).max(1);
        self.work * pace(side_by_side) / side_by_side as f64
    }
}

impl Study {
    /// What `count` variants like those of `numbers` will take, on a workbench for moving exciters or another; `None` where the case itself cannot be built.
    pub fn forecast(&self, (numbers, count): (&[usize], usize), moving: bool) -> Option<Forecast> {
        let asked = self.asked();
        let of = |variant: &Variant| Expected::of(variant, &asked, moving).ok();
        let nominal = of(&self.nominal)?;
        let (looked_at, within) = self.looked_at(numbers, &of);
        // Only such as have the same pieces can be compared.
        let alike = |other: &Expected| other.shareable.len() == nominal.shareable.len();
        let looked_at: Vec<Expected> = looked_at.into_iter().filter(alike).chain([nominal.clone()]).collect();
        let mean =
            |of: &dyn Fn(&Expected) -> f64| looked_at.iter().map(of).sum::<f64>() / looked_at.len() as f64;
        let depends = self.dependences(&nominal, &of);
        let shared = |piece: usize| {
            let times = self.combinations((numbers, count), &depends[piece]);
            times * mean(&|one| one.shareable[piece].seconds)
        };
        let pieces = 0..nominal.shareable.len();
        let all = count as f64 * mean(&|one| one.own) + pieces.map(shared).sum::<f64>();
        Some(Forecast {
            work: within * all,
            bytes: looked_at.iter().map(|one| one.bytes).fold(0.0, f64::max),
        })
    }

    /// What `count` variants like those of `numbers` will take that have nothing in common.
    pub fn forecast_apart(&self, numbers: &[usize], count: usize) -> Forecast {
        let asked = self.asked();
        let (looked_at, _) = self.looked_at(numbers, &|variant| Expected::of(variant, &asked, false).ok());
        let whole = |one: &Expected| one.own + one.shareable.iter().map(|piece| piece.seconds).sum::<f64>();
        let each = looked_at.iter().map(whole).sum::<f64>() / looked_at.len().max(1) as f64;
        Forecast {
            work: count as f64 * each,
            bytes: looked_at.iter().map(|one| one.bytes).fold(0.0, f64::max),
        }
    }

    /// What the solver is asked for.
    fn asked(&self) -> Vec<Objective> {
        self.objectives.iter().filter_map(|judged| judged.objective).collect()
    }

    /// What some of these variants take that are within all limits, and the share of those; as many as can be looked at in an instant.
    fn looked_at(
        &self,
        numbers: &[usize],
        of: &dyn Fn(&Variant) -> Option<Expected>,
    ) -> (Vec<Expected>, f64) {
        let begun = Instant::now();
        let step = numbers.len().div_ceil(LOOKED_AT).max(1);
        let some = numbers.iter().step_by(step).take_while(|_| begun.elapsed() < INSTANT);
        let built: Vec<(Variant, bool)> = some.filter_map(|&number| built(self, number)).collect();
        let within: Vec<&Variant> =
            built.iter().filter(|(_, within)| *within).map(|(variant, _)| variant).collect();
        let share = if built.is_empty() { 1.0 } else { within.len() as f64 / built.len() as f64 };
        (within.into_iter().take_while(|_| begun.elapsed() < INSTANT).filter_map(of).collect(), share)
    }

    /// Which varied values each piece of work depends on: those which, changed alone, change its key.
    fn dependences(&self, nominal: &Expected, of: &dyn Fn(&Variant) -> Option<Expected>) -> Vec<Vec<usize>> {
        let changed: Vec<Option<Expected>> =
            (0..self.parameters.len()).map(|p| of(&self.variant(&self.with_one_changed(p))?)).collect();
        let depends = |piece: usize| {
            let on = |p: &usize| {
                // A case that cannot be built like this tells nothing, so it may depend on it.
                let other = changed[*p].as_ref().and_then(|other| other.shareable.get(piece));
                other.is_none_or(|other| other.key != nominal.shareable[piece].key)
            };
            (0..self.parameters.len()).filter(on).collect()
        };
        (0..nominal.shareable.len()).map(depends).collect()
    }

    /// The case with one varied value that is not its own.
    fn with_one_changed(&self, index: usize) -> String {
        let parameter = &self.parameters[index];
        let other =
            [0.25, 0.75].map(|u| parameter.text(u)).into_iter().find(|text| *text != parameter.slot.now);
        let other = other.unwrap_or_else(|| parameter.text(0.5));
        case::varied::exchanged(&self.source, [(&parameter.slot, other.as_str())])
    }

    fn variant(&self, text: &str) -> Option<Variant> {
        case::parse_whole(text, &self.path).ok().map(|loaded| variant(loaded).0)
    }

    /// How many combinations of some values `count` variants like `numbers` have.
    fn combinations(&self, (numbers, count): (&[usize], usize), values: &[usize]) -> f64 {
        let some = numbers.iter().step_by(numbers.len().div_ceil(COUNTED).max(1));
        let seen: Vec<Vec<u64>> = some.map(|&number| self.values_of(values, number)).collect();
        let different = seen.iter().collect::<HashSet<_>>().len();
        match different * COMING_BACK <= seen.len() {
            true => different as f64,
            false => different as f64 * count as f64 / seen.len().max(1) as f64,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    const CASE: &str = include_str!("../../../tests/data/small-study.toml");
    const WINGS: &str = include_str!("../../../tests/data/two-wings.toml");

    fn study(case: &str) -> Study {
        Study::of(case.into(), Path::new("my.toml")).unwrap_or_else(|_| panic!("a sound case"))
    }

    fn work(study: &Study, count: usize, moving: bool) -> f64 {
        let numbers: Vec<usize> = (0..count).collect();
        study.forecast((&numbers, count), moving).unwrap_or_else(|| panic!("can be built")).work
    }

    fn depends(study: &Study, moving: bool) -> Vec<Vec<usize>> {
        let asked = study.asked();
        let of = |variant: &Variant| Expected::of(variant, &asked, moving).ok();
        study.dependences(&of(&study.nominal).unwrap_or_default(), &of)
    }

    #[test]
    fn a_piece_of_work_is_done_once_for_every_combination_of_what_it_depends_on() {
        let study = study(CASE);
        // Modes, and what a force anywhere does, depend on the thickness alone.
        assert_eq!((depends(&study, true), depends(&study, false)), (vec![vec![2], vec![2]], vec![vec![2]]));
        let times = |count: usize, of: usize, values: &[usize]| {
            study.combinations((&(0..count).collect::<Vec<_>>(), of), values)
        };
        assert_eq!([times(60, 60, &[2]), times(30, 30, &[2]), times(20, 600, &[2])], [2.0; 3]);
        assert_eq!([times(60, 60, &[0]), times(60, 60, &[0, 2]), times(60, 60, &[])], [60.0, 60.0, 1.0]);
        // Of a search some are chosen, and none of these comes back.
        assert_eq!(times(20, 600, &[0]), 600.0);
    }

    #[test]
    fn a_bare_driver_is_solved_once_and_each_of_its_surrounds() {
        let varied = |from: &str, to: &str| {
            let study = format!(
                "{WINGS}\n[study]\nmethod = \"grid\"\n[[study.vary]]\nvalue = \"surround.\\\"two <wings>\\\".length\"\nfrom = \"{from}\"\nto = \"{to}\"\nlevels = 8\n\
                 [[study.vary]]\nvalue = \"driver.coil_resistance\"\nlist = [\"5 Ω\", \"6 Ω\", \"7 Ω\", \"8 Ω\"]\n\
                 [[study.objective]]\nwhat = \"gain in the top octave\"\n"
            );
            self::study(&study)
        };
        let study = varied("16 mm", "24 mm");
        assert_eq!(depends(&study, false), [vec![], vec![0]]);
        let nominal = Expected::of(&study.nominal, &[Objective::TopOctave], false).unwrap_or_default();
        let [bare, wings] = [0, 1].map(|piece| nominal.shareable[piece].seconds);
        let shared = work(&study, 32, false) - 32.0 * nominal.own;
        // Eight lengths; the resistance of the coil changes no solution.
        let expected = bare + 8.0 * wings;
        assert!((0.7..1.4).contains(&(shared / expected)), "{shared} {expected}");
    }
}
