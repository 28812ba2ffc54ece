//! A case with `[study]` → the variants of the study, each a case of its own.

use super::adaptive;
use super::cost::Prices;
use super::design::Design;
use super::evaluate::variant;
use super::identity::Identity;
use super::lattice::{Taken, combinations};
use super::limit::{self, Limit};
use super::named_files::{NamedFiles, named_files};
use super::objective::{self, Judged};
use super::parameter::{self, Parameter};
use super::record::VariantResult;
use super::sensitivity::{Sensitivity, sensitivities};
use crate::case::section::Section;
use crate::case::{self, Loaded, Problem, Problems};
use crate::failure::Failure;
use miette::Severity;
use panelwright_solver::scene::{DriverScene, Scene};
use panelwright_solver::study::Variant;
use std::collections::HashSet;
use std::path::{Path, PathBuf};
use toml::de::DeTable;

/// How many variants there are where nobody says.
const USUAL: f64 = 1000.0;
/// So many variants for every panel tell that there are no further panels.
const COMING_BACK: usize = 4;
/// Most variants of an adaptive search: asking for the next takes longer the more are known.
const MOST_ADAPTIVE: usize = 20_000;
/// Most variants of a study.
pub const MOST: usize = 10_000_000;

/// A study, ready to be run.
#[derive(Clone, Debug)]
pub struct Study {
    /// The case file.
    pub path: PathBuf,
    /// Its text.
    pub source: String,
    /// Its title.
    pub title: String,
    /// What is varied.
    pub parameters: Vec<Parameter>,
    /// How variants are chosen.
    pub design: Design,
    /// What counts.
    pub objectives: Vec<Judged>,
    /// What must hold.
    pub limits: Vec<Limit>,
    /// What a variant costs.
    pub prices: Prices,
    /// What makes it the same study.
    pub identity: Identity,
    /// The files that only variants name.
    pub files: NamedFiles,
    /// Names of the case's seats.
    pub seats: Vec<String>,
    /// Frequencies [Hz] of the case.
    pub frequencies: Vec<f64>,
    /// The case itself.
    pub(super) nominal: Variant,
    /// Coordinates of every variant that is chosen, one for each parameter.
    points: Vec<Vec<f64>>,
}

impl Study {
    /// Reads the study of the case at `path`.
    ///
    /// # Errors
    /// All mistakes of the case and its study at once.
    pub fn read(path: &Path) -> Result<Self, Failure> {
        let source = case::text_of(path)?;
        Self::of(source, path)
    }

    /// The study of a case with this text; `path` is for messages, and drawings and parts are looked for beside it.
    ///
    /// # Errors
    /// As [`read`](Self::read).
    pub fn of(source: String, path: &Path) -> Result<Self, Failure> {
        let loaded = case::parse_whole(&source, path)?;
        let (document, _) = DeTable::parse_recoverable(&source);
        let section = case::section_of(document.get_ref());
        let mut problems = vec![];
        let parts = Parts::of(&section, document.get_ref(), &loaded, &mut problems);
        let name = path.display().to_string();
        let parts = match parts {
            Some(parts) if problems.iter().all(|problem| problem.severity != Severity::Error) => parts,
            _ => return Err(Failure::from(Box::new(Problems::in_text(&name, &source, problems)))),
        };
        let (scenes, seats, frequencies) = match &loaded {
            Loaded::Panel(case) => (
                meaning(Some(&case.scene), case.driver_scenes()),
                &case.scene.receivers.seats,
                &case.scene.frequencies,
            ),
            Loaded::Driver(case) => {
                (meaning(None, std::iter::once(&case.scene)), &case.scene.seats, &case.scene.frequencies)
            }
        };
        let identity = Identity::of(document.get_ref(), &scenes);
        let (seats, frequencies) =
            (seats.iter().map(|seat| seat.name.clone()).collect(), frequencies.clone());
        let title = section.text("title").unwrap_or_default().to_owned();
        let Parts { parameters, design, objectives, limits, prices } = parts;
        let mut points = design.points(parameters.len());
        if matches!(design, Design::Adaptive { .. }) {
            points = untried(&parameters, &[], points);
        }
        let files = named_files(&parameters, path.parent().unwrap_or(Path::new("")));
        let path = path.into();
        Ok(Self {
            path,
            title,
            parameters,
            design,
            objectives,
            limits,
            prices,
            identity,
            files,
            seats,
            frequencies,
            nominal: variant(loaded).0,
            points,
            source,
        })
    }

    /// How many variants, those among them that an adaptive search has not chosen yet.
    pub fn count(&self) -> usize {
        self.design.count(self.parameters.len())
    }

    /// True when variants are chosen while the study runs.
    pub fn is_adaptive(&self) -> bool {
        matches!(self.design, Design::Adaptive { .. })
    }

    /// How many variants are chosen: all of them, but for an adaptive search that is under way.
    pub fn chosen(&self) -> usize {
        self.points.len()
    }

    /// Coordinates of every variant that is chosen, as its design makes them.
    pub(super) fn points(&self) -> &[Vec<f64>] {
        &self.points
    }

    /// Takes over what an adaptive search has chosen.
    pub(super) fn take_over(&mut self, points: Vec<Vec<f64>>) {
        self.points = points;
    }

    /// Chooses the generation of an adaptive search that follows from the `scores` of all that are chosen, infinite for one that broke a limit or failed;
    /// nothing as long as one of them is not finished. Of other designs everything is chosen from the start.
    pub(super) fn choose(&mut self, scores: &[Option<f64>]) {
        let Design::Adaptive { count, seed } = self.design else { return };
        let scores: Option<Vec<f64>> = scores.iter().copied().collect();
        let (Some(scores), left) = (scores, count - self.points.len()) else { return };
        let lists: Vec<Option<usize>> =
            self.parameters.iter().map(|one| one.levels().filter(|_| one.is_a_list())).collect();
        let known: Vec<(&[f64], f64)> = self.points.iter().map(Vec::as_slice).zip(scores).collect();
        let (begin, end) = (self.points.len(), self.points.len() + adaptive::generation(count).min(left));
        let even = Design::LowDiscrepancy { count: end, seed }.points(self.parameters.len());
        let next = adaptive::next(&known, (&even[begin..], &lists), (seed, begin));
        let next = untried(&self.parameters, &self.points, next);
        self.points.extend(next);
    }

    /// Coordinates of a variant, one for each parameter.
    pub fn point(&self, number: usize) -> Vec<f64> {
        let grid = matches!(self.design, Design::Grid { .. });
        let pairs = self.points[number].iter().zip(&self.parameters);
        pairs.map(|(u, parameter)| parameter.coordinate(*u, grid)).collect()
    }

    /// What of an objective the varied values explain, with these results by number; `None` where nothing differs, and of an adaptive search, which
    /// looks where it likes best and so tells nothing of the whole.
    pub fn sensitivities(&self, values: &[Option<f64>]) -> Option<Vec<Sensitivity>> {
        if self.is_adaptive() {
            return None;
        }
        let grid = matches!(self.design, Design::Grid { .. });
        let few = |parameter: &Parameter| parameter.levels().filter(|_| grid || parameter.is_a_list());
        let levels: Vec<Option<usize>> = self.parameters.iter().map(few).collect();
        sensitivities(&self.design, (&self.points, &levels), values)
    }

    /// The varied values of a variant, as they are written without quotes.
    pub fn values(&self, number: usize) -> Vec<String> {
        self.point(number).iter().zip(&self.parameters).map(|(u, parameter)| parameter.text(*u)).collect()
    }

    /// Which objectives of a variant do not exist, and why, in words; nothing when all do.
    pub fn missing(&self, result: &VariantResult) -> String {
        let told = |(place, judged): (usize, &Judged)| {
            result.why_missing(place).map(|why| format!("{}: {why}", judged.name))
        };
        self.objectives.iter().enumerate().filter_map(told).collect::<Vec<_>>().join("; ")
    }

    /// The text of a variant's case.
    pub fn text(&self, number: usize) -> String {
        let values = self.values(number);
        let slots = self.parameters.iter().map(|parameter| &parameter.slot);
        case::varied::exchanged(&self.source, slots.zip(values.iter().map(String::as_str)))
    }

    /// All variants that are chosen, in the order in which they are computed: those that differ least follow each other, so that what they have in
    /// common is still at hand.
    pub fn order(&self) -> Vec<usize> {
        let mut slow: Vec<usize> = (0..self.parameters.len()).collect();
        slow.sort_by_key(|&p| self.parameters[p].moves_only());
        let mut order: Vec<usize> = (0..self.points.len()).collect();
        order.sort_by_cached_key(|&number| (self.values_of(&slow, number), number));
        order
    }

    /// How many variants there are, on the average, for every panel with its air: those differ in exciters, amplifiers and seats alone.
    ///
    /// Of an adaptive search, whose later variants are not known at first, as its first ones are: where a few panels come back among them, all others
    /// are of these.
    pub fn variants_per_panel(&self) -> usize {
        let slow = self.of_the_panel();
        let known = if self.is_adaptive() { adaptive::first(self.count()) } else { self.count() };
        let panels: HashSet<Vec<u64>> = (0..known).map(|number| self.values_of(&slow, number)).collect();
        let variants = if known >= COMING_BACK * panels.len() { self.count() } else { known };
        variants / panels.len().max(1)
    }

    /// Places in `numbers` where a variant has another panel than the one before it.
    pub fn renewals(&self, numbers: &[usize]) -> Vec<usize> {
        let slow = self.of_the_panel();
        let panels: Vec<Vec<u64>> = numbers.iter().map(|number| self.values_of(&slow, *number)).collect();
        (1..numbers.len()).filter(|&place| panels[place - 1] != panels[place]).collect()
    }

    /// The parameters whose change makes another panel.
    fn of_the_panel(&self) -> Vec<usize> {
        (0..self.parameters.len()).filter(|&p| !self.parameters[p].moves_only()).collect()
    }

    /// Values of some parameters of a variant, as bits in the order of their numbers.
    pub(super) fn values_of(&self, parameters: &[usize], number: usize) -> Vec<u64> {
        let point = self.point(number);
        parameters.iter().map(|&p| of_value(self.parameters[p].number(point[p]))).collect()
    }
}

/// `wanted` with every point whose values, as they are written, are those of an earlier one replaced.
fn untried(parameters: &[Parameter], earlier: &[Vec<f64>], wanted: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let Some(mut taken) = Taken::by(parameters, earlier) else { return wanted };
    wanted.into_iter().map(|point| taken.take(point)).collect()
}

/// Bits that are in the order of their numbers.
fn of_value(number: f64) -> u64 {
    let bits = number.to_bits();
    if number.is_sign_negative() { !bits } else { bits | (1 << 63) }
}

/// What was understood, without the title.
fn meaning<'a>(
    panel: Option<&Scene>,
    drivers: impl Iterator<Item = &'a DriverScene>,
) -> (Option<Scene>, Vec<DriverScene>) {
    let panel = panel.map(|scene| Scene { title: String::new(), ..scene.clone() });
    (panel, drivers.map(|scene| DriverScene { title: String::new(), ..scene.clone() }).collect())
}

/// What `[study]` says.
struct Parts {
    parameters: Vec<Parameter>,
    design: Design,
    objectives: Vec<Judged>,
    limits: Vec<Limit>,
    prices: Prices,
}

impl Parts {
    fn of(
        case: &Section,
        document: &DeTable<'_>,
        loaded: &Loaded,
        problems: &mut Vec<Problem>,
    ) -> Option<Self> {
        let Some(section) = case.table("study") else {
            let problem = Problem::error(case.span.clone(), "the case has no study");
            let help = "add a table [study]; `panelwright reference case-file` explains its keys";
            problems.push(problem.because("no [study] in it").instead(help));
            return None;
        };
        let parameters: Vec<Option<Parameter>> =
            section.tables("vary")?.iter().map(|table| parameter::build(table, document, problems)).collect();
        if parameters.is_empty() {
            let problem = Problem::error(section.place("vary"), "nothing is varied");
            problems.push(problem.because("no table in it").instead("add a table [[study.vary]]"));
        }
        let parameters: Option<Vec<Parameter>> = parameters.into_iter().collect();
        if let Some(parameters) = &parameters {
            twice(parameters, problems);
        }
        let objectives = objective::build(section, loaded, problems);
        let limits = limit::build(section, matches!(loaded, Loaded::Panel(_)), problems);
        let prices = Prices::of(&section.table_or_defaults("prices"));
        let parameters = parameters?;
        let design = design(section, &parameters, problems)?;
        Some(Self { parameters, design, objectives: objectives?, limits: limits?, prices: prices? })
    }
}

/// A value that is varied twice, or two parameters of one name.
fn twice(parameters: &[Parameter], problems: &mut Vec<Problem>) {
    for (i, parameter) in parameters.iter().enumerate() {
        let earlier = &parameters[..i];
        if earlier.iter().any(|other| other.slot.span == parameter.slot.span) {
            let problem =
                Problem::error(parameter.span.clone(), format!("`{}` is varied twice", parameter.slot.path));
            problems.push(problem.because("the second time").instead("take one of the two tables out"));
        } else if earlier.iter().any(|other| other.name == parameter.name) {
            let problem = Problem::error(
                parameter.span.clone(),
                format!("two varied values are called \"{}\"", parameter.name),
            );
            problems.push(problem.because("this is the second").instead("give each its own name"));
        }
    }
}

fn design(section: &Section, parameters: &[Parameter], problems: &mut Vec<Problem>) -> Option<Design> {
    let (count, seed) =
        (section.number("variants").unwrap_or(USUAL) as usize, section.number("seed")? as u64);
    let design = match section.text("method")? {
        "grid" => grid(section, parameters, problems)?,
        "random" => Design::Random { count, seed },
        // No variant is looked at twice.
        "adaptive" => {
            Design::Adaptive { count: combinations(parameters).map_or(count, |all| count.min(all)), seed }
        }
        "sensitivity" => Design::Sensitivity { base: (count / (parameters.len() + 2)).max(1), seed },
        _ => Design::LowDiscrepancy { count, seed },
    };
    let total = design.count(parameters.len());
    if matches!(design, Design::Adaptive { .. }) && total > MOST_ADAPTIVE {
        let problem = Problem::error(
            section.place("variants"),
            format!("{total} variants are too many for an adaptive search"),
        );
        let help = "it has found what it can find long before: take fewer, or method = \"low discrepancy\" to see everything";
        problems.push(problem.because(format!("at most {MOST_ADAPTIVE}")).instead(help));
        return None;
    }
    if total > MOST {
        let problem = Problem::error(section.span.clone(), format!("the study would have {total} variants"));
        let help = "take fewer levels, or another method: \"low discrepancy\" with as many variants as there is time for";
        problems.push(problem.because(format!("at most {MOST}")).instead(help));
        return None;
    }
    Some(design)
}

fn grid(section: &Section, parameters: &[Parameter], problems: &mut Vec<Problem>) -> Option<Design> {
    let mut levels = vec![];
    for parameter in parameters {
        match parameter.levels() {
            Some(count) => levels.push(count),
            None => {
                let problem = Problem::error(
                    parameter.span.clone(),
                    "a grid needs to know how many values of this range it takes",
                );
                problems.push(problem.because("no `levels`").instead("add a line: levels = 7"));
            }
        }
    }
    if section.mentions("variants") {
        let problem =
            Problem::warning(section.place("variants"), "a grid has as many variants as its levels make");
        problems.push(problem.because("without effect").instead("take this line out"));
    }
    (levels.len() == parameters.len()).then(|| {
        // A product that does not fit is too large all the same.
        let total = levels.iter().try_fold(1usize, |total, count| total.checked_mul(*count));
        if total.is_none() { Design::Grid { levels: vec![MOST + 1] } } else { Design::Grid { levels } }
    })
}
