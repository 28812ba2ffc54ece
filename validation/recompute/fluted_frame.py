"""Shear stiffness of corrugated board across its flutes from a plane frame of beams.

One pitch, periodic: skins that do not stretch and are not displaced along themselves, the deflection grows by one pitch times the shear
strain, everything else is periodic; the wave is a polygon of Euler-Bernoulli beams with axial stiffness, joined rigidly to the skins at its
crests. S = 2 W / pitch for a unit shear strain, W the least strain energy. Independent of the force method of the program.
"""

import numpy as np


def beam(stretch, bend, a, b):
    """Stiffness of a beam from a to b for (u, w, phi) at both ends, in global axes; phi counter-clockwise in the (y, z) plane."""
    d = np.subtract(b, a)
    length = np.hypot(*d)
    c, s = d / length
    k = np.zeros((6, 6))
    ea, ei = stretch / length, bend / length**3
    k[np.ix_([0, 3], [0, 3])] = ea * np.array([[1, -1], [-1, 1]])
    q = length
    k[np.ix_([1, 2, 4, 5], [1, 2, 4, 5])] = ei * np.array(
        [[12, 6 * q, -12, 6 * q], [6 * q, 4 * q * q, -6 * q, 2 * q * q], [-12, -6 * q, 12, -6 * q], [6 * q, 2 * q * q, -6 * q, 4 * q * q]]
    )
    t = np.zeros((6, 6))
    for o in (0, 3):
        t[o : o + 3, o : o + 3] = [[c, s, 0], [-s, c, 0], [0, 0, 1]]
    return t.T @ k @ t


def shear(pitch, distance, skin_bend, web_bend, web_stretch, beams):
    """beams: in the wave, a multiple of 4."""
    y = (np.arange(beams) / beams - 0.25) * pitch  # starts in a trough
    z = 0.5 * distance * np.sin(2 * np.pi * y / pitch)
    # Unknowns: (u, w, phi) of each wave node; w is periodic plus y, so the jump over the period is one pitch.
    n = 3 * beams
    stiffness, load, constant = np.zeros((n, n)), np.zeros(n), 0.0

    def add(k, first, second, jump):
        nonlocal constant
        index = [3 * first, 3 * first + 1, 3 * first + 2, 3 * second, 3 * second + 1, 3 * second + 2]
        shift = np.array([0, 0, 0, 0, jump, 0.0])
        stiffness[np.ix_(index, index)] += k if first != second else 0
        if first == second:  # a skin from a crest to itself one pitch on
            for i in range(6):
                for j in range(6):
                    stiffness[index[i], index[j]] += k[i, j]
        np.add.at(load, index, -k @ shift)
        constant += shift @ k @ shift

    for i in range(beams):
        j = (i + 1) % beams
        end = [y[j] + (pitch if j == 0 else 0), z[j]]
        add(beam(web_stretch, web_bend, [y[i], z[i]], end), i, j, pitch if j == 0 else 0.0)
    trough, crest = 0, beams // 2
    for node in (trough, crest):
        add(beam(0.0, skin_bend, [0, 0], [pitch, 0]), node, node, pitch)
    fixed = [3 * trough, 3 * trough + 1, 3 * crest]
    free = np.setdiff1d(np.arange(n), fixed)
    x = np.zeros(n)
    x[free] = np.linalg.solve(stiffness[np.ix_(free, free)], load[free])
    energy = x @ stiffness @ x - 2 * load @ x + constant
    return energy / pitch


if __name__ == "__main__":
    poisson, across, along = 0.34, 2.5e9, 6e9
    q_skin = 6e9 / (1 - poisson**2 * 2.5 / 6)
    q_web = 4e9 / (1 - poisson**2 * 1.6 / 4)
    t, pitch, height = 0.2e-3, 7.9e-3, 4e-3
    for beams in (128, 256, 512):
        s = shear(pitch, height - t, q_skin * t**3 / 12, q_web * t**3 / 12, q_web * t, beams)
        print(f"{beams:5d} beams  S = {s:.6f} N/m")
