"""Prints values that the designs of studies are checked against, by scipy.stats.qmc. Needs scipy 1.17 or later."""

import scipy
from scipy.stats import qmc

print("scipy", scipy.__version__)
points = qmc.Sobol(d=5, scramble=False).random(1024)
for number in (1, 2, 3, 6, 1000):
    print("point", number, points[number].tolist())
print("centred discrepancy of the first 256:", repr(qmc.discrepancy(points[:256], method="CD")))
scrambled = [qmc.discrepancy(qmc.Sobol(d=5, rng=seed).random(256), method="CD") for seed in range(16)]
print("scrambled, mean of 16:", sum(scrambled) / 16)
