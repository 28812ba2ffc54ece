//! Placing, end to end in the solver.
