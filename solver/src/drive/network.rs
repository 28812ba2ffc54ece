//! One linear system per frequency: all coil currents, feet, magnets, masses and hangs at once.
//!
//! Unknowns: the loop currents i, then the foot velocities v, then the magnet velocities u, then the velocities of the ports that
//! carry a mass or a hang. With S, Bl, … of the [transducers](crate::motor), Z of the [passive parts](super::passive)
//! and the panel's mobility Y between all ports:
//!
//! ```text
//! each loop        Σ_members [(R_e + jωL_e) i + Bl (v − u)] + R_s Σ_loops of the channel i = E of the channel
//! each port  a     v_a − Σ_b Y_ab F_b = 0,       F_b = Bl i − S (v_b − u_b) − jω m_c v_b   under a foot
//!                                                F_b = −Z v_b                              under a mass or a hang
//! each magnet      jω m_m u + Bl i − S (v − u) = 0,    or u = 0 when it is held
//! ```
//!
//! Nothing is divided by: inductance, stiffness, masses and resistances may be zero, and a foot may sit where the panel
//! cannot move. Solved for a unit voltage on each channel in turn by LU with row pivoting. A stiff hang makes its column large
//! and its velocity small; the pivots do not depend on the scale of a column, so both the velocity and the force Z v keep their digits.

use super::PanelPorts;
use crate::motor::{Loop, Transducer};
use crate::scene::Exciter;
use nalgebra::{Complex, DMatrix};
use ndarray::{Array2, Axis};
use num_complex::Complex64;

/// Which unknown stands where.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    loops: Vec<Loop>,
    /// Loop of each exciter.
    loop_of: Vec<usize>,
    channels: usize,
    /// Ports with a mass or a hang.
    passive: usize,
}

impl Layout {
    /// The unknowns of `exciters` joined by `loops` and of `passive` ports; every exciter sits in one loop.
    pub(super) fn new(loops: Vec<Loop>, exciters: usize, channels: usize, passive: usize) -> Self {
        let find = |e: usize| loops.iter().position(|l| l.exciters.contains(&e));
        let loop_of =
            (0..exciters).map(|e| find(e).expect("a scene joins every exciter to a channel")).collect();
        Self { loops, loop_of, channels, passive }
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

    fn passive(&self, index: usize) -> usize {
        self.loops.len() + 2 * self.exciters() + index
    }

    /// Velocity of a port: the feet come first, then the passive parts.
    fn port(&self, port: usize) -> usize {
        if port < self.exciters() { self.foot(port) } else { self.passive(port - self.exciters()) }
    }

    fn ports(&self) -> usize {
        self.exciters() + self.passive
    }

    fn size(&self) -> usize {
        self.loops.len() + 2 * self.exciters() + self.passive
    }
}

/// What sits at the ports, at one frequency: exciters first.
#[derive(Clone, Debug)]
pub(super) struct Parts {
    /// One per exciter.
    pub transducers: Vec<Transducer>,
    /// Impedance [N·s/m] of each mass and hang.
    pub passive: Vec<Complex64>,
}

impl Parts {
    /// What sits at `ports` at `omega` [rad/s].
    pub(super) fn new(exciters: &[Exciter], ports: &PanelPorts, omega: f64) -> Self {
        Self {
            transducers: exciters.iter().map(|e| Transducer::new(e, omega)).collect(),
            passive: ports.passive().iter().map(|part| part.impedance(omega)).collect(),
        }
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
    parts: &Parts,
    mobility: &Array2<Complex64>,
    source_resistances: &[f64],
) -> Option<UnitAnswers<'a>> {
    solve_giving_way(layout, parts, mobility, source_resistances).map(|(answers, _)| answers)
}

/// As [`solve`], and beside it the answers to a unit velocity that something else gives each port when no part pushes:
/// (unknowns, ports), the amplifiers silent.
pub(super) fn solve_giving_way<'a>(
    layout: &'a Layout,
    parts: &Parts,
    mobility: &Array2<Complex64>,
    source_resistances: &[f64],
) -> Option<(UnitAnswers<'a>, DMatrix<Complex64>)> {
    let mut system = DMatrix::zeros(layout.size(), layout.size());
    electrical_rows(layout, &parts.transducers, source_resistances, &mut system);
    port_rows(layout, parts, mobility, &mut system);
    magnet_rows(layout, &parts.transducers, &mut system);
    let mut drive = DMatrix::zeros(layout.size(), layout.channels + layout.ports());
    for (row, l) in layout.loops.iter().enumerate() {
        drive[(row, l.channel)] = Complex64::ONE;
    }
    for port in 0..layout.ports() {
        drive[(layout.port(port), layout.channels + port)] = Complex64::ONE;
    }
    let answers = system.lu().solve(&drive)?;
    let columns = answers.columns(0, layout.channels).into_owned();
    let to_ports = answers.columns(layout.channels, layout.ports()).into_owned();
    let finite = |m: &DMatrix<Complex64>| m.iter().all(|x| x.re.is_finite() && x.im.is_finite());
    (finite(&columns) && finite(&to_ports)).then_some((UnitAnswers { layout, columns }, to_ports))
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

fn port_rows(layout: &Layout, parts: &Parts, mobility: &Array2<Complex64>, a: &mut DMatrix<Complex64>) {
    for (port, by_port) in mobility.outer_iter().enumerate() {
        let row = layout.port(port);
        a[(row, row)] += 1.0;
        let (by_foot, by_passive) = by_port.split_at(Axis(0), parts.transducers.len());
        for (by, (y, t)) in by_foot.iter().zip(&parts.transducers).enumerate() {
            a[(row, layout.loop_of[by])] -= y * t.force_factor;
            a[(row, layout.foot(by))] += y * (t.suspension + t.moving_mass);
            a[(row, layout.magnet(by))] -= y * t.suspension;
        }
        for (by, (y, z)) in by_passive.iter().zip(&parts.passive).enumerate() {
            a[(row, layout.passive(by))] += y * z;
        }
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
    /// Adds what velocities given to the ports (ports, channels) change in the answers to each channel's volt.
    pub(super) fn carry(&mut self, to_ports: &DMatrix<Complex64>, given: &DMatrix<Complex64>) {
        self.columns += to_ports * given;
    }

    /// Forces [N] on the panel at every port in a column of answers.
    pub(super) fn forces(&self, parts: &Parts, column: &[Complex64]) -> Vec<Complex64> {
        let l = self.layout;
        let exciter = |(e, t): (usize, &Transducer)| {
            let [current, foot, magnet] = [l.loop_of[e], l.foot(e), l.magnet(e)].map(|row| column[row]);
            t.force(current, foot, magnet)
        };
        let passive = |(p, z): (usize, &Complex64)| -z * column[l.passive(p)];
        let exciters = parts.transducers.iter().enumerate().map(exciter);
        exciters.chain(parts.passive.iter().enumerate().map(passive)).collect()
    }

    /// Forces [N] on the panel at every port for one volt on `channel`.
    pub(super) fn forces_per_volt(&self, parts: &Parts, channel: usize) -> Vec<Complex64> {
        self.forces(parts, self.columns.column(channel).as_slice())
    }

    /// Current [A], foot velocity and magnet velocity [m/s] of one exciter when the channels give `sources` [V].
    pub(super) fn exciter(&self, exciter: usize, sources: &[Complex64]) -> [Complex64; 3] {
        let l = self.layout;
        [l.loop_of[exciter], l.foot(exciter), l.magnet(exciter)].map(|row| self.unknown(row, sources))
    }

    /// Velocity [m/s] of one passive port when the channels give `sources` [V].
    pub(super) fn passive(&self, index: usize, sources: &[Complex64]) -> Complex64 {
        self.unknown(self.layout.passive(index), sources)
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
