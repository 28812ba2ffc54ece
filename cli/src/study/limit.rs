//! Limits that must hold, looked at before a variant is computed.

use crate::case::Problem;
use crate::case::quantity::{LENGTH, MASS, Quantity, short};
use crate::case::section::Section;

/// What is limited.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limited {
    /// Mass of the panel with all that is on it.
    Mass,
    /// Cost by the user's prices.
    Cost,
    /// Width of the panel's bounding box.
    Width,
    /// Its height.
    Height,
}

/// A limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Of what.
    pub what: Limited,
    /// Smallest value, in SI units.
    pub at_least: Option<f64>,
    /// Largest value.
    pub at_most: Option<f64>,
}

/// What is known of a variant before it is computed.
#[derive(Clone, Copy, Debug)]
pub struct Beforehand {
    /// Mass [kg].
    pub mass: f64,
    /// Cost.
    pub cost: f64,
    /// Width and height [m].
    pub size: (f64, f64),
}

impl Limited {
    fn named(word: &str) -> Self {
        match word {
            "mass" => Self::Mass,
            "cost" => Self::Cost,
            "width" => Self::Width,
            _ => Self::Height,
        }
    }

    fn name(self) -> &'static str {
        match self {
            Self::Mass => "mass",
            Self::Cost => "cost",
            Self::Width => "width",
            Self::Height => "height",
        }
    }

    fn quantity(self) -> Option<(&'static Quantity, &'static str)> {
        match self {
            Self::Mass => Some((&MASS, "kg")),
            Self::Cost => None,
            Self::Width | Self::Height => Some((&LENGTH, "mm")),
        }
    }

    fn of(self, known: &Beforehand) -> f64 {
        match self {
            Self::Mass => known.mass,
            Self::Cost => known.cost,
            Self::Width => known.size.0,
            Self::Height => known.size.1,
        }
    }

    fn show(self, value: f64) -> String {
        self.quantity().map_or_else(|| short(value), |(quantity, unit)| quantity.show(value, unit))
    }
}

impl Limit {
    /// How the variant is beyond this limit; `None` when it is not.
    pub fn broken_by(&self, known: &Beforehand) -> Option<String> {
        let value = self.what.of(known);
        let told = |word: &str, limit: f64| {
            format!("{} {} is {word} than {}", self.what.name(), self.what.show(value), self.what.show(limit))
        };
        match (self.at_least, self.at_most) {
            (Some(least), _) if value < least => Some(told("less", least)),
            (_, Some(most)) if value > most => Some(told("more", most)),
            _ => None,
        }
    }
}

/// The limits of `[study]`, or `None` with their problems told.
pub fn build(study: &Section, has_a_panel: bool, problems: &mut Vec<Problem>) -> Option<Vec<Limit>> {
    if let Some(section) =
        study.tables("limit")?.iter().find(|section| !has_a_panel && section.text("what") != Some("cost"))
    {
        let problem = Problem::error(section.place("what"), "the case has no panel to limit");
        problems.push(problem.because("told of a panel").instead("take this limit out, or limit the cost"));
    }
    let limits: Vec<Option<Limit>> =
        study.tables("limit")?.iter().map(|section| one(section, problems)).collect();
    limits.into_iter().collect()
}

fn one(section: &Section, problems: &mut Vec<Problem>) -> Option<Limit> {
    let what = Limited::named(section.text("what")?);
    let [at_least, at_most] = ["at_least", "at_most"].map(|key| edge(section, key, what, problems));
    let (at_least, at_most) = (at_least?, at_most?);
    let empty = match (at_least, at_most) {
        (None, None) => Some("write at_most = … or at_least = …"),
        (Some(least), Some(most)) if least > most => Some("`at_least` must not be above `at_most`"),
        _ => None,
    };
    if let Some(help) = empty {
        let problem = Problem::error(
            section.span.clone(),
            format!("no {} keeps to this limit, or every one does", what.name()),
        );
        problems.push(problem.because("this limit").instead(help));
        return None;
    }
    Some(Limit { what, at_least, at_most })
}

/// `Some(None)` for an end that is not given.
fn edge(section: &Section, key: &str, what: Limited, problems: &mut Vec<Problem>) -> Option<Option<f64>> {
    let Some(plain) = section.plain(key) else { return (!section.mentions(key)).then_some(None) };
    let read = match what.quantity() {
        Some((quantity, _)) => {
            quantity.parse(&plain.text).map(|amount| amount.si).map_err(|reason| reason.to_string())
        }
        None => plain.text.parse::<f64>().map_err(|_| "needed is a bare number".into()),
    };
    match read {
        Ok(value) if value.is_finite() => Some(Some(value)),
        _ => {
            let reason = read.err().unwrap_or_else(|| "not a number".into());
            let help = match what.quantity() {
                Some((quantity, unit)) => {
                    format!("write {} with its unit, such as \"2 {unit}\"", quantity.name)
                }
                None => "write a bare number, such as 120".into(),
            };
            let message = format!("the {} cannot be limited to \"{}\"", what.name(), plain.text);
            problems.push(Problem::error(plain.span.clone(), message).because(reason).instead(help));
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_hold_at_their_ends_and_break_beyond() {
        let known = |mass| Beforehand { mass, cost: 12.0, size: (0.8, 0.6) };
        let limit = Limit { what: Limited::Mass, at_least: Some(1.0), at_most: Some(2.0) };
        assert_eq!([1.0, 1.5, 2.0].map(|mass| limit.broken_by(&known(mass))), [None, None, None]);
        assert_eq!(limit.broken_by(&known(2.1)).as_deref(), Some("mass 2.1 kg is more than 2 kg"));
        assert_eq!(limit.broken_by(&known(0.9)).as_deref(), Some("mass 0.9 kg is less than 1 kg"));
        let narrow = Limit { what: Limited::Width, at_least: None, at_most: Some(0.79) };
        assert_eq!(narrow.broken_by(&known(1.0)).as_deref(), Some("width 800 mm is more than 790 mm"));
    }
}
