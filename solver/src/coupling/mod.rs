//! The only place that knows two parts at once.

pub mod air_on_panel;
pub mod blend;
pub mod board_behind;
pub(crate) mod carried;
pub mod panel_on_driver;

#[cfg(test)]
pub(crate) mod tests;
