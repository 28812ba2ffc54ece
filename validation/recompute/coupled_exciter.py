"""Coupled response of two exciters on a free orthotropic plate, recomputed without modes.

    python validation/recompute/coupled_exciter.py            writes coupled_exciter.csv beside this file
    python validation/recompute/coupled_exciter.py --check    prints how far the finer and the coarser plate differ

One complex system per frequency holds everything at once: the displacement coefficients of the plate, the displacements
of the two magnets and the coil currents. It is solved by sparse LU: first the plate, feet, coil masses and springs
included, then the four others. Nothing is transformed to modes and nothing is left out.

Plate: Kirchhoff, all edges free, Ritz with clamped quintic B-splines of scipy.interpolate; the cells are even, but finer
across the feet of the exciters, where the plate bends sharply around the ring,
    K = D11 <w_xx w_xx> + D12 (<w_xx w_yy> + <w_yy w_xx>) + D22 <w_yy w_yy> + 4 D66 <w_xy w_xy>,   loss K (1 + j eta).
Exciter e with the mean plate displacement w_e = p_e . c over its foot (256 points of a ring), magnet displacement u_e:
    plate    (K (1 + j eta) - w^2 M) c + sum_e p_e [(s_e - w^2 m_c) w_e - s_e u_e - Bl i_e] = 0,    s = k (1 + j eta_s)
    magnet   -w^2 m_m u_e + s_e (u_e - w_e) + Bl i_e = 0
    coil     (R + j w L) i_e + j w Bl (w_e - u_e) = voltage at the leads
Parallel: each lead voltage is E - R_s (i_1 + i_2). Series: i_1 = i_2 and the lead voltages add up to E - R_s i.
exp(+j w t), RMS. The data of panel and exciters are invented.
"""

import sys
from pathlib import Path

import numpy as np
import scipy.sparse as sp
from scipy.interpolate import BSpline
from scipy.sparse.linalg import splu

DEGREE = 5
PANEL = dict(a=0.760, b=0.520, h=0.004, e1=7.0e9, e2=2.5e9, g=0.45e9, nu=0.05, rho=450.0, eta=0.02)
EXCITERS = [
    dict(x=0.290, y=0.215, r=3.6, l=0.06e-3, bl=2.6, mc=1.3e-3, d=0.025, k=11000.0, eta=0.15, mm=0.120),
    dict(x=0.515, y=0.330, r=6.8, l=0.12e-3, bl=-4.1, mc=2.1e-3, d=0.032, k=7500.0, eta=0.08, mm=0.205),
]
VOLTAGE, SOURCE_RESISTANCE = 2.83, 0.15
FREQUENCIES = [30, 37, 45, 56, 69, 85, 105, 130, 160, 200, 245, 300, 370, 455, 560, 690, 850, 1050, 1300, 1600, 2000, 2500, 3150, 4000, 5000]
COARSE, FINE = (0.016, 0.004), (0.012, 0.0025)  # largest cell, and largest cell across a foot [m]


def grid(length, feet, cells):
    """Edges of the cells along one side; feet: (centre, diameter) of each exciter along it."""
    even, near = cells
    spans = [(centre - 0.75 * d, centre + 0.75 * d) for centre, d in feet]
    marks = np.unique([0.0, length, *(edge for span in spans for edge in span)])
    edges = [0.0]
    for low, high in zip(marks[:-1], marks[1:]):
        inside = any(a < 0.5 * (low + high) < b for a, b in spans)
        count = int(np.ceil((high - low) / (near if inside else even) - 1e-9))
        edges.extend(np.linspace(low, high, count + 1)[1:])
    return np.array(edges)


def values(t, x, derivative):
    """Basis functions or their derivatives at x: (points, functions), sparse."""
    count = len(t) - DEGREE - 1
    if derivative == 0:
        return sp.csr_matrix(BSpline.design_matrix(x, t, DEGREE))
    basis = BSpline(t, np.eye(count), DEGREE).derivative(derivative)
    return sp.csr_matrix(basis(x))


def integrals(edges):
    """Knots and one-dimensional integrals of products of derivatives, exact by Gauss quadrature."""
    t = np.concatenate([[edges[0]] * DEGREE, edges, [edges[-1]] * DEGREE])
    points, weights = np.polynomial.legendre.leggauss(DEGREE + 1)
    half, middle = 0.5 * np.diff(edges)[:, None], 0.5 * (edges[1:] + edges[:-1])[:, None]
    w = sp.diags((half * weights).ravel())
    d = [values(t, (middle + half * points).ravel(), k) for k in range(3)]
    return t, {(p, q): (d[p].T @ w @ d[q]).tocsr() for p, q in [(0, 0), (1, 1), (2, 2), (0, 2), (2, 0)]}


def plate(cells):
    p = PANEL
    nu21 = p["nu"] * p["e2"] / p["e1"]
    scale = p["h"] ** 3 / 12
    d11, d22 = (e * scale / (1 - p["nu"] * nu21) for e in (p["e1"], p["e2"]))
    d12, d66 = p["nu"] * d22, p["g"] * scale
    along = [grid(p[side], [(e[axis], e["d"]) for e in EXCITERS], cells) for side, axis in (("a", "x"), ("b", "y"))]
    (tx, x), (ty, y) = (integrals(edges) for edges in along)
    stiffness = d11 * sp.kron(x[2, 2], y[0, 0]) + d22 * sp.kron(x[0, 0], y[2, 2]) + 4 * d66 * sp.kron(x[1, 1], y[1, 1])
    stiffness = stiffness + d12 * (sp.kron(x[2, 0], y[0, 2]) + sp.kron(x[0, 2], y[2, 0]))
    mass = p["rho"] * p["h"] * sp.kron(x[0, 0], y[0, 0])
    return stiffness.tocsc(), mass.tocsc(), tx, ty


def foot(e, tx, ty):
    angle = 2 * np.pi * (np.arange(256) + 0.5) / 256
    bx = values(tx, e["x"] + 0.5 * e["d"] * np.cos(angle), 0)
    by = values(ty, e["y"] + 0.5 * e["d"] * np.sin(angle), 0)
    rows = [sp.kron(bx[i], by[i]) for i in range(len(angle))]
    return sp.csr_matrix(sum(rows) / len(angle))


def plate_under_loads(w, model):
    """Mean plate displacements w_e = W y under the feet for y = (u_1, u_2, i_1, i_2): the coefficients eliminated, W (2, 4)."""
    stiffness, mass, feet = model
    system = stiffness * (1 + 1j * PANEL["eta"]) - w**2 * mass
    columns = np.zeros((stiffness.shape[0], 4), dtype=complex)
    for k, (e, p) in enumerate(zip(EXCITERS, feet)):
        s = e["k"] * (1 + 1j * e["eta"])
        system = system + (s - w**2 * e["mc"]) * (p.T @ p)
        columns[:, k] = s * p.toarray()[0]
        columns[:, 2 + k] = e["bl"] * p.toarray()[0]
    coefficients = splu(system.tocsc(), permc_spec="MMD_AT_PLUS_A").solve(columns)
    return np.array([(p @ coefficients)[0] for p in feet])


def answer(w, wiring, under):
    """Impedance, currents, foot and magnet velocities, and peak excursions."""
    moved, magnet, current = list(under), np.eye(4)[:2], np.eye(4)[2:]  # each row: a displacement or current in terms of y
    rows, volts = [], []
    for k, e in enumerate(EXCITERS):
        s = e["k"] * (1 + 1j * e["eta"])
        rows.append(-(w**2) * e["mm"] * magnet[k] + s * (magnet[k] - moved[k]) + e["bl"] * current[k])
        volts.append((e["r"] + 1j * w * e["l"]) * current[k] + 1j * w * e["bl"] * (moved[k] - magnet[k]))
    if wiring == "parallel":
        rows += [v + SOURCE_RESISTANCE * (current[0] + current[1]) for v in volts]
        load = [0, 0, VOLTAGE, VOLTAGE]
    else:
        rows += [volts[0] + volts[1] + SOURCE_RESISTANCE * current[0], current[0] - current[1]]
        load = [0, 0, VOLTAGE, 0]
    y = np.linalg.solve(np.array(rows), np.array(load, dtype=complex))
    feet, magnets, i = under @ y, y[:2], y[2:]
    impedance = VOLTAGE / (i.sum() if wiring == "parallel" else i[0]) - SOURCE_RESISTANCE
    return [impedance, *i, *(1j * w * feet), *(1j * w * magnets)], list(np.sqrt(2) * np.abs(feet - magnets))


NAMES = ["impedance", "current_1", "current_2", "foot_1", "foot_2", "magnet_1", "magnet_2"]


def table(cells):
    stiffness, mass, tx, ty = plate(cells)
    model = stiffness, mass, [foot(e, tx, ty) for e in EXCITERS]
    omegas = [2 * np.pi * f for f in FREQUENCIES]
    under = [plate_under_loads(w, model) for w in omegas]
    return [(wiring, f, *answer(w, wiring, x)) for wiring in ("series", "parallel") for f, w, x in zip(FREQUENCIES, omegas, under)]


def check():
    coarse, fine = table(COARSE), table(FINE)
    worst = np.zeros(len(NAMES))
    for a, b in zip(coarse, fine):
        worst = np.maximum(worst, np.abs(np.array(a[2]) / np.array(b[2]) - 1))
    for name, value in zip(NAMES, worst):
        print(f"{name:10} largest relative change from cells of {COARSE} m to {FINE} m: {value:.1e}")


def write():
    lines = ["wiring,frequency," + ",".join(f"{n}_re,{n}_im" for n in NAMES) + ",excursion_1,excursion_2"]
    for wiring, f, numbers, excursion in table(FINE):
        parts = [part for z in numbers for part in (z.real, z.imag)] + excursion
        lines.append(f"{wiring},{f}," + ",".join(f"{x:.9e}" for x in parts))
    Path(__file__).with_suffix(".csv").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    check() if "--check" in sys.argv else write()
