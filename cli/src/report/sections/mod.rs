//! The sections of the page, in reading order.

pub mod balance;
pub mod centre;
pub mod exciters;
pub mod fixing;
pub mod gains;
pub mod inputs;
pub mod loudness;
pub mod maps;
pub mod modes;
pub mod overview;
pub mod polar;
pub mod response;
