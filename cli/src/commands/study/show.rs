//! `panelwright study show`: one variant, with its surround for a printer.

use super::{Begun, exists, printable};
use crate::args;
use crate::failure::Failure;
use crate::study::{Ranking, VariantResult};
use crate::terminal::{self, number, whole};

/// Shows one variant: values, objectives, place among the others.
///
/// # Errors
/// When there is no such variant, or its surround cannot be written.
pub fn run(options: &args::StudyShow) -> Result<(), Failure> {
    let begun = Begun::find(&options.case, options.into.as_ref())?;
    let study = &begun.study;
    exists(study, options.number)?;
    let mut lines = vec![format!("Variant {}", options.number)];
    let values = study.values(options.number);
    lines.extend(
        study
            .parameters
            .iter()
            .zip(&values)
            .map(|(parameter, value)| format!("  {:40} {value}", parameter.name)),
    );
    lines.push(String::new());
    let result = begun.records.get(&(options.number as u64)).map(|record| &record.result);
    match result {
        None => lines.push("It is not computed yet.".into()),
        Some(VariantResult::Failed(why)) => lines.push(format!("It failed: {why}")),
        Some(VariantResult::Beyond(why)) => lines.push(format!("It was not computed: {why}")),
        Some(VariantResult::Measured { values, .. }) => {
            let ranking = Ranking::of(&study.objectives, begun.records.values());
            let why = |place| result.and_then(|result| result.why_missing(place));
            lines.extend(objectives(&begun, &ranking, (values, &why)));
            if let Some(place) = ranking.best_first.iter().position(|ranked| ranked.number == options.number)
            {
                let of = ranking.best_first.len();
                lines.push(format!(
                    "\nPlace {} of {} by the weights of the case.",
                    whole(place + 1),
                    whole(of)
                ));
            }
            if let Some(path) = printable::write_one(&begun, options.number)? {
                lines.push(format!("Its surround, to be printed (STL, mm): {}", path.display()));
            }
        }
    }
    lines.push(format!(
        "`panelwright study export {} --variant {} --to FILE.toml` writes it as a case.",
        options.case.display(),
        options.number
    ));
    terminal::print(&lines.join("\n"));
    Ok(())
}

/// Every objective, and which share of all variants is worse.
fn objectives<'a>(
    begun: &Begun,
    ranking: &Ranking,
    (values, why): (&[f64], &dyn Fn(usize) -> Option<&'a str>),
) -> Vec<String> {
    let line = |(i, judged): (usize, &_)| {
        let judged: &crate::study::Judged = judged;
        if !values[i].is_finite() {
            let why = why(i).map(|why| format!(": {why}")).unwrap_or_default();
            return format!("  {:40} does not exist for this variant{why}", judged.name);
        }
        let steps = judged.steps(values[i]);
        let worse = ranking.best_first.iter().filter(|other| judged.steps(other.values[i]) > steps).count();
        let share = 100.0 * worse as f64 / ranking.best_first.len().max(1) as f64;
        format!(
            "  {:40} {:>10} {:4} better than {share:.0} % of the variants",
            judged.name,
            number(values[i]),
            judged.unit()
        )
    };
    begun.study.objectives.iter().enumerate().map(line).collect()
}
