"""Makes the values that the tests in this folder compare with, by independent implementations.

    python3 -m venv env
    env/bin/pip install scipy==1.17.1 statsmodels==0.15.0
    env/bin/python tests/prove/make_fixtures.py
"""

import json
from pathlib import Path

from scipy import stats
from statsmodels.stats.proportion import proportion_confint

HERE = Path(__file__).parent / "fixtures"
CASES = [(0, 1), (1, 1), (0, 5), (0, 12), (1, 12), (12, 12), (0, 20), (1, 20), (7, 20), (19, 20), (0, 59), (3, 59), (0, 299),
         (1, 299), (6, 299), (150, 299), (298, 299), (2, 1000), (977, 1000), (40, 5000)]


def shares():
    cases = []
    for count, of in CASES:
        for confidence in (0.90, 0.95, 0.99):
            low, high = proportion_confint(count, of, alpha=1 - confidence, method="beta")
            exact = stats.binomtest(count, of).proportion_ci(confidence, method="exact")
            assert abs(low - exact.low) < 1e-9 and abs(high - exact.high) < 1e-9
            one_sided = stats.binomtest(count, of, alternative="less").proportion_ci(confidence, method="exact").high
            cases.append(dict(count=count, of=of, confidence=confidence, low=float(low), high=float(high),
                              one_sided=float(one_sided)))
    return cases


def medians():
    """The interval of order statistics with the most values left out on either side."""
    cases = []
    for of in list(range(1, 41)) + [100, 1000]:
        k = int(stats.binom.ppf(0.025, of, 0.5))
        while k >= 0 and stats.binom.cdf(k, of, 0.5) > 0.025:
            k -= 1
        cases.append(dict(of=of, ends=[k, of - 1 - k] if k >= 0 else None))
    return cases


HERE.mkdir(exist_ok=True)
(HERE / "exact.json").write_text(json.dumps(dict(shares=shares(), medians=medians()), indent=1) + "\n")
