//! One linear system per frequency: all coil currents, feet and magnets at once.
//!
//! Unknowns: the loop currents i, then the foot velocities v, then the magnet velocities u. With S, Bl, … of the
//! [transducers](crate::motor) and the panel's mobility Y:
//!
//! ```text
//! each loop        Σ_members [(R_e + jωL_e) i + Bl (v − u)] + R_s Σ_loops of the channel i = E of the channel
//! each foot  a     v_a − Σ_b Y_ab F_b = 0,       F_b = Bl i − S (v_b − u_b) − jω m_c v_b
//! each magnet      jω m_m u + Bl i − S (v − u) = 0,    or u = 0 when it is held
//! ```
//!
//! Nothing is divided by: inductance, stiffness, masses and resistances may be zero, and a foot may sit where the panel
//! cannot move. Solved for a unit voltage on each channel in turn by LU with row pivoting.

use crate::motor::{Loop, Transducer};
use nalgebra::{Complex, DMatrix};
use ndarray::Array2;
use num_complex::Complex64;

/// Which unknown stands where.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    loops: Vec<Loop>,
    /// Loop of each exciter.
    loop_of: Vec<usize>,
    channels: usize,
}

impl Layout {
    /// The unknowns of `exciters` joined by `loops`; every exciter sits in one loop.
    pub(super) fn new(loops: Vec<Loop>, exciters: usize, channels: usize) -> Self {
        let find = |e: usize| loops.iter().position(|l| l.exciters.contains(&e));
        let loop_of =
            (0..exciters).map(|e| find(e).expect("a scene joins every exciter to a channel")).collect();
        Self { loops, loop_of, channels }
    }

    fn exciters(&self) -> usize {
        self.loop_of.len()
    }

    fn foot(&self, exciter: usize) -> usize {
        self.loops.len() + exciter
    }

    fn magnet(&self, exciter: usize) -> usize {
        self.loops.len() + self.exciters() + exciter
    }

    fn size(&self) -> usize {
        self.loops.len() + 2 * self.exciters()
    }
}

/// Answers to one volt of open-circuit voltage on each channel by itself, the other amplifiers connected but silent.
pub(super) struct UnitAnswers<'a> {
    layout: &'a Layout,
    columns: DMatrix<Complex<f64>>,
}

/// Assembles and solves. `None` when there is no unique answer: no resistance anywhere around a blocked coil, or a
/// lossless mode exactly at this frequency.
pub(super) fn solve<'a>(
    layout: &'a Layout,
    transducers: &[Transducer],
    mobility: &Array2<Complex64>,
    source_resistances: &[f64],
) -> Option<UnitAnswers<'a>> {
    solve_giving_way(layout, transducers, mobility, source_resistances).map(|(answers, _)| answers)
}

/// As [`solve`], and beside it the answers to a unit velocity that something else gives each foot when no exciter pushes:
/// (unknowns, feet), the amplifiers silent.
pub(super) fn solve_giving_way<'a>(
    layout: &'a Layout,
    transducers: &[Transducer],
    mobility: &Array2<Complex64>,
    source_resistances: &[f64],
) -> Option<(UnitAnswers<'a>, DMatrix<Complex64>)> {
    let mut system = DMatrix::zeros(layout.size(), layout.size());
    electrical_rows(layout, transducers, source_resistances, &mut system);
    foot_rows(layout, transducers, mobility, &mut system);
    magnet_rows(layout, transducers, &mut system);
    let mut drive = DMatrix::zeros(layout.size(), layout.channels + layout.exciters());
    for (row, l) in layout.loops.iter().enumerate() {
        drive[(row, l.channel)] = Complex64::ONE;
    }
    for foot in 0..layout.exciters() {
        drive[(layout.foot(foot), layout.channels + foot)] = Complex64::ONE;
    }
    let answers = system.lu().solve(&drive)?;
    let columns = answers.columns(0, layout.channels).into_owned();
    let to_feet = answers.columns(layout.channels, layout.exciters()).into_owned();
    let finite = |m: &DMatrix<Complex64>| m.iter().all(|x| x.re.is_finite() && x.im.is_finite());
    (finite(&columns) && finite(&to_feet)).then_some((UnitAnswers { layout, columns }, to_feet))
}

fn electrical_rows(layout: &Layout, transducers: &[Transducer], source: &[f64], a: &mut DMatrix<Complex64>) {
    for (row, l) in layout.loops.iter().enumerate() {
        for &e in &l.exciters {
            let t = &transducers[e];
            a[(row, row)] += t.coil;
            a[(row, layout.foot(e))] += t.force_factor;
            a[(row, layout.magnet(e))] -= t.force_factor;
        }
        for (column, other) in layout.loops.iter().enumerate() {
            if other.channel == l.channel {
                a[(row, column)] += source[l.channel];
            }
        }
    }
}

fn foot_rows(
    layout: &Layout,
    transducers: &[Transducer],
    mobility: &Array2<Complex64>,
    a: &mut DMatrix<Complex64>,
) {
    for ((foot, by), y) in mobility.indexed_iter() {
        let (row, t) = (layout.foot(foot), &transducers[by]);
        a[(row, layout.loop_of[by])] -= y * t.force_factor;
        a[(row, layout.foot(by))] += y * (t.suspension + t.moving_mass);
        a[(row, layout.magnet(by))] -= y * t.suspension;
    }
    for foot in 0..layout.exciters() {
        a[(layout.foot(foot), layout.foot(foot))] += 1.0;
    }
}

fn magnet_rows(layout: &Layout, transducers: &[Transducer], a: &mut DMatrix<Complex64>) {
    for (e, t) in transducers.iter().enumerate() {
        let row = layout.magnet(e);
        match t.magnet {
            None => a[(row, row)] = Complex64::ONE,
            Some(mass) => {
                a[(row, row)] = mass + t.suspension;
                a[(row, layout.foot(e))] = -t.suspension;
                a[(row, layout.loop_of[e])] = Complex64::from(t.force_factor);
            }
        }
    }
}

impl UnitAnswers<'_> {
    /// Adds what velocities given to the feet (feet, channels) change in the answers to each channel's volt.
    pub(super) fn carry(&mut self, to_feet: &DMatrix<Complex64>, given: &DMatrix<Complex64>) {
        self.columns += to_feet * given;
    }

    /// The unknowns of one exciter, current, foot and magnet, in a column of answers.
    pub(super) fn parts(&self, exciter: usize, column: &[Complex64]) -> [Complex64; 3] {
        let l = self.layout;
        [l.loop_of[exciter], l.foot(exciter), l.magnet(exciter)].map(|row| column[row])
    }

    /// The unknowns of one exciter for one volt on `channel`.
    pub(super) fn per_volt(&self, exciter: usize, channel: usize) -> [Complex64; 3] {
        self.parts(exciter, self.columns.column(channel).as_slice())
    }

    /// Current [A], foot velocity and magnet velocity [m/s] of one exciter when the channels give `sources` [V].
    pub(super) fn exciter(&self, exciter: usize, sources: &[Complex64]) -> [Complex64; 3] {
        let l = self.layout;
        [l.loop_of[exciter], l.foot(exciter), l.magnet(exciter)].map(|row| self.unknown(row, sources))
    }

    /// Current [A] of one channel when the channels give `sources` [V].
    pub(super) fn channel_current(&self, channel: usize, sources: &[Complex64]) -> Complex64 {
        self.rows_of(channel).map(|row| self.unknown(row, sources)).sum()
    }

    /// Admittance [S] of one channel's source and load in series, the other amplifiers silent.
    pub(super) fn own_admittance(&self, channel: usize) -> Complex64 {
        self.rows_of(channel).map(|row| self.columns[(row, channel)]).sum()
    }

    fn rows_of(&self, channel: usize) -> impl Iterator<Item = usize> {
        let own = move |(row, l): (usize, &Loop)| (l.channel == channel).then_some(row);
        self.layout.loops.iter().enumerate().filter_map(own)
    }

    fn unknown(&self, row: usize, sources: &[Complex64]) -> Complex64 {
        sources.iter().enumerate().map(|(channel, e)| self.columns[(row, channel)] * e).sum()
    }
}
