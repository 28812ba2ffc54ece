//! The operator by a grid: memory and time that grow little faster than the number of points.

mod convolution;
mod local;
mod operator;
mod plan;
mod smeared;
mod smooth_sum;
mod window;

pub(super) use operator::GridOperator;
pub(super) use plan::GridPlan;
