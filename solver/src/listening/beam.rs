//! How wide a source radiates, and how late it sounds.

use num_complex::Complex64;
use std::f64::consts::TAU;

/// How far the level falls at the edges of the beam [dB].
const FALL: f64 = 6.0;

/// Width [rad] of the beam between the first angles on both sides of the axis where the level has fallen by 6 dB (IEC 60268-5:2003,
/// § 23.3, from memory, uses 10 dB; 6 dB is common practice). `angles` [rad] ascend through the axis, at 0; between them the level is taken as linear. `None`
/// where the level does not fall so far within the arc.
pub fn beamwidth(angles: &[f64], far: &[Complex64]) -> Option<f64> {
    let axis = angles.iter().position(|angle| angle.abs() < 1e-9)?;
    let level = |i: usize| 20.0 * (far[i].norm() / far[axis].norm()).log10() + FALL;
    let edge = |mut steps: Box<dyn Iterator<Item = (usize, usize)>>| {
        let (inner, outer) = steps.find(|&(_, outer)| level(outer) <= 0.0)?;
        let share = level(inner) / (level(inner) - level(outer));
        Some(angles[inner] + share * (angles[outer] - angles[inner]))
    };
    let right = edge(Box::new((axis..angles.len() - 1).map(|i| (i, i + 1))))?;
    let left = edge(Box::new((1..=axis).rev().map(|i| (i, i - 1))))?;
    Some(right - left)
}

/// Group delay [s] `−dφ/dω` of pressures at ascending `frequencies` [Hz]: differences of phase between neighbours, which may not be half a turn
/// apart, so the time of flight belongs taken out before.
pub fn group_delay(frequencies: &[f64], pressure: &[Complex64]) -> Vec<f64> {
    let last = frequencies.len().saturating_sub(1);
    let at = |i: usize| {
        let (below, above) = (i.saturating_sub(1), (i + 1).min(last));
        let turn: f64 = (below..above).map(|j| (pressure[j + 1] * pressure[j].conj()).arg()).sum();
        -turn / (TAU * (frequencies[above] - frequencies[below]))
    };
    if last == 0 { vec![0.0; frequencies.len()] } else { (0..frequencies.len()).map(at).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_known_pattern_has_its_width() {
        // cos³ falls to a half (6.02 dB) at 37.47°.
        let angles: Vec<f64> = (-90..=90).map(|d| f64::from(d).to_radians()).collect();
        let far: Vec<Complex64> = angles.iter().map(|a| a.cos().powi(3).into()).collect();
        let width = beamwidth(&angles, &far).expect("it falls").to_degrees();
        assert!((width - 2.0 * 37.4).abs() < 0.1, "{width}");
        assert_eq!(beamwidth(&angles, &vec![Complex64::ONE; 181]), None);
    }

    #[test]
    fn a_delay_is_a_delay() {
        let f: Vec<f64> = (0..50).map(|i| 1000.0 * 1.03f64.powi(i)).collect();
        let late: Vec<Complex64> = f.iter().map(|f| 0.3 * Complex64::cis(-TAU * f * 2e-4)).collect();
        assert!(group_delay(&f, &late).iter().all(|delay| (delay - 2e-4).abs() < 1e-12));
        assert_eq!(group_delay(&f[..1], &late[..1]), [0.0]);
    }
}
