//! One file per command.

pub mod check;
pub mod materials;
pub mod modes;
pub mod new;
pub mod predict;
pub mod reference;
