//! How far a prediction has come, told to whoever watches.

/// A stage of a prediction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Natural frequencies and shapes.
    Modes,
    /// Exciters and panel moving together.
    Motion,
    /// Sound, band by band.
    Sound,
    /// Findings.
    Findings,
    /// Variations of the panel within its spread.
    Variations,
    /// Surrounds of a small driver, frequency by frequency.
    Surrounds,
    /// What a force anywhere on the panel does at the seats.
    Reach,
    /// Places of exciters, judged one by one and together.
    Places,
    /// Whole predictions of what was recommended, and of what it is compared with.
    Confirmation,
}

impl Stage {
    /// What the stage does, for people.
    pub fn label(self) -> &'static str {
        match self {
            Stage::Modes => "modes of the panel",
            Stage::Motion => "motion under the exciters",
            Stage::Sound => "sound at seats, map and arcs",
            Stage::Findings => "findings",
            Stage::Variations => "variations of the panel",
            Stage::Surrounds => "surrounds of the driver",
            Stage::Reach => "what every place does at the seats",
            Stage::Places => "places, one by one and together",
            Stage::Confirmation => "whole predictions to compare",
        }
    }
}

/// A step of a stage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// The stage.
    pub stage: Stage,
    /// Units of work done.
    pub done: usize,
    /// Units of work in all, at least 1.
    pub total: usize,
}

/// Someone who wants to know; called from the calling thread only.
pub type Watcher<'a> = &'a dyn Fn(Progress);
