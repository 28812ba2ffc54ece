"""Natural frequencies of clamped and free shear-deformable discs, by Bessel functions.

Isotropic plate of radius 1 m, D = 1 N m, 1 kg/m2, Poisson ratio 0.3, thickness h, shear factor 5/6, rotary inertia h^2/12:
w = w1 + w2, rotations from potentials (R. D. Mindlin, J. Appl. Mech. 18 (1951) 31-38; R. D. Mindlin & H. Deresiewicz,
J. Appl. Phys. 25 (1954) 1329-1332, for discs). lambda = omega R^2 sqrt(m/D).

Rotation psi = grad(s1 w1 + s2 w2) + curl of H, with
  lap w_i = -d_i^2 w_i, lap H = -d_3^2 H (negative squares: modified Bessel functions).
Independent of the solver: no Ritz series, no matrices of energy. Double roots (n > 0) are listed once.

Writes shear_deformable_disc.csv beside itself: edge, thickness over radius, lambda.
"""

from pathlib import Path

import numpy as np
from scipy.special import iv, ivp, jv, jvp

NU, KAPPA = 0.3, 5.0 / 6.0


def radial(n, square, r):
    """Regular solution of f'' + f'/r + (square - n^2/r^2) f = 0 with two derivatives."""
    k = np.sqrt(abs(square))
    f, d = (jv, jvp) if square > 0 else (iv, ivp)
    return f(n, k * r), k * d(n, k * r, 1), k * k * d(n, k * r, 2)


def determinant(lam, n, h, edge):
    stiff, inertia, w2 = KAPPA * 6 * (1 - NU) / h**2, h * h / 12, lam * lam
    # (k^2 - w2/S)(k^2 - w2 I) = w2, in k^2 = d^2
    p, q = w2 / stiff + w2 * inertia, w2 * (w2 * inertia / stiff - 1)
    root = np.sqrt(p * p / 4 - q)
    squares = [p / 2 + root, p / 2 - root]
    third = 2 / (1 - NU) * (w2 * inertia - stiff)
    columns = []
    for square in squares:
        # S (lap w + div psi) + w2 w = 0 with psi = s grad w: s = w2/(S d^2) - 1
        s = w2 / (stiff * square) - 1
        f, f1, f2 = radial(n, square, 1.0)
        turn, twist = s * f1, s * n * f  # psi_r and (up to sign) psi_theta at r = 1
        moment = s * (f2 + NU * (f1 - n * n * f))
        twisting = s * n * (f1 - f)
        force = f1 + s * f1
        columns.append((f, turn, twist, moment, twisting, force))
    f, f1, f2 = radial(n, third, 1.0)
    # psi_r = (n/r) H cos, psi_theta = -H' sin
    turn, twist = n * f, f1
    moment = (1 - NU) * n * (f1 - f)
    twisting = 0.5 * (n * n * f - f1 + f2)
    columns.append((0.0, turn, twist, moment, twisting, n * f))
    rows = {"clamped": (0, 1, 2), "free": (3, 4, 5)}[edge]
    matrix = np.array([[column[row] for column in columns] for row in rows])
    matrix /= np.abs(matrix).max(axis=0)
    if n == 0:
        matrix = matrix[np.ix_([0, 1] if edge == "clamped" else [0, 2], [0, 1])]
    return np.linalg.det(matrix)


def roots(n, h, edge, top):
    grid = np.linspace(0.5, top, 4000)
    values = [determinant(lam, n, h, edge) for lam in grid]
    found = []
    for a, b, fa, fb in zip(grid, grid[1:], values, values[1:]):
        if fa * fb < 0:
            for _ in range(60):
                c = 0.5 * (a + b)
                fc = determinant(c, n, h, edge)
                a, b, fa = (a, c, fa) if fa * fc < 0 else (c, b, fc)
            found.append(0.5 * (a + b))
    return found


if __name__ == "__main__":
    lines = []
    for edge in ("clamped", "free"):
        for h in (0.02, 0.1, 0.2):
            every = sorted(lam for n in range(12) for lam in roots(n, h, edge, 100.0))
            lines += [f"{edge},{h},{lam:.10g}" for lam in every[:8]]
    Path(__file__).with_suffix(".csv").write_text("\n".join(lines) + "\n")
