//! Which current runs through which coils, and what drives it.

use crate::scene::{Channel, Wiring};
use num_complex::Complex64;

/// A path of one current: through all exciters of a series channel, or through one of a parallel channel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Loop {
    /// Index of the channel that drives it.
    pub channel: usize,
    /// Indices of the exciters it runs through; their voltages add.
    pub exciters: Vec<usize>,
}

/// All current loops, channel by channel. The loops of one channel share its voltage and its output resistance.
pub fn current_loops(channels: &[Channel]) -> Vec<Loop> {
    let split = |(channel, c): (usize, &Channel)| -> Vec<Loop> {
        match c.wiring {
            Wiring::Series => vec![Loop { channel, exciters: c.exciters.clone() }],
            Wiring::Parallel => c.exciters.iter().map(|&e| Loop { channel, exciters: vec![e] }).collect(),
        }
    };
    channels.iter().enumerate().flat_map(split).collect()
}

/// Open-circuit voltage of a channel, `V · gain · exp(−jωτ)` [V RMS].
pub fn source_voltage(channel: &Channel, omega: f64) -> Complex64 {
    Complex64::from_polar(1.0, -omega * channel.delay) * (channel.voltage * channel.gain)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn channel(wiring: Wiring, exciters: Vec<usize>) -> Channel {
        Channel {
            name: "A".into(),
            voltage: 2.0,
            gain: -0.5,
            delay: 1e-3,
            source_resistance: 0.1,
            wiring,
            exciters,
        }
    }

    #[test]
    fn series_has_one_loop_and_parallel_one_per_exciter() {
        let channels = [channel(Wiring::Series, vec![2, 0]), channel(Wiring::Parallel, vec![1, 3])];
        let loops = current_loops(&channels);
        let members: Vec<_> = loops.iter().map(|l| (l.channel, l.exciters.clone())).collect();
        assert_eq!(members, [(0, vec![2, 0]), (1, vec![1]), (1, vec![3])]);
    }

    #[test]
    fn a_delay_turns_the_phase_backwards() {
        let quarter = source_voltage(&channel(Wiring::Parallel, vec![0]), std::f64::consts::FRAC_PI_2 / 1e-3);
        approx::assert_relative_eq!(quarter.re, 0.0, epsilon = 1e-15);
        approx::assert_relative_eq!(quarter.im, 1.0, epsilon = 1e-15);
    }
}
