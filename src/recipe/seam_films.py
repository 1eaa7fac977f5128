"""Films for the seam network: what lies on the face does not depend on whether its seam is painted. seam_films.py N OUT"""

import sys, numpy as np, films
from scipy.ndimage import gaussian_filter


def one(seed):
    t, _, L, W = films.one(seed, hairline=False)
    r = np.random.default_rng(seed + 10**7)
    seam = int(r.random() < 0.5)
    if seam:  # the hairline that stays on the painted edges, with thin spots
        e = np.zeros_like(t)
        for edge in ((slice(0, 1), slice(None)), (slice(None), slice(0, 1)), (slice(None), slice(-1, None))):
            e[edge] = np.maximum(e[edge], r.uniform(2, 8))
        gaps = np.clip(1 + r.uniform(0.2, 0.9) * films.sm(r, r.uniform(2, 6)), 0, 2)
        t = np.maximum(t, gaussian_filter(e, r.uniform(0.4, 0.9)) * gaps)
    elif r.random() < 0.3:  # film squeezed out at the edges of a print
        e = np.zeros_like(t)
        e[:2] = e[-2:] = e[:, :2] = e[:, -2:] = 1
        t = t * (
            1 + r.uniform(0.3, 2) * gaussian_filter(e, 0.6) * np.clip(1 + 0.5 * films.sm(r, 3), 0, 2)
        )
    return np.clip(t, 0, 63.5), seam, L, W


if __name__ == "__main__":
    from multiprocessing import Pool

    with Pool() as p:
        R = p.map(one, range(int(sys.argv[1])), chunksize=50)
    np.savez_compressed(
        sys.argv[2],
        t=np.stack([np.round(a[0] * 4) for a in R]).astype(np.uint8),
        seep=np.array([a[1] for a in R], np.uint8),
        L=np.array([a[2] for a in R], np.float32),
        W=np.array([a[3] for a in R], np.float32),
    )
