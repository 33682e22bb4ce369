"""Writes threads.json: diameters and stress areas of metric threads.

Source: screw_thread_lib (PyPI, MIT), after ISO/TR 16224 and FED-STD-H28/2B.
    pip install --no-deps screw_thread_lib==0.0.6
    python tests/oracles/threads.py > tests/oracles/threads.json
"""

import importlib.metadata
import json

from screw_thread_lib import Assembly

VERSION = importlib.metadata.version("screw_thread_lib")


def main():
    from screw_thread_lib.data import ASME_M_6g6H_dict

    values = {}
    for name in ASME_M_6g6H_dict:
        thread = Assembly.from_database("ASME_M_6g6H", name, UTSs=1.0, UTSn=1.0)
        # The library has inches; an inch is 25.4 mm exactly.
        values[name.split("-")[0]] = {
            "d2_mm": thread.d2bsc * 25.4,
            "D1_mm": thread.D1bsc * 25.4,
            "stress_area_mm2": thread.As_ISO() * 25.4**2,
        }
    print(json.dumps({"library": "screw_thread_lib (PyPI)", "version": VERSION, "values": values}, indent=1))


main()
