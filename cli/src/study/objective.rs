//! What variants are judged by.

use crate::case::Loaded;
use crate::case::Problem;
use crate::case::section::Section;
use panelwright_solver::study::{Across, Better, Objective, Over, Range, Subject};

/// What the user's prices make a variant cost; the solver knows nothing of it.
pub const COST: &str = "cost";

/// One thing that counts.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// What it is; `None` for the cost.
    pub objective: Option<Objective>,
    /// What it is called: no two alike in a study.
    pub name: String,
    /// What it counts.
    pub weight: f64,
}

impl Judged {
    /// Unit of its numbers.
    pub fn unit(&self) -> &'static str {
        self.objective.map_or("", |objective| objective.unit())
    }

    /// True when small numbers are better.
    pub fn less_is_better(&self) -> bool {
        self.objective.is_none_or(|objective| objective.better() == Better::Lower)
    }

    /// What a number costs when variants are ranked: small is better, and a step of one is what people take notice of. Steps are common
    /// practice, no source: 1 dB, a third of an octave, 10°, 10 % of the plane, 50 mm of wander, 0.1 mm of excursion, 1 Ω, 0.1 kg, 0.05 m², 10 of a currency.
    pub fn steps(&self, value: f64) -> f64 {
        let towards_less = |steps: f64| if self.less_is_better() { steps } else { -steps };
        towards_less(match self.objective {
            None => value / 10.0,
            Some(Objective::LowEnd { .. } | Objective::DriverTopEnd { .. }) => 3.0 * value.log2(),
            Some(Objective::Wander { .. }) => value / 50.0,
            Some(Objective::Excursion { .. }) => value / 0.1,
            Some(objective) => match objective.unit() {
                "°" | "%" => value / 10.0,
                "kg" => value / 0.1,
                "m²" => value / 0.05,
                _ => value,
            },
        })
    }
}

/// Everything a study can ask of the solver, over a band.
fn all(band: Range) -> Vec<Objective> {
    let (average, worst) = (Over::Average, Over::WorstSeat);
    let (across, upright) = (Across::Horizontal, Across::Vertical);
    vec![
        Objective::Flatness { band, over: average },
        Objective::Flatness { band, over: worst },
        Objective::LowEnd { drop: 10.0 },
        Objective::DeadSpot { band },
        Objective::DeadArea { band },
        Objective::Sensitivity { band },
        Objective::Beamwidth { band, across },
        Objective::Beamwidth { band, across: upright },
        Objective::BeamChange { band, across },
        Objective::BeamChange { band, across: upright },
        Objective::Wander { band },
        Objective::Excursion { band },
        Objective::Impedance { band },
        Objective::Mass,
        Objective::Area,
        Objective::Agreement { band },
        Objective::SumFlatness { band, over: average },
        Objective::SumFlatness { band, over: worst },
        Objective::TopOctave,
        Objective::Ripple { band },
        Objective::DriverFlatness { band, over: average },
        Objective::DriverFlatness { band, over: worst },
        Objective::DriverTopEnd { band },
        Objective::DriverBeamwidth { band, across },
        Objective::DriverBeamwidth { band, across: upright },
        Objective::DriverBeamChange { band, across },
        Objective::DriverBeamChange { band, across: upright },
    ]
}

/// The objectives of `[study]`, or `None` with their problems told.
pub fn build(study: &Section, case: &Loaded, problems: &mut Vec<Problem>) -> Option<Vec<Judged>> {
    let sections = study.tables("objective")?;
    let judged: Vec<Option<Judged>> = sections.iter().map(|section| one(section, case, problems)).collect();
    let mut judged: Vec<Judged> = judged.into_iter().collect::<Option<_>>()?;
    // The same thing over two bands: both are told apart by their bands.
    for i in 0..judged.len() {
        if judged.iter().filter(|other| other.name == judged[i].name).count() > 1 {
            judged[i].name = format!("{}, {}", judged[i].name, band_in_words(&sections[i]));
        }
    }
    for (i, section) in sections.iter().enumerate() {
        if judged[..i].iter().any(|earlier| earlier.name == judged[i].name) {
            let problem =
                Problem::error(section.span.clone(), format!("\"{}\" stands twice", judged[i].name));
            problems
                .push(problem.because("the second time").instead("take one out, or give it another band"));
        }
    }
    if judged.iter().all(|objective| objective.weight == 0.0) {
        let problem = Problem::error(study.place("objective"), "nothing counts: every weight is 0");
        problems.push(problem.because("all of them").instead("give at least one objective a weight above 0"));
    }
    Some(judged)
}

fn one(section: &Section, case: &Loaded, problems: &mut Vec<Problem>) -> Option<Judged> {
    let word = section.text("what")?;
    let weight = section.number("weight")?;
    let edge = |key: &str, open: f64| section.number(key).unwrap_or(open);
    let band = Range { from: edge("from", Range::ALL.from), to: edge("to", Range::ALL.to) };
    if section.unreadable("from") || section.unreadable("to") {
        return None;
    }
    if band.from >= band.to {
        let problem = Problem::error(section.place("to"), "the band is empty");
        problems.push(problem.because("not above `from`").instead("write a `to` above `from`"));
        return None;
    }
    let name = word.to_owned();
    if word == COST {
        return Some(Judged { objective: None, name, weight });
    }
    let objective = all(band).into_iter().find(|objective| objective.name() == word)?;
    let subject = objective.subject();
    if let Some(missing) = missing(subject, case) {
        let problem =
            Problem::error(section.place("what"), format!("the case has no {missing} for \"{word}\""));
        let help = "add it, or ask for something else; `panelwright reference case-file` lists what there is";
        problems.push(problem.because(format!("told of {}", of_what(subject))).instead(help));
        return None;
    }
    Some(Judged { objective: Some(objective), name, weight })
}

/// What the case lacks for an objective.
fn missing(subject: Subject, case: &Loaded) -> Option<&'static str> {
    let driven = matches!(case, Loaded::Panel(case) if !case.scene.exciters.is_empty());
    let driver = match case {
        Loaded::Panel(case) => !case.drivers.is_empty(),
        Loaded::Driver(_) => true,
    };
    match subject {
        Subject::Panel | Subject::Blend if !driven => Some("panel with an exciter"),
        Subject::Driver | Subject::Blend if !driver => Some("driver"),
        _ => None,
    }
}

fn of_what(subject: Subject) -> &'static str {
    match subject {
        Subject::Panel => "a panel",
        Subject::Driver => "a small driver with its surround",
        Subject::Blend => "panel and driver together",
    }
}

fn band_in_words(section: &Section) -> String {
    let hertz = |key: &str| section.number(key).map(|frequency| format!("{frequency:.0} Hz"));
    match (hertz("from"), hertz("to")) {
        (Some(from), Some(to)) => format!("{from} to {to}"),
        (Some(from), None) => format!("from {from}"),
        (None, Some(to)) => format!("up to {to}"),
        (None, None) => "whole range".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::objective_words;

    #[test]
    fn every_word_of_the_case_file_means_something_and_all_that_can_be_asked_has_a_word() {
        let names: Vec<&str> = all(Range::ALL).iter().map(Objective::name).chain([COST]).collect();
        assert_eq!(names, objective_words());
    }

    #[test]
    fn better_numbers_cost_less() {
        let judged = |objective| Judged { objective, name: String::new(), weight: 1.0 };
        for objective in all(Range::ALL) {
            let judged = judged(Some(objective));
            let change = judged.steps(2.0) - judged.steps(1.0);
            assert_eq!(change > 0.0, objective.better() == Better::Lower, "{objective:?}");
        }
        assert!(judged(None).steps(2.0) > judged(None).steps(1.0));
        let octave = judged(Some(Objective::LowEnd { drop: 10.0 }));
        approx::assert_relative_eq!(octave.steps(80.0) - octave.steps(40.0), 3.0);
    }
}
