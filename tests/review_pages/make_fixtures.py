"""Makes fixtures/trend.json: Mann–Kendall tests, normal tails and false discovery control.

numpy 2.4.6, scipy 1.17.1, pymannkendall 1.4.3:  python make_fixtures.py
"""

import json
import pathlib

import numpy
import pymannkendall
import scipy
import scipy.stats

NAMES = {"numpy": numpy.__version__, "scipy": scipy.__version__, "pymannkendall": "1.4.3"}


def mann_kendall(values):
    r = pymannkendall.original_test(values)
    return {"values": values, "s": float(r.s), "variance": float(r.var_s), "z": float(r.z), "p": float(r.p)}


def series(random):
    yield [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]
    yield [9, 8, 7, 7, 7, 3, 3, 2, 1, 1, 0, -4]
    yield [0, 0, 0, 0, 0, 0, 0, -5, -5, -5, -5]
    yield [0, 5, 0, 5, 0, 5, 0, 5, 0, 5, 0]
    for n in (10, 12, 20, 40, 80):
        for slope in (0.0, 0.2):
            drawn = random.normal(size=n) * 8 + slope * numpy.arange(n)
            # Changes of a taper are whole steps, so there are ties.
            yield [int(v) for v in numpy.round(drawn / 5) * 5]


def discoveries(random):
    for n, drifting in ((1, 0), (1, 1), (20, 0), (20, 3), (200, 15)):
        p = numpy.concatenate([random.uniform(size=n - drifting), random.uniform(size=drifting) * 1e-3])
        adjusted = scipy.stats.false_discovery_control(p, method="bh")
        yield {"sorted": sorted(float(v) for v in p), "count": int((adjusted <= 0.05).sum())}


def main():
    random = numpy.random.default_rng(4)
    out = {
        "versions": NAMES,
        "mann_kendall": [mann_kendall(v) for v in series(random)],
        "tails": [[z, float(2 * scipy.stats.norm.sf(abs(z)))] for z in (0, 0.1, -0.5, 1, 1.5, 1.99, 2, 2.01, -2.5, 3, 4, 6, 9)],
        "discoveries": list(discoveries(random)),
    }
    path = pathlib.Path(__file__).with_name("fixtures") / "trend.json"
    path.write_text(json.dumps(out, indent=1) + "\n")


main()
