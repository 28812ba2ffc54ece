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
//! in the prediction. In a baffle it is found step by step for few seats, and for many from the air between all modes, which then costs less (see
//! `direct.rs`). Under the foot the panel gives way by
//!
//! ```text
//! Y = Σ_n h_n φ̄_n² + φ̄_cᵀ ((1 + h Z)⁻¹ h − h) φ̄_c + jωRg/(1 + jη)
//! ```
//!
//! the modes c on which the air tells most at that frequency joined by it; each of the others that the prediction lets feel the air carries that of a
//! wave of its own wavenumber, which is in its h. Measured against whole predictions to 4 kHz and 2 kHz on 900 × 600 mm (worst of three places, a corner among
//! them, and nine seats; root mean square): 4 mm plywood 0.06 and 0.007 dB, a foam panel lighter than the air it moves 0.20 and 0.044 dB. Near a corner
//! the foot rides on many modes: there it is worst. With an open back, to 1.3 kHz on 500 × 360 mm and four places: plywood 0.04 and 0.007 dB, the foam 0.8 and
//! 0.15 dB with 16 modes joined, 0.3 and 0.05 dB with 48.
//!
//! Masses and hangs are in H; what they take from the mobility under a foot is one small system per frequency. The static give of the modes left out is not
//! taken to reach from the foot to them: beside a heavy or stiff part that costs 0.1 dB, up to 1 dB in a dip.

use super::feet::Feet;
use super::give::Give;
use super::heard::Heards;
use super::source::Source;
use super::{SearchError, field, screened};
use crate::linalg::single_threaded_blas;
use crate::plate::Modes;
use crate::scene::{Back, Scene};
use ndarray::{Array2, Array3, Axis, Zip, s};
use num_complex::{Complex32, Complex64};
use std::ops::Range;

/// Modes that the air joins under a foot; fewer on an open-backed panel, where each costs a solution of the screen's equation.
const COUPLED: usize = 48;
const COUPLED_OPEN: usize = 24;

/// All that a search needs to know of panel, air and seats; places do not enter.
#[derive(Clone, Debug)]
pub struct Reach {
    /// Frequencies [Hz].
    pub frequencies: Vec<f64>,
    /// Number of seats.
    pub seats: usize,
    /// What the seats hear.
    heard: Heards,
    /// Real and imaginary parts of h: (frequencies × 2, modes).
    admittance: Array2<f32>,
    pub(super) give: Vec<Give>,
}

impl Reach {
    /// The reach of the panel of `scene`, whose modes with all that is fixed to it are `modes`; `step(done, total)` counts frequencies.
    ///
    /// # Errors
    /// Without a seat, or with a vented back.
    pub fn new(scene: &Scene, modes: &Modes, step: &dyn Fn(usize, usize)) -> Result<Self, SearchError> {
        let coupled = match scene.panel.back {
            Back::Open | Back::Wall { .. } => COUPLED_OPEN,
            Back::Baffled | Back::Closed { .. } | Back::Vented { .. } => COUPLED,
        };
        Self::with_coupled(scene, modes, coupled, step)
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
        let answers = match scene.panel.back {
            Back::Open | Back::Wall { .. } => screened::open(scene, modes, coupled, step),
            Back::Baffled | Back::Closed { .. } | Back::Vented { .. } => {
                field::baffled(scene, modes, coupled, step)
            }
        };
        Ok(Self::of(&scene.frequencies, scene.receivers.seats.len(), modes.len(), answers))
    }

    /// Whether the reach of the panel of `scene` can be found; quick.
    ///
    /// # Errors
    /// See [`new`](Self::new).
    pub fn known(scene: &Scene) -> Result<(), SearchError> {
        if matches!(scene.panel.back, Back::Vented { .. }) {
            return Err(SearchError::Back { back: "vented" });
        }
        if scene.receivers.seats.is_empty() {
            return Err(SearchError::NoSeat);
        }
        Ok(())
    }

    /// Memory [bytes].
    pub(crate) fn bytes(&self) -> usize {
        self.heard.bytes() + 4 * self.admittance.len() + self.give.iter().map(Give::bytes).sum::<usize>()
    }

    fn of(frequencies: &[f64], seats: usize, modes: usize, answers: Vec<field::Answer>) -> Self {
        let mut admittance = Array2::zeros((2 * frequencies.len(), modes));
        for (index, (_, give)) in answers.iter().enumerate() {
            for (n, h) in give.panel.admittance.iter().enumerate() {
                [admittance[(2 * index, n)], admittance[(2 * index + 1, n)]] = [h.re as f32, h.im as f32];
            }
        }
        let (heard, give) = answers.into_iter().unzip();
        Self { frequencies: frequencies.to_vec(), seats, heard: Heards::new(heard), admittance, give }
    }

    /// Mobility [m/(N·s)] of the panel under feet (frequencies, places).
    pub fn mobility(&self, feet: &Feet, places: Range<usize>) -> Array2<Complex64> {
        let single = feet.shapes.slice(s![places.clone(), ..]).mapv(|phi| phi as f32);
        let squares = single.mapv(|phi| phi * phi);
        let modal = self.modal(&squares);
        let mut mobility = Array2::zeros((self.frequencies.len(), places.len()));
        for (index, give) in self.give.iter().enumerate() {
            let mut row = mobility.row_mut(index);
            let beyond = give.beyond(single.view(), single.view());
            for (place, value) in row.iter_mut().enumerate() {
                *value =
                    modal[(index, place)] + beyond[place] + give.spring * feet.residual[places.start + place];
            }
        }
        mobility
    }

    /// `Σ h_n w_n`, the air of a wave with each mode (frequencies, rows), for weights w (rows, modes).
    pub(super) fn modal(&self, weights: &Array2<f32>) -> Array2<Complex64> {
        let parts = self.admittance.dot(&weights.t());
        Array2::from_shape_fn((self.frequencies.len(), weights.nrows()), |(index, row)| {
            Complex64::new(parts[(2 * index, row)].into(), parts[(2 * index + 1, row)].into())
        })
    }

    /// Pressure [Pa RMS] at the seats (frequencies, seats, places), an exciter at one of the `places` at a time: `drive` has one source per
    /// frequency.
    pub fn responses(&self, feet: &Feet, places: Range<usize>, drive: &[Source]) -> Array3<Complex32> {
        let mobility = self.mobility(feet, places.clone());
        let mut pressure = self.per_force(feet, places);
        for (index, mut at_seats) in pressure.outer_iter_mut().enumerate() {
            let force: Vec<Complex32> = (mobility.row(index).iter())
                .map(|&y| drive[index].force(y))
                .map(|force| Complex32::new(force.re as f32, force.im as f32))
                .collect();
            for mut row in at_seats.outer_iter_mut() {
                Zip::from(&mut row).and(&force[..]).for_each(|p, force| *p *= force);
            }
        }
        pressure
    }

    /// Pressure [Pa] at the seats (frequencies, seats, places) for one newton under a foot at each of the `places`.
    pub(crate) fn per_force(&self, feet: &Feet, places: Range<usize>) -> Array3<Complex32> {
        let shapes = feet.shapes.slice(s![places.clone(), ..]).mapv(|phi| phi as f32);
        let mut pressure = Array3::zeros((self.frequencies.len(), self.seats, places.len()));
        self.heard.of(shapes.view(), |index, parts| {
            let mut at_seats = pressure.index_axis_mut(Axis(0), index);
            for (mut row, parts) in at_seats.outer_iter_mut().zip(parts.axis_chunks_iter(Axis(0), 2)) {
                let (re, im) = (parts.row(0), parts.row(1));
                Zip::from(&mut row).and(&re).and(&im).for_each(|p, &re, &im| *p = Complex32::new(re, im));
            }
        });
        pressure
    }
}
