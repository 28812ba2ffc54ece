//! Objectives against predictions.
