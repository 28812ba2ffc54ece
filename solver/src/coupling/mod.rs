//! The only place that knows two parts at once.

pub mod air_on_panel;
pub mod board_behind;

#[cfg(test)]
pub(crate) mod tests;
