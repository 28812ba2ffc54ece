//! Sources that play together: what each contributes, and their sum.
//!
//! ```text
//! p(f) = Σᵢ Hᵢ(f) pᵢ(f)
//! ```
//!
//! pᵢ is the pressure that the unfiltered voltage of part i makes, Hᵢ what its channel does to that voltage. All parts share one origin of time
//! (the signal enters every channel at time 0) and one origin of place; `exp(+jωt)`, so that a way r turns the phase by `exp(−jkr)`.
//!
//! Linear parts that do not hear each other: valid where none of them drives another or stands in its sound.

use crate::filters::Chain;
use ndarray::Array2;
use num_complex::Complex64;

/// A source as the unfiltered voltage of its amplifier drives it, computed or measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Name in reports.
    pub name: String,
    /// What it makes everybody hear.
    pub pressure: Pressure,
    /// When its first sound arrives at every seat [s].
    pub flight: Vec<f64>,
    /// Largest share of a rating that a sine at every frequency takes: of an excursion, or the square root of that of a power, so that it goes
    /// with the voltage. 0 where nothing is rated.
    pub strain: Vec<f64>,
}

/// Complex pressure of a source at places that all sources share, time of flight included.
#[derive(Clone, Debug, PartialEq)]
pub struct Pressure {
    /// At the seats, [Pa RMS], (seats, frequencies).
    pub seats: Vec<Vec<Complex64>>,
    /// `r p exp(jkr)` far away over the horizontal arc about the common middle [Pa m RMS], (frequencies, angles).
    pub horizontal: Array2<Complex64>,
    /// The same over the vertical arc.
    pub vertical: Array2<Complex64>,
}

impl Pressure {
    /// Through a channel: every pressure times its response at that frequency [Hz].
    pub fn through(&self, chain: &Chain, frequencies: &[f64]) -> Self {
        let response: Vec<Complex64> = frequencies.iter().map(|&f| chain.response(f)).collect();
        let arc = |far: &Array2<Complex64>| {
            let mut far = far.clone();
            far.rows_mut().into_iter().zip(&response).for_each(|(mut row, h)| row.mapv_inplace(|p| p * h));
            far
        };
        let seat = |seat: &Vec<Complex64>| seat.iter().zip(&response).map(|(p, h)| p * h).collect();
        Self {
            seats: self.seats.iter().map(seat).collect(),
            horizontal: arc(&self.horizontal),
            vertical: arc(&self.vertical),
        }
    }

    /// The sum of pressures at the same places and frequencies; `None` of none.
    pub fn sum(pressures: &[Self]) -> Option<Self> {
        let (first, others) = pressures.split_first()?;
        let mut sum = first.clone();
        for other in others {
            for (total, part) in sum.seats.iter_mut().zip(&other.seats) {
                total.iter_mut().zip(part).for_each(|(total, p)| *total += p);
            }
            sum.horizontal += &other.horizontal;
            sum.vertical += &other.vertical;
        }
        Some(sum)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{Alignment, Filters, PassFilter};
    use std::f64::consts::{PI, TAU};

    const SPEED: f64 = 340.0;

    fn frequencies() -> Vec<f64> {
        (0..200).map(|i| 100.0 * 200f64.powf(f64::from(i) / 199.0)).collect()
    }

    /// A point source at the distance r of one seat, `exp(−jkr)/(4πr)`.
    fn point(frequencies: &[f64], r: f64) -> Pressure {
        let at = |f: &f64| Complex64::from_polar(1.0 / (4.0 * PI * r), -TAU * f * r / SPEED);
        let far = Array2::from_shape_fn((frequencies.len(), 1), |_| Complex64::ONE);
        Pressure { seats: vec![frequencies.iter().map(at).collect()], horizontal: far.clone(), vertical: far }
    }

    fn pass(alignment: Alignment, order: usize) -> [Chain; 2] {
        let pass = Some(PassFilter { alignment, order, corner: 1700.0 });
        let low = Filters { low_pass: pass, ..Filters::default() };
        let high = Filters { high_pass: pass, ..Filters::default() };
        [Chain::new(&low), Chain::new(&high)]
    }

    fn sum(f: &[f64], parts: [(Pressure, Chain); 2]) -> Pressure {
        Pressure::sum(&parts.map(|(pressure, chain)| pressure.through(&chain, f))).expect("two parts")
    }

    fn plain() -> Chain {
        Chain::new(&Filters::default())
    }

    #[test]
    fn two_point_sources_in_phase_double_and_out_of_phase_cancel() {
        let f = frequencies();
        let one = point(&f, 2.0);
        let double = sum(&f, [(one.clone(), plain()), (one.clone(), plain())]);
        let nothing = sum(&f, [(one.clone(), plain()), (one.clone(), plain().amplified(-1.0))]);
        for (i, single) in one.seats[0].iter().enumerate() {
            assert!((double.seats[0][i] / single - 2.0).norm() < 1e-14);
            assert_eq!(nothing.seats[0][i].norm(), 0.0);
            assert_eq!((double.horizontal[[i, 0]], nothing.vertical[[i, 0]].norm()), (2.0.into(), 0.0));
        }
    }

    /// Equal sources whose ways differ by Δ cancel at `f = (2m + 1) c/(2Δ)`, to what the difference of distances leaves.
    #[test]
    fn ways_that_differ_make_a_comb_of_nulls() {
        let (near, far) = (2.0, 2.34);
        let nulls: Vec<f64> = (0..5).map(|m| (f64::from(m) + 0.5) * SPEED / (far - near)).collect();
        let peaks: Vec<f64> = (1..6).map(|m| f64::from(m) * SPEED / (far - near)).collect();
        let at = |f: &[f64]| sum(f, [(point(f, near), plain()), (point(f, far), plain())]).seats.remove(0);
        let amplitude = |r: f64| 1.0 / (4.0 * PI * r);
        for p in at(&nulls) {
            assert!((p.norm() - (amplitude(near) - amplitude(far))).abs() < 1e-12);
        }
        for p in at(&peaks) {
            assert!((p.norm() - (amplitude(near) + amplitude(far))).abs() < 1e-12);
        }
    }

    #[test]
    fn a_delay_makes_up_for_a_shorter_way_exactly() {
        let f = frequencies();
        let late = Chain::new(&Filters::default()).delayed(0.34 / SPEED).amplified(2.0 / 2.34);
        let both = sum(&f, [(point(&f, 2.0), late), (point(&f, 2.34), plain())]);
        let alone = point(&f, 2.34);
        for (total, single) in both.seats[0].iter().zip(&alone.seats[0]) {
            assert!((total / single - 2.0).norm() < 1e-11, "{total} {single}");
        }
    }

    /// Linkwitz–Riley pairs add up to an all-pass, those of odd half order with one turned round.
    #[test]
    fn linkwitz_riley_adds_up_flat() {
        let f = frequencies();
        for (order, sign) in [(2, -1.0), (4, 1.0), (6, -1.0), (8, 1.0)] {
            let [low, high] = pass(Alignment::LinkwitzRiley, order);
            let total = sum(&f, [(point(&f, 2.0), low), (point(&f, 2.0), high.amplified(sign))]);
            for (total, single) in total.seats[0].iter().zip(&point(&f, 2.0).seats[0]) {
                let ripple = 20.0 * (total.norm() / single.norm()).log10();
                assert!(ripple.abs() < 1e-9, "order {order}: {ripple} dB");
            }
        }
    }

    /// Powers of a Butterworth pair add up flat; of odd order amplitudes do, too.
    #[test]
    fn butterworth_adds_up_flat_in_power() {
        let f = frequencies();
        for order in 1..=6 {
            let [low, high] = pass(Alignment::Butterworth, order);
            for &f in &f {
                let (l, h) = (low.response(f), high.response(f));
                assert!((l.norm_sqr() + h.norm_sqr() - 1.0).abs() < 1e-12, "order {order}");
                assert!(order % 2 == 0 || ((l + h).norm() - 1.0).abs() < 1e-12, "order {order}");
            }
        }
    }
}
