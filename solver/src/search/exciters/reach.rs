//! What a force anywhere on the panel does: at the seats, and under itself.
//!
//! With φ̄ the mode shapes under the foot, H the panel's answer and Z the air's impedance on the modes, a force F
//! moves the modes with `q̇ = (1 + HZ)⁻¹ H φ̄ F`, and a seat hears `p = T q̇` through its transfers T. H and Z are symmetric, so
//!
//! ```text
//! p = Σ_n a_n φ̄_n F,    a = (1 + HZ)⁻¹ H Tᵀ :    the motion of the modes when the seat pushes on them with forces T
//! ```
//!
//! by reciprocity (Lord Rayleigh, The Theory of Sound, vol. I, § 107–111): one coupled solution per seat serves all places, air exactly as
//! in the prediction. Under the foot the panel gives way by
//!
//! ```text
//! Y = Σ_n h_n φ̄_n² + φ̄_cᵀ ((1 + h Z)⁻¹ h − h) φ̄_c + jωRg/(1 + jη)
//! ```
//!
//! the modes c on which the air tells most at that frequency joined by it; each of the others that the prediction lets feel the air carries that of a
//! wave of its own wavenumber, which is in its h. Measured against whole predictions to 4 kHz and 2 kHz on 900 × 600 mm (worst of three places, a corner among
//! them, and nine seats; root mean square): 4 mm plywood 0.06 and 0.007 dB, a foam panel lighter than the air it moves 0.20 and 0.044 dB. Near a corner
//! the foot rides on many modes: there it is worst.

use super::feet::Feet;
use super::source::Source;
use super::{SearchError, field};
use crate::linalg::single_threaded_blas;
use crate::plate::Modes;
use crate::scene::{Back, Scene};
use ndarray::{Array2, Array3, ArrayView2, Axis, Zip, s};
use num_complex::{Complex32, Complex64};
use std::ops::Range;

/// Modes that the air joins under a foot.
const COUPLED: usize = 48;

/// The panel under a foot at one frequency.
#[derive(Clone, Debug)]
pub(super) struct Give {
    /// h of each mode.
    pub admittance: Vec<Complex64>,
    /// Local give per static flexibility [1/s].
    pub spring: Complex64,
    /// Modes that are joined, ascending.
    pub coupled: Vec<usize>,
    /// What joining them adds (coupled, coupled), symmetric.
    pub excess: Array2<Complex64>,
}

/// All that a search needs to know of panel, air and seats; places do not enter.
#[derive(Clone, Debug)]
pub struct Reach {
    /// Frequencies [Hz].
    pub frequencies: Vec<f64>,
    /// Number of seats.
    pub seats: usize,
    /// Real and imaginary parts of a [Pa/N kg^½]: (frequencies × seats × 2, modes). Single precision: its sums are right to about 1e-6 of the largest
    /// term, a hundredth of a decibel 60 dB down.
    listening: Array2<f32>,
    /// Real and imaginary parts of h: (frequencies × 2, modes).
    admittance: Array2<f64>,
    give: Vec<Give>,
}

impl Reach {
    /// The reach of the panel of `scene`, whose modes with all that is fixed to it are `modes`; `step(done, total)` counts frequencies.
    ///
    /// # Errors
    /// Without a seat, with a back of another kind than a baffle's, or with masses or hangs on the panel.
    pub fn new(scene: &Scene, modes: &Modes, step: &dyn Fn(usize, usize)) -> Result<Self, SearchError> {
        Self::with_coupled(scene, modes, COUPLED, step)
    }

    /// [`new`](Self::new) with a chosen number of modes joined under a foot.
    ///
    /// # Errors
    /// See [`new`](Self::new).
    pub fn with_coupled(
        scene: &Scene,
        modes: &Modes,
        coupled: usize,
        step: &dyn Fn(usize, usize),
    ) -> Result<Self, SearchError> {
        single_threaded_blas();
        Self::known(scene)?;
        Ok(Self::of(
            &scene.frequencies,
            scene.receivers.seats.len(),
            modes.len(),
            field::baffled(scene, modes, coupled, step),
        ))
    }

    /// Whether the reach of the panel of `scene` can be found; quick.
    ///
    /// # Errors
    /// See [`new`](Self::new).
    pub fn known(scene: &Scene) -> Result<(), SearchError> {
        let unknown = |back| Err(SearchError::Back { back });
        match scene.panel.back {
            Back::Baffled | Back::Closed { .. } => {}
            Back::Open => return unknown("open"),
            Back::Wall { .. } => return unknown("open before a wall"),
            Back::Vented { .. } => return unknown("vented"),
        }
        if !(scene.attachments.masses.is_empty() && scene.attachments.hangs.is_empty()) {
            return Err(SearchError::Parts);
        }
        if scene.receivers.seats.is_empty() {
            return Err(SearchError::NoSeat);
        }
        Ok(())
    }

    fn of(frequencies: &[f64], seats: usize, modes: usize, answers: Vec<field::Answer>) -> Self {
        let mut listening = Array2::zeros((2 * seats * frequencies.len(), modes));
        let mut admittance = Array2::zeros((2 * frequencies.len(), modes));
        for (index, (heard, give)) in answers.iter().enumerate() {
            for (seat, row) in heard.outer_iter().enumerate() {
                let first = 2 * (index * seats + seat);
                Zip::from(listening.row_mut(first)).and(row).for_each(|value, a| *value = a.re as f32);
                Zip::from(listening.row_mut(first + 1)).and(row).for_each(|value, a| *value = a.im as f32);
            }
            for (n, h) in give.admittance.iter().enumerate() {
                [admittance[(2 * index, n)], admittance[(2 * index + 1, n)]] = [h.re, h.im];
            }
        }
        let give = answers.into_iter().map(|(_, give)| give).collect();
        Self { frequencies: frequencies.to_vec(), seats, listening, admittance, give }
    }

    /// Mobility [m/(N·s)] of the panel under feet (frequencies, places).
    pub fn mobility(&self, feet: &Feet, places: Range<usize>) -> Array2<Complex64> {
        let shapes = feet.shapes.slice(s![places.clone(), ..]);
        let single = shapes.mapv(|phi| phi as f32);
        let squares = shapes.mapv(|phi| phi * phi);
        let modal = self.admittance.dot(&squares.t());
        let mut mobility = Array2::zeros((self.frequencies.len(), places.len()));
        for (index, give) in self.give.iter().enumerate() {
            let mut row = mobility.row_mut(index);
            let joined = give.joined(single.view());
            for (place, value) in row.iter_mut().enumerate() {
                let vacuum = Complex64::new(modal[(2 * index, place)], modal[(2 * index + 1, place)]);
                *value = vacuum + joined[place] + give.spring * feet.residual[places.start + place];
            }
        }
        mobility
    }

    /// Pressure [Pa RMS] at the seats (frequencies, seats, places), an exciter at one of the `places` at a time: `drive` has one source per
    /// frequency.
    pub fn responses(&self, feet: &Feet, places: Range<usize>, drive: &[Source]) -> Array3<Complex32> {
        let shapes = feet.shapes.slice(s![places.clone(), ..]).mapv(|phi| phi as f32);
        let heard = self.listening.dot(&shapes.t());
        let mobility = self.mobility(feet, places.clone());
        let mut pressure = Array3::zeros((self.frequencies.len(), self.seats, places.len()));
        for (index, mut at_seats) in pressure.outer_iter_mut().enumerate() {
            let force: Vec<Complex32> = (mobility.row(index).iter())
                .map(|&y| drive[index].force(y))
                .map(|force| Complex32::new(force.re as f32, force.im as f32))
                .collect();
            for (seat, mut row) in at_seats.axis_iter_mut(Axis(0)).enumerate() {
                let first = 2 * (index * self.seats + seat);
                let (re, im) = (heard.row(first), heard.row(first + 1));
                Zip::from(&mut row).and(&re).and(&im).and(&force[..]).for_each(|p, &re, &im, force| {
                    *p = Complex32::new(re, im) * force;
                });
            }
        }
        pressure
    }
}

impl Give {
    /// `φ̄_cᵀ excess φ̄_c` of every row of `shapes` (places, modes).
    fn joined(&self, shapes: ArrayView2<f32>) -> Vec<Complex64> {
        let own = shapes.select(Axis(1), &self.coupled);
        let by = |part: fn(&Complex64) -> f32| {
            let pushed = own.dot(&self.excess.map(part));
            own.outer_iter().zip(pushed.outer_iter()).map(|(a, b)| f64::from(a.dot(&b))).collect::<Vec<f64>>()
        };
        by(|z| z.re as f32)
            .into_iter()
            .zip(by(|z| z.im as f32))
            .map(|(re, im)| Complex64::new(re, im))
            .collect()
    }
}
