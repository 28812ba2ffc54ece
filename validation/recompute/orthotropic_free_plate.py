"""First 100 elastic frequencies of a free orthotropic plate, computed with B-splines and scipy.

Independent of the solver: another basis (tensor-product B-splines of degree 8), another assembly (Gauss points), another
eigenproblem (generalised, stiffness inverted). Two meshes; the file keeps the finer one and the script stops when the
two differ by more than 1e-6.

Writes orthotropic_free_plate.csv beside itself: number, frequency in Hz.
"""

from pathlib import Path

import numpy as np
import scipy.linalg
from scipy.interpolate import BSpline

WIDTH, HEIGHT, THICKNESS = 0.9, 0.6, 4e-3
E1, E2, G12, NU12, DENSITY = 10e9, 5e9, 0.7e9, 0.3, 650.0
COUNT, RIGID, DEGREE, AGREEMENT = 100, 3, 8, 1e-6


def section():
    """D11, D12, D22, D66 in N m and mass per area in kg/m2 (classical plate theory)."""
    nu21 = NU12 * E2 / E1
    cube = THICKNESS**3 / 12
    d11 = E1 * cube / (1 - NU12 * nu21)
    d22 = E2 * cube / (1 - NU12 * nu21)
    return d11, NU12 * d22, d22, G12 * cube, DENSITY * THICKNESS


def line_matrices(length, elements):
    """Integrals of products of B-splines and their derivatives: {(order, order): matrix}."""
    breaks = np.linspace(0, length, elements + 1)
    knots = np.r_[[0.0] * DEGREE, breaks, [length] * DEGREE]
    nodes, weights = np.polynomial.legendre.leggauss(DEGREE + 1)
    half = 0.5 * length / elements
    points = (breaks[:-1, None] + half * (nodes + 1)).ravel()
    weights = np.tile(half * weights, elements)
    splines = BSpline(knots, np.eye(elements + DEGREE), DEGREE)
    values = [splines(points)] + [splines.derivative(order)(points) for order in (1, 2)]
    return {(a, b): values[a].T @ (weights[:, None] * values[b]) for a, b in ((0, 0), (1, 1), (2, 2), (2, 0))}


def frequencies(elements_x, elements_y):
    d11, d12, d22, d66, mass = section()
    x, y = line_matrices(WIDTH, elements_x), line_matrices(HEIGHT, elements_y)
    coupling = np.kron(x[2, 0], y[2, 0].T)
    stiffness = (
        d11 * np.kron(x[2, 2], y[0, 0])
        + d22 * np.kron(x[0, 0], y[2, 2])
        + 4 * d66 * np.kron(x[1, 1], y[1, 1])
        + d12 * (coupling + coupling.T)
    )
    inertia = mass * np.kron(x[0, 0], y[0, 0])
    shift = (2 * np.pi * 50.0) ** 2  # makes the stiffness definite although the plate is free
    size = len(inertia)
    inverse = scipy.linalg.eigh(
        inertia, stiffness + shift * inertia, eigvals_only=True, subset_by_index=(size - RIGID - COUNT, size - 1)
    )
    squares = 1 / inverse[::-1] - shift
    assert np.all(np.abs(squares[:RIGID]) < 1e-6 * shift), "three rigid-body modes"
    return np.sqrt(squares[RIGID:]) / (2 * np.pi)


def main():
    coarse, fine = frequencies(24, 18), frequencies(32, 24)
    difference = np.abs(coarse / fine - 1).max()
    print(f"largest relative difference between the meshes: {difference:.1e}")
    assert difference < AGREEMENT
    lines = [f"{number},{value:.9f}" for number, value in enumerate(fine, 1)]
    Path(__file__).with_suffix(".csv").write_text("\n".join(["number,frequency_hz", *lines]) + "\n")


if __name__ == "__main__":
    main()
