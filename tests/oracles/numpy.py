"""Writes numpy.json: raw numbers of PCG64, stacks sampled with them, exact quantiles by convolution; stress of turning discs.

pip install numpy==2.4.6 scipy==1.17.1
Run: python -P tests/oracles/numpy.py (-P, lest this file be taken for the library)
"""

import json
import math
import pathlib

import numpy as np
import scipy
from scipy.integrate import solve_bvp
from scipy.stats import norm, uniform

MULTIPLIER = 0x2360ED051FC65DA44385DF649FCCF645
STREAM = 0xA02BDBF7BB3C0A7AC28FA16A64ABF96
MASK = (1 << 128) - 1
TAIL = float(norm.cdf(-3.0))
LINKS = [(7.8, 8.2, 5), (19.9, 20.1, 2), (2.9, 3.1, -1)]  # lower, upper, count


def generator(seed):
    """PCG64 from a seed and a stream, as its reference program starts it."""
    increment = (STREAM << 1 | 1) & MASK
    state = ((seed + increment) * MULTIPLIER + increment) & MASK
    bits = np.random.PCG64()
    bits.state = {"bit_generator": "PCG64", "state": {"state": state, "inc": increment}, "has_uint32": 0, "uinteger": 0}
    return bits


def sampled(spread, samples, seed):
    """One stack after the other, one part after the other, a number each: the middle of the step its 52 upper bits name."""
    parts = sum(abs(n) for _, _, n in LINKS)
    raw = generator(seed).random_raw(samples * parts)
    draws = ((raw >> np.uint64(12)).astype(float) + 0.5) / 2.0**52
    off = 2.0 * draws - 1.0 if spread == "even" else norm.ppf(draws) / 3.0
    off = off.reshape(samples, parts)
    sums, k = np.zeros(samples), 0
    for low, high, n in LINKS:
        sums += (low + high) / 2 * n + (high - low) / 2 * off[:, k:k + abs(n)].sum(axis=1) * np.sign(n)
        k += abs(n)
    ordered = np.sort(sums)
    return {"mean": float(sums.mean()), "deviation": float(sums.std(ddof=1)), "least": float(ordered[0]),
            "most": float(ordered[-1]), "low": float(ordered[int(samples * TAIL)]),
            "high": float(ordered[int(samples * (1 - TAIL))])}


def exact_even():
    """Quantiles of the sum of even spreads, by folding their densities on a fine grid."""
    step = 0.0005
    density, half = np.array([1.0]), 0.0
    for low, high, n in LINKS:
        width = round((high - low) / step)
        for _ in range(abs(n)):
            density = np.convolve(density, np.full(width + 1, 1.0) * uniform.pdf(0.5))
            half += (high - low) / 2
    density /= density.sum()
    grid = np.linspace(-half, half, density.size)
    spread = np.cumsum(density) - density / 2
    middle = sum((low + high) / 2 * n for low, high, n in LINKS)
    at = lambda q: middle + float(np.interp(q, spread, grid))
    return {"low": at(TAIL), "high": at(1 - TAIL)}


def exact_normal():
    deviation = math.sqrt(sum(abs(n) * ((high - low) / 6) ** 2 for low, high, n in LINKS))
    middle = sum((low + high) / 2 * n for low, high, n in LINKS)
    return {"low": middle + deviation * float(norm.ppf(TAIL)), "high": middle + deviation * float(norm.ppf(1 - TAIL))}


def disc(outer, bore, rpm, radii, rho=7850.0, nu=0.3):
    """Radial and hoop stress from equilibrium and compatibility as differential equations, not from the closed form:
    d(r s)/dr = t - rho w^2 r^2, d(t - nu s)/dr = (1 + nu) (s - t) / r, s = 0 at bore and rim; scaled by rho w^2 b^2."""
    w2, a, b = (rpm * math.pi / 30) ** 2, bore / 2, outer / 2

    def right(x, y):
        s, t = y
        ds = (t - s) / x - x
        return np.vstack((ds, nu * ds + (1 + nu) * (s - t) / x))

    x = np.linspace(a / b, 1.0, 400)
    found = solve_bvp(right, lambda ya, yb: np.array([ya[0], yb[0]]), x, np.vstack((0 * x, 0.5 + 0 * x)), tol=1e-9, max_nodes=200000)
    scale = rho * w2 * b * b / 1e6
    return {"outer": outer, "bore": bore, "rpm": rpm,
            "at": [{"r": r, "radial_mpa": float(found.sol(r / b)[0]) * scale, "hoop_mpa": float(found.sol(r / b)[1]) * scale} for r in radii]}


values = {
    "raw": [str(x) for x in generator(1).random_raw(4)],
    "even": sampled("even", 50_000, 7),
    "normal": sampled("normal", 50_000, 7),
    "deviations": [[p, float(norm.ppf(p))] for p in [1e-300, 1e-30, 1e-12, 1e-6, 0.0013, 0.0749, 0.0751, 0.3, 0.5, 0.6, 0.93, 0.999]],
    "exact_even": exact_even(),
    "exact_normal": exact_normal(),
    "discs": [disc(0.300, 0.030, 1500, [0.015, 0.050, 0.100, 0.150]), disc(0.380, 0.025, 320, [0.0125, 0.040, 0.190])],
}
out = {"library": "numpy and scipy", "version": f"{np.__version__}, {scipy.__version__}", "values": values}
pathlib.Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=2) + "\n")
