"""Film maps for the ray-caster: a quick approximation of how compound creeps into gaps of many shapes, or prints, and what becomes of
it when it dries and when the jaws open. numpy only. films.py N OUT [--seams]

Each map is N_S x N_X cells: row 0 at the tip. `t` thickness in quarter micrometres, `c` where it counts as compound, `seep` whether it
crept in, `seam` whether a seam was painted, `L`, `W` the face in millimetres. With --seams the paint on the seam is drawn whatever lies
on the face, as the seam network needs it.
"""

import sys, numpy as np
from scipy.ndimage import gaussian_filter, distance_transform_edt, label, map_coordinates

NS, NX = 128, 128
K = NS / 96  # lengths in cells below were chosen for 96


def waves(r, sig, shape=(NS, NX)):
    w = gaussian_filter(r.normal(size=shape), np.multiply(sig, K), mode="nearest")
    return w / (w.std() + 1e-9)


def gap(r, s, x, L, W):
    """Gap in micrometres between jaw and workpiece: a taper error, a wrong radius, a tilt, a bow, a chip, or two of them."""
    kinds = ["taper", "zero", "R", "tilt", "bow", "chip", "combo", "blob"]
    kind = r.choice(kinds, p=[0.38, 0.15, 0.09, 0.1, 0.1, 0.07, 0.06, 0.05])
    taper = kind in ("taper", "combo")
    e = r.choice([-1, 1]) * np.exp(r.uniform(np.log(6), np.log(90))) if taper else r.normal(0, 7 if kind == "zero" else 4)
    p = r.uniform(0.8, 1.3)
    g = (e * s**p if e >= 0 else -e * (1 - s) ** p) + 0 * x
    m = r.uniform(22, 70)
    also = lambda k: kind == k or (kind == "combo" and r.random() < 0.4)
    if also("R"):
        q = np.abs(x) ** r.uniform(1.5, 3)
        g = g + m * (q if r.random() < 0.5 else 1 - q)
    if also("tilt"):
        g = g + m * (0.5 + 0.5 * x * r.choice([-1, 1]))
    if also("bow"):
        b = 1 - np.abs(2 * s - 1) ** r.uniform(1.5, 3)
        g = g + m * (b if r.random() < 0.5 else 1 - b)
    if kind == "chip":
        d = np.hypot((s - r.uniform(0.15, 0.85)) * L, (x - r.uniform(-0.7, 0.7)) * W / 2)
        g = g + r.uniform(35, 100) * np.exp(-((d / (r.uniform(0.3, 0.7) * L)) ** 2)) * (d > r.uniform(1, 3))
    if kind == "blob":
        g = g + 18 * np.clip(waves(r, r.uniform(5, 16)), -1, 2) + 4
    return g + r.uniform(0.6, 3.5) * waves(r, r.uniform(3, 9))


def crept(r, g, s, x, L, W):
    """Film where the gap is open and within reach of the painted tip and flanks."""
    g = np.clip(g - r.uniform(5, 11), 0, None)
    edge = np.minimum(np.minimum((x + 1) / 2 * W, (1 - x) / 2 * W), s * L) + 0 * g
    reach = r.uniform(12, 45) * np.sqrt(np.clip(g, 1, None) / 25) * np.exp(0.25 * waves(r, 4))
    lab, _ = label((g > r.uniform(3, 7)) & (edge < reach))
    ends = np.unique(np.concatenate([lab[0], lab[:, 0], lab[:, -1]]))
    wet = np.isin(lab, ends[ends > 0])
    rim = wet & (gaussian_filter(wet.astype(float), K) < 0.9)
    t = np.where(wet, g, 0.0) * (1 + r.uniform(0, 0.5) * rim)
    return t * np.exp(r.uniform(0, 0.35) * waves(r, r.uniform(1, 4)))


def printed(r, g):
    """A print: a thin film wherever the gap is nearly closed."""
    g = np.clip(g - r.uniform(5, 11), 0, None)
    dabs = np.clip(1 + r.uniform(0.1, 0.5) * waves(r, r.uniform(0.8, 2)), 0, 3)
    return np.clip(1 - g / r.uniform(3, 7), 0, 1) * r.uniform(3, 9) * dabs


def rings(r, t, d):
    """Drying drags pigment to the border (Deegan et al. 1997): a dense rim, a thin middle, older borders as rings inside."""
    w = r.uniform(0.8, 3.0) * K
    k = r.uniform(0.15, 0.7) + r.uniform(0.6, 2.5) * np.exp(-((d / w) ** 2))
    for _ in range(r.integers(0, 4)):
        k = k + r.uniform(0.2, 1.2) * np.exp(-(((d - r.uniform(2, 25) * K + 1.5 * K * waves(r, 6)) / (0.6 * w)) ** 2))
    return t * k


def torn(r, t, d, s, x):
    """Opening jaws pull a wet film apart: air fingers into it and leaves branching ridges (Saffman & Taylor 1958), finer at the
    border than inside, and now and then most of the film goes with the workpiece."""
    fine, deep = r.uniform(2.0, 7.0) * K, d / (d.max() + 1e-9)
    a = r.uniform(0, np.pi)
    v, u = np.meshgrid(np.arange(NS), np.arange(NX), indexing="ij")
    sx, sv = 4 * waves(r, 5) * K, 4 * waves(r, 5) * K
    along, across = (u + sx) * np.cos(a) + (v + sv) * np.sin(a), -(u + sx) * np.sin(a) + (v + sv) * np.cos(a)
    big = r.normal(size=(192, 192))
    n1 = gaussian_filter(big, fine * 0.35, mode="wrap")
    n2 = gaussian_filter(r.normal(size=(192, 192)), fine * 0.8, mode="wrap")
    look = lambda n, k: map_coordinates(n / n.std(), [across % 192, (along * k) % 192], order=1, mode="grid-wrap")
    stretch = r.uniform(0.25, 0.9)
    ridge = np.exp(-((look(n1, stretch) / r.uniform(0.25, 0.6)) ** 2)) * (1 - deep) + deep * np.exp(-((look(n2, stretch) / r.uniform(0.2, 0.5)) ** 2))
    rest = r.choice([0.0, 0.05, 0.15, 0.35])
    part = np.clip(waves(r, r.uniform(8, 30)) * 1.5 + r.uniform(0.0, 2.0), 0, 1)  # where it tore at all
    return t * (1 - part + part * (rest + (1 - rest) * ridge * r.uniform(0.7, 1.5)))


def flakes(r, t):
    """Dry film comes off in chips with sharp borders."""
    n = waves(r, r.uniform(0.8, 3.5))
    k = r.uniform(0.6, 2.2)
    return t * ~((n > k) & (waves(r, 10) > r.uniform(-1.5, 0.8)))


def brushed(r, t):
    sig = (r.uniform(0.3, 0.8), r.uniform(6, 30))
    return t * np.clip(1 + r.uniform(0.2, 0.7) * waves(r, sig if r.random() < 0.5 else sig[::-1]), 0.1, 3)


def look(r, t, s, x):
    """What becomes of a film; returns it and where it counts as compound: cells of which most around (1 mm or so) carry film, so that
    ridges with bare metal between them are one patch, and a hole larger than that is a hole."""
    wet = t > 2.0
    if wet.any() and r.random() < 0.6:
        d = distance_transform_edt(wet)
        for k in r.choice(4, size=1 + (r.random() < 0.3), p=[0.3, 0.36, 0.18, 0.16], replace=False):
            t = [lambda: rings(r, t, d), lambda: torn(r, t, d, s, x), lambda: flakes(r, t), lambda: brushed(r, t)][k]()
        most = gaussian_filter((t > 1.0).astype(float), 2.2 * K) > 0.3
        return t, wet & ((t > 2.0) | most)
    return t, wet


def seam_line(r, t, lo, hi):
    """The hairline that stays on the painted edges: tip and both flanks."""
    e = np.zeros_like(t)
    for edge in ((slice(0, 1), slice(None)), (slice(None), slice(0, 1)), (slice(None), slice(-1, None))):
        e[edge] = np.maximum(e[edge], r.uniform(lo, hi))
    return np.maximum(t, 1.25 * gaussian_filter(e, 0.6 * K) * np.clip(1 + r.uniform(0.2, 0.9) * waves(r, r.uniform(2, 6)), 0, 2))


def squeezed(r, t):
    """Film squeezed out along the borders of a print."""
    e = np.zeros_like(t)
    e[:2] = e[-2:] = e[:, :2] = e[:, -2:] = 1
    return t * (1 + r.uniform(0.3, 2) * gaussian_filter(e, 0.6 * K) * np.clip(1 + 0.5 * waves(r, 3), 0, 2))


def one(seed, seams=False):
    r = np.random.default_rng(seed + (10**7 if seams else 0))
    s, x = np.linspace(0, 1, NS)[:, None], np.linspace(-1, 1, NX)[None, :]
    L, W = r.uniform(16, 66), r.uniform(20, 52)
    g = gap(r, s, x, L, W)
    seep = r.random() >= (0.5 if seams else 0.22)
    t = crept(r, g, s, x, L, W) if seep else printed(r, g)
    t, c = look(r, t, s, x)
    seam = r.random() < 0.5 if seams else seep
    if seam:
        t = seam_line(r, t, 2, 8)
    elif r.random() < 0.3:
        t = squeezed(r, t)
    c = c | ((t > 2.0) & ~c & (np.minimum(np.minimum(s * NS, NS - s * NS), np.minimum((x + 1) / 2 * NX, (1 - x) / 2 * NX)) < 4))
    return np.clip(t, 0, 63.5), c, seep, seam, L, W


def job(a):
    return one(*a)


def make(n, seams, first=0):
    from multiprocessing import Pool

    with Pool() as p:
        R = p.map(job, [(first + i, seams) for i in range(n)], chunksize=25)
    col = lambda k, d: np.array([a[k] for a in R], d)
    return dict(
        t=np.stack([np.round(a[0] * 4) for a in R]).astype(np.uint8), c=np.stack([a[1] for a in R]),
        seep=col(2, np.uint8), seam=col(3, np.uint8), L=col(4, np.float32), W=col(5, np.float32),
    )


if __name__ == "__main__":
    z = make(int(sys.argv[1]), "--seams" in sys.argv)
    np.savez(sys.argv[2], **z)
    print(z["t"].shape)
