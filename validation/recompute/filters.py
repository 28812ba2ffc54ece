"""Responses of crossover filters and equaliser bands, computed with scipy.

Independent of the solver: scipy's own poles (Butterworth, Bessel with -3 dB at the corner), its bilinear transform and its evaluation.
Linkwitz-Riley is a Butterworth filter of half the order, squared. Equaliser bands are not in scipy: their analogue prototypes are
polynomials in s/w0 with A = 10^(gain/40), handed to scipy.signal.freqs and scipy.signal.bilinear.

Writes filters.csv beside itself, one line per filter and frequency: kind, order (0 for bands), corner in Hz, gain in dB, quality factor,
sample rate in Hz (0 for analogue), frequency in Hz, real and imaginary part of the response, group delay in s (digital only).
"""

import csv
from pathlib import Path

import numpy as np
from scipy import signal

CORNER, RATE = 1250.0, 48000.0
FREQUENCIES = np.array([20.0, 100.0, 500.0, 1200.0, 2000.0, 5000.0, 12000.0, 20000.0])


def passes():
    """(kind, order, what scipy designs, how often it stands in series)."""
    for side in ("low", "high"):
        for order in range(1, 9):
            yield f"butterworth-{side}", order, lambda o, s=side, **k: signal.butter(o, btype=s, **k), 1
            yield f"bessel-{side}", order, lambda o, s=side, **k: signal.bessel(o, btype=s, norm="mag", **k), 1
        for order in (2, 4, 6, 8):
            yield f"linkwitz-riley-{side}", order, lambda o, s=side, **k: signal.butter(o // 2, btype=s, **k), 2


def bands():
    """(kind, gain, q, numerator, denominator), descending powers of s/w0."""
    gain, q = 7.5, 1.7
    a = 10 ** (gain / 40)
    root = np.sqrt(a) / q
    yield "peaking", gain, q, [1, a / q, 1], [1, 1 / (a * q), 1]
    yield "low-shelf", gain, q, [a, a * root, a * a], [a, root, 1]
    yield "high-shelf", gain, q, [a * a, a * root, a], [1, root, a]
    yield "notch", 0.0, q, [1, 0, 1], [1, 1 / q, 1]
    yield "all-pass", 0.0, q, [1, -1 / q, 1], [1, 1 / q, 1]


def delays(zeros, poles):
    """Group delay in s, summed over zeros and poles: a factor 1 - q/z adds -Re(q / (z - q)) samples.

    scipy.signal.group_delay works on polynomials and loses digits beside the double zeros of a high-pass: 5e-9 at 20 Hz.
    """
    z = np.exp(2j * np.pi * FREQUENCIES / RATE)
    late = lambda roots: sum((-(q / (z - q)).real for q in roots), np.zeros(len(z)))
    return (late(zeros) - late(poles)) / RATE


def analogue(zeros, poles, gain):
    return signal.freqs_zpk(zeros, poles, gain, FREQUENCIES / CORNER)[1]


def digital(sections):
    return signal.sosfreqz(sections, FREQUENCIES, fs=RATE)[1]


def rows():
    for kind, order, design, times in passes():
        response = analogue(*design(order, Wn=1.0, analog=True, output="zpk")) ** times
        yield (kind, order, 0.0, 0.0, 0.0), response, np.full(len(FREQUENCIES), np.nan)
        sections = design(order, Wn=CORNER, fs=RATE, output="sos")
        zeros, poles, _ = design(order, Wn=CORNER, fs=RATE, output="zpk")
        yield (kind, order, 0.0, 0.0, RATE), digital(sections) ** times, times * delays(zeros, poles)
    for kind, gain, q, numerator, denominator in bands():
        response = signal.freqs(numerator, denominator, FREQUENCIES / CORNER)[1]
        yield (kind, 0, gain, q, 0.0), response, np.full(len(FREQUENCIES), np.nan)
        # scipy's bilinear transform is s = 2 fs (z - 1) / (z + 1): this rate puts the corner s = j where it belongs.
        b, a = signal.bilinear(numerator, denominator, fs=0.5 / np.tan(np.pi * CORNER / RATE))
        section = np.r_[b, a][None, :]
        yield (kind, 0, gain, q, RATE), digital(section), delays(np.roots(b), np.roots(a))


def main():
    with Path(__file__).with_suffix(".csv").open("w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow("kind order corner_hz gain_db q sample_rate_hz frequency_hz real imaginary delay_s".split())
        for (kind, order, gain, q, rate), response, delay in rows():
            for f, value, late in zip(FREQUENCIES, response, delay):
                figures = [value.real, value.imag, late]
                late_or_none = [repr(float(x)) if np.isfinite(x) else "" for x in figures]
                writer.writerow([kind, order, CORNER, gain, q, rate, f, *late_or_none])


if __name__ == "__main__":
    main()
