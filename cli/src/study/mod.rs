//! Parameter studies: many variants of a case, computed unattended, ranked afterwards.
//!
//! ```text
//! case with [study] ─▶ plan ─▶ run ─▶ journal of each shard ─▶ rank, show, export
//!                      design   evaluate                       results file (HDF5)
//!                      parameters, limits, objectives
//! ```
//!
//! Parts of a study are computed anywhere and brought together by `gather`; `slurm` hands them to a cluster.
//!
//! The journals are the truth: append-only, synced, with a digest for each record. Everything else is made from them.

mod adaptive;
mod cost;
mod design;
mod evaluate;
mod finished;
mod folder;
mod gather;
mod identity;
mod journal;
mod limit;
mod objective;
mod parameter;
mod plan;
mod rank;
mod record;
mod results;
mod run;
mod sensitivity;
mod shard;
mod slurm;

pub use evaluate::evaluate;
pub use finished::{Finished, Outcome};
pub use folder::{Description, Held, StudyFolder};
pub use gather::{Gathered, gather};
pub use objective::Judged;
pub use plan::Study;
pub use rank::{Ranked, Ranking, front};
pub use record::{Record, VariantResult};
pub use results::ShardResults;
pub use run::{Evaluate, Results, Status, run};
pub use sensitivity::{Sensitivity, sensitivities};
pub use shard::Shard;
pub use slurm::{Cluster, SlurmError, Submitted, Wanted, ranges};
