//! One variant: its case read, its limits looked at, its objectives measured.

use super::limit::Beforehand;
use super::plan::Study;
use super::record::VariantResult;
use crate::case::{self, Loaded};
use panelwright_solver::scene::BlendScene;
use panelwright_solver::study::{Objective, Variant, Workbench, measure};

/// What comes of variant `number` of `study`, with what earlier variants left on `bench`.
pub fn evaluate(study: &Study, bench: &Workbench, number: usize) -> VariantResult {
    of_case(study, bench, (&study.text(number), &study.point(number)), |variant| variant)
}

/// What comes of a case with this text, whose varied values are priced as at `point`, once it is built as `built` says.
pub(super) fn of_case(
    study: &Study,
    bench: &Workbench,
    (text, point): (&str, &[f64]),
    built: impl FnOnce(Variant) -> Variant,
) -> VariantResult {
    let loaded = match case::parse_whole(text, &study.path) {
        Ok(loaded) => loaded,
        Err(problems) => return VariantResult::Failed(first_problem(&problems)),
    };
    let (variant, panel) = variant(loaded);
    let variant = built(variant);
    let cost = study.prices.total(&study.parameters, point, panel);
    let judged = match beyond(study, bench, &variant, cost) {
        Ok(None) => measured(study, bench, &variant, cost),
        Ok(Some(limit)) => return VariantResult::Beyond(limit),
        Err(error) => Err(error),
    };
    judged.unwrap_or_else(VariantResult::Failed)
}

/// A variant of `study`, and true when it is within all limits; `None` where it cannot be built.
pub(super) fn built(study: &Study, number: usize) -> Option<(Variant, bool)> {
    let loaded = case::parse_whole(&study.text(number), &study.path).ok()?;
    let (variant, panel) = variant(loaded);
    let cost = study.prices.total(&study.parameters, &study.point(number), panel);
    let within = beyond(study, &Workbench::new(0), &variant, cost).is_ok_and(|limit| limit.is_none());
    Some((variant, within))
}

/// What the solver measures, and the panel's area [m²] and number of exciters.
pub(super) fn variant(loaded: Loaded) -> (Variant, (f64, usize)) {
    match loaded {
        Loaded::Panel(case) => {
            let (width, height) = case.scene.panel.outline.bounding_box();
            let priced = (width * height, case.scene.exciters.len());
            // What was measured holds for one build, not for its variants.
            let blend = case.with_drivers().map(|blend| BlendScene { measured: vec![], ..blend });
            let driver = case.drivers.into_iter().next().map(|fed| fed.scene);
            (Variant { panel: Some(case.scene), driver, blend }, priced)
        }
        Loaded::Driver(case) => (Variant { driver: Some(case.scene), ..Variant::default() }, (0.0, 0)),
    }
}

/// The first limit that is broken.
fn beyond(study: &Study, bench: &Workbench, variant: &Variant, cost: f64) -> Result<Option<String>, String> {
    if study.limits.is_empty() {
        return Ok(None);
    }
    let size = variant.panel.as_ref().map_or((0.0, 0.0), |panel| panel.panel.outline.bounding_box());
    let mass = measure(bench, variant, &[Objective::Mass]).map_err(|error| error.to_string())?.values[0];
    let known = Beforehand { mass, cost, size };
    Ok(study.limits.iter().find_map(|limit| limit.broken_by(&known)))
}

fn measured(study: &Study, bench: &Workbench, variant: &Variant, cost: f64) -> Result<VariantResult, String> {
    let asked: Vec<Objective> = study.objectives.iter().filter_map(|judged| judged.objective).collect();
    let outcome = measure(bench, variant, &asked).map_err(|error| error.to_string())?;
    let mut found = outcome.values.into_iter();
    let value = |judged: &super::objective::Judged| match judged.objective {
        Some(_) => found.next().unwrap_or(f64::NAN),
        None => cost,
    };
    let values = study.objectives.iter().map(value).collect();
    let mut reasons = outcome.missing.into_iter();
    let reason = |(place, judged): (usize, &super::objective::Judged)| {
        let why = judged.objective.and_then(|_| reasons.next().flatten())?;
        Some((place as u32, why))
    };
    let missing = study.objectives.iter().enumerate().filter_map(reason).collect();
    Ok(VariantResult::Measured { values, cost, levels: outcome.curves.into_iter().collect(), missing })
}

/// The reason that helps most: the first error, with what to do.
fn first_problem(problems: &case::Problems) -> String {
    let first = problems.list().iter().find(|problem| problem.severity == miette::Severity::Error);
    match first {
        Some(problem) if problem.label.is_empty() => problem.message.clone(),
        Some(problem) => format!("{} ({})", problem.message, problem.label),
        None => problems.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    #[test]
    fn why_a_number_does_not_exist_is_kept_beside_its_place() {
        // No two frequencies lie in the band; the cost, which the solver knows nothing of, stands before it.
        let asked = "\n[[study.objective]]\nwhat = \"unevenness at the worst seat\"\nfrom = \"128 Hz\"\nto = \"138 Hz\"\n";
        let case = include_str!("../../../tests/data/small-study.toml").to_owned() + asked;
        let study = Study::of(case, Path::new("small.toml")).unwrap_or_else(|_| panic!("a sound case"));
        let found = evaluate(&study, &Workbench::new(1 << 26), 0);
        let VariantResult::Measured { values, missing, .. } = &found else { panic!("{found:?}") };
        assert!(values[..3].iter().all(|value| value.is_finite()) && values[3].is_nan(), "{found:?}");
        assert_eq!(missing[..], [(3, "fewer than two frequencies lie in the band".to_owned())]);
        assert_eq!(
            study.missing(&found),
            "unevenness at the worst seat: fewer than two frequencies lie in the band"
        );
    }
}
