//! Linear systems by generalised minimal residuals, for operators that are only known by what they do to a vector.
//!
//! Preconditioned from the left: the residual that is made small is that of `P A x = P b`, which for a good preconditioner is the
//! relative error of x itself. No restarts: the systems here converge within a few dozen steps.
//! (Y. Saad & M. H. Schultz, GMRES, SIAM J. Sci. Stat. Comput. 7, 1986, 856–869; Givens rotations as in § 3.2.)

use num_complex::Complex64;

/// When to stop.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stop {
    /// Norm of the residual over that of the right side.
    pub residual: f64,
    /// Most steps.
    pub steps: usize,
}

/// A solution, or the best that was found.
#[derive(Clone, Debug)]
pub(crate) struct Solved {
    /// The unknowns.
    pub x: Vec<Complex64>,
    /// Steps taken.
    pub steps: usize,
    /// Norm of the residual reached over that of the right side.
    pub residual: f64,
}

/// Solves `operator(x) = right`, both with the preconditioner already applied to them.
pub(crate) fn gmres(
    mut operator: impl FnMut(&[Complex64]) -> Vec<Complex64>,
    right: Vec<Complex64>,
    stop: Stop,
) -> Solved {
    let scale = norm(&right);
    if scale == 0.0 {
        return Solved { x: right, steps: 0, residual: 0.0 };
    }
    let mut basis = vec![scaled(right, 1.0 / scale)];
    let mut least = LeastSquares::new(scale);
    while least.residual() > stop.residual * scale && least.steps() < stop.steps {
        let mut next = operator(&basis[basis.len() - 1]);
        let mut column: Vec<Complex64> = basis
            .iter()
            .map(|v| {
                let along = dot(v, &next);
                next.iter_mut().zip(v).for_each(|(n, v)| *n -= along * v);
                along
            })
            .collect();
        let length = norm(&next);
        column.push(length.into());
        least.add(column);
        // An exactly invariant space holds the solution.
        if length <= f64::EPSILON * scale {
            break;
        }
        basis.push(scaled(next, 1.0 / length));
    }
    let mut x = vec![Complex64::ZERO; basis[0].len()];
    for (y, v) in least.solution().iter().zip(&basis) {
        x.iter_mut().zip(v).for_each(|(x, v)| *x += y * v);
    }
    Solved { x, steps: least.steps(), residual: least.residual() / scale }
}

/// `min |scale e₀ − H y|` for a Hessenberg matrix that grows by a column at a time.
struct LeastSquares {
    /// Upper triangle, column by column.
    columns: Vec<Vec<Complex64>>,
    /// Cosines and sines of the rotations so far.
    rotations: Vec<(f64, Complex64)>,
    right: Vec<Complex64>,
}

impl LeastSquares {
    fn new(scale: f64) -> Self {
        Self { columns: vec![], rotations: vec![], right: vec![scale.into()] }
    }

    fn steps(&self) -> usize {
        self.columns.len()
    }

    fn residual(&self) -> f64 {
        self.right[self.steps()].norm()
    }

    fn add(&mut self, mut column: Vec<Complex64>) {
        for (i, &(c, s)) in self.rotations.iter().enumerate() {
            (column[i], column[i + 1]) =
                (c * column[i] + s * column[i + 1], c * column[i + 1] - s.conj() * column[i]);
        }
        let last = column.len() - 1;
        let (a, b) = (column[last - 1], column[last]);
        let length = a.norm().hypot(b.norm());
        let (c, s) = match (a.norm(), length) {
            (_, 0.0) => (1.0, Complex64::ZERO),
            (0.0, _) => (0.0, Complex64::ONE),
            (size, _) => (size / length, a / size * b.conj() / length),
        };
        column[last - 1] = c * a + s * b;
        column.truncate(last);
        self.columns.push(column);
        self.rotations.push((c, s));
        let old = self.right[last - 1];
        self.right[last - 1] = c * old;
        self.right.push(-s.conj() * old);
    }

    fn solution(&self) -> Vec<Complex64> {
        let mut y = self.right[..self.steps()].to_vec();
        for i in (0..y.len()).rev() {
            for j in i + 1..y.len() {
                let known = self.columns[j][i] * y[j];
                y[i] -= known;
            }
            y[i] /= self.columns[i][i];
        }
        y
    }
}

/// `Σ aᵢ* bᵢ`, summed in a fixed order.
fn dot(a: &[Complex64], b: &[Complex64]) -> Complex64 {
    const LANES: usize = 4;
    let mut sums = [[0.0; LANES]; 2];
    for (a, b) in a.chunks(LANES).zip(b.chunks(LANES)) {
        for (lane, (a, b)) in a.iter().zip(b).enumerate() {
            sums[0][lane] += a.re * b.re + a.im * b.im;
            sums[1][lane] += a.re * b.im - a.im * b.re;
        }
    }
    let [re, im] = sums.map(|lanes| lanes.iter().sum());
    Complex64::new(re, im)
}

fn norm(v: &[Complex64]) -> f64 {
    dot(v, v).re.sqrt()
}

fn scaled(mut v: Vec<Complex64>, factor: f64) -> Vec<Complex64> {
    v.iter_mut().for_each(|x| *x *= factor);
    v
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(i: usize, j: usize) -> Complex64 {
        let seed = (12.9898 * i as f64 + 78.233 * j as f64).sin() * 43758.5453;
        let other = (39.425 * i as f64 + 11.135 * j as f64).sin() * 24634.6345;
        Complex64::new(seed.fract(), other.fract())
    }

    fn times(x: &[Complex64]) -> Vec<Complex64> {
        let row = |i: usize| -> Complex64 { x.iter().enumerate().map(|(j, x)| value(i, j) * x).sum() };
        (0..x.len()).map(|i| row(i) + 4.0 * x[i]).collect()
    }

    #[test]
    fn a_full_system_is_solved_within_as_many_steps_as_it_has_unknowns() {
        let exact: Vec<Complex64> = (0..20).map(|i| value(i, 99)).collect();
        let solved = gmres(times, times(&exact), Stop { residual: 1e-12, steps: 20 });
        assert!(solved.residual < 1e-12, "{:e}", solved.residual);
        let worst = solved.x.iter().zip(&exact).map(|(a, b)| (a - b).norm()).fold(0.0, f64::max);
        assert!(worst < 1e-10, "{worst:e}");
    }

    #[test]
    fn the_residual_told_is_the_true_one() {
        let right: Vec<Complex64> = (0..20).map(|i| value(i, 99)).collect();
        let solved = gmres(times, right.clone(), Stop { residual: 0.0, steps: 5 });
        let left: Vec<Complex64> = times(&solved.x).iter().zip(&right).map(|(a, b)| a - b).collect();
        assert_eq!(solved.steps, 5);
        approx::assert_relative_eq!(norm(&left) / norm(&right), solved.residual, max_relative = 1e-10);
        assert!(solved.residual > 1e-6);
    }

    #[test]
    fn no_drive_no_answer() {
        let solved = gmres(times, vec![Complex64::ZERO; 3], Stop { residual: 1e-6, steps: 9 });
        assert_eq!(solved.x, vec![Complex64::ZERO; 3]);
    }
}
