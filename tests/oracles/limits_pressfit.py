#!/usr/bin/env python3
"""Writes limits_pressfit.json: limits of shafts and of H holes, two sizes a band, micrometres.

pip install pressfit==0.1.0
python3 tests/oracles/limits_pressfit.py > tests/oracles/limits_pressfit.json
"""
import json
import pressfit

BANDS = [1, 3, 6, 10, 18, 30, 50, 80, 120]
HOLES = [f"H{g}" for g in range(5, 12)]
SHAFTS = [f"{letter}{g}" for letter in ("d", "e", "f", "g", "h", "js", "k", "m", "n", "p") for g in range(5, 12)]


def sizes():
    for over, up_to in zip(BANDS, BANDS[1:]):
        yield over + 0.001  # just above the lower edge
        yield up_to  # the upper edge belongs to the band


values = []
for size in sizes():
    for name in HOLES:
        fit = pressfit.fit(f"{name}/h6", size)
        values.append([name, size, fit.hole_ei_um, fit.hole_es_um])
    for name in SHAFTS:
        fit = pressfit.fit(f"H7/{name}", size)
        values.append([name, size, fit.shaft_ei_um, fit.shaft_es_um])
rows = ",\n    ".join(json.dumps(v) for v in values)
print(f'{{\n  "library": "pressfit (PyPI)",\n  "version": "{pressfit.__version__}",\n  "values": [\n    {rows}\n  ]\n}}')
