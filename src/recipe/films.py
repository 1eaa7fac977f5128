"""Film maps of varied gap shapes for the ray-caster: fast approximation of how compound creeps in. numpy only."""

import sys, numpy as np
from scipy.ndimage import gaussian_filter, distance_transform_edt

NS, NX = 96, 96


def sm(r, sig, shape=(NS, NX)):
    w = gaussian_filter(r.normal(size=shape), sig, mode="nearest")
    return w / (w.std() + 1e-9)


def one(seed, hairline=True):
    r = np.random.default_rng(seed)
    s = np.linspace(0, 1, NS)[:, None]
    x = np.linspace(-1, 1, NX)[None, :]
    L = r.uniform(16, 66)
    W = r.uniform(20, 52)
    g = np.zeros((NS, NX))
    kind = r.choice(
        ["taper", "taper", "taper", "zero", "R", "tilt", "bow", "chip", "combo", "blob"],
        p=[0.2, 0.1, 0.12, 0.16, 0.09, 0.08, 0.08, 0.06, 0.06, 0.05],
    )
    e = 0.0
    if kind in ("taper", "combo"):
        e = float(r.choice([-1, 1]) * np.exp(r.uniform(np.log(6), np.log(90))))
    elif kind != "zero":
        e = float(r.normal(0, 4))
    else:
        e = float(r.normal(0, 7))
    p = r.uniform(0.8, 1.3)
    g = g + (e * s**p if e >= 0 else -e * (1 - s) ** p)
    m = r.uniform(22, 70)
    if kind in ("R",) or (kind == "combo" and r.random() < 0.4):
        g = g + (
            m * np.abs(x) ** r.uniform(1.5, 3)
            if r.random() < 0.5
            else m * (1 - np.abs(x) ** r.uniform(1.5, 3))
        )
    if kind == "tilt" or (kind == "combo" and r.random() < 0.4):
        g = g + m * (0.5 + 0.5 * x * r.choice([-1, 1]))
    if kind == "bow" or (kind == "combo" and r.random() < 0.4):
        b = 1 - np.abs(2 * s - 1) ** r.uniform(1.5, 3)
        g = g + (m * b if r.random() < 0.5 else m * (1 - b))
    if kind == "chip":
        cs, cx = r.uniform(0.15, 0.85), r.uniform(-0.7, 0.7)
        d = np.hypot((s - cs) * L, (x - cx) * W / 2)
        g = g + r.uniform(35, 100) * np.exp(-((d / (r.uniform(0.3, 0.7) * L)) ** 2)) * (d > r.uniform(1, 3))
    if kind == "blob":
        g = g + 18 * np.clip(sm(r, r.uniform(5, 16)), -1, 2) + 4
    g = g + r.uniform(0.6, 3.5) * sm(r, r.uniform(3, 9))
    h = r.uniform(7, 19)
    gg = np.clip(g - r.uniform(5, 11), 0, None)
    thr = r.uniform(3, 7)
    tr = r.random() < (0.2 if hairline else 0.5)
    if tr:
        t = (
            np.clip(1 - gg / thr, 0, 1)
            * r.uniform(3, 9)
            * np.clip(1 + r.uniform(0.1, 0.5) * sm(r, r.uniform(0.8, 2)), 0, 3)
        )
        seep = 0
    else:
        seep = 1
        open_ = gg > thr
        # creeping in from tip and flanks: distance through the open region, approximated by the distance to the painted edges, with a noisy reach
        edge = np.minimum(np.minimum((x + 1) / 2 * W, (1 - x) / 2 * W), s * L) + 0 * g
        reach = r.uniform(12, 45) * np.sqrt(np.clip(gg, 1, None) / 25) * np.exp(0.25 * sm(r, 4))
        wet = open_ & (edge < reach)
        # only what is connected to a painted edge
        from scipy.ndimage import label

        lab, n = label(wet)
        keep = np.unique(np.concatenate([lab[0], lab[:, 0], lab[:, -1]]))
        wet = np.isin(lab, keep[keep > 0])
        t = np.where(wet, gg, 0.0)
        rim = wet & (gaussian_filter(wet.astype(float), 1.0) < 0.9)
        t = t * (1 + r.uniform(0, 0.5) * rim)
        t = t * np.exp(r.uniform(0, 0.35) * sm(r, r.uniform(1, 4)))
        if not hairline:
            return t, seep, L, W
        ed = np.zeros_like(t)
        wd = 1
        ed[0:wd] = r.uniform(2, 7)
        ed[:, :wd] = np.maximum(ed[:, :wd], r.uniform(2, 7))
        ed[:, -wd:] = np.maximum(ed[:, -wd:], r.uniform(2, 7))
        t = np.maximum(t, gaussian_filter(ed, 0.6) * np.clip(1 + 0.4 * sm(r, 2), 0, 2))
    return np.clip(t, 0, 63.5), seep, L, W


if __name__ == "__main__":
    from multiprocessing import Pool

    n = int(sys.argv[1])
    with Pool() as p:
        R = p.map(one, range(n), chunksize=50)
    T = np.stack([np.round(a[0] * 4) for a in R]).astype(np.uint8)
    np.savez_compressed(
        "films.npz",
        t=T,
        seep=np.array([a[1] for a in R], np.uint8),
        L=np.array([a[2] for a in R], np.float32),
        W=np.array([a[3] for a in R], np.float32),
    )
    print(T.shape)
