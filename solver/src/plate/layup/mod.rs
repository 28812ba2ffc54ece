//! Lay-up → cross-section: sheets, symmetric stacks, sandwiches, fluted sheets.

mod fluted;
mod loss;
mod solid;
mod stack;

#[cfg(test)]
mod fluted_tests;
#[cfg(test)]
mod stack_tests;

pub use fluted::{Fluted, Web, section_of_fluted};
pub use solid::{Grain, Solid};
pub use stack::{Layer, LayupError, Sheet, section_of_sheet, section_of_stack};
