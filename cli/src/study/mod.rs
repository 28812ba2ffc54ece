//! Parameter studies: many variants of a case, computed unattended, ranked afterwards.
//!
//! ```text
//! case with [study] ─▶ plan ─▶ run ─▶ journal of each shard ─▶ rank, show, export
//!                      design   evaluate                       results file (HDF5)
//!                      parameters, limits, objectives
//! ```
//!
//! The journals are the truth: append-only, synced, with a digest for each record. Everything else is made from them.

mod adaptive;
mod cost;
mod design;
mod evaluate;
mod folder;
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

pub use evaluate::evaluate;
pub use folder::{Held, Shard, StudyFolder};
pub use objective::Judged;
pub use plan::Study;
pub use rank::{Ranked, Ranking, front};
pub use record::{Record, VariantResult};
pub use results::ShardResults;
pub use run::{Status, run};
pub use sensitivity::{Sensitivity, sensitivities};
