//! Which crossovers would be better, and what they do.

use super::ensemble::Ensemble;
use super::together::Together;
use crate::coupling::blend::{Part, Pressure};
use crate::filters::Chain;
use crate::listening::{AgreementAt, spl};
use crate::scene::{Filters, PassFilter};
use crate::search::averages::Averages;
use crate::search::crossover::{Advice, Crossover, Feed, Request, Shape, advise, cost};
use crate::search::equaliser::{Equalisation, equalisation};
use num_complex::Complex64;
use serde::Serialize;

/// Corners keep this many octaves away from the ends of the range.
const FROM_THE_ENDS: f64 = 0.5;
/// A corner so near to an end of the range, as a ratio, lies at it.
const AT_AN_END: f64 = 0.02;
/// Bounds of a part's gain against the part before it [dB]: an amplifier's level control.
const GAIN: [f64; 2] = [-24.0, 12.0];
/// A gain so near to a bound [dB] lies at it.
const AT_A_BOUND: f64 = 0.01;

/// Advice and what it does.
#[derive(Clone, Debug, Serialize)]
pub struct BlendAdvice {
    /// Indices of the parts (the panel, then the drivers) from low to high.
    pub order: Vec<usize>,
    /// The crossovers between them, in place of the channels' filters, gains and delays; on top of the panel's where its channels differ.
    pub crossover: Advice,
    /// True for every crossover whose corner lies at an end of what may be chosen: beyond it there may be a better one.
    pub at_an_end: Vec<bool>,
    /// True for every crossover whose gain lies at a bound of what may be chosen.
    pub at_a_bound: Vec<bool>,
    /// Level [dB re 20 µPa] of the averaged energy with it.
    pub averaged: Vec<f64>,
    /// Level [dB re 20 µPa] of the sum at every seat with it, (seats, frequencies).
    pub seats: Vec<Vec<f64>>,
    /// Where every part (the panel, then the drivers) leads with it, see [`Averages::leads`]; one that leads nowhere is idle: the others play all there is.
    pub leads: Vec<Option<[f64; 2]>>,
    /// Whether panel and drivers would sound as one with it: every driver, at all seats.
    pub agreement: Vec<AgreementAt>,
    /// An equaliser before all channels.
    pub equaliser: Equalisation,
}

impl BlendAdvice {
    /// How every part is to be fed: the panel, then the drivers.
    pub fn feeds(&self) -> Vec<Feed> {
        feeds_of(&self.order, &self.crossover)
    }
}

fn feeds_of(order: &[usize], crossover: &Advice) -> Vec<Feed> {
    in_the_case_order(order, crossover.feeds())
}

/// What belongs to the parts from low to high, for the panel and then the drivers.
fn in_the_case_order<T>(order: &[usize], low_to_high: Vec<T>) -> Vec<T> {
    let mut pairs: Vec<(usize, T)> = order.iter().copied().zip(low_to_high).collect();
    pairs.sort_by_key(|(part, _)| *part);
    pairs.into_iter().map(|(_, one)| one).collect()
}

/// Whether the parts, fed so (the panel, then the drivers), sound as one.
fn agreement_with(ensemble: &Ensemble, together: &Together, feeds: &[Feed]) -> Vec<AgreementAt> {
    let f = &ensemble.frequencies;
    let through: Vec<Pressure> = (together.parts().iter().zip(feeds))
        .map(|(part, feed)| part.pressure.through(&feed.chain(), f))
        .collect();
    let later: Vec<f64> = feeds[1..].iter().map(|feed| feed.delay - feeds[0].delay).collect();
    together.agreement(&through, &later)
}

/// The advice; why there is none.
pub(super) fn advice(ensemble: &Ensemble, together: &Together) -> Result<BlendAdvice, String> {
    let f = &ensemble.frequencies;
    if ensemble.seats.is_empty() {
        return Err("without a seat there is nothing to judge a crossover by".into());
    }
    let parts = together.parts();
    let filters = ensemble.filters();
    let order = order(&filters);
    let ordered: Vec<&Part> = order.iter().map(|&part| parts[part]).collect();
    let averages = Averages::of(f, &ordered, &vec![1.0; ensemble.seats.len()]);
    let request = request(f, &ordered, &order.iter().map(|&part| filters[part]).collect::<Vec<_>>());
    let narrow = "the range is too narrow to advise a crossover";
    let crossover = advise(&averages, &ordered, &request).ok_or(narrow)?;
    let chains = together.chains();
    let as_in_the_case: Vec<_> = order.iter().map(|&part| responses(chains[part], f)).collect();
    if cost(&averages, &ordered, &as_in_the_case) <= crossover.cost {
        return Err(
            "no crossover was found that is more even than the channels of the case: leave them".into()
        );
    }
    let chains: Vec<Chain> = crossover.feeds().iter().map(Feed::chain).collect();
    let advised: Vec<_> = chains.iter().map(|chain| responses(chain, f)).collect();
    let seat = |s: usize| {
        let at = |i: usize| {
            let pressures = ordered.iter().zip(&advised).map(|(part, h)| part.pressure.seats[s][i] * h[i]);
            spl(pressures.sum())
        };
        (0..f.len()).map(at).collect()
    };
    let at_an_end = |c: &Crossover| {
        let near =
            |end: &f64| [c.low, c.high].iter().any(|filter| (filter.corner / end).ln().abs() < AT_AN_END);
        request.corners.iter().any(near)
    };
    let at_a_bound = |c: &Crossover| GAIN.iter().any(|bound| (c.gain_db - bound).abs() < AT_A_BOUND);
    Ok(BlendAdvice {
        at_an_end: crossover.crossovers.iter().map(at_an_end).collect(),
        at_a_bound: crossover.crossovers.iter().map(at_a_bound).collect(),
        averaged: averages.level(&advised),
        seats: (0..ensemble.seats.len()).map(seat).collect(),
        equaliser: equalisation(f, &averages.energy(&advised)),
        leads: in_the_case_order(&order, averages.leads(&advised)),
        agreement: agreement_with(ensemble, together, &feeds_of(&order, &crossover)),
        order,
        crossover,
    })
}

/// Parts from low to high as the channels of the case have them: by the corner of the high-pass, then of the low-pass, then as they come.
fn order(filters: &[&Filters]) -> Vec<usize> {
    let key = |part: &usize| {
        let corner = |pass: Option<PassFilter>, none: f64| pass.map_or(none, |pass| pass.corner);
        (corner(filters[*part].high_pass, 0.0), corner(filters[*part].low_pass, f64::INFINITY))
    };
    let mut order: Vec<usize> = (0..filters.len()).collect();
    order.sort_by(|a, b| {
        let ((high_a, low_a), (high_b, low_b)) = (key(a), key(b));
        high_a.total_cmp(&high_b).then(low_a.total_cmp(&low_b))
    });
    order
}

/// What may be chosen for parts and their channels' filters, low to high.
fn request(frequencies: &[f64], parts: &[&Part], filters: &[&Filters]) -> Request {
    let margin = 2f64.powf(FROM_THE_ENDS);
    let earlier = |pair: &[&Part]| {
        let flights = pair[0].flight.iter().zip(&pair[1].flight).map(|(lower, upper)| lower - upper);
        flights.sum::<f64>() / pair[0].flight.len() as f64
    };
    let between = |pair: &[&Filters]| pair[1].high_pass.or(pair[0].low_pass).map(|pass| pass.corner);
    let (low, high) = (frequencies.first().unwrap_or(&1.0), frequencies.last().unwrap_or(&1.0));
    Request {
        corners: [low * margin, high / margin],
        expected_delays: parts.windows(2).map(earlier).collect(),
        gain_db: GAIN,
        shapes: Shape::usual(),
        starts: filters.windows(2).map(between).collect::<Option<Vec<f64>>>().into_iter().collect(),
    }
}

/// Responses of a channel.
pub(super) fn responses(chain: &Chain, frequencies: &[f64]) -> Vec<Complex64> {
    frequencies.iter().map(|&f| chain.response(f)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Alignment;

    #[test]
    fn parts_are_ordered_by_their_corners() {
        let pass = |corner| Some(PassFilter { alignment: Alignment::Butterworth, order: 2, corner });
        let of = |high_pass: Option<f64>, low_pass: Option<f64>| Filters {
            high_pass: high_pass.and_then(pass),
            low_pass: low_pass.and_then(pass),
            ..Filters::default()
        };
        let (panel, treble, bass) = (of(Some(300.0), Some(3e3)), of(Some(3e3), None), of(None, Some(300.0)));
        assert_eq!(order(&[&panel, &treble, &bass]), [2, 0, 1]);
        let plain = of(None, None);
        assert_eq!(order(&[&plain, &treble, &plain]), [0, 2, 1], "what plays everything is lowest");
        assert_eq!(order(&[&plain, &bass]), [1, 0]);
    }
}
