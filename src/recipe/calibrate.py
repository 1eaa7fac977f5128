"""Small photos with exact truth that train nothing, to tune on or to measure on: calibrate.py WORLD OUT N [DEVICE] [SEED]

WORLD holds maps and backgrounds that training does not see. Gaps and patterns are those of render/gapfield.py, dried as in films.py.
Only photos with a clear truth are written into OUT, with a JSON beside each: the face whole and in the picture, or no jaw at all. The
limits were tuned on SEED 7 000 000 (the default); photos of another seed tuned nothing.
"""

import json, os, sys
from multiprocessing import get_context
import numpy as np, cv2, torch

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import films, judge, nets, train
from raycast import phone, render
from raycast.base import noise_bank

SIDE, SEED, QUALITY = 480, 7_000_000, 88
# A film that broke up or went with the workpiece over more than this share of the face shows no longer what the gap was (assumption).
MOST_LOST = 0.15


def dried(seed):
    """One gap's film as it dries: (t, c, seep, L, W), and pattern, borderline, error in micrometres."""
    film, label, borderline, transfer, e, _, L, W = judge.face(seed)
    r = np.random.default_rng(seed + 1)
    s, x = np.linspace(0, 1, films.NS)[:, None], np.linspace(-1, 1, films.NX)[None]
    t = cv2.resize(film.astype(np.float32) / 4, (films.NX, films.NS))
    t, c = films.look(r, t, s, x)
    t = t if transfer else films.seam_line(r, t, 2, 8)
    return np.clip(t, 0, 63.5), c, not transfer, L, W, judge.NAMES[label], bool(borderline), float(e)


def world_of(folder, R, dev):
    col = lambda k, d: torch.tensor(np.array([a[k] for a in R], d), device=dev)
    seep = col(2, np.float32)
    f = dict(t=torch.tensor(np.stack([np.round(a[0] * 4) for a in R]).astype(np.uint8), device=dev), c=torch.tensor(np.stack([a[1] for a in R]), device=dev),
             seep=seep, seam=seep, L=col(3, np.float32), W=col(4, np.float32))
    load = lambda n: torch.tensor(np.load(f"{folder}/{n}.npy"), device=dev)
    return render.World(dev, f, load("maps"), load("backgrounds"))


def truth(b, i, film, name):
    """As the JSON beside a rendered photo, for what the ray-caster knows; None where the truth is not clear."""
    q, lost = int(b["q"][i]), bool(b["nojaw"][i])
    whole = b["share"][i] > 0.93 and b["inframe"][i] > 0.99
    if bool(b["doubtful"][i]) or not (lost or whole):
        return None
    seen = b["comp"][i].sum() / b["face"][i].sum().clamp(min=1)
    if not (lost or b["clean"][i] or q) and abs(float(seen) - film[1].mean()) > MOST_LOST:
        return None
    why = "no jaw in the picture" if lost else "too alike" if b["alike"][i] else None if q == 0 else nets.QUALITY[q]
    why = "clean jaw, nothing was painted" if why is None and b["clean"][i] else why
    p = b["pts"][i].tolist()
    d = [p[4][0] - p[6][0], p[4][1] - p[6][1]]
    tip = ("right" if d[0] > 0 else "left") if abs(d[0]) > abs(d[1]) else ("down" if d[1] > 0 else "up")
    inner = film[1][:, films.NX // 10 : -films.NX // 10].mean(1)
    on = np.flatnonzero(np.diff(np.r_[0, inner > 0.5, 0]))
    return dict(
        photo=name + ".jpg", readable=why is None, why_unreadable=why, method="seep" if film[2] else "transfer", grip="od" if not b["convex"][i] else "id",
        upright_size=[SIDE, SIDE], face_corners_px=None if lost else [[round(v, 1) for v in c] for c in p[:4]], tip_direction=None if lost else tip,
        pattern=None if lost or why == "clean jaw, nothing was painted" else film[5], borderline=film[6], taper_error_um=film[7],
        clean_profile=[round(float(1 - v), 3) for v in inner[::2]], band=[[a / films.NS, e / films.NS] for a, e in zip(on[::2], on[1::2])], captured=bool(b["captured"]),
    )


def main():
    folder, out, n = sys.argv[1], sys.argv[2], int(sys.argv[3])
    dev = sys.argv[4] if len(sys.argv) > 4 else "cpu"
    seed = int(sys.argv[5]) if len(sys.argv) > 5 else SEED
    torch.manual_seed(seed)
    os.makedirs(out, exist_ok=True)
    with get_context("spawn").Pool() as p:
        R = p.map(dried, range(seed, seed + 2 * n), chunksize=10)
    world, bank, done, k = world_of(folder, R, dev), noise_bank(dev), 0, 0
    B = min(24, n)
    while done < n and k + B <= len(R):
        captured = torch.rand(()).item() < 0.7
        with torch.no_grad():
            pick = torch.arange(k, k + B, device=dev)
            b = train.synth_batch(B, SIDE, world, bank, captured, pick)
            y = (phone.messenger(b.pop("y")) * 255).round().byte().permute(0, 2, 3, 1).flip(3).cpu().numpy()
        b = {**{key: v.cpu() for key, v in b.items()}, "captured": captured}
        for i in range(B):
            name = f"k{seed + k + i}"
            j = truth(b, i, R[k + i], name)
            if j is not None:
                cv2.imwrite(f"{out}/{name}.jpg", y[i], [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
                json.dump(j, open(f"{out}/{name}.json", "w"))
                done += 1
        k += B
    print(done, "photos of", k, flush=True)


if __name__ == "__main__":
    main()
