"""Writes fasteners.json: hardware of metric threads and parallel keys.

Source: the CSV files of bd_warehouse (PyPI, Apache-2.0); only its data is read.
    pip install --no-deps bd_warehouse==0.4.0
    python tests/oracles/fasteners.py > tests/oracles/fasteners.json

Known differences, left out by the test: column iso4035:s has the old DIN widths for M10 and M12; washer thickness is the largest, not the
nominal; hole "Normal" of M12, M14 and M16 is half a millimetre above ISO 273 medium.
"""

import csv
import importlib.metadata
import json
import pathlib

VERSION = importlib.metadata.version("bd_warehouse")
DATA = pathlib.Path(importlib.metadata.distribution("bd_warehouse").locate_file("bd_warehouse")) / "data"
SIZES = ["M3", "M4", "M5", "M6", "M8", "M10", "M12", "M14", "M16", "M20", "M22", "M24"]


def rows(name):
    """The rows of a table by their size."""
    with open(DATA / f"{name}_parameters.csv", newline="") as file:
        return {row["Size"]: {k.strip(): v for k, v in row.items()} for row in csv.DictReader(file)}


def coarse(table, size):
    """The row of the coarse thread: the one of the size with the largest pitch."""
    found = [(float(k.split("-")[1]), row) for k, row in table.items() if k.split("-")[0] == size and "-" in k]
    return max(found, key=lambda f: f[0]) if found else (None, {})


def number(row, key):
    """A number, or none where the cell is empty."""
    return float(row[key]) if row.get(key) else None


def main():
    nuts, caps, screws = rows("hex_nut"), rows("socket_head_cap"), rows("setscrew")
    washers = rows("plain_washer")
    with open(DATA / "clearance_hole_sizes.csv", newline="") as file:
        holes = {row["Size"]: row for row in csv.DictReader(file)}
    values = {}
    for size in SIZES:
        pitch, nut = coarse(nuts, size)
        _, cap = coarse(caps, size)
        _, screw = coarse(screws, size)
        washer = next((row for k, row in washers.items() if k.split("-")[0] == size), {})
        values[size] = {
            "pitch": pitch,
            "across_flats": number(nut, "iso4032:s"),
            "nut": number(nut, "iso4032:m"),
            "thin_nut": number(nut, "iso4035:m"),
            "washer_outer": number(washer, "iso7089:d2"),
            "hole": number(holes.get(size, {}), "Normal"),
            "cap_key": number(cap, "iso4762:s"),
            "set_screw_key": number(screw, "iso4026:s"),
        }
    keys = {}
    for size, row in rows("shaft_key").items():
        keys[size] = [number(row, f"din6885:{column}") for column in ("b", "h", "t4", "t2")]
    values["keys"] = keys
    print(json.dumps({"library": "bd_warehouse (PyPI)", "version": VERSION, "values": values}, indent=1))


main()
