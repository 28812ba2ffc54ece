"""Opens results.h5 with plain h5py and checks what a reader relies on: names, units, meanings, complex numbers.

Usage: python read_results.py results.h5. Exits with a message at the first thing that is missing.
"""

import sys

import h5py
import numpy as np

EXPECTED = {
    "frequencies": "Hz",
    "seats/pressure": "Pa",
    "seats/level": "dB re 20 uPa",
    "channels/impedance": "ohm",
    "exciters/excursion": "m",
    "power/electrical": "W",
    "polar/horizontal": "dB re 20 uPa",
    "map/level": "dB re 20 uPa",
    "panel_map/level": "dB re 1 m/s",
    "dead_spots/depth": "dB",
    "centres/intensity_position": "m",
    "panel/natural_frequencies": "Hz",
}


def check_documented(name, item):
    """Every dataset says what it is, in which unit, over which dimensions."""
    if isinstance(item, h5py.Group):
        assert item.attrs.get("description"), f"group {name} has no description"
        return 0
    for attribute in ("unit", "description", "dimensions"):
        assert attribute in item.attrs, f"{name} has no {attribute}"
    assert item.attrs["description"].endswith("."), f"{name} is not described in a sentence"
    dimensions = [d for d in item.attrs["dimensions"].split(" x ") if d]
    assert len(dimensions) == item.ndim, f"{name} has {item.ndim} dimensions, {dimensions} are named"
    for path, size in zip(dimensions, item.shape):
        if path.startswith("/"):
            assert item.file[path].shape[0] == size, f"{name} does not fit {path}"
    return 1


def main(path):
    with h5py.File(path, "r") as results:
        for attribute in ("program", "program_version", "case_name", "computed_at", "conventions"):
            assert results.attrs.get(attribute), f"the file has no {attribute}"
        count = []
        results.visititems(lambda name, item: count.append(check_documented(name, item)))
        for name, unit in EXPECTED.items():
            assert results[name].attrs["unit"] == unit, f"{name} is in {results[name].attrs['unit']}, not {unit}"
        for name in ("seats/pressure", "channels/impedance", "channels/current"):
            assert results[name].dtype == np.complex128, f"{name} is {results[name].dtype}"
        level = 20 * np.log10(np.abs(results["seats/pressure"][:]) / 20e-6)
        assert np.allclose(level, results["seats/level"][:], atol=1e-6), "pressure and level disagree"
        assert results["case_text"].asstr()[()], "the case file is empty"
        impedance = results["channels/impedance"][0, 10]
        print(f"{sum(count)} datasets documented")
        print(f"impedance {exact(impedance.real)} {exact(impedance.imag)}")


def exact(value):
    """Nine decimals and the shortest exponent, as Rust writes it."""
    mantissa, exponent = f"{value:.9e}".split("e")
    return f"{mantissa}e{int(exponent)}"


if __name__ == "__main__":
    main(sys.argv[1])
