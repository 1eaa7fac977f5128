"""Makes the values that agreement.rs compares with, by independent implementations.

    python3 -m venv env
    env/bin/pip install numpy==2.4.6 scipy==1.17.1 statsmodels==0.15.0 scikit-learn==1.9.1 krippendorff==0.9.0
    env/bin/python tests/reference/make_agreement.py
"""

import json
from pathlib import Path

import krippendorff
import numpy as np
from scipy.stats import bootstrap
from sklearn.metrics import cohen_kappa_score
from statsmodels.stats.inter_rater import aggregate_raters, cohens_kappa, fleiss_kappa
from statsmodels.stats.proportion import proportion_confint

RNG = np.random.default_rng(11)


def two_readers(items, categories, skill):
    """Two columns of calls: each reader hits the truth with this skill, else calls anything."""
    truth = RNG.integers(0, categories, items)
    def call(): return np.where(RNG.random(items) < skill, truth, RNG.integers(0, categories, items))
    return call(), call()


def cohen():
    cases = []
    for items, categories, skill in ((20, 2, 0.6), (40, 3, 0.8), (60, 4, 0.3), (200, 5, 0.9), (35, 3, 0.0), (500, 11, 0.7)):
        a, b = two_readers(items, categories, skill)
        table = np.zeros((categories, categories), int)
        np.add.at(table, (a, b), 1)
        given = RNG.integers(1, 9, (categories, categories)).astype(float)
        np.fill_diagonal(given, 0)
        for name, weights in (("nominal", None), ("linear", "linear"), ("quadratic", "quadratic"), ("given", given / given.max())):
            named = isinstance(weights, str)
            found = cohens_kappa(table, wt=weights) if named else cohens_kappa(table, weights=weights)
            if name != "given":  # a second library on the same calls
                other = cohen_kappa_score(a, b, weights=weights, labels=list(range(categories)))
                assert abs(other - found.kappa) < 1e-12
            cases.append(dict(table=table.tolist(), weights=name, given=given.tolist() if name == "given" else None, kappa=float(found.kappa),
                              standard_error=float(found.std_kappa), low=float(found.kappa_low), high=float(found.kappa_upp)))
    return cases


def several(items, readers, categories, skill, gaps):
    truth = RNG.integers(0, categories, items)[:, None]
    calls = np.where(RNG.random((items, readers)) < skill, truth, RNG.integers(0, categories, (items, readers))).astype(float)
    calls[RNG.random((items, readers)) < gaps] = np.nan
    return calls


def rows(calls):
    return [[None if np.isnan(c) else int(c) for c in row] for row in calls]


def fleiss():
    cases = []
    for items, readers, categories, skill in ((10, 3, 3, 0.5), (50, 6, 5, 0.8), (25, 2, 4, 0.0), (12, 14, 11, 0.3)):
        counts, _ = aggregate_raters(several(items, readers, categories, skill, 0.0).astype(int), n_cat=categories)
        cases.append(dict(counts=counts.tolist(), kappa=float(fleiss_kappa(counts))))
    return cases


def alpha():
    cases = []
    for items, readers, categories, skill, gaps in ((12, 4, 5, 0.8, 0.2), (30, 3, 3, 0.5, 0.4), (8, 2, 4, 0.9, 0.0), (60, 5, 11, 0.7, 0.1)):
        calls = several(items, readers, categories, skill, gaps)
        def of(level): return float(krippendorff.alpha(calls.T, level_of_measurement=level, value_domain=list(range(categories))))
        cases.append(dict(items=rows(calls), categories=categories, nominal=of("nominal"), ordinal=of("ordinal")))
    return cases


def wilson():
    cases = []
    for count, of in ((0, 1), (1, 1), (3, 7), (20, 20), (19, 20), (199, 200), (0, 500), (5000, 10000)):
        low, high = proportion_confint(count, of, method="wilson")
        cases.append(dict(count=count, of=of, low=float(low), high=float(high)))
    return cases


def drawn():
    """Percentile intervals of plain kappa over items drawn again, so often that they hardly move, and how
    much an end moves between runs of 2000 draws."""
    cases = []
    for items, categories, skill in ((40, 3, 0.8), (80, 4, 0.5)):
        a, b = two_readers(items, categories, skill)
        def kappa(x, y): return cohen_kappa_score(x, y)
        def run(times): return bootstrap((a, b), kappa, paired=True, vectorized=False, n_resamples=times, method="percentile", rng=RNG).confidence_interval
        whole = run(20000)
        ends = np.array([tuple(run(2000)) for _ in range(20)])
        cases.append(dict(a=a.tolist(), b=b.tolist(), categories=categories, low=float(whole.low), high=float(whole.high),
                          sd_of_an_end=float(ends.std(axis=0, ddof=1).max())))
    return cases


values = dict(cohen=cohen(), fleiss=fleiss(), alpha=alpha(), wilson=wilson(), drawn=drawn())
(Path(__file__).parent / "fixtures" / "agreement.json").write_text(json.dumps(values) + "\n")
