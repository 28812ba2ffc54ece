//! Placeholder until the cases are wired.
