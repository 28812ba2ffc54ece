//! Skeleton.

pub mod browser;
pub mod specimen;
