"""Ground truth for one jaw face: the gap between face and workpiece, and where the marking compound ends up.

Axes: s in [0,1] runs from the jaw TIP (free end, s=0) to the jaw BASE (next to the chuck, s=1);
x in [-1,1] runs across the face width. Lengths in mm, gaps in micrometres (um).
taper_error_um e: (taper cut - taper needed), per side, over the grip length.
  e > 0: too much taper, the tip grips and the base stands open; e < 0: too little, the base grips and the tip is open.
  The correction the tool must find is -e per side (-2e on the diameter).
"""

import heapq
from dataclasses import dataclass, field, asdict
import numpy as np
from scipy.ndimage import gaussian_filter, zoom

NS, NX = 128, 96  # truth grid: stations along the length, cells across the width


@dataclass
class Face:
    length_mm: float = 32.0
    width_mm: float = 38.0
    bore_radius_mm: float = 45.0
    taper_error_um: float = 0.0
    closure_um: float = 8.0  # how much gap the clamp force closes elastically
    threshold_um: float = 5.0  # below this gap no compound gets in
    radius_mismatch_um: float = 0.0  # + bore larger than part: centre touches, edges open; - the reverse
    side_tilt_um: float = 0.0  # + opens toward x=+1
    mid_bow_um: float = (
        0.0  # + gap in the middle of the length (bell/hourglass); - touches in the middle only
    )
    chip: tuple | None = None  # (s, x, height_um, radius_mm): debris that holds the face off
    waviness_um: float = 1.5
    reach_mm: float = 22.0  # how far compound seeps through a 25 um gap
    method: str = "seep"  # 'seep': compound painted on the clamped seam; 'transfer': film on the workpiece
    seam: bool | None = None  # paint along the seam, whatever the film inside; None: by the method
    seed: int = 0


def gap(f: Face):
    """Gap in um on the (NS, NX) grid, clamped; 0 where metal touches."""
    rng = np.random.default_rng(f.seed)
    s = np.linspace(0, 1, NS)[:, None]
    x = np.linspace(-1, 1, NX)[None, :]
    g = f.taper_error_um * s if f.taper_error_um >= 0 else -f.taper_error_um * (1 - s)
    g = g + np.zeros((NS, NX))
    if f.radius_mismatch_um >= 0:
        g += f.radius_mismatch_um * x**2
    else:
        g += -f.radius_mismatch_um * (1 - x**2)
    g += abs(f.side_tilt_um) * (0.5 + 0.5 * np.sign(f.side_tilt_um) * x) if f.side_tilt_um else 0
    bow = 1 - (2 * s - 1) ** 2
    g += f.mid_bow_um * bow if f.mid_bow_um >= 0 else -f.mid_bow_um * (1 - bow)
    if f.chip:
        cs, cx, h, r = f.chip
        d = np.hypot((s - cs) * f.length_mm, (x - cx) * f.width_mm / 2)
        lift = h * np.exp(-((d / (0.55 * f.length_mm)) ** 2))
        g += lift * (d > r)
    w = gaussian_filter(rng.normal(size=(NS, NX)), 6, mode="nearest")
    g += f.waviness_um * w / (w.std() + 1e-9)
    return np.clip(g - f.closure_um, 0, None)


def hairline(f, shape):
    edge = np.zeros(shape)
    edge[0, :] = 5
    edge[:, 0] = np.maximum(edge[:, 0], 4)
    edge[:, -1] = np.maximum(edge[:, -1], 4)
    return gaussian_filter(edge, 0.8)


def film(f: Face, g):
    t = inner_film(f, g)
    seam = f.method == "seep" if f.seam is None else f.seam
    return np.maximum(t, hairline(f, g.shape)) if seam else t


def inner_film(f: Face, g):
    """Compound thickness in um left on the face, same grid."""
    rng = np.random.default_rng(f.seed + 1)
    if f.method == "transfer":
        near = np.clip(1 - g / max(f.threshold_um, 1e-6), 0, 1)
        mott = gaussian_filter(rng.normal(size=g.shape), 1.2)
        mott /= mott.std() + 1e-9
        return np.clip(6.0 * near * (1 + 0.25 * mott), 0, None)
    open_ = g > f.threshold_um
    ds, dx = f.length_mm / (NS - 1), f.width_mm / (NX - 1)
    cost = np.full(g.shape, np.inf)
    heap = []
    jit = gaussian_filter(rng.normal(size=g.shape), 4)
    jit = np.exp(0.25 * jit / (jit.std() + 1e-9))
    step = np.where(open_, jit / np.maximum(g, 1) ** 0.5 * 5.0, np.inf)  # per mm; 1.0 at 25 um
    for j in range(NX):  # the tip edge and both side edges are painted
        if open_[0, j]:
            cost[0, j] = 0
            heap.append((0.0, 0, j))
    for i in range(NS):
        for j in (0, NX - 1):
            if open_[i, j] and cost[i, j] > 0:
                cost[i, j] = 0
                heap.append((0.0, i, j))
    heapq.heapify(heap)
    while heap:
        c, i, j = heapq.heappop(heap)
        if c > cost[i, j] or c > f.reach_mm:
            continue
        for di, dj, d in (
            (1, 0, ds),
            (-1, 0, ds),
            (0, 1, dx),
            (0, -1, dx),
            (1, 1, np.hypot(ds, dx)),
            (-1, -1, np.hypot(ds, dx)),
            (1, -1, np.hypot(ds, dx)),
            (-1, 1, np.hypot(ds, dx)),
        ):
            a, b = i + di, j + dj
            if 0 <= a < NS and 0 <= b < NX and open_[a, b]:
                n = c + d * step[a, b]
                if n < cost[a, b]:
                    cost[a, b] = n
                    heapq.heappush(heap, (n, a, b))
    wet = cost <= f.reach_mm
    t = np.where(wet, g, 0.0)
    rim = wet & ~gaussian_filter(wet.astype(float), 1.0).__gt__(0.9)  # drying ring: thicker at the front
    t = t * (1 + 0.35 * rim)
    return t


def truth(f: Face):
    """Everything a scorer needs. film_um is what to paint; contact is where metal touched."""
    g = gap(f)
    t = film(f, g)
    contact = g <= f.threshold_um
    compound = t > 2.0
    inner = slice(int(0.1 * NX), int(0.9 * NX))
    clean_profile = 1 - compound[:, inner].mean(axis=1)
    contact_profile = contact[:, inner].mean(axis=1)
    th = [contact_profile[a:b].mean() for a, b in ((0, NS // 3), (NS // 3, 2 * NS // 3), (2 * NS // 3, NS))]
    cols = contact[:, :].mean(axis=0)
    left, mid, right = (
        cols[: NX // 12].mean(),
        cols[3 * NX // 8 : 5 * NX // 8].mean(),
        cols[-NX // 12 :].mean(),
    )
    top, centre, bottom = (
        contact_profile[a:b].mean()
        for a, b in ((0, NS // 8), (7 * NS // 16, 9 * NS // 16), (7 * NS // 8, NS))
    )
    if f.chip:
        cls = "held-off"  # debris or burr: not a taper matter
    elif abs(f.side_tilt_um) > 0 and abs(left - right) > 0.5:
        cls = "one-side"
    elif f.radius_mismatch_um and abs(mid - (left + right) / 2) > 0.5:
        cls = "centre-only" if mid > left else "edges-only"
    elif f.mid_bow_um and min(top, bottom) - centre > 0.4:
        cls = "ends-only"
    elif f.mid_bow_um and centre - max(top, bottom) > 0.4:
        cls = "middle-only"
    elif min(th) >= 0.8:
        cls = "full-length"
    elif th[0] - th[2] > 0.3:
        cls = "tip-only"
    elif th[2] - th[0] > 0.3:
        cls = "base-only"
    else:
        cls = "full-length" if np.mean(th) > 0.8 else "mixed"
    clear = {
        "full-length": min(th) >= 0.9,
        "tip-only": th[0] >= 0.7 and th[2] <= 0.3,
        "base-only": th[2] >= 0.7 and th[0] <= 0.3,
    }.get(cls, True)
    return dict(
        face=asdict(f),
        gap_um=g,
        film_um=t,
        contact=contact,
        compound=compound,
        clean_profile=clean_profile,
        contact_profile=contact_profile,
        thirds=[float(v) for v in th],
        pattern=cls,
        borderline=not bool(clear),
    )


def upsample(a, shape):
    return zoom(a, (shape[0] / a.shape[0], shape[1] / a.shape[1]), order=1)


if __name__ == "__main__":
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt

    cases = [
        ("0", {}),
        ("+0.5thou", dict(taper_error_um=12.7)),
        ("+1thou", dict(taper_error_um=25.4)),
        ("-1thou", dict(taper_error_um=-25.4)),
        ("+2", dict(taper_error_um=50.8)),
        ("-1.5", dict(taper_error_um=-38)),
        ("R+", dict(radius_mismatch_um=35)),
        ("R-", dict(radius_mismatch_um=-35)),
        ("tilt", dict(side_tilt_um=35)),
        ("bow+", dict(mid_bow_um=30)),
        ("bow-", dict(mid_bow_um=-30)),
        ("chip", dict(chip=(0.3, 0.2, 60, 2))),
        ("-1 transfer", dict(taper_error_um=-25.4, method="transfer")),
    ]
    fig, ax = plt.subplots(2, 7, figsize=(21, 7))
    ax = ax.ravel()
    for a, (n, kw) in zip(ax, cases):
        tr = truth(Face(**kw))
        a.imshow(tr["film_um"], vmin=0, vmax=30, cmap="Blues")
        a.set_title(f"{n}: {tr['pattern']}{'*' if tr['borderline'] else ''}")
    plt.tight_layout()
    plt.savefig("gap.png", dpi=60)
