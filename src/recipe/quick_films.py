"""Films for training by a quick approximation of how compound creeps in; labels by the gap itself."""

import numpy as np, judge, gapfield as gf, sys
from scipy.ndimage import gaussian_filter, label

exact = gf.film


def quick(f, g):
    if f.method == "transfer":
        return exact(f, g)
    r = np.random.default_rng(f.seed + 1)
    s = np.linspace(0, 1, gf.NS)[:, None]
    x = np.linspace(-1, 1, gf.NX)[None]
    open_ = g > f.threshold_um
    edge = np.minimum(np.minimum((x + 1) / 2 * f.width_mm, (1 - x) / 2 * f.width_mm), s * f.length_mm) + 0 * g
    j = gaussian_filter(r.normal(size=g.shape), 4)
    j = np.exp(0.25 * j / (j.std() + 1e-9))
    ge = gaussian_filter(np.maximum(g, 1), 3)
    wet = open_ & (edge * j / np.sqrt(ge / 25) < f.reach_mm)
    lab, n = label(wet)
    keep = np.unique(np.concatenate([lab[0], lab[:, 0], lab[:, -1]]))
    wet = np.isin(lab, keep[keep > 0])
    t = np.where(wet, g, 0.0)
    e = np.zeros_like(t)
    e[0] = 5
    e[:, 0] = np.maximum(e[:, 0], 4)
    e[:, -1] = np.maximum(e[:, -1], 4)
    return np.maximum(t, gaussian_filter(e, 0.8))


gf.film = quick
if __name__ == "__main__":
    judge.make(int(sys.argv[1]), sys.argv[2], 0)
