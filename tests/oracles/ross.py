"""Writes ross.json: bending and natural frequencies of shafts by ross-rotordynamics, Euler-Bernoulli elements.

pip install ross-rotordynamics==2.3.0 'plotly==5.24.1' numpy==2.4.6 scipy==1.17.1
(ross 2.3.0 does not load with plotly 6; -P, lest this file be taken for the library). Run: python -P tests/oracles/ross.py
"""

import json
import math
import pathlib

import numpy as np
import ross as rs

E, RHO, G = 206e9, 7850.0, 9.80665
STEEL = rs.Material("steel", rho=RHO, E=E, Poisson=0.3)
DISC = {"m": 5.49335, "Id": 0.031255, "Ip": 0.062418}
PULLEY = {"m": 1.402623, "Id": 0.001029, "Ip": 0.001911}
CASES = {
    "bare": {"L": 1.0, "d": 0.025, "n": 50, "bearings": [0.0, 1.0], "discs": []},
    "middle": {"L": 0.8, "d": 0.030, "n": 40, "bearings": [0.0, 0.8],
               "discs": [(0.40, {"m": 15.0, "Id": 0.05, "Ip": 0.10})]},
    "stack": {"L": 0.65, "d": 0.030, "n": 65, "bearings": [0.10, 0.50],
              "discs": [(x, DISC) for x in (0.20, 0.25, 0.30, 0.35, 0.40)] + [(0.62, PULLEY)]},
}


def rotor(case, stiffness, timoshenko=False, gyroscopic=True):
    n = case["n"]
    node = lambda x: int(round(x / case["L"] * n))
    elements = [rs.ShaftElement(L=case["L"] / n, idl=0.0, odl=case["d"], material=STEEL, shear_effects=timoshenko,
                                rotary_inertia=timoshenko, gyroscopic=gyroscopic) for _ in range(n)]
    discs = [rs.DiskElement(n=node(x), **d) for x, d in case["discs"]]
    bearings = [rs.BearingElement(n=node(x), kxx=stiffness, cxx=0.0) for x in case["bearings"]]
    return rs.Rotor(elements, discs, bearings)


def hz(found):
    """Bending comes twice, once a plane; what comes once is torsion or stretching and left out."""
    f = sorted(float(w) / 2 / math.pi for w in found.wn)
    return [a for a, b in zip(f, f[1:]) if abs(b - a) < 1e-6 * a]


values = {}
for name, case in CASES.items():
    f = hz(rotor(case, 1e10).run_modal(speed=0.0, num_modes=12, sparse=False))
    values[name] = {"zero_speed_hz": f[:2]}
    t = hz(rotor(case, 1e10, timoshenko=True).run_modal(speed=0.0, num_modes=12, sparse=False))
    values[name]["zero_speed_hz_timoshenko"] = t[:2]
for k in (1e8, 3e7, 1e7):
    f = hz(rotor(CASES["stack"], k).run_modal(speed=0.0, num_modes=12, sparse=False))
    values["stack"][f"zero_speed_hz_at_{k:.0e}".replace("+0", "")] = f[0]

# Forward synchronous whirl without the shaft's own gyroscopic terms: the speed that meets its forward frequency.
whirl = rotor(CASES["stack"], 1e10, gyroscopic=False)


def forward(omega):
    modal = whirl.run_modal(speed=omega, num_modes=12, sparse=False)
    pairs = zip(modal.wd, modal.whirl_direction())
    return min(float(w) for w, way in pairs if way == "Forward")


omega = 2 * math.pi * 80.0
for _ in range(8):  # converges a hundredfold a step
    omega = forward(omega)
values["stack"]["forward_hz"] = omega / 2 / math.pi

# Weights alone; ross counts upwards, in metres and newtons.
static = rotor(CASES["stack"], 1e10).run_static()
node = lambda x: int(round(x / 0.65 * 65))
shape = np.asarray(static.deformation).flatten()
values["stack"]["static"] = {
    "sinks_300_mm": -float(shape[node(0.30)]) * 1e3,
    "sinks_620_mm": -float(shape[node(0.62)]) * 1e3,
    "reactions_n": [float(v) for v in static.bearing_forces.values()],
    "largest_moment_nm": float(np.max(np.abs(static.Bm))),
}
out = {"library": "ross-rotordynamics", "version": rs.__version__, "values": values}
pathlib.Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=2) + "\n")
