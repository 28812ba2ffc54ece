//! Caveats that travel with results.

use serde::Serialize;

/// A named doubt about a result, with its numbers written out, shown beside the curve it concerns.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Warning {
    /// The result concerned, as a stable key: `modes`, `response`, `radiation`, `map`, `centre`, `exciter`, `power`.
    pub concerns: &'static str,
    /// What is doubtful, by how much, and what to do about it: one or two plain sentences.
    pub message: String,
}

impl Warning {
    /// A warning about `concerns`.
    pub fn new(concerns: &'static str, message: impl Into<String>) -> Self {
        Self { concerns, message: message.into() }
    }
}
