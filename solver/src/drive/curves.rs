//! States frequency by frequency → curves part by part.

use super::state::{ChannelState, ExciterState, State};
use super::{ChannelLoad, ExciterMotion};

/// Curves of each of `count` exciters.
pub(super) fn exciters(states: &[State], count: usize) -> Vec<ExciterMotion> {
    (0..count).map(|e| exciter(&states.iter().map(|s| s.exciters[e]).collect::<Vec<_>>())).collect()
}

/// Curves of each of `count` channels.
pub(super) fn channels(states: &[State], count: usize) -> Vec<ChannelLoad> {
    (0..count).map(|c| channel(&states.iter().map(|s| s.channels[c]).collect::<Vec<_>>())).collect()
}

fn exciter(states: &[ExciterState]) -> ExciterMotion {
    ExciterMotion {
        current: states.iter().map(|s| s.current).collect(),
        force: states.iter().map(|s| s.force).collect(),
        foot_velocity: states.iter().map(|s| s.foot).collect(),
        magnet_velocity: states.iter().map(|s| s.magnet).collect(),
        excursion: states.iter().map(|s| s.excursion).collect(),
        coil_heat: states.iter().map(|s| s.coil_heat).collect(),
        power: states.iter().map(|s| s.power).collect(),
    }
}

fn channel(states: &[ChannelState]) -> ChannelLoad {
    ChannelLoad {
        impedance: states.iter().map(|s| s.impedance).collect(),
        current: states.iter().map(|s| s.current).collect(),
    }
}
