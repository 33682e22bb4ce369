"""Writes hsbalance.json: two-plane corrections by influence coefficients, least squares, trial weights off or kept.

pip install hsbalance==0.5.5 numpy==2.4.6
Run: python -P tests/oracles/hsbalance.py (-P, lest this file be taken for the library)
"""

import cmath
import importlib.metadata
import json
import math
import pathlib

import hsbalance
import numpy as np


def v(text):
    size, angle = text.split("@")
    return cmath.rect(float(size), math.radians(float(angle)))


def column(*texts):
    return np.array([[v(t)] for t in texts])


def solve(a, b1, b2, u, keep):
    """Masses to add as [grams, degrees], the trial weights off; what is left at the sensors."""
    A, B = column(*a), np.array([[v(x), v(y)] for x, y in zip(b1, b2)])
    U = np.array([v(t) for t in u])
    alpha = hsbalance.Alpha()
    alpha.add(A=A, B=B, U=U, keep_trial=keep)
    model = hsbalance.LeastSquares(A, alpha)
    w = np.asarray(model.solve()).flatten()
    left = np.asarray(alpha.value) @ w.reshape(-1, 1) + A
    polar = lambda z: [abs(z), math.degrees(cmath.phase(z)) % 360.0]
    return {"initial": a, "trials": u, "with_1": b1, "with_2": b2, "kept": keep,
            "corrections": [polar(complex(z)) for z in w],
            "left_rms": float(np.sqrt(np.mean(np.abs(left) ** 2)))}


FOUR = (["0.68@32", "0.56@86", "1.94@231", "2.07@335"], ["1.31@1", "1.25@75", "0.93@251", "1@342"],
        ["0.54@9", "0.52@75", "0.81@196", "0.9@296"], ["11.1@35", "3.7@135"])
values = {
    "note 17-227": solve(["7.2@238", "13.5@296"], ["4.9@114", "9.2@347"], ["4.0@79", "12.0@292"], ["2.5@0", "2.5@0"], False),
    "note with 1.15 g": solve(["170@112", "53@78"], ["235@94", "58@68"], ["189@115", "77@104"], ["1.15@0", "1.15@0"], False),
    "four readings, kept": solve(*FOUR, True),
    "four readings, taken off": solve(*FOUR, False),
    "kept, uneven": solve(["6.71145@112.7121", "4.54892@338.4124"], ["8.89941@103.4327", "4.44246@330.1033"],
                          ["10.05542@105.3828", "8.39554@324.3700"], ["6@45", "8@270"], True),
}
out = {"library": "hsbalance", "version": importlib.metadata.version("hsbalance"), "values": values}
pathlib.Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=2) + "\n")
