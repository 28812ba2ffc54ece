//! Parameter studies: many variants of a case, computed unattended, ranked afterwards.
//!
//! ```text
//! case with [study] ─▶ plan ─▶ run ─▶ journal of each shard ─▶ rank, show, export
//!                      design   evaluate                       results file (HDF5)
//!                      parameters, limits, objectives
//!
//! records ─▶ ranking ─▶ findings: verdict, sensitivities, aspects ─▶ page
//! best few ─▶ neighbours within the tolerances ─▶ records ─▶ robust ranking
//! ```
//!
//! Parts of a study are computed anywhere and brought together by `gather`; `slurm` hands them to a cluster.
//!
//! The journals are the truth: append-only, synced, with a digest for each record. Everything else is made from them.

mod adaptive;
mod aspect;
mod chosen;
mod cost;
mod design;
mod evaluate;
mod findings;
mod finished;
mod folder;
mod forecast;
mod gather;
mod identity;
mod journal;
mod lattice;
mod limit;
mod named_files;
mod neighbours;
mod objective;
mod parameter;
mod plan;
mod rank;
mod record;
mod results;
mod robust;
mod run;
mod sensitivity;
mod shard;
mod slurm;
mod tolerance;
mod verdict;

pub use aspect::{Aspect, Role};
pub use evaluate::evaluate;
pub use findings::{Pair, Share, StudyFindings};
pub use finished::{Finished, Outcome};
pub use folder::{Description, Held, StudyFolder};
pub use forecast::Forecast;
pub use gather::{Gathered, gather};
pub use named_files::changed;
pub use neighbours::{MOST_NEIGHBOURS, Neighbours};
pub use objective::Judged;
pub use plan::Study;
pub use rank::{Ranked, Ranking, front};
pub use record::{Record, VariantResult};
pub use results::ShardResults;
pub use robust::{Expected, RobustRanking, RobustVariant};
pub use run::{Evaluate, Pending, Results, Status, run};
pub use sensitivity::Sensitivity;
pub use shard::Shard;
pub use slurm::{Cluster, SlurmError, Submitted, Wanted, ranges};
pub use verdict::{UNTOLD, ordinal, robust_verdict, short_values};
