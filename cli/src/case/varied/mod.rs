//! Values of a case file that are varied: found by a path, and written anew into the file's text.
//!
//! A varied case is a case file like any other: the text of the original with a few values exchanged, comments and all.

mod files;
mod path;
mod slot;
#[cfg(test)]
mod tests;

pub use files::{found_from_anywhere, names_a_file};
pub use path::find;
pub use slot::{Slot, SlotKind, exchanged};
