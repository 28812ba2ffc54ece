//! A variant as it may turn out when it is built: its neighbours within the tolerances of the varied values and the spread of the case.

use super::design::Design;
use super::evaluate::of_case;
use super::identity::Identity;
use super::plan::Study;
use super::record::VariantResult;
use crate::case;
use crate::case::section::Section;
use panelwright_solver::built;
use panelwright_solver::study::{Variant, Workbench};
use toml::de::DeTable;

/// Most neighbours of a variant.
pub const MOST_NEIGHBOURS: usize = 1 << 12;
/// Seed of the errors: a case always meets the same.
const SEED: u64 = 20_261;

/// Neighbours of the variants of a study.
///
/// Every varied value with a tolerance is off by up to that much, evenly between both ends; a panel differs, besides, as the `[spread]` of the case says. Neighbour `k` of every variant
/// meets the same errors, so that what differs between two variants is theirs and not chance. Errors fill the box of all tolerances evenly
/// (Sobol's sequence); more neighbours go on where fewer ended.
pub struct Neighbours<'a> {
    study: &'a Study,
    /// Errors of each neighbour as coordinates between 0 and 1, one for each value with a tolerance.
    errors: Vec<Vec<f64>>,
    /// True when the panel differs as the spread of the case says.
    spread: bool,
}

impl<'a> Neighbours<'a> {
    /// So many neighbours of each variant of `study`; `None` when nothing in it may be off.
    pub fn of(study: &'a Study, count: usize) -> Option<Self> {
        let uncertain = study.parameters.iter().filter(|parameter| parameter.tolerance.is_some()).count();
        let spread = has_spread(study);
        let errors = match uncertain {
            0 => vec![vec![]; count],
            _ => Design::LowDiscrepancy { count, seed: SEED }.points(uncertain),
        };
        (uncertain > 0 || spread).then_some(Self { study, errors, spread })
    }

    /// How many each variant has.
    pub fn count(&self) -> usize {
        self.errors.len()
    }

    /// True when the panel differs as the spread of the case says.
    pub fn has_spread(&self) -> bool {
        self.spread
    }

    /// What makes them the same neighbours: the study, its tolerances, and whether the panel is spread. Not how many there are.
    pub fn identity(&self) -> Identity {
        let mut identity = self.study.identity.clone();
        for parameter in &self.study.parameters {
            if let Some(tolerance) = parameter.tolerance {
                let told = format!("{tolerance} {}", parameter.unit());
                identity.values.insert(format!("tolerance of {}", parameter.slot.path), told);
            }
        }
        identity.values.insert("errors of building".into(), format!("seed {SEED}, spread {}", self.spread));
        identity
    }

    /// The number under which neighbour `k` of a variant is written down.
    pub fn number(variant: usize, k: usize) -> usize {
        variant * MOST_NEIGHBOURS + k
    }

    /// What comes of the neighbour of this number.
    pub fn evaluate(&self, bench: &Workbench, number: usize) -> VariantResult {
        let (variant, k) = (number / MOST_NEIGHBOURS, number % MOST_NEIGHBOURS);
        let point = self.study.point(variant);
        of_case(self.study, bench, (&self.text(variant, k), &point), |variant| self.spread_out(variant, k))
    }

    /// The text of a neighbour's case.
    pub fn text(&self, variant: usize, k: usize) -> String {
        let mut errors = self.errors[k].iter();
        let parameters = &self.study.parameters;
        let values = parameters.iter().zip(self.study.point(variant)).map(|(parameter, u)| {
            let Some(tolerance) = parameter.tolerance else { return parameter.text(u) };
            let error = tolerance * (2.0 * errors.next().unwrap_or(&0.5) - 1.0);
            format!("{} {}", parameter.number(u) + error, parameter.unit()).trim_end().to_owned()
        });
        let values: Vec<String> = values.collect();
        let slots = parameters.iter().map(|parameter| &parameter.slot);
        case::varied::exchanged(&self.study.source, slots.zip(values.iter().map(String::as_str)))
    }

    fn spread_out(&self, variant: Variant, k: usize) -> Variant {
        if !self.spread {
            return variant;
        }
        let blend = variant.blend.map(|mut blend| {
            blend.panel = built(&blend.panel, k);
            blend
        });
        Variant { panel: variant.panel.map(|panel| built(&panel, k)), blend, driver: variant.driver }
    }
}

/// True when the case itself says how far its panel may differ, and asks for variations of it.
fn has_spread(study: &Study) -> bool {
    let case = case_of(study);
    case.table("spread").is_some_and(|spread| spread.number("samples").is_some_and(|samples| samples > 0.0))
}

/// The case of a study as it was read.
pub(super) fn case_of(study: &Study) -> Section {
    let (document, _) = DeTable::parse_recoverable(&study.source);
    case::section_of(document.get_ref())
}
