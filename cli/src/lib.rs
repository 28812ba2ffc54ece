//! The shell around the solver: case files in, reports out. It talks, reads and writes; it computes no physics.

pub mod args;
pub mod blend_results;
pub mod case;
pub mod cautions;
pub mod commands;
pub mod failure;
mod file_name;
pub mod material;
pub mod place_results;
mod recording;
pub mod rendering;
pub mod report;
pub mod results;
pub mod store;
pub mod study;
pub mod surround_results;
pub mod tables;
pub mod terminal;
pub mod vtu;
pub mod wav;
pub mod wrap;
