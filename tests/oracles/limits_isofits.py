#!/usr/bin/env python3
"""Writes limits_isofits.json: limits of holes and shafts over 3 to 120 mm, two sizes a band, micrometres.

pip install isofits==1.0   (imports modules named `module` and `data` beside it)
python3 tests/oracles/limits_isofits.py > tests/oracles/limits_isofits.json
"""
import json
from importlib.metadata import version
from data import hole_data, shaft_data

BANDS = [3, 6, 10, 18, 30, 50, 80, 120]
HOLE_LETTERS = ("E", "F", "G", "H", "JS", "K", "M", "N", "P")
SHAFT_LETTERS = ("d", "e", "f", "g", "h", "js", "k", "m", "n", "p")


def letters(name):
    return name.rstrip("0123456789")


def limits(table, name, size):
    """The library's own table; its function cannot take a size on the edge of two bands apart."""
    for over, up_to, text in zip(table["over"], table["inc."], table[name]):
        if float(over) < size <= float(up_to):
            upper, lower = (float(v) for v in text.split("\n"))
            return lower + 0.0, upper + 0.0
    raise ValueError(size)


values = []
for over, up_to in zip(BANDS, BANDS[1:]):
    for size in (over + 0.001, up_to):
        for table, wanted in ((hole_data, HOLE_LETTERS), (shaft_data, SHAFT_LETTERS)):
            for name in table:
                grade = name[len(letters(name)):]
                if letters(name) in wanted and grade and 5 <= int(grade) <= 14:
                    values.append([name, size, *limits(table, name, size)])
rows = ",\n    ".join(json.dumps(v) for v in values)
print(f'{{\n  "library": "isofits (PyPI)",\n  "version": "{version("isofits")}",\n  "values": [\n    {rows}\n  ]\n}}')
