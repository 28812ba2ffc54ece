//! Skeleton.

pub mod report;
pub mod store;
pub mod tables;
