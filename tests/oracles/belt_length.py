#!/usr/bin/env python3
"""Writes belt_length.json: a belt round two pulleys as the convex hull of two circles, its perimeter measured.

pip install shapely==2.2.0 numpy==2.4.6
python3 tests/oracles/belt_length.py > tests/oracles/belt_length.json
"""
import json
import shapely
from shapely.geometry import Point, MultiPolygon

DRIVES = [  # smaller and larger diameter, centre, mm
    (50, 200, 180), (63, 160, 300), (60, 200, 380), (80, 250, 526), (110, 250, 501),
    (140, 250, 477), (100, 100, 400), (20, 400, 215), (180, 500, 900), (45, 315, 250),
]


def length(d, big, centre):
    # 4096 chords a quarter: short of the circle by 2.5e-8 of the arc.
    circle = lambda x, diameter: Point(x, 0).buffer(diameter / 2, quad_segs=4096)
    return MultiPolygon([circle(0, d), circle(centre, big)]).convex_hull.length


print(json.dumps({
    "library": "Shapely (PyPI)",
    "version": shapely.__version__,
    "values": [{"small": d, "large": b, "centre": c, "length": round(length(d, b, c), 6)} for d, b, c in DRIVES],
}, indent=2))
