"""Sound of a flat round piston in a closed box, recomputed with the general boundary-element library bempp-cl.

    python validation/recompute/piston_in_box.py            writes piston_in_box.csv beside this file

Needs validation/recompute/requirements_boundary.txt and an OpenCL driver for the processor (pocl).

Box of 60 x 60 x 40 mm, all rigid but a disc of radius 20 mm in the middle of a large face, which moves evenly. Plane triangles, continuous
linear pressure, constant velocity on every triangle, Galerkin, double precision, quadrature of order 4, LU. Two meshes show how far the
values have converged: the distance of the finer mesh from the limit is about 0.8 of the difference of both, for errors of second order
in the side of the triangles (3.6 mm and 2.4 mm).

Equations in the library's convention exp(-i w t), G = exp(ikr)/(4 pi r), normals out of the box, q = dp/dn:
    (1/2 - K) p = -S q,    W p = -(1/2 + K') q,    combined with the factor i/k (Burton & Miller, Proc. R. Soc. Lond. A 323, 1971).
Written: pressure over that of a point source with the same volume velocity in the middle of the disc, conjugated to exp(+j w t),
    ratio = p / [j w rho Q exp(-jkr)/(4 pi r)],    which depends on nothing but k and the place.
Volume velocity of the meshed disc, so that its polygon is no error.
"""

import os
from pathlib import Path

os.environ.setdefault("PYOPENCL_CTX", "0")

import bempp_cl.api as bempp
import gmsh
import numpy as np
import scipy.linalg

WIDTH, DEPTH, RADIUS = 0.060, 0.040, 0.020
SOUND_SPEED = 343.2
FREQUENCIES = [1000.0, 2000.0, 4000.0, 8000.0, 12000.0]
PLACES = [(0.3, 0.0), (2.5, 0.0), (0.3, 45.0), (2.5, 45.0)]  # distance [m], angle from the axis [degrees]
SIDES = [0.0036, 0.0024]
DISC = 1


def meshed(side):
    """Points (3, n), triangles (3, m) with normals out of the box, and which of them lie on the disc."""
    gmsh.initialize()
    gmsh.option.setNumber("General.Terminal", 0)
    for option in ("Mesh.MeshSizeMin", "Mesh.MeshSizeMax"):
        gmsh.option.setNumber(option, side)
    shapes = gmsh.model.occ
    box = shapes.addBox(-WIDTH / 2, -WIDTH / 2, -DEPTH, WIDTH, WIDTH, DEPTH)
    shapes.fragment([(3, box)], [(2, shapes.addDisk(0, 0, 0, RADIUS, RADIUS))])
    shapes.synchronize()
    gmsh.model.mesh.generate(2)
    tags, coordinates, _ = gmsh.model.mesh.getNodes()
    place = dict(zip(tags, range(len(tags))))
    triangles = []
    for _, face in gmsh.model.getBoundary(gmsh.model.getEntities(3), oriented=False):
        _, corners = gmsh.model.mesh.getElementsByType(2, face)
        triangles += [place[tag] for tag in corners]
    gmsh.finalize()
    used, triangles = np.unique(triangles, return_inverse=True)
    points, triangles = coordinates.reshape(-1, 3)[used], triangles.reshape(-1, 3)
    # The box is convex: outwards is away from its middle.
    corners = points[triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    inwards = np.einsum("ij,ij->i", normals, corners[:, 0] - [0, 0, -DEPTH / 2]) < 0
    triangles[inwards] = triangles[inwards, ::-1]
    corners = points[triangles]
    volume = np.einsum("ij,ij->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6
    assert abs(volume / (WIDTH**2 * DEPTH) - 1) < 1e-9, "the triangles do not close"
    middles = corners.mean(axis=1)
    disc = (middles[:, 2] > -1e-9) & (np.hypot(middles[:, 0], middles[:, 1]) < RADIUS)
    return points.T.copy(), triangles.T.copy(), disc


def ratios(grid, disc_area, k):
    """Pressure at PLACES over that of a point source, exp(+j w t)."""
    boundary, potential = bempp.operators.boundary.helmholtz, bempp.operators.potential.helmholtz
    linear = bempp.function_space(grid, "P", 1)
    constant = bempp.function_space(grid, "DP", 0, segments=[DISC])
    matrix = lambda operator: np.asarray(bempp.as_matrix(operator.weak_form()))
    identity = bempp.operators.boundary.sparse.identity
    coupling = 1j / k
    left = 0.5 * matrix(identity(linear, linear, linear)).astype(complex)
    left -= matrix(boundary.double_layer(linear, linear, linear, k))
    left += coupling * matrix(boundary.hypersingular(linear, linear, linear, k))
    right = matrix(boundary.single_layer(constant, linear, linear, k)).astype(complex)
    right += coupling * matrix(boundary.adjoint_double_layer(constant, linear, linear, k))
    right += 0.5 * coupling * matrix(identity(constant, linear, linear))
    slopes = np.ones(constant.global_dof_count, complex)
    pressure = scipy.linalg.solve(left, -(right @ slopes), overwrite_a=True)
    angles = np.radians([angle for _, angle in PLACES])
    distances = np.array([distance for distance, _ in PLACES])
    points = distances * np.array([np.sin(angles), 0 * angles, np.cos(angles)])
    field = potential.double_layer(linear, points, k).evaluate(bempp.GridFunction(linear, coefficients=pressure))
    field = field - potential.single_layer(constant, points, k).evaluate(bempp.GridFunction(constant, coefficients=slopes))
    # exp(-i w t): q = i w rho v = 1 on the disc, and a point source sounds as -i w rho Q G.
    source = -disc_area * np.exp(1j * k * distances) / (4 * np.pi * distances)
    return np.conj(field[0] / source)


if __name__ == "__main__":
    bempp.DEFAULT_DEVICE_INTERFACE = "opencl"
    bempp.set_default_cpu_device_by_name("Portable")
    lines = ["side_m,triangles,wavenumber_per_m,distance_m,angle_deg,real,imaginary"]
    for side in SIDES:
        points, triangles, disc = meshed(side)
        grid = bempp.Grid(points, triangles, domain_indices=np.where(disc, DISC, 0))
        for frequency in FREQUENCIES:
            k = 2 * np.pi * frequency / SOUND_SPEED
            for (distance, angle), ratio in zip(PLACES, ratios(grid, grid.volumes[disc].sum(), k)):
                lines.append(f"{side},{len(disc)},{k:.10g},{distance},{angle:g},{ratio.real:.7g},{ratio.imag:.7g}")
            print(f"{1e3 * side} mm, {len(disc)} triangles, {frequency:g} Hz", flush=True)
            Path(__file__).with_suffix(".csv").write_text("\n".join(lines) + "\n")
