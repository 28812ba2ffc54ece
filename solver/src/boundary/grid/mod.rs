//! The operator by a grid: memory and time that grow little faster than the number of points.
mod convolution;
mod smeared;
mod window;
mod smooth_sum;
