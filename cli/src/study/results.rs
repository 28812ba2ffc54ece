//! Finished variants → the results file of their shard.

use super::plan::Study;
use super::record::{Record, VariantResult};
use super::run::Results;
use crate::failure::Failure;
use crate::store::{Column, StudyFile, StudyLayout, Variation};
use std::path::Path;

/// The results file of a shard, which follows its journal.
pub struct ShardResults<'a> {
    study: &'a Study,
    file: StudyFile,
    waiting: Vec<Record>,
    /// True when the file must begin again.
    anew: bool,
}

impl<'a> ShardResults<'a> {
    /// The file at `path` of a shard whose journal holds `kept`; what is missing in it is added by the next flush.
    pub fn of(study: &'a Study, path: &Path, begun: &str, kept: &[Record]) -> Self {
        let file = StudyFile::at(path, layout(study, begun));
        let there = file.numbers();
        let follows = there.len() <= kept.len()
            && there.iter().zip(kept).all(|(number, record)| *number == record.number);
        // A file that cannot be read is begun again, too.
        let follows = follows && !there.is_empty();
        let waiting = if follows { kept[there.len()..].to_vec() } else { kept.to_vec() };
        Self { study, file, waiting, anew: !follows }
    }
}

impl Results for ShardResults<'_> {
    fn take(&mut self, records: Vec<Record>) {
        self.waiting.extend(records);
    }

    fn flush(&mut self) -> Result<(), Failure> {
        if self.waiting.is_empty() && !self.anew {
            return Ok(());
        }
        let rows: Vec<Variation> = self.waiting.iter().map(|record| row(self.study, record)).collect();
        self.file.add(&rows, self.anew).map_err(|error| {
            Failure::input(
                error,
                "Finished variants are safe in the journal. Mend this and give the same command again.",
            )
        })?;
        (self.anew, self.waiting) = (false, vec![]);
        Ok(())
    }
}

fn layout(study: &Study, begun: &str) -> StudyLayout {
    let column = |name: &str, unit: &str, description: String| Column {
        name: name.into(),
        unit: unit.into(),
        description,
    };
    let parameter = |parameter: &super::parameter::Parameter| {
        let words = parameter.words();
        let words: Vec<String> =
            words.iter().enumerate().map(|(i, word)| format!("{}: {word}", i + 1)).collect();
        let meaning = if words.is_empty() { String::new() } else { format!(" ({})", words.join(", ")) };
        column(&parameter.name, &parameter.unit(), format!("Value of {}{meaning}", parameter.slot.path))
    };
    let objective = |judged: &super::objective::Judged| {
        let better = if judged.less_is_better() { "small is better" } else { "large is better" };
        column(&judged.name, judged.unit(), format!("{}; {better}", judged.name))
    };
    StudyLayout {
        title: study.title.clone(),
        provenance: vec![
            ("program", format!("panelwright {}", env!("CARGO_PKG_VERSION"))),
            ("case_name", study.path.display().to_string()),
            ("case", study.source.clone()),
            ("design", format!("{:?}", study.design)),
            ("begun_at", begun.into()),
        ],
        parameters: study.parameters.iter().map(parameter).collect(),
        objectives: study.objectives.iter().map(objective).collect(),
        seats: study.seats.clone(),
        frequencies: study.frequencies.clone(),
    }
}

fn row(study: &Study, record: &Record) -> Variation {
    let point = study.point(record.number as usize);
    let parameters = point.iter().zip(&study.parameters).map(|(u, parameter)| parameter.number(*u)).collect();
    let (state, why) = match &record.result {
        VariantResult::Measured { .. } => (0, String::new()),
        VariantResult::Beyond(why) => (1, why.clone()),
        VariantResult::Failed(why) => (2, why.clone()),
    };
    let (objectives, cost, levels) = match &record.result {
        VariantResult::Measured { values, cost, levels } => (values.clone(), *cost, levels.clone()),
        _ => (vec![], f64::NAN, vec![]),
    };
    Variation {
        number: record.number,
        parameters,
        objectives,
        cost,
        state,
        why,
        seconds: record.seconds,
        levels,
    }
}
