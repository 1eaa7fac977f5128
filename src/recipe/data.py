"""Pictures from files: path-traced photos with truth, real pictures without a jaw. All in square canvases of their own."""

import pickle, numpy as np, cv2, torch
from raycast.base import Rng, V

SIDE = 512  # of every canvas: one size, so that all kinds of picture go through one batch
WHY = {
    None: 0, "heavy motion blur": 1, "far too dark": 2, "blown out": 3, "glare over most of the face": 4,
    "face mostly outside the picture": 5, "face covered by a rag": 5, "no jaw in the picture": 5,
    "clean jaw, nothing was painted": 0, "compound smeared over everything": 6,
}
LOST = ("no jaw in the picture", "face covered by a rag", "face mostly outside the picture", "far too dark")


def held_out(k):
    return k % 5 == 4


def traced(files, dev, keep):
    """Packed by pack.py. keep: fn(index) -> bool."""
    I, M, Fm, Cm, P, meta = [], [], [], [], [], []
    for k, rec in enumerate(r for f in files for r in pickle.load(open(f, "rb"))):
        if not keep(k):
            continue
        im = cv2.imdecode(np.frombuffer(rec["jpg"], np.uint8), 1)[..., ::-1]
        hh, ww = rec["size"][0] // 2, rec["size"][1] // 2
        k = min(1.0, SIDE / max(rec["size"]))
        h, w = round(rec["size"][0] * k) // 2 * 2, round(rec["size"][1] * k) // 2 * 2
        im = cv2.resize(im, (w, h), interpolation=cv2.INTER_AREA)
        y0, x0 = (SIDE - h) // 2, (SIDE - w) // 2
        cv, m = np.full((SIDE, SIDE, 3), 128, np.uint8), np.zeros((SIDE, SIDE), np.uint8)
        cv[y0 : y0 + h, x0 : x0 + w], m[y0 : y0 + h, x0 : x0 + w] = im, 1
        pad = (y0 // 2, SIDE // 2 - h // 2 - y0 // 2, x0 // 2, SIDE // 2 - w // 2 - x0 // 2)
        full = lambda b: np.unpackbits(b)[: hh * ww].reshape(hh, ww) * 255
        mask = lambda b: cv2.copyMakeBorder((cv2.resize(full(b), (w // 2, h // 2), interpolation=cv2.INTER_AREA) > 127).astype(np.uint8), *pad, cv2.BORDER_CONSTANT)
        I.append(cv.transpose(2, 0, 1)), M.append(m), Fm.append(mask(rec["face"])), Cm.append(mask(rec["comp"]))
        p = np.zeros((8, 2))
        if rec["pts"]:
            c = np.array(rec["pts"]) * k + [x0, y0]
            H, _ = cv2.findHomography(np.float64([[0, 0], [1, 0], [1, 1], [0, 1]]), c[:4])
            flank = cv2.perspectiveTransform(np.float64([[[1, 0.5]], [[0, 0.5]]]), H)[:, 0]
            p = np.stack([*c[:4], c[4], flank[0], c[5], flank[1]])
        P.append(p), meta.append(rec)
    T = lambda x: torch.tensor(np.stack(x), device=dev)
    flag = lambda f: torch.tensor([bool(f(r)) for r in meta], device=dev)
    clean = flag(lambda r: r["why"] == "clean jaw, nothing was painted")
    seep = flag(lambda r: r["method"] == "seep")
    return dict(
        y=T(I), ins=T(M), face=T(Fm), comp=T(Cm), pts=T(P).float(), q=torch.tensor([WHY[r["why"]] for r in meta], device=dev),
        lost=flag(lambda r: r["why"] in LOST), nojaw=flag(lambda r: r["pts"] is None), clean=clean, seep=seep,
        painted=seep & ~clean, alike=torch.zeros_like(clean), doubtful=torch.zeros_like(clean), others=torch.zeros(len(meta), 3, 4, 2, device=dev),
    )


def recoloured(y, hue=0.15):
    """Hue turned about the grey axis, tone, white balance, saturation, noise."""
    n = y.shape[0]
    r = Rng(n, y.device)
    th = r.n((), 0.5) * r.p(0.5)
    th = torch.where(r.p(hue) > 0, r.u(-3.14, 3.14), th)
    c, s, k = th.cos(), th.sin(), 1 / 3
    a, b, e = c + k * (1 - c), k * (1 - c) - s * k**0.5, k * (1 - c) + s * k**0.5
    y = torch.einsum("bij,bjhw->bihw", torch.stack([a, b, e, e, a, b, b, e, a], -1).view(n, 3, 3), y).clamp(0, 1)
    y = y.clamp(1e-4) ** V(r.lu(0.6, 1.7))[:, None] * torch.exp(r.n((3, 1, 1), 0.07))
    g = y.mean(1, keepdim=True)
    y = g + (y - g) * V(r.lu(0.6, 1.6))[:, None]
    return (y + r.lu(0.002, 0.05).view(-1, 1, 1, 1) * torch.randn_like(y)).clamp(0, 1)


def batch_of(D, i):
    """Pictures i of a set, as floats."""
    b = {k: v[i] for k, v in D.items()}
    b["y"] = b["y"].float() / 255
    for k in ("face", "comp", "ins"):
        b[k] = b[k].float()
    return b


def canvas(jpg, side):
    """A picture of any shape in a square, grey around it; and its height and width there."""
    im = cv2.imdecode(np.frombuffer(jpg, np.uint8), 1)
    if im is None:
        return None
    k = side / max(im.shape[:2])
    h, w = max(8, round(im.shape[0] * k)), max(8, round(im.shape[1] * k))
    im = cv2.resize(im, (w, h), interpolation=cv2.INTER_AREA if k < 1 else cv2.INTER_LINEAR)[..., ::-1]
    out = np.full((side, side, 3), 128, np.uint8)
    y, x = (side - h) // 2, (side - w) // 2
    out[y : y + h, x : x + w] = im
    return out.transpose(2, 0, 1), (h, w)


def square(jpg, side):
    """The middle square of a picture, as a background."""
    im = cv2.imdecode(np.frombuffer(jpg, np.uint8), 1)
    s = min(im.shape[:2])
    y, x = (im.shape[0] - s) // 2, (im.shape[1] - s) // 2
    return cv2.resize(im[y : y + s, x : x + s], (side, side), interpolation=cv2.INTER_AREA)[..., ::-1].transpose(2, 0, 1)
