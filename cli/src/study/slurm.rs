//! A study as a job array of Slurm, the scheduler of most clusters: one task for each part.
//!
//! ```text
//! parts with unfinished variants, less those that are queued ─▶ shards.sh ─▶ sbatch ─▶ slurm.json (jobs)
//!                                          squeue ◀───────────────────────────────────────────┘
//! ```
//!
//! What is finished is known from the journals alone; Slurm is only asked what it still has. Its words and options are used where they are its
//! interface (sbatch(1) and squeue(1), Slurm 22.05).

use super::folder::StudyFolder;
use super::plan::Study;
use crate::failure::Failure;
use serde::{Deserialize, Serialize};
use std::ffi::OsString;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::process::Command;

const SUBMITTED: &str = "slurm.json";
const SHARDS: &str = "shards.sh";
const GATHER: &str = "gather.sh";
/// Folder of what the tasks say.
const LOG: &str = "log";
/// States of a job that Slurm is not done with: pending, running, suspended, stopped, configuring, completing.
const ALIVE: &str = "PD,R,S,ST,CF,CG";

/// What was submitted.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Submitted {
    /// What was asked for.
    pub wanted: Wanted,
    /// Job arrays that Slurm may still have.
    pub jobs: Vec<u64>,
}

/// What is asked of the cluster.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Wanted {
    /// Into how many parts the study is cut.
    pub shards: usize,
    /// Variants that a task computes side by side, each on a core.
    pub workers: usize,
    /// Memory of a task [MB]; the partition's default unless known.
    #[serde(default)]
    pub megabytes: Option<u64>,
    /// Partition; Slurm's default unless given.
    pub partition: Option<String>,
    /// Minutes after which Slurm ends a task; the partition's default unless given.
    pub minutes: Option<u64>,
}

/// Why Slurm did not do what it was asked for.
#[derive(Debug, thiserror::Error)]
pub enum SlurmError {
    /// It is not installed here.
    #[error("`{0}` was not found: this machine has no Slurm commands")]
    Missing(&'static str),
    /// It could not be started.
    #[error("`{program}` could not be started: {error}")]
    NotStarted {
        /// Which program.
        program: &'static str,
        /// Why.
        error: std::io::Error,
    },
    /// It refused.
    #[error("`{program}` refused: {said}")]
    Refused {
        /// Which program.
        program: &'static str,
        /// In its own words.
        said: String,
    },
}

/// A study on a cluster.
pub struct Cluster<'a> {
    folder: &'a StudyFolder,
    /// This program.
    program: PathBuf,
    /// The case file, from the root.
    case: PathBuf,
    /// The study's folder, from the root.
    place: PathBuf,
    /// Name of its jobs, which no other study has.
    name: String,
}

impl<'a> Cluster<'a> {
    /// The study in `folder`, which must have begun.
    ///
    /// # Errors
    /// When the system cannot tell where things are, or the folder cannot be written to.
    pub fn of(study: &Study, folder: &'a StudyFolder) -> Result<Self, Failure> {
        let digest = blake3::Hash::from(study.identity.digest()).to_hex();
        let log = folder.file(LOG);
        std::fs::create_dir_all(&log).map_err(|error| folder.refused(&log, &error))?;
        Ok(Self {
            folder,
            program: std::env::current_exe().map_err(Failure::ours)?,
            case: std::path::absolute(&study.path).map_err(Failure::ours)?,
            place: std::path::absolute(folder.path()).map_err(Failure::ours)?,
            name: format!("panelwright-{}", &digest[..12]),
        })
    }

    /// What was submitted before.
    ///
    /// # Errors
    /// When the note of it cannot be read.
    pub fn submitted(&self) -> Result<Option<Submitted>, Failure> {
        let path = self.folder.file(SUBMITTED);
        match std::fs::read(&path) {
            Ok(bytes) => serde_json::from_slice(&bytes).map(Some).map_err(|error| {
                let help = "Move it away; parts that Slurm still has would then be submitted twice, which costs time and nothing else.";
                Failure::input(format!("{} cannot be understood: {error}", path.display()), help)
            }),
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
            Err(error) => Err(self.folder.refused(&path, &error)),
        }
    }

    /// Keeps a note of what was submitted.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn keep(&self, submitted: &Submitted) -> Result<(), Failure> {
        let text = serde_json::to_string_pretty(submitted).map_err(Failure::ours)?;
        self.folder.write(SUBMITTED, text.as_bytes()).map(drop)
    }

    /// Writes the script of a job array for the parts with these numbers, and the one that gathers afterwards.
    ///
    /// # Errors
    /// When they cannot be written.
    pub fn write_scripts(&self, wanted: &Wanted, parts: &[usize]) -> Result<(PathBuf, PathBuf), Failure> {
        let shards = self.folder.write(SHARDS, self.array_script(wanted, parts).as_bytes())?;
        let gather = self.folder.write(GATHER, self.gather_script(wanted).as_bytes())?;
        Ok((shards, gather))
    }

    fn array_script(&self, wanted: &Wanted, parts: &[usize]) -> String {
        let Wanted { shards, workers, .. } = wanted;
        let arguments = format!("--shard \"$SLURM_ARRAY_TASK_ID/{shards}\" --workers {workers}");
        let own = [
            format!("--array={}", ranges(parts)),
            format!("--cpus-per-task={workers}"),
            format!("--output={}", self.log(&format!("shard-%a-of-{shards}.txt"))),
        ];
        let memory = wanted.megabytes.map(|megabytes| format!("--mem={megabytes}M"));
        let own: Vec<String> = own.into_iter().chain(memory).collect();
        let what = format!("Each task computes one part of a study. Submit it with: sbatch {SHARDS}");
        self.script(&what, wanted, &own, ("run", &arguments))
    }

    fn gather_script(&self, wanted: &Wanted) -> String {
        let own = [format!("--output={}", self.log("gather.txt"))];
        let what =
            format!("Gathers what the parts of a study have computed. Submit it with: sbatch {GATHER}");
        self.script(&what, wanted, &own, ("gather", ""))
    }

    fn script(&self, what: &str, wanted: &Wanted, own: &[String], (verb, arguments): (&str, &str)) -> String {
        let partition = wanted.partition.as_ref().map(|name| format!("--partition={name}"));
        let minutes = wanted.minutes.map(|minutes| format!("--time={minutes}"));
        let common = [format!("--job-name={}", self.name), "--open-mode=append".into()];
        let options = common.iter().chain(own).chain(&partition).chain(&minutes);
        let directives: String = options.map(|option| format!("#SBATCH {option}\n")).collect();
        let [program, case, place] = [&self.program, &self.case, &self.place].map(|path| quoted(path));
        let command = format!("exec {program} study {verb} {case} --into {place} {arguments}");
        format!("#!/bin/sh\n# {what}\n{directives}{}\n", command.trim_end())
    }

    /// A file of the folder for what the tasks say, as a directive has it: a percent sign of the path itself is doubled.
    fn log(&self, name: &str) -> String {
        format!("\"{}/{LOG}/{name}\"", self.place.display().to_string().replace('%', "%%"))
    }

    /// Submits a script, to run after `jobs` have ended in whatever way; the number of its job.
    ///
    /// # Errors
    /// [`SlurmError`].
    pub fn submit(&self, script: &Path, after: &[u64]) -> Result<u64, SlurmError> {
        let after: Vec<String> = after.iter().map(u64::to_string).collect();
        let dependency = (!after.is_empty()).then(|| format!("--dependency=afterany:{}", after.join(":")));
        let arguments = ["--parsable".into()].into_iter().chain(dependency).map(Into::into);
        let said = asked("sbatch", arguments.chain([script.as_os_str().to_owned()]))?;
        // Number, and in a federation the cluster behind a semicolon.
        let number = said.trim().split(';').next().and_then(|number| number.parse().ok());
        number.ok_or(SlurmError::Refused {
            program: "sbatch",
            said: format!("it answered \"{}\"", said.trim()),
        })
    }

    /// Job and number of every part that Slurm has not done with, of these jobs.
    ///
    /// # Errors
    /// [`SlurmError`].
    pub fn queued(&self, jobs: &[u64]) -> Result<Vec<(u64, usize)>, SlurmError> {
        if jobs.is_empty() {
            return Ok(vec![]);
        }
        let name = format!("--name={}", self.name);
        let states = format!("--states={ALIVE}");
        let said =
            asked("squeue", ["--noheader", "--array", &name, &states, "--format=%F %K"].map(Into::into))?;
        Ok(said.lines().filter_map(task).filter(|(job, _)| jobs.contains(job)).collect())
    }
}

/// `12 3` → job 12, part 3; `None` for a job that is no array.
fn task(line: &str) -> Option<(u64, usize)> {
    let (job, part) = line.trim().split_once(' ')?;
    Some((job.parse().ok()?, part.trim().parse().ok()?))
}

/// What a program of Slurm says.
fn asked(program: &'static str, arguments: impl IntoIterator<Item = OsString>) -> Result<String, SlurmError> {
    let ran = Command::new(program).args(arguments).output().map_err(|error| match error.kind() {
        ErrorKind::NotFound => SlurmError::Missing(program),
        _ => SlurmError::NotStarted { program, error },
    })?;
    match ran.status.success() {
        true => Ok(String::from_utf8_lossy(&ran.stdout).into_owned()),
        false => {
            Err(SlurmError::Refused { program, said: String::from_utf8_lossy(&ran.stderr).trim().into() })
        }
    }
}

/// `1-3,7`: numbers in rising order as sbatch has them.
pub fn ranges(numbers: &[usize]) -> String {
    let runs = numbers.chunk_by(|a, b| a + 1 == *b);
    let run = |run: &[usize]| match run {
        [one] => one.to_string(),
        _ => format!("{}-{}", run[0], run[run.len() - 1]),
    };
    runs.map(run).collect::<Vec<_>>().join(",")
}

/// A word for the shell, whatever is in it.
fn quoted(path: &Path) -> String {
    format!("'{}'", path.to_string_lossy().replace('\'', "'\\''"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_a_row_are_a_range() {
        for (numbers, text) in [
            (&[1, 2, 3, 7][..], "1-3,7"),
            (&[2], "2"),
            (&[1, 3, 4], "1,3-4"),
            (&[5, 6, 9, 11, 12, 13], "5-6,9,11-13"),
        ] {
            assert_eq!(ranges(numbers), text);
        }
    }

    #[test]
    fn tasks_are_read_and_other_jobs_are_not() {
        assert_eq!(task("12 3"), Some((12, 3)));
        assert_eq!(task(" 12   30 "), Some((12, 30)));
        assert_eq!(task("12 N/A"), None);
        assert_eq!(task(""), None);
    }

    #[test]
    fn the_script_says_what_was_asked_for_and_survives_odd_names() {
        let folder = StudyFolder::at(Path::new("/data/Otto's 50% panel-study"));
        let cluster = Cluster {
            folder: &folder,
            program: "/opt/panelwright".into(),
            case: "/data/Otto's 50% panel.toml".into(),
            place: folder.path().into(),
            name: "panelwright-abc".into(),
        };
        let wanted = Wanted {
            shards: 64,
            workers: 2,
            megabytes: Some(1700),
            partition: Some("long".into()),
            minutes: Some(481),
        };
        let script = cluster.array_script(&wanted, &[3, 4, 9]);
        let expected = "#!/bin/sh
# Each task computes one part of a study. Submit it with: sbatch shards.sh
#SBATCH --job-name=panelwright-abc
#SBATCH --open-mode=append
#SBATCH --array=3-4,9
#SBATCH --cpus-per-task=2
#SBATCH --output=\"/data/Otto's 50%% panel-study/log/shard-%a-of-64.txt\"
#SBATCH --mem=1700M
#SBATCH --partition=long
#SBATCH --time=481
exec '/opt/panelwright' study run '/data/Otto'\\''s 50% panel.toml' --into '/data/Otto'\\''s 50% panel-study' --shard \"$SLURM_ARRAY_TASK_ID/64\" --workers 2
";
        assert_eq!(script, expected);
        let plain = Wanted { shards: 4, workers: 1, megabytes: None, partition: None, minutes: None };
        let gather = cluster.gather_script(&plain);
        assert!(
            !gather.contains("--time") && !gather.contains("--mem") && gather.contains("sbatch gather.sh"),
            "{gather}"
        );
        assert!(gather.ends_with(" --into '/data/Otto'\\''s 50% panel-study'\n"), "{gather}");
    }
}
