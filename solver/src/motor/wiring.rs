//! Which current runs through which coils, and what drives it.

use crate::filters::Chain;
use crate::scene::{Channel, Wiring};
use num_complex::Complex64;
use std::f64::consts::TAU;

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

/// What a channel puts out, ready for any frequency.
#[derive(Clone, Debug)]
pub struct Source {
    voltage: f64,
    chain: Chain,
    /// Output and cable resistance [Ω].
    pub resistance: f64,
}

impl Source {
    /// The source that `channel` is.
    pub fn new(channel: &Channel) -> Self {
        let chain = Chain::new(&channel.filters).amplified(channel.gain).delayed(channel.delay);
        Self { voltage: channel.voltage, chain, resistance: channel.source_resistance }
    }

    /// Open-circuit voltage at `omega` [rad/s]: `V · gain · H(ω) · exp(−jωτ)` [V RMS], H the channel's filters.
    pub fn voltage(&self, omega: f64) -> Complex64 {
        self.chain.response(omega / TAU) * self.voltage
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{Alignment, Filters, PassFilter};

    fn channel(wiring: Wiring, exciters: Vec<usize>) -> Channel {
        Channel {
            name: "A".into(),
            voltage: 2.0,
            gain: -0.5,
            delay: 1e-3,
            filters: Filters::default(),
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
        let quarter =
            Source::new(&channel(Wiring::Parallel, vec![0])).voltage(std::f64::consts::FRAC_PI_2 / 1e-3);
        approx::assert_relative_eq!(quarter.re, 0.0, epsilon = 1e-15);
        approx::assert_relative_eq!(quarter.im, 1.0, epsilon = 1e-15);
    }

    #[test]
    fn a_filter_shapes_the_voltage_beside_gain_and_delay() {
        let plain = Channel { delay: 0.0, ..channel(Wiring::Parallel, vec![0]) };
        let low_pass = Some(PassFilter { alignment: Alignment::Butterworth, order: 1, corner: 100.0 });
        let filters = Filters { low_pass, ..Filters::default() };
        let found = Source::new(&Channel { filters, ..plain }).voltage(TAU * 100.0);
        // 2 V times −0.5 times 1/(1 + j).
        approx::assert_relative_eq!(found.re, -0.5, epsilon = 1e-15);
        approx::assert_relative_eq!(found.im, 0.5, epsilon = 1e-15);
    }
}
