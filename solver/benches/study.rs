//! What a variant of a study costs: the demonstration's panel (760 × 520 × 4 mm poplar plywood, here in a baffle), two exciters in series, 80 frequencies from 100 Hz to
//! 10 kHz, one seat, a map of 130 microphones.
//!
//! `cargo bench -p panelwright-solver --bench study` prints processor time by variant for two studies: every panel new, and exciters moved on one panel.

fn main() {
    divan::main();
}
