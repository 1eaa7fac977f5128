"""Makes the values that the tests in this folder compare with, by an independent implementation.

    python3 -m venv env
    env/bin/pip install numpy==2.4.6 scipy==1.17.1 statsmodels==0.15.0
    env/bin/python tests/learning/make_fixtures.py
"""

import json
from pathlib import Path

import numpy as np
import statsmodels.api as sm
from statsmodels.stats.meta_analysis import combine_effects

HERE = Path(__file__).parent / "fixtures"


def random_effects():
    """DerSimonian and Laird's one-step moment estimate ("chi2" in statsmodels)."""
    rng = np.random.default_rng(3)
    cases = []
    for sets, between in ((2, 0.3), (3, 0.0), (5, 0.2), (8, 0.5), (20, 0.1), (40, 0.35), (6, 0.0)):
        variances = rng.uniform(0.01, 0.2, sets).round(4)
        values = (2.5 + rng.normal(0, between, sets) + rng.normal(0, 1, sets) * np.sqrt(variances)).round(4)
        found = combine_effects(values, variances, method_re="chi2")
        # statsmodels goes on with a negative variance between sets; there is none, so the effect is fixed.
        kind = "re" if found.tau2 > 0 else "fe"
        mean, sd = getattr(found, f"mean_effect_{kind}"), getattr(found, f"sd_eff_w_{kind}")
        cases.append(dict(values=values.tolist(), variances=variances.tolist(), between_variance=max(0.0, float(found.tau2)),
                          mean=float(mean), mean_variance=float(sd) ** 2))
    return cases


def slopes():
    """Weighted least squares through the origin; the variance of the slope with the weights taken for
    known, and with the residuals' own scale."""
    rng = np.random.default_rng(5)
    cases = []
    for points, scatter in ((2, 1.0), (4, 0.3), (6, 1.0), (6, 4.0)):
        psi = rng.choice([50, 100, 150, 200, 300], points, replace=False) if points <= 5 else rng.integers(50, 400, points)
        sd = rng.uniform(3, 8, points).round(2)
        needed = (0.15 * psi + scatter * sd * rng.normal(size=points)).round(2)
        fit = sm.WLS(needed, psi.astype(float), weights=1 / sd**2).fit()
        known = sm.WLS(needed, psi.astype(float), weights=1 / sd**2).fit(cov_type="fixed scale")
        cases.append(dict(step_psi=psi.tolist(), needed_um=needed.tolist(), sd_um=sd.tolist(), um_per_psi=float(fit.params[0]),
                          sd_known=float(known.bse[0]), scale=float(fit.scale)))
    return cases


def save(name, value):
    HERE.mkdir(exist_ok=True)
    (HERE / f"{name}.json").write_text(json.dumps(value, indent=1) + "\n")


save("random_effects", random_effects())
save("slopes", slopes())
