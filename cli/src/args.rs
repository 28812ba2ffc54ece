//! Command line: one struct per command, help that teaches by example.

use crate::failure::Failure;
use clap::{CommandFactory, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;
use std::time::Duration;

/// Predicts how a flat-panel loudspeaker sounds before anything is cut.
#[derive(Debug, Parser)]
#[command(name = "panelwright", version, max_term_width = 100, arg_required_else_help = true)]
#[command(after_help = "\
Examples:
  panelwright new my-panel.toml           write a commented case file to start from
  panelwright check my-panel.toml         find mistakes in it; see what a prediction will cost
  panelwright predict my-panel.toml       compute everything; open my-panel-results/report.html
  panelwright surround my-driver.toml     what wings or a flare do to the small driver
  panelwright blend my-panel.toml         how panel and driver sum; where to cross over
  panelwright place my-panel.toml         where to glue the exciters
  panelwright study run my-panel.toml     thousands of variants overnight; `study rank` tells the best
  panelwright modes my-panel.toml         natural frequencies only
  panelwright materials \"poplar plywood\"  one material, with its sources and spread

Exit codes: 0 all is well, 1 something in your input needs mending, 2 a fault of the program.")]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Compute response, output map, acoustic centre and all the rest; write a results folder.
    Predict(Predict),
    /// Compare what wings, flares and other parts do to the small driver near the panel; write a results folder.
    Surround(Surround),
    /// Sum panel and driver at the seats: response, one source or two, where to cross over; write a results folder.
    Blend(Blend),
    /// Find where to glue the exciters: every place on the panel scored by what the seats hear; write a results folder.
    Place(Place),
    /// Compute many variants of a case, unattended, and rank them.
    #[command(subcommand)]
    Study(Study),
    /// Compute the natural frequencies of the panel.
    Modes(Modes),
    /// Check a case file and say what a prediction would compute and cost.
    Check(Check),
    /// List the built-in materials, or show one with its sources and spread.
    Materials(Materials),
    /// Write a commented case file to start from.
    New(New),
    /// Print reference texts: case-file keys, JSON Schema for editors, man page, shell completions.
    Reference(Reference),
}

/// Options of `predict`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  panelwright predict cases/tea-room.toml
  panelwright predict my-panel.toml --into results/monday
  panelwright predict my-panel.toml --json | jq .seats[0].usable")]
pub struct Predict {
    /// Case file (TOML).
    pub case: PathBuf,
    /// Results folder; `CASE-results` beside the case file unless given.
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
    /// Print the findings as JSON on standard output, for programs.
    #[arg(long)]
    pub json: bool,
}

/// Options of `surround`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  panelwright surround cases/tea-room-driver.toml
  panelwright surround my-driver.toml --into results/wings
  panelwright surround my-driver.toml             once more after Ctrl-C: it goes on where it stopped
  panelwright surround my-driver.toml --json | jq .summary")]
pub struct Surround {
    /// Case file (TOML) with a [driver] and any number of [[surround]] tables.
    pub case: PathBuf,
    /// Name of the driver whose surrounds are compared; of several drivers all, each in a folder of its own, unless given.
    #[arg(long, value_name = "NAME")]
    pub driver: Option<String>,
    /// Results folder; `CASE-surrounds` beside the case file unless given.
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
    /// What earlier runs left.
    #[command(flatten)]
    pub kept: Kept,
    /// Print the findings as JSON on standard output, for programs.
    #[arg(long)]
    pub json: bool,
}

/// Options of `blend`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  panelwright blend cases/tea-room-blend.toml
  panelwright blend my-panel.toml --into results/crossover
  panelwright blend my-panel.toml --render a-song-of-mine.wav
  panelwright blend my-panel.toml --json | jq .summary")]
pub struct Blend {
    /// Case file (TOML) with a [panel], exciters and a [driver].
    pub case: PathBuf,
    /// Results folder; `CASE-blend` beside the case file unless given.
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
    /// Also write this recording as every seat would hear it, with every surround, as in the case and with the advised crossover, all
    /// equally loud: a WAV file of 8 to 192 kHz; its channels are added up.
    #[arg(long, value_name = "WAV")]
    pub render: Option<PathBuf>,
    /// What earlier runs left.
    #[command(flatten)]
    pub kept: Kept,
    /// Print the findings as JSON on standard output, for programs.
    #[arg(long)]
    pub json: bool,
}

/// Options of `place`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  panelwright place cases/tea-room-place.toml
  panelwright place my-panel.toml --into results/places
  panelwright place my-panel.toml --json | jq .exciters.best")]
pub struct Place {
    /// Case file (TOML) with a [panel] and exciters; [place] says where they may go.
    pub case: PathBuf,
    /// Results folder; `CASE-places` beside the case file unless given.
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
    /// Print the findings as JSON on standard output, for programs.
    #[arg(long)]
    pub json: bool,
}

/// Commands of `study`.
#[derive(Debug, Subcommand)]
pub enum Study {
    /// Compute the variants that are not finished yet. Ctrl-C stops; the same command goes on where it stopped.
    Run(StudyRun),
    /// Tell how far a study has come, while it runs or afterwards.
    Status(StudyLook),
    /// Bring together what several machines or parts have computed: every variant once.
    Gather(StudyGather),
    /// Hand the study to a cluster (Slurm) as a job array; once more, and what is missing is submitted again.
    Submit(StudySubmit),
    /// List the best variants, what they trade for what, and which varied values matter; write a page to look at.
    Rank(StudyRank),
    /// Show one variant: its values, its objectives and how they compare.
    Show(StudyShow),
    /// Write all variants as a table (CSV), or one as a case file of its own.
    Export(StudyExport),
}

/// Memory [MB] for what variants have in common, unless given.
pub const KEPT: u64 = 1000;

/// Options of `study run`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  panelwright study run cases/tea-room-study.toml
  panelwright study run my-panel.toml --workers 1
  panelwright study run my-panel.toml --shard 3/64    one of 64 parts, on whatever machine
  panelwright study run my-panel.toml --retry-failed  what failed for want of memory, say")]
pub struct StudyRun {
    /// Case file (TOML) with a [study].
    pub case: PathBuf,
    /// Folder of the study; `CASE-study` beside the case file unless given.
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
    /// Compute only this part of the study: NUMBER/COUNT.
    #[arg(long, value_name = "NUMBER/COUNT")]
    pub shard: Option<String>,
    /// Variants computed side by side; one for each core unless given.
    #[arg(long, value_name = "NUMBER")]
    pub workers: Option<usize>,
    /// Memory for what variants have in common, in megabytes: modes, transfers, solutions of the driver.
    #[arg(long, value_name = "MEGABYTES", default_value_t = KEPT)]
    pub keep: u64,
    /// Compute variants that failed once more, too.
    #[arg(long)]
    pub retry_failed: bool,
    /// If the folder holds another study, move it aside and begin this one.
    #[arg(long)]
    pub anew: bool,
}

/// Options of `study gather`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  panelwright study gather my-panel.toml                          parts that shared one folder
  panelwright study gather my-panel.toml from-attic from-cellar   folders copied from other machines

The folders that are gathered from stay as they are. Gather as often as you like, while the parts are still being computed or afterwards.")]
pub struct StudyGather {
    /// Case file (TOML) with a [study].
    pub case: PathBuf,
    /// Study folders of other machines; what is in the case's own study folder is always gathered.
    #[arg(value_name = "FOLDER")]
    pub folders: Vec<PathBuf>,
    /// Folder of the study, to gather into; `CASE-study` beside the case file unless given.
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
}

/// Options of `study submit`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  panelwright study submit my-panel.toml --shards 64 --dry-run      look at the script first
  panelwright study submit my-panel.toml --shards 64 --workers 2 --time 8h
  panelwright study submit my-panel.toml                            once more: what is missing and not queued

Case, study folder and this program must be where the cluster's nodes find them by the same path. A last job gathers the parts. Whatever
else your cluster needs goes into Slurm's own variables: SBATCH_ACCOUNT, SBATCH_QOS, SBATCH_MEM_PER_CPU.")]
pub struct StudySubmit {
    /// Case file (TOML) with a [study].
    pub case: PathBuf,
    /// Folder of the study; `CASE-study` beside the case file unless given.
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
    /// Into how many parts the study is cut, each a task of its own; as before unless given.
    #[arg(long, value_name = "NUMBER")]
    pub shards: Option<usize>,
    /// Partition to submit to; as before, or the cluster's default, unless given.
    #[arg(long, value_name = "NAME")]
    pub partition: Option<String>,
    /// Time limit of a task, as \"8h\" or \"90min\"; as before, or the partition's default, unless given.
    #[arg(long, value_name = "TIME", value_parser = humantime::parse_duration)]
    pub time: Option<Duration>,
    /// Variants that each task computes side by side, each on a core; as before, or one, unless given.
    #[arg(long, value_name = "NUMBER")]
    pub workers: Option<usize>,
    /// Memory of a task in megabytes; what its workers are expected to need unless given.
    #[arg(long, value_name = "MEGABYTES")]
    pub memory: Option<u64>,
    /// Write the scripts and say what would be submitted; submit nothing.
    #[arg(long)]
    pub dry_run: bool,
}

/// Options of `study status`.
#[derive(Debug, clap::Args)]
pub struct StudyLook {
    /// Case file (TOML) with a [study].
    pub case: PathBuf,
    /// Folder of the study; `CASE-study` beside the case file unless given.
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
    /// Print JSON on standard output, for programs.
    #[arg(long)]
    pub json: bool,
}

/// Options of `study rank`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
How variants are ranked: every objective counts its weight for each step that people take notice of (1 dB, a third of an octave, 10°,
10 % of the plane, 50 mm of wander, 0.1 mm of excursion, 1 Ω, 0.1 kg, 0.05 m², 10 of your currency); the smallest sum is the best.
Weights may be changed in the case file at any time; nothing is computed again. The list with its pictures is in report.html in the
study's folder.

How far off a varied value may be built is its `tolerance` in [[study.vary]]; the panel besides as [spread] of the case says. --robust
tells the mean of the score and its bad end, which one in ten is worse than. It goes on where it was stopped.

Examples:
  panelwright study rank cases/tea-room-study.toml
  panelwright study rank my-panel.toml --top 25
  panelwright study rank my-panel.toml --robust
  panelwright study rank my-panel.toml --robust 20 --neighbours 64")]
pub struct StudyRank {
    /// What to look at.
    #[command(flatten)]
    pub look: StudyLook,
    /// How many variants to list.
    #[arg(long, value_name = "NUMBER", default_value_t = 10)]
    pub top: usize,
    /// Compute what becomes of the best so many variants (10 unless given) when they are built a little off, and rank them by that, too.
    #[arg(long, value_name = "NUMBER", num_args = 0..=1, default_missing_value = "10")]
    pub robust: Option<usize>,
    /// How many ways to be off are looked at for each of them.
    #[arg(long, value_name = "NUMBER", default_value_t = 32, requires = "robust")]
    pub neighbours: usize,
    /// Ways computed side by side; one for each core unless given.
    #[arg(long, value_name = "NUMBER", requires = "robust")]
    pub workers: Option<usize>,
}

/// Options of `study show`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Example:
  panelwright study show my-panel.toml 4711")]
pub struct StudyShow {
    /// Case file (TOML) with a [study].
    pub case: PathBuf,
    /// Number of the variant.
    pub number: usize,
    /// Folder of the study; `CASE-study` beside the case file unless given.
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
}

/// Options of `study export`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  panelwright study export my-panel.toml                        variants.csv in the study's folder
  panelwright study export my-panel.toml --variant 4711 --to best.toml
  panelwright predict best.toml                                 the whole prediction of that variant")]
pub struct StudyExport {
    /// Case file (TOML) with a [study].
    pub case: PathBuf,
    /// Folder of the study; `CASE-study` beside the case file unless given.
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
    /// Write this variant as a case file instead.
    #[arg(long, value_name = "NUMBER")]
    pub variant: Option<usize>,
    /// File to write; an existing file is not overwritten.
    #[arg(long, value_name = "FILE")]
    pub to: Option<PathBuf>,
}

/// What is done with solutions of the small driver.
#[derive(Debug, clap::Args)]
pub struct Kept {
    /// Keep up to so many megabytes of solutions in the folder `kept` of the results folder, so that a stopped comparison goes on and
    /// a changed one solves only what has changed; what was not used for longest goes first. 0 neither keeps nor uses any.
    #[arg(long, value_name = "MEGABYTES", default_value_t = 1000)]
    pub keep: u64,
    /// Forget what earlier runs kept, and solve everything anew.
    #[arg(long)]
    pub afresh: bool,
}

/// Options of `modes`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  panelwright modes my-panel.toml
  panelwright modes my-panel.toml --up-to \"2 kHz\" --json")]
pub struct Modes {
    /// Case file (TOML).
    pub case: PathBuf,
    /// Highest frequency, as \"500 Hz\" or \"2 kHz\"; the top of the case's range unless given.
    #[arg(long, value_name = "FREQUENCY")]
    pub up_to: Option<String>,
    /// Print JSON on standard output, for programs.
    #[arg(long)]
    pub json: bool,
}

/// Options of `check`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Example:
  panelwright check my-panel.toml")]
pub struct Check {
    /// Case file (TOML).
    pub case: PathBuf,
    /// Print JSON on standard output, for programs.
    #[arg(long)]
    pub json: bool,
    /// Draw the panel's outline and the driver with its surrounds into an SVG file, sound or not, with what is wrong marked.
    #[arg(long, value_name = "FILE.svg")]
    pub picture: Option<PathBuf>,
}

/// Options of `materials`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  panelwright materials
  panelwright materials balsa")]
pub struct Materials {
    /// Name of one material; all are listed unless given.
    pub name: Option<String>,
    /// Print JSON on standard output, for programs.
    #[arg(long)]
    pub json: bool,
}

/// Options of `new`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Example:
  panelwright new my-panel.toml")]
pub struct New {
    /// File to write; an existing file is never overwritten.
    #[arg(default_value = "my-panel.toml")]
    pub case: PathBuf,
}

/// Options of `reference`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  panelwright reference case-file > case-file.md
  panelwright reference schema > case.schema.json
  panelwright reference bash > ~/.local/share/bash-completion/completions/panelwright")]
pub struct Reference {
    /// Which text.
    pub topic: Topic,
}

/// A reference text.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Topic {
    /// Every key of the case file, Markdown.
    CaseFile,
    /// JSON Schema of the case file, for editors.
    Schema,
    /// Man page, roff.
    Man,
    /// Completions for bash.
    Bash,
    /// Completions for fish.
    Fish,
    /// Completions for zsh.
    Zsh,
}

impl Arguments {
    /// Reads the process's arguments.
    ///
    /// # Errors
    /// `Failure::Shown` after clap has printed help, the version, or what is wrong with the arguments.
    pub fn read() -> Result<Self, Failure> {
        Self::try_parse().map_err(|error| {
            let wrong = error.use_stderr();
            // Nothing is left to do when even the message cannot be printed.
            let _ = error.print();
            Failure::Shown { wrong }
        })
    }

    /// The command-line definition, for man page and completions.
    pub fn definition() -> clap::Command {
        Self::command()
    }
}
