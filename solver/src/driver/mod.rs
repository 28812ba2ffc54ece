//! The small driver near the panel.

pub mod assembly;
