"""Times what the table holds runtrue against: numpy drawing stacks, ross-rotordynamics finding a critical speed.

Takes the question on standard input, answers with one line of JSON: seconds of each run, or why there is none. How both
are installed is said in tests/oracles/numpy.py and tests/oracles/ross.py; RUNTRUE_PYTHON names the python that has them.
"""

import json
import sys
import time

asked = json.load(sys.stdin)
LINKS = [(7.8, 8.2, 5), (19.9, 20.1, 2), (2.9, 3.1, -1)]  # lower, upper, count


def timed(run):
    run()  # the first one loads
    seconds = []
    for _ in range(asked["runs"]):
        begun = time.perf_counter()
        run()
        seconds.append(time.perf_counter() - begun)
    return seconds


def numpy_stacks(spread):
    import numpy as np

    parts = sum(abs(n) for _, _, n in LINKS)

    def run():
        random = np.random.Generator(np.random.PCG64(7))
        if spread == "even":
            off = random.uniform(-1.0, 1.0, (asked["samples"], parts))
        else:
            off = random.standard_normal((asked["samples"], parts)) / 3.0
        sums, k = np.zeros(asked["samples"]), 0
        for low, high, n in LINKS:
            sums += (low + high) / 2 * n + (high - low) / 2 * off[:, k:k + abs(n)].sum(axis=1) * np.sign(n)
            k += abs(n)
        return sums.mean(), sums.std(ddof=1), np.sort(sums)

    return timed(run)


def ross_critical():
    import ross as rs

    steel = rs.Material("steel", rho=asked["density"], E=asked["elastic"], Poisson=0.3)
    # As many elements as runtrue takes: none longer than a 64th of the shaft, a node at everything heavy.
    places = sorted({0.0, asked["length"], *asked["bearings"], *(at for at, *_ in asked["lumps"])})
    nodes = [0.0]
    for a, b in zip(places, places[1:]):
        pieces = max(1, -int(-(b - a) // (asked["length"] / 64)))
        nodes += [a + (b - a) * k / pieces for k in range(1, pieces + 1)]
    node = lambda x: min(range(len(nodes)), key=lambda k: abs(nodes[k] - x))
    shaft = [rs.ShaftElement(L=b - a, idl=0.0, odl=asked["diameter"], material=steel, shear_effects=False,
                             rotary_inertia=False) for a, b in zip(nodes, nodes[1:])]
    discs = [rs.DiskElement(n=node(at), m=m, Id=tilt, Ip=polar) for at, m, tilt, polar in asked["lumps"]]
    bearings = [rs.BearingElement(n=node(at), kxx=asked["stiffness"], cxx=0.0) for at in asked["bearings"]]
    rotor = rs.Rotor(shaft, discs, bearings)
    # The rotor is put together outside the clock, which favours it; a changed speed, so that no answer is kept from before.
    speed = iter(range(1, 10_000))
    return timed(lambda: rotor.run_modal(speed=next(speed) * 1e-6, num_modes=12))


def answer(run):
    try:
        return run()
    except ImportError as missing:
        return f"{missing.name} is not installed"


print(json.dumps({
    "numpy_even": answer(lambda: numpy_stacks("even")),
    "numpy_normal": answer(lambda: numpy_stacks("normal")),
    "ross": answer(ross_critical),
}))
